#include "alignment/doubted_positions.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "alignment/unmet_starts.hpp"
#include "alignment/unreached_ends.hpp"

namespace sondeline::alignment {
namespace {

constexpr int fewest_outliers = 3;
constexpr double outlier_share = 0.25;
constexpr double misses_sd = 3.0;
constexpr double explains = 30.0;
constexpr double more_than_others = 15.0;
constexpr double tape_fits_sd = 3.0;
constexpr double runs_sd_m = 0.3;  // how well runs place a structure, for words only

bool meets(const RunData& run, std::size_t node) {
    const auto index = static_cast<int>(node);
    return run.from_node == index || run.to_node == index;
}

struct Outliers {
    int count = 0;
    int of = 0;
};

// Positions more probably outliers than not, of the runs that meet a node.
Outliers outliers_at(const Network& network, const NetworkData& data, std::size_t node) {
    Outliers found;
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        if (!meets(data.runs[r], node)) continue;
        const RunLine line(network.state.runs[r], place_of(network.problem, network.state, r));
        for (const PositionDatum& datum : data.runs[r].positions) {
            ++found.of;
            found.count += state_of(datum, line).outlier_probability > 0.5 ? 1 : 0;
        }
    }
    return found;
}

// A run that meets the node ends further from it than a pipe lies from a structure.
bool end_misses(const Network& network, const NetworkData& data, std::size_t node) {
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const RunData& run = data.runs[r];
        const RunModel& model = network.state.runs[r];
        const RunPlace place = place_of(network.problem, network.state, r);
        const auto index = static_cast<int>(node);
        if (run.from_node == index && model.port_m.norm() > misses_sd * run.port_sd_from_m) {
            return true;
        }
        const Eigen::Vector2d off = RunLine(model, place).at(run.x_end_m) - place.to_m;
        if (run.to_node == index && off.norm() > misses_sd * run.port_sd_to_m) return true;
    }
    return false;
}

std::ptrdiff_t runs_at(const NetworkData& data, std::size_t node) {
    return std::ranges::count_if(data.runs, [&](const RunData& run) { return meets(run, node); });
}

// A single run that ends elsewhere may not have got there, or meets another structure.
bool suffers(const Network& network, const NetworkData& data, std::size_t node) {
    const Outliers outliers = outliers_at(network, data, node);
    return (outliers.count >= fewest_outliers && outliers.count >= outlier_share * outliers.of) ||
           (runs_at(data, node) >= 2 && end_misses(network, data, node));
}

bool surveyed(const Node& node) {
    return node.structure && node.surveyed;
}

NetworkData without(NetworkData data, std::size_t node) {
    data.nodes[node].surveyed.reset();
    data.nodes[node].receiver.reset();
    data.nodes[node].doubted = true;
    return data;
}

struct Culprit {
    std::size_t node = 0;
    double gain = 0.0;
};

double gain(const Network& before, const NetworkData& other) {
    return joint_score(before) - joint_score(adjust_network(other));
}

// Where others meet as well, one start left free explains as much; bends count on both sides, as
// they may stand in for either.
bool one_start_explains(const Network& network, const NetworkData& data, std::size_t node) {
    if (runs_at(data, node) < 2) return false;
    const double as_much = gain(network, without(data, node)) - more_than_others;
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        if (data.runs[r].from_node != static_cast<int>(node)) continue;
        if (gain(network, with_free_start(data, r)) > as_much) return true;
    }
    return false;
}

// A single run that ends elsewhere explains as much: that is told of the run (unreached_ends.hpp).
bool one_end_explains(const Network& network, const NetworkData& data, const Culprit& found) {
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        if (data.runs[r].to_node != static_cast<int>(found.node)) continue;
        if (gain_without_end(data, network, r) > found.gain - more_than_others) return true;
    }
    return false;
}

// The structure without which the rest agrees best, if no other does nearly as well.
std::optional<Culprit> culprit(const NetworkData& data, const Network& network) {
    const double cost = mixture_cost(network);
    Culprit best;
    double second = 0.0;
    for (std::size_t i = 0; i < data.nodes.size(); ++i) {
        if (!surveyed(data.nodes[i]) || runs_at(data, i) == 0) continue;
        const NetworkData other = without(data, i);
        const double gain = cost - mixture_cost(adjust_network(other));
        if (gain > best.gain) {
            second = best.gain;
            best = {i, gain};
        } else {
            second = std::max(second, gain);
        }
    }
    if (best.gain < explains || best.gain < second + more_than_others ||
        !suffers(network, data, best.node) || one_end_explains(network, data, best) ||
        one_start_explains(network, data, best.node)) {
        return std::nullopt;
    }
    return best;
}

Eigen::Vector2d position_of(const Network& network, std::size_t node) {
    return network.state.shared.segment<2>(shared_of_node(static_cast<int>(node)));
}

// Whether the runs put a structure on the other side of the first two marks than it was placed.
bool other_side(const Site& site, const std::vector<TieObservation>& ties,
                const Eigen::Vector2d& was, const Eigen::Vector2d& now) {
    const auto mark = [&](const TieObservation& tie) {
        const PlanPoint& at = site.structures[tie.reference].surveyed->at;
        return Eigen::Vector2d(at.e_m, at.n_m);
    };
    const Eigen::Vector2d base = mark(ties[1]) - mark(ties[0]);
    const auto side = [&](const Eigen::Vector2d& at) {
        const Eigen::Vector2d ray = at - mark(ties[0]);
        return base.x() * ray.y() - base.y() * ray.x();
    };
    return side(was) * side(now) < 0.0;
}

std::vector<TieObservation> ties_to_marks(const Site& site, int structure) {
    std::vector<TieObservation> ties;
    std::ranges::copy_if(site.ties, std::back_inserter(ties), [&](const TieObservation& tie) {
        return tie.point == structure && site.structures[tie.reference].surveyed;
    });
    return ties;
}

// Each tape that does not reach where the runs put the structure: "88.0 ft from corner, where 98.0
// ft was taped".
std::vector<std::string> tapes_off(const Site& site, const std::vector<TieObservation>& ties,
                                   const Eigen::Vector2d& now) {
    std::vector<std::string> words;
    for (const TieObservation& tie : ties) {
        const SiteStructure& mark = site.structures[tie.reference];
        const double there_m =
            std::hypot(now.x() - mark.surveyed->at.e_m, now.y() - mark.surveyed->at.n_m) /
            site.frame.scale_factor;
        const double off_m = std::abs(there_m - tie.distance_m.value);
        if (off_m < tape_fits_sd * std::hypot(tie.distance_m.sd, runs_sd_m)) continue;
        words.push_back(fmt::format("{} from {}, where {} was taped",
                                    length_words(there_m, site.job_unit), mark.id.text,
                                    length_words(tie.distance_m.value, site.job_unit)));
    }
    return words;
}

struct Words {
    std::string cause;
    std::string what_to_do;
};

Words words_for(const Site& site, int structure, const Eigen::Vector2d& was,
                const Eigen::Vector2d& now) {
    const std::vector<TieObservation> ties = ties_to_marks(site, structure);
    if (ties.size() < 2) {
        return {"", "Survey it again, and look for exchanged digits in its row."};
    }
    const std::vector<std::string> off = tapes_off(site, ties, now);
    if (off.empty() && other_side(site, ties, was, now)) {
        return {fmt::format(" Its tapes fit on the other side of the line from {} to {}.",
                            site.structures[ties[0].reference].id.text,
                            site.structures[ties[1].reference].id.text),
                "Look at the column side of its ties: left and right look exchanged."};
    }
    const char* const again =
        "Tape it again from each mark; look for a wrong mark and for a slip of a whole ten.";
    if (off.empty()) return {"", again};
    return {fmt::format(" There it lies {}.", list_words(off)), again};
}

Finding finding_of(const Site& site, int structure, const Eigen::Vector2d& was,
                   const Eigen::Vector2d& now, int explained, bool one_run) {
    const Words words = words_for(site, structure, was, now);
    const bool by_tapes = ties_to_marks(site, structure).size() >= 2;
    const std::string blamed = explained > 0
                                   ? fmt::format(", and {} would have to be wrong for that",
                                                 count_words(explained, "fix", "fixes"))
                                   : "";
    return {Severity::problem, at_structure(site.structures[structure].id),
            fmt::format("{} put{} this structure {} from where the {} put{} it{}.{} The "
                        "position was not used: the structure is placed by its runs alone.",
                        by_tapes ? "The tapes" : "The survey", by_tapes ? "" : "s",
                        length_words((was - now).norm(), site.job_unit),
                        one_run ? "run that meets it" : "runs that meet there", one_run ? "s" : "",
                        blamed, words.cause),
            one_run ? words.what_to_do + " Check also that the run goes all the way to it."
                    : words.what_to_do};
}

bool any_suffers(const NetworkData& data, const Network& network) {
    for (std::size_t i = 0; i < data.nodes.size(); ++i) {
        if (surveyed(data.nodes[i]) && suffers(network, data, i)) return true;
    }
    return false;
}

}  // namespace

void leave_out_doubted_positions(const Site& site, NetworkData& data, Network& network) {
    const auto known = [&](const Node& node) { return surveyed(node); };
    const auto most = std::max<std::ptrdiff_t>(1, std::ranges::count_if(data.nodes, known) / 3);
    for (std::ptrdiff_t gone = 0; gone < most && any_suffers(data, network); ++gone) {
        const auto found = culprit(data, network);
        if (!found) return;
        NetworkData rest = without(data, found->node);
        const int before = outliers_at(network, data, found->node).count;
        const int after = outliers_at(adjust_network(rest), rest, found->node).count;
        if (after > before || (before >= fewest_outliers && 2 * after > before)) return;
        const Eigen::Vector2d was = data.nodes[found->node].surveyed->mean_m;
        const int structure = *data.nodes[found->node].structure;
        data = std::move(rest);
        network = adjust_network(data);
        data.findings.push_back(finding_of(site, structure, was, position_of(network, found->node),
                                           before - after, runs_at(data, found->node) == 1));
    }
}

}  // namespace sondeline::alignment
