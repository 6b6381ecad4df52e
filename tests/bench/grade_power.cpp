#include "bench/grade_power.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/normal.hpp"

namespace bench {

using namespace sondeline;

namespace {

constexpr double kLeastTold = 0.85;
constexpr double kMostTold = 0.95;
// The noise of the runs that hold a sag is another than that of those the limit was stated for.
constexpr int kOtherNoise = 100'000'000;

bool says(const Finding& finding, const char* words) {
    return finding.what.find(words) != std::string::npos;
}

bool says_sag(const Finding& finding) {
    return says(finding, "dips about") || says(finding, "is suspected");
}

bool says_too_deep(const Finding& finding) {
    return says(finding, "deeper than its neighbours allow");
}

bool names_gross(const Finding& finding, const std::vector<std::string>& gross) {
    return std::ranges::any_of(gross, [&](const std::string& source) {
        return says(finding, ("epth of " + source + " ").c_str());
    });
}

// The level of the camera was there and was not used.
bool level_left_out(const Profiles& profiles) {
    return std::ranges::any_of(profiles.findings, [](const Finding& finding) {
        return says(finding, "inclination, but whether") || says(finding, "camera's level shows");
    });
}

struct Told {
    bool as_sag = false;
    bool as_depth = false;  // to be taken again
    bool as_row = false;
};

// Whether anything in the answer points at the sag.
Told told(const Profiles& profiles, const made::Sag& sag) {
    Told found;
    for (const Belly& belly : profiles.runs.front().bellies) {
        found.as_row = found.as_row || (belly.from_m <= sag.centre_m + sag.width_m &&
                                        belly.to_m >= sag.centre_m - sag.width_m);
    }
    found.as_sag = found.as_row;
    for (const Finding& finding : profiles.findings) {
        if (!finding.where.station_m) continue;
        const double off_m = std::abs(*finding.where.station_m - sag.centre_m);
        found.as_sag = found.as_sag || (says_sag(finding) && off_m <= sag.width_m);
        found.as_depth = found.as_depth || (says_too_deep(finding) && off_m <= sag.width_m / 2.0);
    }
    return found;
}

struct Power {
    int runs = 0;  // wide enough
    int tried = 0;
    int other_data = 0;  // the level was used with the limit or with the sag, not both
    int as_sag = 0;
    int as_depth_alone = 0;
    int rows = 0;
    double limits_m = 0.0;
};

struct SagOf {
    double width_m = 0.0;
    double share = 1.0;  // of the stated depth
};

Power power(const SagCase& each, const Seeds& seeds, const std::vector<Profiles>& before,
            const SagOf& of) {
    Power sum;
    for (int i = 0; i < seeds.runs; ++i) {
        const int seed = seeds.first + i;
        const Profiles& stated = before[static_cast<std::size_t>(i)];
        const auto& limits = stated.runs.front().limits;
        const auto limit = std::ranges::find(limits, of.width_m, &DetectionLimit::width_m);
        if (limit == limits.end()) continue;
        ++sum.runs;
        if (!limit->sag_m) continue;
        made::Pipe pipe = random_pipe(seed);
        grade::Draws place("place " + std::to_string(seed));
        const double centre_m = of.width_m / 2.0 + (pipe.length_m - of.width_m) * place.uniform();
        pipe.sags = {{of.share * *limit->sag_m, centre_m, of.width_m}};
        const Profiles after = grade_lines(
            make_known_run(each.half, pipe, each.survey, kOtherNoise + seed).lines, each.options);
        if (level_left_out(after) != level_left_out(stated)) {
            ++sum.other_data;
            continue;
        }
        const Told found = told(after, pipe.sags.front());
        ++sum.tried;
        sum.limits_m += *limit->sag_m;
        sum.as_sag += found.as_sag ? 1 : 0;
        sum.as_depth_alone += found.as_depth && !found.as_sag ? 1 : 0;
        sum.rows += found.as_row ? 1 : 0;
    }
    return sum;
}

void print(const Power& power, const SagOf& of) {
    if (power.tried == 0) {
        fmt::print("    sag {:.0f} m long: no limit stated\n", of.width_m);
        return;
    }
    const double told = share(power.as_sag + power.as_depth_alone, power.tried);
    fmt::print(
        "    sag {:.0f} m long, {:4.2f} of the {:4.1f} cm stated in {:.2f} of the runs: told {:.3f}"
        " ({:.3f} as a depth to take again), belly row {:.2f}",
        of.width_m, of.share, 100.0 * power.limits_m / power.tried,
        share(power.tried + power.other_data, power.runs), told,
        share(power.as_depth_alone, power.tried), share(power.rows, power.tried));
    if (power.other_data > 0) {
        fmt::print(", level in one draw only {:.2f}", share(power.other_data, power.runs));
    }
    if (of.share == 1.0) {
        fmt::print("; {:.2f} to {:.2f}: {}", kLeastTold, kMostTold,
                   verdict(kLeastTold <= told && told <= kMostTold));
    }
    fmt::print("\n");
}

}  // namespace

bool false_alarm(const Profiles& profiles, const std::vector<std::string>& gross) {
    if (!profiles.runs.front().bellies.empty()) return true;
    return std::ranges::any_of(profiles.findings, [&](const Finding& finding) {
        return (says_sag(finding) || says_too_deep(finding)) && !names_gross(finding, gross);
    });
}

void print_power(const SagCase& each, const Seeds& seeds) {
    std::vector<Profiles> before;
    for (int i = 0; i < seeds.runs; ++i) {
        const int seed = seeds.first + i;
        before.push_back(grade_lines(
            make_known_run(each.half, random_pipe(seed), each.survey, seed).lines, each.options));
    }
    for (const SagOf& of : {SagOf{2.0, 1.0}, SagOf{4.0, 0.5}, SagOf{4.0, 1.0}, SagOf{4.0, 1.5},
                            SagOf{4.0, 2.0}, SagOf{6.0, 1.0}}) {
        print(power(each, seeds, before, of), of);
    }
}

}  // namespace bench
