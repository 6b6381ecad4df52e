// Every figure of report.html against asbuilt.gpkg, each parsed on its own.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "deliverables/made_set.hpp"
#include "deliverables/map_reader.hpp"

namespace sondeline {
namespace {

// An element that says which cell of the map it shows.
struct Shown {
    std::string from;
    std::string value;  // the cell as the page has it; empty for words
    std::string text;
};

std::string unescaped(std::string text) {
    const auto put = [&](const char* entity, const char* character) {
        text = std::regex_replace(text, std::regex(entity), character);
    };
    put("&lt;", "<");
    put("&gt;", ">");
    put("&quot;", "\"");
    put("&#39;", "'");
    put("&amp;", "&");
    return text;
}

const std::regex& shown_pattern() {
    static const std::regex pattern(
        R"re(<(span|tspan) data-from="([^"]*)"(?: data-value="([^"]*)")?>([^<]*)</\1>)re");
    return pattern;
}

std::vector<Shown> shown_on(const std::string& page) {
    std::vector<Shown> all;
    for (std::sregex_iterator at(page.begin(), page.end(), shown_pattern()), end; at != end; ++at) {
        all.push_back({unescaped((*at)[2]), (*at)[3], unescaped((*at)[4])});
    }
    return all;
}

std::vector<std::string> parts_of(const std::string& address) {
    std::vector<std::string> parts(1);
    for (const char c : address) {
        if (c == '/' && parts.size() < 4) {
            parts.emplace_back();
        } else {
            parts.back() += c;
        }
    }
    return parts;
}

// What the map has for an address, as a number.
double in_the_map(const MapReader& map, const std::string& address) {
    const auto parts = parts_of(address);
    if (parts[0] == "sum") {
        return std::stod(map.value(fmt::format("SELECT sum({}) FROM {}", parts[2], parts[1])));
    }
    if (parts[0] == "count" && parts.size() == 3) {
        return std::stod(map.value(fmt::format("SELECT count({}) FROM {}", parts[2], parts[1])));
    }
    if (parts[0] == "count") {
        return std::stod(map.value(
            fmt::format("SELECT count(*) FROM {} WHERE {} = '{}'", parts[1], parts[2], parts[3])));
    }
    const auto row = map.row(parts[0], std::stoi(parts[1]));
    return row ? row->GetFieldAsDouble(parts[2].c_str()) : std::nan("");
}

// How far below the value a text may lie, and how far above it: half a step either way for a
// figure, a whole step away from the figure for a bound.
std::pair<double, double> room_for(const std::string& from, double step) {
    if (from.find("_lo95") != std::string::npos) return {step, 0.0};
    if (from.find("_hi95") != std::string::npos) return {0.0, step};
    return {step / 2.0, step / 2.0};
}

// Whether the text could be the value in some unit the page uses: metres, feet, inches,
// centimetres, or an interval of 1.96 standard deviations.
bool says(const std::string& from, const std::string& text, double value) {
    const std::size_t point = text.find('.');
    const auto decimals =
        point == std::string::npos ? 0 : static_cast<int>(text.size() - point - 1);
    const auto [below, above] = room_for(from, std::pow(10.0, -decimals));
    const double shown = std::stod(text);
    constexpr double rounding = 1e-5;  // of the cell as the page repeats it
    for (const double per : {1.0, 0.3048, 0.0254, 0.01, 1.0 / 1.959964, 0.764554857984}) {
        if (shown >= value / per - below - rounding && shown <= value / per + above + rounding) {
            return true;
        }
    }
    return false;
}

TEST(Page, ShowsTheFiguresOfTheMap) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    const auto all = shown_on(text_of(set.file("report.html")));
    EXPECT_GT(all.size(), 150U);
    int figures = 0;
    for (const Shown& shown : all) {
        if (shown.value.empty()) {
            const auto parts = parts_of(shown.from);
            const auto row = map.row(parts[0], std::stoi(parts[1]));
            ASSERT_TRUE(row) << shown.from;
            EXPECT_EQ(shown.text, row->GetFieldAsString(parts[2].c_str())) << shown.from;
            continue;
        }
        ++figures;
        EXPECT_NEAR(std::stod(shown.value), in_the_map(map, shown.from), 1e-6) << shown.from;
        EXPECT_TRUE(says(shown.from, shown.text, std::stod(shown.value)))
            << shown.from << " shows " << shown.text << " for " << shown.value;
    }
    EXPECT_GT(figures, 60);
}

// A measured figure stands with the columns of its bounds, wherever the map has them.
TEST(Page, ShowsNoMeasuredFigureWithoutItsBounds) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    std::map<std::string, int> shown;
    const std::string page = text_of(set.file("report.html"));
    for (const Shown& one : shown_on(page)) ++shown[one.from];
    std::set<std::string> checked;
    for (const auto& [from, times] : shown) {
        const auto parts = parts_of(from);
        if (parts.size() != 3 || !map.layer(parts[0])) continue;
        const std::size_t unit = parts[2].rfind('_');
        if (unit == std::string::npos) continue;
        const std::string stem = parts[2].substr(0, unit);
        const std::string symbol = parts[2].substr(unit);
        const auto shows = [&](const char* tail) {
            return shown.count(parts[0] + "/" + parts[1] + "/" + stem + tail + symbol);
        };
        const auto* columns = map.layer(parts[0])->GetLayerDefn();
        if (columns->GetFieldIndex((stem + "_lo95" + symbol).c_str()) >= 0) {
            EXPECT_TRUE(shows("_lo95") && shows("_hi95")) << from << " without bounds";
            checked.insert(parts[0] + "/" + parts[2]);
        } else if (columns->GetFieldIndex((stem + "_sd" + symbol).c_str()) >= 0) {
            EXPECT_TRUE(shows("_sd")) << from << " without its spread";
            checked.insert(parts[0] + "/" + parts[2]);
        }
    }
    EXPECT_THAT(checked,
                testing::IsSupersetOf({"pipe_runs/length_m", "pipe_runs/min_depth_m",
                                       "pipe_runs/max_depth_m", "pipe_runs/slope_pct",
                                       "quantities/depth_m", "quantities/trench_volume_m3",
                                       "replacements/length_m", "bellies/from_m", "bellies/to_m"}));
}

TEST(Quantities, AddUpToTheRunInTheFileInBothUnits) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    for (const auto& run : *map.layer("pipe_runs")) {
        const std::string id = run->GetFieldAsString("run_id");
        for (const char* column : {"length_m", "length_job"}) {
            const std::string sum = map.value(
                fmt::format("SELECT sum({}) FROM quantities WHERE run_id = '{}'", column, id));
            EXPECT_NEAR(std::stod(sum), run->GetFieldAsDouble(column), 1e-9) << id << " " << column;
        }
    }
    EXPECT_EQ(map.value("SELECT group_concat(run_id) FROM replacements"), "BS,L1");
    EXPECT_THAT(text_of(set.file("quantities.csv")), testing::HasSubstr("1926.652"));
}

// A trench 3 ft wide with sides 1 to 1, in bands that the job asks for: by the map's own columns,
// the volume is length · (w·d + d²) at the mean depth d, and a little more, as the depth varies.
TEST(Quantities, AreDugAsTheJobTableAsks) {
    const MadeSet set([](const std::filesystem::path& folder) {
        std::ofstream(folder / "job.csv", std::ios::app)
            << "depth bands,2 ft; 2.35 ft\ntrench width,3\ntrench side slope,1\n";
    });
    const MapReader map(set.file("asbuilt.gpkg"));
    EXPECT_EQ(map.value("SELECT depth_band_source FROM quantities"), "the job table");
    int dug = 0;
    std::set<std::string> bands;
    for (const auto& row : *map.layer("quantities")) {
        bands.insert(row->GetFieldAsString("depth_band"));
        if (row->IsFieldNull(row->GetFieldIndex("depth_m"))) continue;
        const double depth_m = row->GetFieldAsDouble("depth_m");
        const double square_m2 = depth_m * (0.9144 + depth_m);
        const double volume_m3 = row->GetFieldAsDouble("trench_volume_m3");
        EXPECT_GT(volume_m3, row->GetFieldAsDouble("length_m") * square_m2 - 0.02);
        EXPECT_LT(volume_m3, row->GetFieldAsDouble("length_m") * square_m2 * 1.05 + 0.02);
        ++dug;
    }
    EXPECT_GE(dug, 4);
    EXPECT_THAT(bands, testing::IsSupersetOf({"2.0 to 2.4 ft", "over 2.4 ft"}));
    EXPECT_THAT(text_of(set.file("report.html")), testing::HasSubstr("sides 1 to 1"));
}

// What is left of the page without its marked figures, its scales, and the words that were given to
// it or are the same on every page.
std::string unmarked_text(std::string page) {
    const auto drop = [&](const char* pattern) {
        page = std::regex_replace(page, std::regex(pattern), " ");
    };
    page = std::regex_replace(page, shown_pattern(), " ");
    const auto drop_between = [&](const std::string& open, const std::string& close) {
        for (std::size_t at = page.find(open); at != std::string::npos; at = page.find(open, at)) {
            const std::size_t end = page.find(close, at);
            page.erase(at, end == std::string::npos ? end : end + close.size() - at);
        }
    };
    drop_between("<style>", "</style>");
    drop_between("<script", "</script>");
    drop_between("<title>", "</title>");
    drop_between("<g class=\"scale\">", "</g>");
    drop_between("<header class=\"as-given\">", "</header>");
    drop_between("<div class=\"safety as-given\">", "</div>");
    for (const char* tag : {"p", "div", "td"}) {
        const std::string name(tag);
        drop((R"(<)" + name + R"( class="[^"]*as-given"[^>]*>[\s\S]*?</)" + name + ">").c_str());
    }
    drop(R"(<text class="note-number"[^>]*>\d+</text>)");
    drop("<[^>]*>");
    return page;
}

TEST(Page, ShowsNoFigureThatTheMapDoesNotHave) {
    const MadeSet set;
    std::string left = unmarked_text(text_of(set.file("report.html")));
    // Names may hold digits.
    const MapReader map(set.file("asbuilt.gpkg"));
    for (const auto& [layer, column] :
         {std::pair{"pipe_runs", "run_id"}, std::pair{"fixes", "fix_id"}}) {
        for (const auto& row : *map.layer(layer)) {
            const std::string name = row->GetFieldAsString(column);
            left = std::regex_replace(left, std::regex("\\b" + name + "\\b"), "");
        }
    }
    const std::regex digits(R"(.{0,40}\d.{0,40})");
    const std::regex allowed(R"(95 %)");  // the name of the bounds
    for (std::sregex_iterator at(left.begin(), left.end(), digits), end; at != end; ++at) {
        const std::string rest = std::regex_replace(at->str(), allowed, "");
        EXPECT_FALSE(std::regex_search(rest, std::regex(R"(\d)"))) << at->str();
    }
}

TEST(Page, StandsAloneAndIsSmall) {
    const MadeSet set;
    const std::string page = text_of(set.file("report.html"));
    EXPECT_LT(page.size(), 3U << 20U);
    EXPECT_EQ(page.find("http://"), std::string::npos);
    EXPECT_EQ(page.find("https://"), std::string::npos);
    EXPECT_EQ(page.find("src=\"/"), std::string::npos);
    EXPECT_THAT(page, testing::HasSubstr(R"("url":"../house.mp4")"));
}

// Labels by their boxes: 0.58 of the type size for a letter is a wide sans serif.
TEST(Plan, LetsNoLabelLieOnAnother) {
    const MadeSet set;
    const std::string page = text_of(set.file("report.html"));
    for (const char* opening : {"<svg class=\"plan\"", "<svg class=\"plan narrow\""}) {
        const std::size_t from = page.find(opening);
        ASSERT_NE(from, std::string::npos);
        const std::string plan = page.substr(from, page.find("</svg>", from) - from);
        struct Box {
            double left, top, right, bottom;
            std::string text;
        };
        std::vector<Box> boxes;
        const std::regex label(
            R"re(<text class="(run-name|structure-name|small)" x="([\d.]+)" y="([\d.]+)">((?:[^<]|<tspan[^>]*>|</tspan>)*)</text>)re");
        for (std::sregex_iterator at(plan.begin(), plan.end(), label), end; at != end; ++at) {
            const std::string text = std::regex_replace((*at)[4].str(), std::regex("<[^>]*>"), "");
            const double size = (*at)[1] == "run-name" ? 13.0 : 12.0;
            const double x = std::stod((*at)[2]);
            const double y = std::stod((*at)[3]);
            const Box box{x, y - 0.8 * size, x + 0.58 * size * static_cast<double>(text.size()), y,
                          text};
            for (const Box& other : boxes) {
                const bool apart = box.right <= other.left || other.right <= box.left ||
                                   box.bottom <= other.top || other.bottom <= box.top;
                EXPECT_TRUE(apart) << box.text << " lies on " << other.text;
            }
            boxes.push_back(box);
        }
        EXPECT_GE(boxes.size(), 11U);  // five runs, six structures
    }
}

// A figure that stands on the page before `words`, with the column it says it is from.
std::string shown_before(const std::string& page, const std::string& words) {
    const std::size_t at = page.find(words);
    if (at == std::string::npos) return "";
    const std::string before = page.substr(0, at);
    std::string last;
    for (const Shown& shown : shown_on(before.substr(before.rfind("<p")))) {
        last += shown.from + "=" + shown.text + " ";
    }
    return last;
}

// The reel's own scale, as job.json has it, and the right way round: the true length of what counts
// as one. The sample's reel counts 1 for 1.006 (tests/made/sample_site.hpp).
TEST(Page, SaysWhatOneCountedFootOfTheReelIs) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    const std::string page = text_of(set.file("report.html"));
    EXPECT_THAT(page, testing::HasSubstr("one counted foot is"));
    EXPECT_THAT(shown_before(page, " true feet"),
                testing::AllOf(testing::HasSubstr("reel_day_scale="),
                               testing::HasSubstr("reel_day_scale_sd=")));
    const double scale = std::stod(map.value("SELECT DISTINCT reel_day_scale FROM pipe_runs"));
    const double sd = std::stod(map.value("SELECT DISTINCT reel_day_scale_sd FROM pipe_runs"));
    EXPECT_NEAR(scale, 1.006, 2.0 * sd);
    EXPECT_THAT(text_of(set.file("job.json")),
                testing::HasSubstr(fmt::format("\"scale\": {}", scale)));
}

// 17 px are the largest letters of a drawing (page.css, beside the footage); a letter of a common
// sans serif is 0.6 of its height wide at most (common practice, no source).
TEST(Profiles, HaveRoomForTheWordsOfTheSmallestSagAlsoWhereLettersAreLarge) {
    const MadeSet set;
    const std::string page = text_of(set.file("report.html"));
    const std::regex label(
        R"re(<g class="limit">.*?<text class="small" x="([\d.]+)"[^>]* text-anchor="end">([^<]*)<)re");
    int labels = 0;
    for (std::sregex_iterator at(page.begin(), page.end(), label), end; at != end; ++at) {
        const double letters = static_cast<double>((*at)[2].length());
        EXPECT_GT(std::stod((*at)[1]) - 0.6 * 17.0 * letters, 0.0) << (*at)[2];
        ++labels;
    }
    EXPECT_GE(labels, 1);
}

TEST(Page, DoesNotCountAStatedTankAsMeasured) {
    const MadeSet set;
    const std::string page = text_of(set.file("report.html"));
    EXPECT_THAT(page, testing::HasSubstr("what was stated on site and not measured"));
    EXPECT_THAT(page, testing::HasSubstr("count/records_check/verdict/agrees as stated"));
}

// L1 leaves the distribution box, and is perforated.
TEST(Page, SaysWhyNoSlopeIsAskedOfARunWhoseKindIsInDoubt) {
    const MadeSet set([](const std::filesystem::path& folder) {
        const std::string runs = text_of(folder / "runs.csv");
        std::ofstream(folder / "runs.csv")
            << std::regex_replace(runs, std::regex("mp4,lateral,"), "mp4,building sewer,");
    });
    const std::string page = text_of(set.file("report.html"));
    EXPECT_THAT(page, testing::HasSubstr("what slope is asked: "));
    EXPECT_THAT(page, testing::HasSubstr("the kind of this run is in doubt"));
    const std::string asked = page.substr(page.find("Slopes asked by"));
    EXPECT_EQ(asked.substr(0, asked.find("</p>")).find("in doubt"), std::string::npos);
}

TEST(Page, SaysThatARunGoesOnBeyondWhatWasPushed) {
    const MadeSet set([](const std::filesystem::path& folder) {
        const std::string runs = text_of(folder / "runs.csv");
        std::ofstream(folder / "runs.csv")
            << std::regex_replace(runs, std::regex("(L2,.*),open,"), "$1,broken,");
    });
    const std::string page = text_of(set.file("report.html"));
    EXPECT_THAT(page, testing::HasSubstr(" run goes on beyond what was pushed."));
    EXPECT_THAT(page, testing::HasSubstr(" towards its end, stopped short"));
    EXPECT_THAT(page, testing::HasSubstr(">push stopped</text>"));
}

}  // namespace
}  // namespace sondeline
