#include "intake/footage_files.hpp"

#include <algorithm>
#include <array>
#include <map>

#include <fmt/format.h>

#include "intake/text.hpp"

namespace sondeline {

namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 14> kEndings{".mp4", ".mov",  ".m4v", ".mkv",  ".avi",
                                                    ".mpg", ".mpeg", ".vob", ".m2ts", ".mts",
                                                    ".ts",  ".wmv",  ".asf", ".webm"};

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// The digits at the front of `text`, without leading noughts.
std::string_view take_count(std::string_view& text) {
    std::size_t length = 0;
    while (length < text.size() && is_digit(text[length])) ++length;
    std::string_view digits = text.substr(0, length);
    text.remove_prefix(length);
    while (digits.size() > 1 && digits.front() == '0') digits.remove_prefix(1);
    return digits;
}

// Less than, equal to or greater than 0.
int natural_order(std::string_view a, std::string_view b) {
    while (!a.empty() && !b.empty()) {
        if (is_digit(a.front()) && is_digit(b.front())) {
            const std::string_view count_a = take_count(a);
            const std::string_view count_b = take_count(b);
            if (count_a.size() != count_b.size()) return count_a.size() < count_b.size() ? -1 : 1;
            if (const int order = count_a.compare(count_b); order != 0) return order;
        } else {
            if (a.front() != b.front()) return a.substr(0, 1).compare(b.substr(0, 1));
            a.remove_prefix(1);
            b.remove_prefix(1);
        }
    }
    if (a.empty() && b.empty()) return 0;
    return a.empty() ? -1 : 1;
}

std::string stem(const std::string& name) {
    return fs::path(name).stem().string();
}

// The files that answer to a typed name: the very one, else by full name, else by stem.
std::vector<std::string> answering(const Job& job, const std::string& typed) {
    const std::string wanted = lower_case(typed);
    std::vector<std::string> by_name;
    std::vector<std::string> by_stem;
    for (const FootageFile& file : job.footage) {
        if (file.name == typed) return {file.name};
        if (lower_case(file.name) == wanted) by_name.push_back(file.name);
        if (lower_case(stem(file.name)) == wanted) by_stem.push_back(file.name);
    }
    return by_name.empty() ? by_stem : by_name;
}

SourceCell footage_cell(const Run& run) {
    SourceCell cell = run.source;
    cell.column = "footage";
    return cell;
}

using RunsOfClip = std::map<std::string, std::vector<std::string>>;

void settle_run(const Job& job, Run& run, RunsOfClip& runs_of, FindingLog& log) {
    std::vector<std::string> settled;
    for (const std::string& typed : run.footage) {
        const std::vector<std::string> files = answering(job, typed);
        if (files.size() != 1) {
            log.problem(footage_cell(run),
                        files.empty()
                            ? fmt::format("The clip {} is not in the folder.", shown(typed))
                            : fmt::format("{} could be {}.", shown(typed), listed(files)),
                        files.empty() ? "Copy it into the folder, or correct its name."
                                      : "Write the name with its extension.");
            continue;
        }
        std::vector<std::string>& runs = runs_of[files.front()];
        if (std::ranges::find(runs, run.id.text) != runs.end()) {
            log.caution(footage_cell(run),
                        fmt::format("This run names the clip {} twice.", files.front()),
                        "Name every clip once.");
            continue;
        }
        runs.push_back(run.id.text);
        settled.push_back(files.front());
    }
    const bool should_have = run.status != RunStatus::not_entered;
    if (run.footage.empty() && should_have) {
        Where where = where_is(footage_cell(run));
        where.run = run.id.text;
        log.add(
            {Severity::caution, where, "The run names no footage, so it has no measured length.",
             "Name its clips, or give it the status not entered.", Consequence::run_not_measured});
    }
    run.footage = std::move(settled);
}

// A clip shows one pipe. Which of the runs that name it is not known, and the length of the others
// would be that of another pipe.
void leave_out_shared_clips(const RunsOfClip& runs_of, std::vector<Run>& runs, FindingLog& log) {
    for (Run& run : runs) {
        const auto shared = std::ranges::find_if(
            run.footage, [&](const std::string& name) { return runs_of.at(name).size() > 1; });
        if (shared == run.footage.end()) continue;
        Where where = where_is(footage_cell(run));
        where.run = run.id.text;
        log.add({Severity::problem, where,
                 fmt::format("The clip {} is named by the runs {}. It shows one of them at most, "
                             "so that no footage of this run was used.",
                             *shared, listed(runs_of.at(*shared))),
                 "Name every clip once, with the run that it shows.",
                 Consequence::run_not_measured});
        run.footage.clear();
    }
}

}  // namespace

bool natural_less(const std::string& a, const std::string& b) {
    const int order = natural_order(lower_case(a), lower_case(b));
    return order != 0 ? order < 0 : a < b;
}

bool is_footage(const fs::path& path) {
    return std::ranges::find(kEndings, lower_case(path.extension().string())) != kEndings.end();
}

void settle_footage_names(Job& job, FindingLog& log) {
    RunsOfClip runs_of;
    for (Run& run : job.runs) settle_run(job, run, runs_of, log);
    leave_out_shared_clips(runs_of, job.runs, log);
    for (const FootageFile& file : job.footage) {
        if (runs_of.contains(file.name)) continue;
        log.caution({file.name, 0, ""}, "No run names this clip, so it belongs nowhere.",
                    "Name it in the column footage of its run.");
    }
}

void make_runs_from_footage(Job& job, FindingLog& log) {
    std::map<std::string, int> files_of_stem;
    for (const FootageFile& file : job.footage) ++files_of_stem[lower_case(stem(file.name))];
    for (const FootageFile& file : job.footage) {
        Run run;
        const bool alone = files_of_stem[lower_case(stem(file.name))] == 1;
        run.id.text = alone ? stem(file.name) : file.name;
        run.footage = {file.name};
        run.source.file = file.name;
        job.runs.push_back(std::move(run));
    }
    job.runs_from_footage = !job.runs.empty();
    if (!job.runs_from_footage) return;
    log.info(
        {"", 0, ""},
        "There is no runs table, so each clip was taken for one run and only lengths are given.",
        "For a map add the tables runs, structures and fixes, and levels for heights; "
        "docs/job-folder.md in the source describes them.");
}

}  // namespace sondeline
