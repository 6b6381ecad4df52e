#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "alignment/clock_difference.hpp"
#include "alignment/phrases.hpp"

namespace sondeline {
namespace alignment {
namespace {

constexpr double large_s = 5.0;

// Puts the fix, and the depth it carries, where the clocks now say.
void place_anew(Site& site, int index, const ClockDifference& clocks) {
    SiteFix& fix = site.fixes[index];
    const auto x_m = station_by_clock(site, fix, clocks.ahead_s);
    auto& rows = site.runs[fix.run].vertical;
    std::erase_if(rows, [&](const VerticalObservation& row) { return row.fix == index; });
    if (!x_m) {
        fix.placing = FixPlacing::unplaced;
        fix.why_unplaced = "no counter was read at its moment by the camera's clock";
        return;
    }
    double moved_m = 0.0;
    for (const double way : {-1.0, 1.0}) {
        const auto then = station_by_clock(site, fix, clocks.ahead_s + way * clocks.sd_s);
        if (then) moved_m = std::max(moved_m, std::abs(*then - *x_m));
    }
    fix.placing = FixPlacing::by_clock;
    fix.why_unplaced.clear();
    fix.x_m = *x_m;
    fix.station_sd_m = std::hypot(station_reading_sd_m, moved_m);
    if (const auto row = depth_row(fix, index)) rows.push_back(*row);
}

// A camera and its clock, by the reel it goes with.
struct Camera {
    std::string reel;
    ClockDifference clocks;
};

bool by_clock(const Site& site, const SiteFix& fix) {
    return fix.run >= 0 && static_cast<std::size_t>(fix.run) < site.runs.size() &&
           !fix.clock_course.x_m.empty();
}

// Of all reels with fixes given by clock, in the order of these.
std::vector<Camera> cameras_on(const Site& site) {
    std::vector<Camera> cameras;
    for (const SiteFix& fix : site.fixes) {
        if (!by_clock(site, fix)) continue;
        const std::string& reel = site.runs[fix.run].reel;
        if (std::ranges::find(cameras, reel, &Camera::reel) != cameras.end()) continue;
        cameras.push_back({reel, clock_difference(site, reel)});
    }
    return cameras;
}

std::string on_reel(const Camera& camera, bool several) {
    if (!several) return "";
    return camera.reel.empty() ? " on the reel without a name" : " on reel " + camera.reel;
}

void tell_doubt(const std::string& where, Findings& findings) {
    findings.push_back(
        {Severity::caution,
         {},
         fmt::format(
             "The fixes placed by clock{} do not fit the pipe, and more than one difference "
             "between the clocks of receiver and camera would explain that; they were left "
             "where the clocks put them.",
             where),
         "Compare both clocks and correct footage_start, or give the counter of each fix."});
}

void tell_difference(const ClockDifference& clocks, const std::string& where, Findings& findings) {
    const bool large = std::abs(clocks.ahead_s) >= large_s;
    findings.push_back(
        {large ? Severity::caution : Severity::info,
         {},
         fmt::format(
             "The clock of the camera{} is {:.0f} s {} that of the receiver (±{:.0f} s), as "
             "{} placed by clock show: only so do they lie on one pipe. They were placed "
             "by that.",
             where, std::abs(clocks.ahead_s), clocks.ahead_s > 0.0 ? "ahead of" : "behind",
             std::max(1.0, normal_95 * clocks.sd_s), count_words(clocks.fixes, "fix", "fixes")),
         "Set the camera's clock by the receiver's, or write down the counter with each fix."});
}

void tell_too_few(const ClockDifference& clocks, const std::string& where, Findings& findings) {
    findings.push_back(
        {Severity::caution,
         {},
         fmt::format("Another camera's clock was off. Whether that of the camera{} is off as well "
                     "cannot be told from {}, left where the clocks put {}.",
                     where, count_words(clocks.fixes, "fix", "fixes"),
                     clocks.fixes == 1 ? "it" : "them"),
         "Compare its clock with the receiver's, or give the counter of each fix."});
}

void tell_clocks(const std::vector<Camera>& cameras, Findings& findings) {
    using Verdict = ClockDifference::Verdict;
    const bool one_is_off = std::ranges::any_of(
        cameras, [](const Camera& one) { return one.clocks.verdict == Verdict::differ; });
    for (const Camera& camera : cameras) {
        const std::string where = on_reel(camera, cameras.size() > 1);
        switch (camera.clocks.verdict) {
            case Verdict::cannot_tell: tell_doubt(where, findings); break;
            case Verdict::differ: tell_difference(camera.clocks, where, findings); break;
            case Verdict::too_few:
                if (one_is_off) tell_too_few(camera.clocks, where, findings);
                break;
            case Verdict::agree: break;
        }
    }
}

void tell_unplaced(const Site& site, const SiteFix& fix, Findings& findings) {
    Where where = where_is(fix.source);
    where.column.clear();
    where.run = site.runs[fix.run].id.text;
    findings.push_back(
        {Severity::caution, where,
         fmt::format("Fix {} has no place along a run: {}.", fix.id, fix.why_unplaced),
         "Give the counter, or check footage_start.", Consequence::input_rejected});
}

}  // namespace
}  // namespace alignment

Site settle_clocks(Site site) {
    using namespace alignment;
    const std::vector<Camera> cameras = cameras_on(site);
    tell_clocks(cameras, site.findings);
    for (std::size_t i = 0; i < site.fixes.size(); ++i) {
        if (!by_clock(site, site.fixes[i])) continue;
        const std::string& reel = site.runs[site.fixes[i].run].reel;
        const ClockDifference& clocks = std::ranges::find(cameras, reel, &Camera::reel)->clocks;
        if (clocks.verdict == ClockDifference::Verdict::differ) {
            place_anew(site, static_cast<int>(i), clocks);
        }
        const SiteFix& fix = site.fixes[i];
        if (fix.placing == FixPlacing::unplaced) tell_unplaced(site, fix, site.findings);
    }
    return site;
}

}  // namespace sondeline
