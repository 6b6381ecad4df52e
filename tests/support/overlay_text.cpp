#include "support/overlay_text.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>

#include <opencv2/imgproc.hpp>

#include "support/counter_text.hpp"
#include "support/display_face.hpp"
#include "support/smooth_noise.hpp"

namespace sondeline::support {

namespace {

constexpr std::uint64_t decoy_stream = 31;

struct Yuv {
    double y, u, v;
};

// ITU-R BT.601, studio range.
Yuv yuv_of(const InkStyle& ink) {
    const double r = ink.red / 255.0;
    const double g = ink.green / 255.0;
    const double b = ink.blue / 255.0;
    const double luma = 0.299 * r + 0.587 * g + 0.114 * b;
    return {16.0 + 219.0 * luma, 128.0 + 224.0 * 0.564 * (b - luma),
            128.0 + 224.0 * 0.713 * (r - luma)};
}

std::string face_key(const OverlayField& field) {
    return field.face + " " + std::to_string(field.digit_height_px);
}

unsigned char mixed_level(double below, double above, double share) {
    return cv::saturate_cast<unsigned char>(below + (above - below) * share);
}

// Mixes a level into one plane by a map of shares (0…255) times `opacity`.
void mix_plane(cv::Mat1b plane, const cv::Mat1b& shares, double opacity, double level) {
    for (int row = 0; row < plane.rows; ++row) {
        for (int column = 0; column < plane.cols; ++column) {
            const double share = shares(row, column) / 255.0 * opacity;
            if (share > 0.0) plane(row, column) = mixed_level(plane(row, column), level, share);
        }
    }
}

cv::Rect halved(const cv::Rect& box) {
    const int x = box.x / 2;
    const int y = box.y / 2;
    return {x, y, (box.x + box.width + 1) / 2 - x, (box.y + box.height + 1) / 2 - y};
}

void mix_chroma(Frame& frame, const cv::Rect& box, const cv::Mat1b& shares, double opacity,
                const Yuv& ink) {
    const cv::Rect half = halved(box) & cv::Rect(0, 0, frame.u.cols, frame.u.rows);
    if (half.empty()) return;
    cv::Mat1b small;
    cv::resize(shares, small, half.size(), 0, 0, cv::INTER_AREA);
    mix_plane(frame.u(half), small, opacity, ink.u);
    mix_plane(frame.v(half), small, opacity, ink.v);
}

cv::Rect grown(const cv::Rect& box, int margin) {
    return {box.x - margin, box.y - margin, box.width + 2 * margin, box.height + 2 * margin};
}

// Some percent to either side, changing over half a metre or so.
std::string inclination_text(const OverlayField& field, std::uint64_t seed,
                             const HeadState& state) {
    constexpr std::uint64_t kStream = 57;
    CounterStyle plain = field.counter;
    plain.suffix = "";
    const double value = 4.0 * smooth_noise(mixed(seed, kStream), state.station_m * 1.3);
    std::string text = field.text;
    const auto mark = text.find('#');
    if (mark == std::string::npos) return text;
    return text.replace(mark, 1, counter_text(plain, counter_ticks(plain, value)));
}

int margin_px(const InkStyle& ink) {
    return std::max(ink.outline_px, ink.box_opacity > 0.0 ? ink.box_margin_px : 0);
}

}  // namespace

std::filesystem::path find_font(const std::string& file_name) {
    const std::filesystem::path all_fonts = "/usr/share/fonts";
    std::set<std::filesystem::path> found;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(all_fonts)) {
        if (entry.path().filename() == file_name) found.insert(entry.path());
    }
    if (found.empty()) throw std::invalid_argument("overlay: no font file " + file_name);
    return *found.begin();
}

Overlay::Overlay(const Scenario& scenario, std::vector<HeadState> states, double states_per_s)
    : scenario_(scenario), states_(std::move(states)), states_per_s_(states_per_s) {
    const cv::Rect picture(0, 0, scenario.encoding.width, scenario.encoding.height);
    for (std::size_t set = 0; set < scenario_.overlays.size(); ++set) {
        std::vector<cv::Rect> taken;
        for (const OverlayField& field : scenario_.overlays[set]) {
            if (!faces_.contains(face_key(field))) {
                faces_.emplace(face_key(field), draw_in(field));
            }
            const cv::Rect box = widest_box(field, static_cast<int>(set));
            const cv::Rect outer = grown(box, margin_px(field.ink));
            if ((outer & picture) != outer) {
                throw std::invalid_argument("overlay: a field reaches out of the picture");
            }
            for (const cv::Rect& other : taken) {
                if (!(other & outer).empty()) {
                    throw std::invalid_argument("overlay: two fields overlap");
                }
            }
            taken.push_back(outer);
            box_of_[&field] = box;
            boxes_.push_back({static_cast<int>(set), field.role, box});
        }
    }
}

Overlay::Draw Overlay::draw_in(const OverlayField& field) {
    const int height = field.digit_height_px;
    if (const auto display = display_face(field.face)) {
        return [face = *display, height](const std::string& text, const TextShape& shape) {
            return draw_display(face, height, text, shape);
        };
    }
    const auto face = Typeface::open(find_font(field.face), height);
    if (!face) throw std::invalid_argument("overlay: cannot use font " + field.face);
    return [face = *face](const std::string& text, const TextShape& shape) {
        return face.draw(text, shape);
    };
}

DrawnText Overlay::drawn(const OverlayField& field, const std::string& text) const {
    const TextShape shape{field.antialiased, field.fixed_pitch, field.slant, field.stretch};
    return faces_.at(face_key(field))(text, shape);
}

// The box that holds every text the field will show, with any digit in any place.
cv::Rect Overlay::widest_box(const OverlayField& field, int set) {
    std::set<std::string> patterns;
    for (std::size_t index = 0; index < states_.size(); ++index) {
        if (states_[index].overlay_set != set) continue;
        std::string text = text_of(field, index);
        for (char& letter : text) {
            if (letter >= '1' && letter <= '9') letter = '0';
        }
        patterns.insert(text);
    }
    cv::Size size(1, 1);
    for (const std::string& pattern : patterns) {
        for (char digit = '0'; digit <= '9'; ++digit) {
            std::string text = pattern;
            std::replace(text.begin(), text.end(), '0', digit);
            const cv::Size one = drawn(field, text).coverage.size();
            size = {std::max(size.width, one.width), std::max(size.height, one.height)};
        }
    }
    const int x = field.x >= 0 ? field.x : scenario_.encoding.width + field.x - size.width;
    const int y = field.y >= 0 ? field.y : scenario_.encoding.height + field.y - size.height;
    return {x, y, size.width, size.height};
}

std::size_t Overlay::refreshed(const OverlayField& field, std::size_t index) const {
    if (field.refresh_hz <= 0.0) return index;
    const double period = states_per_s_ / field.refresh_hz;  // in states
    return static_cast<std::size_t>(
        std::ceil(std::floor(static_cast<double>(index) / period + 1e-9) * period - 1e-9));
}

std::string Overlay::text_of(const OverlayField& field, std::size_t index) const {
    const HeadState& state = states_[refreshed(field, index)];
    switch (field.role) {
        case FieldRole::counter:
            return counter_text(field.counter,
                                counter_ticks(field.counter, state.counter + field.counter_offset));
        case FieldRole::clock: {
            const double now_s = scenario_.clock_s + state.time_s;
            return field.text.find('M') == std::string::npos ? clock_text(now_s)
                                                             : half_day_clock_text(now_s);
        }
        case FieldRole::elapsed: return clock_text(state.time_s);
        case FieldRole::frame_number: return std::to_string(index);
        case FieldRole::date:
        case FieldRole::title: return field.text;
        case FieldRole::inclination: return inclination_text(field, scenario_.seed, state);
        case FieldRole::decoy: break;
    }
    const double drift =
        21.0 + 2.0 * smooth_noise(mixed(scenario_.seed, decoy_stream), state.time_s * 0.07);
    CounterStyle plain;
    plain.suffix = "";
    std::string text = field.text;
    const auto mark = text.find('%');
    if (mark == std::string::npos) return text;
    return text.replace(mark, 1, counter_text(plain, counter_ticks(plain, drift)));
}

const Overlay::Sprite& Overlay::sprite(const OverlayField& field, const std::string& text) {
    Sprite& sprite = sprites_[&field];
    if (sprite.text == text && !sprite.stroke.empty()) return sprite;
    const cv::Rect box = box_of_.at(&field);
    const int margin = field.ink.outline_px;
    const cv::Mat1b ink = drawn(field, text).coverage;
    sprite.text = text;
    sprite.stroke = cv::Mat1b::zeros(box.height + 2 * margin, box.width + 2 * margin);
    const int x = margin + (field.flush_right ? box.width - ink.cols : 0);
    ink.copyTo(sprite.stroke(cv::Rect(x, margin, ink.cols, ink.rows)));
    if (margin > 0) {
        const cv::Mat around =
            cv::getStructuringElement(cv::MORPH_RECT, cv::Size(2 * margin + 1, 2 * margin + 1));
        cv::dilate(sprite.stroke, sprite.dark, around);
    }
    return sprite;
}

void Overlay::burn(Frame& frame, std::size_t index) {
    const int set = states_[index].overlay_set;
    if (set < 0 || set >= static_cast<int>(scenario_.overlays.size())) return;
    const Yuv black{16.0, 128.0, 128.0};
    for (const OverlayField& field : scenario_.overlays[static_cast<std::size_t>(set)]) {
        const InkStyle& ink = field.ink;
        const cv::Rect box = box_of_.at(&field);
        if (ink.box_opacity > 0.0) {
            const cv::Rect outer = grown(box, ink.box_margin_px);
            const cv::Mat1b all(outer.size(), 255);
            mix_plane(frame.y(outer), all, ink.box_opacity, black.y);
            mix_chroma(frame, outer, all, ink.box_opacity, black);
        }
        const Sprite& text = sprite(field, text_of(field, index));
        const cv::Rect outer = grown(box, ink.outline_px);
        if (!text.dark.empty()) {
            mix_plane(frame.y(outer), text.dark, ink.opacity, black.y);
            mix_chroma(frame, outer, text.dark, ink.opacity, black);
        }
        const Yuv colour = yuv_of(ink);
        mix_plane(frame.y(outer), text.stroke, ink.opacity, colour.y);
        mix_chroma(frame, outer, text.stroke, ink.opacity, colour);
    }
}

std::string Overlay::counter_shown(std::size_t index) const {
    const int set = states_[index].overlay_set;
    if (set < 0 || set >= static_cast<int>(scenario_.overlays.size())) return {};
    for (const OverlayField& field : scenario_.overlays[static_cast<std::size_t>(set)]) {
        if (field.role != FieldRole::counter) continue;
        const double value = states_[refreshed(field, index)].counter + field.counter_offset;
        return counter_number(field.counter, counter_ticks(field.counter, value));
    }
    return {};
}

}  // namespace sondeline::support
