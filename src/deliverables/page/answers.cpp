#include <algorithm>
#include <array>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/sections.hpp"

namespace sondeline {

namespace {

// Kinds in the order in which water passes them.
constexpr std::array<std::array<std::string_view, 3>, 5> run_kinds{{
    {"building sewer", "building sewer", "building sewers"},
    {"effluent line", "effluent line", "effluent lines"},
    {"lateral", "lateral", "laterals"},
    {"trench", "trench", "trenches"},
    {"other", "run of another kind or of none said", "runs of another kind or of none said"},
}};

// What a note may say that somebody should mend.
constexpr std::array<std::string_view, 6> defects{"root",         "crack",   "collapse",
                                                  "offset joint", "deposit", "infiltration"};

std::string joined(const std::vector<std::string>& parts) {
    return fmt::format("{}", fmt::join(parts, ", "));
}

std::string what_is_there(const PageData& page) {
    std::vector<std::string> parts;
    for (const auto& [kind, one, many] : run_kinds) {
        const int count = page.count_of("pipe_runs", "kind", kind);
        if (count == 0) continue;
        parts.push_back(page.count("pipe_runs", "kind", kind) + " " + plural(count, one, many));
    }
    if (parts.empty()) return "No run of pipe.";
    std::string text = joined(parts);
    for (const char* status : {"capped", "broken", "not entered"}) {
        const int count = page.count_of("pipe_runs", "status", status);
        if (count == 0) continue;
        text += fmt::format("; {} {} {}", page.count("pipe_runs", "status", status),
                            count == 1 ? "is" : "are", status);
    }
    return text + ".";
}

std::string how_long(const PageData& page) {
    const int known = page.count_of("pipe_runs", "length_m");
    const int all = page.count_of("pipe_runs", "run_id");
    if (known == 0) return "No length could be measured; the findings say why.";
    const double per = metres_per(page.unit());
    const double half =
        (page.sum_of("pipe_runs", "length_hi95_m") - page.sum_of("pipe_runs", "length_lo95_m")) /
        2.0 / per;
    const int decimals = decimals_for_bounds(half);
    std::string text =
        fmt::format("<b>{} {}</b> of pipe <span class=\"quiet\">({} to {})</span>",
                    page.sum("pipe_runs", "length_m", decimals), unit_symbol(page.unit()),
                    page.sum_of_lower("pipe_runs", "length_lo95_m", decimals),
                    page.sum_of_upper("pipe_runs", "length_hi95_m", decimals));
    if (known < all) {
        text += fmt::format(", {} of {} runs measured", page.count("pipe_runs", "length_m"),
                            page.count("pipe_runs", "run_id"));
    }
    const int on = page.count_of("pipe_runs", "reached_end", "no");
    if (on > 0) {
        text += fmt::format("; {} {} on beyond what was pushed",
                            page.count("pipe_runs", "reached_end", "no"),
                            plural(on, "run goes", "runs go"));
    }
    return text + ".";
}

struct Beyond {
    std::string_view bound;  // column of the outer bound
    double outward = 1.0;    // 1: the greater is the outer one; -1: the lesser
    std::string_view word;
};

// Another run whose bounds reach past those of the run that is named, if any does.
std::string may_lie_beyond(const PageData& page, std::size_t named, const Beyond& beyond) {
    std::size_t furthest = named;
    const auto reach = [&](std::size_t run) {
        return page.number({"pipe_runs", run, beyond.bound});
    };
    for (std::size_t run = 0; run < page.layer("pipe_runs").rows.size(); ++run) {
        const auto here = reach(run);
        if (here && beyond.outward * *here > beyond.outward * *reach(furthest)) furthest = run;
    }
    const int decimals = 1;
    const double per = metres_per(page.unit());
    const auto shown = [&](std::size_t run) {
        return beyond.outward > 0.0
                   ? page.upper_bound({"pipe_runs", run, beyond.bound}, decimals, per)
                   : page.lower_bound({"pipe_runs", run, beyond.bound}, decimals, per);
    };
    if (furthest == named) return "";
    return fmt::format(" (run {} may be as {} as {} {})",
                       page.words({"pipe_runs", furthest, "run_id"}), beyond.word, shown(furthest),
                       unit_symbol(page.unit()));
}

// The shallowest and the deepest run, from the map's own columns.
std::string how_deep(const PageData& page) {
    std::optional<std::size_t> shallow;
    std::optional<std::size_t> deep;
    const std::size_t runs = page.layer("pipe_runs").rows.size();
    const auto depth = [&](std::size_t run, std::string_view column) {
        return page.number({"pipe_runs", run, column});
    };
    for (std::size_t run = 0; run < runs; ++run) {
        const auto least = depth(run, "min_depth_m");
        const auto most = depth(run, "max_depth_m");
        if (least && (!shallow || *least < *depth(*shallow, "min_depth_m"))) shallow = run;
        if (most && (!deep || *most > *depth(*deep, "max_depth_m"))) deep = run;
    }
    if (!shallow || !deep) return "Depths are withheld; the table of runs says why.";
    return fmt::format("{} in run {}{} to {} in run {}{}, from the ground to the invert.",
                       page.bounded_length("pipe_runs", *shallow, "min_depth"),
                       page.words({"pipe_runs", *shallow, "run_id"}),
                       may_lie_beyond(page, *shallow, {"min_depth_lo95_m", -1.0, "shallow"}),
                       page.bounded_length("pipe_runs", *deep, "max_depth"),
                       page.words({"pipe_runs", *deep, "run_id"}),
                       may_lie_beyond(page, *deep, {"max_depth_hi95_m", 1.0, "deep"}));
}

void add_defects(const PageData& page, std::vector<std::string>& wrong) {
    const std::size_t notes = page.layer("observations").rows.size();
    for (std::size_t row = 0; row < notes; ++row) {
        const std::string category = page.text({"observations", row, "category"});
        if (std::ranges::find(defects, category) == defects.end()) continue;
        const std::string where = page.length({"observations", row, "station_m"}, 1);
        const std::string severity = page.words({"observations", row, "severity"});
        wrong.push_back(fmt::format("Run {}{}: {}{}.", page.words({"observations", row, "run_id"}),
                                    where.empty() ? "" : " at " + where,
                                    page.words({"observations", row, "what"}),
                                    severity.empty() ? "" : ", " + severity));
    }
}

void add_grades(const PageData& page, std::vector<std::string>& wrong) {
    const std::size_t stretches = page.layer("stretches").rows.size();
    for (std::size_t row = 0; row < stretches; ++row) {
        if (page.text({"stretches", row, "verdict"}) != "below") continue;
        wrong.push_back(fmt::format("Run {} falls {} % from {} to {}, where {} % is asked ({}).",
                                    page.words({"stretches", row, "run_id"}),
                                    page.figure({"stretches", row, "slope_pct"}, 2),
                                    page.length({"stretches", row, "from_m"}, 0),
                                    page.length({"stretches", row, "to_m"}, 0),
                                    page.figure({"stretches", row, "minimum_slope_pct"}, 2),
                                    page.words({"stretches", row, "minimum_source"})));
    }
}

// Runs without a length, or without a place on the map, for one reason.
struct Lacking {
    bool measured = false;
    std::string reason;
    std::string marked_reason;
    std::vector<std::string> runs;
};

void add_withheld(const PageData& page, std::vector<std::string>& wrong) {
    std::vector<Lacking> all;
    for (std::size_t run = 0; run < page.layer("pipe_runs").rows.size(); ++run) {
        const bool measured = page.number({"pipe_runs", run, "length_m"}).has_value();
        const bool drawn = !page.layer("pipe_runs").rows[run].geometry.empty();
        if (measured && drawn) continue;
        const CellRef why{"pipe_runs", run, measured ? "quality" : "length_withheld"};
        const std::string reason = page.text(why);
        auto same = std::ranges::find_if(all, [&](const Lacking& one) {
            return one.measured == measured && one.reason == reason;
        });
        if (same == all.end())
            same = all.insert(all.end(), {measured, reason, page.words(why), {}});
        same->runs.push_back(page.words({"pipe_runs", run, "run_id"}));
    }
    for (const Lacking& one : all) {
        const bool many = one.runs.size() > 1;
        wrong.push_back(fmt::format(
            "{} {} {} {}: {}", many ? "Runs" : "Run", joined(one.runs), many ? "have" : "has",
            one.measured ? "no place on the map" : "no length", one.marked_reason));
    }
}

std::string what_is_wrong(const PageData& page) {
    std::vector<std::string> wrong;
    for (std::size_t row = 0; row < page.layer("bellies").rows.size(); ++row) {
        wrong.push_back(fmt::format(
            "Run {}, standing water or a belly from {} to {}. {}",
            page.words({"bellies", row, "run_id"}), page.bounded_length("bellies", row, "from"),
            page.bounded_length("bellies", row, "to"), page.words({"bellies", row, "words"})));
    }
    add_defects(page, wrong);
    add_grades(page, wrong);
    add_withheld(page, wrong);
    if (wrong.empty()) {
        return "Nothing was noted or measured. Each run's smallest visible sag is in the table: "
               "what is smaller was not looked for.";
    }
    return fmt::format("<ul><li>{}</li></ul>", fmt::join(wrong, "</li><li>"));
}

std::string what_the_paper_said(const PageData& page) {
    const int claims = page.count_of("records_check", "item");
    if (claims == 0) return "No paper was given to check against.";
    std::string text;
    for (std::size_t row = 0; row < page.layer("records_check").rows.size(); ++row) {
        const std::string verdict = page.text({"records_check", row, "verdict"});
        if (verdict.starts_with("agrees") || verdict == "cannot tell") continue;
        text += fmt::format("<li><span class=\"word {0}\">{0}</span>: {1}</li>", verdict,
                            page.words({"records_check", row, "words"}));
    }
    std::string stated;
    if (const int as_stated = page.count_of("records_check", "verdict", "agrees as stated")) {
        stated = fmt::format(", {} {} with what was stated on site and not measured",
                             page.count("records_check", "verdict", "agrees as stated"),
                             plural(as_stated, "agrees", "agree"));
    }
    if (page.count_of("records_check", "verdict", "cannot tell") > 0) {
        stated += fmt::format(", {} could not be checked",
                              page.count("records_check", "verdict", "cannot tell"));
    }
    return fmt::format(
        "{} of {} {} with the measurement{}{}{}", page.count("records_check", "verdict", "agrees"),
        page.count("records_check", "item"), plural(claims, "claim agrees", "claims agree"), stated,
        text.empty() ? "." : ":", text.empty() ? "" : "<ul>" + text + "</ul>");
}

std::string before_use(const PageData& page) {
    const int problems = page.count_of("findings", "severity", "problem");
    const int cautions = page.count_of("findings", "severity", "caution");
    if (problems + cautions == 0) {
        return "No problem and no caution; <a href=\"#cautions\">what every user must know</a>.";
    }
    return fmt::format(
        "{} {} and {} {} to settle, <a href=\"#findings\">listed below with what to "
        "do</a>.",
        page.count("findings", "severity", "problem"), plural(problems, "problem", "problems"),
        page.count("findings", "severity", "caution"), plural(cautions, "caution", "cautions"));
}

std::string map_system_words(const LocalFrame& frame) {
    if (!frame.crs_name.empty()) return frame.crs_name;
    return frame.crs == "local" ? "coordinates of its own" : frame.crs;
}

}  // namespace

std::string title_block(const PageData& page) {
    const AsBuilt& as_built = page.as_built();
    const JobSettings& job = as_built.job.settings;
    std::string line;
    const auto add = [&](std::string_view name, const std::string& value) {
        if (value.empty()) return;
        line += (line.empty() ? "" : " · ") + std::string(name) + escaped(value);
    };
    add("", job.date);
    add("prepared by ", job.prepared_by);
    add("for ", job.prepared_for);
    add("map in ", map_system_words(as_built.site.frame));
    return fmt::format(
        "<header class=\"as-given\"><h1>{}: the pipes as found</h1><p class=\"quiet\">"
        "{}</p></header>",
        escaped(job.site), line);
}

std::string in_short(const PageData& page) {
    std::string rows;
    const auto add = [&](std::string_view question, const std::string& answer) {
        rows += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>", question, answer);
    };
    add("What is there", what_is_there(page));
    add("How long", how_long(page));
    add("How deep", how_deep(page));
    add("What is wrong", what_is_wrong(page));
    add("What the paper said", what_the_paper_said(page));
    add("Before you rely on it", before_use(page));
    return "<dl class=\"answer\">" + rows + "</dl>";
}

}  // namespace sondeline
