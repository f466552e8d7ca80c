#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/units.hpp"
#include "duskcast/draw/field.hpp"

using namespace duskcast;

namespace {

struct Field {
    CellGrid grid;
    std::vector<double> lux;
};

template <class Lux> Field make_field(int size, double step, const Lux& lux_at) {
    Field field;
    field.grid.u0 = field.grid.v0 = -size * step / 2;
    field.grid.step = step;
    field.grid.columns = field.grid.rows = size;
    for (int row = 0; row < size; ++row)
        for (int column = 0; column < size; ++column) {
            field.grid.sensor.push_back(static_cast<std::int32_t>(field.lux.size()));
            field.lux.push_back(lux_at(field.grid.u_of(column), field.grid.v_of(row)));
        }
    return field;
}

/// Lux on a plane square-on to a point source of `candela` at distance h, r off its foot:
/// E = I cos^3(a) / h^2 (inverse-square and cosine law, Lambert 1760).
double point_source(double candela, double h, double r) {
    return candela * h / std::pow(h * h + r * r, 1.5);
}

} // namespace

TEST_CASE("contour: circles round the foot of a point source") {
    const double h = 2, candela = 400, step = 0.1524;
    const Field field =
        make_field(60, step, [&](double u, double v) { return point_source(candela, h, std::hypot(u, v)); });
    for (const double level : {8.0, 20.0, 50.0, 90.0}) {
        CAPTURE(level);
        const auto lines = find_contours(field.grid, field.lux, level);
        REQUIRE(lines.size() == 1);
        CHECK(lines[0].front() == lines[0].back()); // closed
        const double radius = std::sqrt(std::pow(candela * h / level, 2.0 / 3) - h * h);
        double worst = 0, turned = 0;
        for (std::size_t i = 0; i < lines[0].size(); ++i) {
            worst = std::max(worst, std::abs(glm::length(lines[0][i]) - radius));
            if (i > 0) {
                const glm::dvec2 a = lines[0][i - 1], b = lines[0][i];
                turned += std::atan2(a.x * b.y - a.y * b.x, glm::dot(a, b));
            }
        }
        CHECK_MESSAGE(worst < step / 30, "off by " << worst << " m at radius " << radius);
        CHECK(std::abs(turned) == doctest::Approx(2 * pi)); // once round
    }
    CHECK(find_contours(field.grid, field.lux, 101).empty()); // brightest: 400 / 2^2 = 100 lx
    CHECK(find_contours(field.grid, field.lux, 0).empty());
}

TEST_CASE("contour: exact where log lux is a plane, and open at the border") {
    // E = 10 exp(u): the line of 10 lx is u = 0, whatever the cells.
    const Field field = make_field(13, 0.3, [](double u, double) { return 10 * std::exp(u); });
    const auto lines = find_contours(field.grid, field.lux, 10 * std::exp(0.07));
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].size() == 13);
    for (const glm::dvec2& point : lines[0])
        CHECK(point.x == doctest::Approx(0.07));
    CHECK(std::abs(lines[0].back().y - lines[0].front().y) ==
          doctest::Approx(12 * 0.3)); // between outermost centres
}

TEST_CASE("contour: lines end at cells without a sensor") {
    Field field =
        make_field(21, 0.2, [](double u, double v) { return point_source(100, 1, std::hypot(u, v)); });
    for (int row = 9; row <= 11; ++row) // a window across the circle, right of the middle
        for (int column = 13; column <= 17; ++column)
            field.grid.sensor[static_cast<std::size_t>(row * 21 + column)] = -1;
    const double level = point_source(100, 1, 1.0);
    const auto lines = find_contours(field.grid, field.lux, level);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].front() != lines[0].back());
    for (const glm::dvec2& point : lines[0]) {
        const bool in_window = point.x > 0.4 + 1e-9 && point.x < 1.6 - 1e-9 && std::abs(point.y) < 0.4 - 1e-9;
        CHECK_FALSE(in_window);
    }
}

TEST_CASE("contour: a saddle is settled by its middle") {
    // Two bright corners across: joined when the mean of the logs is above the level, apart otherwise.
    for (const double dim : {4.0, 0.1}) {
        Field field = make_field(2, 1, [&](double u, double v) { return u * v > 0 ? 10.0 : dim; });
        const auto lines = find_contours(field.grid, field.lux, 5);
        REQUIRE(lines.size() == 2);
        // The dim corner at (0.5, -0.5) is cut off alone when the bright ones are joined.
        const bool cuts_dim = std::any_of(lines.begin(), lines.end(), [](const auto& line) {
            const glm::dvec2 middle = (line[0] + line[1]) / 2.0;
            return middle.x > 0 && middle.y < 0;
        });
        CHECK(cuts_dim == (std::log(10) + std::log(dim) > 2 * std::log(5)));
    }
}

TEST_CASE("contour: a shadow without any light still has an edge") {
    const Field field = make_field(10, 1, [](double u, double) { return u < 0 ? 0.0 : 10.0; });
    const auto lines = find_contours(field.grid, field.lux, 1);
    REQUIRE(lines.size() == 1);
    for (const glm::dvec2& point : lines[0])
        CHECK(std::abs(point.x) < 0.5); // between the two columns that it divides
}
