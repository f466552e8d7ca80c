#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/draw/field.hpp"

using namespace duskcast;

namespace {

constexpr double least = 0.5;

/// Columns 0..4, rows 0..2, cells of 1 m, lux 1, 2, 4, 8, 16 from left to right.
CellGrid make_grid() {
    CellGrid grid;
    grid.step = 1;
    grid.columns = 5;
    grid.rows = 3;
    for (std::int32_t i = 0; i < 15; ++i)
        grid.sensor.push_back(i);
    return grid;
}

std::vector<double> make_lux() {
    std::vector<double> lux;
    for (int row = 0; row < 3; ++row)
        for (int column = 0; column < 5; ++column)
            lux.push_back(std::exp2(column));
    return lux;
}

} // namespace

TEST_CASE("field: each sensor's own value at its cell, the geometric mean between two") {
    const CellGrid grid = make_grid();
    const GridField field(grid, make_lux(), least);
    CHECK(*field.value_at(2.5, 1.5) == doctest::Approx(4));
    CHECK(*field.value_at(3.0, 1.5) == doctest::Approx(std::sqrt(4.0 * 8.0)));
    CHECK(*field.value_at(3.25, 0.8) == doctest::Approx(std::exp2(2.75)));
}

TEST_CASE("field: goes on for two cells where there are no sensors, then ends") {
    CellGrid grid = make_grid();
    for (int row = 0; row < 3; ++row)
        grid.sensor[static_cast<std::size_t>(row * 5 + 4)] = -1;
    const GridField field(grid, make_lux(), least);
    CHECK(*field.value_at(4.5, 1.5) == doctest::Approx(16)); // on as it ran, by a factor of two a cell
    CHECK(field.value_at(5.4, 1.5).has_value());
    CHECK_FALSE(field.value_at(6.6, 1.5));
    CHECK_FALSE(field.value_at(-2.6, 1.5));
}

TEST_CASE("field: nothing at all counts as the least") {
    const CellGrid grid = make_grid();
    const GridField field(grid, std::vector<double>(15, 0.0), least);
    CHECK(*field.value_at(2.2, 1.1) == doctest::Approx(least));
}

TEST_CASE("field: a piece of a run knows nothing of what lies round the corner") {
    const CellGrid grid = make_grid();
    std::vector<double> lux;
    for (int i = 0; i < 15; ++i)
        lux.push_back(i % 5 < 3 ? 2.0 : 60.0);
    CHECK(*GridField(grid, lux, least).value_at(3, 1.5) == doctest::Approx(std::sqrt(2.0 * 60.0)));
    CHECK(*GridField(grid, lux, 0, 3, least).value_at(2.999, 1.5) == doctest::Approx(2));
    CHECK(*GridField(grid, lux, 3, 5, least).value_at(3.001, 1.5) == doctest::Approx(60));
}

TEST_CASE("field: contour lines run beyond the outermost sensors") {
    const CellGrid grid = make_grid();
    const auto lines = GridField(grid, make_lux(), least).contours(std::sqrt(32.0));
    REQUIRE(lines.size() == 1);
    double low = 9, high = -9;
    for (const glm::dvec2& point : lines[0]) {
        CHECK(point.x == doctest::Approx(3));
        low = std::min(low, point.y);
        high = std::max(high, point.y);
    }
    CHECK(low < 0);
    CHECK(high > 3);
}

TEST_CASE("cutting lines: only what is inside, cut at the edge") {
    // A straight line through a disk of radius 1 has a chord of 2 sqrt(1 - h^2).
    const double h = 0.6;
    const auto is_inside = [](const glm::dvec2& p) { return glm::length(p) < 1; };
    auto parts = cut_line({{-3, h}, {-0.1, h}, {0.2, h}, {3, h}}, is_inside);
    REQUIRE(parts.size() == 1);
    CHECK(parts[0].front().x == doctest::Approx(-0.8).epsilon(1e-3));
    CHECK(parts[0].back().x == doctest::Approx(0.8).epsilon(1e-3));
    CHECK(cut_line({{-3, 2}, {3, 2}}, is_inside).empty());
    parts = cut_line({{0, 0}, {2, 0}, {0, 0.5}}, is_inside);
    CHECK(parts.size() == 2);
    CHECK(cut_line({}, is_inside).empty());
}

TEST_CASE("field: exact where the logarithm is bilinear") {
    // exp(u v) has the logarithm u v: bilinear in every cell, so that the field returns it itself.
    CellGrid grid{.u0 = -2, .v0 = -1.5, .step = 0.25, .columns = 16, .rows = 12};
    std::vector<double> values;
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column) {
            grid.sensor.push_back(static_cast<std::int32_t>(values.size()));
            values.push_back(std::exp(grid.u_of(column) * grid.v_of(row)));
        }
    const GridField field(grid, values, 1e-6);
    for (double u = -1.8; u < 1.8; u += 0.17)
        for (double v = -1.3; v < 1.3; v += 0.13)
            CHECK(*field.value_at(u, v) == doctest::Approx(std::exp(u * v)));
    // Its lines are the two branches of a hyperbola, u v = ln level.
    for (const double product : {0.3, 0.8, -0.5}) {
        const auto lines = field.contours(std::exp(product));
        CHECK(lines.size() == 2);
        for (const auto& line : lines)
            for (const glm::dvec2& point : line)
                if (std::abs(point.x) < 1.8 && std::abs(point.y) < 1.3)
                    CHECK(point.x * point.y == doctest::Approx(product).epsilon(0.02));
    }
}

TEST_CASE("shading: every part has the colour at its middle, nothing where there is none") {
    const Raster raster = shade(4, 2, [](double x, double y) -> std::optional<Colour> {
        return x > 0.5 ? std::nullopt : std::optional<Colour>({x, y, 0});
    });
    CHECK(raster.opacity == std::vector<double>{1, 1, 0, 0, 1, 1, 0, 0});
    CHECK(raster.colour[0] == Colour{0.125, 0.25, 0}); // row 0 is the top
    CHECK(raster.colour[5] == Colour{0.375, 0.75, 0});
}
