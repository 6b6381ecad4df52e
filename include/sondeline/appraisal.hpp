// Appraisal: what the paper claims against what was measured, the quantities, the load test.
#pragma once

#include "sondeline/grade.hpp"

namespace sondeline {

enum class RecordVerdict { agrees, short_of, longer, not_found, cannot_tell };
std::string_view word(
    RecordVerdict verdict);  // "agrees", "short", "long", "not found", "cannot tell"

struct RecordCheck {
    RecordClaim claim;
    Figure<Bounded> measured;          // in the claim's SI unit
    std::optional<double> difference;  // measured − claimed
    RecordVerdict verdict = RecordVerdict::cannot_tell;
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
    std::string depth_band;                  // "1.2 to 1.5 m", or "not measured"
    std::optional<double> trench_volume_m3;  // to the invert, stated width, vertical sides
    double trench_width_m = 0.0;
    std::string condition;  // worst note or belly on it, or "no defect noted"
};

struct PortShare {
    std::string port;
    std::string words;
};

struct LoadTestBalance {
    std::optional<Estimate> hose_flow_l_s;
    std::optional<Estimate> volume_in_l;
    std::vector<PortShare> ports;
    std::vector<std::string> words;  // plain sentences, what it shows and what it does not prove
};

struct Appraisal {
    std::vector<RecordCheck> records;
    std::vector<Quantity> quantities;
    std::optional<LoadTestBalance> load_test;
    Findings findings;
};

Appraisal appraise(const Job& job, const Site& site, const Lines& lines, const Profiles& profiles);

}  // namespace sondeline
