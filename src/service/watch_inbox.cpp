#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>

#include <fmt/format.h>

#include "service/inbox.hpp"
#include "service/watch_record.hpp"
#include "service/whole_file.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

constexpr int most_unfinished_starts = 2;
constexpr double retry_s = 60.0;

double now_s() {
    const auto since = std::chrono::steady_clock::now().time_since_epoch();
    return std::chrono::duration<double>(since).count();
}

// Sleeps, but not beyond a request to stop.
void sleep_for(double seconds, const std::stop_token& stop) {
    std::mutex mutex;
    std::condition_variable_any stopped;
    std::unique_lock lock(mutex);
    stopped.wait_for(lock, stop, std::chrono::duration<double>(seconds), [] { return false; });
}

std::string outcome_words(const WatchedJob& job) {
    if (job.state == WatchState::failed) return job.words;
    if (job.exit_code == 0) return "all runs measured";
    return fmt::format("written, with {} problem{}", job.problems, job.problems == 1 ? "" : "s");
}

class Watcher {
  public:
    Watcher(const fs::path& inbox, const TrackReader& reader, const WatchOptions& options)
        : inbox_(inbox),
          reader_(reader),
          options_(options),
          records_(inbox / ".sondeline"),
          settling_(options.settle_s) {}

    void watch() {
        while (!options_.stop.stop_requested()) {
            const std::vector<std::string> ready = look();
            if (!ready.empty()) {
                work_on(ready);
            } else if (options_.once && nothing_pending()) {
                break;
            } else {
                sleep_for(options_.interval_s, options_.stop);
            }
        }
        show("stopped");
    }

  private:
    void tell(const std::string& line) const {
        if (options_.tell) options_.tell(line);
    }

    void show(std::string_view state) {
        std::string status = status_json(state, jobs_);
        if (status == shown_) return;
        write_whole(inbox_ / "watching.json", status);
        shown_ = std::move(status);
    }

    bool nothing_pending() const {
        return std::ranges::none_of(jobs_, [](const auto& job) {
            return job.second.state == WatchState::being_copied ||
                   job.second.state == WatchState::waiting;
        });
    }

    // The jobs to work on now.
    std::vector<std::string> look() {
        const auto found = jobs_of_inbox(inbox_);
        const std::vector<std::string> settled = settling_.settled(found, now_s());
        std::erase_if(jobs_, [&](const auto& job) { return !found.contains(job.first); });
        std::vector<std::string> ready;
        for (const auto& [name, state] : found) {
            WatchedJob& job = jobs_[name];
            if (job.signature != state.signature) {
                job = {WatchState::waiting, state.signature, 0, 0, ""};
                retry_at_s_.erase(name);
                if (auto known = records_.finished(name, state.signature)) job = *known;
            }
            if (job.state == WatchState::done || job.state == WatchState::left_alone) continue;
            const bool has_settled = std::ranges::find(settled, name) != settled.end();
            if (job.state != WatchState::failed) {
                job.state = has_settled ? WatchState::waiting : WatchState::being_copied;
            }
            if (has_settled && may_begin(name, job)) ready.push_back(name);
        }
        show(ready.empty() ? "waiting" : "working");
        return ready;
    }

    bool may_begin(const std::string& name, WatchedJob& job) {
        const auto retry = retry_at_s_.find(name);
        if (retry != retry_at_s_.end() && now_s() < retry->second) return false;
        if (records_.unfinished_starts(name, job.signature) < most_unfinished_starts) return true;
        job.state = WatchState::left_alone;
        job.words = "Work on it ended the program twice. It is tried again when its files change.";
        tell(fmt::format("{}: {}", name, job.words));
        return false;
    }

    void work_on(const std::vector<std::string>& ready) {
        std::vector<JobOrder> orders;
        std::map<std::string, std::string> begun;
        for (const std::string& name : ready) {
            begun[name] = jobs_[name].signature;
            orders.push_back({inbox_ / name, {}});
            jobs_[name].state = WatchState::working;
            records_.begin(name, jobs_[name].signature);
            tell(fmt::format("{}: begun", name));
        }
        show("working");
        // At once, as there may be no time to end in good order.
        const std::stop_callback asked_to_stop(options_.stop, [this, begun] {
            for (const auto& [name, signature] : begun) {
                if (!records_.finished(name, signature)) records_.withdraw(name);
            }
        });
        DayOptions day;
        day.threads = options_.threads;
        day.stop = options_.stop;
        day.pdf_program = options_.pdf_program;
        day.job_done = [&](std::size_t i, const Outcome& outcome) { end(ready[i], outcome); };
        day.progress = [&](const JobProgress& at) {
            if (options_.progress) options_.progress(ready[at.job] + "/" + at.clip, at.share);
        };
        try {
            process_jobs(orders, reader_, day);
        } catch (const Stopped&) {
            for (const std::string& name : ready) {
                if (jobs_[name].state != WatchState::working) continue;
                jobs_[name].state = WatchState::waiting;
            }
        }
    }

    void end(const std::string& name, const Outcome& outcome) {
        WatchedJob& job = jobs_[name];
        job.exit_code = outcome.exit_code;
        job.problems = static_cast<int>(
            std::ranges::count(outcome.findings, Severity::problem, &Finding::severity));
        if (outcome.exit_code == 3) {
            job.state = WatchState::failed;
            job.words = outcome.error;
            retry_at_s_[name] = now_s() + retry_s;
            records_.withdraw(name);
        } else {
            job.state = WatchState::done;
            job.words.clear();
            records_.finish(name, job);
        }
        tell(fmt::format("{}: {}", name, outcome_words(job)));
        show("working");
    }

    fs::path inbox_;
    const TrackReader& reader_;
    const WatchOptions& options_;
    WatchRecords records_;
    Settling settling_;
    std::map<std::string, WatchedJob> jobs_;
    std::map<std::string, double> retry_at_s_;
    std::string shown_;
};

}  // namespace

std::string watch_inbox(const fs::path& inbox, const TrackReader& reader,
                        const WatchOptions& options) {
    std::error_code error;
    if (!fs::is_directory(inbox, error)) {
        return fmt::format("{} is no folder that can be watched.", inbox.generic_string());
    }
    fs::create_directory(inbox / ".sondeline", error);
    const InboxLock lock(inbox / ".sondeline" / "lock");
    if (!lock.held()) return lock.why_not();
    Watcher(inbox, reader, options).watch();
    return "";
}

}  // namespace sondeline
