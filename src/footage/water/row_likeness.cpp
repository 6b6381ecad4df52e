#include "footage/water/row_likeness.hpp"

#include "footage/lanes.hpp"

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

// Each shift has a sum of its own, so that they can be added side by side.
template <int Count>
[[gnu::always_inline]] inline void add_some(const Masked& one, const Masked& other, int row,
                                            cv::Range columns, int first, PairSums& sums) {
    const std::array<float*, 6> kept{sums.n.data(), sums.a.data(),  sums.aa.data(),
                                     sums.b.data(), sums.bb.data(), sums.ab.data()};
    const float* known_one = one.known.ptr<float>(row);
    const float* value_one = one.value.ptr<float>(row);
    const float* square_one = one.square.ptr<float>(row);
    const float* known_other = other.known.ptr<float>(row) + first;
    const float* value_other = other.value.ptr<float>(row) + first;
    const float* square_other = other.square.ptr<float>(row) + first;
    Lanes<Count> sum[6];
    each_below<6>([&](auto i) __attribute__((always_inline)) { sum[i].load(kept[i] + first); });
    for (int col = columns.start; col < columns.end; ++col) {
        if (known_one[col] == 0.0F) continue;
        Lanes<Count> known;
        Lanes<Count> value;
        Lanes<Count> square;
        known.load(known_other + col);
        value.load(value_other + col);
        square.load(square_other + col);
        sum[0].add_product(1.0F, known);
        sum[1].add_product(value_one[col], known);
        sum[2].add_product(square_one[col], known);
        sum[3].add_product(1.0F, value);
        sum[4].add_product(1.0F, square);
        sum[5].add_product(value_one[col], value);
    }
    each_below<6>([&](auto i) __attribute__((always_inline)) { sum[i].store(kept[i] + first); });
}

template <int Count>
[[gnu::always_inline]] inline void add_by(const Masked& one, const Masked& other, int row,
                                          cv::Range columns, PairSums& sums) {
    for (int first = 0; first < static_cast<int>(kLanes); first += Count) {
        add_some<Count>(one, other, row, columns, first, sums);
    }
}

void add_with_least(const Masked& one, const Masked& other, int row, cv::Range columns,
                    PairSums& sums) {
    add_by<4>(one, other, row, columns, sums);
}
#if defined(__x86_64__)
[[gnu::target("avx2")]] void add_with_avx2(const Masked& one, const Masked& other, int row,
                                           cv::Range columns, PairSums& sums) {
    add_by<8>(one, other, row, columns, sums);
}
[[gnu::target("avx512f")]] void add_with_avx512(const Masked& one, const Masked& other, int row,
                                                cv::Range columns, PairSums& sums) {
    add_by<16>(one, other, row, columns, sums);
}
#endif

using AddSums = void (*)(const Masked&, const Masked&, int, cv::Range, PairSums&);

AddSums add_of_machine() {
#if defined(__x86_64__)
    if (__builtin_cpu_supports("avx512f") != 0) return add_with_avx512;
    if (__builtin_cpu_supports("avx2") != 0) return add_with_avx2;
#endif
    return add_with_least;
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
    const AddSums add = add_of_machine();
    const cv::Range far(0, far_columns(before.level.cols));
    const cv::Range near(far.end, before.level.cols);
    std::vector<RowLikeness> rows(unrolled_directions);
    for (int row = 0; row < unrolled_directions; ++row) {
        RowLikeness& out = rows[static_cast<std::size_t>(row)];
        for (const std::size_t half : {0U, 1U}) {
            const cv::Range columns = half == 0 ? far : near;
            add(earlier, later, row, columns, out.on[half]);
            add(later, earlier, row, columns, out.back[half]);
        }
    }
    return rows;
}

}  // namespace sondeline
