#include "support/pipe_picture.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "support/smooth_noise.hpp"

namespace sondeline::support {

namespace {

constexpr std::uint64_t wander_stream = 51;
constexpr std::uint64_t exposure_stream = 52;
constexpr std::uint64_t trickle_stream = 53;
constexpr double thin_film = 0.004;  // less water than this is a wet wall
constexpr double lit_fog = 70.0;     // grey level of fog that fills the pipe
constexpr double water_body = 30.0;  // grey level of lit murky water
constexpr float least_radius_px = 0.5F;

double ease(double share) {
    const double s = std::clamp(share, 0.0, 1.0);
    return s * s * (3.0 - 2.0 * s);
}

// How far the pipe has turned between two stations, radians.
double turned(const Bend& bend, double angle_deg, double from_m, double to_m) {
    const auto part = [&bend](double s) {
        return ease((s - bend.station_m) / std::max(bend.length_m, 1e-3) + 0.5);
    };
    return angle_deg * CV_PI / 180.0 * (part(to_m) - part(from_m));
}

struct Tint {
    double u, v;  // chroma of a bright wall, off grey
};

Tint tint_of(Material material) {
    switch (material) {
        case Material::plastic: return {-5.0, 4.0};
        case Material::clay: return {-16.0, 18.0};
        case Material::iron: return {-14.0, 12.0};
        case Material::corrugated: break;
    }
    return {2.0, -4.0};
}

double off_lens(double x, double y) {
    return std::sqrt(x * x + y * y);
}

// Of lamps round the lens, on a wall that is met `ahead` radii on and `off` radii beside the lens.
double light_at(const CameraScene& camera, double ahead, double off) {
    const double reach = camera.light_reach_radii;
    const double even = 1.0 / (1.0 + ahead * ahead / (reach * reach));
    if (camera.lamp_share <= 0.0) return even;
    // By the square of the distance and the slant of the wall; the recorder's gamma (0.45) then
    // lifts the dark. Of the wall that is as far ahead as beside, 1.
    const auto square = static_cast<float>(ahead * ahead + off * off);
    const auto beside = static_cast<float>(2.8284 * off);
    const float lamp = std::pow(beside / (square * std::sqrt(square)), 0.45F);
    return even + camera.lamp_share * (std::min(lamp, 1.6F) - even);
}

// Of lamps that throw a beam, or stand to one side of the lens; `x`, `y` off the middle of the
// picture, over the focal length.
double beam_at(const CameraScene& camera, double x, double y) {
    double light = 1.0;
    if (camera.beam > 0.0) light /= 1.0 + (x * x + y * y) / (camera.beam * camera.beam);
    const double to_side = camera.lamp_side_deg * CV_PI / 180.0;
    const double aside = x * std::cos(to_side) + y * std::sin(to_side);
    return light * std::max(0.1, 1.0 + camera.lamp_side * aside);
}

}  // namespace

struct PipePicture::Pose {
    static constexpr int rings = 40;

    double x = 0.0, y = 0.0;  // vanishing point
    double cos_roll = 1.0, sin_roll = 0.0;
    double focal = 0.0;
    double station_m = 0.0;
    double low = 0.0;  // how far the lens lies below the axis, radii
    bool straight = true;
    // Where the pipe's axis is seen at so many radii ahead, off the vanishing point, pixels.
    std::array<float, rings> ring_ahead{}, ring_x{}, ring_y{};
};

PipePicture::PipePicture(const Scenario& scenario, const std::vector<HeadState>& states)
    : scenario_(scenario), half_(scenario.encoding.width / 2, scenario.encoding.height / 2) {
    double from_m = scenario.start_m;
    double to_m = scenario.start_m;
    for (const HeadState& state : states) {
        from_m = std::min(from_m, state.station_m);
        to_m = std::max(to_m, state.station_m);
    }
    texture_ = paint_wall(scenario.pipe, scenario.seed, from_m, to_m);
    for (cv::Mat1f* map :
         {&column_, &ahead_, &reflect_, &water_, &x_, &y_, &row_, &radius_, &angle_}) {
        map->create(half_);
    }
}

// Standing water, or what runs along the invert.
double PipePicture::surface_ratio(double station_m) const {
    const double standing = water_ratio(station_m);
    const double runs = scenario_.pipe.trickle;
    if (runs <= 0.0) return standing;
    const std::uint64_t seed = mixed(scenario_.seed, trickle_stream);
    return std::max(standing, runs * (1.0 + 0.35 * smooth_noise(seed, station_m * 7.0)));
}

double PipePicture::water_ratio(double station_m) const {
    const auto& knots = scenario_.pipe.water;
    for (std::size_t index = 1; index < knots.size(); ++index) {
        const WaterKnot& a = knots[index - 1];
        const WaterKnot& b = knots[index];
        if (station_m < a.station_m || station_m > b.station_m) continue;
        const double span_m = std::max(b.station_m - a.station_m, 1e-9);
        return a.depth_ratio + (b.depth_ratio - a.depth_ratio) * (station_m - a.station_m) / span_m;
    }
    return 0.0;
}

PipePicture::Pose PipePicture::pose_of(const HeadState& state) const {
    Pose pose;
    const double s = state.station_m;
    const CameraScene& camera = scenario_.camera;
    const std::uint64_t seed = mixed(scenario_.seed, wander_stream);
    const auto sway = [&](std::uint64_t axis) {
        return 0.055 * smooth_noise(seed + axis, s * 1.3) +
               0.006 * smooth_noise(seed + axis + 7, s * 14.0);
    };
    pose.x = half_.width * (0.5 + camera.wander * sway(1));
    pose.y = half_.height * (0.5 + camera.wander * sway(2));
    const double roll = CV_PI / 180.0 *
                        (camera.roll_deg * smooth_noise(seed + 3, s * 0.5) + camera.roll_start_deg +
                         camera.roll_deg_per_m * s);
    pose.cos_roll = std::cos(roll);
    pose.sin_roll = std::sin(roll);
    pose.focal = camera.focal * std::hypot(half_.width, half_.height) / 2.0;
    pose.station_m = s;
    pose.low = 1.0 - 2.0 * camera.lens_height;

    const double radius_m = scenario_.pipe.diameter_m / 2.0;
    const double last = WallTexture::ahead_m / radius_m;
    double across = 0.0, down = 0.0, before = 0.0;
    for (int ring = 0; ring < Pose::rings; ++ring) {
        const double ahead = 0.4 * std::pow(last / 0.4, ring / (Pose::rings - 1.0));
        double yaw = 0.0, pitch = 0.0;
        for (const Bend& bend : scenario_.pipe.bends) {
            const double to_m = s + 0.5 * (before + ahead) * radius_m;
            yaw += turned(bend, bend.yaw_deg, s, to_m);
            pitch += turned(bend, bend.pitch_deg, s, to_m);
        }
        constexpr double steepest = 1.3;
        across += (ahead - before) * std::tan(std::clamp(yaw, -steepest, steepest));
        down += (ahead - before) * std::tan(std::clamp(pitch, -steepest, steepest));
        const auto index = static_cast<std::size_t>(ring);
        pose.ring_ahead[index] = static_cast<float>(ahead);
        pose.ring_x[index] = static_cast<float>(pose.focal * across / ahead);
        pose.ring_y[index] = static_cast<float>(pose.focal * down / ahead);
        if (std::hypot(pose.ring_x[index], pose.ring_y[index]) > 0.5) pose.straight = false;
        pose.ring_y[index] -= static_cast<float>(pose.low * pose.focal / ahead);
        before = ahead;
    }
    return pose;
}

void PipePicture::cast_rays(const Pose& pose) {
    const auto c = static_cast<float>(pose.cos_roll);
    const auto s = static_cast<float>(pose.sin_roll);
    for (int row = 0; row < half_.height; ++row) {
        float* x = x_.ptr<float>(row);
        float* y = y_.ptr<float>(row);
        const auto dy = static_cast<float>(row - pose.y);
        const auto x0 = static_cast<float>(pose.x);
        for (int column = 0; column < half_.width; ++column) {
            const float dx = static_cast<float>(column) - x0;
            x[column] = c * dx + s * dy;
            y[column] = c * dy - s * dx;
        }
    }
    if (!pose.straight) {
        cast_rays_round_bends(pose);
        cv::cartToPolar(x_, y_, radius_, angle_);
    } else {
        if (pose.low != 0.0) shift_to_axis(pose);
        cv::cartToPolar(x_, y_, radius_, angle_);
        ahead_ = static_cast<float>(pose.focal) / cv::max(radius_, least_radius_px);
    }
    const float most = pose.ring_ahead.back();
    ahead_ = cv::min(ahead_, most);
    angle_.convertTo(column_, CV_32F, WallTexture::columns / (2.0 * CV_PI));
    reflect_.setTo(1.0F);
    water_.setTo(0.0F);
}

// From along the ray (x, y) to off the axis where it meets the wall: there the pipe's circle has
// the radius k with x² + (y + k low)² = k².
void PipePicture::shift_to_axis(const Pose& pose) {
    const double rest = 1.0 - pose.low * pose.low;
    for (int row = 0; row < half_.height; ++row) {
        for (int column = 0; column < half_.width; ++column) {
            const double x = x_(row, column);
            const double y = y_(row, column);
            const double along = pose.low * y;
            const double k = (along + std::sqrt(along * along + rest * (x * x + y * y))) / rest;
            y_(row, column) = static_cast<float>(y + k * pose.low);
        }
    }
}

// Steps out along each ray from ring to ring until it has left the pipe.
void PipePicture::cast_rays_round_bends(const Pose& pose) {
    const auto focal = static_cast<float>(pose.focal);
    for (int row = 0; row < half_.height; ++row) {
        for (int column = 0; column < half_.width; ++column) {
            float& x = x_(row, column);
            float& y = y_(row, column);
            float before = -1.0F;  // off the axis in radii, less one: negative inside
            std::size_t ring = 0;
            float out = before;
            for (; ring < Pose::rings; ++ring) {
                out = std::hypot(x - pose.ring_x[ring], y - pose.ring_y[ring]) *
                          pose.ring_ahead[ring] / focal -
                      1.0F;
                if (out > 0.0F) break;
                before = out;
            }
            if (ring == Pose::rings) {
                ahead_(row, column) = pose.ring_ahead.back();
                continue;
            }
            const std::size_t last = ring == 0 ? 0 : ring - 1;
            const float share = ring == 0 ? 1.0F : before / (before - out);
            const auto at = [&](const auto& list) {
                return list[last] + (list[ring] - list[last]) * share;
            };
            ahead_(row, column) = ring == 0 ? focal / std::hypot(x, y) : at(pose.ring_ahead);
            x -= at(pose.ring_x);
            y -= at(pose.ring_y);
        }
    }
}

void PipePicture::show_end(const Pose& pose, double station_m) {
    if (scenario_.pipe.end == PipeEnd::beyond_view) return;
    const double radius_m = scenario_.pipe.diameter_m / 2.0;
    const auto end =
        static_cast<float>(std::max(0.3, (scenario_.pipe.length_m - station_m) / radius_m));
    if (end >= pose.ring_ahead.back()) return;
    const bool cap = scenario_.pipe.end == PipeEnd::cap;
    for (int row = 0; row < half_.height; ++row) {
        for (int column = 0; column < half_.width; ++column) {
            float& ahead = ahead_(row, column);
            if (ahead < end) continue;
            const float off_axis = end / ahead;  // of the disc's radius
            const bool groove = std::abs(off_axis - 0.72F) < 0.03F || off_axis > 0.96F;
            reflect_(row, column) = cap ? (groove ? 0.45F : 1.15F) : 0.10F;
            ahead = end;
        }
    }
}

void PipePicture::lay_water(const Pose& pose, const HeadState& state) {
    const double radius_m = scenario_.pipe.diameter_m / 2.0;
    const double station_m = state.station_m;
    const double focal = pose.focal;
    const CameraScene& camera = scenario_.camera;
    const double waves =
        0.03 * (camera.ripple + camera.wake * std::min(1.0, std::abs(state.speed_m_per_s) / 0.2));
    const auto surface = [&](double ahead) {  // below the lens, radii
        return std::max(0.05, 1.0 - pose.low - 2.0 * surface_ratio(station_m + ahead * radius_m));
    };
    for (int row = 0; row < half_.height; ++row) {
        for (int column = 0; column < half_.width; ++column) {
            const double wall = ahead_(row, column);
            const double x = x_(row, column);
            const double y = y_(row, column) - pose.low * focal / wall;  // along the ray
            if (y <= 0.0) continue;
            const double r2 = x * x + y * y;
            double ahead = wall;
            for (int round = 0; round < 3; ++round)
                ahead = std::min(wall, focal * surface(ahead) / y);
            const double ratio = surface_ratio(station_m + ahead * radius_m);
            const double h = surface(ahead);
            if (ratio < thin_film || ahead >= wall) continue;
            // Where the ray goes on in the pipe mirrored in the water: |t (x, y) - (0, c)| = 1.
            const double c = 2.0 * h + pose.low;
            const double spread = c * c * y * y - r2 * (c * c - 1.0);
            if (spread < 0.0) continue;
            const double t = (c * y + std::sqrt(spread)) / r2;
            const double place_m = station_m + ahead * radius_m;
            const double ripple = waves * std::sin(place_m * 70.0 + x / focal * ahead * 9.0);
            double round = std::atan2(c - t * y, t * x) + ripple;
            if (round < 0.0) round += 2.0 * CV_PI;
            const double steep = y / std::sqrt(r2 + focal * focal);  // cosine of incidence
            const double mirror = 0.05 + 0.8 * std::pow(1.0 - steep, 3.0);
            column_(row, column) = static_cast<float>(round * WallTexture::columns / (2.0 * CV_PI));
            ahead_(row, column) = std::min(static_cast<float>(focal * t), pose.ring_ahead.back());
            reflect_(row, column) = static_cast<float>(mirror);
            water_(row, column) = static_cast<float>(
                scenario_.pipe.murk * light_at(scenario_.camera, ahead, std::max(0.2, h)));
        }
    }
}

void PipePicture::shade(const Pose& pose, const HeadState& state, Frame& frame) {
    const double radius_m = scenario_.pipe.diameter_m / 2.0;
    constexpr double shutter_s = 1.0 / 60.0;
    const cv::Mat1b& wall = texture_.at_smear(std::abs(state.speed_m_per_s) * shutter_s);
    const int top =
        std::clamp(static_cast<int>(texture_.row_of(state.station_m)), 0, wall.rows - 2);
    const cv::Mat1b seen = wall.rowRange(top, wall.rows);
    ahead_.convertTo(row_, CV_32F, radius_m / WallTexture::row_m,
                     texture_.row_of(state.station_m) - top);
    row_ = cv::min(row_, static_cast<float>(std::min(seen.rows, 32000) - 2));
    cv::Mat1b grey;
    cv::remap(seen.rowRange(0, std::min(seen.rows, 32000)), grey, column_, row_, cv::INTER_LINEAR,
              cv::BORDER_WRAP);

    const std::uint64_t seed = mixed(scenario_.seed, exposure_stream);
    const double swing = scenario_.camera.exposure_swing * smooth_noise(seed, state.time_s * 0.35);
    const double gain = 1.05 * scenario_.camera.brightness * (1.0 + swing);
    const double murk = under_water(state) ? 0.75 : 0.0;
    const CameraScene& camera = scenario_.camera;
    const Tint tint = tint_of(scenario_.pipe.material);
    cv::Mat1b luma(half_);
    const double shine_at = 150.0 * scenario_.pipe.shine * gain;
    // A wet wall throws the lamps back where it lies across the ray: along the invert and the
    // crown, broken up by how rough it is.
    const auto glint = [&](float column, float row) {
        const double down = std::cos(2.0 * CV_PI * (column / WallTexture::columns - 0.25));
        const double rough =
            smooth_noise(seed + 5, row * 0.11) + smooth_noise(seed + 6, column * 0.2);
        return std::pow(std::abs(down), 24.0) * std::max(0.0, 0.5 + rough);
    };
    for (int row = 0; row < half_.height; ++row) {
        for (int column = 0; column < half_.width; ++column) {
            const double ahead = ahead_(row, column);
            // Off the lens, radii; in a reflection the way is as long as in the mirrored pipe.
            const double off = camera.lamp_share <= 0.0
                                   ? 1.0
                                   : off_lens(x_(row, column) * ahead / pose.focal,
                                              y_(row, column) * ahead / pose.focal - pose.low);
            const double light = light_at(camera, ahead, off);
            double level = gain * (grey(row, column) * light * reflect_(row, column) +
                                   water_body * water_(row, column));
            if (shine_at != 0.0 && water_(row, column) <= 0.0F) {
                level += shine_at * light * glint(column_(row, column), row_(row, column));
            }
            if (camera.beam > 0.0 || camera.lamp_side > 0.0) {
                level *= beam_at(camera, (column - 0.5 * half_.width) / pose.focal,
                                 (row - 0.5 * half_.height) / pose.focal);
            }
            if (camera.fog > 0.0) {
                level += (1.0 - std::exp(-camera.fog * ahead)) * (lit_fog * gain - level);
            }
            level += murk * (65.0 * gain - level);
            luma(row, column) = cv::saturate_cast<unsigned char>(14.0 + level);
            const double brown = water_(row, column) > 0.0F || murk > 0.0 ? 1.5 : 1.0;
            const double share = std::min(level / 160.0, 1.0) * brown;
            frame.u(row, column) = cv::saturate_cast<unsigned char>(128.0 + tint.u * share);
            frame.v(row, column) = cv::saturate_cast<unsigned char>(128.0 + tint.v * share);
        }
    }
    if (camera.droplets > 0 || camera.vignette > 0.0 || camera.glare > 0.0) mark_lens(luma);
    cv::resize(luma, frame.y, frame.y.size(), 0, 0, cv::INTER_LINEAR);
}

bool PipePicture::under_water(const HeadState& state) const {
    return water_ratio(state.station_m) > scenario_.camera.lens_height;
}

void PipePicture::draw(const HeadState& state, Frame& frame) {
    frame.y.create(scenario_.encoding.height, scenario_.encoding.width);
    frame.u.create(half_);
    frame.v.create(half_);
    const Pose pose = pose_of(state);
    cast_rays(pose);
    show_end(pose, state.station_m);
    bool wet = false;
    for (double ahead_m = 0.0; ahead_m < WallTexture::ahead_m; ahead_m += 0.05) {
        wet = wet || surface_ratio(state.station_m + ahead_m) > thin_film;
    }
    if (wet && !under_water(state)) lay_water(pose, state);
    shade(pose, state, frame);
}

}  // namespace sondeline::support
