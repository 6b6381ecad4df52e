// What a watcher remembers of its jobs, and what it tells others.
#pragma once

#include <map>

#include "sondeline/service.hpp"

namespace sondeline {

enum class WatchState { being_copied, waiting, working, done, failed, left_alone };
std::string_view word(WatchState state);

struct WatchedJob {
    WatchState state = WatchState::waiting;
    std::string signature;
    int exit_code = 0;
    int problems = 0;
    std::string words;  // why it failed or is left alone
};

// What was begun and finished with which files, one small file a job. A record that cannot be read
// counts as none.
class WatchRecords {
  public:
    explicit WatchRecords(std::filesystem::path folder) : folder_(std::move(folder)) {}

    // How often work on this state of the job was begun and not ended.
    int unfinished_starts(const std::string& job, const std::string& signature) const;
    std::optional<WatchedJob> finished(const std::string& job, const std::string& signature) const;

    void begin(const std::string& job, const std::string& signature) const;
    void finish(const std::string& job, const WatchedJob& outcome) const;
    // Asked to stop in the middle: that was no failure of the job.
    void withdraw(const std::string& job) const;

  private:
    std::filesystem::path record_of(const std::string& job) const;

    std::filesystem::path folder_;
};

// The status file: {"schema": "sondeline-watch/1", "state": …, "process": …, "jobs": [ … ]}.
std::string status_json(std::string_view state, const std::map<std::string, WatchedJob>& jobs);

}  // namespace sondeline
