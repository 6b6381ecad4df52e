#include "survey/level_log.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "terms/quantile.hpp"

namespace sondeline {

namespace {

// All common practice, no source: a head lies askew in the pipe by a third of a percent at best,
// and by much the same over its own length.
constexpr double head_wobble = 0.003;
constexpr double head_length_m = 0.25;
constexpr double steepest = 0.30;
constexpr double usual_piece_m = 0.5;
constexpr double most_pieces = 200.0;
constexpr int table_log = 1000;  // beside those of the clips

struct Shown {
    double x_m = 0.0;
    double fall = 0.0;  // per length, sign as shown
};

// The readings of one log: those of one clip, or of the table.
struct Log {
    std::vector<Shown> readings;
    double step = 0.0;
    std::string source;
};

// Of the middle of the readings of a piece: by their scatter, of which those within a head's length
// of each other share most, and never better than a head lies.
double middle_sd(const std::vector<double>& falls, double middle, double piece_m, double step) {
    std::vector<double> off;
    off.reserve(falls.size());
    for (const double fall : falls) off.push_back(std::abs(fall - middle));
    constexpr double sd_of_middle_deviation = 1.4826;
    const double apart = std::max(
        1.0, std::min(static_cast<double>(falls.size()), std::floor(piece_m / head_length_m)));
    const double scatter = sd_of_middle_deviation * quantile(off, 0.5) / std::sqrt(apart);
    return std::max({head_wobble, scatter, step / std::sqrt(12.0)});
}

std::map<int, Log> footage_logs(const ReelReading& reel) {
    std::map<int, Log> logs;
    if (reel.track == nullptr || !reel.metres_per_count) return logs;
    for (const PushedGrade& point : reel.track->grade) {
        Log& log = logs[point.clip];
        log.step = reel.track->grade_tick_percent / 100.0;
        log.source =
            "level of the camera in " + reel.track->clips[static_cast<std::size_t>(point.clip)];
        log.readings.push_back(
            {(point.pushed - reel.start) * *reel.metres_per_count, point.percent / 100.0});
    }
    return logs;
}

Log table_readings(const Job& job, const Run& run, const ReelReading& reel) {
    Log log;
    log.source = "table grade";
    for (const GradeReading& reading : job.grade) {
        if (reading.run != run.id || !reading.counter || !reading.percent) continue;
        const auto x_m = x_of_counter(reel, reading.counter->value);
        if (x_m) log.readings.push_back({*x_m, reading.percent->value / 100.0});
    }
    return log;
}

void add_pieces(const Log& log, int number, double length_m,
                std::vector<VerticalObservation>& rows) {
    const double piece_m = std::max(usual_piece_m, length_m / most_pieces);
    std::map<long, std::vector<double>> pieces;
    for (const Shown& shown : log.readings) {
        if (std::abs(shown.fall) > steepest || shown.x_m < 0.0 || shown.x_m > length_m) continue;
        pieces[std::lround(std::floor(shown.x_m / piece_m))].push_back(shown.fall);
    }
    for (const auto& [index, falls] : pieces) {
        const double from_m = static_cast<double>(index) * piece_m;
        const double to_m = std::min(from_m + piece_m, length_m);
        const double long_m = to_m - from_m;
        if (long_m < 0.1 * piece_m) continue;
        const double middle = quantile(falls, 0.5);
        VerticalObservation row;
        row.kind = VerticalKind::level_log;
        row.x_m = from_m;
        row.to_x_m = to_m;
        row.depth_m = {middle * long_m, middle_sd(falls, middle, long_m, log.step) * long_m};
        row.source = log.source;
        row.log = number;
        rows.push_back(std::move(row));
    }
}

}  // namespace

std::vector<VerticalObservation> level_log_of(const Job& job, const Run& run,
                                              const ReelReading& reel) {
    std::vector<VerticalObservation> rows;
    if (!reel.length_m) return rows;
    const std::map<int, Log> logs = footage_logs(reel);
    for (const auto& [number, log] : logs) add_pieces(log, number, *reel.length_m, rows);
    // Written down from the same picture: where that was read itself, it says nothing more.
    if (rows.empty()) {
        add_pieces(table_readings(job, run, reel), table_log, *reel.length_m, rows);
    }
    return rows;
}

}  // namespace sondeline
