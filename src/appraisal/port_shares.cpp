#include "appraisal/port_shares.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "grade/free_entrance.hpp"
#include "grade/pipe_size.hpp"
#include "terms/outward.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// A rule held to moving water is read to an eighth of an inch (common practice, no source).
constexpr double kLevelSd_m = 0.0032;
// What an entrance of unknown shape lets through against the formula (common practice, no source).
constexpr double kEntranceSd = 0.10;

struct PortLevels {
    std::string port;
    double first_m = 0.0;
    double last_m = 0.0;
    int count = 0;
    std::optional<double> diameter_m;
    bool capped = false;

    [[nodiscard]] bool dry() const { return last_m <= 0.0; }
};

// "L1" or "port L1" is where run L1 begins or ends.
const Run* run_of_port(const Job& job, const std::string& port) {
    const auto named = std::ranges::find_if(job.runs, [&](const Run& run) {
        return port == run.id.text || port.ends_with(" " + run.id.text);
    });
    return named == job.runs.end() ? nullptr : &*named;
}

std::vector<PortLevels> levels_by_port(const Job& job, const std::vector<LoadStep>& levels) {
    std::vector<PortLevels> ports;
    for (const LoadStep& step : levels) {
        if (!step.level_m || step.point.empty()) continue;
        const double level_m = step.level_m->value;
        const auto known = std::ranges::find(ports, step.point, &PortLevels::port);
        if (known != ports.end()) {
            known->last_m = level_m;
            ++known->count;
            continue;
        }
        PortLevels port{step.point, level_m, level_m, 1, std::nullopt, false};
        if (const Run* run = run_of_port(job, step.point)) {
            port.capped = run->status == RunStatus::capped;
            if (run->diameter_m) {
                port.diameter_m = grade::inside_diameter_m({run->diameter_m->value, run->material});
            }
        }
        ports.push_back(std::move(port));
    }
    return ports;
}

// "0.50 in of water", "no water"; a level below the port reads as none.
std::string water_words(double level_m, LengthUnit unit) {
    if (level_m <= 0.0) return "no water";
    return unit == LengthUnit::metre ? fmt::format("{:.0f} mm of water", 1000.0 * level_m)
                                     : fmt::format("{:.2f} in of water", level_m / inch_m);
}

std::string level_words(const PortLevels& port, LengthUnit unit) {
    if (port.count == 1) return "one reading only, " + water_words(port.first_m, unit);
    const double rise_m = std::max(0.0, port.last_m) - std::max(0.0, port.first_m);
    const std::string rise = unit == LengthUnit::metre ? fmt::format("{:+.0f} mm", 1000.0 * rise_m)
                                                       : fmt::format("{:+.2f} in", rise_m / inch_m);
    return fmt::format("{} at first, {} at last ({}) over {} readings",
                       water_words(port.first_m, unit), water_words(port.last_m, unit), rise,
                       port.count);
}

Estimate flow_l_s(const PortLevels& port) {
    if (port.dry() || port.capped) return {};
    const grade::Bore bore{*port.diameter_m};
    const double flow = grade::free_entrance_l_per_s(bore, port.last_m);
    const double higher = grade::free_entrance_l_per_s(bore, port.last_m + kLevelSd_m);
    return {flow, std::hypot(higher - flow, kEntranceSd * flow)};
}

// The structure at which the runs of all ports read begin, or end.
std::optional<StructureId> box_of(const std::vector<const Run*>& read) {
    if (read.empty()) return std::nullopt;
    const auto has = [](const Run& run, const std::optional<StructureId>& structure) {
        return structure && (run.from == structure || run.to == structure);
    };
    for (const auto& structure : {read.front()->from, read.front()->to}) {
        const bool all =
            std::ranges::all_of(read, [&](const Run* run) { return has(*run, structure); });
        if (all && structure) return structure;
    }
    return std::nullopt;
}

// Pipes that take water from the box whose ports were read, but were not read themselves.
std::vector<std::string> open_but_not_read(const Job& job, const std::vector<PortLevels>& ports) {
    std::vector<const Run*> read;
    for (const PortLevels& port : ports) {
        if (const Run* run = run_of_port(job, port.port)) read.push_back(run);
    }
    const auto box = box_of(read);
    std::vector<std::string> missed;
    for (const Run& run : job.runs) {
        const bool drains = run.kind == RunKind::lateral || run.kind == RunKind::trench;
        const bool takes = box && (run.from == box || (drains && run.to == box));
        if (!takes || run.status == RunStatus::capped) continue;
        if (std::ranges::find(read, &run) == read.end()) missed.push_back(run.id.text);
    }
    return missed;
}

std::string why_no_shares(const std::vector<PortLevels>& ports,
                          const std::optional<Estimate>& hose_flow_l_s) {
    if (!hose_flow_l_s) return "the flow of the hose is not known";
    for (const PortLevels& port : ports) {
        if (port.dry() || port.capped) continue;
        if (!port.diameter_m) {
            return fmt::format(
                "the diameter of the pipe at {} is not known; name the port after "
                "its run, like port L1",
                port.port);
        }
        if (port.last_m > grade::kDrownedHead * *port.diameter_m) {
            return fmt::format("{} stood under water to its crown, so that it may not run off",
                               port.port);
        }
    }
    return "";
}

// What the levels would let through has to be what the hose gave.
std::string why_unbalanced(const std::vector<Estimate>& flows, const Estimate& hose) {
    double sum = 0.0;
    double variance = hose.sd * hose.sd;
    for (const Estimate& flow : flows) {
        sum += flow.value;
        variance += flow.sd * flow.sd;
    }
    if (sum <= 0.0) return "no port had water standing over it";
    if (std::abs(sum - hose.value) <= normal_95 * std::sqrt(variance)) return "";
    return fmt::format(
        "ports that run off freely would have taken {:.2f} L/s by their levels, but the hose gave "
        "{:.2f}: water {}",
        sum, hose.value,
        sum > hose.value ? "stands in the pipes" : "went elsewhere, or the box was still filling");
}

Bounded share_pct(const std::vector<Estimate>& flows, std::size_t port) {
    double others = 0.0;
    double others_variance = 0.0;
    for (std::size_t other = 0; other < flows.size(); ++other) {
        if (other == port) continue;
        others += flows[other].value;
        others_variance += flows[other].sd * flows[other].sd;
    }
    const Estimate& own = flows[port];
    const double sum = own.value + others;
    const double sd =
        std::hypot(others * own.sd, own.value * std::sqrt(others_variance)) / (sum * sum);
    const double share = own.value / sum;
    return {100.0 * share, 100.0 * std::max(0.0, share - normal_95 * sd),
            100.0 * std::min(1.0, share + normal_95 * sd)};
}

std::string share_words(const Bounded& share_pct) {
    if (share_pct.hi95 <= 0.0) return "; took none of the water";
    return fmt::format(
        "; took {:.0f} % of the water ({:.0f} to {:.0f}) at the last reading, if it runs off "
        "freely",
        share_pct.value, rounded_down(share_pct.lo95, 0), rounded_up(share_pct.hi95, 0));
}

}  // namespace

std::vector<PortShare> port_shares(const Job& job, const LoadTimes& times,
                                   const std::optional<Estimate>& hose_flow_l_s, LengthUnit unit) {
    const std::vector<PortLevels> ports = levels_by_port(job, times.levels);
    std::string withheld = times.shares_withheld;
    if (withheld.empty()) withheld = why_no_shares(ports, hose_flow_l_s);
    const std::vector<std::string> missed = open_but_not_read(job, ports);
    if (withheld.empty() && !missed.empty()) {
        withheld =
            fmt::format("no level of {} was read, which {} water from the same box",
                        alignment::list_words(missed), missed.size() == 1 ? "takes" : "take");
    }
    std::vector<Estimate> flows;
    if (withheld.empty()) {
        for (const PortLevels& port : ports) flows.push_back(flow_l_s(port));
        withheld = why_unbalanced(flows, *hose_flow_l_s);
    }
    std::vector<PortShare> shares;
    for (std::size_t i = 0; i < ports.size(); ++i) {
        PortShare share{ports[i].port, level_words(ports[i], unit), std::nullopt, withheld};
        if (withheld.empty()) {
            share.share_pct = share_pct(flows, i);
            share.words += share_words(*share.share_pct);
        }
        shares.push_back(std::move(share));
    }
    return shares;
}

}  // namespace sondeline
