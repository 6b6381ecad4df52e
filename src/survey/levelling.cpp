#include "survey/levelling.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "survey/level_words.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double suspect_in_sd = 3.29;  // 0.1 % by chance
// Two readings whose w differ by less than this share cannot be told apart: in a plain loop all
// are equal.
constexpr double told_apart = 0.05;
constexpr double least_share = 1e-3;  // of redundancy: nothing checks a row with less
constexpr int most_left_out = 2;
// The normal matrix is dense: beyond this it takes minutes, and no site has so many readings.
constexpr std::size_t most_readings = 1000;

// One equation: height of instrument − elevation = reading, or elevation = benchmark.
struct Row {
    int plus = -1;   // unknown with +1
    int minus = -1;  // unknown with −1; −1: none
    double value = 0.0;
    double sd = 1.0;
    bool used = true;
};

// Sights first, then benchmarks, as in the book. Unknowns: setups, then points.
std::vector<Row> rows_of(const LevelBook& book, const ReachedLevels& reached,
                         const LevelOptions& options) {
    std::vector<Row> rows;
    const int setups = static_cast<int>(book.setups.size());
    for (const LevelSight& sight : book.sights) {
        rows.push_back({sight.setup, setups + sight.point, sight.reading_m, options.reading_sd_m,
                        reached.setups[static_cast<std::size_t>(sight.setup)]});
    }
    for (const LevelBenchmark& mark : book.benchmarks) {
        rows.push_back({setups + mark.point, -1, mark.elevation_m, options.benchmark_sd_m});
    }
    return rows;
}

struct Solution {
    Eigen::VectorXd unknowns;  // heights of instrument, then elevations
    Eigen::MatrixXd covariance;
    double square_sum = 0.0;
    int redundant = 0;
};

Solution solve(const std::vector<Row>& rows, const LevelBook& book, const ReachedLevels& reached) {
    const auto setups = static_cast<Eigen::Index>(book.setups.size());
    const Eigen::Index size = setups + static_cast<Eigen::Index>(book.points.size());
    Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(size, size);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(size);
    Solution out;
    for (const Row& row : rows) {
        if (!row.used) continue;
        const double weight = 1.0 / (row.sd * row.sd);
        normal(row.plus, row.plus) += weight;
        right(row.plus) += weight * row.value;
        ++out.redundant;
        if (row.minus < 0) continue;
        normal(row.minus, row.minus) += weight;
        normal(row.plus, row.minus) -= weight;
        normal(row.minus, row.plus) -= weight;
        right(row.minus) -= weight * row.value;
    }
    for (Eigen::Index i = 0; i < size; ++i) {
        const bool used = i < setups ? reached.setups[static_cast<std::size_t>(i)]
                                     : reached.points[static_cast<std::size_t>(i - setups)];
        if (used) {
            --out.redundant;
        } else {
            normal(i, i) = 1.0;  // what no benchmark reaches stands still at zero
        }
    }
    out.covariance = normal.ldlt().solve(Eigen::MatrixXd::Identity(size, size));
    out.unknowns = out.covariance * right;
    for (const Row& row : rows) {
        if (!row.used) continue;
        const double fitted =
            out.unknowns(row.plus) - (row.minus < 0 ? 0.0 : out.unknowns(row.minus));
        out.square_sum += std::pow((fitted - row.value) / row.sd, 2);
    }
    return out;
}

// χ² that is passed by chance once in a hundred times: exact for one degree of freedom (standard
// tables, from memory), beyond by Wilson and Hilferty's cube root.
double chi_square_limit(int freedom) {
    constexpr double at_one = 6.635;
    if (freedom == 1) return at_one;
    const double n = freedom;
    return n * std::pow(1.0 - 2.0 / (9.0 * n) + 2.3263 * std::sqrt(2.0 / (9.0 * n)), 3);
}

bool fits(const Solution& solution) {
    return solution.redundant <= 0 || solution.square_sum <= chi_square_limit(solution.redundant);
}

struct Suspect {
    std::size_t row = 0;
    double w = 0.0;
    double off = 0.0;  // as read less as it should be: −v/r
};

// The one row that alone explains the misfit, if there is one.
std::optional<Suspect> lone_suspect(const std::vector<Row>& rows, const Solution& solution) {
    std::optional<Suspect> worst;
    double next = 0.0;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const Row& row = rows[i];
        if (!row.used) continue;
        const auto& c = solution.covariance;
        double variance = c(row.plus, row.plus);
        double fitted = solution.unknowns(row.plus);
        if (row.minus >= 0) {
            variance += c(row.minus, row.minus) - 2.0 * c(row.plus, row.minus);
            fitted -= solution.unknowns(row.minus);
        }
        const double share = 1.0 - variance / (row.sd * row.sd);
        if (share < least_share) continue;
        const double v = fitted - row.value;
        const double w = std::abs(v) / (row.sd * std::sqrt(share));
        if (!worst || w > worst->w) {
            next = worst ? worst->w : 0.0;
            worst = Suspect{i, w, -v / share};
        } else {
            next = std::max(next, w);
        }
    }
    if (!worst || worst->w < suspect_in_sd || next > (1.0 - told_apart) * worst->w) {
        return std::nullopt;
    }
    return worst;
}

LevelSuspect in_book(const LevelBook& book, const Suspect& suspect) {
    const std::size_t sights = book.sights.size();
    if (suspect.row < sights) return {static_cast<int>(suspect.row), -1, suspect.off};
    return {std::nullopt, static_cast<int>(suspect.row - sights), suspect.off};
}

// Leaves out what contradicts the rest, if that is all that is wrong; else leaves all in.
std::vector<LevelSuspect> leave_out_contradictions(std::vector<Row>& rows, Solution& solution,
                                                   const LevelBook& book,
                                                   const ReachedLevels& reached) {
    std::vector<LevelSuspect> out;
    std::vector<Row> kept = rows;
    Solution tried = solution;
    while (!fits(tried)) {
        const auto suspect = lone_suspect(kept, tried);
        if (!suspect || static_cast<int>(out.size()) == most_left_out) return {};
        kept[suspect->row].used = false;
        out.push_back(in_book(book, *suspect));
        tried = solve(kept, book, reached);
    }
    rows = std::move(kept);
    solution = std::move(tried);
    return out;
}

// Nothing shows an error of a side shot, which lies in no loop.
bool is_checked(const Row& row, const Solution& solution) {
    const auto& c = solution.covariance;
    const double variance =
        c(row.plus, row.plus) + c(row.minus, row.minus) - 2.0 * c(row.plus, row.minus);
    return 1.0 - variance / (row.sd * row.sd) > least_share;
}

// What is left of the misfit when rows i and k trade their readings; the normal matrix stays.
double square_sum_exchanged(const std::vector<Row>& rows, std::size_t i, std::size_t k,
                            const Solution& solution) {
    const double more = rows[k].value - rows[i].value;
    const auto& c = solution.covariance;
    const double weight = 1.0 / (rows[i].sd * rows[i].sd);
    const Eigen::VectorXd moved =
        solution.unknowns + more * weight *
                                (c.col(rows[i].plus) - c.col(rows[i].minus) - c.col(rows[k].plus) +
                                 c.col(rows[k].minus));
    double sum = 0.0;
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const Row& row = rows[r];
        if (!row.used) continue;
        const double value = row.value + (r == i ? more : r == k ? -more : 0.0);
        const double fitted = moved(row.plus) - (row.minus < 0 ? 0.0 : moved(row.minus));
        sum += std::pow((fitted - value) / row.sd, 2);
    }
    return sum;
}

// Pairs of readings, of one setup or of one point, without whose exchange nothing closes.
std::vector<ExchangedSights> exchanged_sights(const std::vector<Row>& rows,
                                              const Solution& solution, const LevelBook& book) {
    std::vector<ExchangedSights> found;
    std::vector<std::size_t> checked;
    for (std::size_t i = 0; i < book.sights.size(); ++i) {
        if (rows[i].used && is_checked(rows[i], solution)) checked.push_back(i);
    }
    for (std::size_t a = 0; a < checked.size(); ++a) {
        for (std::size_t b = a + 1; b < checked.size(); ++b) {
            const LevelSight& one = book.sights[checked[a]];
            const LevelSight& other = book.sights[checked[b]];
            if ((one.setup == other.setup) == (one.point == other.point)) continue;
            const double left = square_sum_exchanged(rows, checked[a], checked[b], solution);
            if (left > chi_square_limit(solution.redundant)) continue;
            found.push_back({book.setups[static_cast<std::size_t>(one.setup)],
                             book.points[static_cast<std::size_t>(one.point)],
                             book.setups[static_cast<std::size_t>(other.setup)],
                             book.points[static_cast<std::size_t>(other.point)]});
        }
    }
    return found;
}

void assume_benchmark(LevelBook& book, const LevelOptions& options, Findings& findings) {
    book.benchmarks.push_back({0, options.assumed_elevation_m, {}});
    Where where;
    where.file = "levels";
    findings.push_back({Severity::info, where,
                        fmt::format("No benchmark elevation is given; {} was taken as {:.2f} m "
                                    "({:.2f} ft). Heights hold within this job only.",
                                    book.points.front(), options.assumed_elevation_m,
                                    options.assumed_elevation_m / foot_m),
                        "Give an elevation in the levels table to tie the heights."});
}

void fill_points(const LevelBook& book, const ReachedLevels& reached, const Solution& solution,
                 LevelNet& net) {
    const double misfit =
        net.closes ? 1.0 : std::sqrt(solution.square_sum / std::max(1, solution.redundant));
    for (std::size_t i = 0; i < book.points.size(); ++i) {
        if (!reached.points[i]) continue;
        const auto row = static_cast<Eigen::Index>(book.setups.size() + i);
        LevelledPoint point;
        point.elevation_m = {solution.unknowns(row),
                             misfit * std::sqrt(solution.covariance(row, row))};
        point.readings = static_cast<int>(
            std::ranges::count(book.sights, static_cast<int>(i), &LevelSight::point));
        point.benchmark = std::ranges::find(book.benchmarks, static_cast<int>(i),
                                            &LevelBenchmark::point) != book.benchmarks.end();
        net.points[book.points[i]] = point;
    }
}

}  // namespace

LevelNet adjust_levels(const std::vector<LevelReading>& readings, const LevelOptions& options,
                       Findings& findings) {
    LevelNet net;
    if (readings.size() > most_readings) {
        tell_too_many_levels(readings.size(), most_readings, findings);
        return net;
    }
    LevelBook book = level_book(readings, findings);
    if (book.sights.empty() && book.benchmarks.empty()) return net;
    if (book.benchmarks.empty()) assume_benchmark(book, options, findings);
    const ReachedLevels reached = reached_from_benchmarks(book);
    tell_unreached_levels(book, reached, findings);
    std::vector<Row> rows = rows_of(book, reached, options);
    Solution solution = solve(rows, book, reached);
    const std::vector<LevelSuspect> left_out =
        leave_out_contradictions(rows, solution, book, reached);
    for (const LevelSuspect& suspect : left_out) {
        tell_left_out(book, suspect, options.unit, findings);
    }
    net.setups = static_cast<int>(std::ranges::count(reached.setups, true));
    net.redundant = solution.redundant;
    net.left_out = static_cast<int>(left_out.size());
    net.square_sum = solution.square_sum;
    net.closes = fits(solution);
    if (!net.closes) net.exchanged = exchanged_sights(rows, solution, book);
    net.loops = level_loops(book);
    const auto worst = std::ranges::max_element(
        net.loops, {}, [&](const LevelLoop& loop) { return closure_in_sd(loop, options); });
    if (worst != net.loops.end()) net.closure_m = worst->closure_m;
    fill_points(book, reached, solution, net);
    if (net.setups > 0) tell_closure(net, options, findings);
    return net;
}

}  // namespace sondeline
