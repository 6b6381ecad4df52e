// Whether the drawings can be read in black and white and with the common kinds of colour
// blindness. What differs in colour differs in shape, dash or word as well; this checks the colours
// themselves.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <regex>
#include <string>

#include <gtest/gtest.h>

#include "deliverables/page/assets.hpp"

namespace sondeline {
namespace {

using Rgb = std::array<double, 3>;  // linear light, 0 to 1

// IEC 61966-2-1: from an sRGB value to linear light.
double linear(int value) {
    const double share = value / 255.0;
    return share <= 0.04045 ? share / 12.92 : std::pow((share + 0.055) / 1.055, 2.4);
}

Rgb rgb(const std::string& hex) {
    Rgb colour{};
    for (std::size_t i = 0; i < 3; ++i) {
        colour[i] = linear(std::stoi(hex.substr(1 + 2 * i, 2), nullptr, 16));
    }
    return colour;
}

// The stroke or fill of a rule of the drawings' style.
Rgb colour_of(const std::string& rule, const std::string& property) {
    const std::string style(drawings_style());
    const std::regex pattern("(?:^|\n)" + rule + "\\{[^}]*\\b" + property + ":(#[0-9a-f]{6})");
    std::smatch found;
    EXPECT_TRUE(std::regex_search(style, found, pattern)) << rule;
    return found.empty() ? Rgb{} : rgb(found[1]);
}

// WCAG 2.1: relative luminance, and the contrast with white.
double luminance(const Rgb& c) {
    return 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2];
}
double contrast_with_white(const Rgb& c) {
    return 1.05 / (luminance(c) + 0.05);
}

// Machado, Oliveira and Fernandes, IEEE TVCG 15(6), 2009: full protanopia and deuteranopia in
// linear light (the matrices from memory).
using Matrix = std::array<std::array<double, 3>, 3>;
constexpr Matrix protan{{{0.152286, 1.052583, -0.204868},
                         {0.114503, 0.786281, 0.099216},
                         {-0.003882, -0.048116, 1.051998}}};
constexpr Matrix deutan{{{0.367322, 0.860646, -0.227968},
                         {0.280085, 0.672501, 0.047413},
                         {-0.011820, 0.042940, 0.968881}}};

Rgb seen_by(const Matrix& eye, const Rgb& c) {
    Rgb seen{};
    for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t k = 0; k < 3; ++k) seen[i] += eye[i][k] * c[k];
        seen[i] = std::clamp(seen[i], 0.0, 1.0);
    }
    return seen;
}

// CIE 1976 L*a*b* under D65, from linear sRGB.
std::array<double, 3> lab(const Rgb& c) {
    const auto f = [](double t) {
        return t > 216.0 / 24389.0 ? std::cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
    };
    const double x = f((0.4124 * c[0] + 0.3576 * c[1] + 0.1805 * c[2]) / 0.9505);
    const double y = f(luminance(c));
    const double z = f((0.0193 * c[0] + 0.1192 * c[1] + 0.9505 * c[2]) / 1.089);
    return {116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

double difference(const Rgb& a, const Rgb& b) {
    const auto p = lab(a);
    const auto q = lab(b);
    return std::hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

// WCAG 2.1, 1.4.11: 3 to 1 for graphics; 1.4.3: 4.5 to 1 for text.
TEST(Colours, StandOutFromThePaper) {
    for (const auto& [rule, property] :
         {std::pair{"\\.pipe", "stroke"}, std::pair{"\\.water", "fill"},
          std::pair{"\\.fix", "stroke"}, std::pair{"\\.ground", "stroke"},
          std::pair{"\\.structure", "stroke"}, std::pair{"\\.note", "stroke"},
          std::pair{"\\.set-aside", "stroke"}, std::pair{"\\.way", "stroke"},
          std::pair{"\\.stop", "stroke"}}) {
        EXPECT_GT(contrast_with_white(colour_of(rule, property)), 3.0) << rule;
    }
    for (const char* rule : {"svg text", "svg text\\.small", "svg text\\.run-name",
                             "svg text\\.water-name", "svg text\\.note-number"}) {
        EXPECT_GT(contrast_with_white(colour_of(rule, "fill")), 4.5) << rule;
    }
}

// Ten units of CIE 1976 difference are plain to see side by side (common practice, no source).
TEST(Colours, AreToldApartByColourBlindReaders) {
    const std::map<std::string, Rgb> colours{{"pipe", colour_of("\\.pipe", "stroke")},
                                             {"water", colour_of("\\.water", "fill")},
                                             {"fix", colour_of("\\.fix", "stroke")},
                                             {"ink", colour_of("\\.structure", "stroke")}};
    for (const auto& [one, colour] : colours) {
        for (const auto& [other, another] : colours) {
            if (one >= other) continue;
            for (const Matrix& eye : {protan, deutan}) {
                EXPECT_GT(difference(seen_by(eye, colour), seen_by(eye, another)), 10.0)
                    << one << " and " << other;
            }
        }
    }
}

}  // namespace
}  // namespace sondeline
