#include "survey/height_system.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>

#include <fmt/format.h>
#include <proj.h>
#include <proj_experimental.h>

namespace sondeline {

namespace {

struct ContextCloser {
    void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
};
struct PjCloser {
    void operator()(PJ* pj) const { proj_destroy(pj); }
};
struct ListCloser {
    void operator()(PJ_OBJ_LIST* list) const { proj_list_destroy(list); }
};
struct FactoryCloser {
    void operator()(PJ_OPERATION_FACTORY_CONTEXT* factory) const {
        proj_operation_factory_context_destroy(factory);
    }
};
using Pj = std::unique_ptr<PJ, PjCloser>;

std::string lower(std::string text) {
    std::ranges::transform(text, text.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

struct HeightSystem {
    Pj crs;  // with latitude and longitude of WGS 84, unless it has its own
    double metres_per_unit = 1.0;
};

// A vertical system joined to WGS 84, or a geographic one with heights of its own.
std::optional<HeightSystem> height_system(PJ_CONTEXT* context, const std::string& words) {
    const std::string code = lower(words) == "ellipsoid" ? "EPSG:4979" : words;
    Pj system(proj_create(context, code.c_str()));
    if (!system) return std::nullopt;
    const PJ_TYPE type = proj_get_type(system.get());
    if (type == PJ_TYPE_GEOGRAPHIC_3D_CRS) return HeightSystem{std::move(system), 1.0};
    if (type != PJ_TYPE_VERTICAL_CRS) return std::nullopt;
    const Pj axes(proj_crs_get_coordinate_system(context, system.get()));
    const char* direction = nullptr;
    double metres = 1.0;
    if (!axes || proj_cs_get_axis_info(context, axes.get(), 0, nullptr, nullptr, &direction,
                                       &metres, nullptr, nullptr, nullptr) == 0) {
        return std::nullopt;
    }
    if (direction == nullptr || std::string_view(direction) != "up") return std::nullopt;
    const Pj plan(proj_create(context, "EPSG:4326"));
    if (!plan) return std::nullopt;
    Pj both(proj_create_compound_crs(context, nullptr, plan.get(), system.get()));
    if (!both) return std::nullopt;
    return HeightSystem{std::move(both), metres};
}

// A grid that would lead from one to the other, were it there.
std::string missing_grid(PJ_CONTEXT* context, const PJ* from, const PJ* to) {
    const std::unique_ptr<PJ_OPERATION_FACTORY_CONTEXT, FactoryCloser> factory(
        proj_create_operation_factory_context(context, nullptr));
    if (!factory) return "";
    proj_operation_factory_context_set_grid_availability_use(context, factory.get(),
                                                             PROJ_GRID_AVAILABILITY_IGNORED);
    proj_operation_factory_context_set_spatial_criterion(
        context, factory.get(), PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION);
    proj_operation_factory_context_set_allow_ballpark_transformations(context, factory.get(), 0);
    const std::unique_ptr<PJ_OBJ_LIST, ListCloser> ways(
        proj_create_operations(context, from, to, factory.get()));
    const int count = ways ? proj_list_get_count(ways.get()) : 0;
    for (int i = 0; i < count; ++i) {
        const Pj way(proj_list_get(context, ways.get(), i));
        const int grids = way ? proj_coordoperation_get_grid_used_count(context, way.get()) : 0;
        for (int g = 0; g < grids; ++g) {
            const char* name = nullptr;
            int available = 1;
            if (proj_coordoperation_get_grid_used(context, way.get(), g, &name, nullptr, nullptr,
                                                  nullptr, nullptr, nullptr, &available) != 0 &&
                available == 0 && name != nullptr) {
                return name;
            }
        }
    }
    return "";
}

}  // namespace

struct HeightLink::Handles {
    std::unique_ptr<PJ_CONTEXT, ContextCloser> context;
    Pj to_from;  // east or longitude first
    double given_unit_m = 1.0;
    double map_unit_m = 1.0;

    // The operation that PROJ chooses at a place, after using it there.
    Pj operation_at(GeographicPoint at) const {
        proj_trans(to_from.get(), PJ_FWD, proj_coord(at.lon_deg, at.lat_deg, 0.0, 0.0));
        return Pj(proj_trans_get_last_used_operation(to_from.get()));
    }
};

HeightLink::Opened HeightLink::open(const std::string& from, const std::string& to) {
    auto handles = std::make_shared<Handles>();
    handles->context.reset(proj_context_create());
    PJ_CONTEXT* context = handles->context.get();
    proj_log_level(context, PJ_LOG_NONE);
    proj_context_set_enable_network(context, 0);
    const auto given = height_system(context, from);
    const auto map = height_system(context, to);
    if (!given || !map) {
        return {std::nullopt,
                fmt::format("'{}' is no system of heights that is known", given ? to : from),
                "Write ellipsoid, or a code like EPSG:5703."};
    }
    // Without a grid PROJ would pass heights through unchanged; that is forbidden here.
    const char* options[] = {"ALLOW_BALLPARK=NO", nullptr};
    const Pj plain(proj_create_crs_to_crs_from_pj(context, given->crs.get(), map->crs.get(),
                                                  nullptr, options));
    if (plain) handles->to_from.reset(proj_normalize_for_visualization(context, plain.get()));
    if (!handles->to_from) {
        const std::string grid = missing_grid(context, given->crs.get(), map->crs.get());
        if (grid.empty()) {
            return {std::nullopt, "no way between the two systems is known",
                    "Give the heights in the map's vertical datum."};
        }
        return {std::nullopt, fmt::format("the model between them, {}, is not installed", grid),
                fmt::format("Install it (projsync --file {}), or give the heights in the map's "
                            "vertical datum.",
                            grid)};
    }
    handles->given_unit_m = given->metres_per_unit;
    handles->map_unit_m = map->metres_per_unit;
    HeightLink link;
    link.handles_ = std::move(handles);
    return {std::move(link), "", ""};
}

std::optional<double> HeightLink::height_m(GeographicPoint at, double given_m) const {
    const PJ_COORD out =
        proj_trans(handles_->to_from.get(), PJ_FWD,
                   proj_coord(at.lon_deg, at.lat_deg, given_m / handles_->given_unit_m, 0.0));
    if (!std::isfinite(out.xyz.x) || !std::isfinite(out.xyz.z)) return std::nullopt;
    return out.xyz.z * handles_->map_unit_m;
}

std::string HeightLink::operation_at(GeographicPoint at) const {
    const Pj operation = handles_->operation_at(at);
    const char* name = operation ? proj_get_name(operation.get()) : nullptr;
    std::string words = name == nullptr ? "" : name;
    // The swaps of latitude and longitude on either side tell a technician nothing.
    for (const std::string_view swap : {"axis order change (2D) + ", " + axis order change (2D)"}) {
        const std::size_t at_swap = words.find(swap);
        if (at_swap != std::string::npos) words.erase(at_swap, swap.size());
    }
    return words;
}

std::optional<double> HeightLink::accuracy_at_m(GeographicPoint at) const {
    const Pj operation = handles_->operation_at(at);
    if (!operation) return std::nullopt;
    const double accuracy =
        proj_coordoperation_get_accuracy(handles_->context.get(), operation.get());
    return accuracy >= 0.0 ? std::optional(accuracy) : std::nullopt;
}

std::optional<double> GivenHeights::on_map_m(double typed_m,
                                             const std::optional<GeographicPoint>& place) const {
    if (use == Use::as_typed) return typed_m;
    const auto& at = place ? place : middle;
    if (use == Use::not_used || !link || !at) return std::nullopt;
    return link->height_m(*at, typed_m);
}

std::optional<GeographicPoint> geographic_of(const SiteFrame& frame, PlanPoint place) {
    if (!frame.projection) return std::nullopt;
    return frame.projection->wgs84_from_map(map_from_local(frame.frame, place));
}

GivenHeights given_heights(const Job& job, const SiteFrame& frame, Findings& findings) {
    GivenHeights out;
    const std::string& from = job.settings.ground_datum;
    const std::string& to = job.settings.vertical_datum;
    if (from.empty() || lower(from) == lower(to)) return out;
    Where where;
    where.file = "job";
    where.column = "ground datum";
    const auto refuse = [&](const std::string& why, const std::string& todo) {
        out.use = GivenHeights::Use::not_used;
        findings.push_back({Severity::caution, where,
                            fmt::format("The ground heights of the tables count from {}, the map's "
                                        "from {}, and {}; they were not used.",
                                        from, to, why),
                            todo, Consequence::input_rejected});
    };
    if (heights_are_local(job.settings)) {
        refuse("an assumed benchmark has no link to any other",
               "Name the vertical datum in the job table, or leave ground datum out if heights "
               "only have to agree with each other.");
        return out;
    }
    out.middle = geographic_of(frame, {0.0, 0.0});
    if (!out.middle) {
        refuse("without longitude and latitude nothing leads from one to the other",
               "Give the coordinate system of the positions, or heights in the vertical datum.");
        return out;
    }
    HeightLink::Opened opened = HeightLink::open(from, to);
    if (opened.link && !opened.link->height_m(*out.middle, 0.0)) {
        opened = {std::nullopt, "the model between them does not reach this place",
                  "Give the heights in the map's vertical datum."};
    }
    if (!opened.link) {
        refuse(opened.why, opened.what_to_do);
        return out;
    }
    out.use = GivenHeights::Use::linked;
    out.link = std::move(opened.link);
    const auto accuracy_m = out.link->accuracy_at_m(*out.middle);
    out.model_sd_m = accuracy_m.value_or(0.0);
    findings.push_back(
        {Severity::info, where,
         fmt::format("The ground heights were taken from {} to {} by {}{}. That error is the same "
                     "all over the site, so falls and slopes do not feel it.",
                     from, to, out.link->operation_at(*out.middle),
                     accuracy_m ? fmt::format(", which is good to {:g} m", *accuracy_m)
                                : std::string(", whose error is not stated")),
         ""});
    return out;
}

}  // namespace sondeline
