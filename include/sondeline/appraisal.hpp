// Appraisal: what the paper claims against what was measured, the quantities, the load test.
#pragma once

#include "sondeline/grade.hpp"

namespace sondeline {

// `agrees_as_stated`: with what somebody said on site, which was not measured.
enum class RecordVerdict { agrees, agrees_as_stated, short_of, longer, not_found, cannot_tell };
std::string_view word(RecordVerdict verdict);  // "agrees", "agrees as stated", "short", "long",
                                               // "not found", "cannot tell"

struct RecordCheck {
    RecordClaim claim;
    Figure<Bounded> measured;          // in the claim's SI unit
    std::optional<double> difference;  // measured − claimed
    RecordVerdict verdict = RecordVerdict::cannot_tell;
    // Where the paper would be far off but it, or another of its lengths, agrees sharply in another
    // unit: that unit, "ft" or "m". No verdict is given then.
    std::string likelier_unit;
    std::string words;  // one plain sentence
};

// A priced stretch. Lengths of the rows of one run add up to the run's length exactly.
struct Quantity {
    RunId run;
    std::string from_id;
    std::string to_id;
    RunKind kind = RunKind::other;
    RunStatus status = RunStatus::open;
    std::optional<double> diameter_m;
    std::string material;
    double from_station_m = 0.0;
    double to_station_m = 0.0;
    Bounded length_m;
    std::optional<Bounded> depth_m;  // ground to invert, mean over the stretch
    std::string depth_band;          // of that depth: "1.2 to 1.5 m", or "not measured"
    std::string other_bands;  // that the bounds of the depth reach into: "under 1.2 m"; or empty
    std::optional<Bounded> trench_volume_m3;  // to the invert, stated width and side slope
    double trench_width_m = 0.0;
    double side_slope = 0.0;  // of the trench, horizontal per vertical; 0: vertical sides
    std::string condition;    // worst note or belly on it, or "no defect noted"
};

// What digging is priced by. The defaults are practice in the US; the local rule wins.
struct QuantityOptions {
    // Where digging changes: 4 ft (1.2 m) from which a way out such as a ladder is asked and 5 ft
    // (1.5 m) from which protection against cave-in is (OSHA 29 CFR 1926.651(c)(2) and
    // 1926.652(a)(1)); 3 m is a common limit of small excavators (common practice, no source).
    std::vector<double> band_limits_m{1.2192, 1.524, 3.0};
    std::string band_source =
        "OSHA 29 CFR 1926.651(c)(2) for 4 ft, 1926.652(a)(1) for 5 ft; common practice for 3 m";
    // The usual 2 ft bucket, vertical sides (common practice, no source): a quantity to price from,
    // not a design.
    double trench_width_m = 0.6096;
    double side_slope = 0.0;  // horizontal per vertical
};

// A stretch with a defect that was noted or measured, from station to station, so that replacing it
// can be priced. Whether to replace it is not for this to say.
struct Replacement {
    RunId run;
    double from_station_m = 0.0;
    double to_station_m = 0.0;
    Bounded length_m;
    std::optional<double> diameter_m;
    std::string material;
    std::optional<Bounded> depth_m;  // greatest, ground to invert
    std::string why;                 // "holds water; root"
};

// Two pipes that meet in a structure: how much lower the one lies.
struct StructureDrop {
    StructureId structure;
    RunId from_run;  // the higher one, as far as that can be told
    RunId to_run;
    bool between_outlets = false;  // else from_run brings the water and to_run takes it away
    Bounded drop_m;                // invert of from_run less invert of to_run
    bool taped = false;            // both from one rim; else by their profiles
    // About a bore apart: the invert of from_run may have been taped to the top of its pipe. The
    // bounds then reach down to where it would lie.
    bool top_doubted = false;
    std::string words;
};

struct PortShare {
    std::string port;
    std::string words;
    std::optional<Bounded> share_pct;  // of the water, at the last reading
    std::string share_withheld;        // why there is no share
};

struct LoadTestBalance {
    std::optional<Estimate> hose_flow_l_s;
    std::optional<Estimate> volume_in_l;
    std::optional<double> design_flow_l_per_day;
    std::optional<Estimate> design_day_pct;  // volume in against a day of design flow
    std::vector<PortShare> ports;
    std::vector<std::string> words;  // plain sentences, what it shows and what it does not prove
};

struct Appraisal {
    std::vector<RecordCheck> records;
    std::vector<Quantity> quantities;
    std::string depth_band_source;
    std::vector<Replacement> replacements;
    std::optional<LoadTestBalance> load_test;
    std::vector<StructureDrop> drops;
    Findings findings;
};

Appraisal appraise(const Job& job, const Site& site, const Lines& lines, const Profiles& profiles,
                   const QuantityOptions& options = {});

}  // namespace sondeline
