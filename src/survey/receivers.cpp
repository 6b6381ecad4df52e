#include "survey/receivers.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace sondeline {

namespace {

std::vector<std::string> named_receivers(const Job& job) {
    std::vector<std::string> names;
    const auto add = [&](const std::string& name) {
        if (!name.empty() && std::ranges::find(names, name) == names.end()) names.push_back(name);
    };
    for (const Structure& structure : job.structures) add(structure.receiver);
    for (const Fix& fix : job.fixes) add(fix.receiver);
    return names;
}

}  // namespace

Receivers::Receivers(const Job& job, Findings& findings) {
    std::vector<std::string> names = named_receivers(job);
    if (!job.settings.receiver_offset_m) {
        if (names.empty()) return;
        Where where;
        where.file = "job";
        where.column = "receiver offset";
        findings.push_back(
            {Severity::info, where,
             "The tables name receivers, but the job does not say how far off all positions of one "
             "may be; they were taken to count from known points.",
             "Give receiver offset (one standard deviation) in the job table, unless the receiver "
             "was checked on a known point."});
        return;
    }
    if (names.empty()) names.emplace_back();
    for (std::string& name : names) {
        all_.push_back({std::move(name), *job.settings.receiver_offset_m});
    }
}

std::optional<int> Receivers::of(const std::string& receiver) const {
    const auto found = std::ranges::find(all_, receiver, &SiteReceiver::name);
    if (found == all_.end()) return std::nullopt;
    return static_cast<int>(found - all_.begin());
}

void share_receivers_of_marks(const std::vector<TieObservation>& ties,
                              std::vector<SiteStructure>& structures) {
    for (std::size_t i = 0; i < structures.size(); ++i) {
        if (!structures[i].how_fixed.starts_with("swing ties")) continue;
        std::optional<int> common;
        bool first = true;
        for (const TieObservation& tie : ties) {
            if (tie.point != static_cast<int>(i) || tie.reference < 0) continue;
            const auto of_mark = structures[static_cast<std::size_t>(tie.reference)].receiver;
            common = first || common == of_mark ? of_mark : std::nullopt;
            first = false;
        }
        structures[i].receiver = common;
    }
}

}  // namespace sondeline
