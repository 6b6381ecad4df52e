#include "sondeline/terms.hpp"

namespace sondeline {

std::string_view word(Severity severity) {
    switch (severity) {
        case Severity::info: return "info";
        case Severity::caution: return "caution";
        case Severity::problem: return "problem";
    }
    return "";
}

}  // namespace sondeline
