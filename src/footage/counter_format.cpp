#include "footage/counter_format.hpp"

#include <algorithm>
#include <limits>
#include <utility>

#include <fmt/format.h>

namespace sondeline {

namespace {

using Kind = CellRole::Kind;

std::int64_t power_of_ten(int exponent) {
    std::int64_t power = 1;
    for (int i = 0; i < exponent; ++i) power *= 10;
    return power;
}

// The layout of values with exactly `digits` places before the point; a single place also holds 0.
WrittenLayout layout_for(int digits, int decimals) {
    WrittenLayout layout;
    layout.least = digits == 1 ? 0 : power_of_ten(digits - 1 + decimals);
    layout.most = power_of_ten(digits + decimals) - 1;
    return layout;
}

CellRole digit_role(int place) {
    return {Kind::digit, static_cast<std::int32_t>(power_of_ten(place))};
}

WrittenLayout negative_of(WrittenLayout layout) {
    layout.negative = true;
    layout.least = std::max<std::int64_t>(layout.least, 1);
    return layout;
}

struct PartialValue {
    std::int64_t magnitude = 0;
    int cost = 0;
};

void keep_cheapest(std::vector<PartialValue>& values, int count) {
    const auto cheaper = [](const PartialValue& a, const PartialValue& b) {
        return a.cost != b.cost ? a.cost < b.cost : a.magnitude < b.magnitude;
    };
    const auto kept = std::min<std::size_t>(values.size(), static_cast<std::size_t>(count));
    std::partial_sort(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(kept),
                      values.end(), cheaper);
    values.resize(kept);
}

bool fits(const WrittenLayout& layout, bool feet_and_inches, std::int64_t magnitude) {
    if (magnitude < layout.least || magnitude > layout.most) return false;
    if (!feet_and_inches || layout.any_inches) return true;
    return (magnitude % 12 >= 10) == layout.two_inch_digits;
}

// What none of the `count` cheapest can cost more than when a digit is added to the values: with
// the cheapest digit there are as many that do not.
int most_of_cheapest(const std::vector<PartialValue>& values, int cheapest_digit,
                     std::size_t count) {
    if (values.size() < count) return std::numeric_limits<int>::max();
    int most = 0;
    for (const PartialValue& value : values) most = std::max(most, value.cost);
    return most + cheapest_digit;
}

// All digits of one cell, added to each value found so far; those that are not among the `count`
// cheapest may be left out.
std::vector<PartialValue> extended(const std::vector<PartialValue>& values, const CellRole& role,
                                   const std::array<std::uint8_t, cell_class_count>& costs,
                                   int most_per_cell, int count) {
    const int highest = role.kind == Kind::inch_tens ? 1 : 9;
    const int cheapest = *std::min_element(costs.begin(), costs.begin() + highest + 1);
    const int most = most_of_cheapest(values, std::min(cheapest, most_per_cell),
                                      static_cast<std::size_t>(count));
    const std::int64_t worth = role.kind == Kind::digit       ? role.unit
                               : role.kind == Kind::inch_tens ? 10
                                                              : 1;
    std::vector<PartialValue> longer;
    longer.reserve(values.size() * 10);
    for (const PartialValue& value : values) {
        for (int digit = 0; digit <= highest; ++digit) {
            const int cost = value.cost + std::min<int>(costs[digit], most_per_cell);
            if (cost <= most) longer.push_back({value.magnitude + digit * worth, cost});
        }
    }
    return longer;
}

bool holds_no_digit(Kind kind) {
    return kind == Kind::minus || kind == Kind::other || kind == Kind::no_digit ||
           kind == Kind::any;
}

// No value in the layout costs less.
int least_cost(const CounterShape& shape, const WrittenLayout& layout, const CellCosts& costs,
               int most_per_cell) {
    int sum = 0;
    for (int cell = 0; cell < shape.cells; ++cell) {
        const CellRole& role = layout.cells[cell];
        const bool fixed = holds_no_digit(role.kind);
        const int least = fixed ? cost_of_class(costs[cell], class_in_cell(role, 0))
                                : *std::min_element(costs[cell].begin(), costs[cell].begin() + 10);
        sum += std::min(least, most_per_cell);
    }
    return sum;
}

void add_cheapest_of_layout(const CounterShape& shape, const WrittenLayout& layout,
                            const CellCosts& costs, int most_per_cell, int count,
                            std::vector<CostedValue>& found) {
    std::vector<PartialValue> values{{}};
    for (int cell = 0; cell < shape.cells; ++cell) {
        const CellRole& role = layout.cells[cell];
        if (holds_no_digit(role.kind)) {
            const int shown = class_in_cell(role, 0);
            const int cost = std::min(cost_of_class(costs[cell], shown), most_per_cell);
            for (PartialValue& value : values) value.cost += cost;
            continue;
        }
        values = extended(values, role, costs[cell], most_per_cell, 2 * count);
        // Values that the layout cannot hold (a leading zero, 13 inches) fall out at the end, so a
        // few more than asked for are carried.
        keep_cheapest(values, 2 * count);
    }
    for (const PartialValue& value : values) {
        if (!fits(layout, shape.feet_and_inches, value.magnitude)) continue;
        found.push_back({layout.negative ? -value.magnitude : value.magnitude, value.cost});
    }
}

}  // namespace

std::int64_t CounterShape::least() const {
    std::int64_t least = 0;
    for (const WrittenLayout& layout : layouts) {
        if (layout.negative) least = std::min(least, -layout.most);
    }
    return least;
}

std::int64_t CounterShape::most() const {
    std::int64_t most = 0;
    for (const WrittenLayout& layout : layouts) {
        if (!layout.negative) most = std::max(most, layout.most);
    }
    return most;
}

CounterShape fixed_cells(int integer_places, int decimals, Padding padding, SignPlace sign) {
    CounterShape shape;
    const int sign_cells = sign == SignPlace::own_cell ? 1 : 0;
    shape.cells = sign_cells + integer_places + decimals;
    shape.decimals = decimals;
    const int fewest = padding == Padding::zeros ? integer_places : 1;
    for (int digits = fewest; digits <= integer_places; ++digits) {
        WrittenLayout layout = layout_for(digits, decimals);
        if (padding == Padding::zeros) layout.least = 0;
        const int first = sign_cells + integer_places - digits;
        for (int cell = first; cell < shape.cells; ++cell) {
            layout.cells[cell] = digit_role(shape.cells - 1 - cell);
        }
        shape.layouts.push_back(layout);
        if (sign == SignPlace::none || (sign == SignPlace::before_first_digit && first == 0)) {
            continue;
        }
        WrittenLayout below = negative_of(layout);
        below.cells[sign == SignPlace::own_cell ? 0 : first - 1].kind = Kind::minus;
        shape.layouts.push_back(below);
    }
    return shape;
}

CounterShape left_cells(int integer_places, int decimals, bool point_takes_cell, bool sign_cell) {
    CounterShape shape;
    shape.decimals = decimals;
    const bool shared = point_takes_cell || decimals == 0;
    const int sign = sign_cell ? 1 : 0;
    const int most = sign + integer_places;  // characters before the point
    const int fewest = sign + 1;
    shape.cells =
        shared ? most + decimals + (decimals > 0 ? 1 : 0) : most + most - fewest + decimals;
    const auto written_from = [&](int first, int digits) {
        WrittenLayout layout = layout_for(digits, decimals);
        for (int i = 0; i < digits; ++i) {
            layout.cells[first + i] = digit_role(digits - 1 - i + decimals);
        }
        const int characters = first + digits;
        const int after = shared ? characters + 1 : most + characters - fewest;
        for (int i = 0; i < decimals; ++i) layout.cells[after + i] = digit_role(decimals - 1 - i);
        return layout;
    };
    for (int digits = 1; digits <= integer_places; ++digits) {
        shape.layouts.push_back(written_from(sign, digits));
        if (1 + digits > most) break;
        WrittenLayout below = negative_of(written_from(1, digits));
        below.cells[0].kind = Kind::minus;
        shape.layouts.push_back(below);
    }
    return shape;
}

CounterShape pushed_cells(int integer_places, int decimals) {
    CounterShape shape;
    shape.decimals = decimals;
    shape.cells = integer_places + 1 + (decimals > 0 ? decimals + 1 : 0);
    const auto written_from = [&](int first) {
        WrittenLayout layout = layout_for(integer_places, decimals);
        layout.least = 0;
        const int behind = first + integer_places + 1;
        for (int i = 0; i < integer_places; ++i) {
            layout.cells[first + i] = digit_role(integer_places - 1 - i + decimals);
        }
        for (int i = 0; i < decimals; ++i) layout.cells[behind + i] = digit_role(decimals - 1 - i);
        return layout;
    };
    shape.layouts.push_back(written_from(0));
    WrittenLayout below = negative_of(written_from(1));
    below.cells[0].kind = Kind::minus;
    shape.layouts.push_back(below);
    return shape;
}

CounterShape part_cells(int integer_places, int decimals) {
    CounterShape shape;
    shape.decimals = decimals;
    const auto first_of = [decimals](int digits) {
        return (digits - 1) * digits / 2 + (digits - 1) * decimals;
    };
    shape.cells = first_of(integer_places + 1);
    const auto written_from = [&](int first, int digits) {
        WrittenLayout layout = layout_for(digits, decimals);
        for (int i = 0; i < digits + decimals; ++i) {
            layout.cells[first + i] = digit_role(digits + decimals - 1 - i);
        }
        return layout;
    };
    for (int digits = 1; digits <= integer_places; ++digits) {
        shape.layouts.push_back(written_from(first_of(digits), digits));
        if (digits == integer_places) break;
        const int longer = first_of(digits + 1);
        WrittenLayout below = negative_of(written_from(longer + 1, digits));
        below.cells[longer].kind = Kind::minus;
        shape.layouts.push_back(below);
    }
    return shape;
}

CounterShape inch_cells(int feet_places, Padding padding, InchPlaces inch_places) {
    const bool left = padding == Padding::left;
    const bool aside = inch_places == InchPlaces::aside;
    const int inch_cell_count = left ? feet_places + 1 : 2;
    CounterShape shape;
    shape.feet_and_inches = true;
    shape.cells = feet_places + inch_cell_count;
    const int aside_feet = aside && !left ? shape.cells : 0;
    const int aside_inches = aside && left ? inch_cell_count : 0;
    if (aside) shape.cells += left ? inch_cell_count : feet_places;
    const int fewest = padding == Padding::zeros ? feet_places : 1;
    for (int digits = fewest; digits <= feet_places; ++digits) {
        for (const bool two : {false, true}) {
            WrittenLayout layout;
            layout.any_inches = false;
            layout.two_inch_digits = two;
            const bool padded = padding == Padding::zeros || digits == 1;
            layout.least = padded ? 0 : 12 * power_of_ten(digits - 1);
            layout.most = 12 * power_of_ten(digits) - 1;
            const int first = (left ? 0 : feet_places - digits) + (two ? aside_feet : 0);
            for (int i = 0; i < digits; ++i) {
                const auto unit = static_cast<std::int32_t>(12 * power_of_ten(digits - 1 - i));
                layout.cells[first + i] = {Kind::digit, unit};
            }
            const int inches = feet_places + (left ? digits - 1 : 0) + (two ? aside_inches : 0);
            if (two) layout.cells[inches].kind = Kind::inch_tens;
            const bool in_second = two || inch_places != InchPlaces::first;
            layout.cells[inches + (in_second ? 1 : 0)].kind = Kind::inch_ones;
            shape.layouts.push_back(layout);
        }
    }
    return shape;
}

const WrittenLayout* layout_of(const CounterShape& shape, std::int64_t ticks) {
    const bool negative = ticks < 0;
    const std::int64_t magnitude = negative ? -ticks : ticks;
    for (const WrittenLayout& layout : shape.layouts) {
        if (layout.negative == negative && fits(layout, shape.feet_and_inches, magnitude)) {
            return &layout;
        }
    }
    return nullptr;
}

int cost_of_class(const std::array<std::uint8_t, cell_class_count>& costs, int shown) {
    if (shown != any_class) return costs[static_cast<std::size_t>(shown)];
    constexpr int kPriceOfLookingAway = 8;  // half a nat
    return *std::min_element(costs.begin(), costs.end()) + kPriceOfLookingAway;
}

int class_in_cell(const CellRole& role, std::int64_t ticks) {
    const std::int64_t magnitude = ticks < 0 ? -ticks : ticks;
    switch (role.kind) {
        case Kind::digit: return static_cast<int>(magnitude / role.unit % 10);
        case Kind::inch_ones: return static_cast<int>(magnitude % 12 % 10);
        case Kind::inch_tens: return static_cast<int>(magnitude % 12 / 10);
        case Kind::minus: return minus_class;
        case Kind::any: return any_class;
        case Kind::other:
        case Kind::no_digit: break;
    }
    return other_class;
}

int cost_of_value(const CounterShape& shape, const CellCosts& costs, std::int64_t ticks,
                  int most_per_cell) {
    const WrittenLayout* layout = layout_of(shape, ticks);
    if (layout == nullptr) return shape.cells * most_per_cell;
    int sum = 0;
    for (int cell = 0; cell < shape.cells; ++cell) {
        const int shown = class_in_cell(layout->cells[cell], ticks);
        sum += std::min(cost_of_class(costs[cell], shown), most_per_cell);
    }
    return sum;
}

bool keeps_its_digit(const CellRole& role, std::int64_t ticks, std::int64_t least_unit) {
    if (role.kind != Kind::digit || role.unit < least_unit) return false;
    const std::int64_t behind = (ticks < 0 ? -ticks : ticks) % role.unit;
    return behind > 0 && behind < role.unit - 1;
}

int cost_of_step(const CounterShape& shape, const CellCosts& costs, const CellCosts& kept,
                 std::int64_t ticks, std::int64_t least_unit, int most_per_cell) {
    const WrittenLayout* layout = layout_of(shape, ticks);
    if (layout == nullptr) return shape.cells * most_per_cell;
    int sum = 0;
    for (int cell = 0; cell < shape.cells; ++cell) {
        const CellRole& role = layout->cells[cell];
        const auto& seen = keeps_its_digit(role, ticks, least_unit) ? kept[cell] : costs[cell];
        sum += std::min(cost_of_class(seen, class_in_cell(role, ticks)), most_per_cell);
    }
    return sum;
}

int cost_of_digits(const CounterShape& shape, const CellCosts& costs, std::int64_t ticks,
                   int most_per_cell) {
    const WrittenLayout* layout = layout_of(shape, ticks);
    if (layout == nullptr) return shape.cells * most_per_cell;
    int sum = 0;
    for (int cell = 0; cell < shape.cells; ++cell) {
        const int shown = class_in_cell(layout->cells[cell], ticks);
        if (shown < minus_class) sum += std::min<int>(costs[cell][shown], most_per_cell);
    }
    return sum;
}

std::vector<CostedValue> cheapest_values(const CounterShape& shape, const CellCosts& costs,
                                         int most_per_cell, int count) {
    std::vector<std::pair<int, const WrittenLayout*>> layouts;
    for (const WrittenLayout& layout : shape.layouts) {
        layouts.emplace_back(least_cost(shape, layout, costs, most_per_cell), &layout);
    }
    std::ranges::stable_sort(layouts, {}, [](const auto& layout) { return layout.first; });
    std::vector<CostedValue> found;
    const auto enough = static_cast<std::size_t>(count);
    for (const auto& [least, layout] : layouts) {
        if (found.size() == enough && least > found.back().cost) break;
        add_cheapest_of_layout(shape, *layout, costs, most_per_cell, count, found);
        std::sort(found.begin(), found.end(), [](const CostedValue& a, const CostedValue& b) {
            return a.cost != b.cost ? a.cost < b.cost : a.ticks < b.ticks;
        });
        if (found.size() > enough) found.resize(enough);
    }
    return found;
}

std::string written(const CounterShape& shape, Padding padding, int integer_places,
                    std::int64_t ticks) {
    const std::int64_t magnitude = ticks < 0 ? -ticks : ticks;
    const std::string_view sign = ticks < 0 ? "-" : "";
    if (shape.feet_and_inches)
        return fmt::format("{}{}' {}\"", sign, magnitude / 12, magnitude % 12);
    const std::int64_t one = power_of_ten(shape.decimals);
    const std::string whole = padding == Padding::zeros
                                  ? fmt::format("{:0{}}", magnitude / one, integer_places)
                                  : fmt::format("{}", magnitude / one);
    if (shape.decimals == 0) return fmt::format("{}{}", sign, whole);
    return fmt::format("{}{}.{:0{}}", sign, whole, magnitude % one, shape.decimals);
}

}  // namespace sondeline
