#include "support/wall_texture.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "support/smooth_noise.hpp"

namespace sondeline::support {

namespace {

constexpr std::uint64_t wall_stream = 41;

struct Grain {
    double base;    // grey level of the clean wall
    double coarse;  // spread of blotches
    double fine;    // spread of grain
    double joint;   // how dark the gap of a joint is
    double ring_m;  // corrugation; 0 none
    double stain;   // how many stains
    double ring_contrast = 0.35;
};

Grain grain_of(const PipeScene& pipe) {
    if (pipe.wall) {
        const WallSurface& wall = *pipe.wall;
        return {wall.base,   wall.blotches, wall.grain,        wall.joint,
                wall.ring_m, wall.stains,   wall.ring_contrast};
    }
    switch (pipe.material) {
        case Material::plastic: return {150, 12, 6, 110, 0.0, 0.5};
        case Material::clay: return {120, 22, 14, 80, 0.0, 1.0};
        case Material::iron: return {92, 15, 8, 45, 0.0, 1.6};
        case Material::corrugated: break;
    }
    return {110, 12, 6, 40, 0.018, 0.7};
}

class Painter {
  public:
    Painter(const PipeScene& pipe, std::uint64_t seed, double from_m, double to_m)
        : pipe_(pipe),
          grain_(grain_of(pipe)),
          random_(mixed(seed, wall_stream)),
          first_m_(from_m - 0.3),
          wall_(static_cast<int>((to_m - from_m + 0.3 + WallTexture::ahead_m) / WallTexture::row_m),
                WallTexture::columns, static_cast<float>(grain_.base)) {}

    cv::Mat1b paint() {
        blotches(24, 64, grain_.coarse);
        blotches(6, 16, 0.8 * grain_.coarse);
        blotches(1, 4, grain_.fine);
        bottom_film();
        if (grain_.ring_m > 0.0) corrugate();
        joints();
        stains();
        scratches();
        for (int fold = 0; fold < pipe_.folds; ++fold) lay_fold();
        for (const double root_m : pipe_.roots_m) root(root_m);
        for (const StainBand& stain : pipe_.stains) stain_band(stain);
        for (const Deposit& one : pipe_.deposits) deposit(one);
        cv::Mat1b grey;
        wall_.convertTo(grey, CV_8U);
        return grey;
    }

    double first_m() const { return first_m_; }

  private:
    double row_of(double station_m) const { return (station_m - first_m_) / WallTexture::row_m; }

    // Noise of a given grain; wraps round the pipe.
    void blotches(int rows, int columns, double spread) {
        cv::Mat1f coarse(std::max(2, wall_.rows / rows + 2), WallTexture::columns / columns);
        random_.fill(coarse, cv::RNG::NORMAL, 0.0, spread);
        cv::Mat1f wide;
        cv::copyMakeBorder(coarse, wide, 0, 0, 2, 2, cv::BORDER_WRAP);
        cv::Mat1f large;
        cv::resize(wide, large, cv::Size(WallTexture::columns + 4 * columns, wall_.rows), 0, 0,
                   cv::INTER_CUBIC);
        wall_ += large(cv::Rect(2 * columns, 0, WallTexture::columns, wall_.rows));
    }

    // A film of dirt along the invert, where the water runs, with a ragged edge.
    void bottom_film() {
        const std::uint64_t seed = random_.next();
        constexpr double down = 0.25 * WallTexture::columns;
        for (int row = 0; row < wall_.rows; ++row) {
            const double half_width = 38.0 + 14.0 * smooth_noise(seed, row * 0.02);
            for (int column = 0; column < WallTexture::columns; ++column) {
                const double off = std::abs(column - down) / half_width;
                if (off < 1.3) {
                    const double share = std::clamp((1.3 - off) * 2.0, 0.0, 1.0);
                    wall_(row, column) *= static_cast<float>(1.0 - 0.45 * pipe_.dirt * share);
                }
            }
        }
    }

    void corrugate() {
        for (int row = 0; row < wall_.rows; ++row) {
            const double phase = 2.0 * CV_PI * row * WallTexture::row_m / grain_.ring_m;
            wall_.row(row) *= 1.0 + grain_.ring_contrast * std::sin(phase);
        }
    }

    void band(double station_m, double width_m, double change) {
        const int from = std::clamp(static_cast<int>(row_of(station_m)), 0, wall_.rows);
        const int to = std::clamp(static_cast<int>(row_of(station_m + width_m)) + 1, 0, wall_.rows);
        if (to > from) wall_.rowRange(from, to) += change;
    }

    void joint(double station_m) {
        band(station_m - 0.020, 0.016, -0.12 * grain_.joint);
        band(station_m, 0.004, -grain_.joint);
        band(station_m + 0.006, 0.006, 0.35 * grain_.joint);
    }

    void joints() {
        const double last_m = first_m_ + wall_.rows * WallTexture::row_m;
        if (pipe_.joint_spacing_m > 0.0) {
            const double first = std::ceil(first_m_ / pipe_.joint_spacing_m);
            for (double at = first * pipe_.joint_spacing_m; at < last_m;
                 at += pipe_.joint_spacing_m) {
                joint(at);
            }
        }
        for (const Bend& bend : pipe_.bends) {  // a fitting has a socket at both ends
            joint(bend.station_m - 0.5 * bend.length_m);
            joint(bend.station_m + 0.5 * bend.length_m);
        }
    }

    // How many of something there are, at so many per metre.
    int count(double per_m) const {
        return static_cast<int>(per_m * wall_.rows * WallTexture::row_m);
    }

    void stains() {
        const int stains = count(6.0 * grain_.stain * (0.3 + pipe_.dirt));
        for (int index = 0; index < stains; ++index) {
            const cv::Point centre(random_.uniform(0, WallTexture::columns),
                                   random_.uniform(0, wall_.rows));
            const cv::Size axes(random_.uniform(2, 16), random_.uniform(2, 22));
            const double change = random_.uniform(-60.0, 25.0);
            const cv::Rect area = cv::Rect(centre.x - axes.width, centre.y - axes.height,
                                           2 * axes.width + 1, 2 * axes.height + 1) &
                                  cv::Rect(0, 0, wall_.cols, wall_.rows);
            for (int row = area.y; row < area.br().y; ++row) {
                for (int column = area.x; column < area.br().x; ++column) {
                    const double dx = static_cast<double>(column - centre.x) / axes.width;
                    const double dy = static_cast<double>(row - centre.y) / axes.height;
                    const double left = 1.0 - dx * dx - dy * dy;
                    if (left > 0.0) wall_(row, column) += static_cast<float>(change * left);
                }
            }
        }
    }

    void scratches() {
        const int scratches = count(3.0);
        for (int index = 0; index < scratches; ++index) {
            const cv::Point start(random_.uniform(0, WallTexture::columns),
                                  random_.uniform(0, wall_.rows));
            const cv::Point end(start.x + random_.uniform(-25, 26),
                                start.y + random_.uniform(4, 160));
            const double level = random_.uniform(0, 3) == 0 ? 235.0 : grain_.base - 55.0;
            cv::line(wall_, start, end, cv::Scalar(level), 1, cv::LINE_AA);
        }
    }

    // Where a lining is too wide for its pipe: light on one side, in shadow on the other.
    void lay_fold() {
        const std::uint64_t seed = random_.next();
        const double at = random_.uniform(0.0, static_cast<double>(WallTexture::columns));
        const double half_width = random_.uniform(2.0, 5.0);
        const double height = random_.uniform(15.0, 50.0);
        for (int row = 0; row < wall_.rows; ++row) {
            const double middle = at + 10.0 * smooth_noise(seed, row * 0.004);
            for (int off = -10; off <= 10; ++off) {
                const double from_middle = off / half_width;
                const double change =
                    height * from_middle * std::exp(-0.5 * from_middle * from_middle);
                const int column = cvFloor(middle) + off + WallTexture::columns;
                wall_(row, column % WallTexture::columns) += static_cast<float>(change);
            }
        }
    }

    // A bundle of threads that enters at a joint in the crown and lies along the wall.
    void root(double station_m) {
        for (int thread = 0; thread < 26; ++thread) {
            cv::Point at(random_.uniform(300, 460), static_cast<int>(row_of(station_m)));
            const double level = random_.uniform(30.0, 150.0);
            for (int piece = 0; piece < 9; ++piece) {
                const cv::Point next(at.x + random_.uniform(-14, 15),
                                     at.y + random_.uniform(-6, 13));
                cv::line(wall_, at, next, cv::Scalar(level), random_.uniform(1, 4), cv::LINE_AA);
                at = next;
            }
        }
    }

    // Columns from the invert to where a level of this depth meets the wall.
    static double half_width(double depth_ratio) {
        return std::acos(1.0 - 2.0 * std::clamp(depth_ratio, 0.0, 1.0)) / (2.0 * CV_PI) *
               WallTexture::columns;
    }

    // Calls back for each row of a stretch, with the share 0…1…0 it is faded in there.
    template <class Visit>
    void each_row(double from_m, double to_m, const Visit& visit) {
        const int from = std::clamp(static_cast<int>(row_of(from_m)), 0, wall_.rows);
        const int to = std::clamp(static_cast<int>(row_of(to_m)), 0, wall_.rows);
        for (int row = from; row < to; ++row) {
            visit(row, std::min({1.0, (row - from) / 40.0, (to - row) / 40.0}));
        }
    }

    void stain_band(const StainBand& stain) {
        const double middle_m = 0.5 * (stain.from_m + stain.to_m);
        const double reach_m = std::max(1e-3, 0.5 * (stain.to_m - stain.from_m));
        each_row(stain.from_m, stain.to_m, [&](int row, double share) {
            const double off = (first_m_ + row * WallTexture::row_m - middle_m) / reach_m;
            const double deep = stain.sag ? std::cos(0.5 * CV_PI * off) : 1.0;
            if (stain.sag) share = 1.0;
            const double edge = half_width(stain.depth_ratio * deep);
            for (int column = 0; column < WallTexture::columns; ++column) {
                const double inside = edge * share - std::abs(column - 0.25 * WallTexture::columns);
                const double dark = stain.darkness * std::clamp(inside / 4.0, 0.0, 1.0);
                wall_(row, column) *= static_cast<float>(1.0 - dark);
            }
        });
    }

    void deposit(const Deposit& one) {
        const double edge = half_width(one.depth_ratio);
        const std::uint64_t seed = random_.next();
        each_row(one.from_m, one.to_m, [&](int row, double share) {
            const double ragged = 1.0 + 0.25 * smooth_noise(seed, row * 0.05);
            for (int column = 0; column < WallTexture::columns; ++column) {
                const double inside =
                    edge * share * ragged - std::abs(column - 0.25 * WallTexture::columns);
                const double grit = 70.0 + 28.0 * smooth_noise(seed + 1, column * 0.21) +
                                    28.0 * smooth_noise(seed + 2 + column / 6, row * 0.17);
                const auto there = static_cast<float>(std::clamp(inside / 3.0, 0.0, 1.0));
                wall_(row, column) += there * (static_cast<float>(grit) - wall_(row, column));
            }
        });
    }

    const PipeScene& pipe_;
    Grain grain_;
    cv::RNG random_;
    double first_m_;
    cv::Mat1f wall_;
};

}  // namespace

const cv::Mat1b& WallTexture::at_smear(double smear_m) const {
    const double rows = smear_m / row_m;
    if (rows < 2.0) return smeared[0];
    if (rows < 6.0) return smeared[1];
    return rows < 18.0 ? smeared[2] : smeared[3];
}

WallTexture paint_wall(const PipeScene& pipe, std::uint64_t seed, double from_m, double to_m) {
    Painter painter(pipe, seed, from_m, to_m);
    WallTexture texture;
    texture.smeared[0] = painter.paint();
    texture.first_m = painter.first_m();
    int rows = 3;
    for (std::size_t index = 1; index < texture.smeared.size(); ++index, rows *= 3) {
        cv::blur(texture.smeared[0], texture.smeared[index], cv::Size(1, rows));
    }
    return texture;
}

}  // namespace sondeline::support
