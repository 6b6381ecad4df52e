// Lengths, units and numbers as typed: whatever is accepted is a finite figure.
#include <cmath>

#include "sondeline/terms.hpp"

#include "fuzz/require.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace sondeline;
    const std::string_view text = text_of(data, size);
    for (const bool comma : {false, true}) {
        const auto number = parse_number(text, comma);
        require(!number || std::isfinite(*number));
        const auto length = parse_length_m(text, 0.3048, comma);
        require(!length || std::isfinite(*length));
    }
    parse_length_unit(text);
    const auto unit = parse_unit_in_metres(text);
    require(!unit || *unit > 0.0);
    return 0;
}
