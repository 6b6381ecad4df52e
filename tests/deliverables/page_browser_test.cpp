// The page at work in Chromium, headless: does the marker stand where the counter says, does a
// click take the footage there, do the keys?
#include <algorithm>
#include <cmath>
#include <fstream>
#include <regex>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "deliverables/made_set.hpp"
#include "deliverables/map_reader.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;

// With the clip's real bytes, so that the browser can play it.
void add_real_clip(const fs::path& folder) {
    fs::copy_file(fs::path(SONDELINE_SOURCE_DIR) / "sample-runs/walnut-row/house.mp4",
                  folder / "house.mp4", fs::copy_options::overwrite_existing);
}

// The page as it stands a while after loading.
std::string dom_of(const MadeSet& set, const std::string& page, const std::string& moment,
                   const std::string& flags = "") {
    return output_of(fmt::format(
        "timeout 120 chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run "
        "--disable-background-networking --disable-component-update --disable-sync "
        "--user-data-dir='{}' --window-size=1280,1600 --virtual-time-budget=5000 --dump-dom {} "
        "'file://{}#{}' 2>/dev/null",
        (set.folder() / "browser").string(), flags, set.file(page).string(), moment));
}

std::string attribute(const std::string& dom, const std::string& name) {
    std::smatch found;
    const std::regex pattern("id=\"footage\"[^>]* " + name + "=\"([^\"]*)\"");
    return std::regex_search(dom, found, pattern) ? found[1].str() : "";
}

// Where the marker of the plan stands, in the plan's pixels.
std::pair<double, double> marker_on_plan(const std::string& dom) {
    std::smatch found;
    const std::regex pattern(
        R"re(<g class="marker on" data-on="plan"[^>]*transform="translate\(([-\d.]+) ([-\d.]+)\))re");
    if (!std::regex_search(dom, found, pattern)) return {std::nan(""), std::nan("")};
    return {std::stod(found[1]), std::stod(found[2])};
}

// What the counter showed at a time, in feet (the truth the clip was drawn from).
double counter_at(double time_s) {
    const Track track = track_of_truth("BS", "house.mp4");
    for (const CounterSample& sample : track.samples) {
        if (sample.time_s >= time_s - 1e-6) return *sample.counter;
    }
    return std::nan("");
}

TEST(PageInTheBrowser, PutsTheMarkerWhereTheCounterWasAtThatTime) {
    const MadeSet set(add_real_clip);
    const std::string dom = dom_of(set, "report.html", "clip=house.mp4&t=20");
    EXPECT_EQ(attribute(dom, "data-clip"), "house.mp4");
    EXPECT_NEAR(std::stod(attribute(dom, "data-time")), 20.0, 0.11);
    // Counter feet from the structure, times the reel's scale as the map has it; the path is
    // thinned to half a step of the counter.
    const MapReader map(set.file("asbuilt.gpkg"));
    const double scale =
        std::stod(map.value("SELECT reel_scale FROM pipe_runs WHERE run_id = 'BS'"));
    EXPECT_NEAR(std::stod(attribute(dom, "data-station")), counter_at(20.0) * 0.3048 * scale, 0.05);
    // On the plan: as far from the house, by the scale bar, as the station says.
    std::smatch bar;
    ASSERT_TRUE(
        std::regex_search(dom, bar, std::regex(R"re(class="ink" d="M20 [\d.]+ h([\d.]+) v8)re")));
    std::smatch house;
    ASSERT_TRUE(std::regex_search(
        dom, house,
        std::regex(R"re(<rect class="structure" x="([\d.]+)" y="([\d.]+)" width="11")re")));
    std::smatch words;
    ASSERT_TRUE(std::regex_search(dom, words, std::regex(R"re(middle">(\d+) ft</text>)re")));
    const double px_per_m = std::stod(bar[1]) / (std::stod(words[1]) * 0.3048);
    const auto [x, y] = marker_on_plan(dom);
    const double away_px = std::hypot(x - std::stod(house[1]) - 5.5, y - std::stod(house[2]) - 5.5);
    EXPECT_NEAR(away_px / px_per_m, std::stod(attribute(dom, "data-station")), 0.2);
}

TEST(PageInTheBrowser, TakesTheFootageToAPlaceThatIsClickedOrChosenByKeys) {
    const MadeSet set(add_real_clip);
    // A person's click on the profile of the first run at a third of its width, then the end key on
    // the second profile; what the page made of each is written beside it.
    std::string page = text_of(set.file("report.html"));
    page = std::regex_replace(page, std::regex("</body>"),
                              R"js(<script>
const tell = (name) => { const p = document.getElementById('footage'); const e = document.createElement('p');
  e.id = name; e.textContent = [p.dataset.run, p.dataset.station, p.querySelector('video').currentTime].join(' ');
  document.body.append(e); };
const profile = document.querySelector('.run svg.profile');
const box = profile.getBoundingClientRect();
profile.dispatchEvent(new MouseEvent('click', {bubbles: true, clientX: box.left + box.width / 3, clientY: box.top + 20}));
setTimeout(() => { tell('clicked');
  document.querySelectorAll('.run svg.profile')[1].dispatchEvent(new KeyboardEvent('keydown', {key: 'End', bubbles: true}));
  tell('keyed'); }, 2500);
</script></body>)js");
    std::ofstream(set.file("clicked.html")) << page;
    const std::string dom = dom_of(set, "clicked.html", "");
    std::smatch clicked;
    ASSERT_TRUE(std::regex_search(dom, clicked,
                                  std::regex(R"re(<p id="clicked">BS ([\d.]+) ([\d.]+)</p>)re")));
    // The profile's frame begins at 58 of 760 and ends at 744: a third of the drawing is 253.3.
    const MapReader map(set.file("asbuilt.gpkg"));
    const auto length_of = [&](const char* run) {
        return std::stod(
            map.value(fmt::format("SELECT length_m FROM pipe_runs WHERE run_id = '{}'", run)));
    };
    const double wanted_m = (253.33 - 58.0) / (744.0 - 58.0) * length_of("BS");
    EXPECT_NEAR(std::stod(clicked[1]), wanted_m, 0.06);
    // The video itself stands where the counter shows that station.
    const double scale =
        std::stod(map.value("SELECT reel_scale FROM pipe_runs WHERE run_id = 'BS'"));
    EXPECT_NEAR(counter_at(std::stod(clicked[2])) * 0.3048 * scale, wanted_m, 0.08);
    std::smatch keyed;
    ASSERT_TRUE(std::regex_search(dom, keyed, std::regex(R"re(<p id="keyed">EL ([\d.]+))re")));
    EXPECT_NEAR(std::stod(keyed[1]), length_of("EL"), 0.06);
}

// A phone's width: 390 CSS pixels. Nothing but a table in its own frame may reach beyond it, and a
// tap on the phone's plan takes the footage to the place under the finger.
TEST(PageInTheBrowser, FitsAPhone) {
    const MadeSet set(add_real_clip);
    // Headless windows are no narrower than 500 pixels; a frame inside one is.
    std::ofstream(set.file("phone.html"))
        << R"js(<iframe src="report.html" style="width:390px;height:3000px;border:0"></iframe><script>
setTimeout(() => { const page = document.querySelector('iframe').contentDocument; const e = document.createElement('p');
  const plan = [...page.querySelectorAll('svg.plan')].find((svg) => svg.getBoundingClientRect().width > 0);
  const name = plan.querySelector('text.run-name');
  const mark = plan.querySelector('.pipe').getPointAtLength(plan.querySelector('.pipe').getTotalLength() / 2);
  const tap = new DOMPoint(mark.x, mark.y).matrixTransform(plan.getScreenCTM());
  plan.dispatchEvent(new MouseEvent('click', {bubbles: true, clientX: tap.x, clientY: tap.y}));
  const marker = plan.querySelector('.marker').getAttribute('transform').match(/[-\d.]+/g).map(Number);
  const wide = [...page.querySelectorAll('.pan, svg, p, dl, section, .footage')].filter(
      (one) => one.getBoundingClientRect().right > 391).length;
  e.id = 'phone'; e.textContent = [page.documentElement.scrollWidth, wide, page.querySelector('.pan').scrollWidth,
      name.getBoundingClientRect().height.toFixed(1), page.getElementById('footage').dataset.run,
      Math.hypot(marker[0] - mark.x, marker[1] - mark.y).toFixed(1)].join(' ');
  document.body.append(e); }, 2500);
</script>)js";
    const std::string dom =
        dom_of(set, "phone.html", "", "--allow-file-access-from-files --disable-web-security");
    std::smatch seen;
    ASSERT_TRUE(std::regex_search(
        dom, seen,
        std::regex(R"re(<p id="phone">(\d+) (\d+) (\d+) ([\d.]+) (\S+) ([\d.]+)</p>)re")))
        << dom.substr(dom.size() > 600 ? dom.size() - 600 : 0);
    EXPECT_LE(std::stoi(seen[1]), 390);
    EXPECT_EQ(seen[2], "0");
    EXPECT_LE(std::stoi(seen[3]), 390);
    EXPECT_GT(std::stod(seen[4]), 11.0);  // letters a person can read
    EXPECT_EQ(seen[5], "BS");
    EXPECT_LT(std::stod(seen[6]), 4.0);
}

// Motion JPEG in AVI is played by no current browser.
TEST(PageInTheBrowser, ShowsStillsWhereTheClipDoesNotPlay) {
    const MadeSet set([](const fs::path& folder) {
        fs::copy_file(fs::path(SONDELINE_SOURCE_DIR) / "sample-runs/walnut-row/lateral2.avi",
                      folder / "lateral2.avi", fs::copy_options::overwrite_existing);
    });
    std::string page = text_of(set.file("report.html"));
    // Whether the picture can be shown is for the browser to say.
    page = std::regex_replace(page, std::regex("</body>"), R"js(<script>
setTimeout(() => { const image = document.querySelector('.still img'); const e = document.createElement('p');
  e.id = 'seen'; e.textContent = [image.naturalWidth, image.getBoundingClientRect().width > 100, image.alt].join('|');
  document.body.append(e); }, 2500);
</script></body>)js");
    std::ofstream(set.file("still.html")) << page;
    const std::string dom = dom_of(set, "still.html", "clip=lateral2.avi&t=40");
    std::smatch seen;
    ASSERT_TRUE(std::regex_search(
        dom, seen,
        std::regex(R"re(<p id="seen">480\|true\|Still at 0:(\d\d), ([\d.]+) ft: ([^<]*)</p>)re")));
    // The caption's station is where the counter was at the still's moment, rounded down to a
    // second.
    const Track track = track_of_truth("L2", "lateral2.avi");
    const MapReader map(set.file("asbuilt.gpkg"));
    const double scale =
        std::stod(map.value("SELECT reel_scale FROM pipe_runs WHERE run_id = 'L2'"));
    double least = 1e9;
    for (const CounterSample& sample : track.samples) {
        const double after_s = sample.time_s - std::stod(seen[1]);
        if (after_s < 0.0 || after_s >= 1.0) continue;
        least = std::min(least, std::abs(*sample.counter * scale - std::stod(seen[2])));
    }
    EXPECT_LT(least, 0.12);
    for (const char* words : {"first reading", "held still", "furthest reach", "note 7"}) {
        EXPECT_THAT(dom, testing::HasSubstr(words));
    }
}

}  // namespace
}  // namespace sondeline
