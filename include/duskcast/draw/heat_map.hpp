#pragma once
// A figure over two things changed at once, as coloured cells.

#include <optional>
#include <string>
#include <vector>

namespace duskcast {

/// An axis of a heat map: what stands at each cell, a figure ("6") or a name ("brighter 5 W").
struct HeatMapAxis {
    std::string title; ///< "tilt, degrees"; may be empty
    std::vector<std::string> cells;
};

struct HeatMap {
    std::string title;
    std::string detail; ///< quiet words behind the title; may be empty
    HeatMapAxis x, y;   ///< x from left to right, y from below
    /// Row-major from the lowest row, one a cell. None, missing ones at the end and what is no finite number
    /// stand for a cell without a value.
    std::vector<std::optional<double>> values;
    std::string unit;           ///< of the values, beside the colour scale; may be empty
    std::optional<double> low;  ///< ends of the colour scale, at least so far apart; none: round ones about
    std::optional<double> high; ///< the values
    std::optional<std::size_t> best; ///< index of the cell to be outlined
};

} // namespace duskcast
