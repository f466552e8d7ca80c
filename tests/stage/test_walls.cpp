// The shape of walls, openings, eaves.

#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_walled_house() {
    Site site = make_wall_site({{13.17, 7.31}, {25.06, 10.53}, {22.83, 18.77}, {10.94, 15.55}}, true, 3.1);
    Wall& wall = site.walls[0];
    wall.gables = {{"one", 1.3, 7.7, 6.2}, {"other", 6.1, 5.3, 5.1}}; // crossing
    wall.openings = {make_opening("wide", 2, 5.3, 0.9, 1.3), make_opening("above", 4.1, 1.7, 2.4, 1),
                     make_opening("door", 13.4, 1, 0, 2.2), make_opening("second", 15.1, 1.2, 0.8, 2.3)};
    wall.openings[0].reveal = 0.17;
    return site;
}

} // namespace

TEST_CASE("a wall is one skin: every inner edge belongs to two triangles, walked both ways") {
    const Site site = make_walled_house();
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const auto edges = count_edges(
        pick_triangles(*stage, [](const Surface& surface) { return surface.part_of == "house"; }));
    int borders = 0;
    for (const auto& [edge, count] : edges) {
        CHECK(count == 1);
        if (edges.count({edge.second, edge.first}))
            continue;
        ++borders;
        // The skin ends below ground and at the top, nowhere else (a T-junction would end it).
        const glm::dvec3 a(std::get<0>(edge.first), std::get<1>(edge.first), std::get<2>(edge.first));
        const glm::dvec3 b(std::get<0>(edge.second), std::get<1>(edge.second), std::get<2>(edge.second));
        const Surface& surface = surface_named(*stage, "house");
        for (const glm::dvec3& end : {a, b}) {
            const double top = top_of(site.walls[0], surface.unfold(end).x);
            CHECK((end.z < -0.29 || std::abs(end.z - top) < 1e-5));
        }
    }
    CHECK(borders >= 8);
}

TEST_CASE("walls face outwards, panes stand back by the reveal") {
    const Site site = make_walled_house();
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const std::vector<RunSegment> run = run_of(site.walls[0]);
    double wall_area = 0;
    double pane_area = 0;
    for (std::size_t i = 0; i < stage->opaque.size(); ++i) {
        const Surface& surface = stage->surfaces[stage->opaque.surface[i]];
        if (surface.part_of != "house")
            continue;
        const glm::uvec3& corner = stage->opaque.corners[i];
        const glm::dvec3 a(stage->opaque.vertices[corner.x]);
        const glm::dvec3 across = glm::cross(glm::dvec3(stage->opaque.vertices[corner.y]) - a,
                                             glm::dvec3(stage->opaque.vertices[corner.z]) - a);
        const glm::dvec3 middle = (a + glm::dvec3(stage->opaque.vertices[corner.y]) +
                                   glm::dvec3(stage->opaque.vertices[corner.z])) /
                                  3.0;
        const RunSegment& segment = segment_at(run, surface_named(*stage, "house").unfold(middle).x);
        const double outward = glm::dot(glm::normalize(across), glm::dvec3(segment.outward, 0));
        if (surface.kind == SurfaceKind::wall) {
            CHECK(outward > 0.9999);
            wall_area += glm::length(across) / 2;
        } else if (outward > 0.9) {
            const double back = -glm::dot(glm::dvec2(a) - segment.start, segment.outward);
            CHECK(back == doctest::Approx(surface.id == "house.wide" ? 0.17 : 0.1).epsilon(1e-4));
            pane_area += glm::length(across) / 2;
        } else { // reveals look at the middle of their opening
            const Opening& opening =
                *std::find_if(site.walls[0].openings.begin(), site.walls[0].openings.end(),
                              [&](const Opening& one) { return "house." + one.id == surface.id; });
            const RunSegment& own = segment_at(run, opening.from + opening.width / 2);
            const glm::dvec3 centre(own.start +
                                        (opening.from + opening.width / 2 - own.along) * own.direction,
                                    opening.sill + opening.height / 2);
            CHECK(glm::dot(across, centre - a) > 0);
        }
    }
    double length = 0;
    for (const RunSegment& segment : run)
        length += segment.length;
    double holes = 0;
    for (const Opening& opening : site.walls[0].openings)
        holes += opening.width * opening.height;
    // Gables of 7.7 x 3.1 and 5.3 x 2 less the triangle they share: slopes 3.1/3.85 down from 9 and 2/2.65 up
    // from 6.1 meet 2.9 apart at the foot.
    const double down = 3.1 / 3.85;
    const double up = 2 / 2.65;
    const double shared = 2.9 * 2.9 / (1 / down + 1 / up) / 2;
    CHECK(pane_area == doctest::Approx(holes).epsilon(1e-5));
    CHECK(wall_area == doctest::Approx(length * 3.4 + 7.7 * 3.1 / 2 + 5.3 * 2 / 2 - shared - holes)
                           .epsilon(1e-5)); // 0.3 in the ground
}

TEST_CASE("a wall whose foot lies above the ground ends there") {
    Site site = make_wall_site({{0, 0}, {5, 0}}, false, 3);
    site.walls[0].foot = 1.5;
    site.walls[0].projections = {make_projection("bay", 1, 2, 0.5, 0, 2)};
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    for (const double x : {0.5, 2.0, 4.5}) {
        for (const double z : {1.55, 3.0, 4.4})
            CHECK(stage->kernel->find_hit({x, -3, z}, {0, 1, 0}, 0, 4));
        for (const double z : {0.05, 0.7, 1.45, 4.6})
            CHECK_FALSE(stage->kernel->find_hit({x, -3, z}, {0, 1, 0}, 0, 4));
    }
}

TEST_CASE("eaves: a level slab that leaves the gables out, mitred round corners") {
    Site site = make_wall_site({{0, 0}, {12, 0}, {12, 8}, {0, 8}}, true, 3);
    Wall& wall = site.walls[0];
    wall.gables = {{"gable", 2, 5, 6}};
    Eave eave;
    eave.depth = 0.5;
    eave.thickness = 0.2;
    wall.eave = eave;
    const auto hit_above = [](const Stage& stage, double x, double y) {
        return stage.kernel->find_hit({x, y, 0.5}, {0, 0, 1}, 0, 20);
    };
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    for (const double x : {0.5, 1.9, 7.1, 11.5}) { // soffit at the wall's height, facing down
        const Hit hit = hit_above(*stage, x, -0.3);
        REQUIRE(hit);
        CHECK(hit.distance == doctest::Approx(2.5));
        CHECK(hit.normal.z == doctest::Approx(-1));
    }
    for (const double x : {2.1, 4.5, 6.9})
        CHECK_FALSE(hit_above(*stage, x, -0.3));
    CHECK_FALSE(hit_above(*stage, 0.5, -0.52));
    // Corners: the square outside both walls is covered whole, not beyond.
    for (const glm::dvec2& out : {glm::dvec2(0.45, 0.1), {0.1, 0.45}, {0.45, 0.45}}) {
        CHECK(hit_above(*stage, 12 + out.x, -out.y));
        CHECK(hit_above(*stage, 12 + out.x, 8 + out.y));
        CHECK(hit_above(*stage, -out.x, 8 + out.y));
    }
    CHECK_FALSE(hit_above(*stage, 12.52, -0.52));
    // Slabs are closed bodies.
    CHECK(count_open_edges(facets_of(*stage, "house.soffit")) == 0);

    SUBCASE("along the gable's slopes") {
        wall.eave->rake_depth = 0.3;
        const std::unique_ptr<Stage> raked = build_stage(site, {});
        for (const double x : {2.5, 3.5, 5.0, 6.5}) {
            const Hit hit = hit_above(*raked, x, -0.2);
            REQUIRE(hit);
            CHECK(hit.distance + 0.5 == doctest::Approx(top_of(wall, x)).epsilon(1e-5)); // its lower side
        }
        CHECK_FALSE(hit_above(*raked, 4.5, -0.32));
    }
    SUBCASE("an inner corner") {
        Site corner = make_wall_site({{0, 0}, {4, 0}, {4, -3}}, false, 3);
        corner.walls[0].eave = eave;
        const std::unique_ptr<Stage> inner = build_stage(corner, {});
        CHECK(hit_above(*inner, 3.6, -0.1));
        CHECK(hit_above(*inner, 3.9, -0.4));
        CHECK_FALSE(hit_above(*inner, 3.4, -0.6));
        for (double off = 0.005; off < 0.49; off += 0.01) // along its mitre no light gets up
            for (const double beside : {-0.04, -0.02, 0.0, 0.02, 0.04})
                if (off + beside > 0 && off + beside < 0.5)
                    CHECK(hit_above(*inner, 4 - off, -off - beside));
    }
}

TEST_CASE("eaves fill a notch that is narrower than they are deep, and turn nothing inside out") {
    Site site = make_wall_site({{0, 0}, {4, 0}, {4, 1}, {4.6, 1}, {4.6, 0}, {9, 0}}, false, 3);
    Eave eave;
    eave.depth = 0.5;
    eave.thickness = 0.2;
    site.walls[0].eave = eave;
    site.sensor_spacing = 0.1;
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const std::vector<Facet> facets = facets_of(*stage, "house.soffit");
    CHECK(count_open_edges(facets) == 0);
    CHECK(check_bodies(facets, 150, 4) > 5);
    Dice dice(6);
    for (int i = 0; i < 200; ++i) { // before the front, and in the notch as far as both sides reach
        const bool is_in_notch = i % 2 == 0;
        const double x = is_in_notch ? dice.uniform(4.01, 4.59) : dice.uniform(0.1, 8.9);
        const double y = is_in_notch ? dice.uniform(0.01, 0.99) : dice.uniform(-0.49, -0.01);
        if (!is_in_notch && x > 3.5 && x < 5.1)
            continue; // round its outer corners there are the mitres' edges
        CAPTURE(x);
        CAPTURE(y);
        const Hit hit = stage->kernel->find_hit({x, y, 1}, {0, 0, 1}, 0, 10);
        REQUIRE(hit);
        CHECK(hit.distance == doctest::Approx(2));
    }
    const Surface& soffit = surface_named(*stage, "house.soffit");
    for (std::uint32_t i = soffit.first; i < soffit.first + soffit.count; ++i)
        CHECK(stage->sensors.z[i] == doctest::Approx(3));
}

TEST_CASE("surfaces are found by hit and by id") {
    Site site = make_walled_house();
    GroundArea bed;
    bed.id = "bed";
    bed.outline = {{0, 0}, {4, 0}, {4, 4}, {0, 4}};
    GroundArea stone = bed;
    stone.id = "stone";
    stone.outline = {{1, 1}, {2, 1}, {2, 2}, {1, 2}};
    site.ground.areas = {bed, stone};
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    CHECK(stage->find_surface("nothing") == -1);
    CHECK(stage->surface_of(Hit{}, {0, 0, 0}) == -1);
    const auto surface_below = [&](float x, float y) {
        const Hit hit = stage->kernel->find_hit({x, y, 1}, {0, 0, -1}, 0, 2);
        return stage->surfaces[stage->surface_of(hit, {x, y, 0})].id;
    };
    CHECK(surface_below(3, 3) == "bed");
    CHECK(surface_below(1.5, 1.5) == "stone"); // later areas lie on top
    CHECK(surface_below(5, 5) == "ground");
    const Hit wall = stage->kernel->find_hit({19, 6, 0.5}, {0, 1, 0}, 0, 20);
    CHECK(stage->surfaces[stage->surface_of(wall, {0, 0, 0})].id == "house");
    CHECK(std::string(name_of(SurfaceKind::soffit)) == "soffit");
}
