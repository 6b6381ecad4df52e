// Small sites whose answer is known by construction.
#pragma once

#include <cmath>
#include <numbers>
#include <string>

#include "sondeline/alignment.hpp"

namespace sondeline::made {

inline constexpr double deg = std::numbers::pi / 180.0;

struct Corner {
    double x_m = 0.0;
    double heading_rad = 0.0;  // from here on
};

// A pipe of straight legs, by distance along it.
class Legs {
  public:
    Legs(PlanPoint start, std::vector<Corner> corners)
        : start_(start), corners_(std::move(corners)) {}

    PlanPoint at(double x_m) const {
        PlanPoint p = start_;
        for (std::size_t i = 0; i < corners_.size(); ++i) {
            const bool last = i + 1 == corners_.size();
            const double to = last ? x_m : std::min(x_m, corners_[i + 1].x_m);
            const double length = to - corners_[i].x_m;
            if (i > 0 && length <= 0.0) break;
            p.e_m += length * std::sin(corners_[i].heading_rad);
            p.n_m += length * std::cos(corners_[i].heading_rad);
        }
        return p;
    }

  private:
    PlanPoint start_;
    std::vector<Corner> corners_;
};

class SmallSite {
  public:
    Site site;

    int structure(const std::string& id, StructureKind kind, std::optional<PlanPoint> at,
                  double sd_m = 0.02) {
        SiteStructure made;
        made.id = {id};
        made.kind = kind;
        if (at) made.surveyed = PlanFix{*at, {sd_m * sd_m, 0.0, sd_m * sd_m}};
        made.how_fixed = at ? "GNSS" : "not surveyed";
        site.structures.push_back(made);
        return static_cast<int>(site.structures.size()) - 1;
    }

    SiteRun& run(const std::string& id, std::optional<int> from, std::optional<int> to,
                 std::optional<double> length_m) {
        SiteRun made;
        made.id = {id};
        made.from = from;
        made.to = to;
        made.counter_length_m =
            length_m ? figure(*length_m) : withheld<double>("No counter was read.", "Film it.");
        site.runs.push_back(made);
        return site.runs.back();
    }

    SiteFix& fix(int run, double x_m, std::optional<PlanPoint> at, double sd_m = 0.02) {
        SiteFix made;
        made.id = "F" + std::to_string(site.fixes.size() + 1);
        made.run = run;
        made.placing = FixPlacing::by_counter;
        made.x_m = x_m;
        made.h_sd_stated_m = sd_m;
        if (at) made.position = PlanFix{*at, {sd_m * sd_m, 0.0, sd_m * sd_m}};
        made.source = {"fixes.csv", static_cast<int>(site.fixes.size()) + 2, ""};
        site.fixes.push_back(made);
        return site.fixes.back();
    }

    void heading(double heading_rad, double sd_rad = 5.0 * deg) {
        site.fixes.back().heading = axial(heading_rad);
        site.fixes.back().heading_sd_rad = sd_rad;
    }

    void fixes_along(int run, const Legs& legs, const std::vector<double>& stations,
                     double sd_m = 0.02) {
        for (const double x : stations) fix(run, x, legs.at(x), sd_m);
    }
};

inline double apart_m(const PlanPoint& a, const PlanPoint& b) {
    return std::hypot(a.e_m - b.e_m, a.n_m - b.n_m);
}

inline bool says(const Findings& findings, std::string_view words) {
    for (const Finding& finding : findings) {
        if (finding.what.find(words) != std::string::npos) return true;
        if (finding.what_to_do.find(words) != std::string::npos) return true;
    }
    return false;
}

}  // namespace sondeline::made
