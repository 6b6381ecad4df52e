// The job folders of an inbox, and when they have been copied.
#pragma once

#include <map>

#include "sondeline/service.hpp"

namespace sondeline {

// A job folder as it stands: every file with size, time and number. Two that are equal hold the
// same files.
struct JobState {
    std::string signature;      // sixteen hexadecimal digits
    bool being_copied = false;  // a file is open for writing, or is called as one not yet whole
};

// By name within the inbox ("tuesday/oak"), at most two levels down. Folders without footage or
// tables are none, nor are hidden ones and maps.
std::map<std::string, JobState> jobs_of_inbox(const std::filesystem::path& inbox);

// Names such as "clip.mp4.part", ".clip.mp4.x8Kq2" or "clip.mp4.crdownload".
bool is_called_unfinished(const std::string& name);

// Which jobs have not changed for long enough. Time is handed in and need only run forward.
class Settling {
  public:
    explicit Settling(double settle_s) : settle_s_(settle_s) {}

    // Takes a new look and gives the names of jobs that have settled.
    std::vector<std::string> settled(const std::map<std::string, JobState>& jobs, double now_s);

  private:
    struct Known {
        std::string signature;
        double since_s = 0.0;
    };

    double settle_s_;
    std::map<std::string, Known> known_;
};

// Held as long as it lives; let go by the system when the process ends, however it ends.
class InboxLock {
  public:
    explicit InboxLock(const std::filesystem::path& file);
    ~InboxLock();
    InboxLock(const InboxLock&) = delete;
    InboxLock& operator=(const InboxLock&) = delete;

    bool held() const { return held_; }
    const std::string& why_not() const { return why_not_; }

  private:
    int descriptor_ = -1;
    bool held_ = false;
    std::string why_not_;
};

}  // namespace sondeline
