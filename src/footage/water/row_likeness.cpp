#include "footage/water/row_likeness.hpp"

namespace sondeline {
namespace {

constexpr std::size_t kLanes = std::tuple_size_v<PairSums::Each>;

// Nought where nothing is known, and past the last column, so that no place has to be asked for.
struct Masked {
    cv::Mat1f value;
    cv::Mat1f square;
    cv::Mat1f known;
};

Masked masked(const Unrolled& wall) {
    const cv::Size size(wall.level.cols + static_cast<int>(kLanes), wall.level.rows);
    Masked out{cv::Mat1f(size, 0.0F), cv::Mat1f(size, 0.0F), cv::Mat1f(size, 0.0F)};
    for (int row = 0; row < wall.level.rows; ++row) {
        const float* level = wall.level.ptr<float>(row);
        const uchar* known = wall.known.ptr<uchar>(row);
        float* value = out.value.ptr<float>(row);
        float* square = out.square.ptr<float>(row);
        float* is_known = out.known.ptr<float>(row);
        for (int col = 0; col < wall.level.cols; ++col) {
            if (known[col] == 0) continue;
            value[col] = level[col];
            square[col] = level[col] * level[col];
            is_known[col] = 1.0F;
        }
    }
    return out;
}

// Each shift has a sum of its own, so that they can be added side by side; so many at a time as a
// processor has registers for.
constexpr std::size_t kTogether = 8;

void add_pairs(const Masked& one, const Masked& other, int row, cv::Range columns,
               std::size_t first, PairSums& sums) {
    using Some = std::array<float, kTogether>;
    Some n{}, a{}, aa{}, b{}, bb{}, ab{};
    const float* known_one = one.known.ptr<float>(row);
    const float* value_one = one.value.ptr<float>(row);
    const float* known = other.known.ptr<float>(row) + first;
    const float* value = other.value.ptr<float>(row) + first;
    const float* square = other.square.ptr<float>(row) + first;
    for (int col = columns.start; col < columns.end; ++col) {
        if (known_one[col] == 0.0F) continue;
        const float x = value_one[col];
        const float xx = x * x;
        for (std::size_t i = 0; i < kTogether; ++i) {
            const std::size_t at = static_cast<std::size_t>(col) + i;
            n[i] += known[at];
            a[i] += x * known[at];
            aa[i] += xx * known[at];
            b[i] += value[at];
            bb[i] += square[at];
            ab[i] += x * value[at];
        }
    }
    for (std::size_t i = 0; i < kTogether; ++i) {
        sums.n[first + i] = n[i];
        sums.a[first + i] = a[i];
        sums.aa[first + i] = aa[i];
        sums.b[first + i] = b[i];
        sums.bb[first + i] = bb[i];
        sums.ab[first + i] = ab[i];
    }
}

PairSums sums_of(const Masked& one, const Masked& other, int row, int from, int to) {
    PairSums sums;
    for (std::size_t first = 0; first < kLanes; first += kTogether)
        add_pairs(one, other, row, {from, to}, first, sums);
    return sums;
}

}  // namespace

PairSums& PairSums::operator+=(const PairSums& more) {
    for (std::size_t i = 0; i < kLanes; ++i) {
        n[i] += more.n[i];
        a[i] += more.a[i];
        aa[i] += more.aa[i];
        b[i] += more.b[i];
        bb[i] += more.bb[i];
        ab[i] += more.ab[i];
    }
    return *this;
}

std::vector<RowLikeness> row_likeness(const Unrolled& before, const Unrolled& after) {
    const Masked earlier = masked(before);
    const Masked later = masked(after);
    const int columns = before.level.cols;
    const int middle = far_columns(columns);
    std::vector<RowLikeness> rows(unrolled_directions);
    for (int row = 0; row < unrolled_directions; ++row) {
        RowLikeness& out = rows[static_cast<std::size_t>(row)];
        out.on = {sums_of(earlier, later, row, 0, middle),
                  sums_of(earlier, later, row, middle, columns)};
        out.back = {sums_of(later, earlier, row, 0, middle),
                    sums_of(later, earlier, row, middle, columns)};
    }
    return rows;
}

}  // namespace sondeline
