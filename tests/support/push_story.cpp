#include "support/push_story.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "support/smooth_noise.hpp"

namespace sondeline::support {

namespace {

constexpr double longest_story_s = 7200.0;
constexpr std::uint64_t surge_stream = 11;
constexpr std::uint64_t hesitation_stream = 12;

class Teller {
  public:
    Teller(const Scenario& scenario, double states_per_s)
        : scenario_(scenario), step_s_(1.0 / states_per_s) {
        now_.station_m = scenario.start_m;
        now_.overlay_set = scenario.overlays.empty() ? -1 : 0;
        const double unit_m = counter_scale(scenario) == CounterScale::metres ? 1.0 : 0.3048;
        count_m_ = unit_m * scenario.reel.scale;
        reel_offset_ = scenario.reel.counter_at_start;
        reel_m_ = scenario.start_m;
    }

    std::vector<HeadState> tell() {
        for (const StoryStep& step : scenario_.story) play(step);
        return std::move(states_);
    }

  private:
    void play(const StoryStep& step) {
        switch (step.action) {
            case StoryAction::push: travel(step, 1.0, true); break;
            case StoryAction::pull: travel(step, -1.0, true); break;
            case StoryAction::drift:
                travel(step, step.to_m < now_.station_m ? -1.0 : 1.0, false);
                break;
            case StoryAction::hold: stay(step.for_s, PictureKind::pipe); break;
            case StoryAction::black: stay(step.for_s, PictureKind::black); break;
            case StoryAction::blue: stay(step.for_s, PictureKind::blue); break;
            case StoryAction::freeze: stay(step.for_s, PictureKind::frozen); break;
            case StoryAction::hesitate: hesitate(step); break;
            case StoryAction::zero: reel_offset_ = step.value - reel_m_ / count_m_; break;
            case StoryAction::overlay: now_.overlay_set = step.set; break;
            case StoryAction::slip: slip(step); break;
        }
    }

    void emit(double new_station_m, bool counted, PictureKind picture) {
        const double moved_m = new_station_m - now_.station_m;
        now_.time_s = static_cast<double>(states_.size()) * step_s_;
        if (now_.time_s > longest_story_s) throw std::invalid_argument("story: longer than 2 h");
        now_.speed_m_per_s = moved_m / step_s_;
        now_.station_m = new_station_m;
        if (counted) reel_m_ += moved_m;
        now_.counter = reel_offset_ + reel_m_ / count_m_;
        now_.picture = picture;
        states_.push_back(now_);
    }

    void travel(const StoryStep& step, double direction, bool counted) {
        if (!(step.speed > 0.0)) throw std::invalid_argument("story: a move needs a speed");
        if (direction * (step.to_m - now_.station_m) < -1e-9) {
            throw std::invalid_argument("story: a move leads the wrong way");
        }
        while (direction * (step.to_m - now_.station_m) > 1e-9) {
            const double t = static_cast<double>(states_.size()) * step_s_;
            // Pushed by hand: arm lengths of about a second, with rests now and then.
            const std::uint64_t seed = mixed(scenario_.seed, surge_stream);
            const double arm = smooth_noise(seed, t * 1.1) + 0.6 * smooth_noise(seed + 1, t * 0.3);
            const double factor = std::max(0.03, 1.0 + 1.1 * step.surge * arm);
            const double advance_m = step.speed * factor * step_s_;
            const double left_m = std::abs(step.to_m - now_.station_m);
            emit(advance_m >= left_m ? step.to_m : now_.station_m + direction * advance_m, counted,
                 PictureKind::pipe);
        }
    }

    long states_in(double seconds) const {
        return std::lround(std::min(seconds, 2.0 * longest_story_s) / step_s_);
    }

    void stay(double seconds, PictureKind picture) {
        for (long left = states_in(seconds); left > 0; --left) {
            emit(now_.station_m, true, picture);
        }
    }

    void hesitate(const StoryStep& step) {
        const double base_m = now_.station_m;
        const std::uint64_t seed = mixed(scenario_.seed, hesitation_stream);
        const long count = states_in(step.for_s);
        for (long index = 0; index < count; ++index) {
            const double t = static_cast<double>(index) * step_s_;
            const double fade = std::min(1.0, std::min(t, step.for_s - t) * 2.0);
            emit(base_m + fade * step.by_m * smooth_noise(seed, t * 2.0 + 0.5), true,
                 PictureKind::pipe);
        }
        emit(base_m, true, PictureKind::pipe);
    }

    void slip(const StoryStep& step) {
        const long count = std::max(1L, states_in(step.for_s));
        for (long index = 0; index < count; ++index) {
            reel_m_ += step.value * count_m_ / static_cast<double>(count);
            emit(now_.station_m, true, PictureKind::pipe);
        }
    }

    const Scenario& scenario_;
    double step_s_;
    double count_m_ = 1.0;  // true length of one counted unit
    double reel_offset_ = 0.0;
    double reel_m_ = 0.0;  // what has passed over the reel's wheel
    HeadState now_;
    std::vector<HeadState> states_;
};

}  // namespace

CounterScale counter_scale(const Scenario& scenario) {
    for (const OverlaySet& set : scenario.overlays) {
        for (const OverlayField& field : set) {
            if (field.role == FieldRole::counter) return field.counter.scale;
        }
    }
    return CounterScale::feet;
}

std::vector<HeadState> tell_story(const Scenario& scenario, double states_per_s) {
    return Teller(scenario, states_per_s).tell();
}

}  // namespace sondeline::support
