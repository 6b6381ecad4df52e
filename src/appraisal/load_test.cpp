#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "appraisal/parts.hpp"

namespace sondeline {

namespace {

constexpr double litres_per_gallon = 3.785411784;  // exactly, NIST SP 811

std::string litres_words(const Estimate& litres) {
    return fmt::format("{:.0f} L ± {:.0f} ({:.0f} US gal)", litres.value, 1.96 * litres.sd,
                       litres.value / litres_per_gallon);
}

// Bucket timings: rows with a volume and seconds. A bucket is filled to about 3 per cent and a hand
// watch read to half a second (common practice, no source).
std::optional<Estimate> hose_flow_l_s(const std::vector<LoadStep>& steps) {
    double sum = 0.0;
    double variance = 0.0;
    int count = 0;
    for (const LoadStep& step : steps) {
        if (!step.volume_m3 || !step.seconds || step.seconds->value <= 0.0) continue;
        const double flow = 1000.0 * step.volume_m3->value / step.seconds->value;
        sum += flow;
        variance += std::pow(flow * std::hypot(0.03, 0.5 / step.seconds->value), 2);
        ++count;
    }
    if (count == 0) return std::nullopt;
    return Estimate{sum / count, std::sqrt(variance) / count};
}

bool says(const LoadStep& step, std::string_view word) {
    std::string text = step.step + " " + step.note;
    std::ranges::transform(text, text.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text.find(word) != std::string::npos;
}

// The hose ran from the row that says "start" to the one that says "stop".
std::optional<double> running_s(const std::vector<LoadStep>& steps) {
    std::optional<double> start;
    for (const LoadStep& step : steps) {
        if (!step.clock_s) continue;
        if (!start && says(step, "start")) start = step.clock_s->value;
        if (start && says(step, "stop") && step.clock_s->value > *start) {
            return step.clock_s->value - *start;
        }
    }
    return std::nullopt;
}

// First and last level seen at each port, in the order of the table.
std::vector<PortShare> port_shares(const std::vector<LoadStep>& steps) {
    struct Levels {
        std::string port;
        double first_m = 0.0;
        double last_m = 0.0;
        int count = 0;
    };
    std::vector<Levels> ports;
    for (const LoadStep& step : steps) {
        if (!step.level_m || step.point.empty()) continue;
        auto known = std::ranges::find(ports, step.point, &Levels::port);
        if (known == ports.end()) {
            ports.push_back({step.point, step.level_m->value, step.level_m->value, 1});
            continue;
        }
        known->last_m = step.level_m->value;
        ++known->count;
    }
    std::vector<PortShare> shares;
    for (const Levels& port : ports) {
        const double rise_mm = 1000.0 * (port.last_m - port.first_m);
        std::string words =
            fmt::format("one reading only, {:.0f} mm of water", 1000.0 * port.first_m);
        if (port.count > 1) {
            words = fmt::format(
                "{:.0f} mm of water at first, {:.0f} mm at last ({:+.0f} mm) over "
                "{} readings",
                1000.0 * port.first_m, 1000.0 * port.last_m, rise_mm, port.count);
        }
        shares.push_back({port.port, words});
    }
    return shares;
}

}  // namespace

std::optional<LoadTestBalance> balance_load_test(const Job& job, Findings& findings) {
    if (job.load_test.empty()) return std::nullopt;
    LoadTestBalance balance;
    balance.hose_flow_l_s = hose_flow_l_s(job.load_test);
    const auto seconds = running_s(job.load_test);
    if (balance.hose_flow_l_s) {
        balance.words.push_back(fmt::format(
            "The hose gave {:.2f} L/s ± {:.2f} ({:.1f} US gal/min) by bucket and watch.",
            balance.hose_flow_l_s->value, 1.96 * balance.hose_flow_l_s->sd,
            60.0 * balance.hose_flow_l_s->value / litres_per_gallon));
    }
    if (balance.hose_flow_l_s && seconds) {
        const double share_sd =
            std::hypot(balance.hose_flow_l_s->sd / balance.hose_flow_l_s->value, 5.0 / *seconds);
        const double litres = balance.hose_flow_l_s->value * *seconds;
        balance.volume_in_l = Estimate{litres, litres * share_sd};
        balance.words.push_back(fmt::format("It ran for {:.0f} minutes: {} went in.",
                                            *seconds / 60.0, litres_words(*balance.volume_in_l)));
    } else {
        findings.push_back(
            {Severity::info, where_is(job.load_test.front().source),
             "The volume of the load test cannot be worked out.",
             "Give a bucket timing (volume and seconds) and the clock at a step that "
             "says start and one that says stop."});
    }
    balance.ports = port_shares(job.load_test);
    if (!balance.ports.empty()) {
        balance.words.push_back(
            "Levels show which ports the water reached and where it stands; they do not measure "
            "how "
            "much each pipe took.");
    }
    balance.words.push_back(
        "A load test shows whether water moves today. It does not prove how much the ground will "
        "take over a season, and it is no approval: the local health department decides.");
    return balance;
}

}  // namespace sondeline
