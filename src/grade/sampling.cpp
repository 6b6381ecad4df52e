#include "grade/sampling.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>

#include "grade/normal.hpp"

namespace sondeline::grade {

namespace {

constexpr double kStep_m = 0.1;
constexpr double kMostSteps = 600.0;

using Index = Eigen::Index;

// Everything that samples of one break hypothesis share.
struct BreakModel {
    Eigen::VectorXd mean;                     // without a sag
    Eigen::LLT<Eigen::MatrixXd> information;  // of the coefficients
    Eigen::MatrixXd vinv_x;
    Eigen::MatrixXd on_stations;  // trends at the profile's stations
};

BreakModel break_model(const std::vector<double>& stations_m, const Evidence& evidence,
                       std::size_t break_row) {
    const VerticalModel& model = evidence.model;
    std::vector<Trend> trends = model.trends;
    BreakModel out;
    out.vinv_x = model.vinv_x;
    Eigen::MatrixXd information = model.information;
    Eigen::VectorXd right = model.right;
    if (break_row > 0) {
        const BreakPlace& place = evidence.breaks[break_row - 1];
        trends.push_back({TrendKind::grade_break, place.station_m, 0.0, kBreakSd});
        const Eigen::VectorXd vinv_b = model.vinv * place.in_rows;
        const Index p = information.rows();
        out.vinv_x.conservativeResize(Eigen::NoChange, p + 1);
        out.vinv_x.col(p) = vinv_b;
        information.conservativeResize(p + 1, p + 1);
        information.col(p).head(p) = model.vinv_x.transpose() * place.in_rows;
        information.row(p).head(p) = information.col(p).head(p).transpose();
        information(p, p) = place.in_rows.dot(vinv_b) + 1.0 / (kBreakSd * kBreakSd);
        right.conservativeResize(p + 1);
        right(p) = vinv_b.dot(model.y);
    }
    out.information.compute(information);
    out.mean = out.information.solve(right);
    out.on_stations.resize(static_cast<Index>(stations_m.size()),
                           static_cast<Index>(trends.size()));
    for (std::size_t k = 0; k < trends.size(); ++k) {
        for (std::size_t i = 0; i < stations_m.size(); ++i) {
            out.on_stations(static_cast<Index>(i), static_cast<Index>(k)) =
                trend_at(trends[k], stations_m[i]);
        }
    }
    return out;
}

struct Draw {
    Eigen::VectorXd coefficients;
    Eigen::VectorXd z_m;
    Eigen::VectorXd pull;
};

// Draws one profile; the sag column 0 is "no sag".
class Sampler {
  public:
    Sampler(const std::vector<double>& stations_m, const Evidence& evidence, Draws& draws)
        : stations_m_(stations_m),
          evidence_(evidence),
          vinv_y_(evidence.model.vinv * evidence.model.y),
          draws_(draws) {}

    Draw draw(std::size_t break_row, std::size_t sag_column) {
        if (!ready_ || break_row != break_row_) {
            model_ = break_model(stations_m_, evidence_, break_row);
            break_row_ = break_row;
            ready_ = true;
        }
        Draw drawn{model_.mean, {}, vinv_y_};
        double depth_m = 0.0;
        if (sag_column > 0) depth_m = draw_sag(sag_column - 1, drawn);
        Eigen::VectorXd noise(drawn.coefficients.size());
        for (double& value : noise) value = draws_.normal();
        drawn.coefficients += model_.information.matrixU().solve(noise);
        drawn.pull -= model_.vinv_x * drawn.coefficients;
        drawn.z_m = model_.on_stations * drawn.coefficients;
        if (sag_column > 0) add_sag(evidence_.sags[sag_column - 1], depth_m, drawn.z_m);
        return drawn;
    }

  private:
    double draw_sag(std::size_t sag, Draw& drawn) {
        const SagDepth depth = sag_depth(sag_products(evidence_, {break_row_, sag}));
        const double depth_m = draws_.normal_above_zero({depth.mean_m, depth.sd_m});
        const SagPlace& place = evidence_.sags[sag];
        if (place.supported) {
            // What the sag takes from the rows, the other coefficients must make good.
            Eigen::VectorXd pull = Eigen::VectorXd::Zero(drawn.coefficients.size());
            for (const SagPlace::InRow& touch : place.in_rows) {
                pull += touch.phi * model_.vinv_x.row(touch.row).transpose();
                drawn.pull += touch.phi * depth_m * evidence_.model.vinv.col(touch.row);
            }
            drawn.coefficients += model_.information.solve(pull * depth_m);
        }
        return depth_m;
    }

    void add_sag(const SagPlace& place, double depth_m, Eigen::VectorXd& z) const {
        const Trend dip{TrendKind::sag, place.centre_m, place.width_m, kSagSd_m};
        for (std::size_t i = 0; i < stations_m_.size(); ++i) {
            z(static_cast<Index>(i)) += depth_m * trend_at(dip, stations_m_[i]);
        }
    }

    const std::vector<double>& stations_m_;
    const Evidence& evidence_;
    Eigen::VectorXd vinv_y_;
    Draws& draws_;
    BreakModel model_;
    std::size_t break_row_ = 0;
    bool ready_ = false;
};

// Where the systematic sampling stands.
struct Share {
    double offset = 0.0;  // of the first sample, in samples
    double of_reading = 1.0;
    bool last = false;    // reading: its last hypothesis takes what rounding leaves
    double passed = 0.0;  // weight of the hypotheses done
    Index drawn = 0;

    bool falls_to(double upto) const {
        return (static_cast<double>(drawn) + offset) / kSamples < upto;
    }
};

void draw_reading(const Evidence& evidence, Share& share, Draws& draws, Samples& samples) {
    const std::vector<Trend>& trends = evidence.model.trends;
    const auto ground_trend =
        std::ranges::find(trends, TrendKind::ground_grade, &Trend::kind) - trends.begin();
    Sampler sampler(samples.stations_m, evidence, draws);
    const Eigen::MatrixXd& weight = evidence.probability;
    for (Index b = 0; b < weight.rows(); ++b) {
        for (Index s = 0; s < weight.cols(); ++s) {
            share.passed += share.of_reading * weight(b, s);
            const bool rest = share.last && b + 1 == weight.rows() && s + 1 == weight.cols();
            while (share.drawn < kSamples && (rest || share.falls_to(share.passed))) {
                const Draw drawn =
                    sampler.draw(static_cast<std::size_t>(b), static_cast<std::size_t>(s));
                samples.z_m.col(share.drawn) = drawn.z_m.array() + evidence.model.offset_m;
                samples.pull.col(share.drawn) = drawn.pull;
                if (ground_trend < static_cast<Index>(trends.size())) {
                    samples.ground_grade(share.drawn) = drawn.coefficients(ground_trend);
                }
                ++share.drawn;
            }
        }
    }
}

}  // namespace

std::vector<double> profile_stations(double length_m) {
    const double steps = std::clamp(std::ceil(length_m / kStep_m), 1.0, kMostSteps);
    std::vector<double> stations;
    for (double i = 0.0; i <= steps; i += 1.0) stations.push_back(length_m * i / steps);
    return stations;
}

Samples sample_profiles(const RunRows& run, const std::vector<Reading>& readings,
                        std::string_view name) {
    Samples samples;
    samples.stations_m = profile_stations(run.length_m);
    samples.z_m.resize(static_cast<Index>(samples.stations_m.size()), kSamples);
    samples.ground_grade = Eigen::VectorXd::Zero(kSamples);
    samples.middle_m = run.length_m / 2.0;
    samples.pull.resize(readings.front().evidence->model.y.size(), kSamples);
    Draws draws(name);
    Share share{draws.uniform()};
    for (const Reading& reading : readings) {
        share.of_reading = reading.probability;
        share.last = &reading == &readings.back();
        draw_reading(*reading.evidence, share, draws, samples);
    }
    return samples;
}

namespace {

// As quantile, where [first, last) already holds the values of those ranks; reorders only them.
double quantile_within(std::vector<double>& values, double p, std::ptrdiff_t first,
                       std::ptrdiff_t last) {
    const double at = std::clamp(p, 0.0, 1.0) * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::ptrdiff_t>(std::floor(at));
    const auto middle = values.begin() + below;
    std::nth_element(values.begin() + first, middle, values.begin() + last);
    const double low = *middle;
    if (below + 1 >= static_cast<std::ptrdiff_t>(values.size())) return low;
    // The next value is the least of those above, up to where ranks are already parted.
    const auto end = below + 1 < last ? values.begin() + last : values.end();
    const double high = *std::min_element(middle + 1, end);
    return low + (at - static_cast<double>(below)) * (high - low);
}

}  // namespace

double quantile(std::vector<double>& values, double p) {
    return quantile_within(values, p, 0, static_cast<std::ptrdiff_t>(values.size()));
}

Bounded median_and_bounds(std::vector<double>& values) {
    const auto size = static_cast<std::ptrdiff_t>(values.size());
    // The median parts the values, so that either bound is sought in its own half.
    const double median = quantile_within(values, 0.5, 0, size);
    const std::ptrdiff_t half = (size - 1) / 2;
    const double low = quantile_within(values, 0.025, 0, half + 1);
    const double high = quantile_within(values, 0.975, half, size);
    return {median, low, high};
}

Estimate mean_and_sd(const std::vector<double>& values) {
    double sum = 0.0;
    for (const double value : values) sum += value;
    const double mean = sum / static_cast<double>(values.size());
    double squares = 0.0;
    for (const double value : values) squares += (value - mean) * (value - mean);
    return {mean, std::sqrt(squares / static_cast<double>(values.size()))};
}

}  // namespace sondeline::grade
