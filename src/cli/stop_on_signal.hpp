// Ctrl-C and SIGTERM end the work within a second, with nothing half-written.
#pragma once

#include <atomic>
#include <functional>
#include <stop_token>
#include <thread>

namespace sondeline::cli {

// While it lives, SIGINT and SIGTERM ask `token()` to stop. Work that has not ended 0.8 s later, or
// at the second signal, is left: `before_leaving` clears up and the process ends with 128 + signal.
// Make it before any other thread.
class StopOnSignal {
  public:
    explicit StopOnSignal(std::function<void()> before_leaving = {});
    ~StopOnSignal();
    StopOnSignal(const StopOnSignal&) = delete;
    StopOnSignal& operator=(const StopOnSignal&) = delete;

    std::stop_token token() const { return source_.get_token(); }

    // 128 + the signal that came, as shells count; 0 when none did.
    int exit_code() const { return signal_ == 0 ? 0 : 128 + signal_; }

  private:
    void wait_for_signal(const std::stop_token& over);

    std::function<void()> before_leaving_;
    std::stop_source source_;
    std::atomic<int> signal_{0};
    std::jthread waiter_;
};

}  // namespace sondeline::cli
