#include "service/water_bytes.hpp"

namespace sondeline {

namespace {

void put(ByteWriter& out, const Estimate& estimate) {
    const auto& [value, sd] = estimate;
    out.real(value);
    out.real(sd);
}

Estimate take_estimate(ByteReader& in) {
    Estimate estimate;
    estimate.value = in.real();
    estimate.sd = in.real();
    return estimate;
}

void put(ByteWriter& out, const WaterStretch& stretch) {
    const auto& [from, to, from_bound, to_bound, from_seen, to_seen, depths, deepest_unseen,
                 pushing, retrieving, deepest_s] = stretch;
    for (const double value : {from, to, from_bound, to_bound, deepest_s}) out.real(value);
    for (const bool flag : {from_seen, to_seen, deepest_unseen, pushing, retrieving})
        out.flag(flag);
    out.whole(depths.size());
    for (const auto& [counter, share] : depths) {
        out.real(counter);
        put(out, share);
    }
}

WaterStretch take_stretch(ByteReader& in) {
    WaterStretch stretch;
    for (double* value :
         {&stretch.from, &stretch.to, &stretch.from_bound, &stretch.to_bound, &stretch.deepest_s}) {
        *value = in.real();
    }
    for (bool* flag : {&stretch.from_seen, &stretch.to_seen, &stretch.deepest_unseen,
                       &stretch.pushing, &stretch.retrieving}) {
        *flag = in.flag();
    }
    for (std::uint64_t left = in.count(24); left > 0 && in.good; --left) {
        WaterDepth depth;
        depth.counter = in.real();
        depth.share = take_estimate(in);
        stretch.depths.push_back(depth);
    }
    return stretch;
}

}  // namespace

void put(ByteWriter& out, const std::optional<WaterLog>& water) {
    out.flag(water.has_value());
    if (!water) return;
    const auto& [samples, lens_height, stretches, reaches] = *water;
    out.whole(samples.size());
    for (const auto& [time_s, state, down_rad, share] : samples) {
        out.real(time_s);
        out.word_of(state);
        out.real(down_rad);
        out.maybe(share);
    }
    out.flag(lens_height.has_value());
    if (lens_height) put(out, *lens_height);
    out.whole(stretches.size());
    for (const WaterStretch& stretch : stretches) put(out, stretch);
    out.whole(reaches.size());
    for (const auto& [from, to, sure_share, left_open] : reaches) {
        out.real(from);
        out.real(to);
        out.maybe(sure_share);
        out.flag(left_open);
    }
}

std::optional<WaterLog> take_water(ByteReader& in) {
    constexpr std::size_t least_stretch_bytes = 53;
    if (!in.flag()) return std::nullopt;
    WaterLog water;
    for (std::uint64_t left = in.count(18); left > 0 && in.good; --left) {
        WaterSample sample;
        sample.time_s = in.real();
        sample.state = in.word_of(WaterState::no_pipe);
        sample.down_rad = in.real();
        sample.share = in.maybe();
        water.samples.push_back(sample);
    }
    if (in.flag()) water.lens_height = take_estimate(in);
    for (std::uint64_t left = in.count(least_stretch_bytes); left > 0 && in.good; --left) {
        water.stretches.push_back(take_stretch(in));
    }
    for (std::uint64_t left = in.count(18); left > 0 && in.good; --left) {
        WaterReach reach;
        reach.from = in.real();
        reach.to = in.real();
        reach.sure_share = in.maybe();
        reach.left_open = in.flag();
        water.reaches.push_back(reach);
    }
    return water;
}

}  // namespace sondeline
