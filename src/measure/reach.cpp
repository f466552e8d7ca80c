#include "duskcast/measure/reach.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

namespace {

constexpr double farthest_wall = 15;

/// One upright line of sensors, from the lowest up.
struct Column {
    std::vector<double> heights;
    std::vector<double> lux;
};

/// Lux in a row at `share` of the way from column `left` to the next; none where neither has a sensor.
/// A beam's ridge lies between columns as a rule and a straight line cuts it off: 4 % at 24 degrees, 2 m up
/// and 6 in apart. So a cubic (Lagrange) through four columns, in the logarithm, in which beams are nearly
/// parabolas; a straight line beside edges and shadows, where the cubic would swing.
std::optional<double> read_between(const SensorGrid& grid, const LuxAt& lux, int left, double share,
                                   int row) {
    const auto lux_at = [&](int column) -> std::optional<double> {
        const int sensor = column < 0 || column >= grid.columns ? -1 : grid.at(column, row);
        return sensor < 0 ? std::nullopt : std::optional<double>(lux(static_cast<std::uint32_t>(sensor)));
    };
    const std::optional<double> a = lux_at(left);
    const std::optional<double> b = share > 0 ? lux_at(left + 1) : std::nullopt;
    if (!a || !b)
        return a ? a : b;
    const std::optional<double> before = lux_at(left - 1);
    const std::optional<double> after = lux_at(left + 2);
    if (before && after) {
        const auto [least, most] = std::minmax({*before, *a, *b, *after});
        if (least > 0.25 * most)
            return std::exp(-std::log(*before) * share * (share - 1) * (share - 2) / 6 +
                            std::log(*a) * (share + 1) * (share - 1) * (share - 2) / 2 -
                            std::log(*b) * (share + 1) * share * (share - 2) / 2 +
                            std::log(*after) * (share + 1) * share * (share - 1) / 6);
    }
    return (1 - share) * *a + share * *b;
}

Column read_column(const SensorGrid& grid, const LuxAt& lux, int left, double share) {
    Column column;
    for (int row = 0; row < grid.rows; ++row)
        if (const std::optional<double> here = read_between(grid, lux, left, share, row)) {
            column.heights.push_back(grid.v_of(row));
            column.lux.push_back(*here);
        }
    return column;
}

Column column_at(const SensorGrid& grid, const LuxAt& lux, double along) {
    const double place = std::clamp((along - grid.u0) / grid.step - 0.5, 0.0, grid.columns - 1.0);
    const int left = static_cast<int>(place);
    return read_column(grid, lux, left, place - left);
}

double top_at(const Site& site, const Surface& surface, double along) {
    if (surface.kind == SurfaceKind::wall && surface.id == surface.part_of)
        if (const Wall* wall = find_wall(site, surface.id))
            return top_of(*wall, along);
    const SensorGrid& grid = surface.grid;
    const int column = std::clamp(static_cast<int>((along - grid.u0) / grid.step), 0, grid.columns - 1);
    return surface.upper_edge(along).value_or(grid.top[column]);
}

} // namespace

Reach measure_reach(const std::vector<double>& heights, const std::vector<double>& lux, double top,
                    double level_lx) {
    Reach reach{.level_lx = level_lx, .wall_height = top};
    if (lux.empty())
        return reach;
    auto at = static_cast<std::size_t>(std::max_element(lux.begin(), lux.end()) - lux.begin());
    if (lux[at] < level_lx)
        return reach;
    while (at + 1 < lux.size() && lux[at + 1] >= level_lx)
        ++at;
    if (at + 1 == lux.size()) {
        reach.height = top;
        reach.is_to_top = true;
        return reach;
    }
    // Light falls by about the same factor each foot: straight in the logarithm.
    const double upper = std::max(lux[at + 1], 1e-6 * level_lx);
    const double share = lux[at] > upper ? std::log(lux[at] / level_lx) / std::log(lux[at] / upper) : 0;
    // A sensor that stands for less than a cell keeps its row's height, which may lie above a sloping edge.
    const double height = heights[at] + share * (heights[at + 1] - heights[at]);
    reach.is_to_top = height >= top;
    reach.height = std::min(height, top);
    return reach;
}

std::optional<AimLine> find_aim_line(const Stage& stage, const LitFixture& fixture) {
    const glm::dvec2 from(fixture.lens.centre);
    const glm::dvec2 way(std::sin(fixture.aim.azimuth), std::cos(fixture.aim.azimuth));
    std::optional<AimLine> nearest;
    double nearest_distance = farthest_wall;
    for (std::size_t i = 0; i < stage.surfaces.size(); ++i) {
        const Surface& surface = stage.surfaces[i];
        if (!surface.is_upright() || !surface.has_grid())
            continue;
        for (const RunSegment& segment : surface.run) {
            const double closing = -glm::dot(way, segment.outward);
            if (closing <= 1e-6)
                continue;
            const double distance = glm::dot(from - segment.start, segment.outward) / closing;
            const double on = glm::dot(from + distance * way - segment.start, segment.direction);
            if (distance >= 0 && distance < nearest_distance && on >= 0 && on <= segment.length) {
                nearest_distance = distance;
                nearest = {static_cast<int>(i), segment.along + on};
            }
        }
    }
    return nearest;
}

std::vector<std::uint32_t> list_line_sensors(const Surface& surface, double along) {
    std::vector<std::uint32_t> sensors;
    const LuxAt note = [&](std::uint32_t sensor) {
        sensors.push_back(sensor);
        return 1.0;
    };
    column_at(surface.grid, note, along);
    std::sort(sensors.begin(), sensors.end());
    sensors.erase(std::unique(sensors.begin(), sensors.end()), sensors.end());
    return sensors;
}

std::vector<Reach> measure_line_reach(const Site& site, const Surface& surface, const LuxAt& lux,
                                      double along, const std::vector<double>& levels_lx) {
    const Column column = column_at(surface.grid, lux, along);
    const double top = top_at(site, surface, along);
    std::vector<Reach> reaches;
    for (const double level : levels_lx)
        reaches.push_back(measure_reach(column.heights, column.lux, top, level));
    return reaches;
}

std::vector<Reach> measure_line_reach(const Site& site, const Surface& surface,
                                      const std::vector<double>& lux, double along,
                                      const std::vector<double>& levels_lx) {
    return measure_line_reach(site, surface, LuxAt([&](std::uint32_t sensor) { return lux[sensor]; }), along,
                              levels_lx);
}

std::vector<Reach> measure_best_reach(const Surface& surface, const std::vector<double>& lux,
                                      const std::vector<double>& levels_lx) {
    std::vector<Reach> best;
    const LuxAt lux_at = [&](std::uint32_t sensor) { return lux[sensor]; };
    for (const double level : levels_lx) {
        Reach highest{.level_lx = level};
        for (int c = 0; c < surface.grid.columns; ++c) {
            const Column column = read_column(surface.grid, lux_at, c, 0);
            const Reach reach = measure_reach(column.heights, column.lux, surface.grid.top[c], level);
            if (c == 0 || reach.height.value_or(-1) > highest.height.value_or(-1))
                highest = reach;
        }
        best.push_back(highest);
    }
    return best;
}

} // namespace duskcast
