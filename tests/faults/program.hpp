// The built program run as a user runs it, and what came of it.
#pragma once

#include <chrono>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include <sys/types.h>

#include "service/own_folder.hpp"

namespace sondeline {

struct Ran {
    int exit_code = -1;  // -1: ended by a signal
    int signal = 0;
    std::string out;
    std::string err;
};

struct RunHow {
    // In the child before the program starts: limits, another user, other standard streams.
    std::function<void()> before;
    std::vector<std::string> environment;  // "NAME=value", beside what the test has
};

// A copy of the sample's tables beside clips of a second without a counter, so that every file of
// the set is written within a moment.
class JobOfProgram : public OwnFolder {
  protected:
    JobOfProgram();

    // Starts the program and goes on; finish() waits for it.
    pid_t start(const std::vector<std::string>& words, const RunHow& how = {}) const;
    Ran finish(pid_t child) const;
    Ran run(const std::vector<std::string>& words, const RunHow& how = {}) const {
        return finish(start(words, how));
    }

    // What stands in a folder: names below it and their bytes.
    static std::map<std::string, std::string> files_in(const std::filesystem::path& folder);
    // Names that the program gives to what is not finished, anywhere below.
    static std::vector<std::string> unfinished_in(const std::filesystem::path& folder);

    std::string job() const { return (folder_ / "job").string(); }
    std::filesystem::path as_built() const { return folder_ / "job/asbuilt"; }
    std::string cache() const { return (folder_ / "cache").string(); }
    std::vector<std::string> process() const { return {"process", job(), "--cache", cache()}; }
};

// Gives up the rights of root, which no file refuses; does nothing for another user.
void become_nobody();

}  // namespace sondeline
