#include "support/typeface.hpp"

#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_OUTLINE_H

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string_view>

#include <opencv2/imgproc.hpp>

namespace sondeline::support {

struct Typeface::Face {
    FT_Library library = nullptr;
    FT_Face face = nullptr;
    double bitmap_scale = 1.0;  // of a font that has strikes only: wanted over drawn digit height

    Face() = default;
    Face(const Face&) = delete;
    Face& operator=(const Face&) = delete;
    ~Face() {
        if (face != nullptr) FT_Done_Face(face);
        if (library != nullptr) FT_Done_FreeType(library);
    }
};

namespace {

constexpr double per_pixel = 64.0;  // FreeType's fixed point 26.6

struct Glyph {
    cv::Mat1b picture;  // empty for a blank
    int left = 0;       // of the picture, from the pen
    int top = 0;        // rows above the baseline
    int advance = 0;
};

std::vector<char32_t> code_points(const std::string& text) {
    std::vector<char32_t> points;
    for (const char signed_byte : text) {
        const auto byte = static_cast<unsigned char>(signed_byte);
        if (byte < 0x80) {
            points.push_back(byte);
        } else if (byte >= 0xC0) {
            const int lead_bits = byte >= 0xF0 ? 0x07 : (byte >= 0xE0 ? 0x0F : 0x1F);
            points.push_back(byte & lead_bits);
        } else if (!points.empty()) {
            points.back() = (points.back() << 6) | (byte & 0x3F);
        }
    }
    return points;
}

cv::Mat1b picture_of(const FT_Bitmap& bitmap) {
    cv::Mat1b picture(static_cast<int>(bitmap.rows), static_cast<int>(bitmap.width));
    for (int row = 0; row < picture.rows; ++row) {
        const unsigned char* source = bitmap.buffer + row * bitmap.pitch;
        for (int column = 0; column < picture.cols; ++column) {
            if (bitmap.pixel_mode == FT_PIXEL_MODE_MONO) {
                const bool set = ((source[column / 8] >> (7 - column % 8)) & 1) != 0;
                picture(row, column) = set ? 255 : 0;
            } else {
                picture(row, column) = source[column];
            }
        }
    }
    return picture;
}

// Height of the ink of the digit eight in pixels at the size now set; empty without one.
std::optional<double> digit_height_px(FT_Face face) {
    const FT_UInt index = FT_Get_Char_Index(face, '8');
    if (index == 0 || FT_Load_Glyph(face, index, FT_LOAD_NO_HINTING) != 0) return std::nullopt;
    double height = static_cast<double>(face->glyph->metrics.height) / per_pixel;
    // The box of a strike may hold blank rows.
    if (!FT_IS_SCALABLE(face)) height = cv::boundingRect(picture_of(face->glyph->bitmap)).height;
    if (height <= 0) return std::nullopt;
    return height;
}

bool set_outline_size(FT_Face face, double wanted_px) {
    constexpr int trial_px = 200;
    if (FT_Set_Pixel_Sizes(face, 0, trial_px) != 0) return false;
    const auto height = digit_height_px(face);
    if (!height) return false;
    const auto size = static_cast<FT_F26Dot6>(std::lround(trial_px * wanted_px / *height * 64.0));
    return FT_Set_Char_Size(face, 0, std::max<FT_F26Dot6>(size, 64), 72, 72) == 0;
}

// Picks the strike whose digits are nearest to the wanted height; gives the scale that is left.
std::optional<double> set_strike(FT_Face face, double wanted_px) {
    std::optional<int> best;
    double best_height = 0.0;
    for (int strike = 0; strike < face->num_fixed_sizes; ++strike) {
        if (FT_Select_Size(face, strike) != 0) continue;
        const auto height = digit_height_px(face);
        if (!height) continue;
        if (!best || std::abs(*height - wanted_px) < std::abs(best_height - wanted_px)) {
            best = strike;
            best_height = *height;
        }
    }
    if (!best || FT_Select_Size(face, *best) != 0) return std::nullopt;
    return wanted_px / best_height;
}

void set_shape(FT_Face face, const TextShape& shape) {
    constexpr double one = 65536.0;  // 16.16
    FT_Matrix matrix;
    matrix.xx = std::lround(shape.stretch * one);
    matrix.xy = std::lround(shape.slant * one);
    matrix.yx = 0;
    matrix.yy = std::lround(one);
    FT_Set_Transform(face, &matrix, nullptr);
}

// A strike is scaled as a picture: by whole pixels when sharp, smoothly otherwise.
void scale_strike(Glyph& glyph, double scale_x, double scale_y, bool antialiased) {
    glyph.left = static_cast<int>(std::lround(glyph.left * scale_x));
    glyph.top = static_cast<int>(std::lround(glyph.top * scale_y));
    glyph.advance = static_cast<int>(std::lround(glyph.advance * scale_x));
    if (glyph.picture.empty()) return;
    const cv::Size size(std::max(1, static_cast<int>(std::lround(glyph.picture.cols * scale_x))),
                        std::max(1, static_cast<int>(std::lround(glyph.picture.rows * scale_y))));
    const bool smaller = scale_x < 1.0 || scale_y < 1.0;
    const int smooth = smaller ? cv::INTER_AREA : cv::INTER_LINEAR;
    cv::Mat1b scaled;
    cv::resize(glyph.picture, scaled, size, 0, 0, antialiased ? smooth : cv::INTER_NEAREST_EXACT);
    glyph.picture = scaled;
}

Glyph load_glyph(FT_Face face, char32_t point, const TextShape& shape, double bitmap_scale) {
    Glyph glyph;
    const FT_UInt index = FT_Get_Char_Index(face, point);
    const bool known = index != 0;
    const bool plain = shape.slant == 0.0 && shape.stretch == 1.0;
    FT_Int32 flags = shape.antialiased ? FT_LOAD_TARGET_NORMAL : FT_LOAD_TARGET_MONO;
    if (!plain) flags |= FT_LOAD_NO_HINTING;
    if (FT_IS_SCALABLE(face)) flags |= FT_LOAD_NO_BITMAP;
    if (FT_Load_Glyph(face, known ? index : FT_Get_Char_Index(face, '0'), flags) != 0) return glyph;
    const FT_GlyphSlot slot = face->glyph;
    glyph.advance = static_cast<int>(std::lround(static_cast<double>(slot->advance.x) / per_pixel));
    const FT_Render_Mode mode = shape.antialiased ? FT_RENDER_MODE_NORMAL : FT_RENDER_MODE_MONO;
    if (known && FT_Render_Glyph(slot, mode) == 0 && slot->bitmap.width > 0) {
        const cv::Mat1b whole = picture_of(slot->bitmap);
        const cv::Rect ink = cv::boundingRect(whole);
        if (!ink.empty()) glyph.picture = whole(ink);
        glyph.left = slot->bitmap_left + ink.x;
        glyph.top = slot->bitmap_top - ink.y;
    }
    if (!FT_IS_SCALABLE(face)) {
        scale_strike(glyph, bitmap_scale * shape.stretch, bitmap_scale, shape.antialiased);
    }
    return glyph;
}

struct PlacedGlyph {
    Glyph glyph;
    int pen = 0;  // where its advance box begins
    int width = 0;
    int shift = 0;  // of the ink within the box
};

std::vector<PlacedGlyph> set_in_line(std::vector<Glyph> glyphs, int fixed_width) {
    std::vector<PlacedGlyph> line;
    int pen = 0;
    for (Glyph& glyph : glyphs) {
        const int width = fixed_width > 0 ? fixed_width : glyph.advance;
        const int shift = (width - glyph.advance) / 2;
        line.push_back({std::move(glyph), pen, width, shift});
        pen += width;
    }
    return line;
}

// Ink box of a placed glyph, with y counted down from the baseline.
cv::Rect ink_box(const PlacedGlyph& placed) {
    if (placed.glyph.picture.empty()) return {};
    return {placed.pen + placed.shift + placed.glyph.left, -placed.glyph.top,
            placed.glyph.picture.cols, placed.glyph.picture.rows};
}

DrawnText compose(const std::vector<PlacedGlyph>& line, int ascent, int descent) {
    cv::Rect canvas(0, -ascent, 1, ascent + descent);
    for (const PlacedGlyph& placed : line) {
        canvas |= cv::Rect(placed.pen, -ascent, std::max(placed.width, 1), ascent + descent);
        if (!placed.glyph.picture.empty()) canvas |= ink_box(placed);
    }
    DrawnText drawn;
    drawn.coverage = cv::Mat1b::zeros(canvas.height, canvas.width);
    drawn.baseline = -canvas.y;
    for (const PlacedGlyph& placed : line) {
        drawn.cells.emplace_back(placed.pen - canvas.x, 0, placed.width, canvas.height);
        const cv::Rect ink = ink_box(placed);
        if (ink.empty()) {
            drawn.ink.emplace_back();
            continue;
        }
        drawn.ink.push_back(ink - canvas.tl());
        cv::Mat target = drawn.coverage(drawn.ink.back());
        const cv::Mat& picture = placed.glyph.picture;
        cv::max(target, picture, target);
    }
    return drawn;
}

}  // namespace

std::optional<Typeface> Typeface::open(const std::filesystem::path& font, int digit_height) {
    auto opened = std::make_shared<Face>();
    if (FT_Init_FreeType(&opened->library) != 0) return std::nullopt;
    if (FT_New_Face(opened->library, font.c_str(), 0, &opened->face) != 0) return std::nullopt;
    if (digit_height <= 0) return std::nullopt;
    if (FT_IS_SCALABLE(opened->face)) {
        if (!set_outline_size(opened->face, digit_height)) return std::nullopt;
    } else {
        const auto scale = set_strike(opened->face, digit_height);
        if (!scale) return std::nullopt;
        opened->bitmap_scale = *scale;
    }
    Typeface typeface;
    typeface.face_ = std::move(opened);
    return typeface;
}

DrawnText Typeface::draw(const std::string& text, const TextShape& shape) const {
    FT_Face face = face_->face;
    set_shape(face, shape);
    std::vector<Glyph> glyphs;
    for (const char32_t point : code_points(text)) {
        glyphs.push_back(load_glyph(face, point, shape, face_->bitmap_scale));
    }
    const int fixed_width =
        shape.fixed_pitch ? load_glyph(face, U'0', shape, face_->bitmap_scale).advance : 0;
    const double scale = FT_IS_SCALABLE(face) ? 1.0 : face_->bitmap_scale;
    const FT_Size_Metrics& metrics = face->size->metrics;
    const auto ascent = static_cast<int>(std::ceil(metrics.ascender / per_pixel * scale));
    const auto descent = static_cast<int>(std::ceil(-metrics.descender / per_pixel * scale));
    return compose(set_in_line(std::move(glyphs), fixed_width), std::max(ascent, 1),
                   std::max(descent, 0));
}

}  // namespace sondeline::support
