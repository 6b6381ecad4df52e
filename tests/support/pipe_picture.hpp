// What the camera sees: a straight ray from the lens meets the wall of a round pipe, or the flat
// water that stands in it and mirrors the wall above.
//
// Picture geometry, in units of the pipe's radius, lens on the axis, axis along z: a pixel (x, y)
// off the vanishing point looks along (x, y, f) and meets the wall at z = f / r, r = hypot(x, y).
// A lens that lies `low` radii below the axis meets it at z = f / k, x² + (y + k low)² = k².
// Water whose surface lies h below the axis hides the wall where y / r > h; it is met at z = f h /
// y and shows the wall of the pipe mirrored in its plane. So its edge on the wall runs along the
// pipe and its near end is a level chord.
#pragma once

#include <vector>

#include "support/overlay_text.hpp"
#include "support/wall_texture.hpp"

namespace sondeline::support {

class PipePicture {
  public:
    PipePicture(const Scenario& scenario, const std::vector<HeadState>& states);

    // Draws the pipe of one state into a frame of the clip's size, chroma included.
    void draw(const HeadState& state, Frame& frame);

    // Depth of water over diameter at a station.
    double water_ratio(double station_m) const;

  private:
    struct Pose;

    Pose pose_of(const HeadState& state) const;
    void cast_rays(const Pose& pose);
    void cast_rays_round_bends(const Pose& pose);
    void shift_to_axis(const Pose& pose);
    void lay_water(const Pose& pose, const HeadState& state);
    void shade(const Pose& pose, const HeadState& state, Frame& frame);
    void mark_lens(cv::Mat1b& luma) const;
    double surface_ratio(double station_m) const;
    bool under_water(const HeadState& state) const;
    void show_end(const Pose& pose, double station_m);

    Scenario scenario_;
    WallTexture texture_;
    cv::Size half_;  // half the picture: the lens is no sharper, and chroma needs no more
    // Per pixel: where round the pipe (texture columns), how far ahead (radii), how much light the
    // surface sends back, and how brown it is.
    cv::Mat1f column_, ahead_, reflect_, water_;
    cv::Mat1f x_, y_;  // off the axis at the wall that is met, in pixels
    cv::Mat1f row_, radius_, angle_;
};

}  // namespace sondeline::support
