// How well the adjustment finds invented pipes, and how honest its bounds are.
//
//   alignment_bench [jobs] [fix_sd_m; 0: all] [fix_spacing_m] [share of positions astray]
//                   [first seed] [seen]
//
// Half of the jobs are pipework as the adjustment imagines it (random_jobs.hpp), half know nothing
// of it (field_jobs.hpp); both are printed. Without a fix accuracy the jobs take turns through
// 0.02, 0.05, 0.15, 0.3 and 0.5 m. Prints the error along the lines beside that of straight lines
// between fixes and of a natural cubic spline through them (by station, from the same fixes), the
// ratio to the least error possible (Cramér–Rao bound of an estimator that knows every bend), how
// often 95 % bounds hold, bends and wrong fixes found, and time. Of the first half it also says how
// much of what is missed the observations could have told: the ratio to straight lines when all
// bends are known, and in how many runs with a wrong number of bends the true ones score better.
// With `seen` the footage shows most bends as turns of the picture (seen_turns.hpp).
// Beside ours stands what is made of the same observations by who knows how many bends there are
// and which positions are wrong (who_knows.hpp): the error of that line, and how many of the
// positions astray he would find, told of all others, at the price of 0.3 % of the good ones.
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <functional>
#include <map>

#include <Eigen/LU>
#include <fmt/format.h>

#include "sondeline/alignment.hpp"

#include "bench/alignment_peers.hpp"
#include "bench/least_error.hpp"
#include "bench/true_bends.hpp"
#include "bench/who_knows.hpp"
#include "made/field_jobs.hpp"
#include "made/seen_turns.hpp"

namespace {

using namespace sondeline;

struct Share {
    double hits = 0.0;
    double all = 0.0;
    void count(bool hit) {
        hits += hit ? 1.0 : 0.0;
        all += 1.0;
    }
    double value() const { return all > 0.0 ? hits / all : 0.0; }
};

struct Squares {
    double sum = 0.0;
    double all = 0.0;
    void add(double square) {
        sum += square;
        all += 1.0;
    }
    double rms() const { return all > 0.0 ? std::sqrt(sum / all) : 0.0; }
};

struct Tally {
    Squares ours, straight, spline;
    Squares told, least;  // on runs whose bends can be told: our error and the least possible
    std::vector<double> ratios;  // per job, of our error to that of straight lines
    Share position, end, across, length, box;
    Squares told_right, least_right;  // the same where the number of bends is right as well
    Share bends, bends_told;
    Share missed;  // of runs with a wrong number of bends: the true ones would have scored better
    std::vector<double> least_ratios;  // per job, of the least possible error to straight lines'
    std::vector<double> known_ratios;  // per job, of the error of who knows every bend to the same
    std::vector<double> misfits_of_good, misfits_of_astray;  // to who knows the rest
    Share found, found_between, falsely, named, drawn;
};

double square_apart(const PlanPoint& a, const PlanPoint& b) {
    return (a.e_m - b.e_m) * (a.e_m - b.e_m) + (a.n_m - b.n_m) * (a.n_m - b.n_m);
}

Eigen::Matrix2d matrix(const PlanCovariance& cov) {
    Eigen::Matrix2d c;
    c << cov.ee, cov.en, cov.en, cov.nn;
    return c;
}

bool holds(const Eigen::Vector2d& off, const Eigen::Matrix2d& c) {
    return off.dot(c.inverse() * off) <= ellipse_95 * ellipse_95;
}

struct Errors {
    Squares ours, straight;
};

void tally_points(const Site& site, std::size_t r, const AlignedRun& run,
                  const made::TruePipe& pipe, Errors& errors, Tally& tally) {
    const bench::Peers peers(site, r);
    for (const LinePoint& point : run.points) {
        const PlanPoint truth = pipe.at(pipe.s_at(point.x_m));
        const Eigen::Vector2d off(point.at.e_m - truth.e_m, point.at.n_m - truth.n_m);
        const Eigen::Matrix2d c = matrix(point.cov);
        const bool inside = holds(off, c);
        tally.position.count(inside);
        if (&point == &run.points.back()) tally.end.count(inside);
        const Eigen::Vector2d right(std::cos(point.heading_rad), -std::sin(point.heading_rad));
        tally.across.count(std::abs(off.dot(right)) <= normal_95 * std::sqrt(right.dot(c * right)));
        const auto straight = peers.straight_at(point.x_m);
        const auto spline = peers.spline_at(point.x_m);
        if (!straight || !spline) continue;
        errors.ours.add(off.squaredNorm());
        errors.straight.add(square_apart(*straight, truth));
        tally.ours.add(off.squaredNorm());
        tally.straight.add(square_apart(*straight, truth));
        tally.spline.add(square_apart(*spline, truth));
    }
}

// What a rejected fix is said to be.
struct Named {
    bool this_run = false;
    int run = -1;
};

std::optional<Named> named_in(const Site& site, const std::string& why) {
    if (why.find("would fit this run at") != std::string::npos) return Named{.this_run = true};
    for (std::size_t r = 0; r < site.runs.size(); ++r) {
        const std::string words = "would fit run " + site.runs[r].id.text + ":";
        if (why.find(words) != std::string::npos) return Named{.run = static_cast<int>(r)};
    }
    return std::nullopt;
}

// Good positions of the run on either side of a fix: beyond the outermost one a bend can always
// explain it.
bool between_good_positions(const made::RandomJob& job, std::size_t index) {
    const SiteFix& fix = job.site.fixes[index];
    const SiteRun& run = job.site.runs[fix.run];
    const auto surveyed = [&](std::optional<int> structure) {
        return structure && job.site.structures[*structure].surveyed.has_value();
    };
    bool before = surveyed(run.from);
    bool after = surveyed(run.to);
    for (std::size_t i = 0; i < job.site.fixes.size(); ++i) {
        const SiteFix& other = job.site.fixes[i];
        if (other.run != fix.run || job.wrong_fix[i]) continue;
        before = before || other.x_m < fix.x_m;
        after = after || other.x_m > fix.x_m;
    }
    return before && after;
}

void tally_fixes(const made::RandomJob& job, const Lines& lines, Tally& tally) {
    for (std::size_t i = 0; i < lines.fixes.size(); ++i) {
        const FixResult& result = lines.fixes[i];
        const bool rejected = result.use == FixUse::rejected;
        const made::TrueFix& truth = job.true_fixes[i];
        if (!job.wrong_fix[i]) tally.falsely.count(rejected);
        if (truth.wrong == made::Wrong::astray) {
            tally.found.count(rejected);
            if (between_good_positions(job, i)) tally.found_between.count(rejected);
        }
        if (!rejected || truth.wrong == made::Wrong::astray) continue;
        if (truth.wrong == made::Wrong::nothing) continue;
        const std::optional<Named> named = named_in(job.site, result.why);
        if (!named) continue;  // no match, or several: nothing is named
        const bool own = truth.run == job.site.fixes[i].run;
        tally.named.count(own ? named->this_run : named->run == truth.run);
    }
}

void tally_structures(const made::RandomJob& job, const Lines& lines, Tally& tally) {
    for (std::size_t i = 0; i < lines.structures.size(); ++i) {
        if (job.site.structures[i].surveyed || !lines.structures[i].plan) continue;
        const PlanFix& plan = *lines.structures[i].plan;
        const PlanPoint& truth = job.true_structures[i];
        tally.box.count(
            holds({plan.at.e_m - truth.e_m, plan.at.n_m - truth.n_m}, matrix(plan.cov)));
    }
}

// On runs that are drawn. Against our error only where the bends can be told; against straight
// lines everywhere, as that is how little of their error the observations allow to be left.
void tally_against_least(const made::RandomJob& job, const Lines& lines, Tally& tally) {
    std::vector<std::vector<double>> x_m(lines.runs.size());
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        if (lines.runs[r].covariance.size() == 0) continue;
        for (const LinePoint& point : lines.runs[r].points) x_m[r].push_back(point.x_m);
    }
    const auto least = bench::least_squares_m2(job, x_m);
    double least_sum = 0.0;
    double straight_sum = 0.0;
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const bool told = bench::least_positions_on_a_leg(job, r) >= 2;
        const bool right = lines.runs[r].bends.size() == job.pipes[r].bends.size();
        const bench::Peers peers(job.site, r);
        for (std::size_t i = 0; i < least[r].size(); ++i) {
            const LinePoint& point = lines.runs[r].points[i];
            const made::TruePipe& pipe = job.pipes[r];
            const PlanPoint truth = pipe.at(pipe.s_at(point.x_m));
            if (told) tally.told.add(square_apart(point.at, truth));
            if (told) tally.least.add(least[r][i]);
            if (told && right) tally.told_right.add(square_apart(point.at, truth));
            if (told && right) tally.least_right.add(least[r][i]);
            const auto straight = peers.straight_at(point.x_m);
            if (!straight || !peers.spline_at(point.x_m)) continue;
            least_sum += least[r][i];
            straight_sum += square_apart(*straight, truth);
        }
    }
    if (straight_sum > 0.0) tally.least_ratios.push_back(std::sqrt(least_sum / straight_sum));
}

// What is made of a job by who knows its bends.
struct Known {
    std::optional<double> ratio;                 // of his error to that of straight lines
    std::vector<std::optional<double>> misfits;  // as Site::fixes
};

// At the stations that count for our own error.
Known known_of(const made::RandomJob& job, const Lines& lines) {
    std::vector<std::vector<double>> x_m(lines.runs.size());
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        if (lines.runs[r].covariance.size() == 0) continue;
        for (const LinePoint& point : lines.runs[r].points) x_m[r].push_back(point.x_m);
    }
    const auto known = bench::lines_of_who_knows(job, x_m);
    Errors errors;
    for (std::size_t r = 0; r < known.size(); ++r) {
        const bench::Peers peers(job.site, r);
        for (std::size_t i = 0; i < known[r].size(); ++i) {
            const auto straight = peers.straight_at(x_m[r][i]);
            if (!straight || !peers.spline_at(x_m[r][i])) continue;
            const PlanPoint truth = job.pipes[r].at(job.pipes[r].s_at(x_m[r][i]));
            errors.ours.add(square_apart(known[r][i], truth));
            errors.straight.add(square_apart(*straight, truth));
        }
    }
    Known out{.misfits = bench::misfits_of_who_knows(job)};
    if (errors.straight.all > 0.0) out.ratio = errors.ours.rms() / errors.straight.rms();
    return out;
}

void tally_known(const made::RandomJob& job, const Known& known, Tally& tally) {
    if (known.ratio) tally.known_ratios.push_back(*known.ratio);
    for (std::size_t i = 0; i < known.misfits.size(); ++i) {
        if (!known.misfits[i]) continue;
        const bool astray = job.true_fixes[i].wrong == made::Wrong::astray;
        if (!job.wrong_fix[i]) tally.misfits_of_good.push_back(*known.misfits[i]);
        if (astray) tally.misfits_of_astray.push_back(*known.misfits[i]);
    }
}

void tally_job(const made::RandomJob& job, const Lines& lines, Tally& tally) {
    Errors errors;
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const AlignedRun& run = lines.runs[r];
        const made::TruePipe& pipe = job.pipes[r];
        tally.drawn.count(!run.points.empty());
        tally.length.count(run.length_m && run.length_m->lo95 <= pipe.length_m &&
                           pipe.length_m <= run.length_m->hi95);
        if (run.covariance.size() == 0) continue;
        const bool right = run.bends.size() == pipe.bends.size();
        tally.bends.count(right);
        if (bench::least_positions_on_a_leg(job, r) >= 2) tally.bends_told.count(right);
        tally_points(job.site, r, run, pipe, errors, tally);
    }
    if (errors.straight.all > 0.0) {
        tally.ratios.push_back(errors.ours.rms() / errors.straight.rms());
    }
    tally_fixes(job, lines, tally);
    tally_structures(job, lines, tally);
}

void tally_true_bends(const made::RandomJob& job, Tally& tally) {
    for (const bench::BendScores& scores : bench::bend_scores(job)) {
        if (scores.chosen_bends == job.pipes[scores.run].bends.size()) continue;
        tally.missed.count(scores.truth < scores.chosen - 0.01);
    }
}

double median(std::vector<double> values) {
    if (values.empty()) return 0.0;
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

// Share of the positions astray beyond what all but 0.3 % of the good ones stay within.
double found_at_the_price(const Tally& t) {
    constexpr double price = 0.003;
    std::vector<double> good = t.misfits_of_good;
    std::sort(good.begin(), good.end(), std::greater<>());
    const double limit = good[static_cast<std::size_t>(price * static_cast<double>(good.size()))];
    Share found;
    for (const double misfit : t.misfits_of_astray) found.count(misfit > limit);
    return found.value();
}

void print(std::string_view title, const Tally& t) {
    fmt::print(
        "{:<10} rms {:.3f} m, straight {:.3f} (median ratio {:.2f}), spline {:.3f} | within 95 %: "
        "position {:.3f} end {:.3f} across {:.3f} length {:.3f} box {:.3f}\n"
        "           bends right {:.3f} of {:.0f} runs, {:.3f} of {:.0f} with two positions on "
        "every "
        "leg | fixes astray found {:.3f} of {:.0f}, between good positions {:.3f} of {:.0f}, good "
        "rejected {:.4f}, station or run named "
        "rightly {:.3f} of {:.0f} | drawn {:.3f}",
        title, t.ours.rms(), t.straight.rms(), median(t.ratios), t.spline.rms(), t.position.value(),
        t.end.value(), t.across.value(), t.length.value(), t.box.value(), t.bends.value(),
        t.bends.all, t.bends_told.value(), t.bends_told.all, t.found.value(), t.found.all,
        t.found_between.value(), t.found_between.all, t.falsely.value(), t.named.value(),
        t.named.all, t.drawn.value());
    if (t.least.all > 0.0) {
        fmt::print(
            " | rms over the least possible {:.3f}, {:.3f} where the number of bends is right; "
            "median ratio to straight lines if all bends were known {:.2f}",
            t.told.rms() / t.least.rms(), t.told_right.rms() / t.least_right.rms(),
            median(t.least_ratios));
    }
    if (!t.misfits_of_good.empty()) {
        fmt::print(
            " | who knows how many bends there are and which positions are wrong: median ratio to "
            "straight lines {:.2f}, finds {:.3f} at 0.003 of the good ones",
            median(t.known_ratios), found_at_the_price(t));
    }
    if (t.missed.all > 0.0) {
        fmt::print(
            " | of {:.0f} runs with a wrong number of bends the true ones would score better "
            "in {:.3f} (the search missed them); in the others nothing observed tells them",
            t.missed.all, t.missed.value());
    }
    fmt::print("\n");
}

struct Asked {
    int jobs = 200;
    std::vector<double> accuracies{0.02, 0.05, 0.15, 0.3, 0.5};
    double spacing_m = 3.0;
    double astray_share = 0.03;    // of positions
    std::uint64_t first_seed = 1;  // judged here; thresholds are set on seeds from 10,001 on
    bool turns_seen = false;
};

using Maker = made::RandomJob (*)(std::uint64_t seed, double sd_m, const Asked& asked);

made::RandomJob as_imagined(std::uint64_t seed, double sd_m, const Asked& asked) {
    made::JobRecipe recipe;
    recipe.fix_sd_m = sd_m;
    recipe.fix_spacing_m = asked.spacing_m;
    recipe.outlier_share = asked.astray_share;
    return made::random_job(seed, recipe);
}

made::RandomJob as_found(std::uint64_t seed, double sd_m, const Asked& asked) {
    made::FieldRecipe recipe;
    recipe.fix_sd_m = sd_m;
    recipe.fix_spacing_m = asked.spacing_m;
    recipe.astray_share = asked.astray_share;
    return made::field_job(seed, recipe);
}

void run_half(std::string_view title, const Asked& asked, Maker maker, bool shares_model) {
    std::map<double, Tally> tallies;
    std::vector<double> seconds;
    for (int i = 0; i < asked.jobs / 2; ++i) {
        const double sd = asked.accuracies[static_cast<std::size_t>(i) % asked.accuracies.size()];
        const std::uint64_t seed = asked.first_seed + static_cast<std::uint64_t>(i);
        made::RandomJob job = maker(seed, sd, asked);
        if (asked.turns_seen) made::see_turns(job, seed);
        const std::clock_t begin = std::clock();
        const Lines lines = align_site(job.site);
        seconds.push_back(static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC);
        const Known known = known_of(job, lines);
        for (const double group : {sd, 0.0}) {
            tally_job(job, lines, tallies[group]);
            tally_known(job, known, tallies[group]);
            if (shares_model) tally_against_least(job, lines, tallies[group]);
            if (shares_model) tally_true_bends(job, tallies[group]);
        }
    }
    fmt::print("{}\n", title);
    for (const auto& [sd, tally] : tallies) {
        print(sd > 0.0 ? fmt::format("sd {:.2f} m", sd) : "all", tally);
    }
    std::sort(seconds.begin(), seconds.end());
    if (seconds.empty()) return;
    fmt::print("CPU per job: median {:.0f} ms, 95th percentile {:.0f} ms\n",
               1e3 * seconds[seconds.size() / 2], 1e3 * seconds[seconds.size() * 19 / 20]);
}

}  // namespace

int main(int argc, char** argv) {
    Asked asked;
    if (argc > 1) asked.jobs = std::atoi(argv[1]);
    if (argc > 2 && std::atof(argv[2]) > 0.0) asked.accuracies = {std::atof(argv[2])};
    if (argc > 3) asked.spacing_m = std::atof(argv[3]);
    if (argc > 4) asked.astray_share = std::atof(argv[4]);
    if (argc > 5) asked.first_seed = std::strtoull(argv[5], nullptr, 10);
    if (argc > 6) asked.turns_seen = std::string_view(argv[6]) == "seen";
    run_half("Pipework as the adjustment imagines it", asked, as_imagined, true);
    run_half("Pipework as found, by another model", asked, as_found, false);
    return 0;
}
