#include "survey/exchanged_pushes.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace sondeline {

namespace {

constexpr std::size_t kRowsThatTell = 2;

struct Push {
    const Run* run = nullptr;
    double filmed_m = 0.0;
    std::vector<double> fixes_x_m;  // rising
    std::size_t beyond = 0;         // of these, beyond what was filmed

    [[nodiscard]] double last_m() const { return fixes_x_m.back(); }
};

std::vector<Push> pushes_of(const Job& job, const std::vector<ReelReading>& reels,
                            LengthUnit unit) {
    std::vector<Push> pushes;
    for (std::size_t i = 0; i < job.runs.size(); ++i) {
        if (!reels[i].length_m) continue;
        Push push{&job.runs[i], *reels[i].length_m, {}, 0};
        for (const Fix& fix : job.fixes) {
            if (fix.run != job.runs[i].id || !fix.counter) continue;
            if (const auto x_m = x_of_counter(reels[i], fix.counter->value)) {
                push.fixes_x_m.push_back(*x_m);
            }
        }
        std::ranges::sort(push.fixes_x_m);
        push.fixes_x_m.erase(std::unique(push.fixes_x_m.begin(), push.fixes_x_m.end()),
                             push.fixes_x_m.end());
        push.beyond =
            static_cast<std::size_t>(std::ranges::count_if(push.fixes_x_m, [&](double x_m) {
                return x_m > push.filmed_m && outside_run(reels[i], x_m, unit);
            }));
        if (push.fixes_x_m.size() > kRowsThatTell) pushes.push_back(std::move(push));
    }
    return pushes;
}

double widest_spacing_m(const Push& push) {
    double widest_m = push.fixes_x_m.front();
    for (std::size_t i = 1; i < push.fixes_x_m.size(); ++i) {
        widest_m = std::max(widest_m, push.fixes_x_m[i] - push.fixes_x_m[i - 1]);
    }
    return widest_m;
}

// The fixes of `of` go to where the footage of `in` ends, or stop a spacing before.
bool fit(const Push& of, const Push& in) {
    constexpr double read_later_m = 0.5;  // a counter written down while the head moved
    const double left_m = in.filmed_m - of.last_m();
    return left_m >= -read_later_m && left_m <= widest_spacing_m(of) + read_later_m;
}

bool exchanged(const Push& beyond, const Push& other) {
    return beyond.beyond >= kRowsThatTell && other.beyond == 0 && fit(beyond, other) &&
           fit(other, beyond) && !fit(other, other);
}

Finding finding_of(const Push& beyond, const Push& other, LengthUnit unit) {
    const std::string& id = beyond.run->id.text;
    const std::string& other_id = other.run->id.text;
    Where where = where_is(other.run->source);
    where.column = "footage";
    where.run = other_id;
    return {Severity::caution, where,
            fmt::format("The fixes of {} go to {}, as far as the footage of {}, and those of {} to "
                        "{}, as far as the footage of {}, which ends before its own fixes do: the "
                        "clips or the fixes of the two may be exchanged. The length of {} would "
                        "then be that of {}.",
                        id, length_words(beyond.last_m(), unit, 1), other_id, other_id,
                        length_words(other.last_m(), unit, 1), id, other_id, id),
            fmt::format("Look in both clips which pipe they show, and correct footage in runs or "
                        "run in fixes. Do not price {} or {} before.",
                        other_id, id)};
}

}  // namespace

void tell_exchanged_pushes(const Job& job, const std::vector<ReelReading>& reels, LengthUnit unit,
                           Findings& findings) {
    const std::vector<Push> pushes = pushes_of(job, reels, unit);
    for (const Push& push : pushes) {
        const Push* found = nullptr;
        std::size_t fitting = 0;
        for (const Push& other : pushes) {
            if (!exchanged(push, other)) continue;
            found = &other;
            ++fitting;
        }
        if (fitting == 1) findings.push_back(finding_of(push, *found, unit));
    }
}

}  // namespace sondeline
