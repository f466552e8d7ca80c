// The pinhole camera against plane geometry.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/random.hpp"
#include "duskcast/view/view_trace.hpp"

using namespace duskcast;

namespace {

Camera draw_camera(Random& random) {
    const glm::dvec3 eye{random.uniform(-20, 20), random.uniform(-20, 20), random.uniform(0, 10)};
    return make_camera({"test", eye, eye + 5.0 * random.direction(), random.uniform(0.1, 2.5)}, 320, 200);
}

} // namespace

TEST_CASE("camera: a point in a pixel's direction is projected onto that pixel") {
    Random random(11);
    double worst = 0, worst_off_line = 0;
    for (int i = 0; i < 400; ++i) {
        const Camera camera = draw_camera(random);
        const glm::dvec2 place{random.uniform(0, 320), random.uniform(0, 200)};
        const glm::dvec3 direction = camera.direction_at(place);
        CHECK(glm::length(direction) == doctest::Approx(1));
        const auto back = camera.project(camera.eye + random.uniform(0.5, 50) * direction);
        REQUIRE(back);
        worst = std::max(worst, glm::distance(*back, place));
        // What lies behind the eye is nowhere.
        CHECK(!camera.project(camera.eye - direction));
        // A straight line in space is one in the picture.
        const glm::dvec3 a = camera.eye + 4.0 * camera.direction_at({20, 30}),
                         b = camera.eye + 9.0 * camera.direction_at({300, 150});
        const glm::dvec2 pa = *camera.project(a), pb = *camera.project(b),
                         pm = *camera.project(0.5 * (a + b));
        const glm::dvec2 along = glm::normalize(pb - pa), off = pm - pa;
        worst_off_line = std::max(worst_off_line, std::abs(along.x * off.y - along.y * off.x));
    }
    CHECK(worst < 1e-6);
    CHECK(worst_off_line < 1e-6);
}

TEST_CASE("camera: axes are square to each other, the picture is upright and as wide as asked") {
    Random random(12);
    for (int i = 0; i < 100; ++i) {
        const Camera camera = draw_camera(random);
        CHECK(std::abs(glm::dot(camera.forward, camera.right)) < 1e-12);
        CHECK(std::abs(glm::dot(camera.forward, camera.up)) < 1e-12);
        CHECK(glm::distance(glm::cross(camera.right, camera.forward), camera.up) < 1e-12);
        CHECK(std::abs(camera.right.z) < 1e-12); // a level horizon
        CHECK(camera.up.z >= 0);
        // The field of view is the full angle between the middles of the left and the right edge.
        const double field =
            std::acos(glm::dot(camera.direction_at({0, 100}), camera.direction_at({320, 100})));
        CHECK(2 * std::atan(160 / camera.pixels_per_tangent) == doctest::Approx(field).epsilon(1e-9));
    }
}

TEST_CASE("camera: the solid angle of a pixel is that of its four corners") {
    // Two spherical triangles: tan(omega / 2) = a . (b x c) / (1 + a.b + b.c + c.a), Van Oosterom and
    // Strackee 1983.
    const auto triangle = [](const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c) {
        return 2 * std::atan2(std::abs(glm::dot(a, glm::cross(b, c))),
                              1 + glm::dot(a, b) + glm::dot(b, c) + glm::dot(c, a));
    };
    const Camera camera = make_camera({"test", {0, 0, 2}, {3, 4, 1}, radians_from_degrees(70)}, 300, 200);
    for (const glm::dvec2 corner : {glm::dvec2(0, 0), {149, 99}, {299, 0}, {40, 199}}) {
        const glm::dvec3 a = camera.direction_at(corner), b = camera.direction_at(corner + glm::dvec2(1, 0)),
                         c = camera.direction_at(corner + 1.0),
                         d = camera.direction_at(corner + glm::dvec2(0, 1));
        CHECK(camera.solid_angle_at(corner + 0.5) ==
              doctest::Approx(triangle(a, b, c) + triangle(a, c, d)).epsilon(1e-4).scale(0));
    }
}

TEST_CASE("camera: the day's sun stands 40 degrees high behind the eye's left shoulder") {
    const Camera camera = make_camera({"test", {0, 0, 2}, {0, 9, 2}, 1.0}, 30, 20); // looks north
    const glm::dvec3 sun = sun_direction(camera);
    CHECK(glm::length(sun) == doctest::Approx(1));
    CHECK(sun.z == doctest::Approx(std::sin(radians_from_degrees(40))));
    CHECK(sun.y < 0); // behind
    CHECK(sun.x < 0); // left
    CHECK(std::atan2(-sun.x, -sun.y) == doctest::Approx(radians_from_degrees(40)));
}
