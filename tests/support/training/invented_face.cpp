#include "support/training/invented_face.hpp"

#include <cctype>
#include <cmath>
#include <utility>

#include <opencv2/imgproc.hpp>

#include "support/training/chance.hpp"

namespace sondeline::support {

namespace {

using Points = std::vector<cv::Point2d>;
using Form = std::vector<Stroke>;

// Every digit in several forms. Corners are rounded later, so that a square 0 is also a round one.
const std::array<std::vector<Form>, 10>& forms() {
    static const std::array<std::vector<Form>, 10> all{{
        {{{{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, true}},
         {{{{.5, 0}, {1, .2}, {1, .8}, {.5, 1}, {0, .8}, {0, .2}}, true}},
         {{{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, true}, {{{.2, .8}, {.8, .2}}, false}},
         {{{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, true}, {{{.5, .45}, {.5, .55}}, false}}},
        {{{{{.5, 0}, {.5, 1}}, false}},
         {{{{.15, .25}, {.5, 0}, {.5, 1}}, false}},
         {{{{.15, .2}, {.5, 0}, {.5, 1}}, false}, {{{.1, 1}, {.9, 1}}, false}},
         {{{{.15, 0}, {.5, 0}, {.5, 1}}, false}, {{{.1, 1}, {.95, 1}, {.95, .75}}, false}},
         {{{{.1, 0}, {.5, 0}, {.5, 1}}, false}, {{{.1, 1}, {.9, 1}}, false}}},
        {{{{{0, .2}, {0, 0}, {1, 0}, {1, .45}, {0, 1}, {1, 1}}, false}},
         {{{{0, 0}, {1, 0}, {1, .5}, {0, .5}, {0, 1}, {1, 1}}, false}},
         {{{{0, .15}, {.5, -.05}, {1, .1}, {1, .5}, {0, 1}, {1, 1}}, false}}},
        {{{{{0, 0}, {1, 0}, {1, .5}, {.3, .5}}, false},
          {{{.3, .5}, {1, .5}, {1, 1}, {0, 1}}, false}},
         {{{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, false}, {{{.2, .5}, {1, .5}}, false}},
         {{{{0, 0}, {1, 0}, {.4, .42}, {1, .42}, {1, 1}, {0, 1}, {0, .8}}, false}},
         {{{{.1, 0}, {.9, 0}, {.9, .45}, {.3, .45}}, false},
          {{{.3, .45}, {1, .45}, {1, 1}, {0, 1}}, false}}},
        {{{{{.75, 1}, {.75, 0}, {0, .7}, {1, .7}}, false}},
         {{{{0, 0}, {0, .5}, {1, .5}}, false}, {{{1, 0}, {1, 1}}, false}},
         {{{{.1, 0}, {.1, .6}, {1, .6}}, false}, {{{.7, .35}, {.7, 1}}, false}},
         {{{{.4, 0}, {0, .68}, {1, .68}}, false}, {{{.7, .4}, {.7, 1}}, false}}},
        {{{{{1, 0}, {0, 0}, {0, .45}, {1, .4}, {1, 1}, {0, 1}, {0, .85}}, false}},
         {{{{1, 0}, {0, 0}, {0, .5}, {1, .5}, {1, 1}, {0, 1}}, false}},
         {{{{.9, 0}, {.1, 0}, {.05, .5}, {.6, .3}, {1, .45}, {1, 1}, {0, 1}}, false}}},
        {{{{{1, 0}, {0, 0}, {0, 1}, {1, 1}, {1, .5}, {0, .5}}, false}},
         {{{{0, 0}, {0, 1}, {1, 1}, {1, .5}, {0, .5}}, false}},
         {{{{.8, 0}, {0, .5}, {0, 1}, {1, 1}, {1, .45}, {.3, .4}, {.05, .6}}, false}},
         {{{{.15, 0}, {.15, 1}, {.9, 1}, {.9, .55}, {.15, .55}}, false}}},
        {{{{{0, 0}, {1, 0}, {.35, 1}}, false}},
         {{{{0, 0}, {1, 0}, {1, 1}}, false}},
         {{{{0, .35}, {0, 0}, {1, 0}, {1, 1}}, false}},
         {{{{0, .2}, {0, 0}, {1, 0}, {1, .3}, {.5, .5}, {.5, 1}}, false}},
         {{{{0, 0}, {1, 0}, {.4, 1}}, false}, {{{.4, .5}, {.95, .5}}, false}}},
        {{{{{0, 0}, {1, 0}, {1, .5}, {0, .5}}, true}, {{{0, .5}, {1, .5}, {1, 1}, {0, 1}}, true}},
         {{{{.1, 0}, {.9, 0}, {.9, .47}, {.1, .47}}, true},
          {{{0, .47}, {1, .47}, {1, 1}, {0, 1}}, true}},
         {{{{.22, 0}, {.78, 0}, {.78, .42}, {.22, .42}}, true},
          {{{0, .42}, {1, .42}, {1, 1}, {0, 1}}, true}},
         {{{{0, 0}, {1, 0}, {0, 1}, {1, 1}}, true}}},
        {{{{{0, 1}, {1, 1}, {1, 0}, {0, 0}, {0, .5}, {1, .5}}, false}},
         {{{{1, 1}, {1, 0}, {0, 0}, {0, .5}, {1, .5}}, false}},
         {{{{.2, 1}, {1, .5}, {1, 0}, {0, 0}, {0, .55}, {.7, .6}, {.95, .4}}, false}},
         {{{{.85, 1}, {.85, 0}, {.1, 0}, {.1, .45}, {.85, .45}}, false}}},
    }};
    return all;
}

// Corners cut by a quarter of both sides, again and again: Chaikin, "An algorithm for high-speed
// curve generation" (1974).
Stroke rounded(Stroke stroke, int times) {
    for (; times > 0; --times) {
        const Points& from = stroke.points;
        Points to;
        const std::size_t sides = stroke.closed ? from.size() : from.size() - 1;
        if (!stroke.closed) to.push_back(from.front());
        for (std::size_t i = 0; i < sides; ++i) {
            const cv::Point2d& a = from[i];
            const cv::Point2d& b = from[(i + 1) % from.size()];
            if (stroke.closed || i > 0) to.push_back(0.75 * a + 0.25 * b);
            if (stroke.closed || i + 1 < sides) to.push_back(0.25 * a + 0.75 * b);
        }
        if (!stroke.closed) to.push_back(from.back());
        stroke.points = std::move(to);
    }
    return stroke;
}

// The bars a…g of a seven-segment digit: clockwise from the top, the middle one last.
std::vector<Stroke> segments(std::string_view lit) {
    const std::array<Points, 7> bars{{{{0, 0}, {1, 0}},
                                      {{1, 0}, {1, .5}},
                                      {{1, .5}, {1, 1}},
                                      {{1, 1}, {0, 1}},
                                      {{0, 1}, {0, .5}},
                                      {{0, .5}, {0, 0}},
                                      {{0, .5}, {1, .5}}}};
    std::vector<Stroke> strokes;
    for (const char bar : lit)
        strokes.push_back({bars[static_cast<std::size_t>(bar - 'a')], false});
    return strokes;
}

void make_segments(cv::RNG& chance, InventedFace& face) {
    const std::string_view six = happens(chance, 0.75) ? "acdefg" : "cdefg";
    const std::string_view seven = happens(chance, 0.5) ? "abc" : "abcf";
    const std::string_view nine = happens(chance, 0.75) ? "abcdfg" : "abcfg";
    const std::array<std::string_view, 10> lit{"abcdef", "bc", "abdeg", "abcdg",   "bcfg",
                                               "acdfg",  six,  seven,   "abcdefg", nine};
    for (std::size_t digit = 0; digit < lit.size(); ++digit) {
        face.digits[digit] = segments(lit[digit]);
    }
    face.segment_gap = between(chance, 0.0, 0.06);
    face.thickness = between(chance, 0.08, 0.2);
    face.slant = happens(chance, 0.5) ? between(chance, 0.0, 0.18) : 0.0;
    face.dot_width = happens(chance, 0.5) ? 0.0 : between(chance, 0.2, 1.0);
}

void make_strokes(cv::RNG& chance, InventedFace& face) {
    const int most_round = whole_between(chance, 0, 3);
    for (std::size_t digit = 0; digit < face.digits.size(); ++digit) {
        const auto& choice = forms()[digit];
        Form form =
            choice[static_cast<std::size_t>(chance.uniform(0, static_cast<int>(choice.size())))];
        for (Stroke& stroke : form) {
            for (cv::Point2d& point : stroke.points) {
                point.x += between(chance, -0.07, 0.07);
                point.y += between(chance, -0.04, 0.04);
            }
            stroke = rounded(stroke, happens(chance, 0.8) ? most_round : 0);
        }
        face.digits[digit] = form;
    }
    face.thickness = between(chance, 0.06, 0.19);
    face.slant = happens(chance, 0.25) ? between(chance, -0.03, 0.2) : 0.0;
    face.dot_width = happens(chance, 0.5) ? 1.0 : between(chance, 0.4, 1.0);
}

// Strokes of anything but a digit; heights are chosen by the eye.
std::vector<Stroke> sign(char character, double thickness) {
    const double low = 1.0 - 0.3 * thickness;
    const double dot = 0.15 * thickness;
    switch (character) {
        case '-': return {{{{0.05, .5}, {.95, .5}}, false}};
        case '+': return {{{{0, .5}, {1, .5}}, false}, {{{.5, .2}, {.5, .8}}, false}};
        case '.': return {{{{.5, low}, {.5, low + dot}}, false}};
        case ',': return {{{{.5, .95}, {.4, 1.15}}, false}};
        case ':':
            return {{{{.5, .3}, {.5, .3 + dot}}, false}, {{{.5, .75}, {.5, .75 + dot}}, false}};
        case '/': return {{{{0, 1}, {1, 0}}, false}};
        default: return {};
    }
}

std::vector<Stroke> strokes_of(const InventedFace& face, char character) {
    if (std::isdigit(static_cast<unsigned char>(character)) != 0) {
        return face.digits[static_cast<std::size_t>(character - '0')];
    }
    return sign(character, face.thickness);
}

constexpr int fine = 4;         // pixels drawn for one pixel kept
constexpr double above = 0.35;  // of the height, free above and below the digits

struct Pen {
    double height = 0.0;     // of the digits, fine pixels
    double stretch_x = 1.0;  // of all that is across
    double left = 0.0;       // of the digit's box, fine pixels
};

// The stroke in fine pixels; its thickness stays within the digit's box.
std::vector<cv::Point> placed(const InventedFace& face, const Pen& pen, const Stroke& stroke) {
    const double thick = face.thickness;
    Points points = stroke.points;
    for (cv::Point2d& point : points) {
        point.x = thick / 2.0 + point.x * (face.width - thick);
        point.y = thick / 2.0 + point.y * (1.0 - thick);
    }
    const cv::Point2d along = points.back() - points.front();
    const double length = cv::norm(along);
    if (face.segment_gap > 0.0 && points.size() == 2 && length > 2.5 * face.segment_gap) {
        points.front() += along * (face.segment_gap / length);
        points.back() -= along * (face.segment_gap / length);
    }
    std::vector<cv::Point> result;
    for (const cv::Point2d& point : points) {
        const double sheared = point.x + face.slant * (1.0 - point.y);
        result.emplace_back(cvRound(pen.left + sheared * pen.height * pen.stretch_x),
                            cvRound((above + point.y) * pen.height));
    }
    return result;
}

}  // namespace

InventedFace random_invented_face(cv::RNG& chance) {
    InventedFace face;
    face.pitch = between(chance, 0.6, 1.0);
    face.width = face.pitch * between(chance, 0.6, 0.86);
    if (happens(chance, 0.3)) {
        make_segments(chance, face);
    } else {
        make_strokes(chance, face);
    }
    face.thickness = std::min(face.thickness, 0.35 * face.width);
    return face;
}

DrawnLine draw_line(const InventedFace& face, const Lettering& lettering, const std::string& text) {
    const double height = lettering.drawn_height_px;
    const double stretch = lettering.shape.stretch;
    DrawnLine line;
    line.digit_pitch = face.pitch * height * stretch;
    double right = 0.0;
    for (const char character : text) {
        const bool narrow = character == '.' || character == ',' || character == ':';
        line.left.push_back(right);
        line.width.push_back(narrow ? line.digit_pitch * face.dot_width : line.digit_pitch);
        line.inked.push_back(!strokes_of(face, character).empty());
        right += line.width.back();
    }
    cv::Mat1b drawing = cv::Mat1b::zeros(cvCeil((1.0 + 2.0 * above) * height) * fine,
                                         cvCeil(right + line.digit_pitch * 0.5) * fine);
    const int thick = std::max(1, cvRound(face.thickness * height * fine));
    for (std::size_t i = 0; i < text.size(); ++i) {
        const double spare = line.width[i] - face.width * height * stretch;
        const Pen pen{height * fine, stretch, (line.left[i] + spare / 2.0) * fine};
        for (const Stroke& stroke : strokes_of(face, text[i])) {
            cv::polylines(drawing, placed(face, pen, stroke), stroke.closed, 255, thick);
        }
    }
    cv::Mat1b kept;
    cv::resize(drawing, kept, drawing.size() / fine, 0, 0, cv::INTER_AREA);
    if (!lettering.shape.antialiased) kept = kept >= 128;
    kept.convertTo(line.coverage, CV_32F, 1.0 / 255.0);
    line.digit_top = above * height;
    line.baseline = (1.0 + above) * height;
    finish(lettering, line);
    return line;
}

}  // namespace sondeline::support
