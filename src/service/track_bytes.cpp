#include "service/track_bytes.hpp"

#include <bit>
#include <cmath>
#include <map>

namespace sondeline {

namespace {

// Puts values one after the other.
class Writer {
  public:
    void whole(std::uint64_t value) {
        for (int i = 0; i < 8; ++i) bytes.push_back(static_cast<char>(value >> (8 * i)));
    }
    void byte(std::uint8_t value) { bytes.push_back(static_cast<char>(value)); }
    void real(double value) { whole(std::bit_cast<std::uint64_t>(value)); }
    void integer(std::int64_t value) { whole(static_cast<std::uint64_t>(value)); }
    void flag(bool value) { byte(value ? 1 : 0); }
    void text(std::string_view value) {
        whole(value.size());
        bytes += value;
    }
    void maybe(const std::optional<double>& value) {
        flag(value.has_value());
        if (value) real(*value);
    }
    template <class E>
    void word_of(E value) {
        byte(static_cast<std::uint8_t>(value));
    }

    std::string bytes;
};

// Takes values in the same order; after the first that cannot be, `good` is false and every value
// is nought.
class Reader {
  public:
    explicit Reader(std::string_view bytes) : rest_(bytes) {}

    bool good = true;
    bool at_end() const { return rest_.empty(); }

    std::uint64_t whole() {
        const std::string_view taken = take(8);
        std::uint64_t value = 0;
        for (std::size_t i = taken.size(); i > 0; --i) {
            value = (value << 8U) | static_cast<std::uint8_t>(taken[i - 1]);
        }
        return value;
    }
    std::uint8_t byte() {
        const std::string_view taken = take(1);
        return taken.empty() ? 0 : static_cast<std::uint8_t>(taken.front());
    }
    double real() {
        const auto value = std::bit_cast<double>(whole());
        if (!std::isfinite(value)) good = false;
        return good ? value : 0.0;
    }
    std::int64_t integer() { return static_cast<std::int64_t>(whole()); }
    int small_integer() {
        const std::int64_t value = integer();
        if (value < -2147483647 || value > 2147483647) good = false;
        return good ? static_cast<int>(value) : 0;
    }
    bool flag() {
        const std::uint8_t value = byte();
        if (value > 1) good = false;
        return value == 1;
    }
    std::string text() { return std::string(take(count(1))); }
    std::optional<double> maybe() { return flag() ? std::optional(real()) : std::nullopt; }
    template <class E>
    E word_of(E last) {
        const std::uint8_t value = byte();
        if (value > static_cast<std::uint8_t>(last)) good = false;
        return good ? static_cast<E>(value) : E{};
    }
    // The length of a list whose items take at least `item_bytes`: never more than there are bytes
    // for.
    std::uint64_t count(std::size_t item_bytes) {
        const std::uint64_t value = whole();
        if (value > rest_.size() / item_bytes) good = false;
        return good ? value : 0;
    }

  private:
    std::string_view take(std::size_t size) {
        if (size > rest_.size()) good = false;
        if (!good) return {};
        const std::string_view taken = rest_.substr(0, size);
        rest_.remove_prefix(size);
        return taken;
    }

    std::string_view rest_;
};

// Each structure is taken apart by name, so that a field added to it does not compile until it is
// kept as well.

void put(Writer& out, const PixelBox& box) {
    const auto& [x, y, width, height] = box;
    for (const int side : {x, y, width, height}) out.integer(side);
}

PixelBox take_box(Reader& in) {
    PixelBox box;
    for (int* side : {&box.x, &box.y, &box.width, &box.height}) *side = in.small_integer();
    return box;
}

void put(Writer& out, const ClipDescription& clip) {
    const auto& [name, sha256, bytes, container, codec, width, height, frames, duration_s,
                 frame_rate, interlaced, damaged, creation_time_s] = clip;
    out.text(name);
    out.text(sha256);
    out.whole(bytes);
    out.text(container);
    out.text(codec);
    out.integer(width);
    out.integer(height);
    out.integer(frames);
    out.real(duration_s);
    out.real(frame_rate);
    out.flag(interlaced);
    out.flag(damaged);
    out.maybe(creation_time_s);
}

ClipDescription take_clip(Reader& in) {
    ClipDescription clip;
    clip.name = in.text();
    clip.sha256 = in.text();
    clip.bytes = in.whole();
    clip.container = in.text();
    clip.codec = in.text();
    clip.width = in.small_integer();
    clip.height = in.small_integer();
    clip.frames = in.integer();
    clip.duration_s = in.real();
    clip.frame_rate = in.real();
    clip.interlaced = in.flag();
    clip.damaged = in.flag();
    clip.creation_time_s = in.maybe();
    return clip;
}

void put(Writer& out, const CounterFormat& format) {
    const auto& [box, unit, unit_probability, integer_cells, decimals, zero_padded, pattern,
                 digits_sure] = format;
    put(out, box);
    out.word_of(unit);
    out.real(unit_probability);
    out.integer(integer_cells);
    out.integer(decimals);
    out.flag(zero_padded);
    out.text(pattern);
    out.real(digits_sure);
}

CounterFormat take_format(Reader& in) {
    CounterFormat format;
    format.box = take_box(in);
    format.unit = in.word_of(CounterUnit::feet_and_inches);
    format.unit_probability = in.real();
    format.integer_cells = in.small_integer();
    format.decimals = in.small_integer();
    format.zero_padded = in.flag();
    format.pattern = in.text();
    format.digits_sure = in.real();
    return format;
}

// Reasons repeat from sample to sample: each stands once, and samples name it by number.
void put_samples(Writer& out, const std::vector<CounterSample>& samples) {
    std::map<std::string, std::uint64_t> number_of;
    std::vector<std::string> reasons;
    for (const CounterSample& sample : samples) {
        if (number_of.try_emplace(sample.reason, reasons.size()).second) {
            reasons.push_back(sample.reason);
        }
    }
    out.whole(reasons.size());
    for (const std::string& reason : reasons) out.text(reason);
    out.whole(samples.size());
    for (const CounterSample& sample : samples) {
        const auto& [time_s, counter, probability, state, reason] = sample;
        out.real(time_s);
        out.maybe(counter);
        out.real(probability);
        out.word_of(state);
        out.whole(number_of.at(reason));
    }
}

std::vector<CounterSample> take_samples(Reader& in) {
    constexpr std::size_t least_sample_bytes = 26;
    std::vector<std::string> reasons;
    for (std::uint64_t left = in.count(8); left > 0 && in.good; --left) {
        reasons.push_back(in.text());
    }
    std::vector<CounterSample> samples;
    for (std::uint64_t left = in.count(least_sample_bytes); left > 0 && in.good; --left) {
        CounterSample sample;
        sample.time_s = in.real();
        sample.counter = in.maybe();
        sample.probability = in.real();
        sample.state = in.word_of(CounterState::missing);
        const std::uint64_t reason = in.whole();
        if (reason >= reasons.size()) in.good = false;
        if (in.good) sample.reason = reasons[reason];
        samples.push_back(std::move(sample));
    }
    return samples;
}

void put(Writer& out, const Hold& hold) {
    const auto& [from_s, to_s, counter] = hold;
    for (const double value : {from_s, to_s, counter}) out.real(value);
}

void put(Writer& out, const Zeroing& zeroing) {
    const auto& [time_s, counter_before, counter_after, gap_known] = zeroing;
    for (const double value : {time_s, counter_before, counter_after}) out.real(value);
    out.flag(gap_known);
}

void put(Writer& out, const PullBack& pull) {
    const auto& [from_s, to_s, from_counter, to_counter] = pull;
    for (const double value : {from_s, to_s, from_counter, to_counter}) out.real(value);
}

void put(Writer& out, const OverlayField& field) {
    const auto& [box, kind] = field;
    put(out, box);
    out.word_of(kind);
}

void take_events(Reader& in, Track& track) {
    for (std::uint64_t left = in.count(24); left > 0 && in.good; --left) {
        Hold hold;
        for (double* value : {&hold.from_s, &hold.to_s, &hold.counter}) *value = in.real();
        track.holds.push_back(hold);
    }
    for (std::uint64_t left = in.count(25); left > 0 && in.good; --left) {
        Zeroing zeroing;
        zeroing.time_s = in.real();
        zeroing.counter_before = in.real();
        zeroing.counter_after = in.real();
        zeroing.gap_known = in.flag();
        track.zeroings.push_back(zeroing);
    }
    for (std::uint64_t left = in.count(32); left > 0 && in.good; --left) {
        PullBack pull;
        for (double* value : {&pull.from_s, &pull.to_s, &pull.from_counter, &pull.to_counter}) {
            *value = in.real();
        }
        track.pull_backs.push_back(pull);
    }
    for (std::uint64_t left = in.count(33); left > 0 && in.good; --left) {
        OverlayField field;
        field.box = take_box(in);
        field.kind = in.word_of(FieldKind::other);
        track.other_fields.push_back(field);
    }
}

void put(Writer& out, const Finding& finding) {
    const auto& [severity, where, what, what_to_do, consequence] = finding;
    const auto& [file, row, column, run, structure, station_m, time_s] = where;
    out.word_of(severity);
    out.text(file);
    out.integer(row);
    for (const std::string& text : {column, run, structure}) out.text(text);
    out.maybe(station_m);
    out.maybe(time_s);
    out.text(what);
    out.text(what_to_do);
    out.word_of(consequence);
}

template <class T>
void put_all(Writer& out, const std::vector<T>& items) {
    out.whole(items.size());
    for (const T& item : items) put(out, item);
}

Finding take_finding(Reader& in) {
    Finding finding;
    finding.severity = in.word_of(Severity::problem);
    finding.where.file = in.text();
    finding.where.row = in.small_integer();
    finding.where.column = in.text();
    finding.where.run = in.text();
    finding.where.structure = in.text();
    finding.where.station_m = in.maybe();
    finding.where.time_s = in.maybe();
    finding.what = in.text();
    finding.what_to_do = in.text();
    finding.consequence = in.word_of(Consequence::run_not_measured);
    return finding;
}

}  // namespace

std::string bytes_from_track(const Track& track) {
    const auto& [clip, format, samples, holds, zeroings, pull_backs, other_fields, coverage,
                 findings] = track;
    Writer out;
    put(out, clip);
    out.flag(format.has_value());
    if (format) put(out, *format);
    put_samples(out, samples);
    put_all(out, holds);
    put_all(out, zeroings);
    put_all(out, pull_backs);
    put_all(out, other_fields);
    out.real(coverage);
    put_all(out, findings);
    return std::move(out.bytes);
}

std::optional<Track> track_from_bytes(std::string_view bytes) {
    constexpr std::size_t least_finding_bytes = 60;
    Reader in(bytes);
    Track track;
    track.clip = take_clip(in);
    if (in.flag()) track.format = take_format(in);
    track.samples = take_samples(in);
    take_events(in, track);
    track.coverage = in.real();
    for (std::uint64_t left = in.count(least_finding_bytes); left > 0 && in.good; --left) {
        track.findings.push_back(take_finding(in));
    }
    if (!in.good || !in.at_end()) return std::nullopt;
    return track;
}

std::uint64_t checksum(std::string_view bytes) {
    std::uint64_t hash = 0xCBF29CE484222325ULL;
    for (const char byte : bytes) {
        hash ^= static_cast<std::uint8_t>(byte);
        hash *= 0x100000001B3ULL;
    }
    return hash;
}

}  // namespace sondeline
