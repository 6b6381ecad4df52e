#include "support/footage.hpp"

#include <array>
#include <fstream>
#include <stdexcept>

#include <fmt/format.h>
#include <opencv2/imgproc.hpp>

#include "support/encode.hpp"
#include "support/smooth_noise.hpp"

namespace sondeline::support {

namespace {

constexpr std::uint64_t sensor_stream = 61;
constexpr std::uint64_t line_stream = 62;

// Noise with mean 128 that is larger than the picture, so that each frame takes another part of it.
class NoiseSheet {
  public:
    NoiseSheet(cv::Size picture, double sd, std::uint64_t seed) : seed_(seed) {
        if (sd <= 0.0) return;
        sheet_.create(picture.height + slack, picture.width + slack);
        cv::RNG random(seed);
        random.fill(sheet_, cv::RNG::NORMAL, 128.0, sd);
    }

    void add_to(cv::Mat1b& plane, std::size_t index) const {
        if (sheet_.empty()) return;
        const auto x = static_cast<int>(mixed(seed_, 2 * index) % slack);
        const auto y = static_cast<int>(mixed(seed_, 2 * index + 1) % slack);
        cv::addWeighted(plane, 1.0, sheet_(cv::Rect(x, y, plane.cols, plane.rows)), 1.0, -128.0,
                        plane);
    }

  private:
    static constexpr int slack = 256;
    std::uint64_t seed_;
    cv::Mat1b sheet_;
};

// The path of the picture from the lens to the recorder.
class Studio {
  public:
    Studio(const Scenario& scenario, double states_per_s)
        : scenario_(scenario),
          states_(tell_story(scenario, states_per_s)),
          pipe_(scenario, states_),
          overlay_(scenario, states_, states_per_s),
          sensor_(size(), scenario.camera.noise_sd, mixed(scenario.seed, sensor_stream)),
          line_(size(), scenario.camera.line_noise_sd, mixed(scenario.seed, line_stream)) {}

    std::size_t count() const { return states_.size(); }
    const HeadState& state(std::size_t index) const { return states_[index]; }
    double water_ratio(std::size_t index) const {
        return pipe_.water_ratio(states_[index].station_m);
    }

    std::string shown(std::size_t index) const {
        if (states_[index].picture == PictureKind::black) return {};
        if (states_[index].picture == PictureKind::frozen) return last_shown_;
        return overlay_.counter_shown(index);
    }

    // Frames must be asked for in order. `second` field of a frame lasts until the next call.
    const Frame& develop(std::size_t index) {
        const PictureKind kind = states_[index].picture;
        last_shown_ = shown(index);
        if (kind == PictureKind::frozen && !frame_.y.empty()) return frame_;
        Frame fresh;
        if (kind == PictureKind::pipe || kind == PictureKind::frozen) {
            pipe_.draw(states_[index], fresh);
            sensor_.add_to(fresh.y, index);
        } else {
            fill(fresh, kind);
        }
        if (kind != PictureKind::black) overlay_.burn(fresh, index);
        soften(fresh);
        line_.add_to(fresh.y, index);
        if (scenario_.camera.upside_down) {
            for (cv::Mat1b* plane : {&fresh.y, &fresh.u, &fresh.v}) cv::flip(*plane, *plane, -1);
        }
        linger(fresh);
        frame_ = fresh;
        return frame_;
    }

  private:
    cv::Size size() const { return {scenario_.encoding.width, scenario_.encoding.height}; }

    void fill(Frame& frame, PictureKind kind) const {
        const bool blue = kind == PictureKind::blue;
        frame.y = cv::Mat1b(size(), blue ? 35 : 16);
        frame.u = cv::Mat1b(size() / 2, blue ? 212 : 128);
        frame.v = cv::Mat1b(size() / 2, blue ? 114 : 128);
    }

    void soften(Frame& frame) const {
        const CameraScene& camera = scenario_.camera;
        if (camera.analogue_blur_px > 0.0) {
            for (cv::Mat1b* plane : {&frame.y, &frame.u, &frame.v}) {
                cv::GaussianBlur(*plane, *plane, cv::Size(0, 1), camera.analogue_blur_px, 1e-3);
            }
        }
        if (camera.ringing > 0.0) {
            cv::Mat1b wide;
            cv::GaussianBlur(frame.y, wide, cv::Size(0, 1), 2.0 + 2.0 * camera.analogue_blur_px,
                             1e-3);
            cv::addWeighted(frame.y, 1.0 + camera.ringing, wide, -camera.ringing, 0.0, frame.y);
        }
    }

    void linger(Frame& frame) const {
        const double share = scenario_.camera.previous_frame;
        if (share <= 0.0 || frame_.y.empty()) return;
        cv::addWeighted(frame.y, 1.0 - share, frame_.y, share, 0.0, frame.y);
    }

    Scenario scenario_;
    std::vector<HeadState> states_;
    PipePicture pipe_;
    Overlay overlay_;
    NoiseSheet sensor_;
    NoiseSheet line_;
    Frame frame_;
    std::string last_shown_;
};

Frame copy_of(const Frame& frame) {
    return {frame.y.clone(), frame.u.clone(), frame.v.clone()};
}

// Every second line from another frame, from the line `first` on.
void weave(const cv::Mat1b& from, cv::Mat1b& into, int first) {
    for (int row = first; row < into.rows; row += 2) from.row(row).copyTo(into.row(row));
}

const char* word(FieldRole role) {
    switch (role) {
        case FieldRole::counter: return "counter";
        case FieldRole::clock: return "clock";
        case FieldRole::date: return "date";
        case FieldRole::title: return "title";
        case FieldRole::elapsed: return "elapsed";
        case FieldRole::inclination: return "inclination";
        case FieldRole::frame_number: return "frame number";
        case FieldRole::decoy: break;
    }
    return "decoy";
}

void write_boxes(const std::vector<FieldBox>& boxes, const std::filesystem::path& file) {
    std::ofstream stream(file);
    stream << "set,role,x,y,width,height\n";
    for (const FieldBox& field : boxes) {
        stream << fmt::format("{},{},{},{},{},{}\n", field.set, word(field.role), field.box.x,
                              field.box.y, field.box.width, field.box.height);
    }
    if (!stream) throw std::runtime_error("footage: cannot write " + file.string());
}

}  // namespace

void each_frame(const Scenario& scenario,
                const std::function<void(const Frame&, const FrameTruth&)>& take) {
    const std::size_t fields = scenario.encoding.interlaced ? 2 : 1;
    Studio studio(scenario, scenario.encoding.frames_per_s() * static_cast<double>(fields));
    for (std::size_t index = 0; index + fields <= studio.count(); index += fields) {
        FrameTruth truth;
        truth.frame = static_cast<long>(index / fields);
        truth.time_s = studio.state(index).time_s;
        truth.station_m = studio.state(index).station_m;
        truth.water_ratio = studio.water_ratio(index);
        Frame frame = copy_of(studio.develop(index));
        truth.shown = studio.shown(index);
        if (fields == 2) {
            const Frame& second = studio.develop(index + 1);
            weave(second.y, frame.y, 1);
            weave(second.u, frame.u, 1);
            weave(second.v, frame.v, 1);
            truth.shown_second_field = studio.shown(index + 1);
        }
        take(frame, truth);
    }
}

std::vector<FieldBox> overlay_boxes(const Scenario& scenario) {
    const double states_per_s = scenario.encoding.frames_per_s();
    return Overlay(scenario, tell_story(scenario, states_per_s), states_per_s).boxes();
}

void make_footage(const Scenario& scenario, const std::filesystem::path& clip) {
    write_boxes(overlay_boxes(scenario), clip.string() + ".boxes.csv");
    const std::string truth_file = clip.string() + ".truth.csv";
    std::ofstream rows(truth_file);
    rows << "frame,time_s,shown,station_m,water_ratio,shown_second_field\n";
    Encoder encoder(scenario.encoding, clip);
    each_frame(scenario, [&](const Frame& frame, const FrameTruth& truth) {
        encoder.add(frame);
        rows << fmt::format("{},{:.4f},{},{:.4f},{:.3f},{}\n", truth.frame, truth.time_s,
                            truth.shown, truth.station_m, truth.water_ratio,
                            truth.shown_second_field);
    });
    encoder.finish();
    if (!rows.flush()) throw std::runtime_error("footage: cannot write " + truth_file);
}

}  // namespace sondeline::support
