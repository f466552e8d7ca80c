// Where an eye may be, tried place by place round a house, a bay and a body, against their outlines.

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "../folder.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/view/camera.hpp"
#include "duskcast/view/elevation.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

bool may_be(const Stage& stage, const glm::dvec3& eye, const glm::dvec3& look_at) {
    try {
        check_eye(stage, {"test", eye, look_at, 1.0});
        return true;
    } catch (const InputError&) {
        return false;
    }
}

/// A house of 6 m by 4 m with a bay of 2 m by 1 m, and a box of 1 m that stands before it.
std::unique_ptr<Stage> make_stage() {
    const test::Folder folder;
    folder.write("box.obj", "v -0.5 -0.5 0\nv 0.5 -0.5 0\nv 0.5 0.5 0\nv -0.5 0.5 0\n"
                            "v -0.5 -0.5 1\nv 0.5 -0.5 1\nv 0.5 0.5 1\nv -0.5 0.5 1\n"
                            "f 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\nf 5 6 7 8\nf 4 3 2 1\n");
    Site site{.is_as_new = true};
    site.sensor_spacing = 0.5;
    Wall house{.id = "house", .path = {{0, 0}, {6, 0}, {6, 4}, {0, 4}}, .closed = true};
    house.height = 3;
    house.projections = {{.id = "bay", .from = 2, .width = 2, .depth = 1, .bottom = 0, .height = 2.5}};
    site.walls = {house};
    Mesh box{.id = "box", .file = "box.obj", .up = UpAxis::z};
    box.at = {1, -4, 0};
    site.meshes = {box};
    return build_stage(site, folder.path());
}

double distance_to_box(const glm::dvec2& point, double left, double bottom, double right, double top) {
    const glm::dvec2 off(std::max({left - point.x, 0.0, point.x - right}),
                         std::max({bottom - point.y, 0.0, point.y - top}));
    return glm::length(off);
}

} // namespace

TEST_CASE("eyes: outside the house, its bay and a body they may be, inside they may not") {
    const auto stage = make_stage();
    int inside = 0, outside = 0;
    for (double x = -2.03; x < 8; x += 0.37)
        for (double y = -5.51; y < 6; y += 0.37) {
            const glm::dvec2 at(x, y);
            const double house = distance_to_box(at, 0, 0, 6, 4), bay = distance_to_box(at, 2, -1, 4, 0);
            const double box = distance_to_box(at, 0.5, -4.5, 1.5, -3.5);
            const double nearest = std::min({house, bay, box});
            const double walls = std::min({std::abs(x), std::abs(x - 6), std::abs(y), std::abs(y - 4)});
            if ((nearest > 0 && nearest < 0.03) || (nearest == 0 && walls < 0.03))
                continue; // at a face, which is refused by itself
            CAPTURE(x);
            CAPTURE(y);
            // Looks at the middle of the front from wherever it is, and from behind at the back.
            const glm::dvec3 eye(at, 0.8);
            const glm::dvec3 look_at = y < 2 ? glm::dvec3(3, 2, 0.8) : glm::dvec3(3, 2.1, 0.8);
            const bool is_inside = nearest == 0;
            CHECK(may_be(*stage, eye, look_at) == !is_inside);
            (is_inside ? inside : outside) += 1;
        }
    CHECK(inside > 50);
    CHECK(outside > 300);
    CHECK_FALSE(may_be(*stage, {3, -6, -0.1}, {3, 0, 1})); // below the ground
    CHECK(may_be(*stage, {3, -6, 0.1}, {3, 0, 1}));
    CHECK(may_be(*stage, {1, -4, 1.2}, {3, 0, 1})); // on the box
}

TEST_CASE("eyes: two centimetres from a wall is too near") {
    const auto stage = make_stage();
    for (const double away : {0.005, 0.015, 0.019})
        CHECK_FALSE(may_be(*stage, {5, -away, 1}, {5, -9, 1}));
    for (const double away : {0.025, 0.1, 1.0})
        CHECK(may_be(*stage, {5, -away, 1}, {5, -9, 1}));
}

TEST_CASE("camera: a view turned about the eye turns its directions, and keeps their places") {
    // The direction through a place on the image, by hand: across and down from the middle in tangents.
    for (int turn = 0; turn < 16; ++turn) {
        CAPTURE(turn);
        const double azimuth = turn * pi / 8, field = radians_from_degrees(60);
        const glm::dvec3 eye(3, 4, 1.5), ahead(std::sin(azimuth), std::cos(azimuth), 0);
        const Camera camera = make_camera({"v", eye, eye + 7.0 * ahead, field}, 200, 100);
        const glm::dvec3 right(ahead.y, -ahead.x, 0);
        for (const glm::dvec2 place : {glm::dvec2(0, 50), {200, 50}, {100, 0}, {30, 90}}) {
            const double tangent = std::tan(field / 2) / 100; // half the width is half the field
            const glm::dvec3 wanted = glm::normalize(ahead + (place.x - 100) * tangent * right -
                                                     (place.y - 50) * tangent * glm::dvec3(0, 0, 1));
            CHECK(glm::distance(camera.direction_at(place), wanted) < 1e-12);
        }
        // Whoever looks that way has what is to the right of it on the right half.
        const auto seen = camera.project(eye + 5.0 * ahead + 0.5 * right);
        REQUIRE(seen);
        CHECK(seen->x > 100);
        CHECK(seen->y == doctest::Approx(50));
    }
}

TEST_CASE("elevation: a box seen from any side is as wide as its shadow, and turned with its lamp the same") {
    // A square of 1 m seen from an angle a off its side is |cos a| + |sin a| wide.
    const test::Folder folder;
    folder.write("box.obj", "v -0.5 -0.5 0\nv 0.5 -0.5 0\nv 0.5 0.5 0\nv -0.5 0.5 0\n"
                            "v -0.5 -0.5 2\nv 0.5 -0.5 2\nv 0.5 0.5 2\nv -0.5 0.5 2\n"
                            "f 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\nf 5 6 7 8\nf 4 3 2 1\n");
    const auto elevation_of = [&](double turn, double azimuth) {
        Site site{.is_as_new = true};
        Mesh box{.id = "box", .file = "box.obj", .up = UpAxis::z};
        box.turn = turn;
        site.meshes = {box};
        const auto stage = build_stage(site, folder.path());
        Lighting lighting{.stage = stage.get()};
        // A lamp 3 m off to the south-east, turned with the box.
        const double lamp = 0.75 * pi + turn;
        lighting.fixtures.push_back(test::make_point(
            "L", {static_cast<float>(3 * std::sin(lamp)), static_cast<float>(3 * std::cos(lamp)), 0.5f}));
        return trace_elevation(*stage, lighting, "box", azimuth, 60);
    };
    for (const double azimuth : {0.0, 0.2, 0.25 * pi, 1.0, pi, 4.0}) {
        CAPTURE(azimuth);
        const Elevation still = elevation_of(0, azimuth);
        CHECK(still.width * still.step ==
              doctest::Approx(std::abs(std::cos(azimuth)) + std::abs(std::sin(azimuth))).epsilon(0.04));
        CHECK(still.height * still.step == doctest::Approx(2).epsilon(0.02));
        const Elevation turned = elevation_of(0.5 * pi, azimuth + 0.5 * pi);
        REQUIRE(turned.width == still.width);
        REQUIRE(turned.height == still.height);
        double sum = 0, off = 0;
        for (std::size_t i = 0; i < still.lux.size(); ++i) {
            sum += std::max(0.0f, still.lux[i]);
            off += std::abs(still.lux[i] - turned.lux[i]);
        }
        CHECK(off <= 0.01 * sum + 1e-3 * static_cast<double>(still.lux.size()));
    }
}
