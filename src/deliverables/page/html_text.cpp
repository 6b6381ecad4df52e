#include "deliverables/page/html_text.hpp"

#include <cmath>

#include <fmt/format.h>

namespace sondeline {

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        switch (c) {
            case '&': out += "&amp;"; break;
            case '<': out += "&lt;"; break;
            case '>': out += "&gt;"; break;
            case '"': out += "&quot;"; break;
            case '\'': out += "&#39;"; break;
            default: out += c;
        }
    }
    return out;
}

std::string px(double value) {
    return fmt::format("{:.1f}", std::round(value * 10.0) / 10.0 + 0.0);
}

}  // namespace sondeline
