#include "survey/kind_doubts.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include <fmt/format.h>

namespace sondeline {

namespace {

using Ends = std::array<const SiteStructure*, 2>;  // nullptr: not known

Ends ends_of(const SiteRun& run, const std::vector<SiteStructure>& structures) {
    const auto at = [&](const std::optional<int>& index) {
        return index ? &structures[static_cast<std::size_t>(*index)] : nullptr;
    };
    return {at(run.from), at(run.to)};
}

bool is_box(StructureKind kind) {
    return kind == StructureKind::distribution_box || kind == StructureKind::drop_box;
}

// Where the water comes from that a box shares out.
bool is_source(StructureKind kind) {
    return kind == StructureKind::building || kind == StructureKind::tank ||
           kind == StructureKind::pump_chamber;
}

template <class Is>
const SiteStructure* first_end(const Ends& ends, Is is) {
    const auto found = std::ranges::find_if(
        ends, [&](const SiteStructure* end) { return end != nullptr && is(end->kind); });
    return found == ends.end() ? nullptr : *found;
}

// "box is a distribution box"
std::string is_words(const SiteStructure& end) {
    return fmt::format("{} is a {}", end.id.text, word(end.kind));
}

bool is_perforated(std::string material) {
    std::ranges::transform(material, material.begin(), [](unsigned char letter) {
        return static_cast<char>(std::tolower(letter));
    });
    const std::size_t at = material.find("perforated");
    if (at == std::string::npos) return false;
    const std::string before = material.substr(0, at);
    return !before.ends_with("un") && !before.ends_with("non") && !before.ends_with("non-") &&
           !before.ends_with("not ");
}

// Of pipes that have to fall. A solid line from a box to where a trench begins cannot be told from
// a lateral by its ends.
std::string sewer_doubt(const SiteRun& run, const Ends& ends) {
    const SiteStructure* trench =
        first_end(ends, [](StructureKind kind) { return kind == StructureKind::trench_end; });
    const SiteStructure* box = first_end(ends, is_box);
    if (run.kind == RunKind::building_sewer && (box != nullptr || trench != nullptr)) {
        return fmt::format("{}, and a building sewer ends before the box",
                           is_words(box != nullptr ? *box : *trench));
    }
    if (trench != nullptr && box != nullptr) {
        return fmt::format("{} and {}, as those of a lateral are", is_words(*box),
                           is_words(*trench));
    }
    // From the box on, water goes to another structure or into the ground.
    const bool blind = ends[0] != nullptr && is_box(ends[0]->kind) && !run.to;
    if (run.kind == RunKind::effluent_line && blind) {
        return fmt::format("{} and it leads to no structure, as a lateral does",
                           is_words(*ends[0]));
    }
    if (is_perforated(run.material)) {
        return fmt::format("its pipe is {}, as that of a lateral is", run.material);
    }
    return "";
}

// Of pipes that are laid level.
std::string lateral_doubt(const Ends& ends) {
    const SiteStructure* house =
        first_end(ends, [](StructureKind kind) { return kind == StructureKind::building; });
    if (house != nullptr) {
        return fmt::format("{}, and what leaves a building runs to the tank first",
                           is_words(*house));
    }
    const bool before_field = std::ranges::all_of(ends, [](const SiteStructure* end) {
        return end != nullptr &&
               (is_source(end->kind) || is_box(end->kind) || end->kind == StructureKind::cleanout);
    });
    if (!before_field || first_end(ends, is_source) == nullptr) return "";
    return fmt::format("{} and {}, as those of a pipe before the field are", is_words(*ends[0]),
                       is_words(*ends[1]));
}

std::string kind_doubt(const SiteRun& run, const Ends& ends) {
    switch (run.kind) {
        case RunKind::building_sewer:
        case RunKind::effluent_line: return sewer_doubt(run, ends);
        case RunKind::lateral:
        case RunKind::trench: return lateral_doubt(ends);
        case RunKind::other: break;
    }
    return "";
}

}  // namespace

void doubt_kinds(const Job& job, const std::vector<SiteStructure>& structures,
                 std::vector<SiteRun>& runs, Findings& findings) {
    for (std::size_t i = 0; i < runs.size(); ++i) {
        SiteRun& run = runs[i];
        run.kind_doubt = kind_doubt(run, ends_of(run, structures));
        if (run.kind_doubt.empty()) continue;
        Where where = where_is(job.runs[i].source);
        where.column = "kind";
        where.run = run.id.text;
        findings.push_back(
            {Severity::caution, where,
             fmt::format("The kind of this run, {}, does not fit: {}. What slope should be asked "
                         "of it is not known, so it gets no verdict on its slope, and the paper is "
                         "not checked by kind of run.",
                         word(run.kind), run.kind_doubt),
             "Correct the kind of the run, its from and to, its material, or the kind of the "
             "structure, and process again."});
    }
}

}  // namespace sondeline
