#include "cli/progress.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

namespace sondeline::cli {

namespace {

std::string clock_text(double seconds) {
    const auto whole = static_cast<std::int64_t>(std::ceil(seconds));
    if (whole < 3600) return fmt::format("{}:{:02}", whole / 60, whole % 60);
    return fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

void put(const std::string& text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fflush(stderr);
}

}  // namespace

ProgressStyle progress_style(bool quiet, bool json) {
    if (quiet) return ProgressStyle::silent;
    if (json) return ProgressStyle::json;
    return isatty(STDERR_FILENO) != 0 ? ProgressStyle::bar : ProgressStyle::lines;
}

std::string advance_text(const Advance& advance) {
    constexpr int width = 24;
    const double share =
        advance.bytes > 0.0 ? std::clamp(advance.bytes_done / advance.bytes, 0.0, 1.0) : 1.0;
    const auto filled = static_cast<std::size_t>(share * width);
    std::string text =
        fmt::format("[{}{}] {:3.0f} %  {} of {} clip{}", std::string(filled, '='),
                    std::string(width - filled, ' '), std::floor(share * 100.0), advance.clips_done,
                    advance.clips, advance.clips == 1 ? "" : "s");
    if (advance.elapsed_s < 2.0 || share < 0.01 || share >= 1.0) return text;
    const double per_s = advance.bytes_done / advance.elapsed_s;
    if (per_s >= 1e4) text += fmt::format("  {:.1f} MB/s", per_s / 1e6);
    const double left_s = (advance.bytes - advance.bytes_done) / per_s;
    if (left_s < 360000.0) text += fmt::format("  {} left", clock_text(left_s));
    return text;
}

Progress::Progress(ProgressStyle style) : style_(style), start_(std::chrono::steady_clock::now()) {}

void Progress::expect(const std::string& name, std::uint64_t bytes) {
    clips_[name].bytes = std::max(1.0, static_cast<double>(bytes));
}

void Progress::show(const std::string& name, double share) {
    if (style_ == ProgressStyle::silent) return;
    Clip& clip = clips_[name];
    const double before = clip.share;
    if (share > 0.0 && share < 1.0) clip.read = true;
    clip.share = std::max(clip.share, std::min(share, 1.0));
    const bool just_done = share >= 1.0 && !clip.done;
    clip.done = clip.done || share >= 1.0;
    if (just_done || std::floor(clip.share * 100.0) > std::floor(before * 100.0)) {
        tell(name, clip, before);
    }
}

void Progress::tell(const std::string& name, const Clip& clip, double before) const {
    switch (style_) {
        case ProgressStyle::silent: return;
        case ProgressStyle::bar: put(fmt::format("\r\x1b[K  {}", advance_text(advance()))); return;
        case ProgressStyle::lines:
            if (clip.done) put(fmt::format("{} {}\n", clip.read ? "read" : "known", name));
            return;
        case ProgressStyle::json: break;
    }
    constexpr double step = 0.1;
    if (!clip.done && std::floor(clip.share / step) <= std::floor(before / step)) return;
    const nlohmann::json line{{"schema", "sondeline-progress/1"},
                              {"clip", name},
                              {"share", std::floor(clip.share * 100.0) / 100.0},
                              {"from_cache", clip.done && !clip.read}};
    put(line.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n");
}

Advance Progress::advance() const {
    Advance sum;
    for (const auto& [name, clip] : clips_) {
        ++sum.clips;
        sum.clips_done += clip.done ? 1 : 0;
        if (clip.done && !clip.read) continue;
        sum.bytes += clip.bytes;
        sum.bytes_done += clip.bytes * clip.share;
    }
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start_;
    sum.elapsed_s = elapsed.count();
    return sum;
}

void Progress::clear() {
    if (style_ == ProgressStyle::bar && !clips_.empty()) put("\r\x1b[K");
}

void Progress::finish() {
    clear();
    clips_.clear();
}

}  // namespace sondeline::cli
