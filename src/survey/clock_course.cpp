#include "survey/clock_course.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {

namespace {

constexpr double farthest_s = 300.0;
constexpr double step_s = 2.0;

}  // namespace

ClockCourse clock_course(const ReelReading& reel, double video_time_s, double setback_m) {
    ClockCourse course;
    course.step_s = step_s;
    const int half = static_cast<int>(farthest_s / step_s);
    for (int i = -half; i <= half; ++i) {
        auto x_m = x_of_video_time(reel, video_time_s + i * step_s);
        if (x_m) *x_m -= setback_m;
        course.x_m.push_back(x_m);
    }
    return course;
}

double station_sd_m(const ReelReading& reel, double video_time_s, double doubt_s) {
    const auto now_m = x_of_video_time(reel, video_time_s);
    if (!now_m) return station_reading_sd_m;
    double moved_m = 0.0;
    for (const double way : {-1.0, 1.0}) {
        const auto x_m = x_of_video_time(reel, video_time_s + way * doubt_s);
        if (x_m) moved_m = std::max(moved_m, std::abs(*x_m - *now_m));
    }
    return std::hypot(station_reading_sd_m, moved_m);
}

}  // namespace sondeline
