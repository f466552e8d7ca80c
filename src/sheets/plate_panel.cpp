#include "plate_panel.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

ColourAt colour_by_lux(const PlatePanel& panel) {
    return [&panel](const glm::dvec2& uv) -> std::optional<Colour> {
        const std::optional<double> lux = panel.lux_at(uv);
        return lux ? std::optional<Colour>(lux_colour(*lux)) : std::nullopt;
    };
}

Raster shade_frame(const PlateFrame& frame, double every, const ColourAt& colour_at) {
    const auto samples = [&](double pixels) {
        return std::max(1, static_cast<int>(std::ceil(pixels / every)));
    };
    return shade(samples(frame.box().width()), samples(frame.box().height()), [&](double x, double y) {
        return colour_at({frame.u0 + x * frame.width(), frame.v1 - y * frame.height()});
    });
}

void draw_bare_lines(Canvas& canvas, const std::vector<LevelLines>& levels) {
    constexpr double least_line = 12;
    for (const LevelLines& level : levels)
        for (const std::vector<glm::dvec2>& line : level.lines)
            if (walk_line(line, least_line).size() > 1)
                canvas.line(line, false, 0.9, ink_on(level.level_lx));
}

std::vector<glm::dvec2> list_spots(const SensorGrid& grid) {
    std::vector<glm::dvec2> spots;
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column)
            if (grid.at(column, row) >= 0)
                spots.emplace_back(grid.u_of(column), grid.v_of(row));
    return spots;
}

std::vector<double> sample_values(const SensorGrid& grid, std::size_t count, const ValueAt& value_at) {
    std::vector<double> values(count, least_value);
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column)
            if (const std::int32_t sensor = grid.at(column, row); sensor >= 0)
                values[static_cast<std::size_t>(sensor)] =
                    value_at({grid.u_of(column), grid.v_of(row)}).value_or(least_value);
    return values;
}

std::vector<LevelLines>
place_lines(const std::vector<double>& levels, const PlateFrame& frame,
            const std::function<std::vector<std::vector<glm::dvec2>>(double level)>& find) {
    std::vector<LevelLines> result;
    for (const double level : levels) {
        result.push_back({level, {}});
        for (const std::vector<glm::dvec2>& line : find(level))
            result.back().lines.push_back(frame.at(line));
    }
    return result;
}

} // namespace duskcast
