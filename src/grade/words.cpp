#include <algorithm>
#include <cmath>

#include "sondeline/grade.hpp"

namespace sondeline {

// The ends err each on its own: their spreads add by squares.
Bounded Belly::length_m() const {
    const Bounded from = from_bounds_m.value_or(Bounded{from_m, from_m, from_m});
    const Bounded to = to_bounds_m.value_or(Bounded{to_m, to_m, to_m});
    const double length = to_m - from_m;
    const double shorter = std::hypot(from.hi95 - from.value, to.value - to.lo95);
    const double longer = std::hypot(from.value - from.lo95, to.hi95 - to.value);
    return {length, std::max(0.0, length - shorter), length + longer};
}

std::string_view word(SlopeVerdict verdict) {
    switch (verdict) {
        case SlopeVerdict::meets: return "meets";
        case SlopeVerdict::below: return "below";
        case SlopeVerdict::cannot_tell: return "cannot tell";
        case SlopeVerdict::not_asked: return "not asked";
    }
    return "";
}

std::string_view word(Witness witness) {
    switch (witness) {
        case Witness::profile: return "profile";
        case Witness::footage: return "footage";
        case Witness::note: return "note";
        case Witness::level_log: return "grade log";
    }
    return "";
}

}  // namespace sondeline
