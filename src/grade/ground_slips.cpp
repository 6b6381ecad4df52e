#include "grade/ground_slips.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "grade/ground_model.hpp"
#include "grade/phrases.hpp"
#include "grade/row_ground.hpp"
#include "terms/units.hpp"

namespace sondeline::grade {

namespace {

constexpr double kSlipAbove = 3.7;
// Either part alone, and how far the two may differ, in standard deviations.
constexpr double kEachAbove = 1.8;
constexpr double kDifferBy = 2.5;
constexpr double kFewestPoints = 4.0;
constexpr double kDecimetre_m = 0.1;
// Nobody misreads a rod or a tape by more (common practice, no source).
constexpr double kMostFeet = 5.0;
constexpr double kMostDecimetres = 10.0;

using Index = Eigen::Index;

// What one observation is off by from all others, and the weight of that.
struct Off {
    double by_m = 0.0;
    double weight = 0.0;  // 1/variance

    double t() const { return by_m * std::sqrt(weight); }
};

Off off(const Eigen::MatrixXd& q, const Eigen::VectorXd& qy, Index i) {
    return q(i, i) > 0.0 ? Off{qy(i) / q(i, i), q(i, i)} : Off{};
}

struct Slip {
    std::size_t row = 0;
    Index point = 0;
    Off ground;
    Off invert;

    double weight() const { return ground.weight + invert.weight; }
    double by_m() const {
        return (ground.by_m * ground.weight + invert.by_m * invert.weight) / weight();
    }
    double sd_m() const { return 1.0 / std::sqrt(weight()); }
    double t() const { return std::abs(by_m()) / sd_m(); }
    bool both_say_so() const {
        const double sign = by_m() < 0.0 ? -1.0 : 1.0;
        const double difference_sd_m = std::sqrt(1.0 / ground.weight + 1.0 / invert.weight);
        return sign * ground.t() > kEachAbove && sign * invert.t() > kEachAbove &&
               std::abs(ground.by_m - invert.by_m) < kDifferBy * difference_sd_m;
    }
};

// Of every height that can be judged, however little it is off.
std::vector<Slip> slips_of(const RunRows& run, double scatter) {
    std::vector<Slip> slips;
    if (static_cast<double>(run.ground.known.size()) < kFewestPoints) return slips;
    const VerticalModel invert =
        solve_model({&run.rows, &run.ground, scatter, kOutlierWander_m}, plain_trends(run));
    const GroundModel ground = solve_ground(run.ground.known);
    for (std::size_t i = 0; i < run.rows.size(); ++i) {
        const Row& row = run.rows[i];
        if ((!row.fix && !is_tape(row)) || !row.ground_m) continue;
        const auto point = ground_point_of(row, run.ground);
        if (!point) continue;
        const Slip slip{i, *point, off(ground.q, ground.qy, *point),
                        off(invert.q, invert.qy, static_cast<Index>(i))};
        if (slip.ground.weight > 0.0 && slip.invert.weight > 0.0) slips.push_back(slip);
    }
    return slips;
}

std::optional<Slip> worst_slip(const RunRows& run, double scatter) {
    std::optional<Slip> worst;
    for (const Slip& slip : slips_of(run, scatter)) {
        if (slip.t() <= kSlipAbove || !slip.both_say_so()) continue;
        if (!worst || slip.t() > worst->t()) worst = slip;
    }
    return worst;
}

std::string slip_words(const std::string& place, const Slip& slip, LengthUnit unit) {
    const auto side = [](double by_m) { return by_m > 0.0 ? "above" : "below"; };
    return fmt::format(
        "The ground levelled or given at {} stands {} {} the ground at its neighbours, and with "
        "its depth it puts the pipe {} {} where the other depths put it.{} The height was not "
        "used; the ground there was taken from its neighbours.",
        place, height_words(std::abs(slip.ground.by_m), unit), side(slip.ground.by_m),
        height_words(std::abs(slip.invert.by_m), unit), side(slip.invert.by_m),
        whole_slip_words("rod reading", slip.by_m(), slip.sd_m(), unit));
}

void tell_of_fix(const RunId& id, const Slip& slip, RunRows& run) {
    const Row& row = run.rows[slip.row];
    Finding finding =
        run_finding(id, Severity::caution, slip_words(row.source, slip, run.unit),
                    "Look the rod reading up in the field book, or level this point again.");
    finding.where.station_m = row.station_m;
    run.findings.push_back(std::move(finding));
}

// How far the height of a structure is off by another run that meets it.
std::optional<Slip> slip_at(const SiteRun& site, const RunRows& run, double scatter,
                            int structure) {
    if (site.from != structure && site.to != structure) return std::nullopt;
    const std::vector<Slip> slips = slips_of(run, scatter);
    const auto here = std::ranges::find_if(slips, [&](const Slip& slip) {
        return structure_of(run.rows[slip.row], site) == structure;
    });
    return here == slips.end() ? std::nullopt : std::optional(*here);
}

// The height of a structure, as one of its runs shows it.
void tell_of_structure(const RunId& id, const StructureId& structure, const Slip& slip,
                       RunRows& run) {
    Finding finding = run_finding(
        id, Severity::caution, slip_words(structure.text, slip, run.unit),
        "Look the rod reading up in the field book, or level this structure again. Every run "
        "that meets it was taken without its height.");
    finding.where.structure = structure.text;
    run.findings.push_back(std::move(finding));
}

// The only height of a run cannot go: it stays, as unsure as it looks wrong.
void doubt(double slip_m, Index point, std::size_t row, RunRows& run) {
    double& ground_sd_m = run.ground.known[static_cast<std::size_t>(point)].elevation_m.sd;
    ground_sd_m = std::hypot(ground_sd_m, slip_m);
    run.rows[row].ground_m->sd = ground_sd_m;
    run.rows[row].sd_m = std::hypot(run.rows[row].sd_m, slip_m);
}

void leave_out(double slip_m, Index point, std::size_t index, RunRows& run) {
    if (run.ground.known.size() < 2) {
        doubt(slip_m, point, index, run);
        return;
    }
    run.ground.known.erase(run.ground.known.begin() + point);
    Row& slipped = run.rows[index];
    const double own_sd_m = slipped.ground_m->sd;
    slipped.sd_m = std::sqrt(std::max(0.0, slipped.sd_m * slipped.sd_m - own_sd_m * own_sd_m));
    slipped.ground_m.reset();
    slipped.ground_interpolated = true;
    interpolate_ground(run);
}

// In every run that meets the structure.
void leave_out_structure(int structure, double slip_m, const Lines& lines,
                         std::vector<RunRows>& runs) {
    for (std::size_t r = 0; r < runs.size(); ++r) {
        for (std::size_t i = 0; i < runs[r].rows.size(); ++i) {
            const Row& row = runs[r].rows[i];
            if (!row.ground_m || structure_of(row, lines.runs[r].run) != structure) continue;
            if (const auto point = ground_point_of(row, runs[r].ground)) {
                leave_out(slip_m, *point, i, runs[r]);
            }
        }
    }
}

struct RunSlip {
    std::size_t run = 0;
    Slip slip;
};

// Those of structures first, as a structure's height that is wrong makes the fixes beside it look
// wrong in every run that meets it. `worst` by run.
std::optional<RunSlip> next_slip(const std::vector<RunRows>& runs,
                                 const std::vector<std::optional<Slip>>& worst) {
    std::optional<RunSlip> next;
    const auto of_structure = [&](const RunSlip& one) {
        return is_tape(runs[one.run].rows[one.slip.row]);
    };
    for (std::size_t r = 0; r < runs.size(); ++r) {
        if (!worst[r]) continue;
        const RunSlip one{r, *worst[r]};
        const bool first =
            !next || (of_structure(one) && !of_structure(*next)) ||
            (of_structure(one) == of_structure(*next) && one.slip.t() > next->slip.t());
        if (first) next = one;
    }
    return next;
}

// A structure's height that one of its runs contradicts, and what the others say.
struct StructureSlip {
    int structure = -1;
    Slip slip;
    std::size_t by_run = 0;
    std::vector<std::size_t> runs;  // that say the same
    std::vector<std::size_t> deny;  // to which the height is right
};

double apart_sd_m(const Slip& one, const Slip& other) {
    return std::hypot(one.sd_m(), other.sd_m());
}

StructureSlip ask_others(const RunSlip& found, int structure, const Lines& lines,
                         const std::vector<RunRows>& runs, const std::vector<double>& scatter) {
    StructureSlip asked{structure, found.slip, found.run, {found.run}, {}};
    for (std::size_t r = 0; r < runs.size(); ++r) {
        if (r == found.run) continue;
        const auto other = slip_at(lines.runs[r].run, runs[r], scatter[r], structure);
        if (!other) continue;
        const double apart_m = std::abs(other->by_m() - found.slip.by_m());
        const double sd_m = apart_sd_m(*other, found.slip);
        if (apart_m < kDifferBy * sd_m) {
            asked.runs.push_back(r);
        } else if (apart_m > kSlipAbove * sd_m && apart_m > 0.5 * std::abs(found.slip.by_m())) {
            asked.deny.push_back(r);
        }
    }
    std::ranges::sort(asked.runs);
    return asked;
}

std::string ids_of(const std::vector<std::size_t>& runs, const Lines& lines) {
    std::vector<std::string> ids;
    ids.reserve(runs.size());
    for (const std::size_t r : runs) ids.push_back(lines.runs[r].run.id.text);
    return fmt::format("{}", fmt::join(ids, ", "));
}

// As the fixes stand to the structures.
std::string fixes_stand_words(const Slip& slip, LengthUnit unit) {
    return fmt::format("{} {}", height_words(std::abs(slip.by_m()), unit),
                       slip.by_m() < 0.0 ? "above" : "below");
}

const char* const kLookAtSources =
    "Look where these heights come from: an antenna height that was not taken off, another base "
    "or benchmark, or a misread turning point. Correct them, or level fixes and structures in one "
    "loop, and process again.";

void tell_denied(const StructureSlip& asked, const Lines& lines, std::vector<RunRows>& runs) {
    RunRows& run = runs[asked.runs.front()];
    const std::string id = lines.structures[static_cast<std::size_t>(asked.structure)].id.text;
    Finding finding = run_finding(
        lines.runs[asked.runs.front()].run.id, Severity::problem,
        fmt::format("The heights of the ground at the fixes of {} stand {} that of {}, with which "
                    "those of {} agree: they look taken from two sources. Inverts and slopes of {} "
                    "are withheld, and the height of {} was not used.",
                    ids_of(asked.runs, lines), fixes_stand_words(asked.slip, run.unit), id,
                    ids_of(asked.deny, lines), ids_of(asked.runs, lines), id),
        kLookAtSources);
    finding.where.structure = id;
    run.findings.push_back(std::move(finding));
}

// The structure whose height went, if it was one's.
std::optional<StructureSlip> take_out(const RunSlip& found, const Lines& lines,
                                      const std::vector<double>& scatter,
                                      std::vector<RunRows>& runs) {
    RunRows& run = runs[found.run];
    const SiteRun& site = lines.runs[found.run].run;
    const Row& row = run.rows[found.slip.row];
    const auto structure = structure_of(row, site);
    if (!structure || static_cast<std::size_t>(*structure) >= lines.structures.size()) {
        tell_of_fix(site.id, found.slip, run);
        leave_out(found.slip.by_m(), found.slip.point, found.slip.row, run);
        return std::nullopt;
    }
    const StructureSlip asked = ask_others(found, *structure, lines, runs, scatter);
    leave_out_structure(*structure, found.slip.by_m(), lines, runs);
    return asked;
}

// Several structures, all off by one height from the fixes beside them.
bool off_alike(const std::vector<StructureSlip>& slips) {
    if (slips.size() < 2) return false;
    const Slip& first = slips.front().slip;
    return std::ranges::all_of(slips, [&](const StructureSlip& one) {
        return one.deny.empty() &&
               std::abs(one.slip.by_m() - first.by_m()) < kDifferBy * apart_sd_m(one.slip, first);
    });
}

void tell_off_alike(const std::vector<StructureSlip>& slips, const Lines& lines,
                    std::vector<RunRows>& runs) {
    std::vector<std::string> ids;
    ids.reserve(slips.size());
    for (const StructureSlip& one : slips) {
        ids.push_back(lines.structures[static_cast<std::size_t>(one.structure)].id.text);
    }
    RunRows& run = runs[slips.front().runs.front()];
    run.findings.push_back(run_finding(
        lines.runs[slips.front().runs.front()].run.id, Severity::problem,
        fmt::format("The heights of the ground at the fixes stand {} those of {}, all by about the "
                    "same: heights of fixes and of structures look taken from two sources. Inverts "
                    "and slopes of the runs there are withheld.",
                    fixes_stand_words(slips.front().slip, run.unit), fmt::join(ids, ", ")),
        kLookAtSources));
}

void tell_one_by_one(const std::vector<StructureSlip>& slips, const Lines& lines,
                     std::vector<RunRows>& runs) {
    for (const StructureSlip& one : slips) {
        if (!one.deny.empty()) {
            tell_denied(one, lines, runs);
            continue;
        }
        tell_of_structure(lines.runs[one.by_run].run.id,
                          lines.structures[static_cast<std::size_t>(one.structure)].id, one.slip,
                          runs[one.by_run]);
    }
}

void hold_back(const std::vector<std::size_t>& runs,
               std::vector<std::optional<Withheld>>& held_back) {
    for (const std::size_t r : runs) {
        held_back[r] = {
            "The heights of the ground at its fixes and at its structures look taken "
            "from two sources.",
            kLookAtSources};
    }
}

std::vector<std::size_t> runs_at(const StructureSlip& slip, const Lines& lines) {
    std::vector<std::size_t> at;
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const SiteRun& run = lines.runs[r].run;
        if (run.from == slip.structure || run.to == slip.structure) at.push_back(r);
    }
    return at;
}

}  // namespace

GroundSlips leave_out_slipped_ground(const Lines& lines, std::vector<RunRows>& runs) {
    GroundSlips gone;
    gone.held_back.resize(runs.size());
    std::vector<StructureSlip> of_structures;
    std::vector<double> scatter(runs.size(), 1.0);
    std::vector<std::ptrdiff_t> left(runs.size(), 0);
    std::vector<std::optional<Slip>> worst(runs.size());
    const auto look_at = [&](std::size_t r) {
        const bool ask = left[r] > 0 && !gone.held_back[r];
        worst[r] = ask ? worst_slip(runs[r], scatter[r]) : std::nullopt;
    };
    for (std::size_t r = 0; r < runs.size(); ++r) {
        const auto fixes =
            std::ranges::count_if(runs[r].rows, [](const Row& row) { return row.fix.has_value(); });
        if (runs[r].ground.known.empty() || fixes == 0) continue;
        scatter[r] = screen_rows(runs[r]).scatter;
        left[r] = fixes / 3;
        look_at(r);
    }
    while (const auto found = next_slip(runs, worst)) {
        --left[found->run];
        const std::optional<int> fix = runs[found->run].rows[found->slip.row].fix;
        const auto structure = take_out(*found, lines, scatter, runs);
        if (structure) {
            gone.not_used.structures.push_back(structure->structure);
            if (!structure->deny.empty()) hold_back(structure->runs, gone.held_back);
            of_structures.push_back(*structure);
        } else if (fix) {
            gone.not_used.fixes.push_back(*fix);
        }
        for (std::size_t r = 0; r < runs.size(); ++r) {
            const SiteRun& run = lines.runs[r].run;
            const bool meets =
                structure && (run.from == structure->structure || run.to == structure->structure);
            if (r == found->run || meets || gone.held_back[r]) look_at(r);
        }
    }
    if (off_alike(of_structures)) {
        tell_off_alike(of_structures, lines, runs);
        for (const StructureSlip& one : of_structures) {
            hold_back(runs_at(one, lines), gone.held_back);
        }
    } else {
        tell_one_by_one(of_structures, lines, runs);
    }
    for (std::vector<int>* one : {&gone.not_used.structures, &gone.not_used.fixes}) {
        std::ranges::sort(*one);
        one->erase(std::unique(one->begin(), one->end()), one->end());
    }
    return gone;
}

std::string whole_slip_words(std::string_view reading, double slip_m, double sd_m,
                             LengthUnit unit) {
    const bool metric = unit == LengthUnit::metre;
    const double step_m = metric ? kDecimetre_m : foot_m;
    const double steps = std::round(std::abs(slip_m) / step_m);
    if (steps < 1.0 || steps > (metric ? kMostDecimetres : kMostFeet)) return "";
    if (std::abs(std::abs(slip_m) - steps * step_m) > 2.0 * sd_m) return "";
    return fmt::format(
        " A {} off by {} would explain it.", reading,
        metric ? fmt::format("{:.0f} cm", 10.0 * steps) : fmt::format("{:.0f} ft", steps));
}

}  // namespace sondeline::grade
