#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "sondeline/deliverables.hpp"

#include "deliverables/page/html_text.hpp"

namespace sondeline {

namespace {

constexpr double kWidth_px = 1000.0;
constexpr double kPanel_px = 300.0;
constexpr double kLeft_px = 70.0;
constexpr double kRight_px = 20.0;
constexpr double kTop_px = 64.0;  // of the plot within its panel
constexpr double kBottom_px = 40.0;

struct StateLook {
    CounterState state;
    const char* words;
    const char* colour;  // told apart by width and dash as well
    double width_px;
    const char* dash;
};

constexpr std::array kLooks{
    StateLook{CounterState::hold, "stands", "#555555", 5.0, ""},
    StateLook{CounterState::push, "pushed", "#0b61a4", 2.0, ""},
    StateLook{CounterState::pull, "drawn back", "#c45a00", 2.5, "6 3"},
};

const StateLook& look_of(CounterState state) {
    const auto found = std::ranges::find(kLooks, state, &StateLook::state);
    return found == kLooks.end() ? kLooks[0] : *found;
}

// Steps of 1, 2 or 5 times a power of ten, at most `most` of them.
double nice_step(double range, int most) {
    const double rough = range / most;
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    for (const double times : {1.0, 2.0, 5.0}) {
        if (times * power >= rough) return times * power;
    }
    return 10.0 * power;
}

// Steps of time that a person counts in.
double time_step(double range_s) {
    for (const double step :
         {1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0}) {
        if (range_s / step <= 10.0) return step;
    }
    return 7200.0;
}

std::string clock(double time_s) {
    const long seconds = std::lround(time_s);
    if (seconds >= 3600) {
        return fmt::format("{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60);
    }
    return fmt::format("{}:{:02}", seconds / 60, seconds % 60);
}

// One clip's panel.
class Panel {
  public:
    Panel(const Track& track, double top_px) : track_(track), top_px_(top_px) {
        end_s_ = track.samples.empty() ? 1.0 : std::max(1.0, track.samples.back().time_s);
        bool any = false;
        for (const CounterSample& sample : track.samples) {
            if (!sample.counter) continue;
            low_ = any ? std::min(low_, *sample.counter) : *sample.counter;
            high_ = any ? std::max(high_, *sample.counter) : *sample.counter;
            any = true;
        }
        const double room = std::max({0.1 * (high_ - low_), 2.0 * tick(), 1e-6});
        low_ -= room;
        high_ += room;
    }

    std::string svg() const {
        return heading() + axes() + missing() + line() + zeroings() + furthest();
    }

  private:
    double tick() const { return track_.format ? track_.format->tick() : 0.1; }
    const char* unit_sign() const {
        switch (track_.format->unit) {
            case CounterUnit::metre: return "m";
            case CounterUnit::foot:
            case CounterUnit::feet_and_inches: return "ft";
            case CounterUnit::unknown: break;
        }
        return "counter";
    }
    double x(double time_s) const {
        return kLeft_px + (kWidth_px - kLeft_px - kRight_px) * time_s / end_s_;
    }
    double y(double counter) const {
        const double share = (counter - low_) / (high_ - low_);
        return bottom() - share * (kPanel_px - kTop_px - kBottom_px);
    }
    double top() const { return top_px_ + kTop_px; }
    double bottom() const { return top_px_ + kPanel_px - kBottom_px; }

    static std::string text(double x, double y, const char* kind, const std::string& words) {
        return fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\">{}</text>\n", kind, px(x), px(y),
                           escaped(words));
    }

    std::string heading() const {
        const std::string found =
            track_.format
                ? fmt::format(
                      "counter \"{}\", {:.1f} % of {} samples read, set to another value {}",
                      track_.format->pattern, 100.0 * track_.coverage, track_.samples.size(),
                      track_.zeroings.size() == 1 ? std::string("once")
                                                  : fmt::format("{} times", track_.zeroings.size()))
                : "no counter found";
        return text(kLeft_px, top_px_ + 22.0, "name", track_.clip.name) +
               text(kLeft_px, top_px_ + 40.0, "note", found);
    }

    std::string axes() const {
        std::string out = fmt::format(
            "<rect class=\"plot\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n", px(kLeft_px),
            px(top()), px(kWidth_px - kLeft_px - kRight_px), px(bottom() - top()));
        const double step_s = time_step(end_s_);
        for (double at_s = 0.0; at_s <= end_s_ * (1.0 + 1e-9); at_s += step_s) {
            out += fmt::format("<path class=\"grid\" d=\"M{} {} V{}\"/>", px(x(at_s)), px(top()),
                               px(bottom() + 4.0));
            out += text(x(at_s), bottom() + 18.0, "tick middle", clock(at_s));
        }
        out += text(kWidth_px - kRight_px, bottom() + 34.0, "tick end", "time into the clip");
        if (!track_.format) return out;
        out += text(kLeft_px - 8.0, top() - 6.0, "tick end", unit_sign());
        const double step = std::max(tick(), nice_step(high_ - low_, 6));
        const int decimals = std::max(0, -static_cast<int>(std::floor(std::log10(step) + 1e-9)));
        for (double at = std::ceil(low_ / step) * step; at <= high_; at += step) {
            out += fmt::format("<path class=\"grid\" d=\"M{} {} H{}\"/>", px(kLeft_px - 4.0),
                               px(y(at)), px(kWidth_px - kRight_px));
            out += text(kLeft_px - 8.0, y(at) + 4.0, "tick end",
                        fmt::format("{:.{}f}", std::abs(at) < 1e-9 ? 0.0 : at, decimals));
        }
        return out;
    }

    // Bands over the stretches without a reading; those that would be too thin to see are widened.
    std::string missing() const {
        std::string out;
        const auto& samples = track_.samples;
        for (std::size_t i = 0; i < samples.size(); ++i) {
            if (samples[i].counter) continue;
            std::size_t last = i;
            while (last + 1 < samples.size() && !samples[last + 1].counter) ++last;
            const double to_s = last + 1 < samples.size() ? samples[last + 1].time_s : end_s_;
            const double from = x(samples[i].time_s);
            out += fmt::format(
                "<rect class=\"missing\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"><title>{}: "
                "{}</title></rect>\n",
                px(from), px(top()), px(std::max(1.0, x(to_s) - from)), px(bottom() - top()),
                escaped(clock(samples[i].time_s)), escaped(samples[i].reason));
            i = last;
        }
        return out;
    }

    // Of the samples in one column of the picture only those that can be seen are kept: the first
    // and the last, the lowest and the highest.
    std::vector<std::size_t> seen_samples(std::size_t first, std::size_t last) const {
        std::vector<std::size_t> seen;
        const auto& samples = track_.samples;
        for (std::size_t from = first; from <= last;) {
            const double column = std::floor(x(samples[from].time_s));
            std::size_t to = from;
            std::size_t lowest = from;
            std::size_t highest = from;
            while (to + 1 <= last && std::floor(x(samples[to + 1].time_s)) == column) {
                ++to;
                if (*samples[to].counter < *samples[lowest].counter) lowest = to;
                if (*samples[to].counter > *samples[highest].counter) highest = to;
            }
            std::array<std::size_t, 4> kept{from, lowest, highest, to};
            std::ranges::sort(kept);
            for (const std::size_t i : kept) {
                if (seen.empty() || seen.back() != i) seen.push_back(i);
            }
            from = to + 1;
        }
        return seen;
    }

    // A path for each stretch of one state, begun at the sample before it so that it holds
    // together.
    std::string line() const {
        std::string out;
        const auto& samples = track_.samples;
        const auto state = [&](std::size_t i) { return look_of(samples[i].state).state; };
        for (std::size_t i = 0; i < samples.size();) {
            if (!samples[i].counter) {
                ++i;
                continue;
            }
            const bool goes_on = i > 0 && samples[i - 1].counter.has_value() &&
                                 samples[i].state != CounterState::zero;
            const std::size_t first = goes_on ? i - 1 : i;
            std::size_t last = i;
            while (last + 1 < samples.size() && samples[last + 1].counter &&
                   samples[last + 1].state != CounterState::zero && state(last + 1) == state(i)) {
                ++last;
            }
            const StateLook& look = look_of(samples[i].state);
            std::string way;
            for (const std::size_t k : seen_samples(first, last)) {
                way += fmt::format("{}{} {}", way.empty() ? "M" : " L", px(x(samples[k].time_s)),
                                   px(y(*samples[k].counter)));
            }
            if (first == last) way += " h1.5";
            out += fmt::format("<path class=\"{}\" d=\"{}\"/>\n", word(look.state), way);
            i = last + 1;
        }
        return out;
    }

    std::string zeroings() const {
        std::string out;
        const int decimals = track_.format ? std::min(track_.format->decimals, 3) : 1;
        double row = 0.0;
        for (const Zeroing& zeroing : track_.zeroings) {
            const double at = x(zeroing.time_s);
            const bool at_the_end = at > kWidth_px - 200.0;
            out += fmt::format("<path class=\"zero\" d=\"M{} {} V{}\"/>\n", px(at), px(top()),
                               px(bottom()));
            out += text(at_the_end ? at - 5.0 : at + 5.0, bottom() - 6.0 - 13.0 * row,
                        at_the_end ? "mark end" : "mark",
                        fmt::format("set from {:.{}f} to {:.{}f}", zeroing.counter_before, decimals,
                                    zeroing.counter_after, decimals));
            row = row > 3.0 ? 0.0 : row + 1.0;
        }
        return out;
    }

    std::string furthest() const {
        const auto further = [](const CounterSample& a, const CounterSample& b) {
            return a.counter && (!b.counter || *a.counter > *b.counter);
        };
        const auto most = std::min_element(track_.samples.begin(), track_.samples.end(), further);
        if (most == track_.samples.end() || !most->counter || !track_.format) return {};
        const double at = x(most->time_s);
        const bool at_the_end = at > kWidth_px - 150.0;
        return fmt::format("<circle class=\"reach\" cx=\"{}\" cy=\"{}\" r=\"4\"/>\n", px(at),
                           px(y(*most->counter))) +
               text(at_the_end ? at - 8.0 : at + 8.0, y(*most->counter) - 5.0,
                    at_the_end ? "mark end" : "mark",
                    fmt::format("greatest {:.{}f}", *most->counter,
                                std::min(track_.format->decimals, 3)));
    }

    const Track& track_;
    double top_px_;
    double end_s_ = 1.0;
    double low_ = 0.0;
    double high_ = 0.0;
};

std::string style() {
    std::string out =
        "<style>\n"
        "text{font:13px sans-serif;fill:#222}\n"
        ".name{font-weight:bold;font-size:15px}.note,.tick{fill:#444;font-size:12px}\n"
        ".middle{text-anchor:middle}.end{text-anchor:end}\n"
        ".mark{font-size:12px;paint-order:stroke;stroke:#fff;stroke-width:3px}\n"
        ".plot{fill:#fff;stroke:#888}.grid{stroke:#ddd;fill:none}\n"
        ".missing{fill:url(#unread);stroke:none}\n"
        ".zero{stroke:#a3001e;stroke-width:1.5;stroke-dasharray:2 3;fill:none}\n"
        ".reach{fill:none;stroke:#222;stroke-width:1.5}\n";
    for (const StateLook& look : kLooks) {
        out += fmt::format(
            ".{}{{fill:none;stroke:{};stroke-width:{:g};stroke-linejoin:round{}}}\n",
            word(look.state), look.colour, look.width_px,
            *look.dash == '\0' ? std::string() : fmt::format(";stroke-dasharray:{}", look.dash));
    }
    return out +
           "</style>\n"
           "<defs><pattern id=\"unread\" width=\"6\" height=\"6\" "
           "patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">"
           "<rect width=\"6\" height=\"6\" fill=\"#fbe9e7\"/>"
           "<path d=\"M0 0 V6\" stroke=\"#d98880\" stroke-width=\"2\"/></pattern></defs>\n";
}

std::string legend() {
    std::string out;
    double at = kLeft_px;
    const auto words = [&](const char* text, double width_px) {
        out += fmt::format("<text x=\"{}\" y=\"20\">{}</text>\n", px(at + 36.0), text);
        at += 36.0 + width_px;
    };
    for (const StateLook& look : kLooks) {
        out += fmt::format("<path class=\"{}\" d=\"M{} 16 h28\"/>", word(look.state), px(at));
        words(look.words, 90.0);
    }
    out += fmt::format("<path class=\"zero\" d=\"M{} 6 v18\"/>", px(at + 14.0));
    words("set to another value", 150.0);
    out += fmt::format("<rect class=\"missing\" x=\"{}\" y=\"8\" width=\"28\" height=\"14\"/>",
                       px(at));
    words("not read", 80.0);
    out += fmt::format("<circle class=\"reach\" cx=\"{}\" cy=\"15\" r=\"4\"/>", px(at + 14.0));
    words("greatest reading", 100.0);
    return out;
}

}  // namespace

std::string readings_picture(std::span<const Track> tracks) {
    constexpr double kLegend_px = 32.0;
    const double height_px = kLegend_px + kPanel_px * static_cast<double>(tracks.size());
    std::string out = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\" viewBox=\"0 0 {0} "
        "{1}\" role=\"img\" aria-label=\"Counter over time\">\n{2}"
        "<rect width=\"{0}\" height=\"{1}\" fill=\"#f7f7f5\"/>\n{3}",
        px(kWidth_px), px(height_px), style(), legend());
    double top_px = kLegend_px;
    for (const Track& track : tracks) {
        out += Panel(track, top_px).svg();
        top_px += kPanel_px;
    }
    return out + "</svg>\n";
}

}  // namespace sondeline
