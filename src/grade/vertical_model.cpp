#include "grade/vertical_model.hpp"

#include <cmath>
#include <numbers>

#include <Eigen/Cholesky>

namespace sondeline::grade {

namespace {

constexpr double kBeddingLength_m = 2.5;
constexpr double kWanderLength_m = 1.5;
// Soil and other metal, and with them what a locator is off by, change over some metres, and at
// once where a trench was filled anew (common practice, no source): hence no smooth bell.
constexpr double kLocatorMemory_m = 8.0;

double bell(double distance_m, double sd_m, double length_m) {
    const double d = distance_m / length_m;
    return sd_m * sd_m * std::exp(-0.5 * d * d);
}

double bedding(double first_m, double second_m, double wander_sd_m) {
    double covariance = bedding_covariance_m2(first_m, second_m);
    if (wander_sd_m > 0.0) covariance += bell(first_m - second_m, wander_sd_m, kWanderLength_m);
    return covariance;
}

double locator_covariance_m2(const Row& a, const Row& b, double wander) {
    const double stays =
        kLocatorConstantSd_m * kLocatorConstantSd_m +
        kLocatorProportionSd * kLocatorProportionSd * a.even_depth_m * b.even_depth_m;
    const double away_m = std::abs(a.station_m - b.station_m);
    return stays * (1.0 + wander * std::exp(-away_m / kLocatorMemory_m));
}

double shared(const Row& a, const Row& b, const ModelInput& input) {
    double covariance = bedding(a.station_m, b.station_m, input.wander_sd_m);
    if (a.less_at_m) covariance -= bedding(*a.less_at_m, b.station_m, input.wander_sd_m);
    if (b.less_at_m) covariance -= bedding(a.station_m, *b.less_at_m, input.wander_sd_m);
    if (a.less_at_m && b.less_at_m) {
        covariance += bedding(*a.less_at_m, *b.less_at_m, input.wander_sd_m);
    }
    if (is_locator(a) && is_locator(b)) {
        covariance += locator_covariance_m2(a, b, input.locator_wander);
    }
    if (a.ground_interpolated && b.ground_interpolated) {
        covariance += ground_covariance_m2(*input.ground, a.station_m, b.station_m);
    }
    if (a.log >= 0 && a.log == b.log) {
        covariance += input.level_zero_sd * input.level_zero_sd * (*a.less_at_m - a.station_m) *
                      (*b.less_at_m - b.station_m);
    }
    return covariance;
}

double mean_height_m(const std::vector<Row>& rows) {
    double sum = 0.0;
    int heights = 0;
    for (const Row& row : rows) {
        if (!says_height(row)) continue;
        sum += row.y_m;
        ++heights;
    }
    return heights > 0 ? sum / heights : 0.0;
}

}  // namespace

double bedding_covariance_m2(double first_m, double second_m) {
    return bell(first_m - second_m, kBeddingSd_m, kBeddingLength_m);
}

double trend_at(const Trend& trend, double station_m) {
    switch (trend.kind) {
        case TrendKind::level: return 1.0;
        case TrendKind::grade: return station_m - trend.at_m;
        case TrendKind::ground_grade: return 0.0;
        case TrendKind::grade_break: return std::max(0.0, station_m - trend.at_m);
        case TrendKind::sag: {
            const double d = station_m - trend.at_m;
            if (std::abs(d) >= trend.width_m / 2.0) return 0.0;
            return -0.5 * (1.0 + std::cos(2.0 * std::numbers::pi * d / trend.width_m));
        }
    }
    return 0.0;
}

double trend_in_row(const Trend& trend, const Row& row) {
    if (trend.kind == TrendKind::ground_grade) {
        // The row's height was taken from level ground: z = ground − depth, ground = γ(x − L/2).
        return says_height(row) ? -(row.station_m - trend.at_m) : 0.0;
    }
    const double there = trend_at(trend, row.station_m);
    return row.less_at_m ? there - trend_at(trend, *row.less_at_m) : there;
}

std::vector<Trend> plain_trends(const RunRows& run) {
    const double middle_m = run.length_m / 2.0;
    std::vector<Trend> trends = {{TrendKind::level, 0.0, 0.0, kLevelSd_m},
                                 {TrendKind::grade, middle_m, 0.0, kGradeSd}};
    if (run.z_reference == ZReference::assumed_level_ground) {
        trends.push_back({TrendKind::ground_grade, middle_m, 0.0, kAssumedGroundGradeSd});
    }
    return trends;
}

Eigen::MatrixXd row_covariance(const ModelInput& input) {
    const auto& rows = *input.rows;
    const auto n = static_cast<Eigen::Index>(rows.size());
    Eigen::MatrixXd v(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const Row& row = rows[static_cast<std::size_t>(i)];
        for (Eigen::Index j = 0; j <= i; ++j) {
            v(i, j) = v(j, i) = shared(row, rows[static_cast<std::size_t>(j)], input);
        }
        v(i, i) += row.sd_m * row.sd_m * (scatters(row) ? input.scatter : 1.0);
    }
    return v;
}

Eigen::MatrixXd columns(const std::vector<Trend>& trends, const std::vector<Row>& rows) {
    Eigen::MatrixXd x(rows.size(), trends.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        for (std::size_t k = 0; k < trends.size(); ++k) {
            x(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(k)) =
                trend_in_row(trends[k], rows[i]);
        }
    }
    return x;
}

Eigen::VectorXd readings(const std::vector<Row>& rows) {
    Eigen::VectorXd y(rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) y(static_cast<Eigen::Index>(i)) = rows[i].y_m;
    return y;
}

Eigen::VectorXd prior_precision(const std::vector<Trend>& trends) {
    Eigen::VectorXd p(trends.size());
    for (std::size_t k = 0; k < trends.size(); ++k) {
        p(static_cast<Eigen::Index>(k)) = 1.0 / (trends[k].prior_sd * trends[k].prior_sd);
    }
    return p;
}

VerticalModel solve_model(const ModelInput& input, const std::vector<Trend>& trends) {
    const auto& rows = *input.rows;
    VerticalModel model;
    model.trends = trends;
    model.offset_m = mean_height_m(rows);
    model.y = readings(rows);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (says_height(rows[i])) model.y(static_cast<Eigen::Index>(i)) -= model.offset_m;
    }
    const Eigen::MatrixXd x = columns(trends, rows);
    const Eigen::VectorXd prior = prior_precision(trends);
    const Eigen::LLT<Eigen::MatrixXd> v(row_covariance(input));
    const auto n = static_cast<Eigen::Index>(rows.size());
    model.vinv = v.solve(Eigen::MatrixXd::Identity(n, n));
    model.vinv_x = model.vinv * x;
    model.information = x.transpose() * model.vinv_x;
    model.information.diagonal() += prior;
    model.right = model.vinv_x.transpose() * model.y;
    const Eigen::LLT<Eigen::MatrixXd> information(model.information);
    model.q = model.vinv - model.vinv_x * information.solve(model.vinv_x.transpose());
    model.qy = model.q * model.y;
    model.log_evidence =
        -0.5 * model.y.dot(model.qy) - v.matrixLLT().diagonal().array().log().sum() -
        information.matrixLLT().diagonal().array().log().sum() + 0.5 * prior.array().log().sum();
    return model;
}

}  // namespace sondeline::grade
