#include "survey/level_book.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace sondeline {

namespace {

int number(std::vector<std::string>& names, const std::string& name) {
    const auto known = std::ranges::find(names, name);
    if (known != names.end()) return static_cast<int>(known - names.begin());
    names.push_back(name);
    return static_cast<int>(names.size()) - 1;
}

// Which of the two readings is the row's own cannot be known.
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

}  // namespace

LevelBook level_book(const std::vector<LevelReading>& readings, Findings& findings) {
    LevelBook book;
    for (const LevelReading& row : readings) {
        const int point = number(book.points, row.point);
        if (row.elevation_m) book.benchmarks.push_back({point, *row.elevation_m, row.source});
        if (!row.backsight_m && !row.foresight_m) continue;
        if (of_two_setups(row, findings)) continue;
        const int setup = number(book.setups, row.setup);
        const bool back = row.backsight_m.has_value();
        book.sights.push_back(
            {setup, point, back ? *row.backsight_m : *row.foresight_m, back, row.source});
    }
    return book;
}

ReachedLevels reached_from_benchmarks(const LevelBook& book) {
    ReachedLevels reached{std::vector<bool>(book.points.size(), false),
                          std::vector<bool>(book.setups.size(), false)};
    for (const LevelBenchmark& mark : book.benchmarks) {
        reached.points[static_cast<std::size_t>(mark.point)] = true;
    }
    for (bool grew = true; grew;) {
        grew = false;
        for (const LevelSight& sight : book.sights) {
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

}  // namespace sondeline
