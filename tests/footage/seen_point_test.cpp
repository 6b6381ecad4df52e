#include "footage/seen_point.hpp"

#include <cstdint>
#include <vector>

#include <gtest/gtest.h>

#include "footage/candidate_list.hpp"

namespace sondeline {
namespace {

constexpr int kPitch_px = 20;
constexpr int kCells = 3;

// Three bright digits without a gap at the waist, and ink at the feet of the gap before the
// `behind` last ones.
LineCrop drawn(int behind) {
    LineCrop crop;
    crop.luma = cv::Mat1b(40, kPitch_px * (kCells + 1), std::uint8_t{20});
    for (int cell = 0; cell < kCells; ++cell) {
        crop.luma(cv::Rect(kPitch_px * cell + 16, 5, 8, 30)) = 220;
    }
    const int gap_px = 10 + kPitch_px * (kCells - behind);
    crop.luma(cv::Rect(gap_px - 3, 29, 6, 6)) = 220;
    return crop;
}

// A layout over the digits of drawn(), with these values, four crops of each.
struct Shown {
    Candidate candidate;
    std::vector<LineCrop> crops;

    std::vector<const LineCrop*> pointers() const {
        std::vector<const LineCrop*> all;
        for (const LineCrop& crop : crops) all.push_back(&crop);
        return all;
    }
};

Shown shown(int decimals, int behind, const std::vector<std::int64_t>& values) {
    Shown made;
    Candidate& candidate = made.candidate;
    candidate.grid.decimals = decimals;
    candidate.grid.places = kCells - decimals;
    candidate.grid.band.pitch_px = kPitch_px;
    candidate.path.score = 10.0;
    LineStructure& structure = candidate.structure;
    structure.shape = fixed_cells(kCells - decimals, decimals, Padding::zeros, SignPlace::none);
    structure.row_top_px = 5;
    structure.row_height_px = 30;
    for (int cell = 0; cell < kCells; ++cell) {
        structure.cell_left_px.push_back(static_cast<float>(10 + kPitch_px * cell));
        structure.cell_width_px.push_back(kPitch_px);
    }
    for (const std::int64_t ticks : values) {
        for (int i = 0; i < 4; ++i) {
            PathValue value;
            value.ticks = ticks;
            value.probability = 0.999F;
            candidate.path.values.push_back(value);
            made.crops.push_back(drawn(behind));
        }
    }
    return made;
}

std::optional<int> digits_behind(const Shown& made) {
    return digits_behind_point(made.candidate, made.pointers());
}

TEST(SeenPoint, StandsAtTheFeetWhateverDigitIsBeforeIt) {
    EXPECT_EQ(digits_behind(shown(1, 1, {395, 402, 413, 424, 436, 447})), 1);
    EXPECT_EQ(digits_behind(shown(2, 2, {395, 402, 513, 624, 736, 847})), 2);
}

// The 3 and the 4 of 39.5 to 44.7 both have a foot there; the point is hidden in the outline.
TEST(SeenPoint, IsNoFootOfTwoDigitsThatAreAllThatComeBeforeIt) {
    EXPECT_EQ(digits_behind(shown(2, 2, {395, 402, 413, 424, 436, 447})), std::nullopt);
}

TEST(SeenPoint, IsNoFootOfADigitThatNeverChanges) {
    EXPECT_EQ(digits_behind(shown(2, 2, {405, 412, 423, 434, 446, 457})), std::nullopt);
}

TEST(SeenPoint, PutsALayoutFirstThatHoldsItWhereTheNetworkMayTakeItForOne) {
    const std::vector<std::int64_t> values{395, 402, 413, 424, 436, 447};
    const Shown right = shown(1, 1, values);
    Candidate best = shown(2, 1, values).candidate;
    best.rank = 13.0;
    best.grid.point_logit = -4.9;
    Candidate other = right.candidate;
    other.rank = 12.0;
    other.grid.point_logit = -1.2;
    std::vector<Candidate> candidates{best, other};
    EXPECT_TRUE(put_point_at_feet_first(candidates, right.pointers()));
    EXPECT_EQ(candidates.front().grid.decimals, 1);
    EXPECT_EQ(candidates.front().rank, 13.0);

    other.grid.point_logit = -3.0;
    candidates = {best, other};
    EXPECT_FALSE(put_point_at_feet_first(candidates, right.pointers()));
    EXPECT_EQ(candidates.front().grid.decimals, 2);
}

}  // namespace
}  // namespace sondeline
