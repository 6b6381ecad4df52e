#include "alignment/phrases.hpp"

#include <fmt/format.h>

namespace sondeline::alignment {

std::string length_words(double length_m, LengthUnit unit) {
    const double value = length_m / metres_per(unit);
    if (unit == LengthUnit::metre) return fmt::format("{:.2f} m", value);
    return fmt::format("{:.1f} {}", value, unit_symbol(unit));
}

Where at_run(const RunId& run) {
    Where where;
    where.run = run.text;
    return where;
}

Where at_structure(const StructureId& structure) {
    Where where;
    where.structure = structure.text;
    return where;
}

std::string count_words(int count, std::string_view one, std::string_view many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string list_words(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) out += i + 1 == names.size() ? " and " : ", ";
        out += names[i];
    }
    return out;
}

}  // namespace sondeline::alignment
