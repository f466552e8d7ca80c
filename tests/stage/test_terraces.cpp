// Raised ground. Areas and volumes are closed forms of plane and solid geometry.

#include <doctest/doctest.h>

#include "duskcast/site/terraces.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// An L-shaped terrace 0.6 m high with a bed upon it, a walk before it, and a higher one at its back.
Site make_terraces() {
    Site site;
    site.ground.areas = {
        {.id = "walk", .kind = GroundKind::paving, .outline = {{0, -2}, {6, -2}, {6, 0}, {0, 0}}},
        {.id = "terrace", .outline = {{0, 0}, {6, 0}, {6, 4}, {3, 4}, {3, 2}, {0, 2}}, .height = 0.6},
        {.id = "bed", .kind = GroundKind::bed, .outline = {{1, 0.5}, {2, 0.5}, {2, 1.5}, {1, 1.5}}},
        {.id = "upper",
         .kind = GroundKind::mulch,
         .outline = {{4, 3}, {6, 3}, {6, 4}, {4, 4}},
         .height = 1.1}};
    site.ground.margin = 1;
    site.ground_spacing = 0.25;
    site.sensor_spacing = 0.1;
    return site;
}

} // namespace

TEST_CASE("sensors of terraces lie on them, and what is laid upon one lies as high") {
    const Site site = make_terraces();
    const auto stage = build_stage(site, ".");
    struct Row {
        const char* id;
        double area, height;
    };
    for (const Row& row :
         {Row{"walk", 12, 0}, {"terrace", 6 * 2 + 3 * 2 - 1 - 2, 0.6}, {"bed", 1, 0.6}, {"upper", 2, 1.1}}) {
        CAPTURE(row.id);
        const Surface& surface = surface_named(*stage, row.id);
        CHECK(surface.kind == SurfaceKind::ground);
        CHECK(surface.area == doctest::Approx(row.area).epsilon(1e-4));
        CHECK(surface.foot == doctest::Approx(row.height));
        REQUIRE(surface.count > 5);
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
            CHECK(static_cast<double>(stage->sensors.z[i]) == doctest::Approx(row.height).epsilon(1e-5));
            CHECK(stage->sensors.nz[i] == 1);
        }
    }
    // Seen from above: what is uppermost, and which surface it is.
    const auto seen = [&](float x, float y) {
        const Hit hit = stage->kernel->find_hit({x, y, 9}, {0, 0, -1}, 0, 20);
        const glm::vec3 at(x, y, 9 - hit.distance);
        return std::pair(stage->surfaces[static_cast<std::size_t>(stage->surface_of(hit, at))].id,
                         doctest::Approx(static_cast<double>(at.z)).epsilon(1e-5));
    };
    CHECK(seen(0.5f, 0.3f).first == "terrace");
    CHECK(0.6 == seen(0.5f, 0.3f).second);
    CHECK(seen(1.5f, 1.1f).first == "bed");
    CHECK(0.6 == seen(1.5f, 1.1f).second);
    CHECK(seen(5.1f, 3.4f).first == "upper");
    CHECK(1.1 == seen(5.1f, 3.4f).second);
    CHECK(seen(1.1f, -1.4f).first == "walk");
    CHECK(seen(1.1f, 3.1f).first == "ground"); // in the L's corner
}

TEST_CASE("a terrace is a closed body, and its wall carries light all round") {
    const auto stage = build_stage(make_terraces(), ".");
    std::vector<Facet> facets = facets_of(*stage, "terrace");
    for (const Facet& facet : facets_of(*stage, "terrace.wall"))
        facets.push_back(facet);
    const SolidSums sums = sum_solid(facets);
    CHECK(glm::length(sums.normals) < 1e-4);
    CHECK(sums.volume == doctest::Approx(18 * 0.9).epsilon(1e-5)); // 0.3 m of it in the ground
    // 20 m round it; the higher one, which is flush with it over 3 m, begins above it.
    const Surface& wall = surface_named(*stage, "terrace.wall");
    CHECK(wall.kind == SurfaceKind::wall);
    CHECK(wall.area == doctest::Approx(20 * 0.6).epsilon(1e-4));
    const Surface& upper = surface_named(*stage, "upper.wall");
    CHECK(upper.area == doctest::Approx(6 * 0.5).epsilon(1e-4));
}

TEST_CASE("what stands upon a terrace stands at its height") {
    Site site = make_terraces();
    CHECK(ground_height_at(site.ground, {0.5, 0.5}) == 0.6);
    CHECK(ground_height_at(site.ground, {1.5, 1}) == 0.6);
    CHECK(ground_height_at(site.ground, {5, 3.5}) == 1.1);
    CHECK(ground_height_at(site.ground, {1, 3}) == 0);
    Fixture fixture{.id = "path", .kind = FixtureKind::path, .at = glm::dvec2(0.5, 0.5), .lens_height = 0.45};
    CHECK(place_fixture(site, fixture).position.z == doctest::Approx(1.05));
    fixture.at = glm::dvec2(1, 3);
    CHECK(place_fixture(site, fixture).position.z == doctest::Approx(0.45));
}
