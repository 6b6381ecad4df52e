// Which values of a decoded path may be told, and why the others are withheld.
#pragma once

#include <span>
#include <vector>

#include "footage/counter_path.hpp"
#include "footage/line_reader.hpp"

namespace sondeline {

// Two neighbouring sure values further apart than a head can move between them.
struct PathJump {
    std::size_t before = 0;  // samples
    std::size_t after = 0;
    bool clean = false;             // at rest on both sides, or set to zero: the counter was set
    bool comes_back = false;        // there and back again, or the way back
    bool from_untold_rest = false;  // clean, from a rest that is too faint for its value to be told
};

struct TrustedPath {
    std::vector<LineSample> samples;
    std::vector<PathJump> jumps;
};

TrustedPath trusted(const CounterPath& path, const CounterShape& shape,
                    std::span<const LineEvidence> evidence, const ReelMotion& motion,
                    double min_probability);

}  // namespace sondeline
