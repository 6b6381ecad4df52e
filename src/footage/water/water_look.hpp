// Looks along the pipe: whether water stands before the lens, and how high.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "footage/passing/wall_rings.hpp"
#include "footage/water/lens_lean.hpp"
#include "footage/water/passing_vote.hpp"
#include "footage/water/pipe_view.hpp"
#include "footage/water/shores.hpp"
#include "footage/water/wall_flow.hpp"

namespace sondeline {

// What two pictures a moment apart show of the wall's passing.
struct FlowLook {
    PassingVote vote;                 // no directions where no shores are seen
    std::optional<cv::Point2d> lean;  // as PipeView::lean, from how fast the wall passes where
    std::optional<LensLean> lens;     // from how it differs between far ahead and near
    double later_s = 0.0;             // time of the later picture
    // How far the wall came nearer: by so much the picture's height over the radius at which a
    // place of the wall is seen has changed.
    double moved = 0.0;
};

struct WaterLook {
    double time_s = 0.0;
    bool pipe = false;    // a round pipe is seen along its axis
    bool held = false;    // or was seen moments ago, and nothing says that the head has left it
    bool veiled = false;  // hardly any light and dark in the whole picture, as under water
    float light = 0.0F;   // usual grey level of the picture
    std::optional<Shores> shores;
    std::vector<FlowLook> flows;           // against later pictures, as far as the head has moved
    float marks = 0.0F;                    // see WallProfile::usual_step; where a pipe is seen
    std::optional<cv::Point2d> vanishing;  // over the picture's height, where it was found
    std::vector<WallRing> rings;           // in this picture and those it was compared with
};

struct PassedWall {
    WallPassing sectors;
    double later_s = 0.0;
    double moved = 0.0;  // see FlowLook
};

// What is kept of one sampled picture until those after it have been seen. About 5 kB.
struct WaterSight {
    double time_s = 0.0;
    bool veiled = false;
    float light = 0.0F;
    std::optional<WallProfile> profile;  // empty: no pipe was seen
    std::vector<PassedWall> flows;
    std::optional<cv::Point2d> vanishing;  // see WaterLook
    std::vector<WallRing> rings;
};

// The shores are followed through all sights, in time order, before any look is judged.
std::vector<WaterLook> looks_of(std::span<const WaterSight> sights);

// A sampled picture made small, kept until a later one shows how the wall has passed.
class WaterEye {
  public:
    // `unseen`: non-zero where overlay text stands, in the size of the small picture. `before`: the
    // vanishing point of a moment ago, for where glare or deep water hides the pipe's circles.
    // `pace_before`: that of the wall a moment ago, see pace().
    WaterEye(const cv::Mat1b& small, const cv::Mat1b& unseen, double time_s,
             const std::optional<cv::Point2d>& before = std::nullopt,
             const std::optional<double>& pace_before = std::nullopt);

    // Empty where the pipe's circles were not found in this very picture.
    const std::optional<cv::Point2d>& vanishing() const { return found_; }

    // A pipe is seen whose wall has not been compared often enough yet, and by what was seen of it
    // has moved far enough by then.
    bool wants(double time_s) const;

    // Of the wall as compared last, columns a second; empty until it has moved far enough: on a
    // wall of even ribs a pace from less may be off by a rib.
    std::optional<double> pace() const { return sight_.flows.empty() ? std::nullopt : pace_; }

    // Compares with a later picture, if the head has moved on far enough and not too far.
    void follow(const cv::Mat1b& small, double time_s);

    const WaterSight& sight() const { return sight_; }

  private:
    WaterSight sight_;
    cv::Size size_;
    std::optional<cv::Point2d> found_;
    cv::Point2d vanishing_;
    PolarMap by_depth_;
    std::optional<double> pace_;
    std::optional<double> pace_before_;
    Unrolled detail_;
};

// Radius about which shores are measured, over the picture's height.
inline constexpr double water_shore_radius = 0.42;

// Width of the small pictures, pixels.
inline constexpr int water_picture_width = 160;

}  // namespace sondeline
