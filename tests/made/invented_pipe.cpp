#include "made/invented_pipe.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sondeline::made {

namespace {

double invert_at(const InventedPipe& pipe, double station_m) {
    double invert_m = pipe.start_invert_m - pipe.fall * station_m;
    for (const Sag& sag : pipe.sags) {
        const double off = (station_m - sag.middle_m) / sag.width_m;
        if (std::abs(off) < 0.5) {
            invert_m -= sag.depth_m * 0.5 * (1.0 + std::cos(2.0 * std::numbers::pi * off));
        }
    }
    return invert_m;
}

}  // namespace

PlaceInPipe place_at(const InventedPipe& pipe, double station_m) {
    PlaceInPipe place{pipe.start_e_m, pipe.start_n_m, invert_at(pipe, station_m), pipe.heading_rad};
    const double plan_per_length = std::sqrt(1.0 - pipe.fall * pipe.fall);
    double from_m = 0.0;
    const auto walk = [&](double to_m) {
        const double step_m = (to_m - from_m) * plan_per_length;
        place.e_m += step_m * std::sin(place.heading_rad);
        place.n_m += step_m * std::cos(place.heading_rad);
        from_m = to_m;
    };
    for (const Turn& turn : pipe.turns) {
        if (turn.station_m >= station_m) break;
        walk(turn.station_m);
        place.heading_rad += turn.turn_rad;
    }
    walk(station_m);
    return place;
}

std::vector<double> standing_water_m(const InventedPipe& pipe,
                                     const std::vector<double>& stations_m) {
    constexpr double step_m = 0.02;
    std::vector<double> depths;
    for (const double station_m : stations_m) {
        double rim_m = invert_at(pipe, station_m);
        // What lies further down holds the water back; the end lets it out.
        for (double s = station_m; s <= pipe.length_m; s += step_m) {
            rim_m = std::max(rim_m, invert_at(pipe, s));
        }
        depths.push_back(rim_m - invert_at(pipe, station_m));
    }
    return depths;
}

}  // namespace sondeline::made
