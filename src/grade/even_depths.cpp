#include "grade/even_depths.hpp"

namespace sondeline::grade {

namespace {

struct Line {
    double middle_m = 0.0;
    double height_m = 0.0;  // at the middle
    double grade = 0.0;

    double at(double station_m) const { return height_m + grade * (station_m - middle_m); }
};

Line line_through(const std::vector<const Row*>& rows) {
    Line line;
    for (const Row* row : rows) {
        line.middle_m += row->station_m / static_cast<double>(rows.size());
        line.height_m += row->y_m / static_cast<double>(rows.size());
    }
    double product = 0.0;
    double square = 0.0;
    for (const Row* row : rows) {
        const double d = row->station_m - line.middle_m;
        product += d * row->y_m;
        square += d * d;
    }
    if (square > 0.0) line.grade = product / square;
    return line;
}

}  // namespace

void set_even_depths(std::vector<Row>& rows) {
    std::vector<const Row*> depths;
    for (const Row& row : rows) {
        if (is_locator(row)) depths.push_back(&row);
    }
    const Line line = line_through(depths);
    for (Row& row : rows) {
        if (is_locator(row)) row.even_depth_m = row.depth_m + row.y_m - line.at(row.station_m);
    }
}

}  // namespace sondeline::grade
