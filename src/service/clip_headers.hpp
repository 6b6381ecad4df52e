// What a clip's container promises, looked up without decoding a frame.
#pragma once

#include "sondeline/footage.hpp"

namespace sondeline {

struct HeaderCheck {
    std::string why_not;  // empty: it opens as footage
    std::string what_to_do;
    double duration_s = 0.0;  // 0: not said
    std::optional<double> creation_time_s;
    // The file ends before the footage that its own index or header promises; from when on, where
    // the index tells.
    bool cut_off = false;
    std::optional<double> cut_off_at_s;
};

HeaderCheck check_headers(const std::filesystem::path& clip);

}  // namespace sondeline
