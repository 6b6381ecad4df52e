#include "survey/levelling.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

namespace sondeline {

namespace {

struct Sight {
    int setup = 0;
    int point = 0;
    double reading_m = 0.0;
    bool back = false;
};

// The readings with setups and points numbered in the order in which they first appear.
struct Book {
    std::vector<std::string> points;
    std::vector<std::string> setups;
    std::vector<Sight> sights;
    std::vector<std::pair<int, double>> benchmarks;  // point, elevation

    static int number(std::vector<std::string>& names, const std::string& name) {
        const auto known = std::ranges::find(names, name);
        if (known != names.end()) return static_cast<int>(known - names.begin());
        names.push_back(name);
        return static_cast<int>(names.size()) - 1;
    }
};

// A backsight and a foresight in one row belong to two setups, and the row names one: which of the
// two readings is its own cannot be known.
bool of_two_setups(const LevelReading& row, Findings& findings) {
    if (!row.backsight_m || !row.foresight_m) return false;
    findings.push_back({Severity::problem, where_is(row.source),
                        fmt::format("{} has a backsight and a foresight in one row; neither was "
                                    "used, as they belong to two setups.",
                                    row.point),
                        "Write two rows: the foresight with the setup it was read from, the "
                        "backsight with the next one.",
                        Consequence::input_rejected});
    return true;
}

Book book_of(const std::vector<LevelReading>& readings, Findings& findings) {
    Book book;
    for (const LevelReading& row : readings) {
        const int point = Book::number(book.points, row.point);
        if (row.elevation_m) book.benchmarks.emplace_back(point, *row.elevation_m);
        if (!row.backsight_m && !row.foresight_m) continue;
        if (of_two_setups(row, findings)) continue;
        const int setup = Book::number(book.setups, row.setup);
        if (row.backsight_m) book.sights.push_back({setup, point, *row.backsight_m, true});
        if (row.foresight_m) book.sights.push_back({setup, point, *row.foresight_m, false});
    }
    return book;
}

// Points that a chain of setups ties to a benchmark.
struct Reached {
    std::vector<bool> points;
    std::vector<bool> setups;
};

Reached reached_from_benchmarks(const Book& book) {
    Reached reached{std::vector<bool>(book.points.size(), false),
                    std::vector<bool>(book.setups.size(), false)};
    for (const auto& [point, elevation_m] : book.benchmarks) {
        reached.points[static_cast<std::size_t>(point)] = true;
    }
    for (bool grew = true; grew;) {
        grew = false;
        for (const Sight& sight : book.sights) {
            const auto point = static_cast<std::size_t>(sight.point);
            const auto setup = static_cast<std::size_t>(sight.setup);
            if (reached.points[point] == reached.setups[setup]) continue;
            reached.points[point] = true;
            reached.setups[setup] = true;
            grew = true;
        }
    }
    return reached;
}

void report_unreached(const Book& book, const Reached& reached, Findings& findings) {
    for (std::size_t i = 0; i < book.points.size(); ++i) {
        if (reached.points[i]) continue;
        Where where;
        where.file = "levels";
        where.structure = book.points[i];
        findings.push_back(
            {Severity::caution, where,
             fmt::format("The level readings of {} have no link to a benchmark; they "
                         "were not used.",
                         book.points[i]),
             "Read one point of this setup from another setup as well.",
             Consequence::input_rejected});
    }
}

struct Solution {
    Eigen::VectorXd unknowns;  // heights of instrument, then elevations
    Eigen::MatrixXd covariance;
    double square_sum = 0.0;
    double closure_m = 0.0;
    int observations = 0;
};

// The closure comes out of the residuals: over a loop Σ back − Σ fore is what the adjusted readings
// make zero, and side shots have no residual.
Solution solve(const Book& book, const Reached& reached, const LevelOptions& options) {
    const auto setups = static_cast<Eigen::Index>(book.setups.size());
    const Eigen::Index size = setups + static_cast<Eigen::Index>(book.points.size());
    Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(size, size);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(size);
    const double weight = 1.0 / (options.reading_sd_m * options.reading_sd_m);
    const double datum = 1.0 / (options.benchmark_sd_m * options.benchmark_sd_m);
    Solution solution;
    for (const Sight& sight : book.sights) {
        if (!reached.setups[static_cast<std::size_t>(sight.setup)]) continue;
        const Eigen::Index h = sight.setup;
        const Eigen::Index z = setups + sight.point;
        normal(h, h) += weight;
        normal(z, z) += weight;
        normal(h, z) -= weight;
        normal(z, h) -= weight;
        right(h) += weight * sight.reading_m;
        right(z) -= weight * sight.reading_m;
        ++solution.observations;
    }
    for (const auto& [point, elevation_m] : book.benchmarks) {
        normal(setups + point, setups + point) += datum;
        right(setups + point) += datum * elevation_m;
        ++solution.observations;
    }
    // What no benchmark reaches stands still at zero.
    for (Eigen::Index i = 0; i < size; ++i) {
        const bool used = i < setups ? reached.setups[static_cast<std::size_t>(i)]
                                     : reached.points[static_cast<std::size_t>(i - setups)];
        if (!used) normal(i, i) = 1.0;
    }
    solution.covariance = normal.ldlt().solve(Eigen::MatrixXd::Identity(size, size));
    solution.unknowns = solution.covariance * right;
    for (const Sight& sight : book.sights) {
        if (!reached.setups[static_cast<std::size_t>(sight.setup)]) continue;
        const double residual_m = solution.unknowns(sight.setup) -
                                  solution.unknowns(setups + sight.point) - sight.reading_m;
        solution.square_sum += weight * residual_m * residual_m;
        solution.closure_m -= sight.back ? residual_m : -residual_m;
    }
    for (const auto& [point, elevation_m] : book.benchmarks) {
        const double residual_m = solution.unknowns(setups + point) - elevation_m;
        solution.square_sum += datum * residual_m * residual_m;
    }
    return solution;
}

// Limits of χ² at 1 % for 1 to 10 degrees of freedom (from memory, standard tables), beyond by
// Wilson and Hilferty's cube root.
double chi_square_limit(int freedom) {
    constexpr double at_one = 6.635;
    if (freedom == 1) return at_one;
    const double n = freedom;
    return n * std::pow(1.0 - 2.0 / (9.0 * n) + 2.3263 * std::sqrt(2.0 / (9.0 * n)), 3);
}

void report_closure(const LevelNet& net, Findings& findings) {
    Where where;
    where.file = "levels";
    if (net.redundant <= 0) {
        findings.push_back({Severity::info, where,
                            "The levels have no check: every point was read once.",
                            "Close the loop: read the benchmark once more at the end."});
        return;
    }
    const std::string closure = net.closure_m
                                    ? fmt::format("{:.1f} mm", 1000.0 * std::abs(*net.closure_m))
                                    : fmt::format("{:.1f} times what is expected",
                                                  std::sqrt(net.square_sum / net.redundant));
    if (net.square_sum > chi_square_limit(net.redundant)) {
        findings.push_back({Severity::problem, where,
                            fmt::format("The level loop does not close: {} over {} setups. Every "
                                        "elevation may be wrong by as much.",
                                        closure, net.setups),
                            "Look for a misread or mistyped rod reading, or level again."});
        return;
    }
    findings.push_back({Severity::info, where,
                        fmt::format("The levels close within {}; it was spread over the {} setups.",
                                    closure, net.setups),
                        ""});
}

}  // namespace

LevelNet adjust_levels(const std::vector<LevelReading>& readings, const LevelOptions& options,
                       Findings& findings) {
    LevelNet net;
    Book book = book_of(readings, findings);
    if (book.sights.empty() && book.benchmarks.empty()) return net;
    if (book.benchmarks.empty()) {
        book.benchmarks.emplace_back(0, options.assumed_elevation_m);
        Where where;
        where.file = "levels";
        findings.push_back({Severity::info, where,
                            fmt::format("No benchmark elevation is given; {} was taken as {:.2f} m "
                                        "({:.2f} ft). Heights hold within this job only.",
                                        book.points.front(), options.assumed_elevation_m,
                                        options.assumed_elevation_m / 0.3048),
                            "Give an elevation in the levels table to tie the heights."});
    }
    const Reached reached = reached_from_benchmarks(book);
    report_unreached(book, reached, findings);
    const Solution solution = solve(book, reached, options);
    const auto used_setups = std::ranges::count(reached.setups, true);
    const auto used_points = std::ranges::count(reached.points, true);
    net.setups = static_cast<int>(used_setups);
    net.redundant = solution.observations - static_cast<int>(used_setups + used_points);
    net.square_sum = solution.square_sum;
    if (net.redundant == 1) net.closure_m = solution.closure_m;
    for (std::size_t i = 0; i < book.points.size(); ++i) {
        if (!reached.points[i]) continue;
        const auto row = static_cast<Eigen::Index>(book.setups.size() + i);
        LevelledPoint point;
        point.elevation_m = {solution.unknowns(row), std::sqrt(solution.covariance(row, row))};
        for (const Sight& sight : book.sights) {
            point.readings += sight.point == static_cast<int>(i) ? 1 : 0;
        }
        point.benchmark = std::ranges::any_of(
            book.benchmarks, [&](const auto& mark) { return mark.first == static_cast<int>(i); });
        net.points[book.points[i]] = point;
    }
    if (net.setups > 0) report_closure(net, findings);
    return net;
}

}  // namespace sondeline
