// The findings of intake as they are gathered, kept to a number that a person can read.
#pragma once

#include <map>
#include <set>
#include <string>

#include "sondeline/terms.hpp"

namespace sondeline {

class FindingLog {
  public:
    // Something could not be used.
    void problem(const SourceCell& cell, std::string what, std::string what_to_do);
    // Something was used, but may be wrong.
    void caution(const SourceCell& cell, std::string what, std::string what_to_do);
    void info(const SourceCell& cell, std::string what, std::string what_to_do);
    void add(Finding finding);

    // True the first time it is asked about this column, for findings that hold for all its cells.
    bool first_time(const SourceCell& cell, const std::string& about);

    // The findings in the order they came; of many that differ in their cell alone a few are told
    // in full and the others by their rows. A file that gave very many of them (binary data under
    // the name of a table) ends with one that says how many more there were.
    Findings take();

  private:
    Findings findings_;
    std::map<std::string, int> count_of_file_;
    std::set<std::string> told_;
};

}  // namespace sondeline
