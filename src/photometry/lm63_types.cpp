#include "lm63_types.hpp"

#include <algorithm>
#include <cmath>

#include "bracket.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

/// A plane of the full turn: its angle and the row of the file that holds it.
struct Plane {
    double c_deg;
    std::size_t row;
};

/// Adds the mirror images about the plane at `about`, which is the last one.
void mirror_behind(std::vector<Plane>& planes, double about) {
    for (std::size_t i = planes.size() - 1; i-- > 0;)
        planes.push_back({2 * about - planes[i].c_deg, planes[i].row});
}

/// A file symmetric about 90-270 need not list the plane at 180 that starts the full turn as C = 0.
Lm63Grid with_plane_at_180(Lm63Grid grid) {
    const auto is_180 = [](double c) { return is_same_plane(c, 180); };
    if (std::any_of(grid.horizontal.begin(), grid.horizontal.end(), is_180))
        return grid;
    const auto above = std::lower_bound(grid.horizontal.begin(), grid.horizontal.end(), 180);
    const Bracket bracket = find_bracket(grid.horizontal, 180);
    const std::size_t width = grid.vertical.size();
    std::vector<double> row(width);
    for (std::size_t i = 0; i < width; ++i) {
        const double low = grid.candela[bracket.low * width + i];
        row[i] = low + bracket.weight * (grid.candela[bracket.high * width + i] - low);
    }
    grid.candela.insert(grid.candela.begin() + static_cast<std::ptrdiff_t>(bracket.high * width), row.begin(),
                        row.end());
    grid.horizontal.insert(above, 180);
    return grid;
}

std::vector<Plane> planes_about_90_270(const Lm63Grid& grid) {
    std::vector<Plane> planes;
    for (std::size_t row = 0; row < grid.horizontal.size(); ++row) {
        const double c = grid.horizontal[row];
        planes.push_back({c, row});
        if (is_same_plane(c, 180))
            planes.push_back({0, row});
        else if (row > 0 && row + 1 < grid.horizontal.size())
            planes.push_back({c < 180 ? 180 - c : 540 - c, row});
    }
    sort_stably(planes, [](const Plane& a, const Plane& b) { return a.c_deg < b.c_deg; });
    return planes;
}

Distribution make_full_turn(const Lm63Grid& grid, std::vector<Plane> planes) {
    if (is_same_plane(planes.back().c_deg, 360))
        planes.pop_back();
    planes.push_back({360, planes.front().row});
    const std::size_t width = grid.vertical.size();
    Distribution distribution;
    for (const Plane& plane : planes) {
        distribution.c.push_back(radians_from_degrees(plane.c_deg));
        const auto row = grid.candela.begin() + static_cast<std::ptrdiff_t>(plane.row * width);
        distribution.candela.insert(distribution.candela.end(), row,
                                    row + static_cast<std::ptrdiff_t>(width));
    }
    distribution.c.front() = 0;
    distribution.c.back() = 2 * pi;
    return distribution;
}

/// Indices into one-sided angles that begin at 0, from the mirror image of the last to the last.
std::vector<std::size_t> mirror(std::vector<double>& angles) {
    std::vector<std::size_t> index;
    std::vector<double> both;
    if (angles.front() == 0)
        for (std::size_t i = angles.size() - 1; i > 0; --i) {
            both.push_back(-angles[i]);
            index.push_back(i);
        }
    for (std::size_t i = 0; i < angles.size(); ++i) {
        both.push_back(angles[i]);
        index.push_back(i);
    }
    angles = both;
    return index;
}

/// From -90..90 about the beam to 0..180 from the pole.
double pole_angle(double angle_deg) {
    return std::abs(angle_deg - 90) < 1e-9 ? pi : radians_from_degrees(angle_deg + 90);
}

} // namespace

std::int64_t count_millionths(double angle_deg) {
    return std::llround(angle_deg * 1e6);
}

bool is_same_plane(double a_deg, double b_deg) {
    return std::abs(count_millionths(a_deg) - count_millionths(b_deg)) < 1000;
}

Lm63Symmetry find_symmetry(const std::vector<double>& horizontal_deg) {
    const double first = horizontal_deg.front(), last = horizontal_deg.back();
    if (horizontal_deg.size() == 1)
        return is_same_plane(first, 0) ? Lm63Symmetry::axial : Lm63Symmetry::unknown;
    if (is_same_plane(first, 90) && is_same_plane(last, 270))
        return Lm63Symmetry::about_90_270;
    if (!is_same_plane(first, 0))
        return Lm63Symmetry::unknown;
    if (is_same_plane(last, 90))
        return Lm63Symmetry::quadrant;
    if (is_same_plane(last, 180))
        return Lm63Symmetry::about_0_180;
    return last > 180 ? Lm63Symmetry::none : Lm63Symmetry::unknown;
}

Distribution unfold(const Lm63Grid& grid) {
    Distribution distribution;
    const Lm63Symmetry symmetry = find_symmetry(grid.horizontal);
    if (symmetry == Lm63Symmetry::axial) {
        distribution.c = {0};
        distribution.candela = grid.candela;
    } else if (symmetry == Lm63Symmetry::about_90_270) {
        const Lm63Grid whole = with_plane_at_180(grid);
        distribution = make_full_turn(whole, planes_about_90_270(whole));
    } else {
        std::vector<Plane> planes;
        for (std::size_t row = 0; row < grid.horizontal.size(); ++row)
            planes.push_back({grid.horizontal[row], row});
        if (symmetry == Lm63Symmetry::quadrant)
            mirror_behind(planes, 90);
        if (symmetry == Lm63Symmetry::quadrant || symmetry == Lm63Symmetry::about_0_180)
            mirror_behind(planes, 180);
        distribution = make_full_turn(grid, std::move(planes));
    }
    for (const double vertical : grid.vertical)
        distribution.gamma.push_back(count_millionths(vertical - 180) == 0 ? pi
                                                                           : radians_from_degrees(vertical));
    return distribution;
}

Lm63Grid make_two_sided(const Lm63Grid& grid) {
    Lm63Grid whole = grid;
    const std::vector<std::size_t> rows = mirror(whole.horizontal);
    const std::vector<std::size_t> columns = mirror(whole.vertical);
    whole.candela.clear();
    for (const std::size_t row : rows)
        for (const std::size_t column : columns)
            whole.candela.push_back(grid.candela[row * grid.vertical.size() + column]);
    return whole;
}

Distribution turn_to_beam(const Lm63Grid& grid, Lm63Type type) {
    const std::size_t height = grid.horizontal.size();
    const std::size_t width = grid.vertical.size();
    Distribution distribution;
    if (type == Lm63Type::a) {
        // Bearings run clockwise, c the other way.
        for (std::size_t row = height; row-- > 0;) {
            distribution.c.push_back(radians_from_degrees(-grid.horizontal[row]));
            for (std::size_t i = 0; i < width; ++i)
                distribution.candela.push_back(grid.candela[row * width + i]);
        }
        for (const double vertical : grid.vertical)
            distribution.gamma.push_back(pole_angle(vertical));
        distribution.lamp_from_grid = {{0, 0, -1}, {0, -1, 0}, {-1, 0, 0}};
    } else {
        for (std::size_t i = 0; i < width; ++i) {
            distribution.c.push_back(radians_from_degrees(grid.vertical[i]));
            for (std::size_t row = 0; row < height; ++row)
                distribution.candela.push_back(grid.candela[row * width + i]);
        }
        for (const double horizontal : grid.horizontal)
            distribution.gamma.push_back(pole_angle(horizontal));
        distribution.lamp_from_grid = {{0, 0, -1}, {-1, 0, 0}, {0, 1, 0}};
    }
    return distribution;
}

} // namespace duskcast
