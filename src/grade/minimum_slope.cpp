#include "grade/minimum_slope.hpp"

#include "terms/units.hpp"

namespace sondeline::grade {

namespace {

constexpr double kQuarterInchPerFoot = 0.25 / 12.0;
constexpr double kEighthInchPerFoot = 0.125 / 12.0;
constexpr double kSixteenthInchPerFoot = 0.0625 / 12.0;
constexpr double kThreeInchesPer100Feet = 3.0 / 1200.0;

constexpr std::string_view kIpc = "IPC Table 704.1";
constexpr std::string_view kUpc = "UPC 708";
constexpr std::string_view kNone = "none";

// International Plumbing Code, Table 704.1: 2-1/2 in and smaller, 3 to 6 in, 8 in and larger.
double ipc_minimum(double diameter_m) {
    const double inches = diameter_m / inch_m;
    if (inches < 2.75) return kQuarterInchPerFoot;
    return inches < 7.0 ? kEighthInchPerFoot : kSixteenthInchPerFoot;
}

SlopeAsked level_line() {
    SlopeAsked asked;
    asked.at_most = kThreeInchesPer100Feet;
    asked.source =
        "laid level, or falling at most 3 in per 100 ft (California UPC Appendix H); the local "
        "rule decides";
    return asked;
}

SlopeAsked sewer(std::string_view table, const std::optional<double>& diameter_m) {
    SlopeAsked asked;
    if (table == kUpc) {
        asked.minimum = kQuarterInchPerFoot;
        asked.source =
            "UPC section 708 (from memory, edition not checked: 1/4 in per ft; 4 in and larger at "
            "1/8 in per ft where the authority agrees); the local rule decides";
    } else if (table != kIpc) {
        asked.source = "no table of minimum slopes was chosen";
    } else if (!diameter_m) {
        asked.source = "the diameter is not known, and IPC Table 704.1 asks by diameter";
    } else {
        asked.minimum = ipc_minimum(*diameter_m);
        asked.source =
            "IPC Table 704.1 (as enacted in Chicago Plumbing Code Table 18-29-704.1); the local "
            "rule decides";
    }
    return asked;
}

}  // namespace

bool is_slope_table(std::string_view table) {
    return table == kIpc || table == kUpc || table == kNone;
}

SlopeAsked slope_asked(std::string_view table, const PipeAsked& pipe) {
    if (!pipe.kind_doubt.empty()) {
        SlopeAsked asked;
        asked.kind_doubted = true;
        asked.source = "the kind of this run is in doubt: " + pipe.kind_doubt;
        return asked;
    }
    switch (pipe.kind) {
        case RunKind::building_sewer:
        case RunKind::effluent_line: return sewer(table, pipe.diameter_m);
        case RunKind::lateral:
        case RunKind::trench: return level_line();
        case RunKind::other: break;
    }
    SlopeAsked asked;
    asked.source = "the kind of this run asks for no slope";
    return asked;
}

SlopeAsked nothing_asked_of_a_force_main() {
    SlopeAsked asked;
    asked.source = "a force main, which a pump drives, is asked for no slope";
    return asked;
}

}  // namespace sondeline::grade
