// The bodies of fixtures in pictures.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/view/fixture_bodies.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

Site make_site(const std::vector<Fixture>& fixtures) {
    Site site{.is_as_new = true};
    site.walls = {{.id = "wall", .path = {{-4, 0}, {4, 0}}, .height = 5}};
    site.trees = {{.id = "tree", .at = {20, 0}, .height = 8, .base = 4, .width = 4, .trunk_diameter = 0.3}};
    site.trees[0].foliage.leaf_size = 0.4;
    site.sensor_spacing = 1;
    site.ground_spacing = 2;
    site.leaf_sensors = 0;
    site.fixtures = fixtures;
    return site;
}

/// Round everything of a fixture's body.
struct Extent {
    glm::dvec3 low{1e9}, high{-1e9};
};

Extent extent_of(const FixtureBodies& bodies, std::size_t fixture) {
    Extent extent;
    for (std::uint32_t i = bodies.first[fixture]; i < bodies.first[fixture + 1]; ++i)
        for (int corner = 0; corner < 3; ++corner) {
            const glm::dvec3 vertex(bodies.parts->opaque.vertices[bodies.parts->opaque.corners[i][corner]]);
            extent.low = glm::min(extent.low, vertex), extent.high = glm::max(extent.high, vertex);
        }
    return extent;
}

} // namespace

TEST_CASE("bodies: stakes and stems stand on the ground, wells lie in it, brackets reach wall and trunk") {
    const std::vector<Fixture> fixtures = {
        {.id = "spike",
         .kind = FixtureKind::bullet,
         .at = glm::dvec2(0, -3),
         .lens_height = 0.2,
         .tilt = 0.3},
        {.id = "path",
         .kind = FixtureKind::path,
         .at = glm::dvec2(1, -3),
         .lens_height = 0.45,
         .rim = {0.18, 0.013},
         .tilt = pi},
        {.id = "well",
         .kind = FixtureKind::in_ground,
         .at = glm::dvec2(2, -3),
         .lens_height = 0,
         .mount = Mount::surface},
        {.id = "can",
         .kind = FixtureKind::downlight,
         .wall = "wall",
         .along = 4,
         .setback = 0.1,
         .lens_height = 3,
         .tilt = pi,
         .mount = Mount::wall},
        {.id = "moon",
         .kind = FixtureKind::downlight,
         .tree = "tree",
         .bearing = 0,
         .setback = 0.2,
         .lens_height = 3,
         .tilt = 2.8,
         .mount = Mount::tree},
        {.id = "wash",
         .kind = FixtureKind::wash,
         .wall = "wall",
         .along = 4,
         .setback = 1,
         .lens_height = 0.15,
         .tilt = 0.5},
        {.id = "base",
         .kind = FixtureKind::uplight,
         .at = glm::dvec2(3, -3),
         .lens_height = 0.15,
         .mount = Mount::surface},
    };
    const Site site = make_site(fixtures);
    const FixtureBodies bodies = build_fixture_bodies(site);
    REQUIRE(bodies.first.size() == fixtures.size() + 1);
    for (std::size_t i = 0; i < fixtures.size(); ++i) {
        CAPTURE(fixtures[i].id);
        const Extent extent = extent_of(bodies, i);
        const PlacedFixture placed = place_fixture(site, fixtures[i]);
        CHECK(glm::all(glm::lessThan(extent.low, placed.position + 0.05)));
        CHECK(glm::all(glm::greaterThan(extent.high, placed.position - 0.05)));
        if (fixtures[i].mount == Mount::spike || fixtures[i].mount == Mount::surface)
            CHECK(std::abs(extent.low.z) < 0.02);
        // Its lamp's light leaves it: no facet stands before the lens, within 45 degrees of the beam's axis.
        const bool has_stem = fixtures[i].kind == FixtureKind::path; // within which its rays begin
        const float nearest = has_stem ? 0.03f : 1e-3f;
        for (int turn = 0; turn < 12; ++turn)
            for (const double off : {0.1, 0.4, 0.75}) {
                const glm::dvec3 own(std::sin(off) * std::cos(turn * 0.5236),
                                     std::sin(off) * std::sin(turn * 0.5236), -std::cos(off));
                const glm::dvec3 way = world_from_fixture(placed.aim) * own;
                const Hit hit = bodies.parts->kernel->find_hit(glm::vec3(placed.position), glm::vec3(way),
                                                               nearest, 0.15f);
                CHECK((!hit || (has_stem && off < 0.5)));
            }
    }
    const Extent hat = extent_of(bodies, 1);
    CHECK(hat.high.x - hat.low.x == doctest::Approx(0.18).epsilon(0.02).scale(0)); // as wide as the rim says
    CHECK(extent_of(bodies, 2).high.z < 0.02);
    CHECK(extent_of(bodies, 3).high.y == doctest::Approx(0).epsilon(0.01)); // the wall's face
    CHECK(extent_of(bodies, 4).low.y < 0.1);                                // into the trunk
}

TEST_CASE("bodies: one takes the place of what is behind it, and only there") {
    // An upright can of 0.1 m lens: radius and length as built; seen square from the side its outline is a
    // rectangle above a stake. Under a uniform sky with nothing round about half of the sky is before an
    // upright face: L = rho E / 2 pi (Lambert).
    const Site site = make_site({{.id = "up",
                                  .kind = FixtureKind::bullet,
                                  .at = glm::dvec2(0, -3),
                                  .lens_height = 0.3,
                                  .lens_diameter = 0.1}});
    const auto stage = build_stage(site, ".");
    const FixtureBodies bodies = build_fixture_bodies(site);
    const Camera camera =
        make_camera({"eye", {0, -5, 0.25}, {0, -3, 0.25}, radians_from_degrees(20)}, 200, 160);
    constexpr double ambient = 2;
    const ViewImage image = trace_view(*stage, {}, camera, ambient);
    const ViewImage shown = show_bodies(bodies, *stage, {}, ambient, {}, image);
    const double radius = 0.0625, length = 2.6 * radius; // 1.25 lens radii; its upper end stands at the lens
    double covered = 0;
    for (int y = 0; y < camera.height; ++y)
        for (int x = 0; x < camera.width; ++x)
            if (shown.luminance[shown.pixel_at(x, y)] != image.luminance[image.pixel_at(x, y)])
                covered += 1;
    // Metres of a pixel there, and the outline: can and stake, at least.
    const double metre = camera.pixels_per_tangent / 2;
    const double outline = (2 * radius * length + 0.018 * (0.3 - length)) * metre * metre;
    CHECK(covered > outline);
    CHECK(covered < 1.35 * outline); // with the pixels of its edges, and its foot
    const auto middle = camera.project({0, -3 - radius, 0.3 - length / 2});
    REQUIRE(middle);
    const std::size_t pixel = shown.pixel_at(static_cast<int>(middle->x), static_cast<int>(middle->y));
    const glm::dvec3 reflectance(bodies.parts->materials[0].reflectance);
    for (int channel = 0; channel < 3; ++channel)
        CHECK(static_cast<double>(shown.luminance[pixel][channel]) ==
              doctest::Approx(reflectance[channel] * ambient / 2 *
                              static_cast<double>(open_sky_return()[channel]))
                  .epsilon(1e-3)
                  .scale(0));
    CHECK(shown.distance == image.distance);
    CHECK(shown.surface == image.surface);
    // What is behind a wall is not seen.
    Site behind = site;
    behind.fixtures[0].at = glm::dvec2(0, 3);
    const ViewImage hidden = show_bodies(build_fixture_bodies(behind), *stage, {}, ambient, {}, image);
    CHECK(hidden.luminance == image.luminance);
    CHECK(show_bodies(build_fixture_bodies(make_site({})), *stage, {}, ambient, {}, image).luminance ==
          image.luminance);
}

TEST_CASE("bodies: the side towards a lamp is lit by it, and faces by what lies before them") {
    // E = I cos / d^2 of a lamp 3 m off; and the underside of a hat over ground of known exitance.
    Site site = make_site({{.id = "up",
                            .kind = FixtureKind::bullet,
                            .at = glm::dvec2(0, -6),
                            .lens_height = 0.3,
                            .lens_diameter = 0.1}});
    site.walls[0].finish = {"", glm::dvec3(0)};
    const auto stage = build_stage(site, ".");
    LitFixture lamp = test::make_point("lamp", {0, -9, 0.3 - 0.08});
    const Camera camera =
        make_camera({"eye", {0, -8, 0.22}, {0, -6, 0.22}, radians_from_degrees(20)}, 101, 81);
    const ViewImage image = trace_view(*stage, {}, camera, 0);
    const FixtureBodies bodies = build_fixture_bodies(site);
    const ViewImage shown = show_bodies(bodies, *stage, {lamp}, 0, {}, image);
    const double candela = FixtureCandela(lamp).towards({0, 1, 0});
    REQUIRE(candela > 0);
    const double distance = 3 - 0.0625;
    const double lux = candela / (distance * distance);
    const glm::dvec3 wanted = glm::dvec3(bodies.parts->materials[0].reflectance) * lux / pi * lamp.colour;
    const glm::dvec3 found(shown.luminance[shown.pixel_at(50, 40)]);
    CHECK(luminance_of(found) == doctest::Approx(luminance_of(wanted)).epsilon(0.02).scale(0));
}
