#include "duskcast/draw/shading.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "duskcast/draw/contour.hpp"

namespace duskcast {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

constexpr int margin = 2; // cells that the field reaches beyond the sensors

/// Gives unknown cells beside known ones a value, so that colours and lines reach the outline: at each known
/// side the log lux goes on as it ran, by a factor of two a cell at most; at corners it stays.
void grow(std::vector<double>& values, int columns, int rows) {
    constexpr double most = 0.7;
    const std::vector<double> before = values;
    const auto at = [&](int column, int row) {
        const bool is_there = column >= 0 && row >= 0 && column < columns && row < rows;
        return is_there ? before[static_cast<std::size_t>(row) * columns + column] : unknown;
    };
    constexpr std::array<std::array<int, 2>, 4> sides = {{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}};
    constexpr std::array<std::array<int, 2>, 4> corners = {{{1, 1}, {-1, 1}, {1, -1}, {-1, -1}}};
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            double& value = values[static_cast<std::size_t>(row) * columns + column];
            if (!std::isnan(value))
                continue;
            double sum = 0;
            int count = 0;
            for (const auto& [x, y] : sides)
                if (const double next = at(column + x, row + y); !std::isnan(next)) {
                    const double slope = next - at(column + 2 * x, row + 2 * y);
                    sum += next + (std::isnan(slope) ? 0 : std::clamp(slope, -most, most));
                    ++count;
                }
            for (const auto& [x, y] : corners)
                if (const double next = at(column + x, row + y); count == 0 && !std::isnan(next)) {
                    sum = next;
                    count = 1;
                }
            if (count > 0)
                value = sum / count;
        }
}

} // namespace

LightField::LightField(const CellGrid& grid, const std::vector<double>& lux, double from, double to,
                       double least) {
    grid_.step = grid.step;
    grid_.u0 = grid.u0 - margin * grid.step;
    grid_.v0 = grid.v0 - margin * grid.step;
    grid_.columns = grid.columns + 2 * margin;
    grid_.rows = grid.rows + 2 * margin;
    log_lux_.assign(static_cast<std::size_t>(grid_.columns) * grid_.rows, unknown);
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column)
            if (grid.at(column, row) >= 0 && grid.u_of(column) >= from && grid.u_of(column) <= to)
                log_lux_[static_cast<std::size_t>(row + margin) * grid_.columns + column + margin] =
                    std::log(std::max(lux[static_cast<std::size_t>(grid.at(column, row))], least));
    for (int i = 0; i < margin; ++i)
        grow(log_lux_, grid_.columns, grid_.rows);
}

LightField::LightField(const CellGrid& grid, const std::vector<double>& lux, double least)
    : LightField(grid, lux, -std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity(),
                 least) {}

std::optional<double> LightField::lux_at(double u, double v) const {
    const double x = (u - grid_.u0) / grid_.step - 0.5, y = (v - grid_.v0) / grid_.step - 0.5;
    const int column = static_cast<int>(std::floor(x)), row = static_cast<int>(std::floor(y));
    double sum = 0, weights = 0;
    for (int r = std::max(0, row); r <= std::min(grid_.rows - 1, row + 1); ++r)
        for (int c = std::max(0, column); c <= std::min(grid_.columns - 1, column + 1); ++c) {
            const double value = log_lux_[static_cast<std::size_t>(r) * grid_.columns + c];
            if (std::isnan(value))
                continue;
            const double weight = (1 - std::abs(x - c)) * (1 - std::abs(y - r));
            sum += weight * value;
            weights += weight;
        }
    if (weights < 1e-6)
        return std::nullopt;
    return std::exp(sum / weights);
}

std::vector<std::vector<glm::dvec2>> LightField::contours(double level_lx) const {
    CellGrid fine;
    fine.u0 = grid_.u0;
    fine.v0 = grid_.v0;
    fine.step = grid_.step / 2;
    fine.columns = 2 * grid_.columns;
    fine.rows = 2 * grid_.rows;
    std::vector<double> lux;
    for (int row = 0; row < fine.rows; ++row)
        for (int column = 0; column < fine.columns; ++column) {
            const std::optional<double> here = lux_at(fine.u_of(column), fine.v_of(row));
            fine.sensor.push_back(here ? static_cast<std::int32_t>(lux.size()) : -1);
            if (here)
                lux.push_back(*here);
        }
    return find_contours(fine, lux, level_lx);
}

std::vector<std::vector<glm::dvec2>> cut_line(const std::vector<glm::dvec2>& line,
                                              const std::function<bool(const glm::dvec2&)>& is_inside) {
    const auto find_edge = [&](glm::dvec2 inside, glm::dvec2 outside) {
        for (int i = 0; i < 16; ++i) {
            const glm::dvec2 middle = (inside + outside) / 2.0;
            (is_inside(middle) ? inside : outside) = middle;
        }
        return inside;
    };
    std::vector<std::vector<glm::dvec2>> parts;
    bool was_inside = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
        const bool now_inside = is_inside(line[i]);
        if (now_inside && !was_inside) {
            parts.emplace_back();
            if (i > 0)
                parts.back().push_back(find_edge(line[i], line[i - 1]));
        }
        if (now_inside)
            parts.back().push_back(line[i]);
        else if (was_inside)
            parts.back().push_back(find_edge(line[i - 1], line[i]));
        was_inside = now_inside;
    }
    return parts;
}

Raster shade(int width, int height, const std::function<std::optional<Colour>(double, double)>& colour_at) {
    Raster raster{width, height, {}, {}};
    const std::size_t count = static_cast<std::size_t>(width) * height;
    raster.colour.assign(count, Colour{0, 0, 0});
    raster.opacity.assign(count, 0.0);
    std::size_t i = 0;
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x, ++i)
            if (const std::optional<Colour> colour = colour_at((x + 0.5) / width, (y + 0.5) / height)) {
                raster.colour[i] = *colour;
                raster.opacity[i] = 1;
            }
    return raster;
}

Raster shade_field(int width, int height, const LuxOnPicture& lux_at) {
    return shade(width, height, [&](double x, double y) -> std::optional<Colour> {
        const std::optional<double> lux = lux_at(x, y);
        return lux ? std::optional<Colour>(lux_colour(*lux)) : std::nullopt;
    });
}

} // namespace duskcast
