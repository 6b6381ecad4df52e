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

}  // namespace sondeline
