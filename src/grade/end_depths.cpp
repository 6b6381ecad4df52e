#include "grade/end_depths.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/ground_slips.hpp"
#include "grade/phrases.hpp"
#include "grade/screening.hpp"

namespace sondeline::grade {

namespace {

constexpr double kOffAbove = 3.7;
constexpr double kOthersBelow = 3.0;
constexpr std::ptrdiff_t kFewestOthers = 4;
// A grade that breaks further back must not look like a slip: the nearest depths alone have to
// contradict the end as well.
constexpr std::size_t kNearest = 4;
constexpr double kOffNearestAbove = 2.5;
// What a tape may be off by before a whole profile is given up for it.
constexpr double kTapeOff_m = 0.15;

using Index = Eigen::Index;

// What a row is off by from the even grade of all others.
struct Off {
    double by_m = 0.0;
    double sd_m = 0.0;

    double t() const { return std::abs(by_m) / sd_m; }
};

std::optional<Off> off_of(const VerticalModel& model, std::size_t row) {
    const auto i = static_cast<Index>(row);
    if (!(model.q(i, i) > 0.0)) return std::nullopt;
    return Off{model.qy(i) / model.q(i, i), 1.0 / std::sqrt(model.q(i, i))};
}

VerticalModel even_grade(const RunRows& run, const std::vector<Row>& rows, double scatter) {
    return solve_model({&rows, &run.ground, scatter}, plain_trends(run));
}

// All rows but the one at `end` agree with one grade.
bool others_agree(const RunRows& run, const std::vector<Row>& used, std::size_t end,
                  double scatter) {
    std::vector<Row> others = used;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(end));
    if (std::ranges::count_if(others, says_height) < kFewestOthers) return false;
    const VerticalModel model = even_grade(run, others, scatter);
    for (std::size_t i = 0; i < others.size(); ++i) {
        const auto off = off_of(model, i);
        if (off && off->t() > kOthersBelow) return false;
    }
    return true;
}

// The end and the depths next to it.
std::vector<Row> near_end(const std::vector<Row>& used, std::size_t end) {
    std::vector<Row> heights{used[end]};
    for (std::size_t i = 0; i < used.size(); ++i) {
        if (i != end && says_height(used[i])) heights.push_back(used[i]);
    }
    const double end_m = used[end].station_m;
    std::stable_sort(heights.begin() + 1, heights.end(), [&](const Row& a, const Row& b) {
        return std::abs(a.station_m - end_m) < std::abs(b.station_m - end_m);
    });
    heights.resize(std::min(heights.size(), 1 + kNearest));
    return heights;
}

bool nearest_contradict(const RunRows& run, const std::vector<Row>& used, std::size_t end,
                        double scatter) {
    const auto off = off_of(even_grade(run, near_end(used, end), scatter), 0);
    return off && off->t() > kOffNearestAbove;
}

struct Ends {
    std::size_t first = 0;
    std::size_t last = 0;
};

// The rows furthest apart; empty where there is one place only.
std::optional<Ends> outermost(const std::vector<Row>& used) {
    std::optional<Ends> ends;
    for (std::size_t i = 0; i < used.size(); ++i) {
        if (!says_height(used[i])) continue;
        if (!ends) ends = Ends{i, i};
        if (used[i].station_m < used[ends->first].station_m) ends->first = i;
        if (used[i].station_m > used[ends->last].station_m) ends->last = i;
    }
    return ends && ends->first != ends->last ? ends : std::nullopt;
}

std::optional<Finding> finding_of(const RunId& id, const RunRows& run, const std::vector<Row>& used,
                                  std::size_t end, bool last, double scatter) {
    const Row& row = used[end];
    if (!row.fix || is_tape(row)) return std::nullopt;
    const auto off = off_of(even_grade(run, used, scatter), end);
    if (!off || off->t() <= kOffAbove) return std::nullopt;
    const std::string slip = whole_slip_words("depth", off->by_m, off->sd_m, run.unit);
    if (slip.empty() || !others_agree(run, used, end, scatter) ||
        !nearest_contradict(run, used, end, scatter)) {
        return std::nullopt;
    }
    Finding finding = run_finding(
        id, Severity::caution,
        fmt::format("The depth of {}, the {} on this run, puts the pipe {} {} where the grade of "
                    "all others leads.{} So would a pipe that {} there: nothing beyond it tells. "
                    "The depth was used.",
                    row.source, last ? "last" : "first",
                    height_words(std::abs(off->by_m), run.unit),
                    off->by_m < 0.0 ? "below" : "above", slip, off->by_m < 0.0 ? "drops" : "rises"),
        "Take that depth again, or tape the invert at that end.");
    finding.where.station_m = row.station_m;
    return finding;
}

}  // namespace

void tell_slipped_end_depths(const RunId& id, RunRows& run) {
    if (run.ground.known.empty()) return;
    const Screening screening = screen_rows(run);
    const std::vector<Row>& used = screening.used;
    const auto ends = outermost(used);
    if (!ends) return;
    for (const auto& [end, is_last] :
         {std::pair{ends->first, false}, std::pair{ends->last, true}}) {
        if (auto finding = finding_of(id, run, used, end, is_last, screening.scatter)) {
            run.findings.push_back(std::move(*finding));
        }
    }
}

std::optional<Row> contradicted_end_tape(const RunRows& run, const Screening& screening) {
    if (run.ground.known.empty()) return std::nullopt;
    const std::vector<Row>& used = screening.used;
    const auto ends = outermost(used);
    if (!ends) return std::nullopt;
    for (const std::size_t end : {ends->first, ends->last}) {
        if (!is_tape(used[end])) continue;
        const auto off = off_of(even_grade(run, used, screening.scatter), end);
        if (!off || off->t() <= kOffAbove || std::abs(off->by_m) < kTapeOff_m) continue;
        if (others_agree(run, used, end, screening.scatter) &&
            nearest_contradict(run, used, end, screening.scatter)) {
            return used[end];
        }
    }
    return std::nullopt;
}

std::string end_tape_words(const RunRows& run, const Screening& screening, const Row& tape) {
    std::vector<Row> rows{tape};
    std::ranges::copy_if(screening.used, std::back_inserter(rows),
                         [&](const Row& row) { return row.kind != tape.kind && says_height(row); });
    const auto off = off_of(even_grade(run, rows, screening.scatter), 0);
    if (!off) return "";
    return fmt::format(" It puts the pipe {} {} where the grade of all others leads.{}",
                       height_words(std::abs(off->by_m), run.unit),
                       off->by_m < 0.0 ? "below" : "above",
                       whole_slip_words("tape or a rod", off->by_m, off->sd_m, run.unit));
}

}  // namespace sondeline::grade
