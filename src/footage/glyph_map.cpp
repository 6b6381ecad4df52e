#include "footage/glyph_map.hpp"

#include <algorithm>
#include <cmath>

#include "footage/cell_sampler.hpp"

namespace sondeline {

namespace {

float logit_of(float log_probability) {
    const double p = std::exp(static_cast<double>(log_probability));
    const double logit = static_cast<double>(log_probability) - std::log(std::max(1.0 - p, 1e-6));
    return std::clamp(static_cast<float>(logit), -most_logit, most_logit);
}

}  // namespace

float digit_logit(const GlyphLogProbs& log_probs) {
    return logit_of(*std::max_element(log_probs.begin(), log_probs.begin() + 10));
}

float class_logit(const GlyphLogProbs& log_probs, Glyph glyph) {
    return logit_of(log_probs[static_cast<std::size_t>(glyph)]);
}

GlyphMap::GlyphMap(std::span<const LineCrop* const> crops, const GlyphNet& net, Strokes strokes,
                   const TextBand& band, double from_px, double to_px, int steps_per_pitch)
    : band_(band),
      from_px_(from_px),
      steps_(steps_per_pitch),
      crops_(static_cast<int>(crops.size())) {
    const double step_px = band.pitch_px / steps_;
    places_ = std::max(0, static_cast<int>((to_px - from_px - band.pitch_px) / step_px) + 1);
    std::vector<cv::Rect2d> cells;
    cells.reserve(static_cast<std::size_t>(places_));
    for (int place = 0; place < places_; ++place) {
        cells.emplace_back(left_px(place), band.top_px, band.pitch_px, band.height_px);
    }
    CellSampler sampler(cells, strokes);
    std::vector<GlyphPatch> patches(cells.size());
    all_.resize(cells.size() * crops.size());
    for (std::size_t crop = 0; crop < crops.size(); ++crop) {
        sampler.sample(crops[crop]->luma, patches);
        net.classify(patches, std::span(all_).subspan(crop * cells.size(), cells.size()));
    }
    digits_.reserve(all_.size());
    for (const GlyphLogProbs& log_probs : all_) digits_.push_back(digit_logit(log_probs));
}

float GlyphMap::mean_logit(int place, Glyph glyph) const {
    if (place < 0 || place >= places_ || crops_ == 0) return -most_logit;
    float sum = 0.0F;
    for (int crop = 0; crop < crops_; ++crop) sum += class_logit(at(crop, place), glyph);
    return sum / static_cast<float>(crops_);
}

std::vector<const LineCrop*> spread_crops(std::span<const LineCrop> crops, std::size_t count) {
    std::vector<const LineCrop*> chosen;
    count = std::min(count, crops.size());
    for (std::size_t i = 0; i < count; ++i) {
        chosen.push_back(&crops[count == 1 ? 0 : i * (crops.size() - 1) / (count - 1)]);
    }
    return chosen;
}

}  // namespace sondeline
