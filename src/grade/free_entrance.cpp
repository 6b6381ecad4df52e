#include "grade/free_entrance.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::grade {

namespace {

constexpr double kGravity_m_per_s2 = 9.80665;

double head_over(const WettedSection& section, double depth_m) {
    return depth_m + section.area_m2 / (2.0 * section.surface_width_m);
}

}  // namespace

double free_entrance_l_per_s(Bore bore, double head_m) {
    if (!(head_m > 0.0) || !(bore.diameter_m > 0.0)) return 0.0;
    const double head = std::min(head_m, kDrownedHead * bore.diameter_m);
    // The head rises with the critical depth, which lies between none and all of it.
    double low_m = 0.0;
    double high_m = head;
    constexpr int halvings = 60;
    for (int step = 0; step < halvings; ++step) {
        const double middle_m = 0.5 * (low_m + high_m);
        const WettedSection section = wetted_section(bore, middle_m);
        (head_over(section, middle_m) > head ? high_m : low_m) = middle_m;
    }
    const WettedSection section = wetted_section(bore, high_m);
    if (!(section.surface_width_m > 0.0)) return 0.0;
    return 1000.0 * section.area_m2 *
           std::sqrt(kGravity_m_per_s2 * section.area_m2 / section.surface_width_m);
}

}  // namespace sondeline::grade
