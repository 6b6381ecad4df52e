#include <cmath>
#include <numbers>

#include "sondeline/footage.hpp"

namespace sondeline {

std::string_view word(CounterState state) {
    switch (state) {
        case CounterState::hold: return "hold";
        case CounterState::push: return "push";
        case CounterState::pull: return "pull";
        case CounterState::zero: return "zero";
        case CounterState::missing: return "missing";
    }
    return "";
}

std::string_view word(FieldKind kind) {
    switch (kind) {
        case FieldKind::clock: return "clock";
        case FieldKind::date: return "date";
        case FieldKind::title: return "title";
        case FieldKind::second_counter: return "second counter";
        case FieldKind::other: return "other";
    }
    return "";
}

std::string_view word(WaterState state) {
    switch (state) {
        case WaterState::dry: return "dry";
        case WaterState::water: return "water";
        case WaterState::submerged: return "submerged";
        case WaterState::not_sure: return "not sure";
        case WaterState::no_pipe: return "no pipe seen";
    }
    return "";
}

std::string_view word(PassingKind kind) {
    switch (kind) {
        case PassingKind::ring: return "dark ring";
        case PassingKind::turn: return "sudden turn";
        case PassingKind::light: return "light changes";
    }
    return "";
}

std::string_view word(InclinationUnit unit) {
    switch (unit) {
        case InclinationUnit::unknown: return "not shown";
        case InclinationUnit::percent: return "percent";
        case InclinationUnit::degree: return "degrees";
    }
    return "";
}

std::optional<double> GradeLog::percent(const GradePoint& point) const {
    switch (unit) {
        case InclinationUnit::percent: return point.inclination;
        case InclinationUnit::degree:
            return 100.0 * std::tan(point.inclination * std::numbers::pi / 180.0);
        case InclinationUnit::unknown: break;
    }
    return std::nullopt;
}

double CounterFormat::tick() const {
    constexpr double kInch_ft = 1.0 / 12.0;
    return unit == CounterUnit::feet_and_inches ? kInch_ft : std::pow(10.0, -decimals);
}

double metres_per_count(CounterUnit unit, LengthUnit fallback) {
    switch (unit) {
        case CounterUnit::metre: return metres_per(LengthUnit::metre);
        case CounterUnit::foot:
        case CounterUnit::feet_and_inches: return metres_per(LengthUnit::foot);
        case CounterUnit::unknown: break;
    }
    return metres_per(fallback);
}

}  // namespace sondeline
