// Invented sites that share nothing with the adjustment's idea of a pipe, for a bench whose truth
// is not the estimator's own model:
//   pipe: sticks of several lengths with sloppy joints, or coiled pipe whose curvature wanders;
//     turns at any station, of any angle, swept over up to 0.6 m instead of at a point;
//   counter: gains and loses at a rate that wanders along the run, and takes up slack at turns;
//   positions: half of the variance drifts from fix to fix, the rest has the tails of Student's
//     distribution with 4 degrees of freedom; the accuracy stated is off by up to a quarter;
//   wrong fixes: side peaks of the field fore and aft of the head, positions astray, wrong
//   stations,
//     wrong runs.
#pragma once

#include "made/noise.hpp"
#include "made/random_jobs.hpp"

namespace sondeline::made {

struct FieldRecipe {
    double fix_sd_m = 0.15;
    double fix_spacing_m = 3.0;
    double astray_share = 0.03;
    double wrong_station_share = 0.005;
    double wrong_run_share = 0.005;
    double coiled_share = 0.3;  // of runs
};

struct SweptTurn {
    double s_m = 0.0;
    double angle_rad = 0.0;
    double over_m = 0.3;
};

struct FieldPlan {
    PlanPoint start;
    double heading_rad = 0.0;
    double length_m = 20.0;
    double reel_scale = 1.0;
    bool coiled = false;
};

class FieldPipe {
  public:
    FieldPipe(const FieldPlan& plan, Noise& noise) : plan_(plan), noise_(noise) {}

    TruePipe lay() {
        const std::vector<SweptTurn> turns = fittings();
        pipe_.length_m = plan_.length_m;
        pipe_.counter_scale = plan_.reel_scale;
        for (const SweptTurn& turn : turns) {
            pipe_.bends.push_back({turn.s_m + 0.5 * turn.over_m, turn.angle_rad, 0.0});
        }
        walk(turns);
        return std::move(pipe_);
    }

  private:
    double between(double low, double high) { return low + (high - low) * noise_.uniform(); }

    std::vector<SweptTurn> fittings() {
        std::vector<SweptTurn> turns;
        double s = between(0.4, 16.0);
        while (s < plan_.length_m - 0.8) {
            const double sign = noise_.uniform() < 0.5 ? -1.0 : 1.0;
            turns.push_back(
                {s, sign * between(8.0, 92.0) * std::numbers::pi / 180.0, between(0.1, 0.6)});
            s += turns.back().over_m + between(0.2, 18.0);
        }
        return turns;
    }

    void walk(const std::vector<SweptTurn>& turns) {
        constexpr double step = TruePipe::step_m;
        Wandering curvature(0.03, 4.0);
        Wandering rate(0.008, 6.0);
        const double stick = noise_.uniform() < 0.5 ? 3.048 : 6.096;
        double joint = between(0.2, stick);
        double laid = plan_.heading_rad;
        double counter = 0.0;
        PlanPoint at = plan_.start;
        const int steps = static_cast<int>(std::ceil((plan_.length_m + 1.0) / step));
        for (int i = 0; i <= steps; ++i) {
            const double s = i * step;
            if (plan_.coiled) laid += step * curvature.next(step, noise_);
            if (!plan_.coiled && s > joint) {
                laid += between(-2.0, 2.0) * std::numbers::pi / 180.0;
                joint += stick;
            }
            double heading = laid;
            double slack = 0.0;
            for (const SweptTurn& turn : turns) {
                const double share = std::min(1.0, std::max(0.0, (s - turn.s_m) / turn.over_m));
                heading += share * turn.angle_rad;
                slack += share * 0.05 * std::abs(turn.angle_rad);
            }
            pipe_.path.push_back(at);
            pipe_.heading_rad.push_back(heading);
            pipe_.counter_m.push_back(counter + slack);
            at.e_m += step * std::sin(heading);
            at.n_m += step * std::cos(heading);
            counter += step / plan_.reel_scale * (1.0 + rate.next(step, noise_));
        }
    }

    FieldPlan plan_;
    Noise& noise_;
    TruePipe pipe_;
};

class FieldJobMaker {
  public:
    FieldJobMaker(std::uint64_t seed, const FieldRecipe& recipe)
        : noise_(0x5EED0000ULL + seed), recipe_(recipe) {}

    RandomJob make() {
        reel_scale_ = between(0.975, 1.025);
        stated_over_true_ = between(0.8, 1.25);
        headings_ = noise_.uniform() < 0.5;
        const int house = structure("house", StructureKind::building, {40.0, -10.0}, true);
        const int tank = push("sewer", house, "tank", StructureKind::tank, true, 5.0, 18.0);
        const int first = push("outlet", tank, "first drop", StructureKind::drop_box,
                               noise_.uniform() < 0.5, 6.0, 25.0);
        const int second =
            push("link", first, "second drop", StructureKind::drop_box, false, 4.0, 9.0);
        for (const int box : {first, first, second, second}) {
            push("trench " + std::to_string(job_.site.runs.size()), box, "", {}, false, 10.0, 30.0);
        }
        swap_runs();
        job_.true_structures = true_at_;
        return std::move(job_);
    }

  private:
    double between(double low, double high) { return low + (high - low) * noise_.uniform(); }

    int structure(const std::string& id, StructureKind kind, PlanPoint at, bool surveyed) {
        SiteStructure made;
        made.id = {id};
        made.kind = kind;
        if (surveyed) {
            const double sd = std::min(recipe_.fix_sd_m, 0.05);
            made.surveyed = PlanFix{{at.e_m + noise_.normal(sd), at.n_m + noise_.normal(sd)},
                                    round_covariance(sd)};
            made.how_fixed = "GNSS";
        }
        job_.site.structures.push_back(made);
        true_at_.push_back(at);
        return static_cast<int>(true_at_.size()) - 1;
    }

    // Somewhere on the rim of the structure.
    PlanPoint port(int structure) {
        const StructureKind kind = job_.site.structures[structure].kind;
        const double away = kind == StructureKind::drop_box ? 0.25 : 0.06;
        const double way = between(0.0, 2.0 * std::numbers::pi);
        const PlanPoint at = true_at_[structure];
        return {at.e_m + away * std::sin(way), at.n_m + away * std::cos(way)};
    }

    int push(const std::string& id, int from, const std::string& to, StructureKind kind,
             bool surveyed, double least_m, double most_m) {
        const FieldPlan plan{.start = port(from),
                             .heading_rad = between(0.0, 2.0 * std::numbers::pi),
                             .length_m = between(least_m, most_m),
                             .reel_scale = reel_scale_ * std::exp(noise_.normal(0.005)),
                             .coiled = noise_.uniform() < recipe_.coiled_share};
        TruePipe pipe = FieldPipe(plan, noise_).lay();
        SiteRun run;
        run.id = {id};
        run.from = from;
        if (!to.empty()) {
            const PlanPoint end = pipe.at(pipe.length_m);
            const int reached = structure(to, kind, end, surveyed);
            run.to = reached;
        }
        run.tick_m = 0.1;
        run.counter_length_m = figure(shown(pipe.counter_at(pipe.length_m)));
        job_.site.runs.push_back(run);
        locate(pipe);
        job_.pipes.push_back(std::move(pipe));
        return static_cast<int>(true_at_.size()) - 1;
    }

    static double shown(double counter_m) { return 0.1 * std::round(counter_m / 0.1); }

    void locate(const TruePipe& pipe) {
        const double sd = recipe_.fix_sd_m / stated_over_true_;
        Wandering east(sd * std::sqrt(0.5), 6.0);
        Wandering north(sd * std::sqrt(0.5), 6.0);
        double s = between(0.3, recipe_.fix_spacing_m);
        while (s < pipe.length_m) {
            const double gap = recipe_.fix_spacing_m * between(0.6, 1.4);
            const double white = sd * std::sqrt(0.5);
            PlanPoint at = pipe.at(s);
            at.e_m += east.next(gap, noise_) + heavy_tailed(white, noise_);
            at.n_m += north.next(gap, noise_) + heavy_tailed(white, noise_);
            add_fix(pipe, s, at);
            s += gap;
        }
    }

    void add_fix(const TruePipe& pipe, double s_m, PlanPoint at) {
        SiteFix fix;
        fix.id = "P" + std::to_string(job_.site.fixes.size() + 1);
        fix.run = static_cast<int>(job_.site.runs.size()) - 1;
        fix.placing = FixPlacing::by_counter;
        fix.x_m = shown(pipe.counter_at(s_m) + heavy_tailed(0.03, noise_));
        TrueFix truth{Wrong::nothing, fix.run, fix.x_m};
        const double fate = noise_.uniform();
        if (fate < recipe_.astray_share) {
            truth.wrong = Wrong::astray;
            astray(pipe.heading_at(s_m), at);
        } else if (fate < recipe_.astray_share + recipe_.wrong_station_share) {
            truth.wrong = Wrong::station;
            fix.x_m += (noise_.uniform() < 0.5 ? 1.0 : -1.0) * between(1.5, 5.0);
        }
        fix.position = PlanFix{at, round_covariance(recipe_.fix_sd_m)};
        fix.h_sd_stated_m = recipe_.fix_sd_m;
        if (headings_) {
            const double sd = 5.0 * std::numbers::pi / 180.0;
            fix.heading = axial(pipe.heading_at(s_m) + heavy_tailed(sd, noise_));
            fix.heading_sd_rad = sd;
        }
        fix.source = {"fixes.csv", static_cast<int>(job_.site.fixes.size()) + 2, ""};
        job_.site.fixes.push_back(fix);
        job_.wrong_fix.push_back(truth.wrong != Wrong::nothing);
        job_.true_fixes.push_back(truth);
    }

    // The axial field has side peaks 1.22 depths fore and aft of the head (dipole field).
    void astray(double heading_rad, PlanPoint& at) {
        const bool side_peak = noise_.uniform() < 0.5;
        const double far = std::max(side_peak ? 1.22 * between(0.8, 2.0) : between(1.0, 5.0),
                                    6.0 * recipe_.fix_sd_m);
        const double way = side_peak
                               ? heading_rad + (noise_.uniform() < 0.5 ? 0.0 : std::numbers::pi)
                               : between(0.0, 2.0 * std::numbers::pi);
        at.e_m += far * std::sin(way);
        at.n_m += far * std::cos(way);
    }

    // Writes some good fixes down under another run that is long enough to hold their counter.
    void swap_runs() {
        for (std::size_t i = 0; i < job_.site.fixes.size(); ++i) {
            if (job_.wrong_fix[i] || noise_.uniform() >= recipe_.wrong_run_share) continue;
            SiteFix& fix = job_.site.fixes[i];
            const int runs = static_cast<int>(job_.site.runs.size());
            const int other =
                (fix.run + 1 + static_cast<int>(noise_.uniform() * (runs - 1))) % runs;
            if (*job_.site.runs[other].counter_length_m < fix.x_m) continue;
            fix.run = other;
            job_.wrong_fix[i] = true;
            job_.true_fixes[i].wrong = Wrong::run;
        }
    }

    Noise noise_;
    FieldRecipe recipe_;
    RandomJob job_;
    std::vector<PlanPoint> true_at_;
    double reel_scale_ = 1.0;
    double stated_over_true_ = 1.0;
    bool headings_ = false;
};

inline RandomJob field_job(std::uint64_t seed, const FieldRecipe& recipe) {
    return FieldJobMaker(seed, recipe).make();
}

}  // namespace sondeline::made
