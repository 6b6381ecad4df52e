#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <set>
#include <thread>

#include <fmt/format.h>

#include "service/inbox.hpp"
#include "service/one_job.hpp"
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

std::string outcome_words(const WatchedJob& job) {
    if (job.state == WatchState::failed) return job.words;
    if (job.exit_code == 0) return "all runs measured";
    return fmt::format("written, with {} problem{}", job.problems, job.problems == 1 ? "" : "s");
}

// Looks at the inbox over and over, and works on each job that is ready in a thread of its own, as
// many at once as there are cores.
class Watcher {
  public:
    Watcher(const fs::path& inbox, const TrackReader& reader, const WatchOptions& options)
        : inbox_(inbox),
          reader_(reader),
          options_(options),
          records_(inbox / ".sondeline"),
          settling_(options.settle_s),
          cores_(core_count(options.threads)),
          slots_(cores_) {}

    void watch() {
        // At once, as there may be no time to end in good order.
        const std::stop_callback asked_to_stop(options_.stop, [this] { withdraw_begun(); });
        std::unique_lock lock(mutex_);
        while (!options_.stop.stop_requested()) {
            join_ended(lock);
            look();
            if (options_.once && workers_.empty() && nothing_pending()) break;
            changed_.wait_for(lock, options_.stop,
                              std::chrono::duration<double>(options_.interval_s),
                              [this] { return !ended_.empty(); });
        }
        lock.unlock();
        workers_.clear();  // waits for them
        for (auto& [name, job] : jobs_) {
            if (job.state == WatchState::working) job.state = WatchState::waiting;
        }
        show("stopped");
    }

  private:
    // All below is called with the mutex held, unless it says otherwise.

    void tell(const std::string& line) const {
        if (options_.tell) options_.tell(line);
    }

    void show(std::string_view state) {
        std::string status = status_json(state, jobs_);
        if (status == shown_) return;
        write_whole(inbox_ / "watching.json", status);
        shown_ = std::move(status);
    }

    void show() { show(workers_.empty() ? "waiting" : "working"); }

    bool nothing_pending() const {
        return std::ranges::none_of(jobs_, [](const auto& job) {
            return job.second.state == WatchState::being_copied ||
                   job.second.state == WatchState::waiting;
        });
    }

    // Compares the inbox with what is known, and begins what is ready.
    void look() {
        const auto found = jobs_of_inbox(inbox_);
        const std::vector<std::string> settled = settling_.settled(found, now_s());
        std::erase_if(jobs_, [&](const auto& job) { return !found.contains(job.first); });
        for (const auto& [name, state] : found) {
            WatchedJob& job = jobs_[name];
            if (job.signature != state.signature) {
                job = {WatchState::waiting, state.signature, 0, 0, ""};
                retry_at_s_.erase(name);
                if (auto known = records_.finished(name, state.signature)) job = *known;
            }
            if (job.state == WatchState::done || job.state == WatchState::left_alone ||
                job.state == WatchState::working) {
                continue;
            }
            const bool has_settled = std::ranges::find(settled, name) != settled.end();
            if (job.state != WatchState::failed) {
                job.state = has_settled ? WatchState::waiting : WatchState::being_copied;
            }
            if (has_settled && may_begin(name, job)) begin(name, job);
        }
        show();
    }

    // A job that changed while it was worked on is still worked on in its old state.
    bool may_begin(const std::string& name, WatchedJob& job) {
        if (workers_.size() >= cores_ || workers_.contains(name)) return false;
        const auto retry = retry_at_s_.find(name);
        if (retry != retry_at_s_.end() && now_s() < retry->second) return false;
        if (records_.unfinished_starts(name, job.signature) < most_unfinished_starts) return true;
        job.state = WatchState::left_alone;
        job.words = "Work on it ended the program twice. It is tried again when its files change.";
        tell(fmt::format("{}: {}", name, job.words));
        return false;
    }

    void begin(const std::string& name, WatchedJob& job) {
        job.state = WatchState::working;
        {
            const std::lock_guard lock(begun_mutex_);
            records_.begin(name, job.signature);
            begun_.insert(name);
        }
        tell(fmt::format("{}: begun", name));
        workers_[name] =
            std::jthread([this, name, signature = job.signature] { work(name, signature); });
    }

    // Without the mutex, in the job's own thread.
    void work(const std::string& name, const std::string& signature) {
        const TrackReader in_turn = [this](const fs::path& clip, const ReadProgress& progress) {
            return slots_.read(reader_, clip, progress);
        };
        ProcessOptions options;
        options.threads = cores_;
        options.stop = options_.stop;
        options.pdf_program = options_.pdf_program;
        options.progress = [&](const std::string& clip, double share) {
            const std::lock_guard lock(mutex_);
            if (options_.progress) options_.progress(name + "/" + clip, share);
        };
        try {
            const Outcome outcome = work_on({inbox_ / name, {}}, in_turn, options);
            const std::lock_guard lock(mutex_);
            end(name, signature, outcome);
        } catch (const Stopped&) {
            return;
        }
        changed_.notify_all();
    }

    void end(const std::string& name, const std::string& signature, const Outcome& outcome) {
        WatchedJob job{WatchState::done, signature, outcome.exit_code, 0, ""};
        job.problems = static_cast<int>(
            std::ranges::count(outcome.findings, Severity::problem, &Finding::severity));
        if (outcome.exit_code == 3) {
            job.state = WatchState::failed;
            job.words = outcome.error;
            retry_at_s_[name] = now_s() + retry_s;
        }
        record_end(name, job);
        ended_.push_back(name);
        tell(fmt::format("{}: {}", name, outcome_words(job)));
        const auto known = jobs_.find(name);
        if (known != jobs_.end() && known->second.signature == signature) known->second = job;
        show("working");
    }

    void record_end(const std::string& name, const WatchedJob& job) {
        const std::lock_guard lock(begun_mutex_);
        begun_.erase(name);
        if (job.state == WatchState::failed) {
            records_.withdraw(name);
        } else {
            records_.finish(name, job);
        }
    }

    // A thread that has told of its end needs the mutex no more, but may not have left yet.
    void join_ended(std::unique_lock<std::mutex>& lock) {
        std::vector<std::jthread> leaving;
        for (const std::string& name : ended_) {
            leaving.push_back(std::move(workers_.at(name)));
            workers_.erase(name);
        }
        ended_.clear();
        lock.unlock();
        leaving.clear();
        lock.lock();
    }

    // Being asked to stop is no failure of a job. With or without the mutex: `tell` may be what
    // asks.
    void withdraw_begun() {
        const std::lock_guard lock(begun_mutex_);
        for (const std::string& name : begun_) records_.withdraw(name);
    }

    fs::path inbox_;
    const TrackReader& reader_;
    const WatchOptions& options_;
    WatchRecords records_;
    Settling settling_;
    unsigned cores_;
    ReadingSlots slots_;
    std::map<std::string, WatchedJob> jobs_;
    std::map<std::string, double> retry_at_s_;
    std::vector<std::string> ended_;  // whose threads are to be joined
    std::string shown_;
    std::mutex mutex_;
    std::set<std::string> begun_;  // and not ended, by record
    std::mutex begun_mutex_;       // of begun_ and the records; may be taken while mutex_ is held
    std::condition_variable_any changed_;
    std::map<std::string, std::jthread> workers_;  // last: they use all the others
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
