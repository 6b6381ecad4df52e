// Level readings with their setups and points numbered: the level book as a graph.
#pragma once

#include <string>
#include <vector>

#include "sondeline/survey.hpp"

namespace sondeline {

struct LevelSight {
    int setup = 0;  // index into LevelBook::setups
    int point = 0;  // index into LevelBook::points
    double reading_m = 0.0;
    bool back = false;
    SourceCell source;
};

struct LevelBenchmark {
    int point = 0;
    double elevation_m = 0.0;
    SourceCell source;
};

// Setups and points in the order in which they first appear.
struct LevelBook {
    std::vector<std::string> points;
    std::vector<std::string> setups;
    std::vector<LevelSight> sights;
    std::vector<LevelBenchmark> benchmarks;
};

// A row with a backsight and a foresight belongs to two setups and names one: it is reported and
// left out.
LevelBook level_book(const std::vector<LevelReading>& readings, Findings& findings);

// What a chain of setups ties to a benchmark.
struct ReachedLevels {
    std::vector<bool> points;
    std::vector<bool> setups;
};
ReachedLevels reached_from_benchmarks(const LevelBook& book);

}  // namespace sondeline
