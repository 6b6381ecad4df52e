// Whether what lies between the shores passes the lens as the wall about it does: every direction
// between them votes.
#pragma once

#include <array>
#include <optional>

#include "footage/water/shores.hpp"
#include "footage/water/wall_flow.hpp"

namespace sondeline {

// How much likelier a surface is than wall, natural logarithm: wall passes at a pace that its
// distance sets, and a surface shows other things at another.
struct PassingVote {
    // Summed over the directions between the shores. The distance is told in two ways: by the
    // wall's own passing in this picture, and by the lens's height in the whole clip.
    std::array<double, 2> for_surface{};
    int directions = 0;  // that could be compared

    PassingVote& operator+=(const PassingVote& more);
};

enum class Pace {
    unknown,
    of_wall,  // as the wall in that direction has to
    other,
};

// Each direction's, where the wall's distance is told by all of them that agree. Empty when too few
// do. `shift` as below.
std::optional<std::array<Pace, flow_sectors>> paces_of(const WallPassing& passing, double shift);

// Where a direction lies to the shores; near them it may show either side.
enum class Beside { wall, surface, shore };

Beside beside_shores(double direction_rad, const Shores& shores);

// What is known of the lens from the whole clip.
struct LensInPassing {
    double low = 0.0;  // below the pipe's axis, radii
    // How much faster the wall straight down passes than its distance has it, as the vanishing
    // point that it was unrolled about is not where it comes from; see LensLean::off.
    double faster_down = 0.0;
};

// `shift`: usual shift of the wall, columns.
PassingVote passing_vote(const WallPassing& passing, double shift, const Shores& shores,
                         const LensInPassing& lens);

}  // namespace sondeline
