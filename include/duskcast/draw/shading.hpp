#pragma once
// The light on a surface as colours fine enough that sensors do not show as bricks.

#include <functional>
#include <glm/glm.hpp>
#include <optional>
#include <vector>

#include "duskcast/base/cell_grid.hpp"
#include "duskcast/draw/canvas.hpp"

namespace duskcast {

/// Light between the sensors of a grid: bilinear in log lux, so that every sensor keeps its own value.
class LightField {
public:
    /// Columns whose centre lies outside `from`..`to` are left out: light does not run on round a corner.
    /// What is below `least` counts as that: with the scale's lower end, the step from a lit sensor to one in
    /// shadow is an even run of colours from one to the other.
    LightField(const CellGrid& grid, const std::vector<double>& lux, double from, double to,
               double least = scale_low_lx);
    explicit LightField(const CellGrid& grid, const std::vector<double>& lux, double least = scale_low_lx);

    /// Lux at (u, v); none more than two cells away from any sensor.
    std::optional<double> lux_at(double u, double v) const;

    /// Lines of equal light, drawn over half cells, going on to two cells beyond the sensors.
    std::vector<std::vector<glm::dvec2>> contours(double level_lx) const;

private:
    CellGrid grid_;               ///< two cells wider than the sensors' on every side
    std::vector<double> log_lux_; ///< NaN: unknown
};

/// The parts of a line for which `is_inside` holds, cut where it ceases to.
std::vector<std::vector<glm::dvec2>> cut_line(const std::vector<glm::dvec2>& line,
                                              const std::function<bool(const glm::dvec2&)>& is_inside);

/// Lux at a spot of a picture, x and y from 0 (left, top) to 1; none: nothing there.
using LuxOnPicture = std::function<std::optional<double>(double x, double y)>;

/// Colours at the middle of each of width x height parts; none: nothing there.
Raster shade(int width, int height, const std::function<std::optional<Colour>(double, double)>& colour_at);

/// The dusk colours of a field, one sample at the middle of each of width x height parts.
Raster shade_field(int width, int height, const LuxOnPicture& lux_at);

} // namespace duskcast
