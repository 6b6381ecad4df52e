#include "footage/cell_sampler.hpp"

#include <limits>
#include <stdexcept>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

cv::Mat1b noise(int rows, int columns) {
    cv::Mat1b picture(rows, columns);
    cv::RNG chance(5);
    chance.fill(picture, cv::RNG::UNIFORM, 0, 256);
    return picture;
}

std::vector<cv::Rect2d> row_of_cells(double left, double top, double width, double height) {
    std::vector<cv::Rect2d> cells;
    cells.reserve(9);
    for (int i = 0; i < 9; ++i) cells.emplace_back(left + 0.37 * i * width, top, width, height);
    return cells;
}

// patch_from() goes through a picture pixel by pixel; it is held against the header of the network
// in glyph_net_test.cpp.
void expect_patches_of(const cv::Mat1b& picture, const std::vector<cv::Rect2d>& cells,
                       Strokes strokes) {
    const std::vector<GlyphPatch> patches = patches_from(picture, cells, strokes);
    ASSERT_EQ(patches.size(), cells.size());
    for (std::size_t i = 0; i < cells.size(); ++i) {
        EXPECT_EQ(patches[i], patch_from(picture, cells[i], strokes)) << i << " at " << cells[i];
    }
}

TEST(CellSampler, GivesThePatchesOfItsCellsToTheBit) {
    const cv::Mat1b picture = noise(90, 200);
    for (const double height : {7.3, 21.0, 46.6}) {
        for (const double width : {4.1, 12.0, 31.9}) {
            const std::vector<cv::Rect2d> cells = row_of_cells(20.3, 18.9, width, height);
            expect_patches_of(picture, cells, Strokes::bright);
            expect_patches_of(picture, cells, Strokes::dark);
        }
    }
}

TEST(CellSampler, RepeatsTheEdgesOfThePictureAsOneCellDoes) {
    const cv::Mat1b picture = noise(24, 40);
    expect_patches_of(picture, row_of_cells(-60.0, -9.5, 14.2, 20.3), Strokes::bright);
    expect_patches_of(picture, row_of_cells(25.5, 15.5, 14.2, 20.3), Strokes::bright);
}

TEST(CellSampler, TakesOneSetOfCellsOutOfOnePictureAfterAnother) {
    const std::vector<cv::Rect2d> cells = row_of_cells(8.0, 4.0, 9.0, 16.0);
    CellSampler sampler(cells, Strokes::bright);
    std::vector<GlyphPatch> patches(cells.size());
    for (const cv::Mat1b& picture : {noise(30, 60), cv::Mat1b(255 - noise(28, 50))}) {
        sampler.sample(picture, patches);
        EXPECT_EQ(patches.back(), patch_from(picture, cells.back()));
    }
}

TEST(CellSampler, GivesEmptyPatchesForWhatAreNoCells) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const cv::Mat1b picture = noise(20, 20);
    const std::vector<cv::Rect2d> none{{2.0, 2.0, 0.0, 10.0}, {nan, 2.0, 5.0, 10.0}};
    for (const GlyphPatch& patch : patches_from(picture, none, Strokes::bright)) {
        EXPECT_EQ(patch, GlyphPatch{});
    }
    const std::vector<cv::Rect2d> cells = row_of_cells(2.0, 2.0, 5.0, 10.0);
    EXPECT_EQ(patches_from(cv::Mat1b(), cells, Strokes::bright).front(), GlyphPatch{});
}

TEST(CellSampler, RefusesRoomForAnotherNumberOfPatches) {
    CellSampler sampler(row_of_cells(2.0, 2.0, 5.0, 10.0), Strokes::bright);
    std::vector<GlyphPatch> patches(3);
    EXPECT_THROW(sampler.sample(noise(20, 20), patches), std::invalid_argument);
}

}  // namespace
}  // namespace sondeline
