#include "intake/position_log.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>

#include <fmt/format.h>

#include "intake/folder_tables.hpp"
#include "intake/nmea.hpp"
#include "intake/open_dataset.hpp"
#include "intake/position_quality.hpp"
#include "intake/text.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr std::size_t kMostPositions = 2'000'000;
constexpr std::size_t kMostBytes = 512U << 20U;
constexpr double kWindow_s = 5.0;
constexpr double kMetresPerDegree = 111'195.0;  // of a great circle, mean radius 6371 km

std::string ending(const TableFile& file) {
    return lower_case(file.path.extension().string());
}

std::optional<int> days_of(const JobSettings& settings) {
    const auto midnight_s = parse_clock_s("00:00", settings.date, 0.0);
    if (settings.date.empty() || !midnight_s) return std::nullopt;
    return static_cast<int>(std::lround(*midnight_s / 86400.0));
}

std::vector<LoggedPosition> positions_of_nmea(const TableFile& file, const JobSettings& settings,
                                              FindingLog& log) {
    const SourceCell whole{file.name, 0, ""};
    std::ifstream in(file.path, std::ios::binary);
    std::string text;
    for (char block[1 << 16]; in && text.size() < kMostBytes;) {
        in.read(block, sizeof block);
        text.append(block, static_cast<std::size_t>(in.gcount()));
    }
    NmeaLog read = read_nmea(text, days_of(settings), kMostPositions);
    if (read.undated) {
        log.caution(whole, "The log says no date, and neither does the job, so it was not used.",
                    "Write the date in the job table, like 2026-05-14.");
    } else if (read.positions.empty()) {
        log.caution(whole, "The log holds no position.",
                    "Give the sentences as the receiver wrote them, GGA among them.");
    }
    if (read.damaged > 0) {
        log.info(whole, fmt::format("{} sentences are damaged and were left out.", read.damaged),
                 "");
    }
    if (text.size() >= kMostBytes || read.positions.size() >= kMostPositions) {
        log.caution(whole, "The log is too long; the end of it was not read.",
                    "Keep only the day of this job in it.");
    }
    return std::move(read.positions);
}

std::optional<double> clock_of(const OGRFeature& point, int field) {
    int year = 0;
    int month = 0;
    int day = 0;
    int hour = 0;
    int minute = 0;
    float second = 0.0F;
    int zone = 0;
    if (field < 0 || !point.IsFieldSetAndNotNull(field) ||
        point.GetFieldAsDateTime(field, &year, &month, &day, &hour, &minute, &second, &zone) ==
            FALSE) {
        return std::nullopt;
    }
    // OGR: 100 is UTC, each step a quarter of an hour ahead; 0 and 1 are unknown and local.
    const double ahead_s = zone >= 2 ? (zone - 100) * 900.0 : 0.0;
    const auto midnight_s =
        parse_clock_s("00:00", fmt::format("{:04}-{:02}-{:02}", year, month, day), 0.0);
    if (!midnight_s) return std::nullopt;
    return *midnight_s + hour * 3600.0 + minute * 60.0 + static_cast<double>(second) - ahead_s;
}

std::vector<LoggedPosition> positions_of_gpx(const TableFile& file, FindingLog& log) {
    std::vector<LoggedPosition> positions;
    const OgrSilence silence;
    const char* const drivers[] = {"GPX", nullptr};
    const GDALDatasetUniquePtr dataset = open_dataset(file, drivers, log);
    OGRLayer* layer = dataset ? dataset->GetLayerByName("track_points") : nullptr;
    if (layer == nullptr) return positions;
    const OGRFeatureDefn& fields = *layer->GetLayerDefn();
    const int time = fields.GetFieldIndex("time");
    const int kind = fields.GetFieldIndex("fix");
    const int hdop = fields.GetFieldIndex("hdop");
    int row = 0;
    for (const auto& point : *layer) {
        ++row;
        const OGRGeometry* place = point->GetGeometryRef();
        const auto clock_s = clock_of(*point, time);
        if (!clock_s || place == nullptr || wkbFlatten(place->getGeometryType()) != wkbPoint) {
            continue;
        }
        const auto solution =
            kind < 0 ? std::nullopt : solution_of_gpx(point->GetFieldAsString(kind));
        const auto dilution = hdop >= 0 && point->IsFieldSetAndNotNull(hdop)
                                  ? std::optional(point->GetFieldAsDouble(hdop))
                                  : std::nullopt;
        const auto sd_m = sd_of_solution_m(solution.value_or(SolutionKind::alone), dilution);
        const OGRPoint& at = *place->toPoint();
        if (!sd_m || std::abs(at.getY()) > 90.0 || std::abs(at.getX()) > 180.0) continue;
        positions.push_back({*clock_s, at.getX(), at.getY(), *sd_m, row});
        if (positions.size() >= kMostPositions) break;
    }
    report_errors(file, log);
    return positions;
}

struct Stand {
    double lon_deg = 0.0;
    double lat_deg = 0.0;
    double sd_m = 0.0;       // with the scatter
    double best_sd_m = 1e9;  // as the receiver says
    double moved_m = 0.0;    // root of the mean square distance from the mean
    int row = 0;
    int count = 0;
};

Stand stand_at(std::span<const LoggedPosition> positions, double clock_s) {
    const auto from =
        std::ranges::lower_bound(positions, clock_s - kWindow_s, {}, &LoggedPosition::clock_s);
    const auto to =
        std::ranges::upper_bound(positions, clock_s + kWindow_s, {}, &LoggedPosition::clock_s);
    Stand stand;
    double weights = 0.0;
    for (auto p = from; p != to; ++p) {
        const double weight = 1.0 / (p->sd_m * p->sd_m);
        weights += weight;
        stand.lon_deg += weight * p->lon_deg;
        stand.lat_deg += weight * p->lat_deg;
        stand.best_sd_m = std::min(stand.best_sd_m, p->sd_m);
        ++stand.count;
    }
    if (stand.count == 0) return stand;
    stand.row = from->row;
    stand.lon_deg /= weights;
    stand.lat_deg /= weights;
    double squares = 0.0;
    const double shrink = std::cos(stand.lat_deg * degree_rad);
    for (auto p = from; p != to; ++p) {
        squares += std::pow((p->lat_deg - stand.lat_deg) * kMetresPerDegree, 2) +
                   std::pow((p->lon_deg - stand.lon_deg) * kMetresPerDegree * shrink, 2);
    }
    stand.moved_m = std::sqrt(squares / stand.count);
    stand.sd_m = std::hypot(stand.best_sd_m, stand.moved_m / std::sqrt(2.0 * stand.count));
    return stand;
}

struct PositionLog {
    std::string file;
    std::vector<LoggedPosition> positions;  // by clock
    int used = 0;
};

// Why a fix cannot stand where the log says; empty when it can.
std::string why_not(const Stand& stand, LengthUnit unit) {
    constexpr int fewest = 3;
    if (stand.count < fewest) {
        return fmt::format("it holds {} within {:.0f} s of the clock of the fix",
                           stand.count == 0 ? "no position" : "too few positions", kWindow_s);
    }
    // A receiver at rest wanders less in ten seconds than it is wrong by.
    constexpr double rest_m = 0.3;
    constexpr double rest_sds = 0.5;
    if (stand.moved_m <= std::max(rest_m, rest_sds * stand.best_sd_m)) return "";
    return fmt::format("the receiver moved by {} about that time",
                       length_words(stand.moved_m, unit, 1));
}

// By the first log that can; a finding when none can.
void place(Fix& fix, LengthUnit unit, std::vector<PositionLog>& logs, FindingLog& log) {
    std::string why;
    for (PositionLog& from : logs) {
        const Stand stand = stand_at(from.positions, fix.clock_s->value);
        const std::string trouble = why_not(stand, unit);
        if (!trouble.empty()) {
            why += fmt::format("{}by {} {}", why.empty() ? "" : "; ", from.file, trouble);
            continue;
        }
        const SourceCell source{from.file, stand.row, ""};
        fix.position = TypedPosition{true, stand.lon_deg, stand.lat_deg, source};
        if (!fix.h_accuracy_m) fix.h_accuracy_m = Cell<double>{stand.sd_m, source};
        ++from.used;
        return;
    }
    log.caution(fix.source, fmt::format("Fix {} has no position: {}.", fix.id, why),
                "Check its clock, the date and the utc offset of the job, or give its position.");
}

std::vector<PositionLog> read_logs(const std::vector<TableFile>& files, Job& job, FindingLog& log) {
    std::vector<PositionLog> logs;
    for (const TableFile& file : files) {
        if (!is_position_log(file)) continue;
        job.inputs.push_back({file.name, file.path});
        auto positions = ending(file) == ".nmea" ? positions_of_nmea(file, job.settings, log)
                                                 : positions_of_gpx(file, log);
        if (positions.empty()) continue;
        std::ranges::stable_sort(positions, {}, &LoggedPosition::clock_s);
        logs.push_back({file.name, std::move(positions)});
    }
    return logs;
}

}  // namespace

bool is_position_log(const TableFile& file) {
    return ending(file) == ".nmea" || (ending(file) == ".gpx" && !is_table_file(file));
}

void place_by_position_logs(const std::vector<TableFile>& files, LengthUnit unit, Job& job,
                            FindingLog& log) {
    const auto is_open = [](const Fix& fix) { return fix.clock_s && !fix.position; };
    const auto open = std::ranges::count_if(job.fixes, is_open);
    if (open == 0) return;
    std::vector<PositionLog> logs = read_logs(files, job, log);
    if (logs.empty()) return;
    for (Fix& fix : job.fixes) {
        if (is_open(fix)) place(fix, unit, logs, log);
    }
    for (const PositionLog& from : logs) {
        log.info({from.file, 0, ""},
                 fmt::format("{} of {} fixes with a clock got their position from this log of {} "
                             "positions.",
                             from.used, open, from.positions.size()),
                 "");
    }
}

}  // namespace sondeline
