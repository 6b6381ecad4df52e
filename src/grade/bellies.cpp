#include "grade/bellies.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "grade/phrases.hpp"
#include "grade/pipe_size.hpp"
#include "grade/ponding.hpp"
#include "grade/tell_bellies.hpp"

namespace sondeline::grade {

namespace {

constexpr double kRowFrom = 0.8;
constexpr double kSuspectedFrom = 0.5;
constexpr double kBeside_m = 1.0;
// No pipe sags in just the shapes and places that are tried, and its bedding is uneven: what that
// leaves open of a pond's depth, as a share of it (set by grade_bench) and beside it.
constexpr double kShape = 0.10;
// A depth of water judged by eye (common practice, no source).
constexpr double kByEye = 0.5;

using Index = Eigen::Index;

Downstream downstream(const Flow& flow) {
    if (flow.level || flow.in_question) return Downstream::either;
    return flow.with_push ? Downstream::at_end : Downstream::at_start;
}

Eigen::MatrixXd ponded_samples(const Samples& samples, Downstream where) {
    Eigen::MatrixXd depth(samples.z_m.rows(), samples.z_m.cols());
    for (Index k = 0; k < samples.count(); ++k) {
        depth.col(k) = ponded_depth_m(samples.z_m.col(k), where);
    }
    return depth;
}

std::vector<Span> likely_spans(const Eigen::MatrixXd& depth) {
    std::vector<Span> spans;
    bool open = false;
    for (Index i = 0; i < depth.rows(); ++i) {
        const Index wet = (depth.row(i).array() >= kPond_m).count();
        if (2 * wet < depth.cols()) {
            open = false;
            continue;
        }
        if (!open) spans.push_back({i, i});
        spans.back().last = i;
        open = true;
    }
    return spans;
}

double share_wet(const Eigen::MatrixXd& depth, const Span& span) {
    const auto rows = depth.middleRows(span.first, span.last - span.first + 1);
    const Index wet = (rows.colwise().maxCoeff().array() >= kPond_m).count();
    // So many samples cannot tell a probability from 1 more closely than this.
    const auto samples = static_cast<double>(depth.cols());
    return std::min(static_cast<double>(wet) / samples, 1.0 - 1.0 / samples);
}

bool is_supported(const Analysis& analysis, double from_m, double to_m) {
    int rows = 0;
    for (const Row& row : analysis.screening.used) {
        if (is_water(row)) {
            const double far_m = *row.less_at_m;
            if (std::max(row.station_m, far_m) >= from_m &&
                std::min(row.station_m, far_m) <= to_m) {
                return true;
            }
        } else if (is_level_log(row)) {
            if (*row.less_at_m >= from_m && row.station_m <= to_m) ++rows;
        } else if (row.station_m >= from_m - kBeside_m && row.station_m <= to_m + kBeside_m) {
            ++rows;
        }
    }
    return rows >= 2;
}

// Bounds that leave room for one more error of this sd.
Bounded widened(const Bounded& bounded, double sd) {
    const auto side = [&](double end) { return std::hypot(end - bounded.value, normal_95 * sd); };
    return {bounded.value, std::max(0.0, bounded.value - side(bounded.lo95)),
            bounded.value + side(bounded.hi95)};
}

Pond measure_pond(const Analysis& analysis, const Samples& samples, const Eigen::MatrixXd& depth,
                  const Span& span, const std::optional<double>& bore_m) {
    Pond pond;
    pond.from_m = samples.stations_m[static_cast<std::size_t>(span.first)];
    pond.to_m = samples.stations_m[static_cast<std::size_t>(span.last)];
    pond.ends = ends_of_pond(samples, depth, span);
    pond.probability = share_wet(depth, span);
    pond.supported = is_supported(analysis, pond.from_m, pond.to_m);
    std::vector<double> deepest;
    std::vector<double> litres;
    // The water reaches past the stretch that is wet in half of the samples.
    const Span wide{std::max<Index>(0, span.first - 1),
                    std::min<Index>(depth.rows() - 1, span.last + 1)};
    for (Index k = 0; k < depth.cols(); ++k) {
        const auto column = depth.col(k);
        deepest.push_back(column.segment(span.first, span.last - span.first + 1).maxCoeff());
        if (bore_m) {
            litres.push_back(ponded_volume_l(column, wide, {*bore_m}, analysis.spacing_m()));
        }
    }
    pond.depth_m = median_and_bounds(deepest);
    const double shape_m =
        std::hypot(std::numbers::sqrt2 * kBeddingSd_m, kShape * pond.depth_m.value);
    if (bore_m) {
        pond.volume_l = median_and_bounds(litres);
        // A segment of a circle grows with the power 1.5 of its depth.
        const double share = pond.depth_m.value > 0.0 ? shape_m / pond.depth_m.value : 1.0;
        pond.volume_l = widened(*pond.volume_l, 1.5 * share * pond.volume_l->value);
    }
    pond.depth_m = widened(pond.depth_m, shape_m);
    return pond;
}

std::optional<double> bore_m(const SiteRun& run) {
    if (!run.diameter_m || !(*run.diameter_m > 0.0)) return std::nullopt;
    return inside_diameter_m({*run.diameter_m, run.material});
}

// Litres between shores that were seen, of water whose deepest place is known within its bounds:
// V-shaped at least, flat at most.
Bounded between_shores_l(double bore, const Belly& belly) {
    const double length_m = belly.to_m - belly.from_m;
    const auto litres = [&](double deepest_m, BellyShape shape) {
        return belly_volume_l({bore}, {length_m, deepest_m}, shape);
    };
    return {litres(belly.depth_m->value, BellyShape::parabolic),
            litres(belly.depth_m->lo95, BellyShape::v_shaped),
            litres(belly.depth_m->hi95, BellyShape::flat)};
}

bool overlaps(const Pond& pond, const Water& water) {
    return pond.from_m <= water.to_m.value_or(water.from_m) && pond.to_m >= water.from_m;
}

// The ponds of the profile, and of what it would be without some of the witnesses.
struct PondsBy {
    std::vector<Pond> all;
    std::vector<Pond> depths;     // by depths and tapes alone
    std::vector<Pond> and_level;  // and the camera's level
};

PondsBy ponds_by(const AlignedRun& run, const Analysis& analysis) {
    PondsBy ponds;
    ponds.all = find_ponds(analysis, *analysis.samples, bore_m(run.run));
    const auto of = [&](const std::optional<Samples>& samples, const std::vector<Pond>& otherwise) {
        return samples ? find_ponds(analysis, *samples, std::nullopt) : otherwise;
    };
    ponds.depths = of(analysis.samples_of_depths, ponds.all);
    const bool level = std::ranges::any_of(analysis.screening.used, is_level_log);
    ponds.and_level = of(analysis.samples_without_water, level ? ponds.all : ponds.depths);
    return ponds;
}

// The most probable of the ponds that lie where the belly does.
double probability_there(const std::vector<Pond>& ponds, const Belly& belly) {
    double best = 0.0;
    for (const Pond& pond : ponds) {
        if (pond.supported && pond.from_m <= belly.to_m && pond.to_m >= belly.from_m) {
            best = std::max(best, pond.probability);
        }
    }
    return best;
}

Belly profile_belly(const Pond& pond, LengthUnit unit) {
    Belly belly;
    belly.from_m = pond.from_m;
    belly.to_m = pond.to_m;
    belly.from_bounds_m = pond.ends.from_m;
    belly.to_bounds_m = pond.ends.to_m;
    belly.depth_m = pond.depth_m;
    belly.volume_l = pond.volume_l;
    belly.probability = figure(pond.probability);
    belly.evidence = {Witness::profile};
    belly.words = "Profile: " + pond_words(pond, unit) + ".";
    return belly;
}

std::vector<Witness> witnesses_of(const Water& water) {
    if (water.note.empty()) return {water.witness};
    return {water.witness, Witness::note};
}

std::string water_words(const Water& water) {
    const char* who = water.witness == Witness::note ? "Note" : "Footage";
    std::string words =
        fmt::format("{}: {}.", who, water.words.empty() ? "standing water" : water.words);
    if (water.deepest_unseen && !water.deepest_share) {
        words +=
            " How high the camera rides could not be seen, so its depth is not told: measure it "
            "with a stick from the nearest lid.";
    } else if (water.deepest_unseen) {
        words +=
            " How deep it is at most was not seen: its deepest part lay too near the lens, over it "
            "or beyond the look, or pushing and drawing back do not agree.";
    } else if (water.deepest_share) {
        words += fmt::format(" Deepest about {:.0f} % of the inside diameter.",
                             100.0 * *water.deepest_share);
    }
    if (!water.from_seen || !water.to_seen) {
        words +=
            " The water reaches back from where it was last seen: a sag, or a blockage "
            "downstream; this cannot tell.";
    }
    return water.note.empty() ? words : words + " Note: " + water.note + ".";
}

std::string why_not_told(const Analysis& analysis, const GradedRun& graded) {
    if (!analysis.samples) return analysis.why_no_profile.reason;
    if (!is_height(graded.z_reference)) return "No ground elevations are known along this run.";
    for (const DetectionLimit& limit : graded.limits) {
        if (limit.sag_m) {
            return fmt::format("The depths of this run need not show a sag under {} over {}.",
                               height_words(*limit.sag_m, analysis.rows.unit),
                               station_words(limit.width_m, analysis.rows.unit));
        }
    }
    return "The depths of this run lie too far apart to show a sag.";
}

Belly water_belly(const AlignedRun& run, const Analysis& analysis, const GradedRun& graded,
                  const Water& water) {
    Belly belly;
    belly.from_m = water.from_m;
    belly.to_m = water.to_m.value_or(water.from_m);
    const Ends ends = ends_of_water(water, analysis.rows.length_m);
    belly.from_bounds_m = ends.from_m;
    belly.to_bounds_m = ends.to_m;
    belly.evidence = witnesses_of(water);
    belly.words = water_words(water);
    belly.probability.withheld = {why_not_told(analysis, graded),
                                  "Tape or level the invert at both shores and in the middle of "
                                  "the water."};
    if (!water.depth_m) return belly;
    const double depth_m = *water.depth_m;
    const double off_m = water.depth_sd_m ? normal_95 * *water.depth_sd_m : kByEye * depth_m;
    belly.depth_m = Bounded{depth_m, std::max(0.0, depth_m - off_m), depth_m + off_m};
    const auto bore = bore_m(run.run);
    if (bore && water.to_m) belly.volume_l = between_shores_l(*bore, belly);
    return belly;
}

void add_witness(Belly& belly, const Water& water, double length_m) {
    for (const Witness witness : witnesses_of(water)) {
        if (std::ranges::find(belly.evidence, witness) == belly.evidence.end()) {
            belly.evidence.push_back(witness);
        }
    }
    // The ends of the larger water are those of the whole.
    const Ends ends = ends_of_water(water, length_m);
    if (water.from_m < belly.from_m) {
        belly.from_m = water.from_m;
        belly.from_bounds_m = ends.from_m;
    }
    if (water.to_m && *water.to_m > belly.to_m) {
        belly.to_m = *water.to_m;
        belly.to_bounds_m = ends.to_m;
    }
    belly.words += " " + water_words(water);
}

bool level_reaches(const Analysis& analysis, const Belly& belly) {
    return std::ranges::any_of(analysis.screening.used, [&](const Row& row) {
        return is_level_log(row) && row.station_m <= belly.to_m && *row.less_at_m >= belly.from_m;
    });
}

// One belly of everything that lies on one pond.
Belly joint_belly(const AlignedRun& run, const Analysis& analysis, const PondsBy& ponds,
                  const Pond& pond, const std::vector<const Water*>& waters) {
    Belly belly = profile_belly(pond, analysis.rows.unit);
    const bool level = level_reaches(analysis, belly);
    if (waters.empty() && !level) return belly;
    if (!waters.empty() && waters.front()->to_m) {
        // Shores that were seen are better than those of the profile.
        belly.from_m = waters.front()->from_m;
        belly.to_m = *waters.front()->to_m;
        const Ends ends = ends_of_water(*waters.front(), analysis.rows.length_m);
        belly.from_bounds_m = ends.from_m;
        belly.to_bounds_m = ends.to_m;
        const auto bore = bore_m(run.run);
        if (bore) belly.volume_l = between_shores_l(*bore, belly);
    }
    belly.evidence.clear();
    const std::string_view others = !level           ? "and water"
                                    : waters.empty() ? "and the camera's level"
                                                     : "the camera's level and water";
    belly.words = fmt::format("Profile{} {} together: {}.", level && !waters.empty() ? "," : "",
                              others, pond_words(pond, analysis.rows.unit));
    const double by_depths =
        analysis.samples_of_depths ? probability_there(ponds.depths, belly) : pond.probability;
    if (by_depths >= kRowFrom) belly.evidence.push_back(Witness::profile);
    if (level && probability_there(ponds.and_level, belly) >= kRowFrom) {
        belly.evidence.push_back(Witness::level_log);
    }
    if (analysis.samples_of_depths) {
        belly.words += by_depths > 0.0
                           ? fmt::format(" Depths alone: probability {:.2f}.", by_depths)
                           : std::string(" Depths alone: would not show it.");
    }
    for (const Water* water : waters) add_witness(belly, *water, analysis.rows.length_m);
    return belly;
}

// A sag that one depth alone carries, where the pond lies.
const ShownSag* carried_by_one(const Analysis& analysis, const Pond& pond) {
    const auto sag = std::ranges::find_if(analysis.sags->shown, [&](const ShownSag& shown) {
        return shown.carried_by && shown.from_m() <= pond.to_m && shown.to_m() >= pond.from_m;
    });
    return sag == analysis.sags->shown.end() ? nullptr : &*sag;
}

}  // namespace

std::vector<Pond> find_ponds(const Analysis& analysis, const Samples& samples,
                             const std::optional<double>& bore) {
    std::vector<Pond> ponds;
    const Eigen::MatrixXd depth = ponded_samples(samples, downstream(analysis.flow));
    for (const Span& span : likely_spans(depth)) {
        ponds.push_back(measure_pond(analysis, samples, depth, span, bore));
    }
    return ponds;
}

void add_bellies(const AlignedRun& run, const Analysis& analysis, GradedRun& graded,
                 Findings& findings) {
    if (analysis.flow.pumped) return;  // it stands full
    PondsBy ponds;
    if (analysis.samples && is_height(graded.z_reference) && run.run.kind != RunKind::trench) {
        ponds = ponds_by(run, analysis);
    }
    // Ground that was only assumed level makes a pond of a pipe that follows the real one.
    const bool assumed = graded.z_reference == ZReference::assumed_level_ground;
    // And ends that may each hang too high or too low make one of a run that may not even fall.
    const bool tilted = !graded.slope && (analysis.rows.tapes_look_exchanged ||
                                          analysis.rows.heights_look_exchanged);
    std::vector<bool> told(analysis.rows.waters.size(), false);
    std::vector<Pond> reported;
    for (const Pond& pond : ponds.all) {
        const bool row = pond.probability >= kRowFrom && pond.supported && !assumed && !tilted &&
                         !carried_by_one(analysis, pond);
        std::vector<const Water*> waters;
        for (std::size_t w = 0; row && w < told.size(); ++w) {
            if (told[w] || !overlaps(pond, analysis.rows.waters[w])) continue;
            told[w] = true;
            waters.push_back(&analysis.rows.waters[w]);
        }
        if (row) graded.bellies.push_back(joint_belly(run, analysis, ponds, pond, waters));
        // Where water was seen there is a belly to tell of, and no more to suspect.
        const bool seen = std::ranges::any_of(
            analysis.rows.waters, [&](const Water& water) { return overlaps(pond, water); });
        if (!row && !seen && !tilted && pond.probability >= kSuspectedFrom)
            find_suspected(run, analysis, pond, carried_by_one(analysis, pond), findings);
        if (pond.probability >= kSuspectedFrom) reported.push_back(pond);
    }
    for (std::size_t w = 0; w < told.size(); ++w) {
        if (!told[w]) {
            graded.bellies.push_back(water_belly(run, analysis, graded, analysis.rows.waters[w]));
        }
    }
    std::ranges::stable_sort(graded.bellies, {}, &Belly::from_m);
    for (const Belly& belly : graded.bellies) find_belly(run, belly, analysis.rows.unit, findings);
    find_dips(run, analysis, reported, findings);
}

}  // namespace sondeline::grade
