// report.pdf read back by Poppler's tools (Debian: poppler-utils), which share nothing with what
// made it.
#include <cmath>
#include <fstream>
#include <regex>
#include <sstream>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "deliverables/made_set.hpp"
#include "deliverables/map_reader.hpp"
#include "deliverables/page/paper_scale.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;

const std::string weasyprint(usual_pdf_program);

std::string text_of_page(const MadeSet& set, int page) {
    return output_of(fmt::format("pdftotext -layout -f {0} -l {0} '{1}' -", page,
                                 set.file("report.pdf").string()));
}

// One page as grey pixels, ten to a millimetre (254 dots an inch).
struct GreyPage {
    int width = 0;
    int height = 0;
    std::string grey;

    GreyPage(const MadeSet& set, int page) {
        // The portable grey map: "P5 width height 255" and a byte for each pixel (netpbm, pgm(5)).
        std::istringstream in(output_of(fmt::format("pdftoppm -gray -r 254 -f {0} -l {0} '{1}'",
                                                    page, set.file("report.pdf").string())));
        std::string magic;
        int most = 0;
        in >> magic >> width >> height >> most;
        in.get();
        grey.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
        in.read(grey.data(), static_cast<std::streamsize>(grey.size()));
    }

    // The longest level stroke of near-black ink, in millimetres.
    double longest_black_mm() const {
        int longest = 0;
        for (int y = 0; y < height; ++y) {
            int run = 0;
            for (int x = 0; x < width; ++x) {
                const auto at = static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                                static_cast<std::size_t>(x);
                run = static_cast<unsigned char>(grey[at]) < 60 ? run + 1 : 0;
                longest = std::max(longest, run);
            }
        }
        return longest / 10.0;
    }
};

double number_after(const std::string& text, const char* pattern) {
    std::smatch found;
    EXPECT_TRUE(std::regex_search(text, found, std::regex(pattern))) << text;
    return found.empty() ? std::nan("") : std::stod(found[1]);
}

TEST(Paper, ShowsThePlanToTheScaleItStates) {
    const MadeSet set({}, weasyprint);
    const std::string plan = text_of_page(set, 2);
    const double denominator = number_after(plan, R"(\(1:(\d+)\))");
    const double bar_ft = number_after(plan, R"(\n +0 +(\d+) ft)");
    // One foot is 304.8 mm. The bar is outlined 1.4 CSS pixels wide, 96 to the inch, half of it
    // beyond either end.
    const double outline_mm = 1.4 * 25.4 / 96.0;
    EXPECT_NEAR(GreyPage(set, 2).longest_black_mm(), bar_ft * 304.8 / denominator + outline_mm,
                0.2);
    // The sheet is US Letter: 8.5 by 11 in at 72 points an inch.
    EXPECT_THAT(output_of(fmt::format("pdfinfo '{}'", set.file("report.pdf").string())),
                testing::ContainsRegex("Page size: +612 x 792 pts"));
}

TEST(Paper, SaysWhatTheMapSays) {
    const MadeSet set({}, weasyprint);
    const MapReader map(set.file("asbuilt.gpkg"));
    const std::string all =
        output_of(fmt::format("pdftotext -layout '{}' -", set.file("report.pdf").string()));
    for (const auto& run : *map.layer("pipe_runs")) {
        EXPECT_THAT(
            all, testing::HasSubstr(fmt::format("{:.1f} ft", run->GetFieldAsDouble("length_job"))));
    }
    for (const char* words : {"Never enter a tank", "811", "What the paper says", "To price from",
                              "Load test", "How it was measured", "page 1 of"}) {
        EXPECT_THAT(all, testing::HasSubstr(words));
    }
}

TEST(Paper, IsTheSameEveryTime) {
    std::string first;
    for (int time = 0; time < 2; ++time) {
        const MadeSet set({}, weasyprint);
        const std::string bytes = text_of(set.file("report.pdf"));
        EXPECT_EQ(bytes.substr(0, 5), "%PDF-");
        if (time == 0) first = bytes;
        EXPECT_EQ(bytes, first);
    }
}

// Links to files beside it would name the folder where it was made.
TEST(Paper, HasNoLinksToFiles) {
    const MadeSet set({}, weasyprint);
    EXPECT_THAT(text_of(set.file("report.html")), testing::HasSubstr("evidence/house/"));
    EXPECT_THAT(text_of(set.file("report.pdf")), testing::Not(testing::HasSubstr("/URI (file:")));
}

TEST(Paper, IsMissedWithAdviceWhereTheProgramIsNotThereOrFails) {
    for (const auto& [program, what] : {std::pair{"no-such-program", "not on this machine"},
                                        std::pair{"false", "did not make it"}}) {
        const MadeSet set({}, program);
        EXPECT_FALSE(fs::exists(set.file("report.pdf")));
        EXPECT_TRUE(fs::exists(set.file("report.html")));
        int left = 0;
        for (const auto& entry : fs::directory_iterator(set.folder() / "asbuilt")) {
            left += entry.path().string().find("paper") != std::string::npos ? 1 : 0;
        }
        EXPECT_EQ(left, 0);
        const auto data = nlohmann::json::parse(text_of(set.file("job.json")));
        EXPECT_THAT(data.at("layers").at("findings").dump(), testing::HasSubstr(what));
        EXPECT_THAT(text_of(set.file("report.html")), testing::HasSubstr(what));
        EXPECT_EQ(set.outcome().exit_code, MadeSet().outcome().exit_code);
    }
}

// A view so many metres wide and high.
PlanView view_of(double wide_m, double high_m) {
    PlanView view;
    view.empty = false;
    view.east_m = wide_m;
    view.north_m = high_m;
    view.margin_px = 0.0;
    return view;
}

// ISO 5455:1979 recommends 1:20, 1:50, 1:100 …; the engineer's scale has 10, 20 … 60 ft to the
// inch.
TEST(PaperScale, IsTheLargestUsualOneThatFits) {
    const SheetSize sheet{200.0 * px_per_mm, 200.0 * px_per_mm};
    EXPECT_EQ(largest_scale(view_of(20.0, 5.0), sheet, LengthUnit::metre).words, "1:100");
    EXPECT_EQ(largest_scale(view_of(20.1, 5.0), sheet, LengthUnit::metre).words, "1:200");
    EXPECT_EQ(largest_scale(view_of(5.0, 99.0), sheet, LengthUnit::metre).words, "1:500");
    // 200 mm of paper are 7.874 in: 78.7 ft at 10 ft to the inch (24.0 m), 236.2 ft (72.0 m) at 30.
    EXPECT_EQ(largest_scale(view_of(23.9, 5.0), sheet, LengthUnit::foot).words,
              "1 in = 10 ft (1:120)");
    EXPECT_EQ(largest_scale(view_of(71.9, 5.0), sheet, LengthUnit::foot).words,
              "1 in = 30 ft (1:360)");
    EXPECT_EQ(largest_scale(view_of(200.0, 5.0), sheet, LengthUnit::foot).words,
              "1 in = 100 ft (1:1200)");
    EXPECT_EQ(largest_scale(view_of(1e6, 5.0), sheet, LengthUnit::metre).denominator, 0.0);
}

}  // namespace
}  // namespace sondeline
