#include "support/training/glyph_samples.hpp"

#include <algorithm>
#include <cctype>
#include <functional>
#include <optional>
#include <string>

#include "support/training/chance.hpp"
#include "support/training/invented_face.hpp"
#include "support/training/overlay_scene.hpp"
#include "support/training/overlay_text.hpp"

namespace sondeline::support {

namespace {

// Draws a text in the face and lettering of a line.
using Draw = std::function<std::optional<DrawnLine>(const std::string&)>;

struct TwoTexts {
    DrawnLine line;  // as it stands in the picture
    std::string first;
    std::string second;  // equal to `first` where nothing is blended
    float second_share = 0.0F;
};

bool is_digit(char character) {
    return std::isdigit(static_cast<unsigned char>(character)) != 0;
}

// Mixes the coverage of a later text into that of the first, evenly or in alternate rows.
void blend(cv::RNG& chance, const Draw& draw, TwoTexts& texts) {
    const std::string next = next_text(chance, texts.first);
    const auto later = draw(next);
    if (!later || later->left != texts.line.left) return;
    if (later->coverage.size() != texts.line.coverage.size()) return;
    texts.second = next;
    if (happens(chance, 0.35)) {
        for (int y = 1; y < texts.line.coverage.rows; y += 2) {
            later->coverage.row(y).copyTo(texts.line.coverage.row(y));
        }
        texts.second_share = 0.5F;
        return;
    }
    texts.second_share = static_cast<float>(between(chance, 0.1, 0.5));
    texts.line.coverage =
        texts.line.coverage * (1.0F - texts.second_share) + later->coverage * texts.second_share;
}

// Cuts cells out of one scene.
class Cutter {
  public:
    Cutter(cv::RNG& chance, const DrawnLine& line, const Scene& scene,
           std::vector<GlyphSample>& samples)
        : chance_(chance), line_(line), scene_(scene), samples_(samples) {}

    double pitch() const { return line_.digit_pitch; }
    double height() const { return line_.baseline - line_.digit_top; }

    // A cell centred at `centre` (in the line), placed as inexactly as a search would place it.
    cv::Rect2d cell(double centre) {
        const double off = between(chance_, -0.08, 0.08) * pitch();
        const double width = pitch() * by_ratio(chance_, 0.93, 1.08);
        const double top = line_.digit_top + between(chance_, -0.08, 0.06) * height();
        const double bottom = line_.baseline + between(chance_, -0.06, 0.08) * height();
        return {centre + off - width / 2.0, top, width, bottom - top};
    }

    void cut(const cv::Rect2d& cell, GlyphSample sample) {
        const cv::Point2d origin(scene_.origin);
        sample.patch = patch_from(scene_.luma, cell + origin);
        samples_.push_back(sample);
    }

  private:
    cv::RNG& chance_;
    const DrawnLine& line_;
    const Scene& scene_;
    std::vector<GlyphSample>& samples_;
};

void cut_characters(const TwoTexts& texts, Cutter& cutter) {
    for (std::size_t i = 0; i < texts.first.size(); ++i) {
        if (texts.line.width[i] <= 0.0) continue;  // drawn over its neighbour
        GlyphSample sample;
        if (texts.line.inked[i]) sample.glyph = glyph_of(texts.first[i]);
        if (texts.second[i] != texts.first[i]) {
            sample.other = glyph_of(texts.second[i]);
            // A quarter of the other character is still noise; a half is even odds.
            sample.other_share = std::clamp((texts.second_share - 0.2F) / 0.6F, 0.0F, 1.0F);
        }
        cutter.cut(cutter.cell(texts.line.left[i] + texts.line.width[i] / 2.0), sample);
    }
}

// Cells beside the line: background, box and the edges of the box.
void cut_outside(cv::RNG& chance, const DrawnLine& line, Cutter& cutter) {
    const double gap = cutter.pitch() * (happens(chance, 0.5) ? 0.5 : between(chance, 0.5, 1.6));
    const double right = line.left.back() + line.width.back();
    const bool before = happens(chance, 0.6);
    cutter.cut(cutter.cell(before ? line.left.front() - gap : right + gap), {});
}

// Cells that cut a digit apart: between two characters, or a row band out of place.
void cut_apart(cv::RNG& chance, const TwoTexts& texts, Cutter& cutter) {
    const auto i =
        static_cast<std::size_t>(chance.uniform(0, static_cast<int>(texts.first.size())));
    const bool whole = is_digit(texts.first[i]) && texts.line.inked[i] &&
                       texts.line.width[i] > 0.9 * cutter.pitch();
    if (!whole) return;
    const double kind = between(chance, 0.0, 1.0);
    const double centre = texts.line.left[i] + texts.line.width[i] / 2.0;
    if (kind < 0.55) {
        const double side = happens(chance, 0.5) ? 1.0 : -1.0;
        cutter.cut(cutter.cell(centre + side * between(chance, 0.4, 0.5) * cutter.pitch()), {});
        return;
    }
    cv::Rect2d cell = cutter.cell(centre);
    if (kind < 0.8) {
        cell.y += (happens(chance, 0.5) ? 1.0 : -1.0) * between(chance, 0.4, 0.7) * cell.height;
    } else {
        const double taller =
            happens(chance, 0.5) ? between(chance, 1.7, 2.2) : between(chance, 0.4, 0.55);
        cell.y += cell.height * (1.0 - taller) * between(chance, 0.0, 1.0);
        cell.height *= taller;
    }
    cutter.cut(cell, {});
}

void add_samples(cv::RNG& chance, const Draw& draw, const std::string& text,
                 const SampleOptions& options, std::vector<GlyphSample>& samples) {
    auto line = draw(text);
    if (!line) return;
    TwoTexts texts{std::move(*line), text, text, 0.0F};
    if (happens(chance, 0.12)) blend(chance, draw, texts);
    const double height = texts.line.baseline - texts.line.digit_top;
    if (options.with_warp && happens(chance, 0.4)) {
        warp(chance, texts.line.coverage, between(chance, 0.0, 0.045) * height);
    }
    const Scene scene = random_scene(chance, texts.line);
    Cutter cutter(chance, texts.line, scene, samples);
    cut_characters(texts, cutter);
    if (!options.with_negatives) return;
    cut_outside(chance, texts.line, cutter);
    if (happens(chance, 0.5)) cut_apart(chance, texts, cutter);
}

}  // namespace

void add_line_samples(cv::RNG& chance, const std::filesystem::path& face,
                      const SampleOptions& options, std::vector<GlyphSample>& samples) {
    const Lettering lettering = random_lettering(chance, options.low_px, options.high_px);
    const std::string text = overlay_text(chance, options.with_letters);
    const Draw draw = [&](const std::string& words) { return draw_line(face, lettering, words); };
    add_samples(chance, draw, text, options, samples);
}

void add_invented_line_samples(cv::RNG& chance, const SampleOptions& options,
                               std::vector<GlyphSample>& samples) {
    const InventedFace face = random_invented_face(chance);
    const Lettering lettering = random_lettering(chance, options.low_px, options.high_px);
    const std::string text = overlay_text(chance, false);
    const Draw draw = [&](const std::string& words) { return draw_line(face, lettering, words); };
    add_samples(chance, draw, text, options, samples);
}

}  // namespace sondeline::support
