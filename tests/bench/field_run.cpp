#include "bench/field_run.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include "made/noise.hpp"

namespace bench {

using sondeline::AlignedRun;
using sondeline::Estimate;
using sondeline::StationedVertical;
using sondeline::VerticalKind;
using sondeline::made::heavy_tailed;
using sondeline::made::Noise;
using sondeline::made::Wandering;

namespace {

constexpr double kHalfInch_m = 0.0127;
constexpr double kTapeReadSd_m = 0.003;
constexpr double kCurveSd = 0.003;
constexpr double kMemory_m = 8.0;
constexpr double kPiece_m = 0.5;
// From here on a depth is off, and whoever names it is right.
constexpr double kOffInSds = 3.0;

struct Wave {
    double height_m = 0.0;
    double length_m = 1.0;
    double phase_rad = 0.0;

    double at(double station_m) const {
        return height_m * std::sin(2.0 * std::numbers::pi * station_m / length_m + phase_rad);
    }
};

Wave random_wave(double sd_m, Noise& noise) {
    return {std::numbers::sqrt2 * sd_m, 12.0 + 18.0 * noise.uniform(),
            2.0 * std::numbers::pi * noise.uniform()};
}

class Laid {
  public:
    Laid(const made::Pipe& pipe, Noise& noise)
        : pipe_(pipe),
          curve_(noise.normal(kCurveSd)),
          waves_{random_wave(pipe.bedding_sd_m / std::numbers::sqrt2, noise),
                 random_wave(pipe.bedding_sd_m / std::numbers::sqrt2, noise)},
          ground_(random_wave(0.15 / std::numbers::sqrt2, noise)) {}

    double invert_m(double station_m) const {
        const double curved_m =
            0.5 * curve_ * station_m * (pipe_.length_m - station_m) / pipe_.length_m;
        return made::invert_m(pipe_, station_m) + curved_m + waves_[0].at(station_m) +
               waves_[1].at(station_m);
    }
    double ground_m(double station_m) const {
        return made::ground_m(station_m) + ground_.at(station_m);
    }
    double length_m() const { return pipe_.length_m; }

  private:
    made::Pipe pipe_;
    double curve_;
    std::array<Wave, 2> waves_;
    Wave ground_;
};

// Half of it stays for the run, half wanders along it.
class HalfWandering {
  public:
    HalfWandering(double sd, Noise& noise)
        : stays_(noise.normal(sd * std::sqrt(0.5))), wanders_(sd * std::sqrt(0.5), kMemory_m) {
        wanders_.next(100.0 * kMemory_m, noise);
    }
    double next(double step_m, Noise& noise) { return stays_ + wanders_.next(step_m, noise); }
    void change(double stays) { stays_ = stays; }

  private:
    double stays_;
    Wandering wanders_;
};

StationedVertical observation(VerticalKind kind, double station_m, const Laid& laid,
                              const made::Survey& survey, Noise& noise) {
    StationedVertical seen;
    seen.station_m = seen.row.x_m = station_m;
    seen.row.kind = kind;
    seen.row.ground_m =
        Estimate{laid.ground_m(station_m) + noise.normal(survey.ground_sd_m), survey.ground_sd_m};
    return seen;
}

void add(const StationedVertical& seen, AlignedRun& run) {
    run.vertical.push_back(seen);
    run.run.vertical.push_back(seen.row);
}

void add_depths(const Laid& laid, const made::Survey& survey, Noise& noise, KnownRun& known) {
    AlignedRun& run = known.lines.runs.front();
    HalfWandering constant_m(survey.constant_sd_m, noise);
    HalfWandering proportion(survey.proportion_sd, noise);
    const bool two_soils = noise.uniform() < 0.5;
    const double soil_ends_m = two_soils ? laid.length_m() * noise.uniform() : laid.length_m();
    const double other_soil = noise.normal(survey.proportion_sd * std::sqrt(0.5));
    const auto step_m = [&] { return survey.spacing_m * (0.5 + noise.uniform()); };
    int fix = 0;
    for (double x = 0.5 * step_m(), gap_m = x; x < laid.length_m(); gap_m = step_m(), x += gap_m) {
        StationedVertical seen = observation(VerticalKind::sonde_depth, x, laid, survey, noise);
        const double depth_m = laid.ground_m(x) - laid.invert_m(x) - *run.run.sonde_height_m;
        if (x > soil_ends_m) proportion.change(other_soil);
        const double scale = proportion.next(gap_m, noise);
        const double scatter_m = heavy_tailed(survey.depth_sd_m, noise);
        seen.row.depth_m = {depth_m * (1.0 + scale) + constant_m.next(gap_m, noise) + scatter_m,
                            survey.depth_sd_m};
        seen.row.fix = fix++;
        seen.row.source = "fix F" + std::to_string(fix);
        const bool gross = noise.uniform() < survey.gross_share;
        if (gross) {
            const double sign = noise.uniform() < 0.5 ? -1.0 : 1.0;
            seen.row.depth_m.value += sign * (0.2 + 0.3 * noise.uniform());
        }
        if (gross || std::abs(scatter_m) > kOffInSds * survey.depth_sd_m) {
            known.gross.push_back(seen.row.source);
        }
        add(seen, run);
    }
}

void add_tape(const Laid& laid, const made::Survey& survey, VerticalKind kind, Noise& noise,
              AlignedRun& run) {
    const bool start = kind == VerticalKind::taped_start;
    const double station_m = start ? 0.0 : laid.length_m();
    StationedVertical seen = observation(kind, station_m, laid, survey, noise);
    const double read_m =
        laid.ground_m(station_m) - laid.invert_m(station_m) + noise.normal(kTapeReadSd_m);
    seen.row.depth_m = {kHalfInch_m * std::round(read_m / kHalfInch_m), 0.005};
    seen.row.source = start ? "taped at start" : "taped at end";
    add(seen, run);
}

void add_level(const Laid& laid, const made::Survey& survey, Noise& noise, AlignedRun& run) {
    const double zero = noise.normal(survey.level_zero_sd);
    for (double x = 0.0; x + kPiece_m <= laid.length_m() + 1e-9; x += kPiece_m) {
        StationedVertical seen;
        seen.row.kind = VerticalKind::level_log;
        seen.station_m = seen.row.x_m = x;
        seen.to_station_m = seen.row.to_x_m = x + kPiece_m;
        const double off = zero + heavy_tailed(survey.level_wobble_sd, noise);
        seen.row.depth_m = {laid.invert_m(x) - laid.invert_m(x + kPiece_m) + kPiece_m * off,
                            kPiece_m * survey.level_wobble_sd};
        seen.row.source = "level of the camera";
        seen.row.log = 0;
        add(seen, run);
    }
}

}  // namespace

KnownRun make_field_run(const made::Pipe& pipe, const made::Survey& survey, int seed) {
    // The run, its line and its structures are those of the other generator, with nothing measured.
    made::Survey nothing;
    nothing.spacing_m = 0.0;
    KnownRun known;
    known.lines = made::make_run(pipe, nothing, seed).lines;
    Noise noise(0xF1E1DULL + static_cast<std::uint64_t>(seed));
    const Laid laid(pipe, noise);
    known.invert_m = [laid](double station_m) { return laid.invert_m(station_m); };
    known.length_m = pipe.length_m;
    AlignedRun& run = known.lines.runs.front();
    if (survey.taped_start) add_tape(laid, survey, VerticalKind::taped_start, noise, run);
    add_depths(laid, survey, noise, known);
    if (survey.taped_end) add_tape(laid, survey, VerticalKind::taped_end, noise, run);
    if (survey.level) add_level(laid, survey, noise, run);
    return known;
}

}  // namespace bench
