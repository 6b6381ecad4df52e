#include "sondeline/survey.hpp"

namespace sondeline {

std::string_view word(ZReference reference) {
    switch (reference) {
        case ZReference::elevation: return "elevation";
        case ZReference::benchmark: return "benchmark";
        case ZReference::below_ground: return "below ground";
        case ZReference::assumed_level_ground: return "assumed level ground";
        case ZReference::none: return "none";
    }
    return "";
}

std::string_view word(FixPlacing placing) {
    switch (placing) {
        case FixPlacing::by_counter: return "by counter";
        case FixPlacing::by_video_time: return "by video time";
        case FixPlacing::by_clock: return "by clock";
        case FixPlacing::by_hold: return "by hold";
        case FixPlacing::unplaced: return "unplaced";
    }
    return "";
}

}  // namespace sondeline
