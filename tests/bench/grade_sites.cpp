#include "bench/grade_sites.hpp"

#include <cmath>

#include <fmt/format.h>

namespace bench {

using namespace sondeline;

namespace {

constexpr int kRunsPerSite = 5;

struct Site {
    std::vector<KnownRun> runs;
    Lines lines;
};

// The runs share the receiver and nothing else: no two of them meet.
Site site_of(const SagCase& each, int first_seed) {
    Site site;
    for (int seed = first_seed; seed < first_seed + kRunsPerSite; ++seed) {
        KnownRun known = make_known_run(each.half, random_pipe(seed), each.survey, seed);
        const auto offset = static_cast<int>(site.lines.structures.size());
        AlignedRun run = known.lines.runs.front();
        *run.run.from += offset;
        *run.run.to += offset;
        site.lines.runs.push_back(std::move(run));
        for (AlignedStructure structure : known.lines.structures) {
            structure.id.text += fmt::format(" of run {}", seed);
            site.lines.structures.push_back(std::move(structure));
        }
        site.runs.push_back(std::move(known));
    }
    return site;
}

}  // namespace

void print_sites(const SagCase& each, const Seeds& seeds) {
    int runs = 0;
    int given = 0;
    int covered = 0;
    for (int seed = seeds.first; seed < seeds.first + seeds.runs; seed += kRunsPerSite) {
        const Site site = site_of(each, seed);
        const Profiles profiles = grade_lines(site.lines, each.options);
        for (std::size_t r = 0; r < site.runs.size(); ++r) {
            ++runs;
            const auto& slope = profiles.runs[r].slope;
            if (!slope) continue;
            ++given;
            covered += std::abs(slope->value - site.runs[r].slope()) <= 1.96 * slope->sd ? 1 : 0;
        }
    }
    fmt::print("    the same runs, {} to a site: slope given {:.2f}, bounds cover {:.3f}\n",
               kRunsPerSite, share(given, runs), share(covered, given));
}

}  // namespace bench
