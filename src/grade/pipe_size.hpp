// Inside and outside diameters of common drain pipe, from a diameter that is inside or nominal.
#pragma once

#include <string_view>

#include "sondeline/terms.hpp"

namespace sondeline::grade {

// The size as entered in the runs table.
struct PipeSize {
    double diameter_m = 0.0;  // inside or nominal
    std::string_view material;
};

// Where size and material name a pipe of the table in pipe_size.cpp, its figures; else the entered
// diameter as inside, and 1.08 of it (sd 0.03) as outside: thin drain pipe is 4.215 in and
// schedule 40 is 4.5 in over a 4 in bore.
double inside_diameter_m(const PipeSize& size);
Estimate outside_diameter_m(const PipeSize& size);

}  // namespace sondeline::grade
