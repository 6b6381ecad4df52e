#include <algorithm>
#include <cmath>
#include <memory>

#include <cpl_conv.h>
#include <cpl_string.h>
#include <nlohmann/json.hpp>

#include "deliverables/page/plan_view.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

using nlohmann::json;
namespace fs = std::filesystem;

namespace {

double rounded(double value, double steps_per_unit) {
    return std::round(value * steps_per_unit) / steps_per_unit + 0.0;
}

// RFC 3986: everything but unreserved characters and the slashes between folders is escaped, so
// that any file name is a plain address.
std::string address_of(const fs::path& relative) {
    constexpr std::string_view unreserved =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
    constexpr std::string_view hex = "0123456789ABCDEF";
    std::string address;
    for (const char c : relative.generic_string()) {
        if (unreserved.find(c) != std::string_view::npos) {
            address += c;
            continue;
        }
        const auto byte = static_cast<unsigned char>(c);
        address += '%';
        address += hex[byte / 16U];
        address += hex[byte % 16U];
    }
    return address;
}

std::string in_base64(const std::string& bytes) {
    const std::unique_ptr<char, decltype(&CPLFree)> text(
        CPLBase64Encode(static_cast<int>(bytes.size()),
                        reinterpret_cast<const GByte*>(bytes.data())),
        &CPLFree);
    return text.get();
}

json stills_json(const std::vector<KeyStill>& stills, std::size_t clip) {
    json all = json::array();
    for (const KeyStill& still : stills) {
        if (still.clip != clip) continue;
        all.push_back({{"t", rounded(still.time_s, 1000.0)},
                       {"words", still.words},
                       {"src", "data:image/jpeg;base64," + in_base64(still.jpeg)}});
    }
    return all;
}

json clips_json(const AsBuilt& as_built, const RunMotion& motion,
                const std::vector<KeyStill>& stills, const fs::path& out) {
    json clips = json::array();
    for (std::size_t i = 0; i < motion.clips.size(); ++i) {
        const MotionClip& clip = motion.clips[i];
        json entry{{"name", clip.name},
                   {"start", rounded(clip.start_s, 1000.0)},
                   {"length", rounded(clip.duration_s, 1000.0)},
                   {"stills", stills_json(stills, i)}};
        const auto file = std::ranges::find(as_built.job.footage, clip.name, &FootageFile::name);
        if (file != as_built.job.footage.end()) {
            const fs::path seen_from = fs::absolute(out / "").lexically_normal();
            const fs::path there = fs::absolute(file->path).lexically_normal();
            entry["url"] = address_of(there.lexically_relative(seen_from.parent_path()));
        }
        clips.push_back(std::move(entry));
    }
    return clips;
}

// [time, station], null where nothing was read between two points.
json way_json(const RunMotion& motion) {
    json way = json::array();
    for (const MotionPoint& point : motion.points) {
        if (point.after_gap) way.push_back(nullptr);
        way.push_back({rounded(point.time_s, 1000.0), rounded(point.station_m, 10000.0)});
    }
    return way;
}

json plan_json(const AlignedRun& run, const PlanView& view) {
    json line = json::array();
    for (const LinePoint& point : run.points) {
        line.push_back({rounded(point.station_m, 1000.0), rounded(view.x(point.at), 10.0),
                        rounded(view.y(point.at), 10.0)});
    }
    return line;
}

}  // namespace

std::string script_data(const PageData& page, const std::vector<RunMotion>& motions,
                        const std::vector<std::vector<KeyStill>>& stills, const fs::path& out) {
    const AsBuilt& as_built = page.as_built();
    const PlanView view = plan_view(as_built);
    json runs = json::array();
    for (std::size_t i = 0; i < motions.size(); ++i) {
        const AlignedRun& run = as_built.lines.runs[i];
        runs.push_back({{"id", run.run.id.text},
                        {"clips", clips_json(as_built, motions[i], stills[i], out)},
                        {"way", way_json(motions[i])},
                        {"from_start", motions[i].from_start},
                        {"step", run.run.tick_m},
                        {"length", run.length_m ? json(run.length_m->value) : json()},
                        {"plan", plan_json(run, view)}});
    }
    const json data{{"unit", unit_symbol(page.unit())},
                    {"metres_per_unit", metres_per(page.unit())},
                    {"plan_size", {rounded(view.width_px, 10.0), rounded(view.height_px, 10.0)}},
                    {"runs", std::move(runs)}};
    constexpr auto keep_going = json::error_handler_t::replace;
    std::string text = data.dump(-1, ' ', false, keep_going);
    // No text of the job may end the element or begin one; JSON reads \u003c as "<".
    constexpr std::string_view kEscaped = "\\u003c";
    for (std::size_t at = text.find('<'); at != std::string::npos;
         at = text.find('<', at + kEscaped.size())) {
        text.replace(at, 1, kEscaped);
    }
    return "<script type=\"application/json\" id=\"data\">" + text + "</script>";
}

}  // namespace sondeline
