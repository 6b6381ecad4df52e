#include "footage/water/lens_lean.hpp"

#include <cmath>
#include <span>

#include <gtest/gtest.h>

#include "footage/water/drawn_pipe.hpp"
#include "footage/water/water_look.hpp"

namespace sondeline {
namespace {

constexpr double kFar = 15.0;  // 1 / radius before and after, heights of the picture
constexpr double kNear = 8.0;

std::array<bool, flow_sectors> all_sectors() {
    std::array<bool, flow_sectors> all{};
    all.fill(true);
    return all;
}

// Places of a round wall pass a lens that is pushed along the pipe by `on` radii: exactly, by plane
// geometry. Directions and distances in the picture are taken about a point `off` from where the
// wall comes from.
struct DrawnPassing {
    cv::Point2d lean;  // from the lens to the axis, radii
    cv::Point2d off;   // heights of the picture

    double shift(double direction_rad, double both, double on) const {
        const cv::Point2d u(std::cos(direction_rad), std::sin(direction_rad));
        // The lens looks along the axis: |distance · u − lean| = 1.
        const double along = lean.dot(u);
        const double distance = along + std::sqrt(1.0 - lean.dot(lean) + along * along);
        const double moved = on / distance;
        const cv::Point2d before = u / (0.5 * (both + moved)) - off;
        const cv::Point2d after = u / (0.5 * (both - moved)) - off;
        return 1.0 / cv::norm(before) - 1.0 / cv::norm(after);
    }

    WallPassing passing() const {
        WallPassing all{};
        for (int i = 0; i < flow_sectors; ++i) {
            SectorPassing& sector = all[static_cast<std::size_t>(i)];
            const double direction_rad = direction_of_sector(i);
            sector.halves[0] = {static_cast<float>(shift(direction_rad, kFar, 1.0)), 0.9F};
            sector.halves[1] = {static_cast<float>(shift(direction_rad, kNear, 1.0)), 0.9F};
        }
        return all;
    }
};

TEST(LensLean, TellsALensThatRidesLowFromAVanishingPointThatIsOff) {
    for (const double off : {-0.02, 0.0, 0.02}) {
        const DrawnPassing drawn{{0.0, -0.3}, {0.5 * off, off}};
        const auto lens = lens_lean(drawn.passing(), all_sectors(), {kFar, kNear});
        ASSERT_TRUE(lens) << off;
        EXPECT_NEAR(lens->lean.y, -0.3, 0.05) << off;
        EXPECT_NEAR(lens->lean.x, 0.0, 0.05) << off;
        EXPECT_NEAR(lens->off.y, off, 0.006) << off;
        EXPECT_NEAR(lens->off.x, 0.5 * off, 0.006) << off;
    }
}

TEST(LensLean, LeavesOutWhatPassesAtAnotherPaceThanTheWall) {
    const DrawnPassing drawn{{0.0, -0.2}, {0.0, 0.0}};
    WallPassing passing = drawn.passing();
    for (const std::size_t sector : {5U, 6U, 7U}) {
        for (Passed& half : passing[sector].halves) half.shift *= 0.5F;
    }
    const auto lens = lens_lean(passing, all_sectors(), {kFar, kNear});
    ASSERT_TRUE(lens);
    EXPECT_NEAR(lens->lean.y, -0.2, 0.04);
}

TEST(LensLean, IsNotToldWhereOneHalfShowsTooLittle) {
    WallPassing passing = DrawnPassing{{0.0, -0.2}, {0.0, 0.0}}.passing();
    for (std::size_t i = 0; i < 18; ++i) passing[i].halves[0].alike = 0.1F;
    EXPECT_FALSE(lens_lean(passing, all_sectors(), {kFar, kNear}));
}

WaterLook look_with(double time_s, const LensLean& lens) {
    WaterLook look;
    look.time_s = time_s;
    look.pipe = true;
    look.shores.emplace();
    look.shores->down_rad = CV_PI / 2;
    look.flows.emplace_back();
    look.flows.back().lens = lens;
    return look;
}

TEST(PlaceOfLens, IsTheUsualOneWithAWideSpreadWhereNothingTells) {
    EXPECT_GT(place_of_lens({}).height.sd, 0.1);
    const std::vector<WaterLook> one{look_with(0.0, {{0.0, -0.6}, {}})};
    EXPECT_GT(place_of_lens(one).height.sd, 0.1);
}

TEST(PlaceOfLens, IsSurerTheMoreLooksAgree) {
    std::vector<WaterLook> looks;
    looks.reserve(20);
    for (int i = 0; i < 20; ++i)
        looks.push_back(look_with(0.3 * i, {{0.0, i % 2 == 0 ? -0.38 : -0.42}, {0.0, -0.015}}));
    const LensPlace place = place_of_lens(looks);
    EXPECT_NEAR(place.height.value, 0.3, 0.015);
    EXPECT_LT(place.height.sd, 0.03);
    EXPECT_NEAR(place.off_down, -0.015, 1e-9);
    for (int i = 0; i < 20; ++i)
        looks[static_cast<std::size_t>(i)].flows[0].lens->lean.y -= 0.8 * (i % 3 - 1);
    EXPECT_GT(place_of_lens(looks).height.sd, 2.0 * place.height.sd);
}

// The whole way from pictures of a drawn pipe.
TEST(PlaceOfLens, IsReadFromPicturesOfAHeadThatLiesOnTheInvert) {
    for (const double height : {0.3, 0.5}) {
        support::Scenario scenario = plain_pipe();
        scenario.pipe.water = {{-1.0, 0.12}, {9.0, 0.12}};
        scenario.pipe.dirt = 0.5;
        scenario.camera.lens_height = height;
        const auto frames = small_frames(scenario, 0.5);
        const cv::Mat1b unseen(frames.front().size(), uchar{0});
        std::vector<WaterSight> sights;
        for (std::size_t i = 0; i + 3 < frames.size(); ++i) {
            WaterEye eye(frames[i], unseen, 0.1 * static_cast<double>(i));
            for (std::size_t k = i + 1; k < i + 4; ++k)
                eye.follow(frames[k], 0.1 * static_cast<double>(k));
            sights.push_back(eye.sight());
        }
        const LensPlace place = place_of_lens(looks_of(sights));
        EXPECT_NEAR(place.height.value, height, 0.03);
        EXPECT_LT(place.height.sd, 0.06);
    }
}

}  // namespace
}  // namespace sondeline
