#include "service/worth.hpp"

#include <algorithm>
#include <tuple>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

int rank(const Finding& finding) {
    if (finding.consequence == Consequence::run_not_measured) return 0;
    if (finding.severity == Severity::problem) return 1;
    return finding.consequence == Consequence::input_rejected ? 2 : 3;
}

auto words_of(const Finding& finding) {
    return std::tie(finding.what, finding.where.file, finding.where.row, finding.where.run,
                    finding.where.structure);
}

std::string line_of(const Finding& first, const std::vector<std::string>& places) {
    constexpr std::size_t most_others = 3;
    std::string words = first.what + (first.what_to_do.empty() ? "" : " " + first.what_to_do);
    if (places.empty()) return words;
    words = fmt::format("{}: {}", places.front(), words);
    if (places.size() == 1) return words;
    const auto others = std::min(places.size() - 1, most_others);
    const auto from = places.begin() + 1;
    words += fmt::format(" The same for {}",
                         fmt::join(from, from + static_cast<std::ptrdiff_t>(others), "; "));
    const std::size_t untold = places.size() - 1 - others;
    return words + (untold == 0 ? "." : fmt::format(" and {} more.", untold));
}

}  // namespace

Findings worth_telling(Findings findings) {
    std::erase_if(findings,
                  [](const Finding& finding) { return finding.severity == Severity::info; });
    std::ranges::stable_sort(findings, {}, rank);
    Findings once;
    for (Finding& finding : findings) {
        const bool known = std::ranges::any_of(
            once, [&](const Finding& other) { return words_of(other) == words_of(finding); });
        if (!known) once.push_back(std::move(finding));
    }
    return once;
}

std::vector<std::string> in_order_of_worth(const Findings& findings,
                                           const std::vector<std::string>& suggestions,
                                           LengthUnit unit) {
    std::vector<std::string> lines;
    std::vector<bool> told(findings.size(), false);
    bool suggested = false;
    const auto suggest = [&] {
        if (!suggested) lines.insert(lines.end(), suggestions.begin(), suggestions.end());
        suggested = true;
    };
    for (std::size_t i = 0; i < findings.size(); ++i) {
        if (told[i]) continue;
        if (rank(findings[i]) == 3) suggest();
        std::vector<std::string> places;
        for (std::size_t k = i; k < findings.size(); ++k) {
            if (findings[k].what_to_do != findings[i].what_to_do) continue;
            told[k] = true;
            const std::string place = describe(findings[k].where, unit);
            if (!place.empty() && std::ranges::find(places, place) == places.end()) {
                places.push_back(place);
            }
        }
        lines.push_back(line_of(findings[i], places));
    }
    suggest();
    return lines;
}

}  // namespace sondeline
