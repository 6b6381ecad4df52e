#include <algorithm>
#include <cctype>
#include <cmath>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "sondeline/deliverables.hpp"

#include "deliverables/csv_text.hpp"

namespace sondeline {

namespace {

std::string_view unit_words(CounterUnit unit) {
    switch (unit) {
        case CounterUnit::unknown: return "not shown";
        case CounterUnit::metre: return "metres";
        case CounterUnit::foot: return "feet";
        case CounterUnit::feet_and_inches: return "feet and inches, given in decimal feet";
    }
    return "";
}

// A line of comment must stay one line, whatever the file is called.
std::string one_line(std::string text) {
    std::ranges::replace_if(
        text, [](char c) { return c == '\n' || c == '\r'; }, ' ');
    return text;
}

std::string clock_words(const OverlayClock& clock) {
    const auto seconds = static_cast<long>(std::floor(clock.start_s));
    return fmt::format("{:02}:{:02}:{:02}{}{}, sure to {:.1f} s", seconds / 3600, seconds / 60 % 60,
                       seconds % 60, clock.twelve_hour ? " (AM or PM not read)" : "",
                       clock.date.empty() ? "" : " on " + clock.date, clock.bound_s);
}

// What stands in the picture beside the counter.
std::string company_lines(const Track& track) {
    const std::string name = one_line(track.clip.name);
    std::string lines;
    if (track.clock) {
        lines += fmt::format("# {}: the overlay's clock shows {} at the first frame\n", name,
                             clock_words(*track.clock));
    }
    if (track.grade) {
        lines += fmt::format("# {}: an inclination figure was read {} times, unit {}\n", name,
                             track.grade->points.size(), word(track.grade->unit));
    }
    return lines;
}

std::string comment_lines(const Track& track) {
    const std::string name = one_line(track.clip.name);
    if (!track.format) return fmt::format("# {}: no counter found\n", name) + company_lines(track);
    const CounterFormat& format = *track.format;
    return fmt::format(
               "# {0}: counter \"{1}\" in the box x {2}, y {3}, {4} by {5} pixels\n"
               "# {0}: unit {6}, one step of the last digit {7:g}\n"
               "# {0}: {8:.1f} % of the sampled frames read, {9:.1f} % of the digits sure, set to "
               "another "
               "value {10} times\n",
               name, one_line(format.pattern), format.box.x, format.box.y, format.box.width,
               format.box.height, unit_words(format.unit), format.tick(), 100.0 * track.coverage,
               100.0 * format.digits_sure, track.zeroings.size()) +
           company_lines(track);
}

// Feet and inches are not decimal steps: three places show an inch to a hundredth.
int counter_decimals(const CounterFormat& format) {
    return format.unit == CounterUnit::feet_and_inches ? 4 : format.decimals;
}

std::string sample_line(const Track& track, const CounterSample& sample) {
    const std::string counter =
        sample.counter && track.format
            ? fmt::format("{:.{}f}", *sample.counter, counter_decimals(*track.format))
            : "";
    return fmt::format("{},{:.3f},{},{:.4f},{},{}\n", csv_field(track.clip.name), sample.time_s,
                       counter, sample.probability, word(sample.state), csv_field(sample.reason));
}

nlohmann::json box_json(const PixelBox& box) {
    return {box.x, box.y, box.width, box.height};
}

nlohmann::json format_json(const CounterFormat& format) {
    return {{"pattern", format.pattern},
            {"unit", unit_words(format.unit)},
            {"unit_probability", format.unit_probability},
            {"tick", format.tick()},
            {"places", format.integer_cells},
            {"decimals", format.decimals},
            {"point_in_doubt", format.point_in_doubt},
            {"zero_padded", format.zero_padded},
            {"digits_sure", format.digits_sure},
            {"box", box_json(format.box)}};
}

nlohmann::json events_json(const Track& track) {
    using nlohmann::json;
    json holds = json::array();
    for (const Hold& hold : track.holds) {
        holds.push_back({{"from_s", hold.from_s}, {"to_s", hold.to_s}, {"counter", hold.counter}});
    }
    json zeroings = json::array();
    for (const Zeroing& zeroing : track.zeroings) {
        zeroings.push_back({{"time_s", zeroing.time_s},
                            {"from", zeroing.counter_before},
                            {"to", zeroing.counter_after},
                            {"gap_known", zeroing.gap_known}});
    }
    json pulls = json::array();
    for (const PullBack& pull : track.pull_backs) {
        pulls.push_back({{"from_s", pull.from_s},
                         {"to_s", pull.to_s},
                         {"from", pull.from_counter},
                         {"to", pull.to_counter}});
    }
    return {{"holds", holds}, {"zeroings", zeroings}, {"pull_backs", pulls}};
}

// The clock, the inclination figure and whatever else stands in the picture.
nlohmann::json company_json(const Track& track) {
    using nlohmann::json;
    json fields = json::array();
    for (const OverlayField& field : track.other_fields) {
        fields.push_back({{"kind", word(field.kind)}, {"box", box_json(field.box)}});
    }
    json company{{"fields", fields}, {"clock", nullptr}, {"inclination", nullptr}};
    if (track.clock) {
        company["clock"] = {{"start_s_after_midnight", track.clock->start_s},
                            {"bound_s", track.clock->bound_s},
                            {"twelve_hour", track.clock->twelve_hour},
                            {"date", track.clock->date},
                            {"box", box_json(track.clock->box)}};
    }
    if (track.grade) {
        json points = json::array();
        for (const GradePoint& point : track.grade->points) {
            points.push_back({point.time_s, point.counter, point.inclination});
        }
        company["inclination"] = {{"unit", word(track.grade->unit)},
                                  {"box", box_json(track.grade->box)},
                                  {"time_s_counter_inclination", std::move(points)}};
    }
    return company;
}

// What the picture shows of standing water; null without a counter.
nlohmann::json water_json(const Track& track) {
    using nlohmann::json;
    if (!track.water) return nullptr;
    json looks = json::array();
    for (const WaterSample& look : track.water->samples) {
        looks.push_back({{"time_s", look.time_s},
                         {"state", word(look.state)},
                         {"down_rad", look.down_rad},
                         {"share_of_diameter", look.share ? json(*look.share) : json()}});
    }
    json stretches = json::array();
    for (const WaterStretch& stretch : track.water->stretches) {
        json depths = json::array();
        for (const WaterDepth& depth : stretch.depths) {
            depths.push_back({depth.counter, depth.share.value, depth.share.sd});
        }
        stretches.push_back({{"from", stretch.from},
                             {"from_bound", stretch.from_bound},
                             {"from_shore_seen", stretch.from_seen},
                             {"to", stretch.to},
                             {"to_bound", stretch.to_bound},
                             {"to_shore_seen", stretch.to_seen},
                             {"deepest_part_unseen", stretch.deepest_unseen},
                             {"seen_pushing", stretch.pushing},
                             {"seen_retrieving", stretch.retrieving},
                             {"deepest_time_s", stretch.deepest_s},
                             {"counter_share_sd", std::move(depths)}});
    }
    json reaches = json::array();
    for (const WaterReach& reach : track.water->reaches) {
        reaches.push_back({{"from", reach.from},
                           {"to", reach.to},
                           {"sure_share", reach.sure_share ? json(*reach.sure_share) : json()},
                           {"left_open", reach.left_open}});
    }
    return {{"looks", std::move(looks)},
            {"stretches", std::move(stretches)},
            {"looked_along", std::move(reaches)}};
}

// What passes the lens and may be worth a look.
nlohmann::json marks_json(const Track& track) {
    using nlohmann::json;
    json marks = json::array();
    for (const PassingMark& mark : track.marks) {
        marks.push_back({{"what", word(mark.kind)},
                         {"place", mark.counter},
                         {"counter", mark.shown ? json(*mark.shown) : json()},
                         {"time_s", mark.time_s}});
    }
    return marks;
}

nlohmann::json joint_row_json(const Track& track) {
    if (!track.joint_row) return nullptr;
    const JointRow& row = *track.joint_row;
    return {{"spacing", row.spacing.value},
            {"spacing_sd", row.spacing.sd},
            {"from", row.from},
            {"to", row.to},
            {"spaces", row.spaces}};
}

nlohmann::json track_json(const Track& track) {
    using nlohmann::json;
    json clip{{"file", track.clip.name},
              {"sha256", track.clip.sha256},
              {"coverage", track.coverage},
              {"counter", track.format ? format_json(*track.format) : json()},
              {"events", events_json(track)},
              {"overlay", company_json(track)},
              {"water", water_json(track)},
              {"marks", marks_json(track)},
              {"row_of_rings", joint_row_json(track)}};
    json samples = json::array();
    for (const CounterSample& sample : track.samples) {
        samples.push_back({{"time_s", sample.time_s},
                           {"counter", sample.counter ? json(*sample.counter) : json()},
                           {"probability", sample.probability},
                           {"state", word(sample.state)},
                           {"reason", sample.reason}});
    }
    clip["samples"] = std::move(samples);
    json findings = json::array();
    for (const Finding& finding : track.findings) {
        findings.push_back({{"severity", word(finding.severity)},
                            {"what", finding.what},
                            {"what_to_do", finding.what_to_do}});
    }
    clip["findings"] = std::move(findings);
    return clip;
}

}  // namespace

std::string readings_csv(std::span<const Track> tracks) {
    std::string text;
    for (const Track& track : tracks) text += comment_lines(track);
    text += "clip,time_s,counter,probability,state,reason\n";
    for (const Track& track : tracks) {
        for (const CounterSample& sample : track.samples) text += sample_line(track, sample);
    }
    return text;
}

std::string readings_json(std::span<const Track> tracks) {
    nlohmann::json clips = nlohmann::json::array();
    for (const Track& track : tracks) clips.push_back(track_json(track));
    const nlohmann::json all{{"schema", "sondeline-readings/1"}, {"clips", std::move(clips)}};
    return all.dump(1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

std::vector<std::string> file_stems(const std::vector<std::string>& ids) {
    std::vector<std::string> stems;
    std::set<std::string> taken;
    const auto lower = [](std::string text) {
        std::ranges::transform(text, text.begin(),
                               [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
        return text;
    };
    for (const std::string& id : ids) {
        std::string stem = id.substr(0, 100);
        for (char& c : stem) {
            const auto byte = static_cast<unsigned char>(c);
            if (byte >= 128 || (std::isalnum(byte) == 0 && c != '-' && c != '_' && c != '.'))
                c = '_';
        }
        if (stem.find_first_not_of('.') == std::string::npos) stem = "run";
        std::string unique = stem;
        for (int number = 2; !taken.insert(lower(unique)).second; ++number) {
            unique = fmt::format("{}-{}", stem, number);
        }
        stems.push_back(unique);
    }
    return stems;
}

}  // namespace sondeline
