#include "grade/shores.hpp"

#include <algorithm>

namespace sondeline::grade {

namespace {

constexpr double kTail = 0.025;

using Index = Eigen::Index;

Bounded bounds_of(double value_m, std::vector<double>& drawn_m) {
    if (drawn_m.empty()) return {value_m, value_m, value_m};
    return {value_m, std::min(value_m, quantile(drawn_m, kTail)),
            std::max(value_m, quantile(drawn_m, 1.0 - kTail))};
}

}  // namespace

Ends ends_of_water(const Water& water, double length_m) {
    const double to_m = water.to_m.value_or(water.from_m);
    Ends ends{{water.from_m, std::max(0.0, water.from_m - normal_95 * water.from_sd_m),
               std::min(length_m, water.from_m + normal_95 * water.from_sd_m)},
              {to_m, std::max(0.0, to_m - normal_95 * water.to_sd_m),
               std::min(length_m, to_m + normal_95 * water.to_sd_m)}};
    if (!water.from_seen) ends.from_m.lo95 = 0.0;
    if (!water.to_seen || !water.to_m) ends.to_m.hi95 = length_m;
    return ends;
}

Ends ends_of_pond(const Samples& samples, const Eigen::MatrixXd& depth_m, const Span& span) {
    const auto station_m = [&](Index row) {
        return samples.stations_m[static_cast<std::size_t>(row)];
    };
    std::vector<double> from_m;
    std::vector<double> to_m;
    for (Index k = 0; k < depth_m.cols(); ++k) {
        const auto depth = depth_m.col(k);
        Index deepest = 0;
        depth.segment(span.first, span.last - span.first + 1).maxCoeff(&deepest);
        Index first = span.first + deepest;
        if (depth(first) < kPond_m) continue;
        Index last = first;
        while (first > 0 && depth(first - 1) >= kPond_m) --first;
        while (last + 1 < depth.size() && depth(last + 1) >= kPond_m) ++last;
        from_m.push_back(station_m(first));
        to_m.push_back(station_m(last));
    }
    return {bounds_of(station_m(span.first), from_m), bounds_of(station_m(span.last), to_m)};
}

}  // namespace sondeline::grade
