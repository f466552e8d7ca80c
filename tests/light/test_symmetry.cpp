// Light does not care where north is, which hand is which or how large a foot is: a site that is turned and
// moved, mirrored or scaled has the light that follows from it. Nothing but geometry is assumed.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "make_stage.hpp"

using namespace duskcast;

namespace {

/// A house front with a bay and a return, a tree-less yard, and fixtures of every kind that stands or hangs.
/// Lengths are powers of two of a metre where they can be, so that scaling by two rounds nothing.
Site make_even_yard() {
    Site site{.is_as_new = true};
    site.sensor_spacing = 0.25;
    site.ground_spacing = 1;
    site.ground.margin = 2;
    Wall wall;
    wall.id = "house";
    wall.path = {{0, 0}, {6, 0}, {6, 3}};
    wall.height = 3;
    wall.projections = {{.id = "bay", .from = 2, .width = 1.5, .depth = 0.5, .bottom = 0, .height = 2}};
    wall.openings = {{.id = "window", .from = 4, .width = 1, .sill = 1, .height = 1}};
    wall.finish.reflectance = glm::dvec3(0.5);
    site.walls = {wall};
    Lamp lamp{.id = "spot", .watts = 5};
    lamp.figures.centre_candela = 800;
    lamp.figures.beam_angle = radians_from_degrees(40);
    site.lamps = {lamp};
    const auto add = [&](const std::string& id) -> Fixture& {
        site.fixtures.push_back({.id = id, .lamp = "spot", .mount = Mount::surface});
        return site.fixtures.back();
    };
    for (const double along : {1.0, 5.0, 7.5}) { // before the front, and before the return
        Fixture& up = add("up" + std::to_string(site.fixtures.size()));
        up.wall = "house";
        up.along = along;
        up.setback = 0.5;
        up.lens_height = 0.125;
        up.tilt = 0.2;
        up.turn = 0.25;
        up.spin = 0.5;
    }
    Fixture& wash = add("wash");
    wash.kind = FixtureKind::wash;
    wash.at = glm::dvec2(3, -4);
    wash.azimuth = 0.25;
    wash.tilt = 1.25;
    wash.hood_length = 0.03125;
    wash.lens_diameter = 0.0625;
    wash.lens_height = 0.25;
    return site;
}

/// About the plan's origin by an angle clockwise, then away.
Site turn_site(const Site& site, double angle, const glm::dvec2& shift) {
    const auto turned = [&](const glm::dvec2& point) {
        return shift + glm::dvec2(std::cos(angle) * point.x + std::sin(angle) * point.y,
                                  std::cos(angle) * point.y - std::sin(angle) * point.x);
    };
    Site made = site;
    for (Wall& wall : made.walls)
        for (glm::dvec2& point : wall.path)
            point = turned(point);
    for (Fixture& fixture : made.fixtures) {
        if (fixture.at)
            fixture.at = turned(*fixture.at);
        if (fixture.azimuth)
            fixture.azimuth = *fixture.azimuth + angle;
    }
    return made;
}

/// Right for left: runs go the other way, turns and azimuths as well.
Site mirror_site(const Site& site) {
    Site made = site;
    Wall& wall = made.walls[0];
    double length = 0;
    for (std::size_t i = 1; i < wall.path.size(); ++i)
        length += glm::distance(wall.path[i - 1], wall.path[i]);
    std::reverse(wall.path.begin(), wall.path.end());
    for (glm::dvec2& point : wall.path)
        point.x = -point.x;
    for (Opening& opening : wall.openings)
        opening.from = length - opening.from - opening.width;
    for (Projection& projection : wall.projections)
        projection.from = length - projection.from - projection.width;
    for (Fixture& fixture : made.fixtures) {
        fixture.along = length - fixture.along;
        fixture.turn = -fixture.turn;
        fixture.spin = -fixture.spin;
        if (fixture.at)
            fixture.at->x = -fixture.at->x;
        if (fixture.azimuth)
            fixture.azimuth = -*fixture.azimuth;
    }
    return made;
}

Site scale_site(const Site& site, double factor) {
    Site made = site;
    for (Wall& wall : made.walls) {
        for (glm::dvec2& point : wall.path)
            point *= factor;
        wall.height *= factor;
        for (Projection& one : wall.projections)
            for (double* length : {&one.from, &one.width, &one.depth, &one.bottom, &one.height})
                *length *= factor;
        for (Opening& one : wall.openings)
            for (double* length : {&one.from, &one.width, &one.sill, &one.height, &one.reveal})
                *length *= factor;
    }
    for (Fixture& fixture : made.fixtures) {
        fixture.along *= factor;
        if (fixture.at)
            *fixture.at *= factor;
        if (fixture.setback)
            *fixture.setback *= factor;
        fixture.lens_height *= factor;
        fixture.lens_diameter = fixture.lens_diameter.value_or(usual_lens_diameter) * factor;
        fixture.hood_length *= factor;
    }
    made.sensor_spacing *= factor;
    made.ground_spacing *= factor;
    made.ground.margin *= factor;
    return made;
}

struct LitWall {
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    const Surface& surface(const std::string& id) const {
        return stage->surfaces.at(static_cast<std::size_t>(stage->find_surface(id)));
    }
};

LitWall light_up(const Site& site) {
    LitWall lit{build_stage(site, {}), {}};
    lit.lighting = trace_lighting(*lit.stage, make_fixtures(site, {}));
    return lit;
}

/// Mean of the differences and mean of the light over the cells that both have, `right` read backwards if it
/// is a mirror image.
struct Difference {
    double mean = 0, off = 0;
    int cells = 0;
};

Difference compare(const LitWall& left, const LitWall& right, const std::string& id, bool is_mirrored,
                   double factor = 1) {
    const CellGrid &a = left.surface(id).grid, &b = right.surface(id).grid;
    REQUIRE(a.columns == b.columns);
    REQUIRE(a.rows == b.rows);
    Difference difference;
    for (int row = 0; row < a.rows; ++row)
        for (int column = 0; column < a.columns; ++column) {
            const std::int32_t i = a.at(column, row),
                               j = b.at(is_mirrored ? b.columns - 1 - column : column, row);
            if (i < 0 || j < 0)
                continue;
            const double lux = left.lighting.direct_lx[static_cast<std::size_t>(i)];
            const double other = right.lighting.direct_lx[static_cast<std::size_t>(j)] * factor;
            difference.mean += lux;
            difference.off += std::abs(lux - other);
            ++difference.cells;
        }
    difference.mean /= difference.cells;
    difference.off /= difference.cells;
    return difference;
}

} // namespace

TEST_CASE("symmetry: a site turned and moved has the same light on its walls") {
    const Site site = make_even_yard();
    const LitWall still = light_up(site);
    for (const double angle : {0.5 * pi, pi, 0.3, 2.9}) {
        CAPTURE(angle);
        const LitWall turned = light_up(turn_site(site, angle, {12.5, -40.25}));
        for (const char* id : {"house", "house.bay"}) {
            CAPTURE(id);
            const Difference found = compare(still, turned, id, false);
            CHECK(found.cells > 50);
            CHECK(found.mean > 1);
            // Penumbras take another sample of the lens; all else is rounding.
            CHECK(found.off < 0.002 * found.mean);
        }
    }
}

TEST_CASE("symmetry: a mirror image has the light of a mirror image") {
    const Site site = make_even_yard();
    const LitWall still = light_up(site), mirrored = light_up(mirror_site(site));
    for (const char* id : {"house", "house.bay"}) {
        CAPTURE(id);
        const Difference found = compare(still, mirrored, id, true);
        CHECK(found.cells > 50);
        CHECK(found.off < 0.002 * found.mean);
    }
    // Twice mirrored it is itself.
    CHECK(compare(still, light_up(mirror_site(mirror_site(site))), "house", false).off < 0.002);
}

TEST_CASE("symmetry: twice as large, a quarter of the light") {
    // E = I cos / d^2 at twice the distances, lenses twice as wide.
    const Site site = make_even_yard();
    const LitWall still = light_up(site), large = light_up(scale_site(site, 2));
    const Difference found = compare(still, large, "house", false, 4);
    CHECK(found.cells > 50);
    CHECK(found.off < 0.002 * found.mean);
}

TEST_CASE("symmetry: light follows candela, dimming and losses in proportion, watts the dimming alone") {
    Site site = make_even_yard();
    const LitWall still = light_up(site);
    for (Fixture& fixture : site.fixtures) {
        fixture.dimming = 0.5;
        fixture.light_loss_factor = 0.25;
    }
    site.lamps[0].figures.centre_candela = 1600;
    const LitWall changed = light_up(site);
    REQUIRE(changed.lighting.direct_lx.size() == still.lighting.direct_lx.size());
    for (std::size_t i = 0; i < still.lighting.direct_lx.size(); ++i)
        CHECK(changed.lighting.direct_lx[i] ==
              doctest::Approx(still.lighting.direct_lx[i] / 4).epsilon(1e-5));
    for (std::size_t i = 0; i < site.fixtures.size(); ++i) {
        CHECK(changed.lighting.fixtures[i].watts == doctest::Approx(still.lighting.fixtures[i].watts / 2));
        CHECK(changed.lighting.fixtures[i].lumens ==
              doctest::Approx(still.lighting.fixtures[i].lumens / 4).epsilon(1e-5));
    }
}
