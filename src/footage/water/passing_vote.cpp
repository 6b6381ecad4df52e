#include "footage/water/passing_vote.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {
namespace {

constexpr double kBesideShore_rad = 0.3;
constexpr float kLeastAlike = 0.3F;    // below it the two pictures show nothing in common
constexpr double kMostShift = 13.0;    // columns: further on the match is cut off
constexpr double kSamePace = 0.25;     // natural logarithm of shift over that of the wall
constexpr double kByChance = 0.3;      // share of directions of a surface that pass so all the same
constexpr double kLeastOfWall = 0.35;  // share of the wall's that do, at least and at most
constexpr double kMostOfWall = 0.95;
constexpr double kNearest = 0.3;  // over the usual distance

double off_down(int sector, const Shores& shores) {
    return std::remainder(direction_of_sector(sector) - shores.down_rad, 2.0 * CV_PI);
}

// Distance of the wall from the lens by direction over the usual one, as the other directions show
// it; even where they show nothing.
class DistanceByPassing {
  public:
    DistanceByPassing(const WallPassing& passing, const Shores& shores) {
        std::array<bool, flow_sectors> at_wall{};
        for (int i = 0; i < flow_sectors; ++i) {
            at_wall[static_cast<std::size_t>(i)] =
                beside_shores(direction_of_sector(i), shores) == Beside::wall;
        }
        fit_ = distance_of_wall(passing, at_wall);
    }

    double operator()(int sector) const { return fit_ ? at_sector(*fit_, sector) : 1.0; }

  private:
    std::optional<cv::Vec3d> fit_;
};

// A lens `low` radii below the axis of a circle (plane geometry).
double distance_from(double low, double off_rad) {
    const double aside = low * std::sin(off_rad);
    return -low * std::cos(off_rad) + std::sqrt(std::max(0.0, 1.0 - aside * aside));
}

Pace pace_of(const SectorPassing& sector, double shift, double distance) {
    constexpr double kLeastShift = 0.05;
    if (sector.alike < kLeastAlike) return Pace::unknown;
    const double due = 1.0 / std::max(distance, kNearest);
    if (due * std::abs(shift) > kMostShift) return Pace::unknown;
    const double pace = std::max(kLeastShift, static_cast<double>(sector.shift));
    return std::abs(std::log(pace / due)) < kSamePace ? Pace::of_wall : Pace::other;
}

struct Count {
    int same = 0;
    int of = 0;
};

template <class Distance>
double votes(const WallPassing& passing, double shift, const Shores& shores,
             const Distance& distance, int& directions) {
    Count wall;
    Count between;
    for (int i = 0; i < flow_sectors; ++i) {
        const Beside where = beside_shores(direction_of_sector(i), shores);
        const SectorPassing& sector = passing[static_cast<std::size_t>(i)];
        const Pace pace = pace_of(sector, shift, distance(i));
        if (where == Beside::shore || pace == Pace::unknown) continue;
        Count& count = where == Beside::wall ? wall : between;
        count.same += pace == Pace::of_wall ? 1 : 0;
        ++count.of;
    }
    directions = between.of;
    const double of_wall =
        std::clamp((wall.same + 1.0) / (wall.of + 2.0), kLeastOfWall, kMostOfWall);
    return between.same * std::log(kByChance / of_wall) +
           (between.of - between.same) * std::log((1.0 - kByChance) / (1.0 - of_wall));
}

}  // namespace

std::optional<std::array<Pace, flow_sectors>> paces_of(const WallPassing& passing, double shift) {
    std::array<bool, flow_sectors> used{};
    used.fill(true);
    auto distance = distance_of_wall(passing, used);
    if (!distance) return std::nullopt;
    // What does not lie on the wall is left out of the second fit.
    for (int i = 0; i < flow_sectors; ++i) {
        constexpr double kOff = 0.3;
        const auto at = static_cast<std::size_t>(i);
        const double inverse = 1.0 / std::max(0.1F, passing[at].shift);
        used[at] = std::abs(inverse - at_sector(*distance, i)) < kOff;
    }
    if (const auto again = distance_of_wall(passing, used)) distance = again;
    std::array<Pace, flow_sectors> paces{};
    for (int i = 0; i < flow_sectors; ++i) {
        const auto at = static_cast<std::size_t>(i);
        paces[at] = pace_of(passing[at], shift, at_sector(*distance, i));
    }
    return paces;
}

PassingVote& PassingVote::operator+=(const PassingVote& more) {
    for (std::size_t i = 0; i < for_surface.size(); ++i) for_surface[i] += more.for_surface[i];
    directions += more.directions;
    return *this;
}

Beside beside_shores(double direction_rad, const Shores& shores) {
    const double off = std::abs(std::remainder(direction_rad - shores.down_rad, 2.0 * CV_PI));
    if (off > shores.half_rad + kBesideShore_rad) return Beside::wall;
    return off < std::max(shores.half_rad - kBesideShore_rad, 0.5 * shores.half_rad)
               ? Beside::surface
               : Beside::shore;
}

PassingVote passing_vote(const WallPassing& passing, double shift, const Shores& shores,
                         const LensInPassing& lens) {
    PassingVote vote;
    int ignored = 0;
    vote.for_surface[0] =
        votes(passing, shift, shores, DistanceByPassing(passing, shores), vote.directions);
    const auto by_height = [&](int sector) {
        const double off_rad = off_down(sector, shores);
        return distance_from(lens.low, off_rad) / (1.0 + lens.faster_down * std::cos(off_rad));
    };
    vote.for_surface[1] = votes(passing, shift, shores, by_height, ignored);
    return vote;
}

}  // namespace sondeline
