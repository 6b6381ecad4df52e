#include <algorithm>
#include <cctype>
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

std::string comment_lines(const Track& track) {
    const std::string name = one_line(track.clip.name);
    if (!track.format) return fmt::format("# {}: no counter found\n", name);
    const CounterFormat& format = *track.format;
    return fmt::format(
        "# {0}: counter \"{1}\" in the box x {2}, y {3}, {4} by {5} pixels\n"
        "# {0}: unit {6}, one step of the last digit {7:g}\n"
        "# {0}: {8:.1f} % of the sampled frames read, {9:.1f} % of the digits sure, set to another "
        "value {10} times\n",
        name, one_line(format.pattern), format.box.x, format.box.y, format.box.width,
        format.box.height, unit_words(format.unit), format.tick(), 100.0 * track.coverage,
        100.0 * format.digits_sure, track.zeroings.size());
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

nlohmann::json track_json(const Track& track) {
    using nlohmann::json;
    json clip{{"file", track.clip.name},
              {"sha256", track.clip.sha256},
              {"coverage", track.coverage},
              {"counter", nullptr}};
    if (track.format) {
        const CounterFormat& format = *track.format;
        clip["counter"] = {
            {"pattern", format.pattern},
            {"unit", unit_words(format.unit)},
            {"tick", format.tick()},
            {"box", {format.box.x, format.box.y, format.box.width, format.box.height}}};
    }
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
