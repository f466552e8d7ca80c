// Ground that slopes. Heights, areas and volumes are closed forms of plane and solid geometry.

#include <doctest/doctest.h>
#include <map>
#include <sstream>
#include <string>

#include "duskcast/site/terraces.hpp"
#include "duskcast/stage/foliage.hpp"
#include "duskcast/stage/print_obj.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A lawn of 8 m by 6 m that falls 1.2 m to the south, down to the street; on it a bed and a level seat.
Site make_bank() {
    Site site;
    site.ground.areas = {{.id = "bank",
                          .outline = {{0, 0}, {8, 0}, {8, 6}, {0, 6}},
                          .height = 1.2,
                          .fall = GroundFall{.towards = radians_from_degrees(180)}},
                         {.id = "bed", .kind = GroundKind::bed, .outline = {{1, 1}, {3, 1}, {3, 2}, {1, 2}}},
                         {.id = "seat",
                          .kind = GroundKind::paving,
                          .outline = {{5, 2}, {8, 2}, {8, 4}, {5, 4}},
                          .height = 1.0}};
    site.ground.margin = 1;
    site.ground_spacing = 0.25;
    site.sensor_spacing = 0.1;
    return site;
}

std::vector<Facet> body_of(const Stage& stage, const std::string& id) {
    std::vector<Facet> facets = facets_of(stage, id);
    for (const Facet& facet : facets_of(stage, id + ".wall"))
        facets.push_back(facet);
    return facets;
}

} // namespace

TEST_CASE("ground that falls is as high as its fall has it, towards any bearing") {
    // A right triangle with legs of 3 m and 4 m that falls along its hypotenuse's height, 2.4 m long.
    Ground ground;
    ground.areas = {{.id = "a", .outline = {{0, 0}, {3, 0}, {0, 4}}, .height = 2}};
    ground.areas[0].fall = GroundFall{.to = 0.8, .towards = std::atan2(4.0, 3.0)};
    CHECK(fall_length(ground.areas[0].outline, std::atan2(4.0, 3.0)) == doctest::Approx(2.4));
    const GroundPlane plane = plane_of(ground, ground.areas[0]);
    CHECK(plane.slope() == doctest::Approx(0.5));
    CHECK(plane.height_at({0, 0}) == doctest::Approx(2));
    CHECK(plane.height_at({3, 0}) == doctest::Approx(0.8));
    CHECK(plane.height_at({0, 4}) == doctest::Approx(0.8));
    CHECK(ground_height_at(ground, {1, 4.0 / 3}) ==
          doctest::Approx(1.2)); // the middle: a third of 2 + 0.8 + 0.8
    CHECK(ground_height_at(ground, {3, 4}) == 0);
    const std::optional<FallLine> line = find_fall_line(ground.areas[0]);
    REQUIRE(line);
    CHECK(is_inside(ground.areas[0].outline, line->high));
    CHECK(is_inside(ground.areas[0].outline, line->low));
    const glm::dvec2 way = glm::normalize(line->low - line->high);
    CHECK(way.x == doctest::Approx(0.8));
    CHECK(way.y == doctest::Approx(0.6));
}

TEST_CASE("sensors of ground that falls lie in its plane and share out its own area, not the plan's") {
    const auto stage = build_stage(make_bank(), ".");
    const double stretch = std::sqrt(1 + 0.2 * 0.2);
    struct Row {
        const char* id;
        double area;
    };
    for (const Row& row : {Row{"bank", (48 - 2 - 6) * stretch}, {"bed", 2 * stretch}}) {
        CAPTURE(row.id);
        const Surface& surface = surface_named(*stage, row.id);
        CHECK(surface.kind == SurfaceKind::ground);
        CHECK(surface.area == doctest::Approx(row.area).epsilon(1e-4));
        REQUIRE(surface.count > 5);
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
            const glm::dvec3 at(stage->sensors.position(i)), normal(stage->sensors.normal(i));
            CHECK(at.z == doctest::Approx(0.2 * at.y).epsilon(1e-5));
            CHECK(glm::distance(normal, glm::dvec3(0, -0.2, 1) / stretch) < 1e-6);
        }
    }
    CHECK(surface_named(*stage, "seat").area == doctest::Approx(6).epsilon(1e-4));
    // From above: what is uppermost, and how high.
    for (const auto& [x, y, id, z] : {std::tuple(0.5f, 5.0f, "bank", 1.0),
                                      {2.0f, 1.5f, "bed", 0.3},
                                      {6.0f, 3.0f, "seat", 1.0},
                                      {4.0f, -0.5f, "ground", 0.0}}) {
        const Hit hit = stage->kernel->find_hit({x, y, 9}, {0, 0, -1}, 0, 20);
        const glm::vec3 at(x, y, 9 - hit.distance);
        CHECK(stage->surfaces[static_cast<std::size_t>(stage->surface_of(hit, at))].id == id);
        CHECK(static_cast<double>(at.z) == doctest::Approx(z).epsilon(1e-5));
    }
    // Who looks over the street at the low edge sees the lawn: there is no wall.
    const Hit low_edge = stage->kernel->find_hit({4, -5, 1.05f}, {0, 5, -1}, 0, 20);
    REQUIRE(low_edge);
    CHECK(low_edge.normal.z > 0.9f);
}

TEST_CASE("walls that hold up ground that falls follow its edge") {
    const auto stage = build_stage(make_bank(), ".");
    const std::vector<Facet> bank = body_of(*stage, "bank"), seat = body_of(*stage, "seat");
    // 0.3 m of the bank is in the ground. The seat stands on the slope, 0.4 m to 0.8 m high there.
    CHECK(sum_solid(bank).volume == doctest::Approx(48 * (0.6 + 0.3)).epsilon(1e-5));
    CHECK(sum_solid(seat).volume == doctest::Approx(6 * (1.0 - 0.6)).epsilon(1e-5));
    for (const std::vector<Facet>* body : {&bank, &seat}) {
        CHECK(glm::length(sum_solid(*body).normals) < 1e-4);
        CHECK(count_open_edges(*body) == 0);
    }
    // At the back 8 m by 1.2 m, at the sides two triangles, at the street nothing.
    CHECK(surface_named(*stage, "bank.wall").area ==
          doctest::Approx(8 * 1.2 + 2 * 6 * 1.2 / 2).epsilon(1e-4));
    // Before 3 m by 0.6 m, behind by 0.2 m, and at the sides two trapezoids; one is flush with the bank's.
    CHECK(surface_named(*stage, "seat.wall").area ==
          doctest::Approx(3 * 0.6 + 3 * 0.2 + 2 * 2 * (0.6 + 0.2) / 2).epsilon(1e-4));
    // The map of light is as high as the wall at each place.
    const SensorGrid& grid = surface_named(*stage, "bank.wall").grid;
    double highest = 0;
    for (const double top : grid.top)
        highest = std::max(highest, top);
    CHECK(highest == doctest::Approx(1.2));
}

TEST_CASE("what stands on ground that falls stands at its height there") {
    Site site = make_bank();
    site.walls = {{.id = "house", .path = {{0, 6}, {8, 6}}, .foot = 1.2, .height = 3}};
    site.trees = {{.id = "oak", .at = {2, 4}, .height = 5, .base = 2, .width = 3, .stands_on_ground = true}};
    site.trees.push_back({.id = "potted", .at = {2, 4}, .foot = 1.5, .height = 5, .base = 2, .width = 3});
    site.shrubs = {
        {.id = "hedge", .path = {{4, 0.5}, {4, 5.5}}, .width = 0.6, .height = 1, .stands_on_ground = true}};
    stand_on_ground(site);
    CHECK(site.trees[0].foot == doctest::Approx(0.8));
    CHECK(site.trees[1].foot == 1.5);
    CHECK(foot_at(site.shrubs[0], {4, 0.5}) == doctest::Approx(0.1));

    const auto lens_of = [&](Fixture fixture) {
        fixture.id = "light";
        return place_fixture(site, fixture).position;
    };
    CHECK(lens_of({.at = glm::dvec2(1, 3), .lens_height = 0.5}).z == doctest::Approx(0.6 + 0.5));
    CHECK(lens_of({.at = glm::dvec2(6, 3), .lens_height = 0.5}).z == doctest::Approx(1.5)); // on the seat
    // Before a wall and round a tree it stands on the ground where it is; what hangs counts from their foot.
    CHECK(lens_of({.wall = "house", .along = 2, .setback = 1.0, .lens_height = 0.1}).z ==
          doctest::Approx(1.2 - 0.2 * 0.99 + 0.1)); // the ground begins a centimetre before the face
    CHECK(lens_of({.wall = "house", .along = 2, .setback = 0.2, .lens_height = 2, .mount = Mount::wall}).z ==
          doctest::Approx(3.2));
    const glm::dvec3 below = lens_of({.tree = "oak", .bearing = pi, .setback = 1.0, .lens_height = 0.1});
    CHECK(below.z == doctest::Approx(0.2 * below.y + 0.1));
    CHECK(lens_of({.tree = "oak", .bearing = pi, .setback = 0.2, .lens_height = 3, .mount = Mount::tree}).z ==
          doctest::Approx(3.8));
}

TEST_CASE("before a wall that ground falls along, lights stand on the ground and not at its foot's height") {
    // 1 m high at its west and 10 m farther east as low as the rest; the wall's foot is level with the higher end.
    Site site;
    site.ground.areas = {{.id = "bank",
                          .outline = {{-1, -3}, {9, -3}, {9, 3}, {-1, 3}},
                          .height = 1,
                          .fall = GroundFall{.towards = radians_from_degrees(90)}}};
    site.walls = {{.id = "front", .path = {{0, 0}, {8, 0}}, .foot = 0.9, .height = 3}};
    for (const double along : {0.5, 3.0, 7.5}) {
        Fixture fixture{.id = "light", .wall = "front", .along = along, .setback = 1.0, .lens_height = 0.1};
        CHECK(place_fixture(site, fixture).position.z == doctest::Approx(1 - 0.1 * (along + 1) + 0.1));
        fixture.mount = Mount::wall;
        CHECK(place_fixture(site, fixture).position.z == doctest::Approx(0.9 + 0.1));
    }
    // On a wall that stands on another, not on this ground, they count from its foot.
    site.walls[0].foot = 3;
    CHECK(place_fixture(site, {.id = "light", .wall = "front", .along = 3, .setback = 1.0, .lens_height = 0.1})
              .position.z == doctest::Approx(3.1));
}

TEST_CASE("a hedge on ground that falls goes down with it") {
    constexpr double slope = 0.1, high = 2;
    Shrub hedge{.id = "hedge", .path = {{0, 0}, {6, 0}}, .width = 0.6, .height = 1, .stands_on_ground = true};
    hedge.foliage.leaf_area_density = 3;
    for (const std::string plant : {"", "boxwood"}) {
        CAPTURE(plant);
        hedge.plant = plant;
        Site site;
        site.ground.areas = {{.id = "bank",
                              .outline = {{-1, -1}, {7, -1}, {7, 1}, {-1, 1}},
                              .height = high,
                              .fall = GroundFall{high - 8 * slope, radians_from_degrees(90)}}};
        site.shrubs = {hedge};
        stand_on_ground(site);
        const auto stage = build_stage(site, ".");
        REQUIRE(stage->leaves.size() > 300);
        // Over each metre the leaves fill the height from the ground to the hedge's own, evenly: they are
        // half of it up on the mean. Clipped plants step down, one over about every 1.2 m of the line.
        std::array<double, 6> sum{}, count{};
        for (std::size_t leaf = 0; leaf < stage->leaves.size(); ++leaf) {
            const glm::dvec3 at(stage->leaves.centre(leaf));
            const double above = at.z - (high - slope * (at.x + 1));
            CHECK(above > -slope * 0.65 - 0.05);
            CHECK(above < 1 + slope * 0.65 + 0.05);
            const auto metre = static_cast<std::size_t>(std::clamp(at.x, 0.0, 5.99));
            sum[metre] += above;
            count[metre] += 1;
        }
        double least = 1e9, most = -1e9;
        for (std::size_t metre = 0; metre < sum.size(); ++metre) {
            REQUIRE(count[metre] > 20);
            least = std::min(least, sum[metre] / count[metre]);
            most = std::max(most, sum[metre] / count[metre]);
        }
        CHECK(least > 0.4);
        CHECK(most < 0.75);
        CHECK(most - least < 0.15); // 0.5 m on level leaves
    }
}

TEST_CASE("a wall on ground that falls away below its foot goes down to it") {
    Site site = make_bank();
    site.walls = {
        {.id = "shed", .path = {{2, 5}, {2, 2.5}}, .foot = 1.0, .height = 2}}; // its outside to the west
    const auto stage = build_stage(site, ".");
    for (const float y :
         {4.5f, 3.5f, 2.6f}) { // just over the ground there, which is up to 0.5 m below the foot
        const Hit hit = stage->kernel->find_hit({0, y, 0.2f * y + 0.02f}, {1, 0, 0}, 0, 10);
        REQUIRE(hit);
        CHECK(hit.distance == doctest::Approx(2));
    }
    // An upper storey, whose foot the ground reaches nowhere, stays as it is given.
    site.walls[0].foot = 2;
    const auto upper = build_stage(site, ".");
    CHECK_FALSE(upper->kernel->find_hit({0, 4.5f, 1.5f}, {1, 0, 0}, 0, 10));
}

TEST_CASE("ground that falls is written to OBJ as it lies") {
    const auto stage = build_stage(make_bank(), ".");
    std::istringstream lines(print_obj(*stage, "stage.mtl", ".").obj);
    std::vector<glm::dvec3> vertices;
    std::map<std::string, double> areas;
    std::string line, group;
    while (std::getline(lines, line)) {
        std::istringstream words(line);
        std::string key;
        words >> key;
        if (key == "v") {
            glm::dvec3 at;
            words >> at.x >> at.y >> at.z;
            vertices.push_back(at);
        } else if (key == "g") {
            words >> group;
        } else if (key == "f") {
            std::vector<glm::dvec3> corners;
            for (std::size_t number = 0; words >> number;)
                corners.push_back(vertices.at(number - 1));
            for (std::size_t i = 1; i + 1 < corners.size(); ++i)
                areas[group] +=
                    glm::length(glm::cross(corners[i] - corners[0], corners[i + 1] - corners[0])) / 2;
        }
    }
    CHECK(areas["bank"] == doctest::Approx((48 - 2 - 6) * std::sqrt(1.04)).epsilon(1e-4));
    CHECK(areas["bed"] == doctest::Approx(2 * std::sqrt(1.04)).epsilon(1e-4));
    CHECK(areas["seat"] == doctest::Approx(6).epsilon(1e-4));
}
