#include "support/display_face.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <string_view>
#include <vector>

#include <opencv2/imgproc.hpp>

namespace sondeline::support {

namespace {

constexpr int kFine = 8;        // pixels drawn for one pixel kept
constexpr double kAbove = 0.3;  // of the height, free above and below the digits
constexpr int kDotColumns = 5;
constexpr int kDotRows = 7;

using Polygon = std::vector<cv::Point2d>;  // in digit heights, from the top left of the digit

// ---- seven bars --------------------------------------------------------------------------------

// a…g: clockwise from the top, the middle one last.
std::string_view lit_bars(const DisplayFace& face, char character) {
    switch (character) {
        case '0': return "abcdef";
        case '1': return "bc";
        case '2': return "abdeg";
        case '3': return "abcdg";
        case '4': return "bcfg";
        case '5': return "acdfg";
        case '6': return face.six_has_roof ? "acdefg" : "cdefg";
        case '7': return face.seven_has_hook ? "abcf" : "abc";
        case '8': return "abcdefg";
        case '9': return face.six_has_roof ? "abcdfg" : "abcfg";
        case '-': return "g";
        default: return "";
    }
}

// One bar from corner to corner, along its middle.
Polygon bar(const DisplayFace& face, cv::Point2d from, cv::Point2d to) {
    const double half = face.weight / 2.0;
    const cv::Point2d along = (to - from) / cv::norm(to - from);
    const cv::Point2d across(-along.y * half, along.x * half);
    const cv::Point2d tip = along * face.gap;
    const cv::Point2d shoulder = along * (face.gap + half * face.bevel);
    return {from + tip, from + shoulder + across, to - shoulder + across,
            to - tip,   to - shoulder - across,   from + shoulder - across};
}

std::vector<Polygon> bars_of(const DisplayFace& face, char character) {
    const double half = face.weight / 2.0;
    const double left = half;
    const double right = face.width - half;
    const std::array<double, 3> rows{half, 0.5, 1.0 - half};
    const std::array<std::array<cv::Point2d, 2>, 7> ends{{
        {{{left, rows[0]}, {right, rows[0]}}},
        {{{right, rows[0]}, {right, rows[1]}}},
        {{{right, rows[1]}, {right, rows[2]}}},
        {{{left, rows[2]}, {right, rows[2]}}},
        {{{left, rows[1]}, {left, rows[2]}}},
        {{{left, rows[0]}, {left, rows[1]}}},
        {{{left, rows[1]}, {right, rows[1]}}},
    }};
    std::vector<Polygon> polygons;
    for (const char name : lit_bars(face, character)) {
        const auto& [from, to] = ends[static_cast<std::size_t>(name - 'a')];
        polygons.push_back(bar(face, from, to));
    }
    return polygons;
}

Polygon square_about(cv::Point2d centre, double half) {
    return {centre + cv::Point2d(-half, -half), centre + cv::Point2d(half, -half),
            centre + cv::Point2d(half, half), centre + cv::Point2d(-half, half)};
}

// Points and colons, about the middle of their own width.
std::vector<Polygon> point_of(const DisplayFace& face, char character, double middle) {
    const double half = 0.55 * face.weight;
    switch (character) {
        case '.': return {square_about({middle, 1.0 - half}, half)};
        case ',':
            return {square_about({middle, 1.0 - half}, half),
                    {{middle, 1.0}, {middle + half, 1.0}, {middle - half, 1.0 + 3.0 * half}}};
        case ':': return {square_about({middle, 0.3}, half), square_about({middle, 0.7}, half)};
        default: return {};
    }
}

// ---- dots --------------------------------------------------------------------------------------

// Rows from the top, five columns in the low bits, the left one highest.
using DotForm = std::array<std::uint8_t, kDotRows>;

std::optional<DotForm> dots_of(char character) {
    switch (character) {
        case '0': return DotForm{0b01110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110};
        case '1': return DotForm{0b00100, 0b01100, 0b00100, 0b00100, 0b00100, 0b00100, 0b01110};
        case '2': return DotForm{0b01110, 0b10001, 0b00001, 0b00110, 0b01000, 0b10000, 0b11111};
        case '3': return DotForm{0b01110, 0b10001, 0b00001, 0b00110, 0b00001, 0b10001, 0b01110};
        case '4': return DotForm{0b00010, 0b00110, 0b01010, 0b10010, 0b11111, 0b00010, 0b00010};
        case '5': return DotForm{0b11111, 0b10000, 0b11110, 0b00001, 0b00001, 0b10001, 0b01110};
        case '6': return DotForm{0b00110, 0b01000, 0b10000, 0b11110, 0b10001, 0b10001, 0b01110};
        case '7': return DotForm{0b11111, 0b00001, 0b00010, 0b00100, 0b01000, 0b01000, 0b01000};
        case '8': return DotForm{0b01110, 0b10001, 0b10001, 0b01110, 0b10001, 0b10001, 0b01110};
        case '9': return DotForm{0b01110, 0b10001, 0b10001, 0b01111, 0b00001, 0b00010, 0b01100};
        case '-': return DotForm{0, 0, 0, 0b11111, 0, 0, 0};
        case '+': return DotForm{0, 0b00100, 0b00100, 0b11111, 0b00100, 0b00100, 0};
        case '.': return DotForm{0, 0, 0, 0, 0, 0b01100, 0b01100};
        case ',': return DotForm{0, 0, 0, 0, 0b01100, 0b00100, 0b01000};
        case ':': return DotForm{0, 0b01100, 0b01100, 0, 0b01100, 0b01100, 0};
        case '/': return DotForm{0, 0b00001, 0b00010, 0b00100, 0b01000, 0b10000, 0};
        case '\'': return DotForm{0b01100, 0b00100, 0b01000, 0, 0, 0, 0};
        case '"': return DotForm{0b01010, 0b01010, 0, 0, 0, 0, 0};
        case 'F': return DotForm{0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b10000};
        case 'T': return DotForm{0b11111, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100};
        case 'M': return DotForm{0b10001, 0b11011, 0b10101, 0b10101, 0b10001, 0b10001, 0b10001};
        case 'f': return DotForm{0b00110, 0b01001, 0b01000, 0b11100, 0b01000, 0b01000, 0b01000};
        case 't': return DotForm{0b01000, 0b01000, 0b11100, 0b01000, 0b01000, 0b01001, 0b00110};
        case 'm': return DotForm{0, 0, 0b11010, 0b10101, 0b10101, 0b10101, 0b10101};
        default: return std::nullopt;
    }
}

// ---- a line ------------------------------------------------------------------------------------

class LineOfDisplay {
  public:
    LineOfDisplay(const DisplayFace& face, int height_px, const TextShape& shape,
                  const std::string& text)
        : face_(face), shape_(shape), height_(height_px), slant_(face.slant + shape.slant) {
        double at = 0.0;
        for (const char character : text) {
            lefts_.push_back(at);
            at += advance(character);
        }
        lefts_.push_back(at);
        const double lean = slant_ * (1.0 + 2.0 * kAbove);
        fine_ = cv::Mat1b::zeros(fine_px(1.0 + 2.0 * kAbove, height_),
                                 fine_px(at + std::abs(lean) + 0.1, height_ * shape.stretch));
        for (std::size_t i = 0; i < text.size(); ++i) {
            ink_.emplace_back();
            draw(text[i], lefts_[i]);
        }
    }

    DrawnText finish() const {
        DrawnText drawn;
        const cv::Size size(fine_.cols / kFine, fine_.rows / kFine);
        cv::resize(fine_, drawn.coverage, size, 0, 0, cv::INTER_AREA);
        if (!shape_.antialiased) drawn.coverage = drawn.coverage >= 128;
        for (std::size_t i = 0; i + 1 < lefts_.size(); ++i) {
            const int left = px(lefts_[i]);
            drawn.cells.emplace_back(left, 0, std::max(0, px(lefts_[i + 1]) - left), size.height);
            drawn.ink.push_back(ink_[i]);
        }
        drawn.baseline = static_cast<int>(std::lround((1.0 + kAbove) * height_));
        return drawn;
    }

  private:
    static int fine_px(double heights, double height_px) {
        return static_cast<int>(std::ceil(heights * height_px)) * kFine;
    }
    int px(double heights) const {
        return static_cast<int>(std::lround(heights * height_ * shape_.stretch));
    }

    double advance(char character) const {
        const bool narrow = character == '.' || character == ',' || character == ':';
        const bool own_width = face_.kind == DisplayFace::Kind::bars && narrow;
        return own_width && !shape_.fixed_pitch ? face_.point_width * face_.pitch : face_.pitch;
    }

    cv::Point placed(cv::Point2d point, double left) const {
        const double x = left + point.x + slant_ * (1.0 - point.y);
        return {cvRound(x * height_ * shape_.stretch * kFine),
                cvRound((kAbove + point.y) * height_ * kFine)};
    }

    void fill(const Polygon& polygon, double left) {
        std::vector<cv::Point> corners;
        for (const cv::Point2d& point : polygon) corners.push_back(placed(point, left));
        cv::fillConvexPoly(fine_, corners, 255);
        const cv::Rect box = cv::boundingRect(corners);
        const cv::Point first = box.tl() / kFine;
        const cv::Point last = (box.br() - cv::Point(1, 1)) / kFine;
        ink_.back() |= cv::Rect(first, last + cv::Point(1, 1)) & cv::Rect({}, fine_.size() / kFine);
    }

    void draw(char character, double left) {
        if (face_.kind == DisplayFace::Kind::dots) {
            draw_dots(character, left);
            return;
        }
        const double inset = (face_.pitch - face_.width) / 2.0;
        for (const Polygon& one : bars_of(face_, character)) fill(one, left + inset);
        // A point without width of its own stands between the digit before it and the next.
        const double own = advance(character);
        const double middle = own > 0.0 ? own / 2.0 : 0.0;
        for (const Polygon& one : point_of(face_, character, middle)) fill(one, left);
    }

    void draw_dots(char character, double left) {
        const auto form = dots_of(character);
        if (!form) return;
        const double across = face_.width / kDotColumns;
        const double down = 1.0 / kDotRows;
        const double inset = (face_.pitch - face_.width) / 2.0;
        for (int row = 0; row < kDotRows; ++row) {
            for (int column = 0; column < kDotColumns; ++column) {
                const int bit = kDotColumns - 1 - column;
                if ((((*form)[static_cast<std::size_t>(row)] >> bit) & 1) == 0) continue;
                dot({inset + (column + 0.5) * across, (row + 0.5) * down}, across, down, left);
            }
        }
    }

    void dot(cv::Point2d centre, double across, double down, double left) {
        constexpr int kCorners = 12;
        Polygon polygon;
        for (int i = 0; i < kCorners; ++i) {
            const double turn = (i + 0.5) * 2.0 * CV_PI / kCorners;
            cv::Point2d corner(std::cos(turn), std::sin(turn));
            if (!face_.round_dots) {
                corner /= std::max(std::abs(corner.x), std::abs(corner.y));
            }
            polygon.emplace_back(centre.x + 0.5 * face_.dot * across * corner.x,
                                 centre.y + 0.5 * face_.dot * down * corner.y);
        }
        fill(polygon, left);
    }

    const DisplayFace& face_;
    TextShape shape_;
    double height_;
    double slant_;
    std::vector<double> lefts_;  // of each character, and the end; in digit heights
    std::vector<cv::Rect> ink_;  // of each character drawn so far, in pixels kept
    cv::Mat1b fine_;
};

double between(cv::RNG& chance, double low, double high) {
    return chance.uniform(low, high);
}

bool happens(cv::RNG& chance, double probability) {
    return chance.uniform(0.0, 1.0) < probability;
}

DisplayFace invented(cv::RNG& chance, DisplayFace::Kind kind) {
    DisplayFace face;
    face.kind = kind;
    face.width = between(chance, 0.45, 0.68);
    face.pitch = face.width * between(chance, 1.22, 1.6);
    face.slant = happens(chance, 0.5) ? between(chance, 0.04, 0.18) : 0.0;
    face.weight = between(chance, 0.08, 0.19);
    face.gap = between(chance, 0.0, 0.035);
    face.bevel = happens(chance, 0.7) ? 1.0 : between(chance, 0.0, 0.6);
    face.six_has_roof = happens(chance, 0.75);
    face.seven_has_hook = happens(chance, 0.4);
    face.point_width = happens(chance, 0.6) ? 0.0 : between(chance, 0.25, 1.0);
    face.dot = between(chance, 0.65, 1.0);
    face.round_dots = happens(chance, 0.6);
    if (kind == DisplayFace::Kind::dots) face.slant = 0.0;
    return face;
}

}  // namespace

std::optional<DisplayFace> display_face(const std::string& name) {
    for (const auto& [kind, start] : {std::pair(DisplayFace::Kind::bars, "display bars "),
                                      std::pair(DisplayFace::Kind::dots, "display dots ")}) {
        const std::string_view words = start;
        if (!name.starts_with(words)) continue;
        std::uint64_t number = 0;
        const char* end = name.data() + name.size();
        const auto read = std::from_chars(name.data() + words.size(), end, number);
        if (read.ec != std::errc{} || read.ptr != end) continue;
        cv::RNG chance(0x9e3779b97f4a7c15ULL *
                       (2 * number + (kind == DisplayFace::Kind::dots ? 2 : 1)));
        chance.next();
        return invented(chance, kind);
    }
    return std::nullopt;
}

DrawnText draw_display(const DisplayFace& face, int digit_height_px, const std::string& text,
                       const TextShape& shape) {
    return LineOfDisplay(face, digit_height_px, shape, text).finish();
}

}  // namespace sondeline::support
