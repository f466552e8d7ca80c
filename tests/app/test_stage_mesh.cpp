// The mesh that a stage is drawn from: every texel shows the light of where it is drawn.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <filesystem>
#include <map>
#include <string>
#include <utility>

#include "duskcast/app/stage_mesh.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/stage/triangulate.hpp"
#include "garden_site.hpp"

using namespace duskcast;

namespace {

std::unique_ptr<Stage> make_stage(const test::Json& site) {
    return build_stage(read_site(test::text_of(site), "garden.site.json").site, ".");
}

glm::vec3 corner_of(const StageMesh& mesh, std::size_t triangle, std::size_t corner) {
    const float* at = mesh.position.data() + 9 * triangle + 3 * corner;
    return {at[0], at[1], at[2]};
}

glm::vec2 texel_of(const StageMesh& mesh, std::size_t triangle, std::size_t corner) {
    const float* uv = mesh.light_uv.data() + 6 * triangle + 2 * corner;
    return {uv[0] * static_cast<float>(mesh.atlas.width), uv[1] * static_cast<float>(mesh.atlas.height)};
}

/// Whose light a texel shows, and their shares of it.
std::vector<std::pair<std::uint32_t, double>> shares_of(const StageMesh& mesh, const Stage& stage,
                                                        const glm::vec2& texel) {
    const std::int32_t of = mesh.atlas.sensor[static_cast<std::size_t>(texel.y) * mesh.atlas.width +
                                              static_cast<std::size_t>(texel.x)];
    REQUIRE(of >= 0);
    const auto index = static_cast<std::size_t>(of);
    if (index < stage.sensors.size())
        return {{static_cast<std::uint32_t>(index), 1.0}};
    const std::size_t mix = index - stage.sensors.size();
    REQUIRE(mix < mesh.mixes.size());
    std::vector<std::pair<std::uint32_t, double>> shares;
    for (auto at = static_cast<std::size_t>(mix == 0 ? 0 : mesh.mixes.end[mix - 1]);
         at < static_cast<std::size_t>(mesh.mixes.end[mix]); ++at)
        shares.emplace_back(static_cast<std::uint32_t>(mesh.mixes.sensor[at]),
                            static_cast<double>(mesh.mixes.share[at]));
    return shares;
}

double area_of(const std::vector<std::array<glm::dvec2, 3>>& triangles) {
    double area = 0;
    for (const auto& [a, b, c] : triangles) {
        const double twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        CHECK(twice > 0);
        area += twice / 2;
    }
    return area;
}

} // namespace

TEST_CASE("a point of a surface with a grid takes the light of a sensor within a cell of it") {
    const std::unique_ptr<Stage> stage = make_stage(test::make_garden());
    const StageMesh mesh = make_stage_mesh(*stage);
    REQUIRE(mesh.light_uv.size() == 6 * mesh.size());
    std::size_t looked_at = 0, unlit = 0;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        const Surface& surface = stage->surfaces[mesh.surface[i]];
        if (surface.kind != SurfaceKind::wall && surface.kind != SurfaceKind::ground)
            continue;
        if (texel_of(mesh, i, 0).x < 0) { // far ground
            CHECK(surface.id == "ground");
            continue;
        }
        for (const glm::vec3 share : {glm::vec3(1, 1, 1) / 3.0f, glm::vec3(0.8f, 0.1f, 0.1f),
                                      glm::vec3(0.1f, 0.2f, 0.7f), glm::vec3(0.1f, 0.8f, 0.1f)}) {
            glm::vec3 position(0);
            glm::vec2 texel(0);
            for (std::size_t corner = 0; corner < 3; ++corner) {
                position += share[static_cast<int>(corner)] * corner_of(mesh, i, corner);
                texel += share[static_cast<int>(corner)] * texel_of(mesh, i, corner);
            }
            const auto index = static_cast<std::size_t>(std::floor(texel.y)) * mesh.atlas.width +
                               static_cast<std::size_t>(std::floor(texel.x));
            const std::int32_t sensor = mesh.atlas.sensor[index];
            REQUIRE(sensor >= 0);
            CHECK(static_cast<std::uint32_t>(sensor) - surface.first < surface.count);
            const float distance =
                glm::distance(stage->sensors.position(static_cast<std::uint32_t>(sensor)), position);
            const float cell = static_cast<float>(surface.grid.step) * std::sqrt(2.0f);
            ++looked_at;
            unlit += distance > cell ? 1 : 0;
        }
    }
    CHECK(looked_at > 50);
    // The ground under the house and the wall below ground have no light of their own.
    CHECK(unlit < looked_at / 5);
}

TEST_CASE("the mesh is the stage's facets, the ground cut into its areas") {
    const std::unique_ptr<Stage> stage = make_stage(test::make_garden());
    const StageMesh mesh = make_stage_mesh(*stage);
    double bed = 0, wall = 0, stage_wall = 0;
    const auto area = [](const glm::vec3& a, const glm::vec3& b, const glm::vec3& c) {
        return 0.5 * static_cast<double>(glm::length(glm::cross(b - a, c - a)));
    };
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        const std::string& id = stage->surfaces[mesh.surface[i]].id;
        const double own = area(corner_of(mesh, i, 0), corner_of(mesh, i, 1), corner_of(mesh, i, 2));
        bed += id == "bed" ? own : 0;
        wall += id == "front" ? own : 0;
    }
    for (std::size_t i = 0; i < stage->opaque.size(); ++i)
        if (stage->surfaces[stage->opaque.surface[i]].id == "front") {
            const glm::uvec3 corner = stage->opaque.corners[i];
            stage_wall += area(stage->opaque.vertices[corner.x], stage->opaque.vertices[corner.y],
                               stage->opaque.vertices[corner.z]);
        }
    CHECK(bed == doctest::Approx(22 * 4 * 0.3048 * 0.3048).epsilon(1e-5));
    CHECK(wall == doctest::Approx(stage_wall).epsilon(1e-9));
    CHECK(mesh.leaf_sensor.size() == 2 * stage->leaves.size());
    CHECK(mesh.texture_uv.empty());
}

TEST_CASE("the mesh lacks faces between bodies that touch, and nothing that a ray from outside meets") {
    // Brute force: rays from all round through the stage, first hits alone.
    const SiteFile file = read_site_file(DUSKCAST_SOURCE_DIR "/scenes/two-gables/two-gables.site.json");
    const std::unique_ptr<Stage> stage = build_stage(file.site, DUSKCAST_SOURCE_DIR "/scenes/two-gables");
    const StageMesh mesh = make_stage_mesh(*stage);
    using Place = std::array<float, 9>;
    std::map<Place, int> drawn;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        Place place;
        std::copy_n(mesh.position.begin() + 9 * static_cast<std::ptrdiff_t>(i), 9, place.begin());
        ++drawn[place];
    }
    const auto is_drawn = [&](std::size_t facet) {
        Place place;
        for (int k = 0; k < 3; ++k)
            for (int axis = 0; axis < 3; ++axis)
                place[static_cast<std::size_t>(3 * k + axis)] =
                    stage->opaque.vertices[stage->opaque.corners[facet][k]][axis];
        return drawn.count(place) > 0;
    };
    std::size_t left_out = 0, met = 0;
    for (std::size_t i = 0; i < stage->opaque.size(); ++i)
        left_out +=
            stage->surfaces[stage->opaque.surface[i]].kind == SurfaceKind::roof && !is_drawn(i) ? 1 : 0;
    CHECK(left_out > 3);
    Random random(11);
    const glm::vec3 middle(6.7f, 3, 3);
    for (int i = 0; i < 20000; ++i) {
        const glm::vec3 to = middle + 8.0f * glm::vec3(random.direction());
        glm::vec3 from = middle + 40.0f * glm::vec3(random.direction());
        from.z = std::abs(from.z) + 0.5f;
        const Hit hit = stage->kernel->find_hit(from, glm::normalize(to - from), 0, 200);
        if (hit.kind != FacetKind::opaque ||
            stage->surfaces[stage->opaque.surface[hit.facet]].kind == SurfaceKind::ground)
            continue;
        ++met;
        CHECK(is_drawn(hit.facet));
    }
    CHECK(met > 2000);
}

TEST_CASE("the texels of a pane lie square") {
    // The map from texels to places is linear on a triangle: its two columns by Cramer's rule.
    const SiteFile file = read_site_file(DUSKCAST_SOURCE_DIR "/scenes/two-gables/two-gables.site.json");
    const std::unique_ptr<Stage> stage =
        build_stage(file.site, DUSKCAST_SOURCE_DIR "/scenes/two-gables", BodySensors::shown);
    const StageMesh mesh = make_stage_mesh(*stage);
    std::size_t panes = 0;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        if (stage->surfaces[mesh.surface[i]].kind != SurfaceKind::opening || texel_of(mesh, i, 0).x < 0)
            continue;
        const glm::vec2 a = texel_of(mesh, i, 1) - texel_of(mesh, i, 0),
                        b = texel_of(mesh, i, 2) - texel_of(mesh, i, 0);
        const glm::vec3 p = corner_of(mesh, i, 1) - corner_of(mesh, i, 0),
                        q = corner_of(mesh, i, 2) - corner_of(mesh, i, 0);
        const glm::vec3 across = b.y * p - a.y * q, up = a.x * q - b.x * p; // times the determinant
        CHECK(std::abs(glm::dot(glm::normalize(across), glm::normalize(up))) < 1e-3f);
        ++panes;
    }
    CHECK(panes > 8);
}

TEST_CASE("each side of a leaf takes the light of a leaf of its crown that faces about the same way") {
    const std::unique_ptr<Stage> stage = make_stage(test::make_garden());
    const StageMesh mesh = make_stage_mesh(*stage);
    REQUIRE(stage->leaves.size() > 100);
    std::size_t found = 0;
    for (std::size_t leaf = 0; leaf < stage->leaves.size(); ++leaf)
        for (const int side : {0, 1}) {
            const std::int32_t sensor = mesh.leaf_sensor[2 * leaf + side];
            if (sensor < 0)
                continue;
            ++found;
            const glm::vec3 normal = (side == 0 ? 1.0f : -1.0f) * stage->leaves.normal(leaf);
            CHECK(glm::dot(normal, stage->sensors.normal(static_cast<std::uint32_t>(sensor))) > 0.3f);
        }
    CHECK(found > 2 * stage->leaves.size() * 9 / 10);
}

TEST_CASE("trunk and limbs are shown in their own light, not in that of leaves") {
    const std::unique_ptr<Stage> stage = build_stage(
        read_site(test::text_of(test::make_garden()), "garden.site.json").site, ".", BodySensors::shown);
    const StageMesh mesh = make_stage_mesh(*stage);
    std::size_t wood = 0, wrong = 0;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        if (stage->surfaces[mesh.surface[i]].kind != SurfaceKind::tree)
            continue;
        for (std::size_t corner = 0; corner < 3; ++corner) {
            const glm::vec2 texel = texel_of(mesh, i, corner);
            ++wood;
            for (const auto& [index, share] : shares_of(mesh, *stage, texel)) {
                const bool is_own = index >= stage->first_body_sensor() && index < stage->first_leaf_sensor;
                wrong += is_own && glm::distance(stage->sensors.position(index),
                                                 corner_of(mesh, i, corner)) < 3
                             ? 0
                             : 1;
            }
        }
    }
    CHECK(wood > 50);
    CHECK(wrong == 0);
    for (const std::int32_t sensor : mesh.leaf_sensor)
        CHECK((sensor < 0 || static_cast<std::uint32_t>(sensor) >= stage->first_leaf_sensor));
}

TEST_CASE("the edge of a shadow on a trunk is a slope, as wide as its sensors are apart") {
    // Sensors above a height are lit, those below are not: by the nearest of them every texel is lit or not.
    const std::unique_ptr<Stage> stage = build_stage(
        read_site(test::text_of(test::make_garden()), "garden.site.json").site, ".", BodySensors::shown);
    const StageMesh mesh = make_stage_mesh(*stage);
    REQUIRE(mesh.mixes.size() > 50);
    std::size_t lit = 0, dark = 0, between = 0, wrong = 0;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        const Surface& surface = stage->surfaces[mesh.surface[i]];
        if (surface.kind != SurfaceKind::tree)
            continue;
        const auto body = std::find_if(stage->bodies.begin(), stage->bodies.end(),
                                       [&](const Surface& one) { return one.id == surface.id; });
        REQUIRE(body != stage->bodies.end());
        const auto apart = static_cast<float>(std::sqrt(body->area / body->count));
        for (std::size_t corner = 0; corner < 3; ++corner) {
            const glm::vec3 place = corner_of(mesh, i, corner);
            for (float edge = 0.25f; edge < 4; edge += 0.25f) {
                double all = 0, above = 0;
                for (const auto& [sensor, share] : shares_of(mesh, *stage, texel_of(mesh, i, corner))) {
                    all += share;
                    above += stage->sensors.position(sensor).z > edge ? share : 0;
                }
                CHECK(all == doctest::Approx(1).epsilon(1e-5));
                lit += above > 0.95 ? 1 : 0;
                dark += above < 0.05 ? 1 : 0;
                between += above > 0.05 && above < 0.95 ? 1 : 0;
                // Where it is lit in part, the edge is near.
                wrong += above > 0.05 && above < 0.95 && std::abs(place.z - edge) > 2 * apart ? 1 : 0;
            }
        }
    }
    CHECK(lit > 50);
    CHECK(dark > 50);
    CHECK(between > 50);
    CHECK(wrong == 0);
}

TEST_CASE("ear clipping keeps the area of an outline, whichever way round it goes") {
    // Areas by hand: a square with a corner cut out, a comb, a square with corners on its sides.
    const std::vector<glm::dvec2> l_shape{{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 4}, {0, 4}};
    CHECK(area_of(cut_into_triangles(l_shape)) == doctest::Approx(12));
    CHECK(area_of(cut_into_triangles({l_shape.rbegin(), l_shape.rend()})) == doctest::Approx(12));
    const std::vector<glm::dvec2> comb{{0, 0}, {5, 0}, {5, 3}, {4, 3}, {4, 1}, {3, 1},
                                       {3, 3}, {2, 3}, {2, 1}, {1, 1}, {1, 3}, {0, 3}};
    CHECK(area_of(cut_into_triangles(comb)) == doctest::Approx(11));
    CHECK(area_of(cut_into_triangles({{0, 0}, {1, 0}, {2, 0}, {2, 2}, {1, 2}, {0, 2}, {0, 1}})) ==
          doctest::Approx(4));
    CHECK(cut_into_triangles({{0, 0}, {1, 0}, {2, 0}}).empty());
}

TEST_CASE("every array of the mesh speaks of every triangle, and normals are those of the corners") {
    test::Json site = test::make_garden();
    site["lanterns"] = {
        {{"id", "porch"}, {"at", {2, -4, 6}}, {"width", "8 in"}, {"glow", {{"lumens", 500}}}}};
    const std::unique_ptr<Stage> stage = make_stage(site);
    const StageMesh mesh = make_stage_mesh(*stage);
    REQUIRE(mesh.size() > 100);
    CHECK(mesh.position.size() == 9 * mesh.size());
    CHECK(mesh.normal.size() == 3 * mesh.size());
    for (const std::size_t count : {mesh.material.size(), mesh.cutout.size(), mesh.solid.size()})
        CHECK(count == mesh.size());
    CHECK(mesh.atlas.sensor.size() == static_cast<std::size_t>(mesh.atlas.width) * mesh.atlas.height);
    std::size_t wrong_normals = 0, wrong_uv = 0, wrong_names = 0;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        const glm::vec3 a = corner_of(mesh, i, 0), b = corner_of(mesh, i, 1), c = corner_of(mesh, i, 2);
        const glm::vec3 cross = glm::cross(b - a, c - a);
        const glm::vec3 own(mesh.normal[3 * i], mesh.normal[3 * i + 1], mesh.normal[3 * i + 2]);
        if (glm::length(cross) > 1e-6f)
            wrong_normals += glm::distance(glm::normalize(cross), own) > 1e-3f ? 1 : 0;
        // In the map of light as a whole, or nowhere in it.
        std::size_t within = 0, outside = 0;
        for (std::size_t k = 0; k < 6; ++k) {
            const float uv = mesh.light_uv[6 * i + k];
            within += uv >= 0 && uv <= 1 ? 1 : 0;
            outside += uv == -1 ? 1 : 0;
        }
        wrong_uv += within == 6 || outside == 6 ? 0 : 1;
        wrong_names +=
            mesh.surface[i] < stage->surfaces.size() && mesh.material[i] < stage->materials.size() ? 0 : 1;
    }
    CHECK(wrong_normals == 0);
    CHECK(wrong_uv == 0);
    CHECK(wrong_names == 0);
    for (const std::int32_t sensor : mesh.atlas.sensor)
        CHECK((sensor == -1 || static_cast<std::size_t>(sensor) < stage->sensors.size()));
    CHECK(std::count(mesh.cutout.begin(), mesh.cutout.end(), 1) == 0); // nothing here has a texture
}

TEST_CASE("of areas that overlap the later lies above the earlier, and all of them above the ground") {
    test::Json site = test::make_garden();
    const test::Json outline = {{-4, -12}, {6, -12}, {6, -6}, {-4, -6}};
    site["ground"]["areas"].push_back({{"id", "path"}, {"kind", "paving"}, {"outline", outline}});
    site["ground"]["areas"].push_back(
        {{"id", "pond"}, {"kind", "water"}, {"outline", {{0, -10}, {3, -10}, {3, -7}, {0, -7}}}});
    const std::unique_ptr<Stage> stage = make_stage(site);
    const StageMesh mesh = make_stage_mesh(*stage);
    const auto height_of = [&](const std::string& id) {
        float low = 1e9f, high = -1e9f;
        for (std::size_t i = 0; i < mesh.size(); ++i)
            if (stage->surfaces[mesh.surface[i]].id == id)
                for (std::size_t corner = 0; corner < 3; ++corner) {
                    low = std::min(low, corner_of(mesh, i, corner).z);
                    high = std::max(high, corner_of(mesh, i, corner).z);
                }
        CHECK(low == high); // level
        return high;
    };
    CHECK(height_of("ground") <= 0);
    CHECK(height_of("bed") > height_of("ground"));
    CHECK(height_of("path") > height_of("bed"));
    CHECK(height_of("pond") > height_of("path"));
    CHECK(height_of("pond") < 0.05f); // and no kerb is seen
}

TEST_CASE("ground that falls lies in the walk as on the stage, and what is laid on it above it") {
    test::Json site = test::make_garden();
    site["ground"]["areas"].push_back({{"id", "bank"},
                                       {"kind", "lawn"},
                                       {"outline", {{60, -20}, {80, -20}, {80, -10}, {60, -10}}},
                                       {"height", "3 ft"},
                                       {"fall", {{"to", "6 in"}, {"towards", 180}}}});
    site["ground"]["areas"].push_back(
        {{"id", "slabs"}, {"kind", "paving"}, {"outline", {{62, -18}, {66, -18}, {66, -12}, {62, -12}}}});
    const std::unique_ptr<Stage> stage = make_stage(site);
    const StageMesh mesh = make_stage_mesh(*stage);
    // A quarter of a foot down a foot, from 3 ft at 10 ft south of the origin.
    const glm::vec3 normal = glm::normalize(glm::vec3(0, -0.25f, 1));
    std::map<std::string, int> count;
    std::map<std::string, float> lift;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        const std::string& id = stage->surfaces[mesh.surface[i]].id;
        if (id != "bank" && id != "slabs")
            continue;
        ++count[id];
        CHECK(glm::distance(glm::vec3(mesh.normal[3 * i], mesh.normal[3 * i + 1], mesh.normal[3 * i + 2]),
                            normal) < 1e-5f);
        for (std::size_t corner = 0; corner < 3; ++corner) {
            const glm::vec3 at = corner_of(mesh, i, corner);
            lift[id] = at.z - (3 * 0.3048f + 0.25f * (at.y + 10 * 0.3048f));
            CHECK(lift[id] >= 0);
            CHECK(lift[id] < 0.05f);
        }
    }
    CHECK(count["bank"] == 2);
    CHECK(count["slabs"] == 2);
    CHECK(lift["slabs"] > lift["bank"]);
}
