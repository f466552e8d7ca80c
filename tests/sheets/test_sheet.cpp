#include <cmath>
#include <doctest/doctest.h>

#include "../../src/sheets/body_sheet.hpp"
#include "../../src/sheets/ground_sheet.hpp"
#include "../../src/sheets/wall_sheet.hpp"
#include "duskcast/site/layout.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

constexpr double cell_step = 0.2;

/// A plain wall 4 m by 2 m.
Surface make_wall() {
    Surface wall;
    wall.id = wall.part_of = "front";
    wall.run = run_of({{0, 0}, {4, 0}}, false);
    wall.grid.step = cell_step;
    wall.grid.columns = 20;
    wall.grid.rows = 10;
    for (std::int32_t i = 0; i < 200; ++i)
        wall.grid.sensor.push_back(i);
    wall.outline = {{OutlineShape::Role::edge, "", {{0, 0}, {4, 0}, {4, 2}, {0, 2}}, true}};
    return wall;
}

/// 1344 pixels beside the ruler and 640 in height: the wall is drawn at 320 pixels a metre.
constexpr double wall_pixels = 4 * 320.0 * 2 * 320;

test::Pixels draw(const WallSheet& sheet) {
    return test::read_pixels(draw_wall_sheet(sheet, PictureFormat::png).bytes);
}

} // namespace

PIXEL_TEST_CASE("wall sheet: an evenly lit wall is one colour all over, to scale") {
    const Surface wall = make_wall();
    const std::vector<double> lux(200, 20.0);
    const test::Pixels page = draw({{}, wall, lux});
    CHECK(page.width == 1600);
    const test::Patch patch = test::find_colour(page, lux_colour(20));
    CHECK(static_cast<double>(patch.count) == doctest::Approx(wall_pixels).epsilon(0.02));
}

PIXEL_TEST_CASE("wall sheet: right is right and up is up") {
    const Surface wall = make_wall();
    std::vector<double> lux(200, 2.0);
    for (int row = 5; row < 10; ++row)
        for (int column = 10; column < 20; ++column)
            lux[static_cast<std::size_t>(row * 20 + column)] = 500;
    const test::Pixels page = draw({{}, wall, lux});
    const test::Patch bright = test::find_colour(page, lux_colour(500)),
                      dim = test::find_colour(page, lux_colour(2));
    CHECK(bright.count > 0.2 * wall_pixels);
    CHECK(dim.count > 0.6 * wall_pixels);
    // Pure colours end at the centres of the cells on both sides of the step: the bright part is 2.1..4 by
    // 1.1..2 m, the dim one an angle of arms 1.9 and 0.9 m wide. The difference of the two centroids:
    CHECK(bright.x - dim.x == doctest::Approx(1.4357 * 320).epsilon(0.01));
    CHECK(bright.y - dim.y == doctest::Approx(0.7327 * 320).epsilon(0.01));
}

PIXEL_TEST_CASE("wall sheet: no light on panes and outside the gable's slopes") {
    Surface wall = make_wall();
    wall.outline = {
        {OutlineShape::Role::edge, "", {{0, 0}, {4, 0}, {2, 2}}, true},
        {OutlineShape::Role::opening, "w", {{1.5, 0.2}, {2.5, 0.2}, {2.5, 0.7}, {1.5, 0.7}}, true}};
    const std::vector<double> lux(200, 20.0);
    const test::Patch patch = test::find_colour(draw({{}, wall, lux}), lux_colour(20));
    CHECK(static_cast<double>(patch.count) == doctest::Approx((4 - 0.5) * 320 * 320).epsilon(0.02));
}

PIXEL_TEST_CASE("wall sheet: a mesh's loose edges are joined, holes stay open") {
    Surface wall = make_wall();
    wall.outline.clear();
    const std::vector<glm::dvec2> outer = {{0, 0}, {4, 0}, {4, 2}, {0, 2}},
                                  hole = {{1, 0.5}, {1, 1.5}, {2, 1.5}, {2, 0.5}};
    for (const auto& ring : {hole, outer})
        for (const std::size_t i : {2, 0, 3, 1}) // in no order
            wall.outline.push_back({OutlineShape::Role::edge, "", {ring[i], ring[(i + 1) % 4]}, false});
    const std::vector<double> lux(200, 20.0);
    const test::Patch patch = test::find_colour(draw({{}, wall, lux}), lux_colour(20));
    CHECK(static_cast<double>(patch.count) == doctest::Approx((8 - 1) * 320 * 320).epsilon(0.02));
}

PIXEL_TEST_CASE("wall sheet: as many fixtures and answers as there may be") {
    const Surface wall = make_wall();
    const std::vector<double> lux(200, 20.0);
    WallSheet sheet{{}, wall, lux};
    const int plain = draw(sheet).height;
    for (int i = 0; i < 40; ++i) {
        WallFixture fixture;
        fixture.text = {std::to_string(i), "4 W lamp", "15 in back, tilt 8\u00b0"};
        fixture.along = 0.1 * i;
        fixture.reach = 1 + 0.02 * i;
        fixture.reach_text = "4 ft";
        sheet.fixtures.push_back(fixture);
        sheet.text.answers.push_back(std::to_string(i) + " reaches 4 ft.");
    }
    sheet.text.levels_lx = {5, 10, 20};
    // Ten rows of the list and twenty of answers, in two columns.
    CHECK(draw(sheet).height > plain + 10 * 15 + 20 * 15);
}

TEST_CASE("ruler: 5 ft or 2 m, and round multiples where they would be too close") {
    CHECK(ruler_step(LengthUnit::foot, 100, 26) == doctest::Approx(5 * 0.3048));
    CHECK(ruler_step(LengthUnit::foot, 10, 26) == doctest::Approx(10 * 0.3048));
    CHECK(ruler_step(LengthUnit::foot, 5, 26) == doctest::Approx(25 * 0.3048));
    CHECK(ruler_step(LengthUnit::metre, 100, 26) == doctest::Approx(2));
    CHECK(ruler_step(LengthUnit::metre, 10, 26) == doctest::Approx(5));
    CHECK(ruler_step(LengthUnit::metre, 3, 26) == doctest::Approx(10));
}

PIXEL_TEST_CASE("body sheet: what the body fills is coloured, the rest is paper") {
    Elevation elevation;
    elevation.azimuth = pi;
    elevation.from = "from the south";
    elevation.width = 200;
    elevation.height = 400;
    elevation.step = 0.005;
    elevation.u0 = -0.5;
    for (int row = 0; row < 400; ++row)
        for (int column = 0; column < 200; ++column) {
            const bool is_body = row < 200 && column >= 100; // upper right quarter
            elevation.lux.push_back(is_body ? 0.0f : -1.0f);
            elevation.cover.push_back(is_body ? 1.0f : 0.0f);
        }
    BodySheet sheet;
    sheet.elevations = {elevation, elevation};
    sheet.top = 2;
    const test::Pixels page = test::read_pixels(draw_body_sheet(sheet, PictureFormat::png).bytes);
    // 580 pixels for 2 m; two pictures 1 m wide; a quarter of each.
    const double scale = 580 / 2.0;
    const test::Patch dark = test::find_colour(page, lux_colour(0), 1);
    CHECK(static_cast<double>(dark.count) == doctest::Approx(2 * 0.25 * 2 * scale * scale).epsilon(0.02));
    CHECK(dark.y > page.height / 2.0);
}

PIXEL_TEST_CASE("ground sheet: north is up, later areas lie on top") {
    Surface base;
    base.id = "ground";
    base.kind = SurfaceKind::ground;
    base.grid.step = 1;
    base.grid.columns = 10;
    base.grid.rows = 10;
    for (std::int32_t i = 0; i < 100; ++i)
        base.grid.sensor.push_back(i);
    Surface bed = base;
    bed.id = "bed";
    std::vector<double> lux(200, 2.0);
    for (std::int32_t i = 0; i < 100; ++i) {
        const bool is_bed = i / 10 >= 5 && i % 10 < 5; // the north-west quarter
        bed.grid.sensor[static_cast<std::size_t>(i)] = is_bed ? 100 + i : -1;
        lux[static_cast<std::size_t>(100 + i)] = 200;
    }
    GroundSheet sheet{{}, {&base, &bed}, lux};
    const test::Pixels page = test::read_pixels(draw_ground_sheet(sheet, PictureFormat::png).bytes);
    const test::Patch bright = test::find_colour(page, lux_colour(200)),
                      dim = test::find_colour(page, lux_colour(2));
    CHECK(bright.count > 100000);
    CHECK(bright.x < dim.x);
    CHECK(bright.y > dim.y);
}
