#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "sondeline/terms.hpp"

#include "terms/outward.hpp"

namespace sondeline {

int decimals_for_bounds(double half_width) {
    constexpr int most = 3;
    if (!(half_width > 0.0)) return most;
    // A half-width of exactly 0.1 must not become 0.1000…1 and ask for a digit more.
    return std::clamp(static_cast<int>(std::ceil(-std::log10(half_width) - 1e-9)), 0, most);
}

double rounded_to_bounds(double value, double half_width) {
    const double scale = std::pow(10.0, decimals_for_bounds(half_width));
    return std::round(value * scale) / scale + 0.0;
}

std::string length_words(const Bounded& length_m, LengthUnit unit) {
    const double per = metres_per(unit);
    const int decimals = decimals_for_bounds((length_m.hi95 - length_m.lo95) / 2.0 / per);
    return fmt::format("{:.{}f} {} ({:.{}f} to {:.{}f})", length_m.value / per, decimals,
                       unit_symbol(unit), rounded_down(length_m.lo95 / per, decimals), decimals,
                       rounded_up(length_m.hi95 / per, decimals), decimals);
}

std::string length_words(double length_m, LengthUnit unit, int decimals) {
    return fmt::format("{:.{}f} {}", length_m / metres_per(unit), decimals, unit_symbol(unit));
}

}  // namespace sondeline
