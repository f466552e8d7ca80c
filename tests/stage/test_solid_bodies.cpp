// Where the inside of bodies is, against the winding number: the solid angles that a point sees of a closed
// surface's triangles add up to 4 pi within it and to nothing outside (formula of van Oosterom and Strackee
// 1983).

#include "duskcast/stage/solid_bodies.hpp"

#include <cmath>

#include "duskcast/base/units.hpp"
#include "stage_test.hpp"

using namespace duskcast;

namespace {

/// How many bodies a point is in.
double winding_number(const Triangles& triangles, const glm::dvec3& point) {
    double sum = 0;
    for (const glm::uvec2& body : triangles.bodies)
        for (unsigned i = body.x; i < body.y; ++i) {
            const glm::uvec3& corner = triangles.corners[i];
            const glm::dvec3 a = glm::dvec3(triangles.vertices[corner.x]) - point,
                             b = glm::dvec3(triangles.vertices[corner.y]) - point,
                             c = glm::dvec3(triangles.vertices[corner.z]) - point;
            const double la = glm::length(a), lb = glm::length(b), lc = glm::length(c);
            sum +=
                2 * std::atan2(glm::dot(a, glm::cross(b, c)), la * lb * lc + glm::dot(a, b) * lc +
                                                                  glm::dot(b, c) * la + glm::dot(c, a) * lb);
        }
    return sum / (4 * pi);
}

/// A house with all that makes bodies: a hip roof with a gable before it, eaves, a chimney, a porch.
Site make_house() {
    Site site;
    Wall wall{.id = "house", .path = {{0, 0}, {12, 0}, {12, 8}, {0, 8}}, .closed = true, .height = 3};
    wall.gables = {{.id = "gable", .from = 3, .width = 4, .peak = 5}};
    wall.eave = Eave{.depth = 0.5, .thickness = 0.2, .rake_depth = 0.3};
    site.walls = {wall};
    Roof roof{.id = "roof", .form = RoofForm::hip, .wall = "house", .rise_in_12 = 6};
    roof.chimneys = {{.id = "chimney", .at = {8, 4}}};
    Roof porch{.id = "porch", .form = RoofForm::shed, .outline = {{7, -3}, {11, -3}, {11, 0}, {7, 0}}};
    porch.height = 2.4;
    porch.columns = Columns{.count = 2};
    site.roofs = {roof, porch};
    site.sensor_spacing = site.ground_spacing = 1;
    site.ground.margin = 2;
    return site;
}

} // namespace

TEST_CASE("solid bodies: inside is where the faces wind round a point") {
    const auto stage = build_stage(make_house(), ".");
    REQUIRE(stage->opaque.bodies.size() > 20);
    const SolidBodies bodies(stage->opaque);
    test::Dice dice(5);
    int inside = 0, other = 0;
    for (int i = 0; i < 4000; ++i) {
        const glm::vec3 point(glm::dvec3(dice.uniform(-1, 13), dice.uniform(-4, 9), dice.uniform(-0.5, 8)));
        const bool is_inside = bodies.contain(point);
        inside += is_inside ? 1 : 0;
        other += is_inside != (winding_number(stage->opaque, glm::dvec3(point)) > 0.5) ? 1 : 0;
    }
    MESSAGE(inside, " of 4000 points inside, of ", other, " the winding number says otherwise");
    CHECK(inside > 300);
    CHECK(other == 0);
}

TEST_CASE("solid bodies: two that touch are one, and end ten micrometres beyond their faces") {
    Triangles triangles;
    const auto add_box = [&](const glm::vec3& low, const glm::vec3& high) { // faces by hand, turned outwards
        const auto first = triangles.size();
        for (int axis = 0; axis < 3; ++axis)
            for (const bool is_high : {false, true}) {
                glm::vec3 corner[4] = {low, low, low, low};
                const int u = (axis + 1) % 3, v = (axis + 2) % 3;
                corner[1][u] = corner[2][u] = high[u];
                corner[2][v] = corner[3][v] = high[v];
                const auto vertex = static_cast<unsigned>(triangles.vertices.size());
                for (glm::vec3& at : corner) {
                    at[axis] = is_high ? high[axis] : low[axis];
                    triangles.vertices.push_back(at);
                }
                const unsigned b = vertex + (is_high ? 1 : 3), d = vertex + (is_high ? 3 : 1);
                triangles.add({vertex, b, vertex + 2}, 0, 0, true);
                triangles.add({vertex, vertex + 2, d}, 0, 0, true);
            }
        triangles.close_body(first);
    };
    CHECK_FALSE(SolidBodies(triangles).contain({0.5f, 0.5f, 0.5f}));
    add_box({0, 0, 0}, {1, 1, 1});
    add_box({1, 0, 0}, {2, 1, 1});
    const SolidBodies bodies(triangles);
    for (const float x : {-0.000005f, 0.001f, 0.999f, 0.999999f, 1.0f, 1.001f, 1.999f, 2.0f})
        CHECK(bodies.contain({x, 0.5f, 0.5f}));
    for (const float x : {-0.001f, -0.00002f, 2.00002f, 2.001f})
        CHECK_FALSE(bodies.contain({x, 0.5f, 0.5f}));
    CHECK_FALSE(bodies.contain({0.5f, 0.5f, 1.001f}));
    CHECK_FALSE(bodies.contain({0.5f, -0.001f, 0.5f}));
}
