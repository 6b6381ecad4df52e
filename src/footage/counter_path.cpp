#include "footage/counter_path.hpp"

#include <algorithm>
#include <cmath>

#include "footage/line_reader.hpp"
#include "footage/reel_steps.hpp"

namespace sondeline {

namespace {

constexpr std::size_t kBlock = 256;      // samples between kept forward states
constexpr double kPruned = 1e-12;        // of the best state
constexpr std::size_t kMostStates = 96;  // kept per sample
constexpr std::int64_t kWidestWindow = 60;

struct State {
    std::int64_t ticks = 0;
    double if_held = 0.0;   // likelihood of the sample when the value is that of the sample before
    double if_moved = 0.0;  // … when it is another
    double alpha = 0.0;
    double beta = 1.0;
};
using States = std::vector<State>;  // in rising order of ticks

// What one sample says, at some share of its evidence.
struct Weighed {
    CellCosts costs{};
    double unreadable = 1.0;  // likelihood when nothing can be read
};

struct SampleNews {
    Weighed if_held;
    Weighed if_moved;
};

// Probabilities by cost. There are few different costs, and they are asked for all the time.
class Probabilities {
  public:
    explicit Probabilities(int highest_cost) {
        constexpr int kHighestStored = 255;
        for (int cost = 0; cost <= std::max(kHighestStored, highest_cost); ++cost) {
            by_cost_.push_back(std::exp(-static_cast<double>(cost) / cost_scale));
        }
    }
    double of(int cost) const { return by_cost_[static_cast<std::size_t>(cost)]; }

  private:
    std::vector<double> by_cost_;
};

// How much of the probability of two readings of a cell is not in common: 0 same, 1 disjoint.
double difference(const std::array<std::uint8_t, cell_class_count>& a,
                  const std::array<std::uint8_t, cell_class_count>& b,
                  const Probabilities& probabilities) {
    double common = 0.0;
    for (int c = 0; c < cell_class_count; ++c) common += probabilities.of(std::max(a[c], b[c]));
    return std::max(0.0, 1.0 - common);
}

int most_per_cell_of(const PathOptions& options) {
    return static_cast<int>(std::lround(options.most_per_cell * cost_scale));
}

class PathDecoder {
  public:
    PathDecoder(const CounterShape& shape, std::span<const LineEvidence> evidence,
                const ReelMotion& motion, const PathOptions& options,
                const Probabilities& probabilities)
        : shape_(shape),
          evidence_(evidence),
          probabilities_(probabilities),
          motion_(motion),
          options_(options),
          steps_(motion),
          least_kept_unit_(ticks_to_a_carry(shape.feet_and_inches, motion)),
          most_per_cell_(most_per_cell_of(options)) {}

    // Values and their probabilities alone.
    std::vector<PathValue> rough_values();

    // With the speed of the step to each sample, where it is known.
    CounterPath decode(std::span<const std::optional<float>> speeds);

  private:
    double arrival(std::int64_t ticks) const {
        if (ticks == 0) return options_.zeroing_probability;
        return ticks > motion_.longest_ticks ? 0.01 * options_.jump_probability
                                             : options_.jump_probability;
    }
    void set_step_to(std::size_t t) {
        std::optional<double> speed;
        if (!speeds_.empty() && speeds_[t]) speed = *speeds_[t];
        steps_.set(evidence_[t].time_s - evidence_[t - 1].time_s, speed);
    }
    SampleNews news(std::size_t t) const;
    bool may_move(int cell) const;
    double cost_when_unreadable(const std::array<std::uint8_t, cell_class_count>& costs) const;
    double likelihood(const Weighed& seen, std::int64_t ticks) const;
    double likelihood_moved(const SampleNews& seen, std::int64_t ticks) const;
    States candidates(const SampleNews& seen, const States& before) const;
    void advance(std::size_t t, const SampleNews& seen, const States& before, States& states);
    States first_states(double& log_gain) const;
    States next_states(std::size_t t, const States& before, double& log_gain);
    double prune_and_scale(States& states) const;
    CounterPath likeliest();
    void run_back(std::size_t t, States& states, const States& after);
    PathValue best_value(const States& states) const;
    void add_costs(std::size_t t, PathValue& value) const;
    double gain_of_looking_away(const CounterPath& path) const;

    const CounterShape& shape_;
    std::span<const LineEvidence> evidence_;
    const Probabilities& probabilities_;
    std::span<const std::optional<float>> speeds_;  // of the step to each sample; may be empty
    ReelMotion motion_;
    PathOptions options_;
    StepTable steps_;
    std::int64_t least_kept_unit_;
    int most_per_cell_;
};

// When the value holds, a cell that looks as it did in the sample before has little to add: the
// glyph, the wall behind it and so the network's error are the same. When the value moves, every
// cell must show it.
SampleNews PathDecoder::news(std::size_t t) const {
    SampleNews news;
    double held_cost = 0.0;
    double moved_cost = 0.0;
    for (int cell = 0; cell < shape_.cells; ++cell) {
        const auto& costs = evidence_[t].cost[cell];
        const double change =
            t == 0 ? 1.0 : difference(costs, evidence_[t - 1].cost[cell], probabilities_);
        const double share =
            options_.old_share + (options_.new_share - options_.old_share) * change;
        for (int c = 0; c < cell_class_count; ++c) {
            const int cost = std::min<int>(costs[c], most_per_cell_);
            news.if_held.costs[cell][c] = static_cast<std::uint8_t>(std::lround(share * cost));
            news.if_moved.costs[cell][c] =
                static_cast<std::uint8_t>(std::lround(options_.new_share * cost));
        }
        const double unreadable = cost_when_unreadable(costs);
        held_cost += share * unreadable;
        moved_cost +=
            (options_.kept_digits_count_once && !may_move(cell) ? share : options_.new_share) *
            unreadable;
    }
    news.if_held.unreadable = options_.unreadable_probability * std::exp(-held_cost);
    news.if_moved.unreadable = options_.unreadable_probability * std::exp(-moved_cost);
    return news;
}

// Whether a digit that changes from sample to sample, or inches, can stand in the cell.
bool PathDecoder::may_move(int cell) const {
    return std::ranges::any_of(shape_.layouts, [this, cell](const WrittenLayout& layout) {
        const CellRole& role = layout.cells[cell];
        return (role.kind == CellRole::Kind::digit && role.unit < least_kept_unit_) ||
               role.kind == CellRole::Kind::inch_ones || role.kind == CellRole::Kind::inch_tens;
    });
}

// Where no number can be read, a cell mostly looks like no digit at all, and now and then like any.
double PathDecoder::cost_when_unreadable(
    const std::array<std::uint8_t, cell_class_count>& costs) const {
    const double as_other = static_cast<double>(costs[other_class]) / cost_scale;
    return std::min(as_other + 0.3, options_.unreadable_per_cell);
}

double PathDecoder::likelihood(const Weighed& seen, std::int64_t ticks) const {
    const int cost = cost_of_value(shape_, seen.costs, ticks, most_per_cell_);
    return probabilities_.of(cost) + seen.unreadable;
}

double PathDecoder::likelihood_moved(const SampleNews& seen, std::int64_t ticks) const {
    if (!options_.kept_digits_count_once) return likelihood(seen.if_moved, ticks);
    const int cost = cost_of_step(shape_, seen.if_moved.costs, seen.if_held.costs, ticks,
                                  least_kept_unit_, most_per_cell_);
    return probabilities_.of(cost) + seen.if_moved.unreadable;
}

States PathDecoder::candidates(const SampleNews& seen, const States& before) const {
    std::vector<std::int64_t> ticks;
    for (const CostedValue& value :
         cheapest_values(shape_, seen.if_moved.costs, most_per_cell_, options_.candidates)) {
        ticks.push_back(value.ticks);
    }
    std::vector<std::pair<double, std::int64_t>> likely;
    likely.reserve(before.size());
    for (const State& state : before) likely.emplace_back(-state.alpha, state.ticks);
    std::sort(likely.begin(), likely.end());
    for (std::size_t i = 0; i < likely.size(); ++i) {
        const std::int64_t window = i < 2    ? std::min(steps_.reach(), kWidestWindow)
                                    : i < 24 ? 2
                                             : 0;
        for (std::int64_t d = -window; d <= window; ++d) ticks.push_back(likely[i].second + d);
    }
    const std::int64_t least = shape_.least();
    const std::int64_t most = shape_.most();
    std::erase_if(ticks, [&](std::int64_t value) { return value < least || value > most; });
    std::sort(ticks.begin(), ticks.end());
    ticks.erase(std::unique(ticks.begin(), ticks.end()), ticks.end());
    States states;
    states.reserve(ticks.size());
    for (const std::int64_t value : ticks) {
        states.push_back(
            {value, likelihood(seen.if_held, value), likelihood_moved(seen, value), 0.0, 1.0});
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

// `log_gain`: how much likelier the samples up to this one have become over nothing readable.
States PathDecoder::first_states(double& log_gain) const {
    const SampleNews seen = news(0);
    States states = candidates(seen, {});
    for (State& state : states) {
        state.alpha = state.if_moved * (state.ticks > motion_.longest_ticks ? 0.01 : 1.0);
    }
    log_gain = prune_and_scale(states) - std::log(seen.if_moved.unreadable);
    return states;
}

void PathDecoder::advance(std::size_t t, const SampleNews& seen, const States& before,
                          States& states) {
    set_step_to(t);
    states = candidates(seen, before);
    std::size_t first = 0;
    for (State& state : states) {
        while (first < before.size() && before[first].ticks < state.ticks - steps_.reach()) ++first;
        double sum = arrival(state.ticks) * state.if_moved;
        for (std::size_t i = first; i < before.size(); ++i) {
            const std::int64_t d = state.ticks - before[i].ticks;
            if (-d > steps_.reach()) break;
            const double shown = d == 0 ? state.if_held : state.if_moved;
            sum += before[i].alpha * steps_.probability(d) * shown;
        }
        state.alpha = sum;
    }
}

States PathDecoder::next_states(std::size_t t, const States& before, double& log_gain) {
    const SampleNews seen = news(t);
    States states;
    advance(t, seen, before, states);
    log_gain = prune_and_scale(states) - std::log(seen.if_moved.unreadable);
    return states;
}

// Fills the beta of `states`, the sample before `after`.
void PathDecoder::run_back(std::size_t t, States& states, const States& after) {
    set_step_to(t + 1);
    double by_jump = 0.0;
    for (const State& next : after) {
        by_jump += arrival(next.ticks) * next.if_moved * next.beta;
    }
    double most = 0.0;
    std::size_t first = 0;
    for (State& state : states) {
        while (first < after.size() && after[first].ticks < state.ticks - steps_.reach()) ++first;
        double sum = by_jump;
        for (std::size_t i = first; i < after.size(); ++i) {
            const std::int64_t d = after[i].ticks - state.ticks;
            if (d > steps_.reach()) break;
            const double seen = d == 0 ? after[i].if_held : after[i].if_moved;
            sum += steps_.probability(d) * seen * after[i].beta;
        }
        state.beta = sum;
        most = std::max(most, sum);
    }
    for (State& state : states) state.beta /= most;
}

PathValue PathDecoder::best_value(const States& states) const {
    double sum = 0.0;
    const State* best = &states.front();
    for (const State& state : states) {
        sum += state.alpha * state.beta;
        if (state.alpha * state.beta > best->alpha * best->beta) best = &state;
    }
    PathValue value;
    value.ticks = best->ticks;
    value.probability = static_cast<float>(best->alpha * best->beta / sum);
    return value;
}

void PathDecoder::add_costs(std::size_t t, PathValue& value) const {
    const CellCosts& costs = evidence_[t].cost;
    const auto nats = [](int cost) { return static_cast<float>(cost) / cost_scale; };
    value.cost = nats(cost_of_value(shape_, costs, value.ticks, most_per_cell_));
    value.digit_cost = nats(cost_of_digits(shape_, costs, value.ticks, most_per_cell_));
    value.least_cost = nats(cheapest_values(shape_, costs, most_per_cell_, 1).front().cost);
}

// Nats per sample that cells which may show anything, or anything but a digit, add to the score: a
// layout with many of them must not seem better for it.
double PathDecoder::gain_of_looking_away(const CounterPath& path) const {
    double gain = 0.0;
    for (std::size_t t = 0; t < path.values.size(); ++t) {
        const WrittenLayout* layout = layout_of(shape_, path.values[t].ticks);
        if (layout == nullptr) continue;
        for (int cell = 0; cell < shape_.cells; ++cell) {
            const CellRole& role = layout->cells[cell];
            if (role.kind != CellRole::Kind::any && role.kind != CellRole::Kind::no_digit) continue;
            const auto& costs = evidence_[t].cost[cell];
            const int shown = class_in_cell(role, path.values[t].ticks);
            const double as_shown = static_cast<double>(cost_of_class(costs, shown)) / cost_scale;
            gain += options_.new_share * std::max(0.0, cost_when_unreadable(costs) - as_shown);
        }
    }
    return gain / static_cast<double>(path.values.size());
}

CounterPath PathDecoder::likeliest() {
    const std::size_t count = evidence_.size();
    std::vector<States> block_starts;
    std::vector<States> forward;  // of the block that was gone through last
    double log_likelihood = 0.0;
    double log_gain = 0.0;
    for (std::size_t t = 0; t < count; ++t) {
        States states = t == 0 ? first_states(log_gain) : next_states(t, forward.back(), log_gain);
        if (t % kBlock == 0) {
            block_starts.push_back(states);
            forward.clear();
        }
        forward.push_back(std::move(states));
        log_likelihood += log_gain;
    }
    CounterPath path;
    path.values.resize(count);
    path.score = log_likelihood / static_cast<double>(count);
    States after;
    for (std::size_t block = block_starts.size(); block-- > 0;) {
        const std::size_t begin = block * kBlock;
        const std::size_t end = std::min(begin + kBlock, count);
        if (block + 1 < block_starts.size()) {
            forward = {block_starts[block]};
            for (std::size_t t = begin + 1; t < end; ++t) {
                forward.push_back(next_states(t, forward.back(), log_gain));
            }
        }
        for (std::size_t t = end; t-- > begin;) {
            States& here = forward[t - begin];
            if (t + 1 < count) run_back(t, here, after);
            path.values[t] = best_value(here);
            after = std::move(here);
        }
    }
    return path;
}

std::vector<PathValue> PathDecoder::rough_values() {
    speeds_ = {};
    return likeliest().values;
}

CounterPath PathDecoder::decode(std::span<const std::optional<float>> speeds) {
    speeds_ = speeds;
    CounterPath path = likeliest();
    for (std::size_t t = 0; t < path.values.size(); ++t) add_costs(t, path.values[t]);
    path.score -= gain_of_looking_away(path);
    return path;
}

}  // namespace

CounterPath decode_path(const CounterShape& shape, std::span<const LineEvidence> evidence,
                        const ReelMotion& motion, const PathOptions& options) {
    if (evidence.empty() || shape.layouts.empty() || shape.cells == 0) return {};
    const Probabilities probabilities(shape.cells * most_per_cell_of(options));
    const auto decoder = [&] {
        return PathDecoder(shape, evidence, motion, options, probabilities);
    };
    const std::vector<std::optional<float>> speeds =
        speeds_along(evidence, decoder().rough_values());
    return decoder().decode(speeds);
}

}  // namespace sondeline
