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

/// The wall that a surface is the face of.
const Wall* wall_of(const Site& site, const Surface& surface) {
    return surface.kind == SurfaceKind::wall && surface.id == surface.part_of ? find_wall(site, surface.id)
                                                                              : nullptr;
}

double top_at(const Site& site, const Surface& surface, double along) {
    if (const Wall* wall = wall_of(site, surface))
        return top_of(*wall, along);
    const SensorGrid& grid = surface.grid;
    const int column = std::clamp(static_cast<int>((along - grid.u0) / grid.step), 0, grid.columns - 1);
    return surface.upper_edge(along).value_or(grid.top[column]);
}

/// A gap that begins between two sensors of a column.
const Gap* find_gap(const std::vector<Gap>& gaps, double below, double above) {
    for (const Gap& gap : gaps)
        if (gap.from < above && gap.to > below)
            return &gap;
    return nullptr;
}

/// Where the level is crossed between a sensor at or above it and its neighbour below it.
double crossing(const std::vector<double>& heights, const std::vector<double>& lux, std::size_t lit,
                std::size_t dark, double level_lx) {
    // Light falls by about the same factor each foot: straight in the logarithm.
    const double darker = std::max(lux[dark], 1e-6 * level_lx);
    const double share = lux[lit] > darker ? std::log(lux[lit] / level_lx) / std::log(lux[lit] / darker) : 0;
    return heights[lit] + share * (heights[dark] - heights[lit]);
}

/// The openings of a wall on an upright line, and whatever else leaves more than a row of the grid empty.
std::vector<Gap> find_gaps(const Wall* wall, double along, const Column& column, double step) {
    std::vector<Gap> gaps;
    if (wall) {
        for (const Opening& opening : wall->openings)
            if (opening.from < along && along < opening.from + opening.width)
                gaps.push_back({opening.sill, opening.sill + opening.height, opening.id});
        return gaps;
    }
    for (std::size_t i = 0; i + 1 < column.heights.size(); ++i)
        if (column.heights[i + 1] - column.heights[i] > 1.5 * step)
            gaps.push_back({column.heights[i] + step / 2, column.heights[i + 1] - step / 2, ""});
    return gaps;
}

} // namespace

Reach measure_reach(const std::vector<double>& heights, const std::vector<double>& lux, double top,
                    double level_lx, const std::vector<Gap>& gaps) {
    Reach reach{.level_lx = level_lx, .wall_height = top};
    const std::size_t count = lux.size();
    const auto is_lit = [&](std::size_t i) { return lux[i] >= level_lx; };
    const auto hottest = static_cast<std::size_t>(std::max_element(lux.begin(), lux.end()) - lux.begin());
    for (std::size_t first = 0; first < count; ++first) {
        if (!is_lit(first))
            continue;
        std::size_t last = first;
        while (last + 1 < count && is_lit(last + 1))
            ++last;
        Stretch stretch{0, top};
        if (first > 0) {
            const Gap* gap = find_gap(gaps, heights[first - 1], heights[first]);
            stretch.from = gap ? gap->to : crossing(heights, lux, first, first - 1, level_lx);
        }
        const Gap* gap = last + 1 < count ? find_gap(gaps, heights[last], heights[last + 1]) : nullptr;
        // A sensor that stands for less than a cell keeps its row's height, which may lie above a sloping
        // edge.
        if (last + 1 < count)
            stretch.to = std::min(gap ? gap->from : crossing(heights, lux, last, last + 1, level_lx), top);
        stretch.from = std::min(stretch.from, stretch.to);
        reach.stretches.push_back(stretch);
        if (first <= hottest && hottest <= last) {
            reach.height = stretch.to;
            reach.is_to_top = stretch.to >= top;
            reach.sill_of = gap && !reach.is_to_top ? gap->opening : "";
        }
        first = last;
    }
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
    const std::vector<Gap> gaps = find_gaps(wall_of(site, surface), along, column, surface.grid.step);
    std::vector<Reach> reaches;
    for (const double level : levels_lx)
        reaches.push_back(measure_reach(column.heights, column.lux, top, level, gaps));
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
            const Reach reach = measure_reach(column.heights, column.lux, surface.grid.top[c], level,
                                              find_gaps(nullptr, 0, column, surface.grid.step));
            if (c == 0 || reach.height.value_or(-1) > highest.height.value_or(-1))
                highest = reach;
        }
        best.push_back(highest);
    }
    return best;
}

} // namespace duskcast
