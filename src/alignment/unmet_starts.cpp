#include "alignment/unmet_starts.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "alignment/unreached_ends.hpp"

namespace sondeline::alignment {
namespace {

constexpr double misses_sd = 3.0;
constexpr double explains = 18.0;
// What holding the start at its own structure may cost: three sd in two dimensions.
constexpr double fits = 11.8;
constexpr double worth_trying_m = 3.0;

bool suffers(const NetworkData& data, const Network& network, std::size_t r) {
    const RunData& run = data.runs[r];
    if (run.starts_elsewhere || !data.nodes[run.from_node].structure) return false;
    if (run.positions.size() < 2) return false;
    return network.state.runs[r].port_m.norm() > misses_sd * run.port_sd_from_m ||
           many_outliers(run, line_of(network, r));
}

// Whether the job still says where the node is when the run no longer meets it.
bool held_without(const NetworkData& data, std::size_t r) {
    const int node = data.runs[r].from_node;
    if (data.nodes[node].surveyed) return true;
    return others_meet_start(data, r);
}

NetworkData with_start_at(NetworkData data, std::size_t r, const Node& node, double port_sd_m) {
    data.runs[r].from_node = static_cast<int>(data.nodes.size());
    data.runs[r].port_sd_from_m = port_sd_m;
    data.runs[r].starts_elsewhere = true;
    data.nodes.push_back(node);
    return data;
}

}  // namespace

NetworkData with_free_start(const NetworkData& data, std::size_t run) {
    return with_start_at(data, run, {}, RunData{}.port_sd_from_m);
}

namespace {

struct Unmet {
    std::size_t run = 0;
    double gain = 0.0;
    std::optional<int> other;  // structure that fits as its start
};

Eigen::Vector2d start_of(const Network& network, std::size_t run) {
    return line_of(network, run).at(0.0);
}

// Whether a position lies no further from a structure than the pipe to it is long, for half of the
// positions at least: cheap, and spares an adjustment for most runs.
bool within_reach(const RunData& run, const Eigen::Vector2d& at) {
    const auto near = std::ranges::count_if(run.positions, [&](const PositionDatum& datum) {
        return (datum.at_m - at).norm() <= datum.x_m + worth_trying_m;
    });
    return 2 * near >= static_cast<std::ptrdiff_t>(run.positions.size());
}

// Structures that the table does not name for the run. Marks are left out: no pipe starts at one.
std::vector<int> other_structures(const Site& site, const RunData& run) {
    std::vector<int> others;
    for (std::size_t s = 0; s < site.structures.size(); ++s) {
        const SiteStructure& structure = site.structures[s];
        const auto index = static_cast<int>(s);
        if (!structure.surveyed || structure.kind == StructureKind::reference) continue;
        if (site.runs[run.run].from == index || site.runs[run.run].to == index) continue;
        others.push_back(index);
    }
    return others;
}

Eigen::Vector2d at_of(const SiteStructure& structure) {
    return {structure.surveyed->at.e_m, structure.surveyed->at.n_m};
}

bool any_within_reach(const Site& site, const RunData& run) {
    return std::ranges::any_of(other_structures(site, run), [&](int structure) {
        return within_reach(run, at_of(site.structures[structure]));
    });
}

// The one structure that the run may start at instead; `free` is the job with a start that nothing
// holds.
std::optional<int> structure_that_fits(const Site& site, const NetworkData& data,
                                       const Network& free, std::size_t r) {
    const Eigen::Vector2d start = start_of(free, r);
    const RunData& run = data.runs[r];
    std::optional<int> found;
    for (const int index : other_structures(site, run)) {
        const SiteStructure& structure = site.structures[index];
        const Eigen::Vector2d at = at_of(structure);
        if ((at - start).norm() > worth_trying_m) continue;
        const PlanCovariance& cov = structure.surveyed->cov;
        Gaussian2 place{at, {}};
        place.covariance_m2 << cov.ee, cov.en, cov.en, cov.nn;
        const NetworkData there =
            with_start_at(data, r, {.surveyed = place}, port_sd_m(structure.kind));
        if (joint_score(adjust_network(there)) > joint_score(free) + fits) continue;
        if (found) return std::nullopt;
        found = index;
    }
    return found;
}

std::optional<Unmet> most_gaining(const Site& site, UnmetStarts which, const NetworkData& data,
                                  const Network& network) {
    std::optional<Unmet> best;
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        if (!suffers(data, network, r) || !held_without(data, r)) continue;
        if (which == UnmetStarts::at_another_structure && !any_within_reach(site, data.runs[r])) {
            continue;
        }
        const NetworkData rest = with_free_start(data, r);
        const Network free = adjust_network(rest);
        const double gain = joint_score(network) - joint_score(free);
        if (gain < std::max(explains, best ? best->gain : 0.0)) continue;
        if (!understood(rest.runs[r], line_of(free, r))) continue;
        if (data.runs[r].to_node && gain_without_end(data, network, r) > gain) continue;
        const std::optional<int> other = structure_that_fits(site, data, free, r);
        if (!other && which == UnmetStarts::at_another_structure) continue;
        best = Unmet{r, gain, other};
    }
    return best;
}

bool has_start_tape(const SiteRun& run) {
    return std::ranges::any_of(run.vertical, [](const VerticalObservation& row) {
        return row.kind == VerticalKind::taped_start;
    });
}

// `off_m`: how far from its structure the run now starts.
Finding finding_of(const Site& site, const SiteRun& run, const Unmet& found, double limit_m,
                   double off_m) {
    const std::string& said = site.structures[*run.from].id.text;
    Where where = at_run(run.id);
    where.file = "runs";
    where.column = "from";
    const std::string used = has_start_tape(run) ? ", and the tape there was not used" : "";
    Finding finding{Severity::problem, where,
                    fmt::format("The start of this run lies {} from {}, where {} at most is "
                                "likely. It was not held to start there{}.",
                                length_words(off_m, site.job_unit), said,
                                length_words(limit_m, site.job_unit), used),
                    "", Consequence::input_rejected};
    if (found.other) {
        const std::string& fitting = site.structures[*found.other].id.text;
        finding.what += fmt::format(" By its fixes it starts at {}.", fitting);
        finding.what_to_do = fmt::format(
            "If it does, write {} under from, with the invert taped there, and process again. Else "
            "look at its counters and fixes.",
            fitting);
    } else {
        finding.what +=
            " Until it is known where it starts, the bounds of its length reach to " + said + ".";
        finding.what_to_do =
            "See which structure the run leaves, what the counter showed with the lens there "
            "(counter at start), and the structure's position.";
    }
    return finding;
}

}  // namespace

void leave_out_unmet_starts(const Site& site, UnmetStarts which, NetworkData& data,
                            Network& network) {
    while (const auto found = most_gaining(site, which, data, network)) {
        const std::size_t r = found->run;
        const int node = data.runs[r].from_node;
        const double limit_m = misses_sd * data.runs[r].port_sd_from_m;
        data = with_free_start(data, r);
        network = adjust_network(data);
        const Eigen::Vector2d there = network.state.shared.segment<2>(shared_of_node(node));
        const double off_m = (start_of(network, r) - there).norm();
        if (!found->other) data.runs[r].start_off_m = off_m;
        data.findings.push_back(
            finding_of(site, site.runs[data.runs[r].run], *found, limit_m, off_m));
    }
}

}  // namespace sondeline::alignment
