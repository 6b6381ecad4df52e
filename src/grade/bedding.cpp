#include "grade/bedding.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::grade {

namespace {

// Covariance of f at a station with what a row says.
double with_row_m2(double station_m, const Row& row) {
    const double there = bedding_covariance_m2(station_m, row.station_m);
    return row.less_at_m ? there - bedding_covariance_m2(station_m, *row.less_at_m) : there;
}

}  // namespace

Unevenness unevenness(const Analysis& analysis, const UnevenAt& at) {
    const std::vector<Row>& used = analysis.screening.used;
    Eigen::VectorXd with_rows(used.size());
    for (std::size_t i = 0; i < used.size(); ++i) {
        double& k = with_rows(static_cast<Eigen::Index>(i));
        k = with_row_m2(at.station_m, used[i]);
        if (at.less_at_m) k -= with_row_m2(*at.less_at_m, used[i]);
    }
    double variance = bedding_covariance_m2(at.station_m, at.station_m);
    if (at.less_at_m) {
        variance = 2.0 * (variance - bedding_covariance_m2(at.station_m, *at.less_at_m));
    }
    variance -= with_rows.dot(analysis.evidence->model.vinv * with_rows);
    return {analysis.samples->pull.transpose() * with_rows, std::sqrt(std::max(0.0, variance))};
}

}  // namespace sondeline::grade
