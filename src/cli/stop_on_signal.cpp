#include "cli/stop_on_signal.hpp"

#include <chrono>
#include <csignal>

#include <unistd.h>

namespace sondeline::cli {

namespace {

constexpr int kept_waiting_ms = 800;
constexpr int step_ms = 50;

sigset_t ending_signals() {
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    return set;
}

// The signal that came within a step, or 0.
int next_signal(int milliseconds) {
    const sigset_t set = ending_signals();
    const timespec wait{0, static_cast<long>(milliseconds) * 1'000'000L};
    return std::max(0, sigtimedwait(&set, nullptr, &wait));
}

}  // namespace

StopOnSignal::StopOnSignal(std::function<void()> before_leaving)
    : before_leaving_(std::move(before_leaving)) {
    const sigset_t set = ending_signals();
    pthread_sigmask(SIG_BLOCK, &set, nullptr);
    waiter_ = std::jthread([this](const std::stop_token& over) { wait_for_signal(over); });
}

StopOnSignal::~StopOnSignal() {
    waiter_.request_stop();
    waiter_.join();
    const sigset_t set = ending_signals();
    pthread_sigmask(SIG_UNBLOCK, &set, nullptr);
}

void StopOnSignal::wait_for_signal(const std::stop_token& over) {
    while (signal_ == 0 && !over.stop_requested()) signal_ = next_signal(step_ms);
    if (signal_ == 0) return;
    source_.request_stop();
    int waited_ms = 0;
    while (!over.stop_requested() && waited_ms < kept_waiting_ms && next_signal(step_ms) == 0) {
        waited_ms += step_ms;
    }
    if (over.stop_requested()) return;
    if (before_leaving_) before_leaving_();
    _exit(exit_code());
}

}  // namespace sondeline::cli
