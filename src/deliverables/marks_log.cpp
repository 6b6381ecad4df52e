#include <fmt/format.h>

#include "sondeline/deliverables.hpp"

#include "deliverables/csv_text.hpp"

namespace sondeline {

namespace {

// Figures of judged clips, docs/passing-marks.md.
constexpr std::string_view kHead =
    "# Places to look at that the picture shows by itself; no judgement of the pipe, and many are "
    "missed.\n"
    "# counter: as the picture shows it; place: of the mark, the counter made continuous.\n"
    "# On rendered footage 42 of 49 rings lay within 0.06 m of a joint, 6 of 6 turns within 0.4 m "
    "of a fitting,\n"
    "# 7 of 7 changes of light within 0.6 m of one.\n"
    "# Look at the clip before anything is dug or told.\n";

}  // namespace

std::string marks_csv(std::span<const Track> tracks) {
    std::string comments;
    std::string rows;
    for (const Track& track : tracks) {
        for (const PassingMark& mark : track.marks) {
            rows += fmt::format("{},{:.3f},{},{:.2f},{}\n", csv_field(track.clip.name), mark.time_s,
                                mark.shown ? fmt::format("{:.2f}", *mark.shown) : "", mark.counter,
                                word(mark.kind));
        }
        if (!track.joint_row) continue;
        const JointRow& row = *track.joint_row;
        comments += fmt::format(
            "# {}: dark rings every {:.3f} by the counter (one standard deviation {:.3f}), {} "
            "spaces between {:.2f} and {:.2f}\n",
            csv_field(track.clip.name), row.spacing.value, row.spacing.sd, row.spaces, row.from,
            row.to);
    }
    if (rows.empty()) return {};
    return std::string(kHead) + comments + "clip,time_s,counter,place,what\n" + rows;
}

}  // namespace sondeline
