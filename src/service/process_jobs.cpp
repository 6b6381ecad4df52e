#include <algorithm>
#include <map>
#include <mutex>
#include <set>
#include <thread>

#include <fmt/format.h>
#include <unistd.h>

#include "service/one_job.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

// Tells of finished jobs in their order, however they finish.
class InOrder {
  public:
    InOrder(std::vector<Outcome>& outcomes, const DayOptions& options)
        : outcomes_(outcomes), options_(options), done_(outcomes.size(), false) {}

    void finish(std::size_t job, Outcome outcome) {
        const std::lock_guard lock(mutex_);
        outcomes_[job] = std::move(outcome);
        done_[job] = true;
        while (next_ < done_.size() && done_[next_]) {
            if (options_.job_done) options_.job_done(next_, outcomes_[next_]);
            ++next_;
        }
    }

    void progress(const JobProgress& progress) {
        if (!options_.progress) return;
        const std::lock_guard lock(mutex_);
        options_.progress(progress);
    }

  private:
    std::vector<Outcome>& outcomes_;
    const DayOptions& options_;
    std::mutex mutex_;
    std::vector<bool> done_;
    std::size_t next_ = 0;
};

std::string unused_name(const std::string& wanted, std::set<std::string>& taken) {
    std::string name = wanted;
    for (int number = 2; !taken.insert(name).second; ++number) {
        name = fmt::format("{}-{}", wanted, number);
    }
    return name;
}

std::string folder_name(const fs::path& folder) {
    std::error_code error;
    const fs::path whole = fs::weakly_canonical(folder, error);
    const std::string name = (error ? folder : whole).filename().string();
    return name.empty() ? "job" : name;
}

}  // namespace

std::vector<JobOrder> job_orders(const std::vector<fs::path>& folders, const fs::path& out) {
    std::vector<JobOrder> orders;
    std::set<fs::path> known;
    for (const fs::path& folder : folders) {
        for (fs::path& job : job_folders(folder)) {
            std::error_code error;
            const fs::path whole = fs::weakly_canonical(job, error);
            if (!known.insert(error ? job : whole).second) continue;
            orders.push_back({std::move(job), {}});
        }
    }
    if (out.empty()) return orders;
    if (orders.size() == 1) {
        orders.front().out = out;
        return orders;
    }
    std::set<std::string> taken;
    for (JobOrder& order : orders) order.out = out / unused_name(folder_name(order.folder), taken);
    return orders;
}

fs::path unfinished_folder(const fs::path& out) {
    const fs::path whole = fs::absolute(out / "").parent_path().lexically_normal();
    return whole.parent_path() / fmt::format(".{}.writing-{}", whole.filename().string(), getpid());
}

std::vector<Outcome> process_jobs(const std::vector<JobOrder>& orders, const TrackReader& reader,
                                  const DayOptions& options) {
    const unsigned cores = core_count(options.threads);
    ReadingSlots slots(cores);
    std::vector<Outcome> outcomes(orders.size());
    InOrder told(outcomes, options);
    std::atomic<std::size_t> next{0};
    const TrackReader in_turn = [&](const fs::path& clip, const ReadProgress& progress) {
        return slots.read(reader, clip, progress);
    };
    const auto work = [&] {
        for (std::size_t i = next++; i < orders.size(); i = next++) {
            ProcessOptions job{orders[i].out, cores, {}, options.stop, options.pdf_program};
            job.progress = [&, i](const std::string& clip, double share) {
                told.progress({i, clip, share});
            };
            try {
                told.finish(i, work_on(orders[i], in_turn, job));
            } catch (const Stopped&) {
                return;
            }
        }
    };
    std::vector<std::jthread> workers;
    for (std::size_t i = std::min<std::size_t>(cores, orders.size()); i > 1; --i) {
        workers.emplace_back(work);
    }
    work();
    workers.clear();
    if (options.stop.stop_requested()) throw Stopped();
    return outcomes;
}

}  // namespace sondeline
