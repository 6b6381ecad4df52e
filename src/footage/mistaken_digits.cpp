#include "footage/mistaken_digits.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <tuple>
#include <utility>

namespace sondeline {

namespace {

using ClassCosts = std::array<std::uint8_t, cell_class_count>;

constexpr float kSure = 0.98F;
constexpr float kWellShown = 1.0F;        // nats, digits of a value that stands in the order
constexpr int kClearly = 2 * cost_scale;  // of a look: all other digits cost so much more
constexpr double kNear_s = 0.5;
constexpr std::int64_t kFewTicks = 4;

// How often each digit, as the order of values tells it, looked like each: [shown][looked].
struct Looks {
    std::array<std::array<double, 10>, 10> seen{};
};

using LooksByCell = std::array<Looks, most_line_cells>;

// The share of the looks of a digit that are those of another.
double share_of(const Looks& looks, int shown, int look) {
    constexpr double kMore = 1.0;  // that may have looked otherwise
    double all = kMore;
    for (const double count : looks.seen[shown]) all += count;
    return looks.seen[shown][look] / all;
}

int last_digit(std::int64_t ticks) {
    return static_cast<int>(std::llabs(ticks) % 10);
}

std::optional<int> last_cell(const CounterShape& shape, std::int64_t ticks) {
    const WrittenLayout* layout = layout_of(shape, ticks);
    if (layout == nullptr) return std::nullopt;
    for (int cell = 0; cell < shape.cells; ++cell) {
        const CellRole& role = layout->cells[cell];
        if (role.kind == CellRole::Kind::digit && role.unit == 1) return cell;
    }
    return std::nullopt;
}

// The digit that a cell shows clearly.
std::optional<int> clear_look(const ClassCosts& costs) {
    const auto best = std::min_element(costs.begin(), costs.begin() + minus_class);
    for (auto other = costs.begin(); other != costs.begin() + minus_class; ++other) {
        if (other != best && *other < *best + kClearly) return std::nullopt;
    }
    return static_cast<int>(best - costs.begin());
}

// Samples in a row that look alike in the cell of their last place, between two values.
struct Spell {
    std::size_t begin = 0;
    int cell = 0;
    int look = 0;
    bool sure = false;  // of the value, all things considered
    std::int64_t least = 0;
    std::int64_t most = 0;
};

class LooksInOrder {
  public:
    LooksInOrder(const CounterShape& shape, const CounterPath& path,
                 std::span<const LineEvidence> evidence)
        : shape_(shape), path_(path), evidence_(evidence) {}

    // What is out of order is shared among the digits that it may be, over and over by what came of
    // the round before (expectation maximisation): most of it may be explained by one digit.
    LooksByCell counted() {
        constexpr int kRounds = 4;
        std::vector<Spell> out_of_order;
        for (const Spell& spell : spells()) {
            if (fits(spell)) {
                looks_[spell.cell].seen[spell.look][spell.look] += 1.0;
            } else {
                out_of_order.push_back(spell);
            }
        }
        const LooksByCell in_order = looks_;
        for (int round = 0; round < kRounds; ++round) {
            const LooksByCell before = std::exchange(looks_, in_order);
            for (const Spell& spell : out_of_order) {
                const std::array<double, 10> shares = shares_of(spell, before[spell.cell]);
                for (int digit = 0; digit < 10; ++digit) {
                    looks_[spell.cell].seen[digit][spell.look] += shares[digit];
                }
            }
        }
        return looks_;
    }

  private:
    bool shows(std::size_t i, int cell, int look) const {
        return last_cell(shape_, path_.values[i].ticks) == cell &&
               clear_look(evidence_[i].cost[cell]) == look;
    }

    bool stands_in_order(std::size_t i) const {
        const PathValue& value = path_.values[i];
        return value.probability >= kSure && value.digit_cost < kWellShown;
    }

    // The value next to `i` in the direction given, if it is soon there and beyond doubt.
    std::optional<std::int64_t> neighbour(std::size_t i, int direction) const {
        const double time_s = evidence_[i].time_s;
        for (std::size_t k = i + direction; k < evidence_.size(); k += direction) {
            if (std::abs(evidence_[k].time_s - time_s) > kNear_s) break;
            if (stands_in_order(k)) return path_.values[k].ticks;
        }
        return std::nullopt;
    }

    std::vector<Spell> spells() const {
        std::vector<Spell> spells;
        for (std::size_t begin = 0; begin < evidence_.size();) {
            const std::optional<int> cell = last_cell(shape_, path_.values[begin].ticks);
            std::size_t end = begin + 1;
            if (cell) {
                const std::optional<int> look = clear_look(evidence_[begin].cost[*cell]);
                while (look && end < evidence_.size() && shows(end, *cell, *look)) ++end;
                if (look) add_spell({begin, *cell, *look, stands_in_order(begin)}, end, spells);
            }
            begin = end;
        }
        return spells;
    }

    void add_spell(Spell spell, std::size_t end, std::vector<Spell>& spells) const {
        const auto before = neighbour(spell.begin, -1);
        const auto after = neighbour(end - 1, 1);
        if (!before || !after) return;
        std::tie(spell.least, spell.most) = std::minmax(*before, *after);
        if (spell.most - spell.least <= kFewTicks && last_cell(shape_, spell.least) == spell.cell &&
            last_cell(shape_, spell.most) == spell.cell) {
            spells.push_back(spell);
        }
    }

    // Whether a value between the two that it stands between ends in what it looks like, or a value
    // next to them, where the head may have given way by a tick.
    static bool fits(const Spell& spell) {
        const std::int64_t beside = spell.least == spell.most || spell.sure ? 1 : 0;
        for (std::int64_t ticks = spell.least - beside; ticks <= spell.most + beside; ++ticks) {
            if (last_digit(ticks) == spell.look) return true;
        }
        return false;
    }

    // How likely each digit is to be the one shown: by its cost, by how rarely it is seen as itself
    // and how often like this, and less at either end, where it was seen as itself a moment ago.
    std::array<double, 10> shares_of(const Spell& spell, const Looks& looks) const {
        constexpr double kMostAgainst = 9.0;  // nats
        constexpr double kSeenNextToIt = 0.02;
        constexpr double kNeverBefore = 0.05;
        const ClassCosts& costs = evidence_[spell.begin].cost[spell.cell];
        std::array<double, 10> shares{};
        double sum = 0.0;
        for (std::int64_t ticks = spell.least; ticks <= spell.most; ++ticks) {
            const int digit = last_digit(ticks);
            const double cost = static_cast<double>(costs[digit]) / cost_scale;
            const bool inside = ticks > spell.least && ticks < spell.most;
            shares[digit] = (inside ? 1.0 : kSeenNextToIt) *
                            std::exp(-std::min(cost, kMostAgainst)) /
                            (1.0 + looks.seen[digit][digit]) *
                            (kNeverBefore + share_of(looks, digit, spell.look));
            sum += shares[digit];
        }
        for (double& share : shares) share /= sum;
        return shares;
    }

    const CounterShape& shape_;
    const CounterPath& path_;
    std::span<const LineEvidence> evidence_;
    LooksByCell looks_{};
};

// The same where it is no chance.
double share_mistaken(const Looks& looks, int shown, int look) {
    constexpr double kFewest = 1.2;  // more than one
    if (shown == look || looks.seen[shown][look] < kFewest) return 0.0;
    return share_of(looks, shown, look);
}

void allow(int digit, int look, double share, const ClassCosts& seen, ClassCosts& costs) {
    const auto probability = [](int cost) {
        return std::exp(-static_cast<double>(cost) / cost_scale);
    };
    const double sum = probability(costs[digit]) + share * probability(seen[look]);
    const double cost = -cost_scale * std::log(sum);
    costs[digit] = static_cast<std::uint8_t>(std::lround(std::clamp(cost, 0.0, 255.0)));
}

}  // namespace

std::vector<LineEvidence> with_mistaken_digits_allowed(const CounterShape& shape,
                                                       const CounterPath& path,
                                                       std::span<const LineEvidence> evidence) {
    if (shape.feet_and_inches) return {};
    const LooksByCell looks = LooksInOrder(shape, path, evidence).counted();
    std::vector<LineEvidence> allowed;
    for (int cell = 0; cell < shape.cells; ++cell) {
        for (int digit = 0; digit < 10; ++digit) {
            for (int look = 0; look < 10; ++look) {
                const double share = share_mistaken(looks[cell], digit, look);
                if (share == 0.0) continue;
                if (allowed.empty()) allowed.assign(evidence.begin(), evidence.end());
                for (std::size_t i = 0; i < evidence.size(); ++i) {
                    allow(digit, look, share, evidence[i].cost[cell], allowed[i].cost[cell]);
                }
            }
        }
    }
    return allowed;
}

}  // namespace sondeline
