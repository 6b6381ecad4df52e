// Put before the C library (LD_PRELOAD): a clock of the day that goes back a second at every look.
#include <atomic>

#include <sys/syscall.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

namespace {

time_t earlier_s() {
    static std::atomic<time_t> now_s{4102444800};  // 2100-01-01T00:00:00Z
    return --now_s;
}

}  // namespace

extern "C" {

int clock_gettime(clockid_t clock, timespec* time) noexcept {
    if (clock != CLOCK_REALTIME && clock != CLOCK_REALTIME_COARSE) {
        return static_cast<int>(syscall(SYS_clock_gettime, clock, time));
    }
    *time = {earlier_s(), 0};
    return 0;
}

time_t time(time_t* seconds) noexcept {
    const time_t now_s = earlier_s();
    if (seconds != nullptr) *seconds = now_s;
    return now_s;
}

int gettimeofday(timeval* time, void*) noexcept {
    *time = {earlier_s(), 0};
    return 0;
}
}
