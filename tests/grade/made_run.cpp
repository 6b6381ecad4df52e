#include "grade/made_run.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include "grade/normal.hpp"

namespace made {

using namespace sondeline;

namespace {

constexpr double kSondeHeight_m = 0.05;

std::vector<double> fix_stations(const Pipe& pipe, const Survey& survey) {
    std::vector<double> stations;
    if (survey.spacing_m <= 0.0) return stations;
    for (double x = survey.spacing_m / 2.0; x < pipe.length_m; x += survey.spacing_m) {
        stations.push_back(x);
    }
    return stations;
}

// A metre apart, so that straight lines between them miss the bedding by a tenth of a millimetre.
std::vector<double> places_between(const Pipe& pipe) {
    std::vector<double> places;
    for (double x = 0.5; x < pipe.length_m; x += 1.0) places.push_back(x);
    return places;
}

// The last `between` of the stations draw from a generator of their own: what is measured does not
// depend on them.
struct Bedded {
    std::vector<double> stations;
    std::size_t between = 0;
};

std::vector<double> bedding(const Pipe& pipe, const Bedded& at, grade::Draws& draws,
                            grade::Draws draws_between) {
    const std::vector<double>& stations = at.stations;
    const auto n = static_cast<Eigen::Index>(stations.size());
    Eigen::MatrixXd k(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
        for (Eigen::Index j = 0; j < n; ++j) {
            const double d =
                (stations[static_cast<std::size_t>(i)] - stations[static_cast<std::size_t>(j)]) /
                2.5;
            k(i, j) = std::exp(-0.5 * d * d) + (i == j ? 1e-9 : 0.0);
        }
    }
    Eigen::VectorXd white(n);
    const auto measured = n - static_cast<Eigen::Index>(at.between);
    for (double& value : white.head(measured)) value = draws.normal();
    for (double& value : white.tail(n - measured)) value = draws_between.normal();
    const Eigen::VectorXd drawn = k.llt().matrixL() * white;
    std::vector<double> out;
    for (const double value : drawn) out.push_back(pipe.bedding_sd_m * value);
    return out;
}

StationedVertical observation(VerticalKind kind, double station_m, const Survey& survey) {
    StationedVertical seen;
    seen.station_m = station_m;
    seen.row.x_m = station_m;
    seen.row.kind = kind;
    if (survey.ground_known) seen.row.ground_m = Estimate{ground_m(station_m), survey.ground_sd_m};
    return seen;
}

constexpr double kPiece_m = 0.5;

// Where the pieces of the level begin and end.
std::vector<double> piece_ends(const Pipe& pipe, const Survey& survey) {
    std::vector<double> ends;
    if (!survey.level) return ends;
    for (double x = 0.0; x <= pipe.length_m + 1e-9; x += kPiece_m) ends.push_back(x);
    return ends;
}

// `uneven` is the bedding at the ends of the pieces.
void add_level(const Pipe& pipe, const Survey& survey, const std::vector<double>& uneven,
               grade::Draws& draws, AlignedRun& run) {
    const std::vector<double> ends = piece_ends(pipe, survey);
    const double zero = survey.level ? survey.level_zero_sd * draws.normal() : 0.0;
    for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
        const double fall_m = invert_m(pipe, ends[i]) - invert_m(pipe, ends[i + 1]) + uneven[i] -
                              uneven[i + 1] +
                              kPiece_m * (zero + survey.level_wobble_sd * draws.normal());
        StationedVertical seen;
        seen.row.kind = VerticalKind::level_log;
        seen.station_m = seen.row.x_m = ends[i];
        seen.to_station_m = seen.row.to_x_m = ends[i + 1];
        seen.row.depth_m = {survey.level_turned ? -fall_m : fall_m,
                            kPiece_m * survey.level_wobble_sd};
        seen.row.source = "level of the camera";
        seen.row.log = 0;
        run.vertical.push_back(seen);
        run.run.vertical.push_back(seen.row);
    }
}

// Returns the sources of those that are off besides.
std::vector<std::string> add_depths(const Pipe& pipe, const Survey& survey,
                                    const std::vector<double>& uneven, grade::Draws& draws,
                                    AlignedRun& run) {
    std::vector<std::string> gross;
    const std::vector<double> stations = fix_stations(pipe, survey);
    const double constant_m = survey.constant_sd_m * draws.normal();
    const double proportion = survey.proportion_sd * draws.normal();
    for (std::size_t i = 0; i < stations.size(); ++i) {
        StationedVertical seen = observation(VerticalKind::sonde_depth, stations[i], survey);
        const double depth_m =
            ground_m(stations[i]) - invert_m(pipe, stations[i]) - uneven[i] - kSondeHeight_m;
        seen.row.depth_m = {depth_m * (1.0 + proportion) + constant_m +
                                survey.error_factor * survey.depth_sd_m * draws.normal() +
                                survey.ground_sd_m * draws.normal(),
                            survey.depth_sd_m};
        const bool off = survey.gross_share > 0.0 && draws.uniform() < survey.gross_share;
        if (off) {
            const double sign = draws.uniform() < 0.5 ? -1.0 : 1.0;
            seen.row.depth_m.value += sign * (0.2 + 0.3 * draws.uniform());
        }
        seen.row.fix = static_cast<int>(i);
        seen.row.source = "fix F" + std::to_string(i + 1);
        if (off) gross.push_back(seen.row.source);
        run.vertical.push_back(seen);
        run.run.vertical.push_back(seen.row);
    }
    return gross;
}

void add_tape(const Pipe& pipe, const Survey& survey, VerticalKind kind, double uneven_m,
              grade::Draws& draws, AlignedRun& run) {
    const double station_m = kind == VerticalKind::taped_start ? 0.0 : pipe.length_m;
    StationedVertical seen = observation(kind, station_m, survey);
    seen.row.depth_m = {ground_m(station_m) - invert_m(pipe, station_m) - uneven_m +
                            0.005 * draws.normal() + survey.ground_sd_m * draws.normal(),
                        0.005};
    seen.row.source = kind == VerticalKind::taped_start ? "taped at start" : "taped at end";
    run.vertical.push_back(seen);
    run.run.vertical.push_back(seen.row);
}

void draw_straight(double length_m, AlignedRun& run) {
    for (double x = 0.0; x <= length_m; x += 0.5) {
        LinePoint point;
        point.station_m = point.x_m = x;
        point.at = {0.0, x};
        run.points.push_back(point);
    }
    LinePoint last = run.points.back();
    last.station_m = last.x_m = length_m;
    last.at = {0.0, length_m};
    if (run.points.back().x_m < length_m) run.points.push_back(last);
    run.placement = Placement::placed;
}

}  // namespace

double ground_m(double station_m) {
    return 100.0 - 0.01 * station_m;
}

double invert_m(const Pipe& pipe, double station_m) {
    double z = pipe.start_invert_m - pipe.slope * station_m;
    if (pipe.slope_change != 0.0)
        z -= pipe.slope_change * std::max(0.0, station_m - pipe.break_at_m);
    for (const Sag& sag : pipe.sags) {
        const double d = station_m - sag.centre_m;
        if (std::abs(d) >= sag.width_m / 2.0) continue;
        z -= 0.5 * sag.depth_m * (1.0 + std::cos(2.0 * std::numbers::pi * d / sag.width_m));
    }
    return z;
}

double bedded_invert_m(const Run& run, double station_m) {
    const auto after = run.uneven_m.lower_bound(station_m);
    if (after == run.uneven_m.end()) {
        return invert_m(run.pipe, station_m) + run.uneven_m.rbegin()->second;
    }
    double uneven_m = after->second;
    if (after != run.uneven_m.begin()) {
        const auto before = std::prev(after);
        const double share = (station_m - before->first) / (after->first - before->first);
        uneven_m = before->second + share * (after->second - before->second);
    }
    return invert_m(run.pipe, station_m) + uneven_m;
}

double bedded_slope(const Run& run) {
    const double fall_m = bedded_invert_m(run, 0.0) - bedded_invert_m(run, run.pipe.length_m);
    return fall_m / run.pipe.length_m;
}

Run make_run(const Pipe& pipe, const Survey& survey, int seed) {
    grade::Draws draws("made run " + std::to_string(seed));
    AlignedRun run;
    run.run.id = {"R" + std::to_string(seed)};
    run.run.kind = RunKind::building_sewer;
    run.run.from = 0;
    run.run.to = 1;
    run.run.diameter_m = bore_m;
    run.run.sonde_height_m = kSondeHeight_m;
    run.run.counter_length_m = figure(pipe.length_m);
    run.length_m = figure(Bounded{pipe.length_m, pipe.length_m - 0.1, pipe.length_m + 0.1});
    run.length_sd_m = 0.05;
    run.scale = {1.0, 0.002};
    draw_straight(pipe.length_m, run);
    // One bedding under all that is measured: both ends, the fixes, the pieces of the level.
    std::vector<double> at{0.0, pipe.length_m};
    const std::vector<double> fixes = fix_stations(pipe, survey);
    const std::vector<double> pieces = piece_ends(pipe, survey);
    at.insert(at.end(), fixes.begin(), fixes.end());
    at.insert(at.end(), pieces.begin(), pieces.end());
    const std::vector<double> between = places_between(pipe);
    at.insert(at.end(), between.begin(), between.end());
    const std::vector<double> uneven = bedding(
        pipe, {at, between.size()}, draws, grade::Draws("bedding between " + std::to_string(seed)));
    const auto last_piece = uneven.end() - std::ssize(between);
    const auto first_piece = last_piece - std::ssize(pieces);
    if (survey.taped_start) {
        add_tape(pipe, survey, VerticalKind::taped_start, uneven[0], draws, run);
    }
    Run made;
    made.gross = add_depths(pipe, survey, {uneven.begin() + 2, first_piece}, draws, run);
    if (survey.taped_end) {
        add_tape(pipe, survey, VerticalKind::taped_end, uneven[1], draws, run);
    }
    add_level(pipe, survey, {first_piece, last_piece}, draws, run);

    made.pipe = pipe;
    for (std::size_t i = 0; i < at.size(); ++i) made.uneven_m.emplace(at[i], uneven[i]);
    made.lines.runs.push_back(std::move(run));
    AlignedStructure house;
    house.id = {"house"};
    house.kind = StructureKind::building;
    AlignedStructure tank;
    tank.id = {"tank"};
    tank.kind = StructureKind::tank;
    made.lines.structures = {house, tank};
    return made;
}

AlignedRun& run_of(Lines& lines) {
    return lines.runs.front();
}

Survey locator_and_tapes(double spacing_m) {
    Survey survey;
    survey.spacing_m = spacing_m;
    survey.constant_sd_m = 0.03;
    survey.proportion_sd = 0.03;
    survey.taped_start = survey.taped_end = true;
    return survey;
}

GradeOptions levelled() {
    GradeOptions options;
    options.z_reference = ZReference::benchmark;
    return options;
}

bool any_finding(const Profiles& profiles, const std::string& words) {
    return std::ranges::any_of(profiles.findings, [&](const Finding& finding) {
        return finding.what.find(words) != std::string::npos;
    });
}

}  // namespace made
