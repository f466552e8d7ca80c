// A photo's camera from its parameters, against plane trigonometry.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/photo/photo_file.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr glm::ivec2 frame_size{960, 640};
const glm::dvec3 eye{3, -7, 1.6};

void check_place(const Camera& camera, const glm::dvec3& place, double right, double down) {
    const auto found = camera.project(place);
    REQUIRE(found);
    CHECK(found->x == doctest::Approx(480 + right));
    CHECK(found->y == doctest::Approx(320 + down));
}

} // namespace

TEST_CASE("a camera's azimuth runs clockwise from north, and its pitch above level") {
    const Camera north = take_photo(frame_size, eye, 0, 0, 0, 700);
    // By similar triangles: 2 m to the east and 1 m up, 10 m off.
    check_place(north, eye + glm::dvec3(2, 10, 1), 140, -70);
    CHECK(!north.project(eye + glm::dvec3(0, -1, 0)));
    const Camera east = take_photo(frame_size, eye, 90, 0, 0, 700);
    check_place(east, eye + glm::dvec3(10, -2, 1), 140,
                -70); // south lies to the right of somebody facing east
    // The horizon moves down by the tangent of the pitch.
    const Camera up = take_photo(frame_size, eye, 0, 10, 0, 700);
    check_place(up, eye + glm::dvec3(0, 1000, 0), 0, 700 * std::tan(radians_from_degrees(10.0)));
    const Camera down = take_photo(frame_size, eye, 135, -20, 0, 700);
    const double side = 1000 / std::sqrt(2.0);
    check_place(down, eye + glm::dvec3(side, -side, 0), 0, -700 * std::tan(radians_from_degrees(20.0)));
}

TEST_CASE("a camera rolled counter-clockwise shows the horizon falling to the right") {
    const double roll = radians_from_degrees(8.0);
    const Camera camera = take_photo(frame_size, eye, 0, 0, 8, 700);
    check_place(camera, eye + glm::dvec3(0, 10, 0), 0, 0);
    check_place(camera, eye + glm::dvec3(2, 10, 0), 140 * std::cos(roll), 140 * std::sin(roll));
    check_place(camera, eye + glm::dvec3(0, 10, 2), 140 * std::sin(roll), -140 * std::cos(roll));
    for (const double azimuth : {0.0, 77.0, 200.0, 341.0}) {
        const Camera any = take_photo(frame_size, eye, azimuth, 12, -30, 700);
        CHECK(glm::distance(glm::cross(any.right, any.forward), any.up) < 1e-12);
        CHECK(glm::length(any.forward) == doctest::Approx(1));
        CHECK(glm::length(any.right) == doctest::Approx(1));
    }
}

TEST_CASE("a model has the parameters that it was asked for, and no others") {
    struct Row {
        bool has_axis, has_distortion, has_stretch;
        int count, axis, distortion, stretch;
    };
    for (const Row& row : {Row{false, false, false, 7, -1, -1, -1}, Row{true, false, false, 9, 7, -1, -1},
                           Row{false, true, false, 8, -1, 7, -1}, Row{false, false, true, 8, -1, -1, 7},
                           Row{true, true, true, 11, 7, 9, 10}}) {
        const CameraModel model(frame_size, row.has_axis, row.has_distortion, row.has_stretch);
        CHECK(model.parameter_count() == row.count);
        CHECK(model.axis() == row.axis);
        CHECK(model.distortion() == row.distortion);
        CHECK(model.stretch_index() == row.stretch);
    }
    const CameraModel all(frame_size, true, true, true);
    const std::vector<double> parameters{
        0, 0, 2, 0, 0, 0, std::log(700.0), 0.05, -0.02, -0.08, std::log(3.5)};
    const Camera camera = all.camera(parameters);
    CHECK(all.stretch(parameters) == doctest::Approx(3.5));
    CHECK(CameraModel(frame_size, true, true, false).stretch(parameters) == 1);
    // The axis counts in widths of the picture, right and down.
    const auto ahead = camera.project({0, 10, 2});
    REQUIRE(ahead);
    CHECK(ahead->x == doctest::Approx(480 + 48));
    CHECK(ahead->y == doctest::Approx(320 - 19.2));
    // Brown 1971, first radial term: a tangent of 0.5 falls where 0.5 (1 - 0.08 * 0.25) would.
    const auto aside = camera.project({5, 10, 2});
    REQUIRE(aside);
    CHECK(aside->x == doctest::Approx(480 + 48 + 700 * 0.5 * (1 - 0.08 * 0.25)));
}

TEST_CASE("a 35-mm focal length is of a picture 36 mm wide, upright or on its side") {
    CHECK(focal_in_pixels({3600, 2400}, 50) == 5000);
    CHECK(focal_in_pixels({2400, 3600}, 50) == 5000);
    // 18 mm each side of the axis at 18 mm: half the field of view is 45 degrees.
    const double focal = focal_in_pixels(frame_size, 18);
    const Camera camera = take_photo(frame_size, eye, 0, 0, 0, focal);
    const glm::dvec3 edge = camera.direction_at({960, 320});
    CHECK(degrees_from_radians(std::atan2(edge.x, edge.y)) == doctest::Approx(45));
}

TEST_CASE("residuals are the mark less its place, and metres at the mark's distance") {
    // Nine marks that agree and one moved by 3 pixels: least squares leaves most of that on the one.
    const Camera truth = take_photo(frame_size, feet(8, -46, 5.4), 10.5, 3.9, 0.4, 725);
    std::vector<Mark> marks = mark(truth, front_places());
    const glm::dvec2 error(3, -2);
    marks[4].pixel += error;
    const CameraFit fit = fit_camera(frame_size, marks, {.focal_px = 725});
    REQUIRE(fit.marks.size() == marks.size());
    const Camera camera = fit.camera();
    for (std::size_t i = 0; i < marks.size(); ++i) {
        CAPTURE(i);
        CHECK(fit.marks[i].id == marks[i].id);
        const glm::dvec2 off = marks[i].pixel - *camera.project(marks[i].place);
        CHECK(glm::distance(fit.marks[i].off_px, off) < 1e-6);
        const double depth = glm::dot(marks[i].place - camera.eye, camera.forward);
        CHECK(fit.marks[i].off_m ==
              doctest::Approx(glm::length(off) * depth / camera.pixels_per_tangent).epsilon(1e-6));
        if (i != 4)
            CHECK(glm::length(off) < glm::length(fit.marks[4].off_px));
    }
    // Left out, it is off by what it was moved, as the others agree exactly.
    CHECK(fit.marks[4].without_px == doctest::Approx(glm::length(error)).epsilon(0.1));
    CHECK(!fit.is_flat);
    std::vector<Mark> flat(marks.begin(), marks.begin() + 8);
    flat[4].pixel -= error;
    CHECK(fit_camera(frame_size, flat, {.focal_px = 725}).is_flat);
}

TEST_CASE("a click is better known the better the marks agree") {
    const Camera truth = take_photo(frame_size, feet(8, -46, 5.4), 10.5, 3.9, 0.4, 725);
    const auto click_of = [&](double noise_px) {
        std::mt19937_64 random(21);
        double sum = 0;
        for (int trial = 0; trial < 20; ++trial)
            sum += fit_camera(frame_size, mark(truth, front_places(), noise_px, &random), {.focal_px = 725})
                       .click_px;
        return sum / 20;
    };
    const double exact = click_of(0), usual = click_of(1), poor = click_of(3);
    MESSAGE("a click's deviation, pixels: " << exact << ", " << usual << ", " << poor);
    CHECK(exact < usual);
    CHECK(usual == doctest::Approx(1).epsilon(0.15)); // what the marks were given
    CHECK(poor > 1.8);
    CHECK(poor < 3.3);
}
