#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "appraisal/load_times.hpp"
#include "appraisal/parts.hpp"
#include "appraisal/port_shares.hpp"
#include "grade/phrases.hpp"
#include "terms/outward.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double seconds_per_day = 86400.0;

// "249 US gal ± 15"
std::string bounded_words(const Estimate& figure, double per, const char* name, int decimals) {
    return fmt::format("{:.{}f} {} ± {:.{}f}", figure.value / per, decimals, name,
                       rounded_up(normal_95 * figure.sd / per, decimals), decimals);
}

std::string volume_words(const Estimate& litres, LengthUnit unit) {
    return grade::job_unit_first(bounded_words(litres, 1.0, "L", 0),
                                 bounded_words(litres, litres_per_us_gallon, "US gal", 0), unit);
}

std::string flow_words(const Estimate& flow_l_s, LengthUnit unit) {
    return grade::job_unit_first(
        bounded_words(flow_l_s, 1.0, "L/s", 2),
        bounded_words(flow_l_s, litres_per_us_gallon / 60.0, "US gal/min", 1), unit);
}

struct Timing {
    const LoadStep* row;
    Estimate flow_l_s;
};

// Bucket timings: rows with a volume and seconds. A bucket is filled to about 3 per cent and a hand
// watch read to half a second (common practice, no source).
std::vector<Timing> bucket_timings(const std::vector<LoadStep>& steps) {
    std::vector<Timing> timings;
    for (const LoadStep& step : steps) {
        if (!step.volume_m3 || !step.seconds || step.seconds->value <= 0.0) continue;
        const double flow = 1000.0 * step.volume_m3->value / step.seconds->value;
        timings.push_back({&step, {flow, flow * std::hypot(0.03, 0.5 / step.seconds->value)}});
    }
    return timings;
}

Finding contradicting(const Timing& slow, const Timing& fast) {
    const auto words = [](const Timing& timing) {
        return fmt::format("{:.2f} L/s ({:.1f} US gal/min)", timing.flow_l_s.value,
                           timing.flow_l_s.value / litres_per_us_gallon * 60.0);
    };
    const int row = fast.row->source.row;
    return {Severity::caution, where_is(slow.row->source),
            fmt::format("By this timing of the bucket the hose of the load test gave {}, by {} {}. "
                        "Which is right cannot be told: neither the hose's flow nor a volume is "
                        "worked out.",
                        words(slow), row > 0 ? fmt::format("that of row {}", row) : "another",
                        words(fast)),
            "Correct the one that is wrong or leave it out; where the tap was turned between them, "
            "leave out the one that does not hold for the test.",
            Consequence::input_rejected};
}

// The mean of the timings, with bounds that reach each of them; empty where they contradict one
// another. A hose on a house's supply varies by less (common practice, no source).
std::optional<Estimate> hose_flow_l_s(const std::vector<LoadStep>& steps, Findings& findings) {
    constexpr double most_apart = 1.25;
    const std::vector<Timing> timings = bucket_timings(steps);
    if (timings.empty()) return std::nullopt;
    const auto flow_of = [](const Timing& timing) { return timing.flow_l_s.value; };
    const auto [slow, fast] = std::ranges::minmax_element(timings, {}, flow_of);
    if (flow_of(*fast) > most_apart * flow_of(*slow)) {
        findings.push_back(contradicting(*slow, *fast));
        return std::nullopt;
    }
    double sum = 0.0;
    double variance = 0.0;
    for (const Timing& timing : timings) {
        sum += timing.flow_l_s.value;
        variance += timing.flow_l_s.sd * timing.flow_l_s.sd;
    }
    const auto count = static_cast<double>(timings.size());
    const double mean = sum / count;
    const double farthest = std::max(flow_of(*fast) - mean, mean - flow_of(*slow));
    return Estimate{mean, std::max(std::sqrt(variance) / count, farthest / normal_95)};
}

// What a row cannot mean is said and not used (common practice, no source).
void tell_implausible(const Job& job, std::optional<Estimate>& flow_l_s,
                      std::optional<double>& seconds, Findings& findings) {
    constexpr double most_l_s = 5.0;  // a garden hose gives a tenth of it
    constexpr double most_s = 6.0 * 3600.0;
    const Where where = where_is(job.load_test.front().source);
    if (flow_l_s && flow_l_s->value > most_l_s) {
        findings.push_back(
            {Severity::caution, where,
             fmt::format("By bucket and watch the hose of the load test gave {:.0f} L/s ({:.0f} US "
                         "gal/min), more than a hose gives. It was not used.",
                         flow_l_s->value, flow_l_s->value / litres_per_us_gallon * 60.0),
             "See whether volume and seconds of the bucket are exchanged, and write their units.",
             Consequence::input_rejected});
        flow_l_s.reset();
    }
    if (seconds && *seconds > most_s) {
        findings.push_back(
            {Severity::caution, where,
             fmt::format(
                 "By its clock the load test ran for {:.1f} hours, longer than one is made. "
                 "No volume is worked out.",
                 *seconds / 3600.0),
             "Write the clock of its steps by 24 hours: 13:02, not 1:02.",
             Consequence::input_rejected});
        seconds.reset();
    }
}

// The water put in against a day of design flow.
void hold_against_design(const Job& job, LengthUnit unit, LoadTestBalance& balance,
                         Findings& findings) {
    const auto& design = job.settings.design_flow_m3_per_s;
    if (!design) {
        findings.push_back({Severity::info, where_is(job.load_test.front().source),
                            "The load test is not held against a design flow, as none is given.",
                            "Write the design flow of the permit in the job table, like "
                            "design flow, 450 gal/day."});
        return;
    }
    const double litres_per_day = 1000.0 * seconds_per_day * *design;
    balance.design_flow_l_per_day = litres_per_day;
    std::string words =
        fmt::format("The design flow is {} a day.",
                    grade::job_unit_first(
                        fmt::format("{:.0f} L", litres_per_day),
                        fmt::format("{:.0f} US gal", litres_per_day / litres_per_us_gallon), unit));
    if (balance.volume_in_l) {
        const double per_litre = 100.0 / litres_per_day;
        balance.design_day_pct =
            Estimate{balance.volume_in_l->value * per_litre, balance.volume_in_l->sd * per_litre};
        words += fmt::format(" The test put in {:.0f} % ± {:.0f} of such a day",
                             balance.design_day_pct->value, normal_95 * balance.design_day_pct->sd);
        words += fmt::format(", at {:.0f} times its average rate.",
                             seconds_per_day * balance.hose_flow_l_s->value / litres_per_day);
        if (balance.design_day_pct->value < 100.0) {
            words += " It does not show what a whole day of use would do.";
        }
    }
    balance.words.push_back(std::move(words));
}

std::string port_words(const std::vector<PortShare>& ports) {
    if (ports.front().share_withheld.empty()) {
        return "Shares are worked out from the depth of water over each port, as for pipes that "
               "run off freely; they add up to what the hose gave. They hold for that moment.";
    }
    return fmt::format(
        "Levels show which ports the water reached and where it stands; how much each pipe took "
        "is not given: {}.",
        ports.front().share_withheld);
}

}  // namespace

std::optional<LoadTestBalance> balance_load_test(const Job& job, LengthUnit unit,
                                                 Findings& findings) {
    if (job.load_test.empty()) return std::nullopt;
    LoadTestBalance balance;
    balance.hose_flow_l_s = hose_flow_l_s(job.load_test, findings);
    LoadTimes times = times_of_load_test(job, findings);
    auto& seconds = times.running_s;
    tell_implausible(job, balance.hose_flow_l_s, seconds, findings);
    if (balance.hose_flow_l_s) {
        balance.words.push_back(fmt::format("The hose gave {} by bucket and watch.",
                                            flow_words(*balance.hose_flow_l_s, unit)));
    }
    if (balance.hose_flow_l_s && seconds) {
        const double clock_sd_s = 5.0 * std::sqrt(times.fillings);
        const double share_sd = std::hypot(balance.hose_flow_l_s->sd / balance.hose_flow_l_s->value,
                                           clock_sd_s / *seconds);
        const double litres = balance.hose_flow_l_s->value * *seconds;
        balance.volume_in_l = Estimate{litres, litres * share_sd};
        const std::string ran = times.fillings > 1
                                    ? fmt::format("{} times, in all for", times.fillings)
                                    : std::string("for");
        balance.words.push_back(fmt::format("It ran {} {:.0f} minutes: {} went in.", ran,
                                            *seconds / 60.0,
                                            volume_words(*balance.volume_in_l, unit)));
    } else {
        findings.push_back(
            {Severity::info, where_is(job.load_test.front().source),
             "The volume of the load test cannot be worked out.",
             "Give a bucket timing (volume and seconds) and the clock at a step that "
             "says start and one that says stop."});
    }
    hold_against_design(job, unit, balance, findings);
    balance.ports = port_shares(job, times, balance.hose_flow_l_s, unit);
    if (!balance.ports.empty()) balance.words.push_back(port_words(balance.ports));
    balance.words.push_back(
        "A load test shows whether water moves today. It does not prove how much the ground will "
        "take over a season, and it is no approval: the local health department decides.");
    return balance;
}

}  // namespace sondeline
