#include "footage/counter_path.hpp"

#include <algorithm>
#include <cmath>

#include "footage/line_reader.hpp"

namespace sondeline {

namespace {

constexpr std::size_t kBlock = 256;      // samples between kept forward states
constexpr double kPruned = 1e-12;        // of the best state
constexpr std::size_t kMostStates = 96;  // kept per sample
constexpr std::int64_t kWidestWindow = 60;

struct State {
    std::int64_t ticks = 0;
    double emission = 0.0;
    double alpha = 0.0;
    double beta = 1.0;
};
using States = std::vector<State>;  // in rising order of ticks

// Probability of a change of d ticks in a given time, d from 0 to the reach.
class StepTable {
  public:
    explicit StepTable(const ReelMotion& motion) : motion_(motion) {}

    void set_gap(double gap_s) {
        if (std::abs(gap_s - gap_s_) < 1e-4) return;
        gap_s_ = gap_s;
        const double reach = std::ceil(motion_.most_ticks_per_s * std::max(gap_s, 0.0)) + 1.0;
        steps_.assign(static_cast<std::size_t>(std::min(reach, 1e5)) + 1, 0.0);
        // Part holds, part moves at about the usual speed, and a little is spread evenly: snatches.
        const double scale = std::max(1.0, motion_.usual_ticks_per_s * gap_s);
        double sum = 0.0;
        for (std::size_t d = 1; d < steps_.size(); ++d) {
            steps_[d] = std::exp(-static_cast<double>(d) / scale);
            sum += 2.0 * steps_[d];
        }
        const double even = 0.05 / (2.0 * static_cast<double>(steps_.size() - 1));
        for (std::size_t d = 1; d < steps_.size(); ++d) steps_[d] = 0.40 * steps_[d] / sum + even;
        // Over long gaps a hold is one step among many.
        steps_[0] = std::max(0.55 / std::max(1.0, gap_s), steps_[1]);
    }

    std::int64_t reach() const { return static_cast<std::int64_t>(steps_.size()) - 1; }
    double probability(std::int64_t d) const {
        return steps_[static_cast<std::size_t>(d < 0 ? -d : d)];
    }

  private:
    ReelMotion motion_;
    double gap_s_ = -1.0;
    std::vector<double> steps_;
};

class PathDecoder {
  public:
    PathDecoder(const CounterShape& shape, std::span<const LineEvidence> evidence,
                const ReelMotion& motion, const PathOptions& options)
        : shape_(shape),
          evidence_(evidence),
          motion_(motion),
          options_(options),
          steps_(motion),
          most_per_cell_(static_cast<int>(std::lround(options.most_per_cell * cost_scale))),
          unreadable_(
              std::exp(-options.evidence_share * options.unreadable_per_cell * shape.cells)) {}

    CounterPath decode();

  private:
    double emission(int cost) const {
        return std::exp(-options_.evidence_share * cost / cost_scale) + unreadable_;
    }
    double arrival(std::int64_t ticks) const {
        if (ticks == 0) return options_.zeroing_probability;
        return ticks > motion_.longest_ticks ? 0.01 * options_.jump_probability
                                             : options_.jump_probability;
    }
    void add_state(States& states, std::int64_t ticks) const { states.push_back({ticks, 0, 0, 1}); }
    States candidates(std::size_t t, const States& before) const;
    void advance(std::size_t t, const States& before, States& states);
    States first_states(std::size_t t, double& log_norm) const;
    States next_states(std::size_t t, const States& before, double& log_norm);
    double prune_and_scale(States& states) const;
    void run_back(std::size_t t, States& states, const States& after);
    PathValue best_value(std::size_t t, const States& states) const;

    const CounterShape& shape_;
    std::span<const LineEvidence> evidence_;
    ReelMotion motion_;
    PathOptions options_;
    StepTable steps_;
    int most_per_cell_;
    double unreadable_;
};

States PathDecoder::candidates(std::size_t t, const States& before) const {
    States states;
    for (const CostedValue& value :
         cheapest_values(shape_, evidence_[t].cost, most_per_cell_, options_.candidates)) {
        add_state(states, value.ticks);
    }
    std::vector<std::pair<double, std::int64_t>> likely;
    for (const State& state : before) likely.emplace_back(-state.alpha, state.ticks);
    std::sort(likely.begin(), likely.end());
    for (std::size_t i = 0; i < likely.size(); ++i) {
        const std::int64_t window = i < 2    ? std::min(steps_.reach(), kWidestWindow)
                                    : i < 24 ? 2
                                             : 0;
        for (std::int64_t d = -window; d <= window; ++d) add_state(states, likely[i].second + d);
    }
    const std::int64_t least = shape_.least();
    const std::int64_t most = shape_.most();
    std::erase_if(states, [&](const State& s) { return s.ticks < least || s.ticks > most; });
    std::sort(states.begin(), states.end(),
              [](const State& a, const State& b) { return a.ticks < b.ticks; });
    states.erase(std::unique(states.begin(), states.end(),
                             [](const State& a, const State& b) { return a.ticks == b.ticks; }),
                 states.end());
    for (State& state : states) {
        state.emission =
            emission(cost_of_value(shape_, evidence_[t].cost, state.ticks, most_per_cell_));
    }
    return states;
}

// Removes states that no longer matter, scales the rest to sum 1 and returns the logarithm of the
// sum they had.
double PathDecoder::prune_and_scale(States& states) const {
    double best = 0.0;
    for (const State& state : states) best = std::max(best, state.alpha);
    std::erase_if(states, [&](const State& s) { return s.alpha < kPruned * best; });
    if (states.size() > kMostStates) {
        std::vector<double> alphas;
        for (const State& state : states) alphas.push_back(state.alpha);
        std::nth_element(alphas.begin(), alphas.begin() + kMostStates - 1, alphas.end(),
                         std::greater<>());
        const double least_kept = alphas[kMostStates - 1];
        std::erase_if(states, [&](const State& s) { return s.alpha < least_kept; });
    }
    double sum = 0.0;
    for (const State& state : states) sum += state.alpha;
    for (State& state : states) state.alpha /= sum;
    return std::log(sum);
}

States PathDecoder::first_states(std::size_t t, double& log_norm) const {
    States states = candidates(t, {});
    for (State& state : states) {
        state.alpha = state.emission * (state.ticks > motion_.longest_ticks ? 0.01 : 1.0);
    }
    log_norm = prune_and_scale(states);
    return states;
}

void PathDecoder::advance(std::size_t t, const States& before, States& states) {
    steps_.set_gap(evidence_[t].time_s - evidence_[t - 1].time_s);
    states = candidates(t, before);
    std::size_t first = 0;
    for (State& state : states) {
        while (first < before.size() && before[first].ticks < state.ticks - steps_.reach()) ++first;
        double sum = arrival(state.ticks);
        for (std::size_t i = first; i < before.size(); ++i) {
            const std::int64_t d = state.ticks - before[i].ticks;
            if (-d > steps_.reach()) break;
            sum += before[i].alpha * steps_.probability(d);
        }
        state.alpha = sum * state.emission;
    }
}

States PathDecoder::next_states(std::size_t t, const States& before, double& log_norm) {
    States states;
    advance(t, before, states);
    log_norm = prune_and_scale(states);
    return states;
}

// Fills the beta of `states`, the sample before `after`.
void PathDecoder::run_back(std::size_t t, States& states, const States& after) {
    steps_.set_gap(evidence_[t + 1].time_s - evidence_[t].time_s);
    double by_jump = 0.0;
    for (const State& next : after) by_jump += arrival(next.ticks) * next.emission * next.beta;
    double most = 0.0;
    std::size_t first = 0;
    for (State& state : states) {
        while (first < after.size() && after[first].ticks < state.ticks - steps_.reach()) ++first;
        double sum = by_jump;
        for (std::size_t i = first; i < after.size(); ++i) {
            const std::int64_t d = after[i].ticks - state.ticks;
            if (d > steps_.reach()) break;
            sum += steps_.probability(d) * after[i].emission * after[i].beta;
        }
        state.beta = sum;
        most = std::max(most, sum);
    }
    for (State& state : states) state.beta /= most;
}

PathValue PathDecoder::best_value(std::size_t t, const States& states) const {
    double sum = 0.0;
    const State* best = &states.front();
    for (const State& state : states) {
        sum += state.alpha * state.beta;
        if (state.alpha * state.beta > best->alpha * best->beta) best = &state;
    }
    const CellCosts& costs = evidence_[t].cost;
    const auto nats = [](int cost) { return static_cast<float>(cost) / cost_scale; };
    PathValue value;
    value.ticks = best->ticks;
    value.probability = static_cast<float>(best->alpha * best->beta / sum);
    value.cost = nats(cost_of_value(shape_, costs, best->ticks, most_per_cell_));
    value.least_cost = nats(cheapest_values(shape_, costs, most_per_cell_, 1).front().cost);
    return value;
}

CounterPath PathDecoder::decode() {
    const std::size_t count = evidence_.size();
    std::vector<States> block_starts;
    double log_likelihood = 0.0;
    double log_norm = 0.0;
    States states;
    for (std::size_t t = 0; t < count; ++t) {
        states = t == 0 ? first_states(t, log_norm) : next_states(t, states, log_norm);
        if (t % kBlock == 0) block_starts.push_back(states);
        log_likelihood += log_norm;
    }
    CounterPath path;
    path.values.resize(count);
    path.score = log_likelihood / static_cast<double>(count) - std::log(unreadable_);
    States after;
    for (std::size_t block = block_starts.size(); block-- > 0;) {
        const std::size_t begin = block * kBlock;
        const std::size_t end = std::min(begin + kBlock, count);
        std::vector<States> forward{block_starts[block]};
        for (std::size_t t = begin + 1; t < end; ++t) {
            forward.push_back(next_states(t, forward.back(), log_norm));
        }
        for (std::size_t t = end; t-- > begin;) {
            States& here = forward[t - begin];
            if (t + 1 < count) run_back(t, here, after);
            path.values[t] = best_value(t, here);
            after = here;
        }
    }
    return path;
}

}  // namespace

ReelMotion reel_motion(double tick_m) {
    ReelMotion motion;
    motion.most_ticks_per_s = 3.0 / tick_m;
    motion.usual_ticks_per_s = 0.2 / tick_m;
    motion.longest_ticks = static_cast<std::int64_t>(200.0 / tick_m);
    return motion;
}

CounterPath decode_path(const CounterShape& shape, std::span<const LineEvidence> evidence,
                        const ReelMotion& motion, const PathOptions& options) {
    if (evidence.empty() || shape.layouts.empty() || shape.cells == 0) return {};
    return PathDecoder(shape, evidence, motion, options).decode();
}

}  // namespace sondeline
