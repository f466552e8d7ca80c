// Fresnel's formulas against the balance of energy, and cameras against the solid angle of a pyramid.

#include <doctest/doctest.h>

#include <cmath>

#include "../../src/view/mirror.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/view/camera.hpp"

using namespace duskcast;

TEST_CASE("mirror: what a face does not reflect it lets through, by Fresnel's amplitudes") {
    // t across = 2 cos i / (cos i + n cos t), t along = 2 cos i / (n cos i + cos t); the beam's width and the
    // index make n cos t / cos i of their squares (Born and Wolf, 1.5.3, from memory).
    Random random(1);
    for (int i = 0; i < 500; ++i) {
        const double n = random.uniform(1.1, 2.5), cosine = random.uniform(0.01, 1);
        const double inside = std::sqrt(1 - (1 - cosine * cosine) / (n * n));
        const double across = 2 * cosine / (cosine + n * inside), along = 2 * cosine / (n * cosine + inside);
        const double passed = n * inside / cosine * (across * across + along * along) / 2;
        CHECK(face_reflection(cosine, n) + passed == doctest::Approx(1).epsilon(1e-9));
        // Two faces reflect more than one, and less than twice as much.
        const double one = face_reflection(cosine, n), pane = pane_reflection(cosine, n);
        CHECK(pane > one);
        CHECK(pane <= 2 * one);
        CHECK(pane < 1);
    }
    CHECK(face_reflection(1, 1) == doctest::Approx(0)); // no face at all
    CHECK(pane_reflection(0, 1.5) == doctest::Approx(1));
    CHECK(face_reflection(1.5, 1.5) == face_reflection(1, 1.5)); // a cosine off by rounding
    CHECK(face_reflection(-0.1, 1.5) == face_reflection(0, 1.5));
}

TEST_CASE("mirror: beyond Brewster's angle a face reflects ever more") {
    for (const double n : {water_index, glass_index}) {
        double before = face_reflection(1 / std::hypot(1, n), n);
        for (double cosine = 1 / std::hypot(1, n); cosine > 0; cosine -= 0.01) {
            CHECK(face_reflection(cosine, n) >= before);
            before = face_reflection(cosine, n);
        }
    }
}

TEST_CASE("camera: the pixels of an image fill the pyramid that it looks into") {
    // 4 asin(a b / sqrt((1 + a^2)(1 + b^2))) of the half sides' tangents a and b.
    for (const double field_deg : {20.0, 50.0, 90.0, 120.0}) {
        const Camera camera =
            make_camera({"test", {0, 0, 2}, {3, 4, 1}, radians_from_degrees(field_deg)}, 240, 160);
        double sum = 0;
        for (int y = 0; y < 160; ++y)
            for (int x = 0; x < 240; ++x)
                sum += camera.solid_angle_at({x + 0.5, y + 0.5});
        const double a = std::tan(radians_from_degrees(field_deg) / 2), b = a * 160 / 240;
        CHECK(sum ==
              doctest::Approx(4 * std::asin(a * b / std::sqrt((1 + a * a) * (1 + b * b)))).epsilon(1e-3));
    }
}

TEST_CASE("camera: with a lens that bends and an axis off the middle, places and directions still agree") {
    Random random(3);
    for (int i = 0; i < 300; ++i) {
        Camera camera = make_camera({"test", {1, 2, 3}, {1, 9, 2}, random.uniform(0.5, 1.2)}, 400, 300);
        camera.axis_offset = {random.uniform(-40, 40), random.uniform(-40, 40)};
        camera.distortion = random.uniform(-0.12, 0.12);
        const glm::dvec2 place(random.uniform(20, 380), random.uniform(20, 280));
        const glm::dvec3 direction = camera.direction_at(place);
        const auto back = camera.project(camera.eye + random.uniform(1, 30) * direction);
        REQUIRE(back);
        CHECK(glm::distance(*back, place) < 1e-4);
        // Tangents t fall where t (1 + k t^2) would (Brown 1971).
        const double tangent = std::tan(std::acos(glm::dot(direction, camera.forward)));
        const glm::dvec2 middle = glm::dvec2(200, 150) + camera.axis_offset;
        CHECK(glm::distance(place, middle) / camera.pixels_per_tangent ==
              doctest::Approx(tangent * (1 + camera.distortion * tangent * tangent)).epsilon(1e-6));
    }
    const Camera ahead = make_camera({"test", {0, 0, 2}, {0, 9, 2}, 1.0}, 400, 300);
    CHECK(glm::distance(ahead.direction_at({200, 150}), ahead.forward) < 1e-12);
}

TEST_CASE("camera: straight up and down north is up, and what is no view is refused") {
    for (const double way : {1.0, -1.0}) {
        const Camera camera = make_camera({"test", {0, 0, 5}, {0, 0, 5 + way}, 1.0}, 40, 30);
        CHECK(camera.forward.z == doctest::Approx(way));
        CHECK(camera.up.y == doctest::Approx(1));
        CHECK(glm::distance(glm::cross(camera.right, camera.forward), camera.up) < 1e-12);
    }
    const View sound{"test", {0, 0, 2}, {0, 9, 2}, 1.0};
    CHECK_NOTHROW(make_camera(sound, 1, 1));
    View at_itself = sound, wide = sound, narrow = sound;
    at_itself.look_at = sound.eye;
    wide.field_of_view = pi;
    narrow.field_of_view = 0;
    CHECK_THROWS_AS(make_camera(at_itself, 4, 3), InputError);
    CHECK_THROWS_AS(make_camera(wide, 4, 3), InputError);
    CHECK_THROWS_AS(make_camera(narrow, 4, 3), InputError);
    CHECK_THROWS_AS(make_camera(sound, 0, 3), InputError);
    CHECK_THROWS_AS(make_camera(sound, 4, 0), InputError);
}
