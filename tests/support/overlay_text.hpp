// The overlay burnt into the picture: which words stand where in a frame, and their ink.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "support/push_story.hpp"
#include "support/typeface.hpp"

namespace sondeline::support {

// A frame as an encoder takes it: luma, and chroma at half its size.
struct Frame {
    cv::Mat1b y, u, v;
};

// Where a field may put ink or box, in pixels of the picture.
struct FieldBox {
    int set = 0;
    FieldRole role = FieldRole::title;
    cv::Rect box;
};

class Overlay {
  public:
    // Throws std::invalid_argument when a face is missing, a field reaches out of the picture or
    // two fields of one set overlap.
    Overlay(const Scenario& scenario, std::vector<HeadState> states, double states_per_s);

    Overlay(const Overlay&) = delete;
    Overlay& operator=(const Overlay&) = delete;

    // Burns the overlay of state `index` into the frame.
    void burn(Frame& frame, std::size_t index);

    // The first counter as a plain number as it stands in the frame; empty when none is shown.
    std::string counter_shown(std::size_t index) const;

    const std::vector<FieldBox>& boxes() const { return boxes_; }

  private:
    // Ink prepared for one text, 0…255.
    struct Sprite {
        std::string text;
        cv::Mat1b dark;  // the outline, strokes included
        cv::Mat1b stroke;
    };

    std::string text_of(const OverlayField& field, std::size_t index) const;
    std::size_t refreshed(const OverlayField& field, std::size_t index) const;
    cv::Rect widest_box(const OverlayField& field, int set);
    const Sprite& sprite(const OverlayField& field, const std::string& text);
    DrawnText drawn(const OverlayField& field, const std::string& text) const;

    Scenario scenario_;
    std::vector<HeadState> states_;
    double states_per_s_;
    // Draws a text in one face and height.
    using Draw = std::function<DrawnText(const std::string&, const TextShape&)>;
    static Draw draw_in(const OverlayField& field);

    std::map<std::string, Draw> faces_;  // by face and height
    std::map<const OverlayField*, Sprite> sprites_;
    std::map<const OverlayField*, cv::Rect> box_of_;
    std::vector<FieldBox> boxes_;
};

// A font file of this name below the system's font folder. Throws std::invalid_argument without it.
std::filesystem::path find_font(const std::string& file_name);

}  // namespace sondeline::support
