#pragma once
// Values above zero on the cells of a grid: between the cells, their contour lines, their colours.

#include <functional>
#include <glm/glm.hpp>
#include <optional>
#include <vector>

#include "duskcast/base/cell_grid.hpp"
#include "duskcast/draw/canvas.hpp"

namespace duskcast {

/// Joined lines along which `values` (one an index that the grid's cells hold) are at a level, in the grid's
/// (u, v). Between cell centres the crossing is found on a straight line of the logarithm. Cells without a
/// value are left out: lines end there. Closed lines repeat their first point.
std::vector<std::vector<glm::dvec2>> find_contours(const CellGrid& grid, const std::vector<double>& values,
                                                   double level);

/// Values between the cell centres of a grid, bilinear in the logarithm, so that every cell keeps its own and
/// cells do not show as bricks.
class GridField {
public:
    /// Columns whose centre lies outside `from`..`to` are left out: values do not run on round a corner.
    /// What is below `least` (above zero) counts as that: with the lower end of a colour scale, the step from
    /// a bright cell to a dark one is an even run of colours.
    GridField(const CellGrid& grid, const std::vector<double>& values, double from, double to, double least);
    GridField(const CellGrid& grid, const std::vector<double>& values, double least);

    /// The value at (u, v); none more than two cells away from any cell that has one.
    std::optional<double> value_at(double u, double v) const;

    /// Lines of a level, drawn over half cells, going on to two cells beyond the last ones with a value.
    std::vector<std::vector<glm::dvec2>> contours(double level) const;

private:
    CellGrid grid_;                 ///< two cells wider than the one given on every side
    std::vector<double> log_value_; ///< NaN: unknown
};

/// The parts of a line for which `is_inside` holds, cut where it ceases to.
std::vector<std::vector<glm::dvec2>> cut_line(const std::vector<glm::dvec2>& line,
                                              const std::function<bool(const glm::dvec2&)>& is_inside);

/// Colours at the middle of each of width x height parts, x and y from 0 (left, top) to 1; none: nothing
/// there.
Raster shade(int width, int height,
             const std::function<std::optional<Colour>(double x, double y)>& colour_at);

} // namespace duskcast
