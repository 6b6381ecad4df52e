// Invented sites with known truth: a building sewer, an effluent line and laterals, pushed with a
// reel that stretches and slips, located with fixes of which a few are wrong.
//
// The truth is walked in steps of 5 cm and knows nothing of how the adjustment describes a pipe.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <string>
#include <vector>

#include "sondeline/survey.hpp"

namespace sondeline::made {

// SplitMix64 with normals by Box and Muller: the same numbers on every machine.
class Dice {
  public:
    explicit Dice(std::uint64_t seed) : state_(seed) {}

    double uniform(double low, double high) { return low + (high - low) * unit(); }
    bool chance(double probability) { return unit() < probability; }
    int pick(int count) { return std::min(count - 1, static_cast<int>(unit() * count)); }
    double normal(double sd) {
        const double radius = std::sqrt(-2.0 * std::log(1.0 - unit()));
        return sd * radius * std::cos(2.0 * std::numbers::pi * unit());
    }

  private:
    double unit() {
        state_ += 0x9E3779B97F4A7C15ULL;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
        return static_cast<double>((z ^ (z >> 31U)) >> 11U) * 0x1.0p-53;
    }

    std::uint64_t state_;
};

struct TrueBend {
    double s_m = 0.0;  // along the pipe
    double angle_rad = 0.0;
    double slip_m = 0.0;
};

// A pipe as it lies, by distance along it, and what a counter shows there.
struct TruePipe {
    std::vector<PlanPoint> path;  // every step_m
    std::vector<double> heading_rad;
    std::vector<TrueBend> bends;
    double length_m = 0.0;
    double counter_scale = 1.0;     // pipe metres per counter metre
    std::vector<double> counter_m;  // at every step of the path; empty: scale and slips tell it

    static constexpr double step_m = 0.05;

    PlanPoint at(double s_m) const {
        const double last = static_cast<double>(path.size() - 1);
        const double i = std::min(std::max(s_m / step_m, 0.0), last);
        const auto a = std::min(static_cast<std::size_t>(i), path.size() - 2);
        const double share = i - static_cast<double>(a);
        return {path[a].e_m + share * (path[a + 1].e_m - path[a].e_m),
                path[a].n_m + share * (path[a + 1].n_m - path[a].n_m)};
    }
    double heading_at(double s_m) const {
        const auto i = static_cast<std::size_t>(std::max(s_m, 0.0) / step_m);
        return heading_rad[std::min(i, heading_rad.size() - 1)];
    }
    double counter_at(double s_m) const {
        if (!counter_m.empty()) {
            const double last = static_cast<double>(counter_m.size() - 1);
            const double i = std::min(std::max(s_m / step_m, 0.0), last);
            const auto a = std::min(static_cast<std::size_t>(i), counter_m.size() - 2);
            const double share = i - static_cast<double>(a);
            return counter_m[a] + share * (counter_m[a + 1] - counter_m[a]);
        }
        double counter = s_m / counter_scale;
        for (const TrueBend& bend : bends) counter += bend.s_m < s_m ? bend.slip_m : 0.0;
        return counter;
    }
    // Distance along the pipe of a counter reading.
    double s_at(double reading_m) const {
        double low = -1.0;
        double high = length_m + 1.0;
        for (int i = 0; i < 60; ++i) {
            const double middle = 0.5 * (low + high);
            (counter_at(middle) < reading_m ? low : high) = middle;
        }
        return 0.5 * (low + high);
    }
};

struct JobRecipe {
    double fix_sd_m = 0.15;
    double fix_spacing_m = 3.0;
    double outlier_share = 0.03;
    double wrong_station_share = 0.01;
    double bends_per_m = 0.1;
    double heading_share = 0.5;  // of jobs whose locator shows a heading
    double box_surveyed_share = 0.5;
};

// What is wrong with a fix, and where it belongs.
enum class Wrong { nothing, astray, station, run };

struct TrueFix {
    Wrong wrong = Wrong::nothing;
    int run = -1;
    double x_m = 0.0;
};

struct RandomJob {
    Site site;
    std::vector<TruePipe> pipes;             // as Site::runs
    std::vector<bool> wrong_fix;             // as Site::fixes
    std::vector<TrueFix> true_fixes;         // as Site::fixes
    std::vector<PlanPoint> true_structures;  // as Site::structures
};

inline double a_bend(Dice& dice) {
    static constexpr double usual_degrees[] = {22.5, 45.0, 45.0, 45.0, 90.0, 90.0};
    const double degrees = dice.chance(0.2) ? dice.uniform(10.0, 90.0)
                                            : usual_degrees[dice.pick(6)] + dice.normal(1.0);
    return (dice.chance(0.5) ? 1.0 : -1.0) * degrees * std::numbers::pi / 180.0;
}

struct PipePlan {
    PlanPoint start;
    double heading_rad = 0.0;
    double length_m = 20.0;
    double reel_scale = 0.0;  // logarithm
};

inline TruePipe a_pipe(const PipePlan& plan, const JobRecipe& recipe, Dice& dice) {
    TruePipe pipe;
    pipe.length_m = plan.length_m;
    pipe.counter_scale = std::exp(plan.reel_scale + dice.normal(0.010));
    double next = -std::log(1.0 - dice.uniform(0.0, 1.0)) / recipe.bends_per_m;
    while (next < plan.length_m - 0.5) {
        if (next > 0.5) pipe.bends.push_back({next, a_bend(dice), dice.normal(0.04)});
        next += 0.5 - std::log(1.0 - dice.uniform(0.0, 1.0)) / recipe.bends_per_m;
        if (pipe.bends.size() == 5) break;
    }
    double heading = plan.heading_rad;
    double joint = dice.uniform(0.5, 3.0);  // sticks do not begin where the counter does
    PlanPoint at = plan.start;
    std::size_t bend = 0;
    const int steps = static_cast<int>(std::ceil((plan.length_m + 1.0) / TruePipe::step_m));
    for (int i = 0; i <= steps; ++i) {
        const double s = i * TruePipe::step_m;
        while (bend < pipe.bends.size() && pipe.bends[bend].s_m <= s) {
            pipe.bends[bend].s_m = s;
            heading += pipe.bends[bend++].angle_rad;
        }
        if (s > joint) {
            heading += dice.normal(std::numbers::pi / 180.0);
            joint += 3.0;
        }
        pipe.path.push_back(at);
        pipe.heading_rad.push_back(heading);
        at.e_m += TruePipe::step_m * std::sin(heading);
        at.n_m += TruePipe::step_m * std::cos(heading);
    }
    return pipe;
}

inline PlanCovariance round_covariance(double sd_m) {
    return {sd_m * sd_m, 0.0, sd_m * sd_m};
}

class JobMaker {
  public:
    JobMaker(std::uint64_t seed, const JobRecipe& recipe) : dice_(seed), recipe_(recipe) {}

    RandomJob make() {
        headings_ = dice_.chance(recipe_.heading_share);
        reel_scale_ = dice_.normal(0.015);
        const int building = structure("house", StructureKind::building, {0.0, 0.0}, true);
        const PlanPoint in = push("S1", building, "tank", StructureKind::tank, true,
                                  dice_.uniform(6.0, 16.0), dice_.uniform(0.0, 6.28));
        const int outlet =
            structure("tank outlet", StructureKind::tank, {in.e_m + 2.0, in.n_m + 0.5}, true);
        const double away = dice_.uniform(0.0, 6.28);
        const bool surveyed = dice_.chance(recipe_.box_surveyed_share);
        const PlanPoint box = push("E1", outlet, "box", StructureKind::distribution_box, surveyed,
                                   dice_.uniform(8.0, 30.0), away);
        const int box_index = static_cast<int>(job_.site.structures.size()) - 1;
        const int laterals = 3 + dice_.pick(3);
        for (int i = 0; i < laterals; ++i) {
            const double heading = away + (i - 0.5 * (laterals - 1)) * 0.6 + dice_.normal(0.1);
            lateral("L" + std::to_string(i + 1), box_index, box, heading);
        }
        job_.true_structures = true_at_;
        return std::move(job_);
    }

  private:
    static double port_sd(StructureKind kind) {
        return kind == StructureKind::distribution_box ? 0.2 : 0.05;
    }

    int structure(const std::string& id, StructureKind kind, PlanPoint at, bool surveyed) {
        SiteStructure made;
        made.id = {id};
        made.kind = kind;
        true_at_.push_back(at);
        if (surveyed) {
            const double sd = std::min(recipe_.fix_sd_m, 0.05);
            made.surveyed = PlanFix{{at.e_m + dice_.normal(sd), at.n_m + dice_.normal(sd)},
                                    round_covariance(sd)};
            made.how_fixed = "GNSS";
        }
        job_.site.structures.push_back(made);
        return static_cast<int>(true_at_.size()) - 1;
    }

    PlanPoint port_of(int structure) {
        const double sd = port_sd(job_.site.structures[structure].kind);
        const PlanPoint at = true_at_[structure];
        return {at.e_m + dice_.normal(sd), at.n_m + dice_.normal(sd)};
    }

    PlanPoint push(const std::string& id, int from, const std::string& to, StructureKind kind,
                   bool surveyed, double length_m, double heading_rad) {
        const TruePipe pipe =
            a_pipe({port_of(from), heading_rad, length_m, reel_scale_}, recipe_, dice_);
        PlanPoint end = pipe.at(length_m);
        end.e_m += dice_.normal(port_sd(kind));
        end.n_m += dice_.normal(port_sd(kind));
        const int reached = structure(to, kind, end, surveyed);
        add_run(id, from, reached, pipe);
        return end;
    }

    void lateral(const std::string& id, int from, PlanPoint, double heading_rad) {
        const TruePipe pipe = a_pipe(
            {port_of(from), heading_rad, dice_.uniform(12.0, 30.0), reel_scale_}, recipe_, dice_);
        add_run(id, from, std::nullopt, pipe);
    }

    static double shown(double counter_m) {
        constexpr double tick = 0.03048;
        return tick * std::round(counter_m / tick);
    }

    void add_run(const std::string& id, int from, std::optional<int> to, const TruePipe& pipe) {
        SiteRun run;
        run.id = {id};
        run.from = from;
        run.to = to;
        run.counter_length_m = figure(shown(pipe.counter_at(pipe.length_m)));
        job_.site.runs.push_back(run);
        job_.pipes.push_back(pipe);
        double s = dice_.uniform(0.5, recipe_.fix_spacing_m);
        while (s < pipe.length_m) {
            add_fix(pipe, s);
            s += recipe_.fix_spacing_m * dice_.uniform(0.7, 1.3);
        }
    }

    void add_fix(const TruePipe& pipe, double s_m) {
        SiteFix fix;
        fix.id = "F" + std::to_string(job_.site.fixes.size() + 1);
        fix.run = static_cast<int>(job_.site.runs.size()) - 1;
        fix.placing = FixPlacing::by_counter;
        fix.x_m = shown(pipe.counter_at(s_m) + dice_.normal(0.04));
        PlanPoint at = pipe.at(s_m);
        at.e_m += dice_.normal(recipe_.fix_sd_m);
        at.n_m += dice_.normal(recipe_.fix_sd_m);
        const bool outlier = dice_.chance(recipe_.outlier_share);
        const bool misread = dice_.chance(recipe_.wrong_station_share);
        if (outlier) {
            const double way = dice_.uniform(0.0, 2.0 * std::numbers::pi);
            const double far = dice_.uniform(std::max(1.0, 6.0 * recipe_.fix_sd_m), 5.0);
            at.e_m += far * std::sin(way);
            at.n_m += far * std::cos(way);
        }
        const double read_x = fix.x_m;
        if (misread) fix.x_m += (dice_.chance(0.5) ? 1.0 : -1.0) * dice_.uniform(1.5, 4.0);
        fix.position = PlanFix{at, round_covariance(recipe_.fix_sd_m)};
        fix.h_sd_stated_m = recipe_.fix_sd_m;
        if (headings_) {
            fix.heading =
                axial(pipe.heading_at(s_m) + dice_.normal(5.0 * std::numbers::pi / 180.0));
            fix.heading_sd_rad = 5.0 * std::numbers::pi / 180.0;
        }
        fix.source = {"fixes.csv", static_cast<int>(job_.site.fixes.size()) + 2, ""};
        job_.site.fixes.push_back(fix);
        job_.wrong_fix.push_back(outlier || misread);
        job_.true_fixes.push_back({outlier   ? Wrong::astray
                                   : misread ? Wrong::station
                                             : Wrong::nothing,
                                   fix.run, read_x});
    }

    Dice dice_;
    JobRecipe recipe_;
    RandomJob job_;
    std::vector<PlanPoint> true_at_;
    bool headings_ = false;
    double reel_scale_ = 0.0;
};

inline RandomJob random_job(std::uint64_t seed, const JobRecipe& recipe) {
    return JobMaker(seed, recipe).make();
}

}  // namespace sondeline::made
