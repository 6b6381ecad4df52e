// What the page is made from. Every figure on it is a cell of the map, or a sum or count of cells,
// and says which: data-from="layer/row/column", data-value the cell itself, so that anyone, and a
// test, can hold the page against asbuilt.gpkg.
#pragma once

#include <span>
#include <string>

#include "sondeline/deliverables.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

struct CellRef {
    std::string_view layer;
    std::size_t row = 0;  // from 0; the map counts them from 1
    std::string_view column;
};

enum class Markup { html, svg };

class PageData {
  public:
    PageData(const AsBuilt& as_built, std::span<const LayerTable> layers)
        : as_built_(as_built), layers_(layers) {}

    const AsBuilt& as_built() const { return as_built_; }
    const LayerTable& layer(std::string_view name) const { return layer_named(layers_, name); }
    LengthUnit unit() const { return as_built_.site.job_unit; }

    std::optional<double> number(const CellRef& ref) const;
    std::string text(const CellRef& ref) const;

    // The words of a text cell, or the number shown with `decimals` after division by `per`; empty
    // for a cell that was not measured.
    std::string words(const CellRef& ref) const;
    std::string figure(const CellRef& ref, int decimals, double per = 1.0,
                       Markup markup = Markup::html) const;
    // A bound, rounded away from the figure, so that what is shown never promises more.
    std::string lower_bound(const CellRef& ref, int decimals, double per = 1.0,
                            Markup markup = Markup::html) const;
    std::string upper_bound(const CellRef& ref, int decimals, double per = 1.0,
                            Markup markup = Markup::html) const;
    // A figure in the job's unit, with its symbol.
    std::string length(const CellRef& ref, int decimals, Markup markup = Markup::html) const;
    // A length with its bounds from the columns <q>_m, <q>_lo95_m, <q>_hi95_m, rounded to what they
    // deserve: "33.0 ft (32.9 to 33.1)".
    std::string bounded_length(std::string_view layer, std::size_t row,
                               const std::string& quantity) const;
    int length_decimals(std::string_view layer, std::size_t row, const std::string& quantity) const;

    // Sum of a column, empty cells left out, in the job's unit; how many rows have a value there;
    // how many rows say `value`.
    std::string sum(std::string_view layer, std::string_view column, int decimals) const;
    std::string sum_of_lower(std::string_view layer, std::string_view column, int decimals) const;
    std::string sum_of_upper(std::string_view layer, std::string_view column, int decimals) const;
    std::string count(std::string_view layer, std::string_view column) const;
    std::string count(std::string_view layer, std::string_view column,
                      std::string_view value) const;
    double sum_of(std::string_view layer, std::string_view column) const;
    int count_of(std::string_view layer, std::string_view column) const;
    int count_of(std::string_view layer, std::string_view column, std::string_view value) const;

  private:
    const AsBuilt& as_built_;
    std::span<const LayerTable> layers_;
};

// "1 run", "2 runs".
std::string plural(int count, std::string_view one, std::string_view many);

}  // namespace sondeline
