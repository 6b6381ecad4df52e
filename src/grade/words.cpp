#include "sondeline/grade.hpp"

namespace sondeline {

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
