#include "cli/progress.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <fmt/format.h>
#include <unistd.h>

namespace sondeline::cli {

Progress::Progress(bool silent) : silent_(silent), terminal_(isatty(STDERR_FILENO) != 0) {}

void Progress::show(const std::string& name, double share) {
    if (silent_) return;
    double& known = share_by_name_[name];
    const bool just_done = share >= 1.0 && known < 1.0;
    const bool redraw = std::floor(share * 100.0) > std::floor(known * 100.0);
    known = std::max(known, share);
    if (!terminal_) {
        if (just_done) fmt::print(stderr, "read {}\n", name);
        return;
    }
    if (redraw) draw();
}

void Progress::draw() const {
    constexpr int width = 30;
    double sum = 0.0;
    std::size_t done = 0;
    for (const auto& [name, share] : share_by_name_) {
        sum += share;
        done += share >= 1.0 ? 1 : 0;
    }
    const double mean = sum / static_cast<double>(share_by_name_.size());
    const int filled = static_cast<int>(mean * width);
    fmt::print(stderr, "\r  reading footage  [{}{}] {:3.0f} %  {} of {} clips begun are done ",
               std::string(static_cast<std::size_t>(filled), '='),
               std::string(static_cast<std::size_t>(width - filled), ' '), mean * 100.0, done,
               share_by_name_.size());
    std::fflush(stderr);
}

void Progress::finish() {
    if (!silent_ && terminal_ && !share_by_name_.empty()) fmt::print(stderr, "\r\x1b[K");
    share_by_name_.clear();
}

}  // namespace sondeline::cli
