#include "lm63_type_ab.hpp"

#include <cmath>

#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

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
