#include "alignment/first_pass.hpp"

#include <deque>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "alignment/covariance.hpp"

namespace sondeline::alignment {
namespace {

// Keeps the normal matrix regular where nothing is known; weighs nothing against any observation.
constexpr double nowhere_sd_m = 1000.0;
constexpr double unknown_start_sd_m = 5.0;

double information_of(double sd) {
    return 1.0 / (sd * sd);
}

// A surveyed position S, or S + o when its receiver has an offset that stands at `offset_at`.
void hold_surveyed(const Gaussian2& surveyed, int at, std::optional<int> offset_at,
                   SharedTerms& terms) {
    const Eigen::Matrix2d w = surveyed.covariance_m2.inverse();
    terms.mean.segment<2>(at) = surveyed.mean_m;
    terms.information.block<2, 2>(at, at) += w;
    if (!offset_at) return;
    terms.information.block<2, 2>(*offset_at, *offset_at) += w;
    terms.information.block<2, 2>(at, *offset_at) += w;
    terms.information.block<2, 2>(*offset_at, at) += w;
}

Problem joint_problem(const NetworkData& data) {
    Problem problem;
    const int receivers = static_cast<int>(data.receivers_m.size());
    const int size = shared_of_receiver(data, receivers);
    SharedTerms& terms = problem.shared;
    terms.mean.setZero(size);
    terms.information.setZero(size, size);
    terms.ties = data.ties;
    for (std::size_t i = 0; i < data.nodes.size(); ++i) {
        const int at = shared_of_node(static_cast<int>(i));
        if (const auto& surveyed = data.nodes[i].surveyed) {
            std::optional<int> offset_at;
            if (data.nodes[i].receiver) {
                offset_at = shared_of_receiver(data, *data.nodes[i].receiver);
            }
            hold_surveyed(*surveyed, at, offset_at, terms);
        } else {
            terms.information.block<2, 2>(at, at) =
                Eigen::Matrix2d::Identity() * information_of(nowhere_sd_m);
        }
    }
    for (std::size_t j = 0; j < data.reels.size(); ++j) {
        const int at = shared_of_reel(data, static_cast<int>(j));
        terms.information(at, at) = information_of(reel_scale_sd);
    }
    for (const auto& [reel, sticks] : data.reel_sticks) {
        const int at = shared_of_reel(data, reel);
        const double more = information_of(std::hypot(sticks.sd, own_scale_sd));
        terms.information(at, at) += more;
        terms.mean(at) += (sticks.log_scale - terms.mean(at)) * more / terms.information(at, at);
    }
    for (int j = 0; j < receivers; ++j) {
        const int at = shared_of_receiver(data, j);
        terms.information.block<2, 2>(at, at) +=
            Eigen::Matrix2d::Identity() * information_of(data.receivers_m[j]);
    }
    for (const RunData& run : data.runs) {
        const int from = shared_of_node(run.from_node);
        // A run without an end structure, or whose receiver has no offset, never reads those
        // entries: any will do.
        const int to = run.to_node ? shared_of_node(*run.to_node) : from;
        const int offset = run.receiver ? shared_of_receiver(data, *run.receiver) : from;
        problem.runs.push_back(&run);
        problem.shared_of_run.push_back(
            {from, from + 1, to, to + 1, shared_of_reel(data, run.reel), offset, offset + 1});
    }
    return problem;
}

class FirstPass {
  public:
    explicit FirstPass(const NetworkData& data)
        : data_(data), beliefs_(data.nodes.size()), done_(data.runs.size(), false) {
        out_.problem = joint_problem(data);
        out_.state.shared = out_.problem.shared.mean;
        out_.state.runs.resize(data.runs.size());
    }

    Network run() {
        for (std::size_t i = 0; i < data_.nodes.size(); ++i) {
            if (!data_.nodes[i].surveyed) continue;
            beliefs_[i] = data_.nodes[i].surveyed;
            if (const auto& receiver = data_.nodes[i].receiver) {
                const double sd = data_.receivers_m[*receiver];
                beliefs_[i]->covariance_m2 += sd * sd * Eigen::Matrix2d::Identity();
            }
            waiting_.push_back(static_cast<int>(i));
        }
        while (true) {
            spread();
            const std::optional<std::size_t> next = next_island();
            if (!next) break;
            solve_one(*next);
        }
        set_unknown_means();
        return std::move(out_);
    }

  private:
    void spread() {
        while (!waiting_.empty()) {
            const int node = waiting_.front();
            waiting_.pop_front();
            for (std::size_t r = 0; r < data_.runs.size(); ++r) {
                const RunData& run = data_.runs[r];
                const bool meets = run.from_node == node || run.to_node == node;
                if (meets && !done_[r] && tells_direction(run)) solve_one(r);
            }
        }
    }

    // Headings are axial: a run with nothing else waits until both its ends may be known.
    bool tells_direction(const RunData& run) const {
        return !run.positions.empty() || run.start_heading ||
               (run.to_node && beliefs_[run.from_node] && beliefs_[*run.to_node]);
    }

    // Of the runs that nothing leads to, the first with positions of its own, else the first.
    std::optional<std::size_t> next_island() const {
        std::optional<std::size_t> first;
        for (std::size_t r = 0; r < data_.runs.size(); ++r) {
            if (done_[r]) continue;
            if (!data_.runs[r].positions.empty()) return r;
            if (!first) first = r;
        }
        return first;
    }

    Eigen::Vector2d guess_of(const RunData& run, int node) const {
        if (beliefs_[node]) return beliefs_[node]->mean_m;
        const bool start = node == run.from_node;
        if (!run.positions.empty()) {
            return start ? run.positions.front().at_m : run.positions.back().at_m;
        }
        const std::optional<int> other = start ? run.to_node : run.from_node;
        return other && beliefs_[*other] ? beliefs_[*other]->mean_m : Eigen::Vector2d::Zero();
    }

    Problem lone_problem(const RunData& run) const {
        Problem problem;
        problem.runs = {&run};
        problem.shared_of_run = {alone_index};
        SharedTerms& terms = problem.shared;
        const int size = run.receiver ? Columns::most_shared : Columns::without_offset;
        terms.mean.setZero(size);
        terms.information = Eigen::MatrixXd::Identity(size, size);
        if (run.receiver) {
            terms.information.block<2, 2>(5, 5) *= information_of(data_.receivers_m[*run.receiver]);
        }
        const auto hold = [&](int at, int node, double sd_if_unknown) {
            const Node& held = data_.nodes[node];
            if (held.surveyed && held.receiver && held.receiver == run.receiver) {
                terms.information.block<2, 2>(at, at).setZero();
                hold_surveyed(*held.surveyed, at, 5, terms);
                return;
            }
            terms.mean.segment<2>(at) = guess_of(run, node);
            terms.information.block<2, 2>(at, at) =
                beliefs_[node]
                    ? Eigen::Matrix2d(beliefs_[node]->covariance_m2.inverse())
                    : Eigen::Matrix2d(Eigen::Matrix2d::Identity() * information_of(sd_if_unknown));
        };
        // As far from what the guess stands at as the pipe to there is long.
        const double way_m =
            run.positions.empty() ? run.x_end_m : std::abs(run.positions.front().x_m);
        hold(0, run.from_node, unknown_start_sd_m + way_m);
        if (run.to_node) hold(2, *run.to_node, nowhere_sd_m);
        terms.information(4, 4) = information_of(reel_scale_sd);
        return problem;
    }

    void solve_one(std::size_t r) {
        const RunData& run = data_.runs[r];
        done_[r] = true;
        const Problem problem = lone_problem(run);
        const KnownEnds known{.start = beliefs_[run.from_node].has_value(),
                              .end = run.to_node && beliefs_[*run.to_node].has_value()};
        const Candidate found = search_run(problem, {problem.shared.mean, {}}, known);
        out_.state.runs[r] = found.state.runs[0];
        const LoneRun lone{problem, found.state};
        const auto covariance = unknowns_covariance(lone, FixLoss::mixture);
        if (!covariance || !reaches_unsurveyed(run)) return;
        // A later run must be free to put the structure elsewhere if this one bends unseen.
        const EndWidening widening = end_widening(lone, FixLoss::mixture);
        const Eigen::MatrixXd shared =
            covariance->bottomRightCorner(problem.shared.mean.size(), problem.shared.mean.size());
        const auto learnt = [&](int at, double times) {
            return Gaussian2{found.state.shared.segment<2>(at), times * shared.block<2, 2>(at, at)};
        };
        learn(run.from_node, learnt(0, widening.start));
        if (run.to_node) learn(*run.to_node, learnt(2, widening.end));
    }

    bool reaches_unsurveyed(const RunData& run) const {
        return !data_.nodes[run.from_node].surveyed ||
               (run.to_node && !data_.nodes[*run.to_node].surveyed);
    }

    void learn(int node, const Gaussian2& belief) {
        if (data_.nodes[node].surveyed) return;
        if (!beliefs_[node]) waiting_.push_back(node);
        beliefs_[node] = belief;
    }

    void set_unknown_means() {
        for (std::size_t i = 0; i < data_.nodes.size(); ++i) {
            if (data_.nodes[i].surveyed || !beliefs_[i]) continue;
            const int at = shared_of_node(static_cast<int>(i));
            out_.problem.shared.mean.segment<2>(at) = beliefs_[i]->mean_m;
            out_.state.shared.segment<2>(at) = beliefs_[i]->mean_m;
        }
    }

    const NetworkData& data_;
    std::vector<std::optional<Gaussian2>> beliefs_;
    std::vector<bool> done_;
    std::deque<int> waiting_;
    Network out_;
};

}  // namespace

Network first_pass(const NetworkData& data) {
    return FirstPass(data).run();
}

}  // namespace sondeline::alignment
