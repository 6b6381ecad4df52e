#include <fmt/format.h>

#include "sondeline/deliverables.hpp"

#include "deliverables/csv_text.hpp"

namespace sondeline {

namespace {

constexpr std::string_view kCautions =
    "# Depth of standing water as a share of the inside diameter, read from the picture: the "
    "water's shores on the pipe's circle.\n"
    "# Measured on rendered footage only; look at the clip before anything is dug or told.\n";

// Seen one way only it is a place to look at, no more.
std::string_view claim_of(const WaterStretch& stretch) {
    if (stretch.pushing && stretch.retrieving) return "water stands";
    return stretch.pushing ? "what looks like standing water, seen while pushing in only,"
                           : "what looks like standing water, seen while drawing back only,";
}

std::string_view depth_comment(const WaterStretch& stretch) {
    if (stretch.depths.empty()) return "; how high the camera rides was not seen: no depths";
    return stretch.deepest_unseen ? "; how deep it is at most was not seen" : "";
}

std::string stretch_comment(const Track& track, const WaterStretch& stretch) {
    return fmt::format(
        "# {}: {} from {:.2f} (within {:.2f}{}) to {:.2f} (within {:.2f}{})"
        "{}\n",
        csv_field(track.clip.name), claim_of(stretch), stretch.from, stretch.from_bound,
        stretch.from_seen ? "" : ", its shore was not seen", stretch.to, stretch.to_bound,
        stretch.to_seen ? "" : ", its shore was not seen", depth_comment(stretch));
}

}  // namespace

std::string water_csv(std::span<const Track> tracks) {
    std::string comments;
    std::string rows;
    for (const Track& track : tracks) {
        if (!track.water) continue;
        for (const WaterStretch& stretch : track.water->stretches) {
            comments += stretch_comment(track, stretch);
            for (const WaterDepth& depth : stretch.depths) {
                rows += fmt::format("{},{:.2f},{:.3f},{:.3f}\n", csv_field(track.clip.name),
                                    depth.counter, depth.share.value, depth.share.sd);
            }
        }
    }
    if (comments.empty()) return {};
    return std::string(kCautions) + comments + "clip,counter,share_of_diameter,sd\n" + rows;
}

}  // namespace sondeline
