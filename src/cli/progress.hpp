// Progress on standard error: a bar with rate and time left on a terminal, a plain line per clip
// elsewhere, lines of JSON for programs.
#pragma once

#include <chrono>
#include <cstdint>
#include <map>
#include <string>

namespace sondeline::cli {

enum class ProgressStyle { silent, bar, lines, json };

// Silent when quiet; else JSON when asked for, a bar when standard error is a terminal, or lines.
ProgressStyle progress_style(bool quiet, bool json);

// How far the whole has got.
struct Advance {
    std::size_t clips = 0;
    std::size_t clips_done = 0;
    double bytes = 0.0;  // to be read; what came out of the cache is not among them
    double bytes_done = 0.0;
    double elapsed_s = 0.0;
};

// "[=====     ]  50 %  3 of 10 clips  12.3 MB/s  1:20 left", at most 78 characters. Rate and time
// left are said once there is something to judge them by: 2 s and 1 % of the whole.
std::string advance_text(const Advance& advance);

class Progress {
  public:
    explicit Progress(ProgressStyle style);

    // A clip that is to come, so that the whole is known beforehand. Others count from when they
    // are first shown, all alike.
    void expect(const std::string& name, std::uint64_t bytes);

    // The share done of one piece of work, 0…1. Calls for different names may alternate.
    void show(const std::string& name, double share);

    // Clears the bar, so that results print on a clean line.
    void clear();

    // The same, and forgets all clips.
    void finish();

  private:
    struct Clip {
        double bytes = 1.0;
        double share = 0.0;
        bool read = false;  // its share grew step by step; else it came out of the cache
        bool done = false;
    };

    void tell(const std::string& name, const Clip& clip, double before) const;
    Advance advance() const;

    ProgressStyle style_;
    std::chrono::steady_clock::time_point start_;
    std::map<std::string, Clip> clips_;
};

}  // namespace sondeline::cli
