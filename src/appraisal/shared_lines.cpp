#include "appraisal/shared_lines.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "appraisal/parts.hpp"
#include "grade/phrases.hpp"

namespace sondeline {

namespace {

constexpr double kStep_m = 0.25;
constexpr double kShortest_m = 2.0;
// Pipes side by side in trenches of their own lie further apart, however wide the bounds (common
// practice, no source).
constexpr double kFarthest_m = 0.3;
// A receiver's depths of one pipe on two days (common practice, no source).
constexpr double kDepthsApart_m = 0.1;
// Two pipes at one depth cannot lie closer than they are wide; drains are 4 in (common practice, no
// source).
constexpr double kOneBore_m = 0.1;
constexpr double kParallelCos = 0.94;  // 20°

struct Nearest {
    double apart_m = 0.0;
    double station_m = 0.0;
    double cos_between = 0.0;  // of the two directions, whichever way each was pushed
};

Nearest nearest_on(const AlignedRun& run, const LinePoint& from) {
    Nearest nearest{1e9, 0.0, 0.0};
    for (std::size_t i = 0; i + 1 < run.points.size(); ++i) {
        const LinePoint& a = run.points[i];
        const LinePoint& b = run.points[i + 1];
        const double e = b.at.e_m - a.at.e_m;
        const double n = b.at.n_m - a.at.n_m;
        const double length_m = std::hypot(e, n);
        if (length_m <= 0.0) continue;
        const double along =
            ((from.at.e_m - a.at.e_m) * e + (from.at.n_m - a.at.n_m) * n) / (length_m * length_m);
        const double share = std::clamp(along, 0.0, 1.0);
        const double apart_m =
            std::hypot(a.at.e_m + share * e - from.at.e_m, a.at.n_m + share * n - from.at.n_m);
        if (apart_m >= nearest.apart_m) continue;
        const double cos_between =
            (std::sin(from.heading_rad) * e + std::cos(from.heading_rad) * n) / length_m;
        nearest = {apart_m, a.station_m + share * (b.station_m - a.station_m),
                   std::abs(cos_between)};
    }
    return nearest;
}

double bound_m(const LinePoint& point) {
    return ellipse_95 * error_ellipse(point.cov).long_sd_m;
}

bool lie_together(const LinePoint& here, const AlignedRun& other, const Nearest& nearest) {
    if (nearest.apart_m > kFarthest_m || nearest.cos_between < kParallelCos) return false;
    const auto there = point_at(other, nearest.station_m);
    return there &&
           nearest.apart_m <= std::max(kOneBore_m, std::hypot(bound_m(here), bound_m(*there)));
}

// Whether the inverts at one place lie further apart than their bounds allow; false where either
// depth is not known.
bool depths_differ(const std::optional<Bounded>& one, const std::optional<Bounded>& other) {
    if (!one || !other) return false;
    const double doubt_m =
        std::hypot((one->hi95 - one->lo95) / 2.0, (other->hi95 - other->lo95) / 2.0);
    return std::abs(one->value - other->value) > std::max(kDepthsApart_m, doubt_m);
}

bool has_bounds(const AlignedRun& run) {
    return run.points.size() > 1 && run.covariance.size() > 0;
}

// Whether the boxes around the two lines come near one another.
bool may_touch(const AlignedRun& one, const AlignedRun& other) {
    const auto apart = [&](auto&& part) {
        const auto [a_lo, a_hi] = std::ranges::minmax(one.points, {}, part);
        const auto [b_lo, b_hi] = std::ranges::minmax(other.points, {}, part);
        return part(b_lo) > part(a_hi) + kFarthest_m || part(a_lo) > part(b_hi) + kFarthest_m;
    };
    return !apart([](const LinePoint& point) { return point.at.e_m; }) &&
           !apart([](const LinePoint& point) { return point.at.n_m; });
}

struct RunOf {
    const AlignedRun& line;
    const GradedRun& graded;
};

std::optional<SharedLine> shared_by(const RunOf& shorter, const RunOf& longer) {
    const double length_m = shorter.line.points.back().station_m;
    const int steps = static_cast<int>(std::ceil(length_m / kStep_m));
    SharedLine shared{shorter.line.run.id, longer.line.run.id, 0.0, 0.0};
    for (int i = 0; i < steps; ++i) {
        const double station_m = length_m * (i + 0.5) / steps;
        const auto here = point_at(shorter.line, station_m);
        if (!here) continue;
        const Nearest nearest = nearest_on(longer.line, *here);
        if (!lie_together(*here, longer.line, nearest)) continue;
        if (depths_differ(cover_at(shorter.graded, station_m),
                          cover_at(longer.graded, nearest.station_m))) {
            continue;
        }
        shared.length_m += length_m / steps;
        shared.apart_m = std::max(shared.apart_m, nearest.apart_m);
    }
    if (shared.length_m < kShortest_m || shared.length_m <= length_m / 2.0) return std::nullopt;
    return shared;
}

Figure<Bounded> one_pipe_or_two(const CountedTwice& twice, const std::string& with_both,
                                const std::string& counted_once) {
    return withheld<Bounded>(
        fmt::format("{} and {} may be one pipe pushed twice: with both it is {}, counted once {}",
                    twice.first.run.text, twice.first.longer.text, with_both, counted_once),
        "If it is one pipe, leave one of the two out of the table of runs, and process again.");
}

}  // namespace

std::vector<SharedLine> shared_lines(const Lines& lines, const Profiles& profiles) {
    std::vector<SharedLine> all;
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        for (std::size_t j = i + 1; j < lines.runs.size(); ++j) {
            const AlignedRun& one = lines.runs[i];
            const AlignedRun& other = lines.runs[j];
            if (!has_bounds(one) || !has_bounds(other) || !may_touch(one, other)) continue;
            const bool other_longer = other.points.back().station_m > one.points.back().station_m;
            const std::size_t shorter = other_longer ? i : j;
            const std::size_t longer = other_longer ? j : i;
            const auto shared = shared_by({lines.runs[shorter], profiles.runs[shorter]},
                                          {lines.runs[longer], profiles.runs[longer]});
            if (shared) all.push_back(*shared);
        }
    }
    return all;
}

std::optional<CountedTwice> counted_twice(const std::vector<SharedLine>& shared, const Lines& lines,
                                          const std::vector<std::size_t>& indices) {
    const auto among = [&](const RunId& id) {
        return std::ranges::any_of(indices,
                                   [&](std::size_t i) { return lines.runs[i].run.id == id; });
    };
    std::optional<CountedTwice> twice;
    for (const std::size_t i : indices) {
        double most_m = 0.0;  // of a pipe pushed three times, the third lies on both others
        for (const SharedLine& pair : shared) {
            if (pair.run != lines.runs[i].run.id || !among(pair.longer)) continue;
            if (!twice) twice = CountedTwice{pair, {}, 0.0};
            most_m = std::max(most_m, pair.length_m);
        }
        if (most_m <= 0.0) continue;
        twice->runs.push_back(lines.runs[i].run.id);
        twice->length_m += most_m;
    }
    return twice;
}

Figure<Bounded> length_or_less(const CountedTwice& twice, double sum_m, LengthUnit unit) {
    return one_pipe_or_two(twice, length_words(sum_m, unit, 1),
                           length_words(sum_m - twice.length_m, unit, 1));
}

Figure<Bounded> runs_or_fewer(const CountedTwice& twice, std::size_t runs) {
    return one_pipe_or_two(twice, fmt::format("{}", runs),
                           fmt::format("{}", runs - twice.runs.size()));
}

void tell_shared_lines(const std::vector<SharedLine>& shared, LengthUnit unit, Findings& findings) {
    for (const SharedLine& pair : shared) {
        Where where;
        where.run = pair.run.text;
        findings.push_back(
            {Severity::caution, where,
             fmt::format("{} lies on {} over {}, nowhere more than {} away and as deep as far as "
                         "depths tell: they may be one pipe pushed twice under two names. Sums and "
                         "the list of quantities count that length twice.",
                         pair.run.text, pair.longer.text, length_words(pair.length_m, unit, 1),
                         grade::height_words(pair.apart_m, unit)),
             "If it is one pipe, leave one of the two out of the table of runs and process again. "
             "If "
             "two pipes lie in one trench, let both stand."});
    }
}

}  // namespace sondeline
