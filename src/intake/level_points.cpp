#include "intake/level_points.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>

#include <fmt/format.h>

#include "intake/text.hpp"

namespace sondeline {

namespace {

constexpr std::size_t kMostNamed = 5;

std::vector<std::string> known_points(const Job& job) {
    std::vector<std::string> names;
    for (const Structure& structure : job.structures) names.push_back(structure.id.text);
    for (const Fix& fix : job.fixes) names.push_back(fix.id);
    return names;
}

void settle_case(const std::vector<std::string>& known, Job& job, FindingLog& log) {
    std::map<std::string, std::set<std::string>> written;  // as known, by lower case
    for (const std::string& name : known) written[lower_case(name)].insert(name);
    for (LevelReading& level : job.levels) {
        auto& names = written[lower_case(level.point)];
        if (names.empty()) names.insert(level.point);
        if (names.size() != 1 || names.contains(level.point)) continue;
        SourceCell cell = level.source;
        cell.column = "point";
        if (log.first_time(cell, "case")) {
            log.info(cell,
                     fmt::format("{} was taken for {}, and other points of the levels likewise.",
                                 shown(level.point), shown(*names.begin())),
                     "Write ids alike everywhere.");
        }
        level.point = *names.begin();
    }
}

// How many letters have to be added, left out or changed to make one of the other (Levenshtein).
std::size_t letters_apart(const std::string& one, const std::string& other) {
    std::vector<std::size_t> row(other.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 0; i < one.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i + 1;
        for (std::size_t j = 0; j < other.size(); ++j) {
            const std::size_t change = diagonal + (one[i] == other[j] ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({change, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row.back();
}

std::string letters_of(const std::string& name, bool digits) {
    std::string kept;
    for (const char letter : lower_case(name)) {
        const bool digit = letter >= '0' && letter <= '9';
        const bool joint = letter == ' ' || letter == '-' || letter == '_';
        if (digits ? digit : !joint) kept += letter;
    }
    return kept;
}

// "TP3", "cp 2": a turning or change point, which no other table lists.
bool named_as_turn(const std::string& point) {
    const std::string name = letters_of(point, false);
    return (name.starts_with("tp") || name.starts_with("cp")) &&
           name.find_first_not_of("0123456789", 2) == std::string::npos;
}

// Points that are read from no other setup and stand in no other table, in the table's order.
std::vector<const LevelReading*> serving_nothing(const Job& job,
                                                 const std::vector<std::string>& known) {
    std::set<std::string> useful(known.begin(), known.end());
    for (const LevelReading& level : job.levels) {
        if (level.backsight_m || level.elevation_m) useful.insert(level.point);
    }
    std::vector<const LevelReading*> idle;
    for (const LevelReading& level : job.levels) {
        if (named_as_turn(level.point)) continue;
        if (useful.insert(level.point).second) idle.push_back(&level);
    }
    return idle;
}

// The name most like `point`, if any is like it at all. Names that differ in their numbers name
// different things.
std::string likest(const std::string& point, const std::vector<std::string>& names) {
    const std::string typed = letters_of(point, false);
    std::string best;
    std::size_t least = 0;
    for (const std::string& name : names) {
        const std::string other = letters_of(name, false);
        if (other.empty() || letters_of(point, true) != letters_of(name, true)) continue;
        const bool within = typed.find(other) != std::string::npos ||
                            (typed.size() > 1 && other.find(typed) != std::string::npos);
        const std::size_t apart = letters_apart(typed, other);
        if (!within && 3 * apart >= std::max(typed.size(), other.size())) continue;
        if (!best.empty() && apart >= least) continue;
        best = name;
        least = apart;
    }
    return best;
}

void tell_idle(const std::vector<const LevelReading*>& idle,
               const std::vector<std::string>& without_level, FindingLog& log) {
    std::vector<std::string> points;
    bool any_like = false;
    for (const LevelReading* level : idle) {
        const std::string like = likest(level->point, without_level);
        any_like = any_like || !like.empty();
        points.push_back(shown(level->point) +
                         (like.empty() ? "" : fmt::format(" (is it {}?)", shown(like))));
    }
    if (points.size() > kMostNamed) {
        const std::size_t more = points.size() - kMostNamed + 1;
        points.resize(kMostNamed - 1);
        points.push_back(fmt::format("{} more", more));
    }
    SourceCell cell = idle.front()->source;
    cell.column = "point";
    const std::string what = fmt::format(
        "The levels were read at {}, which no table lists as a structure or a fix and "
        "no other setup uses: these heights serve nothing.",
        listed(points));
    const std::string what_to_do = "Write the point as the structure or the fix is written.";
    any_like ? log.caution(cell, what, what_to_do) : log.info(cell, what, what_to_do);
}

}  // namespace

void check_level_points(Job& job, FindingLog& log) {
    const std::vector<std::string> known = known_points(job);
    settle_case(known, job, log);
    const auto idle = serving_nothing(job, known);
    if (idle.empty()) return;
    std::set<std::string> levelled;
    for (const LevelReading& level : job.levels) levelled.insert(level.point);
    std::vector<std::string> without_level;
    std::ranges::copy_if(known, std::back_inserter(without_level),
                         [&](const std::string& name) { return !levelled.contains(name); });
    tell_idle(idle, without_level, log);
}

}  // namespace sondeline
