#include "deliverables/page/run_motion.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sondeline {

namespace {

constexpr double longest_step_s = 0.5;

std::vector<MotionClip> clips_of(const AsBuilt& as_built, const JoinedTrack& joined) {
    std::vector<MotionClip> clips;
    double start_s = 0.0;
    for (const std::string& name : joined.clips) {
        MotionClip clip{name, start_s, 0.0, nullptr};
        for (const Track& track : as_built.tracks) {
            if (track.clip.name != name) continue;
            clip.track = &track;
            const double last_s = track.samples.empty() ? 0.0 : track.samples.back().time_s;
            clip.duration_s = std::max(track.clip.duration_s, last_s);
        }
        start_s += clip.duration_s;
        clips.push_back(std::move(clip));
    }
    return clips;
}

// Metres of the counter from the start structure, or from the first reading. The survey ties the
// furthest reading to the counted length; all others follow from it.
struct Counting {
    double metres_per_count = 1.0;
    double furthest = 0.0;
    double furthest_m = 0.0;

    double x_m(double pushed) const { return furthest_m - (furthest - pushed) * metres_per_count; }
};

Counting counting_of(const AsBuilt& as_built, const JoinedTrack& joined, std::size_t run) {
    const SiteRun& site_run = as_built.site.runs[run];
    Counting counting;
    const double shown_tick = std::max(joined.tick, 1e-9);
    counting.metres_per_count = site_run.tick_m > 0.0
                                    ? site_run.tick_m / shown_tick
                                    : metres_per_count(joined.unit, as_built.site.job_unit);
    counting.furthest = joined.furthest->pushed;
    counting.furthest_m =
        site_run.counter_length_m
            ? *site_run.counter_length_m
            : (joined.furthest->pushed - joined.first->pushed) * counting.metres_per_count;
    return counting;
}

std::vector<MotionPoint> all_points(const AlignedRun& aligned, const JoinedTrack& joined,
                                    const RunMotion& motion, const Counting& counting) {
    std::vector<MotionPoint> points;
    for (const PushSample& sample : joined.samples) {
        if (!sample.pushed) continue;
        const MotionClip& clip = motion.clips[static_cast<std::size_t>(sample.clip)];
        MotionPoint point{clip.start_s + sample.sample.time_s, counting.x_m(*sample.pushed), false};
        if (motion.from_start) point.station_m = station_of_x(aligned, point.station_m);
        point.after_gap = !points.empty() && point.time_s - points.back().time_s > longest_step_s;
        points.push_back(point);
    }
    return points;
}

// Keeps the fewest points of a single sweep such that every left-out point lies within `tolerance`
// of the straight line: from the last kept point the slopes that pass all points since form a
// wedge, and the point before the one that closes it is kept.
std::vector<MotionPoint> thinned(const std::vector<MotionPoint>& points, double tolerance_m) {
    std::vector<MotionPoint> kept;
    double least = -std::numeric_limits<double>::max();
    double most = std::numeric_limits<double>::max();
    const auto open_wedge = [&] {
        least = -std::numeric_limits<double>::max();
        most = std::numeric_limits<double>::max();
    };
    for (std::size_t i = 0; i < points.size(); ++i) {
        const MotionPoint& point = points[i];
        if (kept.empty() || point.after_gap) {
            if (i > 0 && kept.back().time_s < points[i - 1].time_s) kept.push_back(points[i - 1]);
            kept.push_back(point);
            open_wedge();
            continue;
        }
        const auto slope_to = [&](const MotionPoint& other, double off_m) {
            return (other.station_m + off_m - kept.back().station_m) /
                   std::max(other.time_s - kept.back().time_s, 1e-9);
        };
        const double slope = slope_to(point, 0.0);
        if (slope < least || slope > most) {
            kept.push_back(points[i - 1]);
            kept.back().after_gap = false;
            open_wedge();
        }
        least = std::max(least, slope_to(point, -tolerance_m));
        most = std::min(most, slope_to(point, tolerance_m));
    }
    if (!points.empty() && kept.back().time_s < points.back().time_s) {
        kept.push_back(points.back());
    }
    return kept;
}

}  // namespace

RunMotion run_motion(const AsBuilt& as_built, std::size_t run) {
    RunMotion motion;
    const AlignedRun& aligned = as_built.lines.runs[run];
    const auto found = as_built.run_tracks.find(aligned.run.id);
    if (found == as_built.run_tracks.end()) return motion;
    const JoinedTrack& joined = found->second;
    motion.clips = clips_of(as_built, joined);
    if (!motion.clips.empty()) {
        motion.end_s = motion.clips.back().start_s + motion.clips.back().duration_s;
    }
    if (!joined.first || !joined.furthest) return motion;
    motion.from_start = as_built.site.runs[run].counter_length_m.value.has_value();
    const Counting counting = counting_of(as_built, joined, run);
    motion.points = thinned(all_points(aligned, joined, motion, counting),
                            0.5 * as_built.site.runs[run].tick_m);
    return motion;
}

std::optional<double> station_at(const RunMotion& motion, double time_s) {
    const auto after = std::ranges::lower_bound(motion.points, time_s, {}, &MotionPoint::time_s);
    if (after == motion.points.end()) return std::nullopt;
    if (after->time_s == time_s) return after->station_m;
    if (after == motion.points.begin() || after->after_gap) return std::nullopt;
    const MotionPoint& a = *(after - 1);
    const double share = (time_s - a.time_s) / (after->time_s - a.time_s);
    return a.station_m + share * (after->station_m - a.station_m);
}

std::optional<double> time_at(const RunMotion& motion, double station_m, double near_m) {
    for (const MotionClip& clip : motion.clips) {
        if (clip.track == nullptr) continue;
        for (const Hold& hold : clip.track->holds) {
            const double middle_s = clip.start_s + (hold.from_s + hold.to_s) / 2.0;
            const auto there = station_at(motion, middle_s);
            if (there && std::abs(*there - station_m) <= near_m) return middle_s;
        }
    }
    for (std::size_t i = 1; i < motion.points.size(); ++i) {
        const MotionPoint& a = motion.points[i - 1];
        const MotionPoint& b = motion.points[i];
        if (b.after_gap || (a.station_m - station_m) * (b.station_m - station_m) > 0.0) continue;
        const double rise_m = b.station_m - a.station_m;
        const double share = rise_m == 0.0 ? 0.0 : (station_m - a.station_m) / rise_m;
        return a.time_s + share * (b.time_s - a.time_s);
    }
    return std::nullopt;
}

}  // namespace sondeline
