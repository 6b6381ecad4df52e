#include "footage/water/pipe_view.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include <opencv2/core.hpp>

namespace sondeline {
namespace {

constexpr int kRays = 72;
constexpr double kLeastRound = 0.38;  // of the directions; deep water takes half of them
constexpr double kLeastRise = 25.0;   // grey levels from the dark to the lit wall
constexpr std::array kShares{0.2, 0.3, 0.4, 0.5, 0.6};

struct Circle {
    cv::Point2d centre;
    double radius = 0.0;
    int on_it = 0;
};

// Which distances from a circle's centre, squared, count as on it.
class NearCircle {
  public:
    explicit NearCircle(const Circle& circle) : centre_(circle.centre) {
        const double slack = 1.0 + 0.08 * circle.radius;
        const double within = std::max(0.0, circle.radius - slack);
        above_ = circle.radius < slack ? -1.0 : within * within;
        below_ = (circle.radius + slack) * (circle.radius + slack);
    }
    bool holds(cv::Point2d point) const {
        const cv::Point2d off = point - centre_;
        const double square = off.dot(off);
        return square > above_ && square < below_;
    }
    // Of the points; not exact where it is no more than `beaten`.
    int count(const std::vector<cv::Point2d>& points, int beaten = -1) const {
        const auto all = static_cast<int>(points.size());
        int off = 0;
        for (const cv::Point2d& point : points) {
            off += holds(point) ? 0 : 1;
            if (all - off <= beaten) break;
        }
        return all - off;
    }

  private:
    cv::Point2d centre_;
    double above_ = 0.0;
    double below_ = 0.0;
};

// The darkest place of the middle of the picture.
cv::Point dark_core(const cv::Mat1b& smooth) {
    const cv::Rect middle(smooth.cols / 4, smooth.rows / 4, smooth.cols / 2, smooth.rows / 2);
    const float per_px = 30.0F / static_cast<float>(smooth.rows);
    cv::Point at;
    float least = 256.0F;
    for (int row = 0; row < middle.height; ++row) {
        const uchar* light = smooth.ptr<uchar>(middle.y + row) + middle.x;
        const float down = static_cast<float>(row) - 0.5F * static_cast<float>(middle.height);
        for (int col = 0; col < middle.width; ++col) {
            const float here = light[col];
            if (here >= least) continue;  // however near to the middle
            const float across = static_cast<float>(col) - 0.5F * static_cast<float>(middle.width);
            const float cost = here + per_px * std::sqrt(across * across + down * down);
            if (cost >= least) continue;
            least = cost;
            at = {col, row};
        }
    }
    return at + middle.tl();
}

// The lowest and the highest level of light that will be asked for.
struct Levels {
    double lowest = 0.0;
    double highest = 0.0;
};

// The light along rays from one point, as far as it is seen, for as many levels as will be asked.
class Rays {
  public:
    Rays(const cv::Mat1b& smooth, const cv::Mat1b& unseen, cv::Point2d start, const Levels& levels)
        : start_(start) {
        const cv::Rect whole({0, 0}, smooth.size());
        light_.reserve(kRays * static_cast<std::size_t>(smooth.cols));
        for (std::size_t ray = 0; ray < kRays; ++ray) {
            const double angle = 2.0 * CV_PI * static_cast<double>(ray) / kRays;
            const cv::Point2d step(std::cos(angle), std::sin(angle));
            steps_[ray] = step;
            bool rises = false;  // from below all levels: it crosses each before the highest
            for (double r = 0.0;; r += 1.0) {
                const cv::Point at(cvRound(start.x + r * step.x), cvRound(start.y + r * step.y));
                if (!whole.contains(at) || (r > 0.0 && unseen(at) != 0)) break;
                const uchar light = smooth(at);
                light_.push_back(light);
                if (r == 0.0) rises = light < levels.lowest;
                if (rises && light >= levels.highest) break;
            }
            ends_[ray] = light_.size();
        }
    }

    // Where each ray first rises to the level; rays that do not are left out.
    std::vector<cv::Point2d> crossings(double level) const {
        std::vector<cv::Point2d> found;
        found.reserve(kRays);
        const int least = cvCeil(level);  // of the whole grey levels that are no darker
        std::size_t begin = 0;
        for (std::size_t ray = 0; ray < kRays; ++ray) {
            for (std::size_t i = begin + 1; i < ends_[ray]; ++i) {
                if (light_[i] < least || light_[i - 1] >= least) continue;
                const double before = light_[i - 1];
                const double here = light_[i];
                const double share = (level - before) / std::max(1.0, here - before);
                found.push_back(start_ +
                                (static_cast<double>(i - begin) - 1.0 + share) * steps_[ray]);
                break;
            }
            begin = ends_[ray];
        }
        return found;
    }

  private:
    cv::Point2d start_;
    std::array<cv::Point2d, kRays> steps_;
    std::array<std::size_t, kRays> ends_{};  // in `light_`, ray after ray
    std::vector<uchar> light_;
};

std::optional<Circle> through(cv::Point2d a, cv::Point2d b, cv::Point2d c) {
    const cv::Point2d p = b - a;
    const cv::Point2d q = c - a;
    const double twice = 2.0 * p.cross(q);
    if (std::abs(twice) < 1.0) return std::nullopt;
    const double pp = p.dot(p);
    const double qq = q.dot(q);
    const cv::Point2d off((q.y * pp - p.y * qq) / twice, (p.x * qq - q.x * pp) / twice);
    return Circle{a + off, std::hypot(off.x, off.y), 0};
}

// Least squares of x² + y² = 2 a x + 2 b y + c over the points that lie on the circle.
Circle refined(const Circle& rough, const std::vector<cv::Point2d>& points) {
    cv::Matx33d n = cv::Matx33d::zeros();
    cv::Vec3d rhs(0, 0, 0);
    const NearCircle near(rough);
    for (const cv::Point2d& point : points) {
        if (!near.holds(point)) continue;
        const cv::Point2d at = point - rough.centre;
        const cv::Vec3d row(2.0 * at.x, 2.0 * at.y, 1.0);
        n += row * row.t();
        rhs += at.dot(at) * row;
    }
    cv::Vec3d x;
    if (!cv::solve(n, rhs, x, cv::DECOMP_CHOLESKY)) return rough;
    const double square = x[2] + x[0] * x[0] + x[1] * x[1];
    if (square <= 0.0) return rough;
    Circle better{rough.centre + cv::Point2d(x[0], x[1]), std::sqrt(square), 0};
    better.on_it = NearCircle(better).count(points);
    return better.on_it >= rough.on_it - 2 ? better : rough;
}

std::optional<Circle> best_circle(const std::vector<cv::Point2d>& points) {
    const std::size_t count = points.size();
    Circle best;
    for (std::size_t first = 0; first < count; first += 2) {
        for (const std::size_t apart : {count / 3, count / 4, count / 6}) {
            const auto circle = through(points[first], points[(first + apart) % count],
                                        points[(first + 2 * apart) % count]);
            if (!circle) continue;
            const int on_it = NearCircle(*circle).count(points, best.on_it);
            if (on_it > best.on_it) best = {circle->centre, circle->radius, on_it};
        }
    }
    if (best.on_it < kLeastRound * kRays) return std::nullopt;
    return refined(refined(best, points), points);
}

double quantile_of(const cv::Mat1b& picture, double share) {
    // Counted in turn: neighbours are often alike, and one count would wait for the other.
    std::array<std::array<int, 256>, 4> counts{};
    for (int row = 0; row < picture.rows; ++row) {
        const uchar* light = picture.ptr<uchar>(row);
        for (int col = 0; col < picture.cols; ++col) {
            ++counts[static_cast<std::size_t>(col % 4)][light[col]];
        }
    }
    auto left = static_cast<long>(share * static_cast<double>(picture.total()));
    for (int level = 0; level < 256; ++level) {
        for (const auto& count : counts) left -= count[static_cast<std::size_t>(level)];
        if (left < 0) return level;
    }
    return 255.0;
}

}  // namespace

std::optional<PipeView> find_pipe_view(const cv::Mat1b& smooth, const cv::Mat1b& unseen) {
    const cv::Point core = dark_core(smooth);
    const double dark = smooth(core);
    const double lit = quantile_of(smooth, 0.8);
    if (lit - dark < kLeastRise) return std::nullopt;
    std::vector<Circle> circles;
    const auto level_at = [&](double share) { return dark + share * (lit - dark); };
    const Levels levels{level_at(kShares.front()), level_at(kShares.back())};
    std::optional<Rays> rays(std::in_place, smooth, unseen, cv::Point2d(core), levels);
    for (const double share : kShares) {
        const auto points = rays->crossings(level_at(share));
        if (points.size() < kLeastRound * kRays) continue;
        const auto circle = best_circle(points);
        if (!circle || circle->radius > 0.6 * smooth.rows) continue;
        if (circles.empty()) rays.emplace(smooth, unseen, circle->centre, levels);
        circles.push_back(*circle);
    }
    if (circles.size() < 2) return std::nullopt;
    // Line of centres over radii, by least squares; its slope is held back towards none, as circles
    // of like size do not show it.
    const double n = static_cast<double>(circles.size());
    cv::Point2d mean(0, 0);
    double mean_radius = 0.0;
    for (const Circle& circle : circles) {
        mean += circle.centre / n;
        mean_radius += circle.radius / n;
    }
    cv::Point2d both(0, 0);
    double spread = 0.0;
    for (const Circle& circle : circles) {
        both += (circle.radius - mean_radius) * (circle.centre - mean);
        spread += (circle.radius - mean_radius) * (circle.radius - mean_radius);
    }
    PipeView view;
    view.lean = both / (spread + 0.002 * smooth.rows * smooth.rows);
    view.vanishing = mean - mean_radius * view.lean;
    view.round = std::max_element(circles.begin(), circles.end(),
                                  [](auto& a, auto& b) { return a.on_it < b.on_it; })
                     ->on_it /
                 static_cast<double>(kRays);
    if (std::hypot(view.lean.x, view.lean.y) > 0.9) return std::nullopt;
    if (!cv::Rect2d(0, 0, smooth.cols, smooth.rows).contains(view.vanishing)) return std::nullopt;
    return view;
}

}  // namespace sondeline
