#include "service/track_bytes.hpp"

#include <map>

#include "service/mark_bytes.hpp"
#include "service/plain_bytes.hpp"
#include "service/water_bytes.hpp"

namespace sondeline {

namespace {

// Each structure is taken apart by name, so that a field added to it does not compile until it is
// kept as well.

void put(ByteWriter& out, const PixelBox& box) {
    const auto& [x, y, width, height] = box;
    for (const int side : {x, y, width, height}) out.integer(side);
}

PixelBox take_box(ByteReader& in) {
    PixelBox box;
    for (int* side : {&box.x, &box.y, &box.width, &box.height}) *side = in.small_integer();
    return box;
}

void put(ByteWriter& out, const ClipDescription& clip) {
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

ClipDescription take_clip(ByteReader& in) {
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

void put(ByteWriter& out, const CounterFormat& format) {
    const auto& [box, unit, unit_probability, integer_cells, decimals, zero_padded, pattern,
                 digits_sure, point_in_doubt] = format;
    put(out, box);
    out.word_of(unit);
    out.real(unit_probability);
    out.integer(integer_cells);
    out.integer(decimals);
    out.flag(zero_padded);
    out.text(pattern);
    out.real(digits_sure);
    out.flag(point_in_doubt);
}

CounterFormat take_format(ByteReader& in) {
    CounterFormat format;
    format.box = take_box(in);
    format.unit = in.word_of(CounterUnit::feet_and_inches);
    format.unit_probability = in.real();
    format.integer_cells = in.small_integer();
    format.decimals = in.small_integer();
    format.zero_padded = in.flag();
    format.pattern = in.text();
    format.digits_sure = in.real();
    format.point_in_doubt = in.flag();
    return format;
}

// Reasons repeat from sample to sample: each stands once, and samples name it by number.
void put_samples(ByteWriter& out, const std::vector<CounterSample>& samples) {
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

std::vector<CounterSample> take_samples(ByteReader& in) {
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

void put(ByteWriter& out, const Hold& hold) {
    const auto& [from_s, to_s, counter] = hold;
    for (const double value : {from_s, to_s, counter}) out.real(value);
}

void put(ByteWriter& out, const Zeroing& zeroing) {
    const auto& [time_s, counter_before, counter_after, gap_known] = zeroing;
    for (const double value : {time_s, counter_before, counter_after}) out.real(value);
    out.flag(gap_known);
}

void put(ByteWriter& out, const PullBack& pull) {
    const auto& [from_s, to_s, from_counter, to_counter] = pull;
    for (const double value : {from_s, to_s, from_counter, to_counter}) out.real(value);
}

void put(ByteWriter& out, const OverlayField& field) {
    const auto& [box, kind] = field;
    put(out, box);
    out.word_of(kind);
}

void put(ByteWriter& out, const std::optional<OverlayClock>& clock) {
    out.flag(clock.has_value());
    if (!clock) return;
    const auto& [box, start_s, bound_s, twelve_hour, date] = *clock;
    put(out, box);
    out.real(start_s);
    out.real(bound_s);
    out.flag(twelve_hour);
    out.text(date);
}

std::optional<OverlayClock> take_clock(ByteReader& in) {
    if (!in.flag()) return std::nullopt;
    OverlayClock clock;
    clock.box = take_box(in);
    clock.start_s = in.real();
    clock.bound_s = in.real();
    clock.twelve_hour = in.flag();
    clock.date = in.text();
    return clock;
}

void put(ByteWriter& out, const std::optional<GradeLog>& grade) {
    out.flag(grade.has_value());
    if (!grade) return;
    const auto& [box, unit, tick, points] = *grade;
    put(out, box);
    out.word_of(unit);
    out.real(tick);
    out.whole(points.size());
    for (const auto& [time_s, counter, inclination] : points) {
        for (const double value : {time_s, counter, inclination}) out.real(value);
    }
}

std::optional<GradeLog> take_grade(ByteReader& in) {
    if (!in.flag()) return std::nullopt;
    GradeLog grade;
    grade.box = take_box(in);
    grade.unit = in.word_of(InclinationUnit::degree);
    grade.tick = in.real();
    for (std::uint64_t left = in.count(24); left > 0 && in.good; --left) {
        GradePoint point;
        for (double* value : {&point.time_s, &point.counter, &point.inclination}) {
            *value = in.real();
        }
        grade.points.push_back(point);
    }
    return grade;
}

void put(ByteWriter& out, const EvidencePicture& picture) {
    const auto& [time_s, what, png] = picture;
    out.real(time_s);
    out.text(what);
    out.text(png);
}

std::vector<EvidencePicture> take_evidence(ByteReader& in) {
    std::vector<EvidencePicture> pictures;
    for (std::uint64_t left = in.count(24); left > 0 && in.good; --left) {
        EvidencePicture picture;
        picture.time_s = in.real();
        picture.what = in.text();
        picture.png = in.text();
        pictures.push_back(std::move(picture));
    }
    return pictures;
}

void take_events(ByteReader& in, Track& track) {
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

void put(ByteWriter& out, const Finding& finding) {
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
void put_all(ByteWriter& out, const std::vector<T>& items) {
    out.whole(items.size());
    for (const T& item : items) put(out, item);
}

Finding take_finding(ByteReader& in) {
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
    const auto& [clip, format, samples, holds, zeroings, pull_backs, other_fields, clock, grade,
                 water, marks, joint_row, evidence, coverage, findings] = track;
    ByteWriter out;
    put(out, clip);
    out.flag(format.has_value());
    if (format) put(out, *format);
    put_samples(out, samples);
    put_all(out, holds);
    put_all(out, zeroings);
    put_all(out, pull_backs);
    put_all(out, other_fields);
    put(out, clock);
    put(out, grade);
    put(out, water);
    put(out, marks, joint_row);
    put_all(out, evidence);
    out.real(coverage);
    put_all(out, findings);
    return std::move(out.bytes);
}

std::optional<Track> track_from_bytes(std::string_view bytes) {
    constexpr std::size_t least_finding_bytes = 60;
    ByteReader in(bytes);
    Track track;
    track.clip = take_clip(in);
    if (in.flag()) track.format = take_format(in);
    track.samples = take_samples(in);
    take_events(in, track);
    track.clock = take_clock(in);
    track.grade = take_grade(in);
    track.water = take_water(in);
    take_marks(in, track.marks, track.joint_row);
    track.evidence = take_evidence(in);
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
