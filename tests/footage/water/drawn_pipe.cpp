#include "footage/water/drawn_pipe.hpp"

#include <opencv2/imgproc.hpp>

#include "footage/water/water_look.hpp"
#include "support/footage.hpp"

namespace sondeline {

support::Scenario plain_pipe() {
    support::Scenario scenario;
    scenario.seed = 11;
    scenario.pipe.joint_spacing_m = 0.0;
    scenario.pipe.dirt = 0.2;
    scenario.camera.noise_sd = 0.0;
    scenario.camera.wander = 0.0;
    scenario.camera.roll_deg = 0.0;
    scenario.camera.exposure_swing = 0.0;
    scenario.encoding.rate = "10";
    return scenario;
}

std::vector<cv::Mat1b> small_frames(support::Scenario scenario, double to_m) {
    support::StoryStep push;
    push.action = support::StoryAction::push;
    push.to_m = to_m;
    push.speed = 0.3;
    push.surge = 0.0;
    scenario.story = {push};
    std::vector<cv::Mat1b> frames;
    support::each_frame(scenario, [&](const support::Frame& frame, const support::FrameTruth&) {
        cv::Mat1b small;
        const int height = water_picture_width * frame.y.rows / frame.y.cols;
        cv::resize(frame.y, small, {water_picture_width, height}, 0, 0, cv::INTER_AREA);
        frames.push_back(small);
    });
    return frames;
}

}  // namespace sondeline
