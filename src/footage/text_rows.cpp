#include "footage/text_rows.hpp"

#include <algorithm>
#include <utility>

#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

// Rows [from, to) of `profile` that hold at least `share` of its maximum, as intervals.
std::vector<cv::Range> runs_above(const std::vector<double>& profile, double threshold) {
    std::vector<cv::Range> runs;
    int from = -1;
    for (int i = 0; i <= static_cast<int>(profile.size()); ++i) {
        const bool inside = i < static_cast<int>(profile.size()) && profile[i] > threshold;
        if (inside && from < 0) from = i;
        if (!inside && from >= 0) {
            runs.emplace_back(from, i);
            from = -1;
        }
    }
    return runs;
}

std::vector<double> ink_by_row(const cv::Mat1b& ink) {
    std::vector<double> profile(static_cast<std::size_t>(ink.rows));
    for (int y = 0; y < ink.rows; ++y) {
        profile[static_cast<std::size_t>(y)] = cv::countNonZero(ink.row(y));
    }
    return profile;
}

struct Pieces {
    cv::Mat1i labels;  // 0 is background
    cv::Mat1i stats;   // a row for each label

    cv::Rect box(int label) const {
        return {stats(label, cv::CC_STAT_LEFT), stats(label, cv::CC_STAT_TOP),
                stats(label, cv::CC_STAT_WIDTH), stats(label, cv::CC_STAT_HEIGHT)};
    }
};

Pieces closed_pieces(const cv::Mat1b& ink) {
    cv::Mat1b closed;
    cv::morphologyEx(ink, closed, cv::MORPH_CLOSE,
                     cv::getStructuringElement(cv::MORPH_RECT, {11, 3}));
    Pieces pieces;
    cv::Mat centroids;
    cv::connectedComponentsWithStats(closed, pieces.labels, pieces.stats, centroids, 8);
    return pieces;
}

// Scratches along the pipe stand still as text does, and may run into it. They are long and thin:
// in pieces too tall for text, rows that hold little of the ink are wiped. The edge of a box that
// the text stands in is no measure of it.
cv::Mat1b without_scratches(const cv::Mat1b& ink, int tallest) {
    constexpr double kLittle = 0.25;  // of the fullest row
    constexpr double kEdge = 0.9;     // of the width
    const Pieces pieces = closed_pieces(ink);
    cv::Mat1b kept = ink.clone();
    for (int label = 1; label < pieces.stats.rows; ++label) {
        const cv::Rect box = pieces.box(label);
        if (box.height <= tallest) continue;
        const cv::Mat1b mine = (pieces.labels(box) == label) & ink(box);
        const std::vector<double> profile = ink_by_row(mine);
        double fullest = 0.0;
        for (const double row : profile) {
            if (row < kEdge * box.width) fullest = std::max(fullest, row);
        }
        for (int y = 0; y < box.height; ++y) {
            if (profile[static_cast<std::size_t>(y)] >= kLittle * fullest) continue;
            kept(cv::Rect(box.x, box.y + y, box.width, 1)).setTo(0, mine.row(y));
        }
    }
    return kept;
}

// The edges of a wide box hold more ink than the rows of a short text in it. They are long and a
// few rows high; rows of small, dense text may be as long, but come in greater numbers.
cv::Mat1b without_rules(const cv::Mat1b& ink) {
    constexpr int kHighest = 5;
    const int long_px = ink.cols / 3;
    const auto opened = [&](int rows) {
        cv::Mat1b result;
        cv::morphologyEx(ink, result, cv::MORPH_OPEN,
                         cv::getStructuringElement(cv::MORPH_RECT, {long_px, rows}));
        return result;
    };
    cv::Mat1b kept = ink.clone();
    kept.setTo(0, opened(1) & ~opened(kHighest + 1));
    return kept;
}

// Connected pieces of closed ink, split where rows between lines of text hold next to none.
std::vector<cv::Rect> pieces(const cv::Mat1b& ink, int tallest) {
    constexpr int kSmallest_px = 12;
    constexpr double kNextToNone = 0.08;  // of the fullest row
    const Pieces found = closed_pieces(ink);
    std::vector<cv::Rect> rows;
    for (int label = 1; label < found.stats.rows; ++label) {
        if (found.stats(label, cv::CC_STAT_AREA) < kSmallest_px) continue;
        const cv::Rect box = found.box(label);
        const std::vector<double> profile = ink_by_row(ink(box));
        const double fullest = *std::max_element(profile.begin(), profile.end());
        for (const cv::Range& run : runs_above(profile, kNextToNone * fullest)) {
            if (run.size() <= tallest)
                rows.emplace_back(box.x, box.y + run.start, box.width, run.size());
        }
    }
    return rows;
}

int overlap(int from_a, int to_a, int from_b, int to_b) {
    return std::max(0, std::min(to_a, to_b) - std::max(from_a, from_b));
}

// Two pieces belong to one row when they stand side by side and the gap between them is no wider
// than a blank between words; a piece much lower than the other (a point, a dash, a bit of the
// wall) must stand closer.
bool same_row(const cv::Rect& a, const cv::Rect& b, int rows_apart) {
    constexpr double kBlank = 1.35;  // in heights; two blanks are a gap between fields
    constexpr double kClose = 0.5;
    constexpr double kMuchLower = 0.5;
    const int shared = overlap(a.y, a.br().y, b.y, b.br().y);
    const int lower = std::min(a.height, b.height);
    const int taller = std::max(a.height, b.height);
    const double allowed = lower < kMuchLower * taller ? kClose : kBlank;
    const int gap = std::max(a.x, b.x) - std::min(a.br().x, b.br().x);
    return shared * 10 >= lower * 7 && gap <= allowed * taller * rows_apart;
}

// Stretches of ink in a row, on average: one of an edge, several of characters, whether or not they
// change.
double stretches_of(const cv::Mat1b& ink) {
    int begun = 0;
    for (int y = 0; y < ink.rows; ++y) {
        for (int x = 0; x < ink.cols; ++x) {
            begun += ink(y, x) != 0 && (x == 0 || ink(y, x - 1) == 0) ? 1 : 0;
        }
    }
    return static_cast<double>(begun) / ink.rows;
}

// Type of a character generator whose rows of dots stand apart falls into parts one upon the other.
// Lines of text keep more than a pixel or two between them.
bool stacked(const cv::Rect& a, const cv::Rect& b, int tallest) {
    constexpr double kBetweenDots = 0.06;  // of the height of both
    const int height = (a | b).height;
    const int gap = std::max(a.y, b.y) - std::min(a.br().y, b.br().y);
    const int narrower = std::min(a.width, b.width);
    const int shared = overlap(a.x, a.br().x, b.x, b.br().x);
    return height <= tallest && gap >= 0 && gap <= std::max(1.0, kBetweenDots * height) &&
           shared * 10 >= narrower * 9 && narrower * 2 >= std::max(a.width, b.width);
}

template <class Belongs>
std::vector<cv::Rect> merged(std::vector<cv::Rect> rows, Belongs belongs) {
    std::sort(rows.begin(), rows.end(), [](const cv::Rect& a, const cv::Rect& b) {
        return std::pair(a.x, a.y) < std::pair(b.x, b.y);
    });
    for (bool changed = true; changed;) {
        changed = false;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            for (std::size_t j = i + 1; j < rows.size();) {
                if (!belongs(rows[i], rows[j])) {
                    ++j;
                    continue;
                }
                rows[i] |= rows[j];
                rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(j));
                changed = true;
            }
        }
    }
    return rows;
}

// Whether what ends the row stands in its upper half only, as a prime does.
bool ends_in_a_prime(const cv::Mat1b& ink, const cv::Rect& row, int rows_apart) {
    constexpr double kWidth = 0.2;  // of the height
    constexpr double kFoot = 0.55;
    const int width = std::min(row.width, cvRound(kWidth * row.height * rows_apart));
    const int upper = cvRound(kFoot * row.height);
    const cv::Rect head(row.br().x - width, row.y, width, upper);
    const cv::Rect foot(head.x, row.y + upper, width, row.height - upper);
    return cv::countNonZero(ink(head)) > 0 && cv::countNonZero(ink(foot)) == 0;
}

// A prime that is all that stays of the feet while these change.
bool is_a_prime_of(const cv::Rect& piece, const cv::Rect& inches, int rows_apart) {
    constexpr double kLowest = 0.2;  // in heights
    constexpr double kTallest = 0.5;
    constexpr double kWidest = 0.35;
    constexpr double kBelowTheTop = 0.15;
    return piece.height >= kLowest * inches.height && piece.height <= kTallest * inches.height &&
           piece.width <= kWidest * inches.height * rows_apart &&
           std::abs(piece.y - inches.y) <= kBelowTheTop * inches.height;
}

// Feet and the inches behind them, two blanks further on where these are padded.
bool feet_and_inches(const Edges& edges, const cv::Mat1b& ink, const cv::Rect& a,
                     const cv::Rect& b) {
    constexpr double kTwoBlanks = 2.2;  // in heights
    constexpr double kStrokes = 1.5;    // of text, in alternation
    const cv::Rect& feet = a.x < b.x ? a : b;
    const cv::Rect& inches = a.x < b.x ? b : a;
    if (inches.x - feet.br().x > kTwoBlanks * inches.height * edges.rows_apart) return false;
    if (alternation(edges, inches, inches.height) < kStrokes) return false;
    if (is_a_prime_of(feet, inches, edges.rows_apart)) {
        return alternation(edges, feet, feet.height) >= kStrokes;
    }
    const int shared = overlap(a.y, a.br().y, b.y, b.br().y);
    return shared * 10 >= std::max(a.height, b.height) * 8 &&
           ends_in_a_prime(ink, feet, edges.rows_apart);
}

}  // namespace

int tallest_text(int rows) {
    constexpr int kAlwaysAllowed = 21;
    return std::max(kAlwaysAllowed, rows / 8);
}

std::vector<cv::Rect> text_rows(const Edges& edges) {
    const int tallest = tallest_text(edges.ink.rows);
    const auto beside = [&](const cv::Rect& a, const cv::Rect& b) {
        return same_row(a, b, edges.rows_apart);
    };
    constexpr double kStrokes = 2.0;     // of text, in alternation
    constexpr double kCharacters = 2.0;  // stretches of ink; a number has a few
    const auto upon = [&](const cv::Rect& a, const cv::Rect& b) {
        const int height = (a | b).height;
        const auto is_text = [&](const cv::Rect& part) {
            return alternation(edges, part, height) >= kStrokes ||
                   stretches_of(edges.ink(part)) >= kCharacters;
        };
        return stacked(a, b, tallest) && is_text(a) && is_text(b);
    };
    const cv::Mat1b ink = without_scratches(without_rules(edges.ink), tallest);
    const auto inches = [&](const cv::Rect& a, const cv::Rect& b) {
        return feet_and_inches(edges, ink, a, b);
    };
    return merged(merged(merged(merged(pieces(ink, tallest), beside), upon), beside), inches);
}

std::vector<cv::Rect> words_of(const Edges& edges, const cv::Rect& row) {
    constexpr double kBetweenWords = 0.5;  // of the height; a blank cell is 0.7 to 0.8 wide
    const double gap_px = kBetweenWords * row.height * edges.rows_apart;
    std::vector<double> profile;
    for (int x = row.x; x < row.br().x; ++x) {
        profile.push_back(cv::countNonZero(edges.ink(cv::Rect(x, row.y, 1, row.height))));
    }
    std::vector<cv::Rect> words;
    for (const cv::Range& run : runs_above(profile, 0.0)) {
        const cv::Rect piece(row.x + run.start, row.y, run.size(), row.height);
        if (!words.empty() && piece.x - words.back().br().x < gap_px) {
            words.back() |= piece;
        } else {
            words.push_back(piece);
        }
    }
    return words;
}

double alternation(const Edges& edges, const cv::Rect& box, int height) {
    int changes = 0;
    for (int y = box.y; y < box.br().y; ++y) {
        int last = 0;
        for (int x = box.x; x < box.br().x; ++x) {
            if (edges.ink(y, x) == 0) continue;
            const int sign = edges.across(y, x) > 0 ? 1 : -1;
            changes += last != 0 && sign != last ? 1 : 0;
            last = sign;
        }
    }
    const double heights = static_cast<double>(box.width) / (height * edges.rows_apart);
    return static_cast<double>(changes) / box.height / std::max(heights, 0.5);
}

double restless_share(const Edges& edges, const cv::Rect& box) {
    constexpr float kUnchanged = 0.85F;  // coherence of a glyph that stays
    int ink = 0;
    int restless = 0;
    for (int y = box.y; y < box.br().y; ++y) {
        for (int x = box.x; x < box.br().x; ++x) {
            if (edges.ink(y, x) == 0) continue;
            ++ink;
            restless += edges.coherence(y, x) < kUnchanged ? 1 : 0;
        }
    }
    return ink > 0 ? static_cast<double>(restless) / ink : 0.0;
}

namespace {

// Columns of a row in which a line stands that is taller than the text: the sides of boxes.
std::vector<bool> sides_in(const Edges& edges, const cv::Rect& row) {
    constexpr double kTaller = 1.2;  // than the row
    // Breaks that noise makes in the line; what is more parts the text from the edge of its box.
    const int breaks_px = std::max(1, row.height / 10);
    const int tall_px = static_cast<int>(kTaller * row.height) + 2;
    const cv::Rect whole(0, 0, edges.ink.cols, edges.ink.rows);
    const cv::Rect around = cv::Rect(row.x, row.y - row.height, row.width, 3 * row.height) & whole;
    cv::Mat1b lines;
    cv::morphologyEx(edges.ink(around), lines, cv::MORPH_CLOSE,
                     cv::getStructuringElement(cv::MORPH_RECT, {1, breaks_px}));
    cv::morphologyEx(lines, lines, cv::MORPH_OPEN,
                     cv::getStructuringElement(cv::MORPH_RECT, {1, tall_px}));
    std::vector<bool> sides;
    for (int x = 0; x < row.width; ++x) {
        const cv::Rect column(x, row.y - around.y, 1, row.height);
        sides.push_back(cv::countNonZero(lines(column)) * 10 >= row.height * 9);
    }
    return sides;
}

// The parts of a row that stand in boxes of their own: between them is a side, and then a gap.
std::vector<cv::Rect> boxed_parts(const Edges& edges, const cv::Rect& row) {
    std::vector<cv::Rect> parts;
    int from = row.x;
    const std::vector<bool> sides = sides_in(edges, row);
    for (int x = row.x; x <= row.br().x; ++x) {
        if (x < row.br().x && !sides[static_cast<std::size_t>(x - row.x)]) continue;
        if (x - from >= row.height * edges.rows_apart) {
            parts.emplace_back(from, row.y, x - from, row.height);
        }
        from = x + 1;
    }
    return parts;
}

// A long row with several fields in it as the words that changed and what stands between them.
std::vector<cv::Rect> changing_fields(const Edges& edges, const cv::Rect& row) {
    constexpr double kLong = 8.0;      // heights; a counter with its unit takes about six
    constexpr double kChanging = 0.2;  // share of ink; 0.3 to 0.7 in counters
    if (row.width < kLong * row.height * edges.rows_apart) return {row};
    std::vector<cv::Rect> fields;
    bool last_changing = true;
    bool any_changing = false;
    for (const cv::Rect& word : words_of(edges, row)) {
        const bool changing = restless_share(edges, word) > kChanging;
        any_changing = any_changing || changing;
        if (!changing && !last_changing) {
            fields.back() |= word;
        } else {
            fields.push_back(word);
        }
        last_changing = changing;
    }
    if (!any_changing) return {row};
    return fields;
}

}  // namespace

std::vector<cv::Rect> fields_of(const Edges& edges, const cv::Rect& row) {
    std::vector<cv::Rect> fields;
    for (const cv::Rect& part : boxed_parts(edges, row)) {
        const std::vector<cv::Rect> more = changing_fields(edges, part);
        fields.insert(fields.end(), more.begin(), more.end());
    }
    return fields;
}

}  // namespace sondeline
