// Prints every figure of adjusted jobs to the last bit:
//
//   print_lines JOBS
//
// For comparing builds (same_figures). Half of the jobs are of each generator.
#include <array>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "sondeline/alignment.hpp"

#include "made/field_jobs.hpp"

namespace {

using namespace sondeline;

void print(const Lines& lines) {
    for (const AlignedRun& run : lines.runs) {
        if (run.length_m) {
            fmt::print("{:.17g}\n{:.17g}\n", run.length_m->value, run.length_m->hi95);
        }
        for (const LinePoint& point : run.points) {
            fmt::print("{:.17g}\n{:.17g}\n{:.17g}\n", point.at.e_m, point.at.n_m, point.station_m);
            if (run.covariance.size() == 0) continue;
            fmt::print("{:.17g}\n{:.17g}\n", std::sqrt(point.cov.ee), std::sqrt(point.cov.nn));
        }
    }
    for (const FixResult& fix : lines.fixes) {
        fmt::print("{:.17g}\n", fix.across_m.value_or(0.0));
    }
}

}  // namespace

int main(int argc, char** argv) {
    const int jobs = argc > 1 ? std::atoi(argv[1]) : 20;
    constexpr std::array accuracies_m{0.02, 0.05, 0.15, 0.3, 0.5};
    for (int i = 0; i < jobs; ++i) {
        const auto seed = static_cast<std::uint64_t>(i) + 1;
        const double sd_m = accuracies_m[static_cast<std::size_t>(i / 2) % accuracies_m.size()];
        if (i % 2 == 0) {
            made::JobRecipe recipe;
            recipe.fix_sd_m = sd_m;
            print(align_site(made::random_job(seed, recipe).site));
        } else {
            made::FieldRecipe recipe;
            recipe.fix_sd_m = sd_m;
            print(align_site(made::field_job(seed, recipe).site));
        }
    }
    return 0;
}
