#include "survey/sticks.hpp"

#include <cmath>

#include <fmt/format.h>

namespace sondeline {

namespace {

constexpr double kPushedHomeSd_m = 0.008;
constexpr double kMadeSd = 0.002;
constexpr double kReelOff = 0.045;
constexpr double kBoundInSds = 1.96;

Where at_stick_length(const Run& run) {
    Where where = where_is(run.stick_length_m->source);
    where.run = run.id.text;
    return where;
}

std::string sticks_words(int count, double stick_m, LengthUnit unit) {
    const std::string stick = length_words(stick_m, unit, 2);
    return count == 1 ? fmt::format("a stick of {}", stick)
                      : fmt::format("{} sticks of {}", count, stick);
}

Finding not_used(const Run& run, std::string why, std::string what_to_do) {
    return {Severity::info, at_stick_length(run),
            std::move(why) + " The length of its sticks was not used.", std::move(what_to_do)};
}

Finding told(const Run& run, const Estimate& scale, std::string spacing, std::string sticks) {
    const double off = 100.0 * (1.0 / scale.value - 1.0);  // of what the counter counts
    const double within = 100.0 * kBoundInSds * scale.sd;
    const std::string says =
        std::abs(off) < within ? fmt::format("the counter agrees with that within {:.1f} %", within)
                               : fmt::format("the counter counts {:.1f} % too {} (within {:.1f} %)",
                                             std::abs(off), off > 0.0 ? "much" : "little", within);
    return {Severity::info, at_stick_length(run),
            fmt::format("The joints of this run pass every {} by the counter, for {}: {}. Its "
                        "length rests on this as well.",
                        spacing, sticks, says),
            "If the sticks are of another length, correct it or leave it empty."};
}

}  // namespace

std::optional<Estimate> scale_by_sticks(const Run& run, const ReelReading& reel, LengthUnit unit,
                                        Findings& findings) {
    if (!run.stick_length_m || reel.track == nullptr || !reel.metres_per_count) return std::nullopt;
    if (!reel.track->joint_spacing) {
        findings.push_back(not_used(run, "No even row of joints is plain in the footage.",
                                    "Nothing needs to be done; the counter's bounds stand."));
        return std::nullopt;
    }
    const double stick_m = run.stick_length_m->value;
    const double spacing_m = reel.track->joint_spacing->value * *reel.metres_per_count;
    const double within_m = kBoundInSds * reel.track->joint_spacing->sd * *reel.metres_per_count;
    const std::string spacing = fmt::format("{} (within {})", length_words(spacing_m, unit, 2),
                                            length_words(within_m, unit, 2));
    const auto count = static_cast<int>(std::max(1L, std::lround(spacing_m / stick_m)));
    const double value = count * stick_m / spacing_m;
    if (std::abs(std::log(value)) > kReelOff) {
        Finding finding = not_used(
            run,
            fmt::format("The joints of this run pass every {} by the counter, which is not {}.",
                        spacing, sticks_words(count, stick_m, unit)),
            "Check the length of the sticks, and the counter's unit.");
        finding.severity = Severity::caution;
        findings.push_back(std::move(finding));
        return std::nullopt;
    }
    const double seen_sd = reel.track->joint_spacing->sd / reel.track->joint_spacing->value;
    const Estimate scale{
        value, value * std::hypot(seen_sd, std::hypot(kPushedHomeSd_m / stick_m, kMadeSd))};
    findings.push_back(told(run, scale, spacing, sticks_words(count, stick_m, unit)));
    return scale;
}

}  // namespace sondeline
