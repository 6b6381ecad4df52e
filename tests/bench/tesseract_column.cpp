#include "bench/tesseract_column.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <string>

#include <leptonica/allheaders.h>
#include <opencv2/imgproc.hpp>
#include <tesseract/baseapi.h>

#include "footage/counter_path.hpp"
#include "footage/frames.hpp"
#include "footage/line_reader.hpp"
#include "footage/path_trust.hpp"
#include "footage/structure_search.hpp"

namespace sondeline::bench {

namespace {

constexpr int kHeight_px = 60;
constexpr int kBorder_px = 12;
constexpr double kMargin = 0.2;  // of the digits' height, about the box that was found
constexpr double kMinProbability = 0.98;

// What one crop gave.
struct PeerText {
    double time_s = 0.0;
    std::optional<std::int64_t> ticks;
};

class Recogniser {
  public:
    Recogniser() {
        setenv("OMP_THREAD_LIMIT", "1", 1);
        ready_ = api_.Init(nullptr, "eng", tesseract::OEM_LSTM_ONLY) == 0;
        api_.SetVariable("tessedit_char_whitelist", "0123456789.-");
        api_.SetVariable("debug_file", "/dev/null");
        api_.SetPageSegMode(tesseract::PSM_SINGLE_LINE);
    }
    ~Recogniser() { api_.End(); }
    Recogniser(const Recogniser&) = delete;
    Recogniser& operator=(const Recogniser&) = delete;

    bool ready() const { return ready_; }

    std::string read(const cv::Mat1b& crop) {
        cv::Mat1b large;
        const double scale = static_cast<double>(kHeight_px) / crop.rows;
        cv::resize(crop, large, {}, scale, scale, cv::INTER_CUBIC);
        cv::threshold(large, large, 0, 255, cv::THRESH_BINARY_INV | cv::THRESH_OTSU);
        cv::copyMakeBorder(large, large, kBorder_px, kBorder_px, kBorder_px, kBorder_px,
                           cv::BORDER_CONSTANT, 255);
        api_.SetImage(large.data, large.cols, large.rows, 1, static_cast<int>(large.step));
        api_.SetSourceResolution(70);
        const std::unique_ptr<char[]> text{api_.GetUTF8Text()};
        return text ? text.get() : "";
    }

  private:
    tesseract::TessBaseAPI api_;
    bool ready_ = false;
};

// The digits as ticks of our format: a point that was missed or misplaced is no mistake. Inches are
// the last two digits when these are 10 or 11, else the last one.
std::optional<std::int64_t> ticks_of(const std::string& text, const CounterFormat& format) {
    std::string digits;
    bool negative = false;
    for (const char c : text) {
        if (c >= '0' && c <= '9') digits += c;
        if (c == '-' && digits.empty()) negative = true;
    }
    if (digits.empty() || digits.size() > 9) return std::nullopt;
    std::int64_t ticks = std::stoll(digits);
    if (format.unit == CounterUnit::feet_and_inches) {
        const std::int64_t last = ticks % 100;
        const bool two = digits.size() > 2 && (last == 10 || last == 11);
        ticks = two ? ticks / 100 * 12 + last : ticks / 10 * 12 + ticks % 10;
    }
    return negative ? -ticks : ticks;
}

double counter_of(std::int64_t ticks, const CounterFormat& format) {
    const auto value = static_cast<double>(ticks);
    return format.unit == CounterUnit::feet_and_inches ? value / 12.0
                                                       : value / std::pow(10.0, format.decimals);
}

CounterShape shape_of(const CounterFormat& format) {
    if (format.unit == CounterUnit::feet_and_inches) {
        return inch_cells(format.integer_cells, Padding::zeros, InchPlaces::second);
    }
    return fixed_cells(format.integer_cells, format.decimals, Padding::zeros, SignPlace::own_cell);
}

// A digit that was read holds with 0.9, each other with an eleventh of the rest: Tesseract's own
// confidences say nothing (measured: 85 and more on 3 of 821 crops).
LineEvidence evidence_of(const PeerText& text, const CounterShape& shape) {
    constexpr double kRight = 0.9;
    constexpr std::uint8_t kNothingSeen = 43;  // a little over what hides a cell
    const auto cost = [](double p) {
        return static_cast<std::uint8_t>(std::lround(-std::log(p) * cost_scale));
    };
    LineEvidence evidence;
    evidence.time_s = text.time_s;
    for (auto& cell : evidence.cost) cell.fill(kNothingSeen);
    const WrittenLayout* layout = text.ticks ? layout_of(shape, *text.ticks) : nullptr;
    if (layout == nullptr) return evidence;
    for (int cell = 0; cell < shape.cells; ++cell) {
        auto& costs = evidence.cost[static_cast<std::size_t>(cell)];
        const int shown = class_in_cell(layout->cells[static_cast<std::size_t>(cell)], *text.ticks);
        costs.fill(shown == any_class ? cost(kRight) : cost((1.0 - kRight) / 11.0));
        if (shown != any_class) costs[static_cast<std::size_t>(shown)] = cost(kRight);
    }
    return evidence;
}

CounterSample missing_at(double time_s) {
    CounterSample sample;
    sample.time_s = time_s;
    return sample;
}

Track with_samples(const Track& ours, std::vector<CounterSample> samples) {
    Track track;
    track.clip = ours.clip;
    track.format = ours.format;
    track.samples = std::move(samples);
    return track;
}

Track read_alone(const Track& ours, std::span<const PeerText> texts) {
    std::vector<CounterSample> samples;
    for (const PeerText& text : texts) {
        samples.push_back(missing_at(text.time_s));
        if (text.ticks) samples.back().counter = counter_of(*text.ticks, *ours.format);
    }
    return with_samples(ours, std::move(samples));
}

Track read_in_sequence(const Track& ours, std::span<const PeerText> texts) {
    const CounterShape shape = shape_of(*ours.format);
    const ReelMotion motion = reel_motion(metres_to_the_tick(*ours.format));
    std::vector<LineEvidence> evidence;
    for (const PeerText& text : texts) evidence.push_back(evidence_of(text, shape));
    const CounterPath path = decode_path(shape, evidence, motion);
    const TrustedPath sure = trusted(path, shape, evidence, motion, kMinProbability);
    std::vector<CounterSample> samples;
    for (std::size_t i = 0; i < sure.samples.size(); ++i) {
        samples.push_back(missing_at(texts[i].time_s));
        if (sure.samples[i].unread != Unread::no) continue;
        samples.back().counter = counter_of(sure.samples[i].ticks, *ours.format);
    }
    return with_samples(ours, std::move(samples));
}

cv::Rect crop_about(const PixelBox& box, cv::Size picture) {
    const int margin = static_cast<int>(std::lround(kMargin * box.height));
    return cv::Rect(box.x - margin, box.y - margin, box.width + 2 * margin,
                    box.height + 2 * margin) &
           cv::Rect({0, 0}, picture);
}

// The same two passes as the reader's, with nothing done to the frames.
double decode_cpu_s(const std::filesystem::path& clip) {
    const double before_s = thread_cpu_s();
    for (const bool keys : {true, false}) {
        FrameSource::Opened opened =
            FrameSource::open(clip, {.key_frames_only = keys, .per_s = keys ? 2.0 : 10.0});
        while (opened.source && opened.source->next()) {
        }
    }
    return thread_cpu_s() - before_s;
}

}  // namespace

void add(PeerColumn& sum, const PeerColumn& more) {
    add(sum.ours, more.ours);
    add(sum.as_read, more.as_read);
    add(sum.smoothed, more.smoothed);
    sum.crops += more.crops;
    sum.peer_cpu_s += more.peer_cpu_s;
    sum.ours_cpu_s += more.ours_cpu_s;
    sum.our_samples += more.our_samples;
}

const char* peer_words() {
    return "Tesseract: C++ API, LSTM, eng, one thread, single line, digits, point and minus only, "
           "on "
           "the box our\nfinder found and a margin of a fifth of its height, scaled to 60 px, "
           "Otsu, "
           "dark on light. Helped by us: the\ndecimal point, the unit and the most digits are "
           "those "
           "of our format; `smoothed` puts its digits (each taken as\n90 % sure) through our own "
           "sequence model and our own tests of trust, with the same least probability.\nNot "
           "applied: "
           "fields apart, cells in place of text, adaptation, since it gives text and no evidence "
           "for cells.\nOur CPU per reading is all that read_clip does beside the two decoding "
           "passes; Tesseract's is preparing and\nrecognising, without finding the crop.";
}

std::optional<PeerColumn> read_by_tesseract(const std::filesystem::path& clip, const Track& ours,
                                            const std::vector<ShownAt>& truth, int every,
                                            double ours_cpu_s) {
    if (!ours.format || every < 1) return std::nullopt;
    thread_local Recogniser recogniser;
    if (!recogniser.ready()) return std::nullopt;
    FrameSource::Opened opened =
        FrameSource::open(clip, {.key_frames_only = false, .per_s = ReadOptions{}.samples_per_s});
    if (!opened.source) return std::nullopt;
    PeerColumn column;
    std::vector<PeerText> texts;
    std::vector<CounterSample> same_samples;
    for (std::size_t i = 0; const std::optional<Frame> frame = opened.source->next(); ++i) {
        if (i % static_cast<std::size_t>(every) != 0 || i >= ours.samples.size()) continue;
        if (std::abs(ours.samples[i].time_s - frame->time_s) > 1e-6) continue;
        const cv::Mat1b crop = frame->luma(crop_about(ours.format->box, frame->luma.size()));
        if (crop.empty()) continue;
        const double before_s = thread_cpu_s();
        const std::string text = recogniser.read(crop);
        column.peer_cpu_s += thread_cpu_s() - before_s;
        texts.push_back({frame->time_s, ticks_of(text, *ours.format)});
        same_samples.push_back(ours.samples[i]);
    }
    column.crops = static_cast<long>(texts.size());
    column.our_samples = static_cast<long>(ours.samples.size());
    column.ours_cpu_s = std::max(0.0, ours_cpu_s - decode_cpu_s(clip));
    column.ours = score(with_samples(ours, std::move(same_samples)), truth);
    column.as_read = score(read_alone(ours, texts), truth);
    column.smoothed = score(read_in_sequence(ours, texts), truth);
    return column;
}

}  // namespace sondeline::bench
