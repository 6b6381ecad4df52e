#include "footage/passing/lay_lengths.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "terms/units.hpp"

namespace sondeline {

std::vector<std::string> usual_sticks_near(double spacing_m, double share) {
    // Clay and concrete from 2 ft on, pitch fibre 8 ft, cast iron 5 and 10 ft, plastic 10 ft and
    // up; in metres clay from 1 m on, plastic 1 to 6 m.
    constexpr std::array kFeet{2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 13.0, 14.0, 20.0};
    constexpr std::array kMetres{1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0};
    struct Stick {
        double length_m = 0.0;
        std::string words;
    };
    std::vector<Stick> near;
    for (const double feet : kFeet) {
        const double length_m = feet * foot_m;
        near.push_back({length_m, fmt::format("{:.0f} ft ({:.2f} m)", feet, length_m)});
    }
    for (const double length_m : kMetres)
        near.push_back({length_m, fmt::format("{:g} m", length_m)});
    std::erase_if(near, [&](const Stick& stick) {
        return std::abs(stick.length_m - spacing_m) > share * spacing_m;
    });
    std::ranges::stable_sort(near, {}, &Stick::length_m);
    std::vector<std::string> words;
    words.reserve(near.size());
    for (Stick& stick : near) words.push_back(std::move(stick.words));
    return words;
}

}  // namespace sondeline
