// Two pipes between a house, a tank and a box, with depths along them and tapes at their ends.
#pragma once

#include <string>

#include "sondeline/alignment.hpp"

namespace sondeline {

inline constexpr double bore_m = 0.1;

// House, tank and box, 18 m of 4 in pipe between each, level ground at 100 m, 1 % of fall; eight
// depths on each, exact, so that the transmitter lies half a bore above the invert.
inline Lines three_structures(double slip_at_tank_m, double locator_off_m = 0.0,
                              double slip_elsewhere_m = 0.0) {
    Lines lines;
    for (const char* id : {"house", "tank", "box"}) {
        AlignedStructure structure;
        structure.id.text = id;
        lines.structures.push_back(structure);
    }
    for (int r = 0; r < 2; ++r) {
        AlignedRun run;
        run.run.id = RunId{std::string(r == 0 ? "BS" : "EL")};
        run.run.from = r;
        run.run.to = r + 1;
        run.run.diameter_m = bore_m;
        const auto add = [&](VerticalKind kind, double x_m, double depth_m, double sd_m) {
            StationedVertical seen;
            seen.row.kind = kind;
            seen.row.depth_m = {depth_m, sd_m};
            seen.row.ground_m = Estimate{100.0, 0.003};
            seen.row.fix = kind == VerticalKind::sonde_depth ? static_cast<int>(x_m) : -1;
            seen.station_m = x_m;
            run.vertical.push_back(seen);
        };
        const auto invert_m = [&](double x_m) { return 0.8 + 0.01 * (18.0 * r + x_m); };
        for (double x_m = 1.0; x_m < 18.0; x_m += 2.2) {
            add(VerticalKind::sonde_depth, x_m, invert_m(x_m) - 0.5 * bore_m + locator_off_m, 0.05);
        }
        add(VerticalKind::taped_start, 0.0,
            invert_m(0.0) - (r == 1 ? slip_at_tank_m : slip_elsewhere_m), 0.005);
        add(VerticalKind::taped_end, 18.0,
            invert_m(18.0) - (r == 0 ? slip_at_tank_m : slip_elsewhere_m), 0.005);
        lines.runs.push_back(run);
    }
    return lines;
}

}  // namespace sondeline
