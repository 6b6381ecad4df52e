// Headings as typed: whatever is accepted lies in [0, 2π), and is one line in [0, π).
#include <numbers>

#include "sondeline/terms.hpp"

#include "fuzz/require.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace sondeline;
    for (const bool comma : {false, true}) {
        const auto heading = parse_heading_rad(text_of(data, size), comma);
        if (!heading) continue;
        require(*heading >= 0.0 && *heading < 2.0 * std::numbers::pi);
        const double line = axial(*heading).rad;
        require(line >= 0.0 && line < std::numbers::pi);
    }
    return 0;
}
