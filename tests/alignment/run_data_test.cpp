#include "alignment/run_data.hpp"

#include <gtest/gtest.h>

namespace sondeline::alignment {
namespace {

PositionDatum stated(double ee, double en, double nn) {
    PositionDatum datum;
    datum.stated_m2 << ee, en, en, nn;
    return datum;
}

TEST(ReadingError, LiesHalfOnEachAxisUntilTheDirectionIsKnown) {
    PositionDatum datum = stated(0.02, 0.0, 0.03);
    add_reading_error(datum, std::nullopt);
    EXPECT_NEAR(datum.covariance_m2(0, 0), 0.02 + 0.5 * 0.04 * 0.04, 1e-12);
    EXPECT_NEAR(datum.covariance_m2(1, 1), 0.03 + 0.5 * 0.04 * 0.04, 1e-12);
    EXPECT_NEAR(datum.covariance_m2(0, 1), 0.0, 1e-12);
}

TEST(ReadingError, LiesAlongThePipeOnceItsDirectionIsKnown) {
    PositionDatum datum = stated(0.02, 0.0, 0.03);
    add_reading_error(datum, 0.5 * std::numbers::pi);  // eastward
    EXPECT_NEAR(datum.covariance_m2(0, 0), 0.02 + 0.04 * 0.04, 1e-12);
    EXPECT_NEAR(datum.covariance_m2(1, 1), 0.03, 1e-12);
    // The same in whichever direction the pipe is pushed.
    PositionDatum back = stated(0.02, 0.0, 0.03);
    add_reading_error(back, -0.5 * std::numbers::pi);
    EXPECT_LT((datum.covariance_m2 - back.covariance_m2).norm(), 1e-15);
}

TEST(ReadingError, IsThatOfTheFix) {
    PositionDatum datum = stated(0.01, 0.0, 0.01);
    datum.station_sd_m = 0.5;
    add_reading_error(datum, 0.0);
    EXPECT_NEAR(datum.covariance_m2(1, 1), 0.01 + 0.25, 1e-12);
}

TEST(Whitening, MakesEveryCovarianceTheUnit) {
    PositionDatum datum = stated(0.02, 0.011, 0.03);
    add_reading_error(datum, 0.7);
    for (const double factor : {1.0, 0.3, 5.0}) {
        use_variance_factor(datum, factor);
        const Eigen::Matrix2d unit =
            datum.whitening * (factor * datum.covariance_m2) * datum.whitening.transpose();
        EXPECT_LT((unit - Eigen::Matrix2d::Identity()).norm(), 1e-12);
        EXPECT_NEAR(datum.sd_m * datum.sd_m, 0.5 * factor * datum.covariance_m2.trace(), 1e-12);
    }
}

}  // namespace
}  // namespace sondeline::alignment
