#include "sondeline/alignment.hpp"

namespace sondeline {

std::string_view word(Placement placement) {
    switch (placement) {
        case Placement::placed: return "placed";
        case Placement::direction_from_fixes: return "direction from fixes";
        case Placement::inferred: return "inferred";
        case Placement::shape_only: return "shape only";
        case Placement::unplaced: return "unplaced";
    }
    return "";
}

std::string_view word(FixUse use) {
    switch (use) {
        case FixUse::used: return "used";
        case FixUse::rejected: return "rejected";
        case FixUse::unplaced: return "unplaced";
    }
    return "";
}

}  // namespace sondeline
