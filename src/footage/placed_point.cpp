#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "sondeline/footage.hpp"

#include "footage/track_findings.hpp"

namespace sondeline {

namespace {

// "12.47 ft" with three digits behind the point is "1.247 ft".
std::string moved_point(const std::string& pattern, int decimals) {
    std::string digits;
    std::string behind;
    for (const char c : pattern) {
        const bool of_number = c == '.' || (c >= '0' && c <= '9');
        if (!of_number || !behind.empty()) behind += c;
        if (of_number && behind.empty() && c != '.') digits += c;
    }
    const auto after = static_cast<std::size_t>(decimals);
    if (digits.size() <= after) digits.insert(0, after + 1 - digits.size(), '0');
    if (decimals > 0) digits.insert(digits.size() - after, ".");
    return digits + behind;
}

void scale(WaterLog& water, double by) {
    for (WaterStretch& stretch : water.stretches) {
        for (double* counter :
             {&stretch.from, &stretch.to, &stretch.from_bound, &stretch.to_bound}) {
            *counter *= by;
        }
        for (WaterDepth& depth : stretch.depths) depth.counter *= by;
    }
    for (WaterReach& reach : water.reaches) {
        reach.from *= by;
        reach.to *= by;
    }
}

void scale(Track& track, double by) {
    for (CounterSample& sample : track.samples) {
        if (sample.counter) *sample.counter *= by;
    }
    for (Hold& hold : track.holds) hold.counter *= by;
    for (Zeroing& zeroing : track.zeroings) {
        zeroing.counter_before *= by;
        zeroing.counter_after *= by;
    }
    for (PullBack& pull : track.pull_backs) {
        pull.from_counter *= by;
        pull.to_counter *= by;
    }
    if (track.grade) {
        for (GradePoint& point : track.grade->points) point.counter *= by;
    }
    if (track.water) scale(*track.water, by);
}

}  // namespace

Track with_decimals(Track track, int decimals) {
    if (!track.format || track.format->unit == CounterUnit::feet_and_inches) return track;
    CounterFormat& format = *track.format;
    const int digits = format.integer_cells + format.decimals;
    if (decimals < 0 || decimals >= digits) return track;
    const std::string opening = opening_of_doubt(format);
    std::erase_if(track.findings, [&](const Finding& finding) {
        return format.point_in_doubt && finding.what.starts_with(opening);
    });
    format.point_in_doubt = false;
    if (decimals == format.decimals) return track;
    const int moved = format.decimals - decimals;
    scale(track, std::pow(10.0, moved));
    const std::string before = format.pattern;
    format.pattern = moved_point(format.pattern, decimals);
    format.decimals = decimals;
    format.integer_cells = digits - decimals;
    track.findings.push_back(clip_finding(
        track, Severity::info,
        fmt::format("The counter was read as {} and taken as {}, since counter_decimals says where "
                    "the point stands. Figures in other findings of this clip are as first read.",
                    before, format.pattern),
        "Nothing."));
    return track;
}

}  // namespace sondeline
