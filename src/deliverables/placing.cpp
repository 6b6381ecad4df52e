#include "deliverables/placing.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {

namespace {

double between(double a, double b, double share) {
    return a + (b - a) * share;
}

Bounded between(const Bounded& a, const Bounded& b, double share) {
    return {between(a.value, b.value, share), between(a.lo95, b.lo95, share),
            between(a.hi95, b.hi95, share)};
}

Vertex vertex_of(const AsBuilt& as_built, std::size_t run, const LinePoint& point) {
    const MapPoint map = map_from_local(as_built.site.frame, point.at);
    const auto invert = invert_at(as_built.profiles.runs[run], point.station_m);
    return {map.x, map.y, invert ? invert->value : 0.0, point.station_m};
}

}  // namespace

std::optional<ProfilePoint> profile_at(const GradedRun& graded, double station_m) {
    const auto& profile = graded.profile;
    if (profile.empty()) return std::nullopt;
    const auto after = std::ranges::lower_bound(profile, station_m, {}, &ProfilePoint::station_m);
    if (after == profile.begin()) return profile.front();
    if (after == profile.end()) return profile.back();
    const ProfilePoint& b = *after;
    const ProfilePoint& a = *(after - 1);
    const double share = (station_m - a.station_m) / (b.station_m - a.station_m);
    ProfilePoint point = share < 0.5 ? a : b;
    point.station_m = station_m;
    point.z_m = between(a.z_m, b.z_m, share);
    point.z_sd_m = between(a.z_sd_m, b.z_sd_m, share);
    if (a.ground_m && b.ground_m) {
        point.ground_m = Estimate{between(a.ground_m->value, b.ground_m->value, share),
                                  between(a.ground_m->sd, b.ground_m->sd, share)};
    }
    if (a.cover_m && b.cover_m) point.cover_m = between(*a.cover_m, *b.cover_m, share);
    return point;
}

std::optional<Bounded> invert_at(const GradedRun& graded, double station_m) {
    const auto point = profile_at(graded, station_m);
    return point ? std::optional(point->z_m) : std::nullopt;
}

ZReference z_reference_of(const GradedRun& graded) {
    return graded.profile.empty() ? ZReference::none : graded.z_reference;
}

std::vector<Vertex> vertex_at(const AsBuilt& as_built, std::size_t run, double station_m) {
    auto point = point_at(as_built.lines.runs[run], station_m);
    if (!point) return {};
    point->station_m = station_m;
    return {vertex_of(as_built, run, *point)};
}

std::vector<Vertex> line_between(const AsBuilt& as_built, std::size_t run, double from_m,
                                 double to_m) {
    const AlignedRun& aligned = as_built.lines.runs[run];
    std::vector<Vertex> line = vertex_at(as_built, run, from_m);
    if (line.empty()) return line;
    for (const LinePoint& point : aligned.points) {
        if (point.station_m > from_m + 1e-9 && point.station_m < to_m - 1e-9) {
            line.push_back(vertex_of(as_built, run, point));
        }
    }
    const std::vector<Vertex> last = vertex_at(as_built, run, to_m);
    line.insert(line.end(), last.begin(), last.end());
    return line;
}

std::vector<Vertex> whole_line(const AsBuilt& as_built, std::size_t run) {
    std::vector<Vertex> line;
    for (const LinePoint& point : as_built.lines.runs[run].points) {
        line.push_back(vertex_of(as_built, run, point));
    }
    return line.size() > 1 ? line : std::vector<Vertex>{};
}

double worst_plan_sd_m(const PlanCovariance& cov) {
    const double spread = std::hypot((cov.ee - cov.nn) / 2.0, cov.en);
    return std::sqrt(std::max(0.0, (cov.ee + cov.nn) / 2.0 + spread));
}

const DetectionLimit* least_sag(const GradedRun& graded) {
    const DetectionLimit* least = nullptr;
    for (const DetectionLimit& limit : graded.limits) {
        if (limit.sag_m && (least == nullptr || *limit.sag_m < *least->sag_m)) least = &limit;
    }
    return least;
}

std::string structure_id(const Site& site, const std::optional<int>& index) {
    return index ? site.structures[static_cast<std::size_t>(*index)].id.text : std::string{};
}

}  // namespace sondeline
