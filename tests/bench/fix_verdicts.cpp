// Which fixes the adjustment judges wrongly on invented pipes, and whose fault that is.
//
//   fix_verdicts [jobs] [share of positions astray] [first seed]
//
// Each wrong verdict is fitted anew from the true bends and the fixes that are right, with the rest
// of the job as adjusted. If the verdict is then right and the score better, the search missed it;
// if it is right and the score worse, a wrong model explains what was observed better than the true
// one; if it is still wrong, even who knows every bend is misled by these observations.
#include <cstdlib>

#include <fmt/format.h>

#include "alignment/accuracies.hpp"
#include "bench/true_bends.hpp"
#include "made/field_jobs.hpp"

namespace {

using namespace sondeline;
using namespace sondeline::alignment;

constexpr double accuracies_m[] = {0.02, 0.05, 0.15, 0.3, 0.5};

struct Fit {
    State sound;  // least squares of the fixes that are right
    State state;  // and from there downhill
    double score = 0.0;
};

// From the true bends and the fixes that are right, downhill.
Fit from_the_truth(const LoneRun& lone, const made::RandomJob& job) {
    RunData sound = *lone.problem.runs[0];
    for (PositionDatum& datum : sound.positions) {
        datum.rejected = job.wrong_fix[static_cast<std::size_t>(datum.fix)];
    }
    Problem problem = lone.problem;
    problem.runs = {&sound};
    State begin = lone.state;
    begin.runs = {bench::true_model(job.pipes[static_cast<std::size_t>(sound.run)], sound.x_end_m)};
    solve(problem, begin, {.fixes = FixLoss::plain}, {});
    const Candidate found = converged(problem, begin, FixLoss::mixture);
    return {std::move(begin), found.state, found.score};
}

FixState judged(const PositionDatum& datum, const LoneRun& lone, const State& state) {
    return state_of(datum, RunLine(state.runs[0], place_of(lone.problem, state, 0)));
}

struct Counts {
    int searched = 0;
    int preferred = 0;
    int misled = 0;
    int good = 0;
    int wrong = 0;
};

struct Judge {
    const made::RandomJob& job;
    std::uint64_t seed = 0;
    double sd_m = 0.0;
    Counts& kept;      // wrong fixes that were kept
    Counts& rejected;  // good fixes that were not

    void run_of(const NetworkData& data, const Network& network, const Linearised& at,
                std::size_t r) const {
        const LoneRun lone = lone_run(network, at, r);
        const made::TruePipe& pipe = job.pipes[static_cast<std::size_t>(data.runs[r].run)];
        const Candidate chosen = converged(lone.problem, lone.state, FixLoss::mixture);
        std::optional<Fit> truth;
        for (const PositionDatum& datum : data.runs[r].positions) {
            const auto fix = static_cast<std::size_t>(datum.fix);
            const made::Wrong wrong = job.true_fixes[fix].wrong;
            const bool bad = wrong != made::Wrong::nothing;
            Counts& counts = bad ? kept : rejected;
            ++(bad ? counts.wrong : counts.good);
            const FixState now = judged(datum, lone, chosen.state);
            if ((now.outlier_probability > 0.5) == bad) continue;
            if (!truth) truth = from_the_truth(lone, job);
            const FixState then = judged(datum, lone, truth->state);
            const bool right = (then.outlier_probability > 0.5) == bad;
            const bool better = truth->score < chosen.score - 0.01;
            ++(!right ? counts.misled : better ? counts.searched : counts.preferred);
            const FixState sound = judged(datum, lone, truth->sound);
            fmt::print("[used sd {:.3f}, s without the wrong ones {:.1f}] ", datum.sd_m, sound.s);
            tell(data.runs[r], datum, wrong, now, then,
                 !right   ? "misled"
                 : better ? "search"
                          : "model",
                 truth->score - chosen.score, chosen.state.runs[0], pipe);
        }
    }

    void tell(const RunData& run, const PositionDatum& datum, made::Wrong wrong,
              const FixState& now, const FixState& then, std::string_view fault, double score,
              const RunModel& model, const made::TruePipe& pipe) const {
        std::string chosen_bends;
        for (const BendUnknown& bend : model.bends) {
            chosen_bends += fmt::format(" {:.1f}:{:.0f}", bend.x_m, bend.angle_rad / degree);
        }
        std::string true_bends;
        for (const made::TrueBend& bend : pipe.bends) {
            true_bends +=
                fmt::format(" {:.1f}:{:.0f}", pipe.counter_at(bend.s_m), bend.angle_rad / degree);
        }
        std::string others;
        for (const PositionDatum& other : run.positions) {
            others += fmt::format(" {}{:.1f}", job.wrong_fix[other.fix] ? "!" : "", other.x_m);
        }
        static constexpr std::string_view words[] = {"good", "astray", "station", "run"};
        fmt::print(
            "{} {} sd {:.2f} run {} {} at {:.2f} of {:.2f}: s {:.1f}, {:.1f} with true bends "
            "(score {:+.1f}) | bends{} | true{} | fixes{}\n",
            fault, seed, sd_m, run.run, words[static_cast<int>(wrong)], datum.x_m, run.x_end_m,
            now.s, then.s, score, chosen_bends, true_bends, others);
    }

    void all() const {
        NetworkData data = observed_on(job.site);
        Network network = adjust_network(data);
        orient_reading_errors(network, data);
        if (use_accuracies(judged_accuracies(network), data)) reconsider_bends(data, network);
        orient_reading_errors(network, data);
        use_accuracies(judged_accuracies(network), data);
        const Linearised at = linearise(network.problem, network.state, {});
        for (std::size_t r = 0; r < data.runs.size(); ++r) run_of(data, network, at, r);
    }
};

void print(std::string_view what, const Counts& counts, int of) {
    fmt::print(
        "{}: {} of {}: the search missed {}, a wrong model fits better {}, misled even with "
        "the true bends {}\n",
        what, counts.searched + counts.preferred + counts.misled, of, counts.searched,
        counts.preferred, counts.misled);
}

}  // namespace

int main(int argc, char** argv) {
    const int jobs = argc > 1 ? std::atoi(argv[1]) : 200;
    const double astray = argc > 2 ? std::atof(argv[2]) : 0.03;
    const std::uint64_t first = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 1;
    for (const bool imagined : {true, false}) {
        fmt::print("Pipework {}\n", imagined ? "as the adjustment imagines it" : "as found");
        Counts kept;
        Counts rejected;
        for (int i = 0; i < jobs / 2; ++i) {
            const std::uint64_t seed = first + static_cast<std::uint64_t>(i);
            const double sd = accuracies_m[i % 5];
            const made::RandomJob job =
                imagined ? made::random_job(seed, {.fix_sd_m = sd, .outlier_share = astray})
                         : made::field_job(seed, {.fix_sd_m = sd, .astray_share = astray});
            Judge{job, seed, sd, kept, rejected}.all();
        }
        print("good fixes rejected", rejected, rejected.good);
        print("wrong fixes kept", kept, kept.wrong);
    }
    return 0;
}
