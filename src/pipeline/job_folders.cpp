#include <algorithm>

#include "sondeline/pipeline.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

bool holds_a_job(const fs::path& folder) {
    const Job job = read_job_folder(folder);
    return !job.footage.empty() || !job.inputs.empty();
}

}  // namespace

std::vector<fs::path> job_folders(const fs::path& folder) {
    if (holds_a_job(folder)) return {folder};
    std::vector<fs::path> jobs;
    std::error_code error;
    for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
        std::error_code not_a_folder;
        if (it->is_directory(not_a_folder) && holds_a_job(it->path())) jobs.push_back(it->path());
    }
    std::ranges::sort(jobs);
    if (jobs.empty()) jobs.push_back(folder);
    return jobs;
}

}  // namespace sondeline
