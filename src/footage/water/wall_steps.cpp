#include "footage/water/wall_steps.hpp"

#include <algorithm>

namespace sondeline {
namespace {

constexpr int kBeside = 3;         // directions averaged on either side of an edge
constexpr float kMostStep = 1.0F;  // a single place counts no more than this
constexpr float kSeen = 0.04F;     // a step that counts for steadiness
constexpr float kNear = 0.5F;      // of the outermost radius
constexpr float kMiddle = 0.68F;   // the same, where shores are measured
constexpr float kFewest = 4.0F;    // columns

// Changes at one distance, direction by direction.
struct Changes {
    Round change{}, narrow{}, log_change{}, known{};
};

Changes changes_at(const Unrolled& wall, const cv::Mat1f& relative, int col) {
    Changes at;
    for (int row = 0; row < unrolled_directions; ++row) {
        float change = 0.0F;
        float log_change = 0.0F;
        bool known = true;
        for (int k = 1; k <= kBeside; ++k) {
            const int ahead = wrapped(row + k);
            const int behind = wrapped(row - k);
            known = known && wall.known(ahead, col) != 0 && wall.known(behind, col) != 0;
            change += relative(ahead, col) - relative(behind, col);
            log_change += wall.level(ahead, col) - wall.level(behind, col);
        }
        if (!known) continue;
        const auto i = static_cast<std::size_t>(row);
        at.known[i] = 1.0F;
        at.change[i] = change / kBeside;
        at.log_change[i] = log_change / kBeside;
        at.narrow[i] = relative(wrapped(row + 1), col) - relative(wrapped(row - 1), col);
    }
    return at;
}

template <class Wide>
void widen(const Round& round, int by, Wide& wide) {
    for (int i = 0; i < static_cast<int>(wide.size()); ++i) {
        wide[static_cast<std::size_t>(i)] = round[static_cast<std::size_t>(wrapped(i - by))];
    }
}

float share_of(const Unrolled& wall, int col) {
    return wall.radius[static_cast<std::size_t>(col)] / wall.radius.back();
}

}  // namespace

bool NearWall::holds(const Unrolled& wall, int col) {
    return share_of(wall, col) >= kNear;
}

NearWall::NearWall(const Unrolled& wall, const cv::Mat1f& relative) {
    for (int col = 0; col < relative.cols; ++col) {
        if (!holds(wall, col)) continue;
        const float share = share_of(wall, col);
        const Changes at = changes_at(wall, relative, col);
        Column column;
        column.share = kMiddle / share;
        widen(at.change, kRound, column.change);
        widen(at.narrow, kRound, column.narrow);
        widen(at.log_change, kRound, column.log_change);
        widen(at.known, kRound, column.known);
        columns_.push_back(column);
    }
}

WallSteps NearWall::steps(float turn) const {
    Round up{}, down{}, count{};
    WallSteps out;
    for (const Column& column : columns_) {
        const auto by = turn * static_cast<float>(column.share - 1.0);
        const int whole = std::clamp(cvFloor(by), -kRound, kRound - 1);
        const float part = by - static_cast<float>(whole);
        const int from = kRound + whole;
        const auto first = static_cast<std::size_t>(from);
        const std::size_t second = first + (part > 0.0F ? 1 : 0);
        for (std::size_t i = 0; i < unrolled_directions; ++i) {
            const auto between = [&](const Wide& of) {
                return of[first + i] + part * (of[second + i] - of[first + i]);
            };
            const float known = column.known[first + i] * column.known[second + i];
            const float change = between(column.change);
            out.step[i] += known * std::clamp(change, -kMostStep, kMostStep);
            out.narrow[i] += known * std::clamp(between(column.narrow), -kMostStep, kMostStep);
            out.log_step[i] += known * between(column.log_change);
            up[i] += change > kSeen ? known : 0.0F;
            down[i] += change < -kSeen ? known : 0.0F;
            count[i] += known;
        }
    }
    for (std::size_t i = 0; i < unrolled_directions; ++i) {
        const float share = count[i] < kFewest ? 0.0F : 1.0F / count[i];
        out.steady[i] = share * (out.step[i] > 0.0F ? up[i] : down[i]);
        out.step[i] *= share;
        out.narrow[i] *= share;
        out.log_step[i] *= share;
    }
    return out;
}

}  // namespace sondeline
