#include "alignment/placement.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::alignment {
namespace {

constexpr double apart_in_sd = 3.0;
constexpr double apart_in_station_m = 0.5;

// From two rejected fixes on, more than this share means that the run was not understood: a line
// through the rest would be stated with confidence that nothing warrants.
constexpr double most_rejected = 1.0 / 3.0;

bool contradictory(const RunData& run) {
    const auto rejected = std::count_if(run.positions.begin(), run.positions.end(),
                                        [](const PositionDatum& d) { return d.rejected; });
    return rejected >= 2 && static_cast<double>(rejected) >
                                most_rejected * static_cast<double>(run.positions.size());
}

struct Positioned {
    double x_m = 0.0;
    Eigen::Vector2d at_m = Eigen::Vector2d::Zero();
    double sd_m = 0.0;
};

bool far_apart(const std::vector<Positioned>& points) {
    for (std::size_t i = 0; i < points.size(); ++i) {
        for (std::size_t j = i + 1; j < points.size(); ++j) {
            const double sd = std::hypot(points[i].sd_m, points[j].sd_m);
            if ((points[i].at_m - points[j].at_m).norm() > apart_in_sd * sd &&
                std::abs(points[i].x_m - points[j].x_m) > apart_in_station_m) {
                return true;
            }
        }
    }
    return false;
}

class Judge {
  public:
    Judge(const NetworkData& data, const Network& network, const Linearised& at,
          const std::vector<double>& worst_sd_m)
        : data_(data), network_(network), worst_sd_m_(worst_sd_m) {
        for (std::size_t r = 0; r < data.runs.size(); ++r) {
            without_.push_back(shared_covariance(network, at, r));
        }
        held_by_.resize(data.nodes.size());
        out_.runs.resize(data.runs.size());
    }

    Standings judge() {
        bool changed = true;
        while (changed) {
            changed = false;
            for (std::size_t r = 0; r < data_.runs.size(); ++r) {
                const Standing next = standing(r);
                if (next.placement == out_.runs[r].placement && asked_) continue;
                changed = changed || next.placement != out_.runs[r].placement;
                out_.runs[r] = next;
                if (next.placement == Placement::placed) hold_ends(r);
            }
            asked_ = true;
        }
        publishable_nodes();
        return std::move(out_);
    }

  private:
    void hold_ends(std::size_t r) {
        held_by_[data_.runs[r].from_node].push_back(r);
        if (data_.runs[r].to_node) held_by_[*data_.runs[r].to_node].push_back(r);
    }

    // The node's position when it is known without run r.
    std::optional<Positioned> known(int node, double x_m, std::size_t r) const {
        const auto& holders = held_by_[node];
        const bool by_others =
            std::any_of(holders.begin(), holders.end(), [&](std::size_t h) { return h != r; });
        if (!data_.nodes[node].surveyed && !by_others) return std::nullopt;
        const int at = shared_of_node(node);
        const double sd = long_axis_m(without_[r].block<2, 2>(at, at));
        if (!(sd <= worst_drawn_sd_m)) return std::nullopt;
        return Positioned{x_m, network_.state.shared.segment<2>(at), sd};
    }

    Standing standing(std::size_t r) const {
        const RunData& run = data_.runs[r];
        std::vector<Positioned> points;
        int structures = 0;
        const auto add = [&](const std::optional<Positioned>& point) {
            if (!point) return;
            points.push_back(*point);
            ++structures;
        };
        add(known(run.from_node, 0.0, r));
        if (run.to_node) add(known(*run.to_node, run.x_end_m, r));
        for (const PositionDatum& datum : run.positions) {
            if (datum.rejected) continue;
            Eigen::Vector2d at = datum.at_m;
            if (datum.shares_offset) {
                at -= *place_of(network_.problem, network_.state, r).offset_m;
            }
            points.push_back({datum.x_m, at, datum.sd_m});
        }
        return standing_of_points(r, points, structures);
    }

    Standing standing_of_points(std::size_t r, const std::vector<Positioned>& points,
                                int structures) const {
        const RunData& run = data_.runs[r];
        if (points.empty()) {
            return {Placement::shape_only,
                    {"Nothing on this run has a position, only headings.",
                     "Survey the start structure or locate the head at two places or more."}};
        }
        if (!far_apart(points) && !run.start_heading) {
            if (run.positions.empty()) {
                return {Placement::shape_only,
                        {"Headings tell the line the pipe lies on but not which way it runs.",
                         "Give start_heading for this run, or locate one point along it."}};
            }
            return {Placement::unplaced,
                    {"All positions of this run lie at one place, so its direction is not known.",
                     "Locate the head at another place, or survey the start structure."}};
        }
        if (contradictory(run)) {
            return {Placement::unplaced,
                    {"Too many of its fixes contradict each other to say which are right.",
                     "Check the counter readings and the run of its fixes, and locate it again "
                     "with fixes closer together."}};
        }
        if (!(worst_sd_m_[r] <= worst_drawn_sd_m)) {
            return {Placement::unplaced,
                    {"Part of this run could lie more than 2 m from the line that would be drawn.",
                     "Locate the head at more places, above all near the far end."}};
        }
        const bool by_fixes_alone = structures == 0 && !run.start_heading;
        return {by_fixes_alone ? Placement::direction_from_fixes : Placement::placed, {}};
    }

    void publishable_nodes() {
        out_.node_known.resize(data_.nodes.size());
        for (std::size_t i = 0; i < data_.nodes.size(); ++i) {
            out_.node_known[i] = data_.nodes[i].surveyed.has_value();
        }
        for (std::size_t r = 0; r < data_.runs.size(); ++r) {
            const Placement placement = out_.runs[r].placement;
            if (placement != Placement::placed && placement != Placement::direction_from_fixes) {
                continue;
            }
            out_.node_known[data_.runs[r].from_node] = true;
            if (data_.runs[r].to_node) out_.node_known[*data_.runs[r].to_node] = true;
        }
    }

    const NetworkData& data_;
    const Network& network_;
    const std::vector<double>& worst_sd_m_;
    std::vector<Eigen::MatrixXd> without_;  // shared covariance without each run
    std::vector<std::vector<std::size_t>> held_by_;
    bool asked_ = false;
    Standings out_;
};

}  // namespace

Standings standings_of(const NetworkData& data, const Network& network, const Linearised& at,
                       const std::vector<double>& worst_sd_m) {
    return Judge(data, network, at, worst_sd_m).judge();
}

double long_axis_m(const Eigen::Matrix2d& covariance_m2) {
    const double mean = 0.5 * covariance_m2.trace();
    const double half = 0.5 * (covariance_m2(0, 0) - covariance_m2(1, 1));
    return std::sqrt(std::max(0.0, mean + std::hypot(half, covariance_m2(0, 1))));
}

}  // namespace sondeline::alignment
