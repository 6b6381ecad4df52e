#include "service/mark_bytes.hpp"

namespace sondeline {

void put(ByteWriter& out, const std::vector<PassingMark>& marks,
         const std::optional<JointRow>& row) {
    out.whole(marks.size());
    for (const auto& [kind, counter, time_s, shown] : marks) {
        out.word_of(kind);
        out.real(counter);
        out.real(time_s);
        out.maybe(shown);
    }
    out.flag(row.has_value());
    if (!row) return;
    const auto& [spacing, from, to, spaces] = *row;
    for (const double value : {spacing.value, spacing.sd, from, to}) out.real(value);
    out.whole(static_cast<std::uint64_t>(spaces));
}

void take_marks(ByteReader& in, std::vector<PassingMark>& marks, std::optional<JointRow>& row) {
    constexpr std::size_t least_mark_bytes = 18;
    for (std::uint64_t left = in.count(least_mark_bytes); left > 0 && in.good; --left) {
        PassingMark mark;
        mark.kind = in.word_of(PassingKind::light);
        mark.counter = in.real();
        mark.time_s = in.real();
        mark.shown = in.maybe();
        marks.push_back(mark);
    }
    if (!in.flag()) return;
    row.emplace();
    for (double* value : {&row->spacing.value, &row->spacing.sd, &row->from, &row->to}) {
        *value = in.real();
    }
    row->spaces = in.small_integer();
}

}  // namespace sondeline
