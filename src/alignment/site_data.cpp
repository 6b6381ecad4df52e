#include "alignment/site_data.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/LU>
#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "alignment/plan_per_pipe.hpp"

namespace sondeline::alignment {
namespace {

constexpr double default_position_sd_m = 0.15;
constexpr double default_heading_sd_rad = 5.0 * degree;
constexpr double most_run_m = 500.0;
constexpr double least_run_m = 0.05;
constexpr double kept_before_start_m = 1.0;
constexpr double kept_beyond_end_m = 0.5;

// The covariance if it can be one, else the default.
std::optional<Eigen::Matrix2d> usable(const PlanCovariance& cov) {
    Eigen::Matrix2d c;
    c << cov.ee, cov.en, cov.en, cov.nn;
    const bool positive = cov.ee > 0.0 && cov.nn > 0.0 && c.determinant() > 0.0;
    if (!c.allFinite() || !positive) return std::nullopt;
    return c;
}

Eigen::Matrix2d default_covariance() {
    return Eigen::Matrix2d::Identity() * (default_position_sd_m * default_position_sd_m);
}

class Reader {
  public:
    explicit Reader(const Site& site) : site_(site) {
        out_.node_of_structure.resize(site.structures.size());
        out_.data_of_run.resize(site.runs.size());
    }

    NetworkData read() {
        name_reels();
        std::vector<std::vector<int>> fixes_of_run(site_.runs.size());
        for (std::size_t i = 0; i < site_.fixes.size(); ++i) sort_fix(i, fixes_of_run);
        for (std::size_t r = 0; r < site_.runs.size(); ++r) {
            if (!fixes_of_run[r].empty()) add_run(r, fixes_of_run[r]);
        }
        for (std::size_t r = 0; r < site_.runs.size(); ++r) add_reel_sticks(r);
        add_ties();
        settle_receivers();
        return std::move(out_);
    }

  private:
    void name_reels() {
        for (const SiteRun& run : site_.runs) {
            const auto found = std::find(out_.reels.begin(), out_.reels.end(), run.reel);
            out_.reel_of_run.push_back(static_cast<int>(found - out_.reels.begin()));
            if (found == out_.reels.end()) out_.reels.push_back(run.reel);
        }
    }

    void leave_out(std::size_t fix, FixUse use, std::string why, std::optional<int> same = {}) {
        out_.left_out.push_back({static_cast<int>(fix), use, same, std::move(why)});
    }

    void sort_fix(std::size_t i, std::vector<std::vector<int>>& fixes_of_run) {
        const SiteFix& fix = site_.fixes[i];
        if (fix.run < 0 || fix.placing == FixPlacing::unplaced || !std::isfinite(fix.x_m)) {
            leave_out(
                i, FixUse::unplaced,
                fix.why_unplaced.empty() ? "No run or station is known for it." : fix.why_unplaced);
            return;
        }
        const SiteRun& run = site_.runs[fix.run];
        const std::optional<double> end = measured_length_m(run);
        if (fix.x_m <= -kept_before_start_m) {
            leave_out(i, FixUse::rejected,
                      fmt::format("Its counter lies {} before the start of run {}.",
                                  length_words(-fix.x_m, site_.job_unit), run.id.text));
        } else if (fix.x_m > (end ? *end + kept_beyond_end_m : most_run_m)) {
            leave_out(i, FixUse::rejected,
                      fmt::format("Its counter lies beyond the end of run {}.", run.id.text));
        } else if (!fix.position && !fix.heading) {
            leave_out(i, FixUse::unplaced, "It has neither a position nor a heading.");
        } else if (const auto same = repeats(fix, fixes_of_run[fix.run])) {
            leave_out(i, FixUse::used,
                      fmt::format("It repeats fix {} and is counted once.", site_.fixes[*same].id),
                      same);
        } else {
            fixes_of_run[fix.run].push_back(static_cast<int>(i));
        }
    }

    std::optional<int> repeats(const SiteFix& fix, const std::vector<int>& earlier) const {
        for (const int i : earlier) {
            const SiteFix& other = site_.fixes[i];
            if (!fix.position || !other.position || fix.x_m != other.x_m) continue;
            if (fix.heading.has_value() != other.heading.has_value()) continue;
            if (fix.heading && fix.heading->rad != other.heading->rad) continue;
            if (fix.position->at.e_m == other.position->at.e_m &&
                fix.position->at.n_m == other.position->at.n_m) {
                return i;
            }
        }
        return std::nullopt;
    }

    int node_for(int structure) {
        std::optional<int>& node = out_.node_of_structure[structure];
        if (node) return *node;
        node = static_cast<int>(out_.nodes.size());
        const SiteStructure& from = site_.structures[structure];
        Node made{.structure = structure, .surveyed = {}};
        if (from.surveyed) {
            const auto covariance = usable(from.surveyed->cov);
            if (!covariance) note_default(at_structure(from.id), "Its position");
            made.surveyed = Gaussian2{{from.surveyed->at.e_m, from.surveyed->at.n_m},
                                      covariance.value_or(default_covariance())};
        }
        if (made.surveyed) made.receiver = from.receiver;
        out_.nodes.push_back(made);
        return *node;
    }

    void note_default(Where where, std::string_view what) {
        out_.findings.push_back(
            {Severity::caution, std::move(where),
             fmt::format("{} has no usable accuracy; {} was assumed (one standard deviation).",
                         what, length_words(default_position_sd_m, site_.job_unit)),
             "State the accuracy of the instrument in column h_accuracy."});
    }

    void add_run(std::size_t r, const std::vector<int>& fixes) {
        const SiteRun& run = site_.runs[r];
        RunData data;
        data.run = static_cast<int>(r);
        data.reel = out_.reel_of_run[r];
        data.plan_factor = site_.frame.scale_factor * plan_per_pipe(run);
        data.likely_bends = run.likely_bends;
        add_fixes(fixes, data);
        const std::optional<double> length = measured_length_m(run);
        data.length_measured = length.has_value();
        data.x_end_m = length.value_or(last_station_m(data));
        if (data.x_end_m < least_run_m) {
            for (const int i : fixes) {
                leave_out(i, FixUse::unplaced,
                          fmt::format("Run {} has no length to place it along.", run.id.text));
            }
            return;
        }
        std::erase_if(data.likely_bends, [&](const LikelyBend& likely) {
            return !(likely.x_m >= bend_clear_of_start_m &&
                     likely.x_m <= data.x_end_m - bend_clear_of_end_m);
        });
        join_ends(run, data);
        data.sticks = sticks_of(run);
        if (run.start_heading) {
            const double sd = run.start_heading_sd_rad;
            data.start_heading =
                StartHeading{run.start_heading->rad, sd > 0.0 ? sd : default_heading_sd_rad};
        }
        out_.data_of_run[r] = static_cast<int>(out_.runs.size());
        out_.runs.push_back(std::move(data));
    }

    void add_reel_sticks(std::size_t r) {
        const auto sticks = sticks_of(site_.runs[r]);
        if (sticks && !out_.data_of_run[r]) {
            out_.reel_sticks.push_back({out_.reel_of_run[r], *sticks});
        }
    }

    static double last_station_m(const RunData& data) {
        double last = 0.0;
        for (const PositionDatum& datum : data.positions) last = std::max(last, datum.x_m);
        for (const HeadingDatum& datum : data.headings) last = std::max(last, datum.x_m);
        return last;
    }

    void join_ends(const SiteRun& run, RunData& data) {
        if (run.from) {
            data.from_node = node_for(*run.from);
            data.port_sd_from_m = port_sd_m(site_.structures[*run.from].kind);
        } else {
            data.from_node = static_cast<int>(out_.nodes.size());
            out_.nodes.push_back({});
        }
        if (!run.to || run.to == run.from || !data.length_measured) return;
        if (run.stops_short) return;
        data.to_node = node_for(*run.to);
        data.port_sd_to_m = port_sd_m(site_.structures[*run.to].kind);
    }

    void add_fixes(const std::vector<int>& fixes, RunData& data) {
        for (const int i : fixes) {
            const SiteFix& fix = site_.fixes[i];
            if (fix.position) data.positions.push_back(position_of(i));
            if (!fix.heading) continue;
            const double sd = fix.heading_sd_rad;
            data.headings.push_back({.fix = i,
                                     .x_m = fix.x_m,
                                     .heading_rad = fix.heading->rad,
                                     .sd_rad = sd > 0.0 ? sd : default_heading_sd_rad});
        }
        const auto by_station = [](const auto& a, const auto& b) { return a.x_m < b.x_m; };
        std::stable_sort(data.positions.begin(), data.positions.end(), by_station);
        std::stable_sort(data.headings.begin(), data.headings.end(), by_station);
    }

    PositionDatum position_of(int i) {
        const SiteFix& fix = site_.fixes[i];
        const auto stated = usable(fix.position->cov);
        if (!stated) note_default(where_is(fix.source), "This fix");
        PositionDatum datum;
        datum.fix = i;
        datum.x_m = fix.x_m;
        datum.at_m = {fix.position->at.e_m, fix.position->at.n_m};
        datum.stated_m2 = stated.value_or(default_covariance());
        if (fix.station_sd_m > 0.0) datum.station_sd_m = fix.station_sd_m;
        add_reading_error(datum, std::nullopt);
        datum.stated_m = stated ? fix.h_sd_stated_m : default_position_sd_m;
        use_variance_factor(datum, 1.0);
        return datum;
    }

    // Each run's offset is that of the receiver which took most of its positions. Until here
    // indices are those of Site::receivers.
    void settle_receivers() {
        std::vector<std::optional<int>> seen;  // of every position that takes part
        for (const Node& node : out_.nodes) {
            if (node.surveyed) seen.push_back(node.receiver);
        }
        for (const RunData& run : out_.runs) {
            for (const PositionDatum& datum : run.positions) {
                seen.push_back(site_.fixes[datum.fix].receiver);
            }
        }
        const bool one = !seen.empty() && std::all_of(seen.begin(), seen.end(), [&](const auto& r) {
            return r == seen.front();
        });
        if (one) {
            if (seen.front()) out_.common_offset_m = site_.receivers[*seen.front()].offset_sd_m;
            for (Node& node : out_.nodes) node.receiver.reset();
            return;
        }
        for (const SiteReceiver& receiver : site_.receivers) {
            out_.receivers_m.push_back(receiver.offset_sd_m);
        }
        for (RunData& run : out_.runs) share_offset(run);
    }

    void share_offset(RunData& run) const {
        std::vector<int> taken(site_.receivers.size(), 0);
        for (const PositionDatum& datum : run.positions) {
            if (const auto& receiver = site_.fixes[datum.fix].receiver) ++taken[*receiver];
        }
        const auto most = std::max_element(taken.begin(), taken.end());
        if (most == taken.end() || *most == 0) return;
        run.receiver = static_cast<int>(most - taken.begin());
        for (PositionDatum& datum : run.positions) {
            const auto& receiver = site_.fixes[datum.fix].receiver;
            datum.shares_offset = receiver == run.receiver;
            if (!receiver || datum.shares_offset) continue;
            // A second receiver on the same run: its offset goes into each of its positions.
            const double sd = site_.receivers[*receiver].offset_sd_m;
            datum.stated_m2 += sd * sd * Eigen::Matrix2d::Identity();
            add_reading_error(datum, std::nullopt);
            use_variance_factor(datum, 1.0);
        }
    }

    void add_ties() {
        for (const TieObservation& tie : site_.ties) {
            if (tie.point < 0 || tie.reference < 0 || tie.point == tie.reference) continue;
            if (fixed_by_tapes(site_.structures[tie.point])) continue;
            if (!out_.node_of_structure[tie.point]) continue;  // no run meets there
            if (!(tie.distance_m.value > 0.0) || !(tie.distance_m.sd > 0.0)) continue;
            const bool known = site_.structures[tie.reference].surveyed.has_value();
            if (!known && !out_.node_of_structure[tie.reference]) continue;
            const double k = site_.frame.scale_factor;
            out_.ties.push_back({.point = *out_.node_of_structure[tie.point],
                                 .reference = node_for(tie.reference),
                                 .distance_m = k * tie.distance_m.value,
                                 .sd_m = k * tie.distance_m.sd});
        }
    }

    const Site& site_;
    NetworkData out_;
};

}  // namespace

NetworkData observed_on(const Site& site) {
    return Reader(site).read();
}

std::optional<StickScale> sticks_of(const SiteRun& run) {
    const auto& scale = run.scale_by_sticks;
    if (!scale || !(scale->value > 0.0) || !(scale->sd > 0.0)) return std::nullopt;
    return StickScale{std::log(scale->value), scale->sd / scale->value};
}

std::optional<double> measured_length_m(const SiteRun& run) {
    if (!run.counter_length_m) return std::nullopt;
    const double length = *run.counter_length_m;
    if (!(length > least_run_m) || !(length <= most_run_m)) return std::nullopt;
    return length;
}

double port_sd_m(StructureKind kind) {
    switch (kind) {
        case StructureKind::building:
        case StructureKind::cleanout:
        case StructureKind::tank:
        case StructureKind::junction:
        case StructureKind::trench_end:
        case StructureKind::reference: return 0.05;
        case StructureKind::pump_chamber:
        case StructureKind::seepage_pit: return 0.5;
        case StructureKind::distribution_box:
        case StructureKind::drop_box:
        case StructureKind::other: break;
    }
    return 0.20;
}

bool fixed_by_tapes(const SiteStructure& structure) {
    return structure.surveyed && structure.how_fixed.starts_with("swing ties");
}

}  // namespace sondeline::alignment
