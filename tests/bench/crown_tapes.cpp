// How often inverts that were taped to the top of the pipe are named, and how often such that were
// taped rightly, on invented sites: a sewer, an effluent line and three laterals of 10 to 40 m
// between house, tank and box, every end at a structure taped.
//
//   crown_tapes [sites per figure, default 1000] [first seed, default 0; to tune 1000000]
//
// Half of the sites are such as grading imagines them, half know nothing of that (field_run.hpp).
// One locator serves a site: what its depths are off by is the same for all runs in the first half,
// and for half of its variance in the second.
#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "bench/known_run.hpp"
#include "grade/normal.hpp"
#include "pipeline/taped_crowns.hpp"

using namespace sondeline;
using bench::Half;
using bench::Seeds;
using bench::share;

namespace {

enum Place : int { house, tank, box };

struct Pipe {
    const char* id;
    RunKind kind;
    int from;
    std::optional<int> to;
};
constexpr std::array kPipes = {
    Pipe{"BS", RunKind::building_sewer, house, tank}, Pipe{"EL", RunKind::effluent_line, tank, box},
    Pipe{"L1", RunKind::lateral, box, {}}, Pipe{"L2", RunKind::lateral, box, {}},
    Pipe{"L3", RunKind::lateral, box, {}}};

// Which tapes were held to the top of the pipe.
struct Slip {
    const char* words;
    std::optional<Place> at;   // of a structure
    std::optional<int> alone;  // of this one of the pipes there only
    bool everywhere = false;
};

struct Fixes {
    double spacing_m = 1.5;
    double sd_m = 0.05;
};

struct MadeSite {
    Half half = Half::imagined;
    Fixes fixes;
    Slip slip;
    int seed = 0;
};

made::Survey survey_of(const MadeSite& site, bool to_structure) {
    made::Survey survey;
    survey.spacing_m = site.fixes.spacing_m;
    survey.depth_sd_m = site.fixes.sd_m;
    // What wanders along one run; the rest is drawn for the site.
    if (site.half == Half::field)
        survey.constant_sd_m = survey.proportion_sd = 0.03 / std::numbers::sqrt2;
    survey.taped_start = true;
    survey.taped_end = to_structure;
    return survey;
}

bool slipped(const Slip& slip, int run, int structure) {
    if (slip.everywhere) return true;
    return slip.at == structure && (!slip.alone || slip.alone == run);
}

Lines lines_of(const MadeSite& site) {
    grade::Draws locator("locator " + std::to_string(site.seed));
    const double sd = site.half == Half::field ? 0.03 / std::numbers::sqrt2 : 0.03;
    const double constant_m = sd * locator.normal();
    const double proportion = sd * locator.normal();
    Lines lines;
    for (const char* id : {"house", "tank", "box"}) {
        lines.structures.emplace_back();
        lines.structures.back().id.text = id;
    }
    for (int r = 0; r < static_cast<int>(kPipes.size()); ++r) {
        const Pipe& pipe = kPipes[static_cast<std::size_t>(r)];
        const int seed = 8 * site.seed + r;
        bench::KnownRun known = bench::make_known_run(site.half, bench::random_pipe(seed),
                                                      survey_of(site, pipe.to.has_value()), seed);
        AlignedRun run = std::move(known.lines.runs.front());
        run.run.id.text = pipe.id;
        run.run.kind = pipe.kind;
        run.run.from = pipe.from;
        run.run.to = pipe.to;
        for (StationedVertical& seen : run.vertical) {
            double& depth_m = seen.row.depth_m.value;
            if (seen.row.kind == VerticalKind::sonde_depth) {
                depth_m += proportion * depth_m + constant_m;
            } else {
                const int structure =
                    seen.row.kind == VerticalKind::taped_start ? pipe.from : *pipe.to;
                if (slipped(site.slip, r, structure)) depth_m -= made::bore_m;
            }
        }
        lines.runs.push_back(std::move(run));
    }
    return lines;
}

void print(Half half, const Fixes& fixes, const Slip& slip, const Seeds& seeds) {
    int right = 0;
    int wrong = 0;
    for (int seed = seeds.first; seed < seeds.first + seeds.runs; ++seed) {
        Lines lines = lines_of({half, fixes, slip, seed});
        doubt_taped_crowns(LengthUnit::metre, lines);
        bool named = false;
        bool other = false;
        for (const Finding& finding : lines.findings) {
            const bool there =
                slip.at && finding.where.structure == lines.structures[*slip.at].id.text;
            (there ? named : other) = true;
        }
        right += named ? 1 : 0;
        wrong += other ? 1 : 0;
    }
    fmt::print("  {:<34} named {:.3f}, another named {:.3f}\n", slip.words,
               share(right, seeds.runs), share(wrong, seeds.runs));
}

}  // namespace

int main(int argc, char** argv) {
    Seeds seeds{1000, 0};
    if (argc > 1) seeds.runs = std::max(1, std::atoi(argv[1]));
    if (argc > 2) seeds.first = std::max(0, std::atoi(argv[2]));
    const std::array slips = {
        Slip{"none at the top", {}, {}},      Slip{"one of the two at the tank", tank, 0},
        Slip{"both at the tank", tank, {}},   Slip{"one of the four at the box", box, 2},
        Slip{"all four at the box", box, {}}, Slip{"all of the site", {}, {}, true}};
    for (const Half half : {Half::imagined, Half::field}) {
        for (const Fixes& fixes : {Fixes{1.5, 0.02}, Fixes{1.5, 0.05}, Fixes{1.5, 0.1},
                                   Fixes{3.0, 0.02}, Fixes{3.0, 0.05}, Fixes{3.0, 0.1}}) {
            fmt::print("{} half, a depth each {} m, {:.0f} cm\n",
                       half == Half::field ? "second" : "first", fixes.spacing_m,
                       100.0 * fixes.sd_m);
            for (const Slip& slip : slips) print(half, fixes, slip, seeds);
            std::fflush(stdout);
        }
    }
    return 0;
}
