#include "grade/tape_slips.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>
#include <fmt/format.h>

#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

constexpr double kLeast = 0.005;
constexpr double kTold = 0.10;

// By the rows whose weights the model has, without a break or sag that is not certain.
Estimate invert_at(const VerticalModel& model, double station_m) {
    Eigen::VectorXd at(model.trends.size());
    for (std::size_t k = 0; k < model.trends.size(); ++k) {
        at(static_cast<Eigen::Index>(k)) = trend_at(model.trends[k], station_m);
    }
    const Eigen::LLT<Eigen::MatrixXd> information(model.information);
    return {model.offset_m + at.dot(information.solve(model.right)),
            std::sqrt(at.dot(information.solve(at)))};
}

// The row itself says next to nothing in `model`.
Estimate height_above_rest(const VerticalModel& model, const Row& row) {
    const Estimate rest = invert_at(model, row.station_m);
    return {row.y_m - rest.value, std::hypot(rest.sd, row.sd_m)};
}

const TapeSlip* likeliest(const std::vector<TapeSlip>& slips) {
    const auto most = std::ranges::max_element(slips, {}, &TapeSlip::probability);
    return most == slips.end() || most->probability < kTold ? nullptr : &*most;
}

std::string top_of_pipe_words(const Estimate& high_m, double bore_m) {
    if (bore_m <= 0.0 || std::abs(high_m.value - bore_m) > high_m.sd) return "";
    return " So would a tape that was held to the top of the pipe.";
}

}  // namespace

bool may_slip(const Row& row) {
    return row.kind == VerticalKind::taped_start || row.kind == VerticalKind::taped_end;
}

Row as_slipped(Row tape) {
    tape.sd_m = std::hypot(tape.sd_m, kTapeSlipSd_m);
    return tape;
}

std::vector<TapeSlip> weigh_tape_slips(const RunRows& run, const std::vector<Row>& used,
                                       double scatter) {
    std::vector<TapeSlip> slips;
    for (const TapeOdds& odds : run.tape_odds) {
        const auto tape = std::ranges::find(used, odds.tape, &Row::kind);
        if (tape == used.end()) continue;
        TapeSlip slip;
        slip.row = static_cast<std::size_t>(tape - used.begin());
        slip.probability = odds.probability < kLeast ? 0.0 : odds.probability;
        RunRows so_wandering = run;
        so_wandering.wander.share = odds.wander_share;
        std::vector<Row> slipped = used;
        slipped[slip.row] = as_slipped(*tape);
        slip.evidence = weigh_evidence(so_wandering, slipped, scatter);
        slip.high_m = height_above_rest(slip.evidence.model, *tape);
        slips.push_back(std::move(slip));
    }
    return slips;
}

void tell_tape_slips(const RunId& id, const RunRows& run, const std::vector<Row>& used,
                     const std::vector<TapeSlip>& slips, double bore_m, Findings& findings) {
    const TapeSlip* slip = likeliest(slips);
    if (slip == nullptr) return;
    const Row& row = used[slip->row];
    Finding finding = run_finding(
        id, Severity::caution,
        fmt::format("The invert {} lies {} {} than the depths and tapes along the run say, give or "
                    "take {}.{} It may be right, and a depth or two not: the bounds of what this "
                    "run gives hold both.",
                    row.source, height_words(std::abs(slip->high_m.value), run.unit),
                    slip->high_m.value > 0.0 ? "higher" : "lower",
                    height_words(normal_95 * slip->high_m.sd, run.unit),
                    top_of_pipe_words(slip->high_m, bore_m)),
        tape_again_words(used, slips));
    finding.where.station_m = row.station_m;
    findings.push_back(std::move(finding));
}

bool may_go_unseen(double slip_m, const std::vector<TapeSlip>& slips) {
    constexpr double shows_from = 3.0;
    return std::ranges::any_of(
        slips, [&](const TapeSlip& slip) { return slip_m < shows_from * slip.high_m.sd; });
}

std::string tape_again_words(const std::vector<Row>& used, const std::vector<TapeSlip>& slips) {
    const TapeSlip* slip = likeliest(slips);
    if (slip == nullptr) return "";
    return fmt::format(
        "Check the invert {}: tape it again to the bottom of the pipe, from where "
        "the ground was levelled, and compare the rod reading there with the field "
        "book.",
        used[slip->row].source);
}

}  // namespace sondeline::grade
