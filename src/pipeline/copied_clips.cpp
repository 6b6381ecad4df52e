#include "pipeline/copied_clips.hpp"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

namespace sondeline {

namespace {

struct NamedClip {
    std::string clip;
    std::string run;
};

// By content, the clips that runs name.
std::map<std::string, std::vector<NamedClip>> clips_by_content(const std::vector<Track>& tracks,
                                                               const Job& job) {
    std::map<std::string, std::vector<NamedClip>> clips;
    for (const Run& run : job.runs) {
        for (const std::string& name : run.footage) {
            const auto file = std::ranges::find(job.footage, name, &FootageFile::name);
            if (file == job.footage.end()) continue;
            const auto index = static_cast<std::size_t>(file - job.footage.begin());
            const std::string& sha256 = tracks[index].clip.sha256;
            if (!sha256.empty()) clips[sha256].push_back({name, run.id.text});
        }
    }
    return clips;
}

}  // namespace

void leave_out_copied_clips(const std::vector<Track>& tracks, Job& job, RunTracks& joined) {
    std::map<std::string, NamedClip> twin_of;  // of a run, in another run
    for (const auto& [sha256, clips] : clips_by_content(tracks, job)) {
        for (const NamedClip& clip : clips) {
            const auto other = std::ranges::find_if(
                clips, [&](const NamedClip& one) { return one.run != clip.run; });
            if (other != clips.end()) twin_of.emplace(clip.run, *other);
        }
    }
    for (Run& run : job.runs) {
        const auto twin = twin_of.find(run.id.text);
        if (twin == twin_of.end()) continue;
        Where where = where_is(run.source);
        where.column = "footage";
        where.run = run.id.text;
        job.findings.push_back(
            {Severity::problem, where,
             fmt::format("Footage of this run is the same recording, to the byte, as {} of run {}. "
                         "It shows one of them at most, so that no footage of this run was used.",
                         twin->second.clip, twin->second.run),
             "Look which pipe it shows, and copy the other clip from the recorder again.",
             Consequence::run_not_measured});
        joined.erase(run.id);
        run.footage.clear();
    }
}

}  // namespace sondeline
