#include "footage/unit_text.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "footage/drawn_line.hpp"

namespace sondeline {
namespace {

// The unit beside the four characters that stand behind `before` in each of the texts.
UnitGuess unit_in(const std::vector<std::string>& texts, const std::string& before,
                  const std::string& face) {
    const GlyphNet net;
    const DrawnLine drawn = drawn_line(texts, face);
    std::vector<NumberSpan> numbers;
    for (const LineCrop& crop : drawn.crops) {
        const double from =
            drawn.first_px + static_cast<double>(before.size()) * drawn.band.pitch_px;
        numbers.push_back({&crop, from, from + 4.0 * drawn.band.pitch_px});
    }
    return unit_beside(numbers, net, strokes_of(drawn.line), drawn.band);
}

TEST(UnitText, IsNoFootForTheLettersOfAFigure) {
    for (const std::string label : {"BAT ", "T ", "TEMP ", "DIST "}) {
        for (const std::string face : {"DejaVuSansMono.ttf", "FreeMonoBold.ttf"}) {
            std::vector<std::string> texts;
            for (int i = 0; i < 8; ++i)
                texts.push_back(label + "21." + std::to_string(i) + "    C");
            EXPECT_EQ(unit_in(texts, label, face).unit, CounterUnit::unknown) << label << face;
        }
    }
}

TEST(UnitText, IsAFootWhereBothLettersOrAPrimeStandBehind) {
    for (const std::string unit : {" ft    ", "ft     ", "'      "}) {
        std::vector<std::string> texts;
        for (int i = 0; i < 8; ++i) texts.push_back("21." + std::to_string(i) + unit);
        EXPECT_EQ(unit_in(texts, "", "DejaVuSansMono.ttf").unit, CounterUnit::foot) << unit;
    }
}

}  // namespace
}  // namespace sondeline
