// Light on trunks, roofs and columns, for those who show a stage: no figure is of it.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/light/solve_bounce.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

Site make_roofed_garden() {
    Site site{.is_as_new = true, .ambient = 0.1};
    Wall front{.id = "front", .path = {{0, 0}, {6, 0}}, .height = 3};
    front.gables = {{.id = "gable", .from = 1, .width = 4, .peak = 5}};
    site.walls = {front};
    site.roofs = {{.id = "roof", .wall = "front", .depth = 5, .rise_in_12 = 9}};
    site.trees = {{.id = "elm", .at = {9, -1}, .height = 6, .base = 3, .width = 3, .trunk_diameter = 0.4}};
    site.sensor_spacing = 0.4;
    site.ground_spacing = 1;
    site.ground.margin = 2;
    site.leaf_sensors = 60;
    return site;
}

} // namespace

TEST_CASE("sensors on bodies change no light that figures are of, to the last bit") {
    const Site site = make_roofed_garden();
    const auto plain = build_stage(site, "."), with = build_stage(site, ".", BodySensors::shown);
    CHECK(plain->bodies.empty());
    CHECK(plain->first_body_sensor() == plain->first_leaf_sensor);
    const std::uint32_t own = plain->first_body_sensor(), shown = with->first_leaf_sensor - own;
    REQUIRE(with->first_body_sensor() == own);
    REQUIRE(shown > 50);
    REQUIRE(with->sensors.size() == plain->sensors.size() + shown);
    std::uint32_t of_bodies = 0;
    for (const Surface& body : with->bodies)
        of_bodies += body.count;
    CHECK(of_bodies == shown);
    const std::vector<LitFixture> fixtures{test::make_point("up", {3, -1, 0.3f}),
                                           test::make_point("tree", {8, -2, 0.2f})};
    Lighting lit[2];
    for (const bool is_shown : {false, true}) {
        const Stage& stage = is_shown ? *with : *plain;
        lit[is_shown] = trace_lighting(stage, fixtures);
        add_bounce(set_up_bounce(stage, fixtures, site.ambient), lit[is_shown]);
    }
    for (std::uint32_t i = 0; i < plain->sensors.size(); ++i) {
        const std::uint32_t there = i < own ? i : i + shown;
        REQUIRE(lit[0].direct_lx[i] == lit[1].direct_lx[there]);
        REQUIRE(lit[0].bounced_lx[i] == lit[1].bounced_lx[there]);
    }
    double bounced = 0;
    for (std::uint32_t i = own; i < own + shown; ++i)
        bounced += lit[1].bounced_lx[i];
    CHECK(bounced > 0);
}

TEST_CASE("a trunk gets I cos / d^2 on the side of the lamp and nothing on the other") {
    // The law of cosines and inverse squares; a trunk without a crown before it hides only its own other
    // side.
    Site site = make_roofed_garden();
    site.walls.clear();
    site.roofs.clear();
    const auto stage = build_stage(site, ".", BodySensors::shown);
    REQUIRE(stage->bodies.size() == 1);
    const Surface& trunk = stage->bodies[0];
    CHECK(trunk.id == "elm");
    const glm::vec3 at{9, -4, 0.5f};
    const Lighting lighting = trace_lighting(*stage, {test::make_point("lamp", at)});
    int lit = 0, dark = 0;
    for (std::uint32_t i = trunk.first; i < trunk.first + trunk.count; ++i) {
        const glm::dvec3 way(at - stage->sensors.position(i));
        const double d = glm::length(way);
        const double cosine = glm::dot(way / d, glm::dvec3(stage->sensors.normal(i)));
        if (stage->sensors.position(i).z > 2.5f || std::abs(cosine) < 0.05)
            continue; // among the leaves, or beside the terminator
        (cosine > 0 ? lit : dark) += 1;
        CAPTURE(stage->sensors.position(i).z);
        CHECK(lighting.direct_lx[i] ==
              doctest::Approx(cosine > 0 ? 100 * cosine / (d * d) : 0.0).epsilon(1e-3));
    }
    CHECK(lit > 5);
    CHECK(dark > 5);
}
