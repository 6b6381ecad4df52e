#include "grade/pipe_size.hpp"

#include <array>
#include <cctype>
#include <cmath>
#include <string>

#include "terms/units.hpp"

namespace sondeline::grade {

namespace {

struct TradePipe {
    std::string_view word;  // of the material, lower case, blanks removed
    double nominal_in;
    double outside_in;
    double inside_in;
};

// Outside diameter and outside less two minimum walls: ASTM D1785/D2665 (schedule 40), D3034
// (SDR 35), D2729, A74 (service cast iron barrel), F405/F667 (corrugated, varies by maker). From
// memory but for D3034's outside diameters and A74.
constexpr std::array kTradePipes = {
    TradePipe{"sch40", 3.0, 3.500, 3.068},      TradePipe{"sch40", 4.0, 4.500, 4.026},
    TradePipe{"sch40", 6.0, 6.625, 6.065},      TradePipe{"schedule40", 3.0, 3.500, 3.068},
    TradePipe{"schedule40", 4.0, 4.500, 4.026}, TradePipe{"schedule40", 6.0, 6.625, 6.065},
    TradePipe{"sdr35", 4.0, 4.215, 3.975},      TradePipe{"sdr35", 6.0, 6.275, 5.915},
    TradePipe{"sdr35", 8.0, 8.400, 7.920},      TradePipe{"d3034", 4.0, 4.215, 3.975},
    TradePipe{"d3034", 6.0, 6.275, 5.915},      TradePipe{"d3034", 8.0, 8.400, 7.920},
    TradePipe{"d2729", 3.0, 3.250, 3.110},      TradePipe{"d2729", 4.0, 4.215, 4.065},
    TradePipe{"d2729", 6.0, 6.275, 6.075},      TradePipe{"castiron", 3.0, 3.30, 2.96},
    TradePipe{"castiron", 4.0, 4.30, 3.94},     TradePipe{"castiron", 6.0, 6.30, 5.94},
    TradePipe{"corrugated", 4.0, 4.60, 4.00}};

// An inside diameter entered for a pipe of the table differs from its nominal by less than this.
constexpr double kSameSize = 0.04;

std::string plain(std::string_view material) {
    std::string out;
    for (const char c : material) {
        if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
            out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        }
    }
    return out;
}

const TradePipe* find(const PipeSize& size) {
    const std::string material = plain(size.material);
    for (const TradePipe& pipe : kTradePipes) {
        const double nominal_m = pipe.nominal_in * inch_m;
        if (material.find(pipe.word) != std::string::npos &&
            std::abs(size.diameter_m / nominal_m - 1.0) <= kSameSize) {
            return &pipe;
        }
    }
    return nullptr;
}

}  // namespace

double inside_diameter_m(const PipeSize& size) {
    const TradePipe* pipe = find(size);
    return pipe != nullptr ? pipe->inside_in * inch_m : size.diameter_m;
}

Estimate outside_diameter_m(const PipeSize& size) {
    if (const TradePipe* pipe = find(size)) return {pipe->outside_in * inch_m, 0.001};
    return {1.08 * size.diameter_m, 0.03 * size.diameter_m};
}

}  // namespace sondeline::grade
