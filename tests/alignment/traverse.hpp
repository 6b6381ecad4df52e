// A published closed traverse: Ghilani & Wolf, Elementary Surveying, the five-sided example of the
// chapter on traverse computations (lengths in feet and azimuths from memory; published linear
// misclosure 0.081 ft of 2466.00 ft, a relative precision of 1 : 30,000, also from memory).
#pragma once

#include <array>
#include <cmath>
#include <numbers>

#include "sondeline/survey.hpp"

namespace sondeline::made {

struct TraverseLeg {
    double length = 0.0;
    int degrees = 0;
    int minutes = 0;
    int seconds = 0;

    double azimuth_rad() const {
        return (degrees + minutes / 60.0 + seconds / 3600.0) * std::numbers::pi / 180.0;
    }
    PlanPoint way() const {
        return {length * std::sin(azimuth_rad()), length * std::cos(azimuth_rad())};
    }
};

inline constexpr std::array<TraverseLeg, 5> traverse_legs{{{647.25, 126, 55, 17},
                                                           {203.03, 178, 18, 58},
                                                           {720.35, 15, 31, 54},
                                                           {610.24, 284, 35, 20},
                                                           {285.13, 206, 9, 41}}};

// The misclosure taken off every leg by its share of the whole length (compass rule).
inline std::array<PlanPoint, 5> by_compass_rule(PlanPoint at) {
    double whole = 0.0;
    PlanPoint closure;
    for (const TraverseLeg& leg : traverse_legs) {
        whole += leg.length;
        closure.e_m += leg.way().e_m;
        closure.n_m += leg.way().n_m;
    }
    std::array<PlanPoint, 5> out{at};
    for (std::size_t i = 0; i + 1 < out.size(); ++i) {
        const PlanPoint way = traverse_legs[i].way();
        const double share = traverse_legs[i].length / whole;
        at.e_m += way.e_m - share * closure.e_m;
        at.n_m += way.n_m - share * closure.n_m;
        out[i + 1] = at;
    }
    return out;
}

}  // namespace sondeline::made
