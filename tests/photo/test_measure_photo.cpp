// What clicks measure, and how well, against similar triangles.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/photo/photo_report.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr glm::ivec2 measured_size{900, 600};
constexpr double measured_focal = 600, eye_height = 1.5;

/// Level, 10 m south of the plan's origin, facing north.
CameraFit level_fit() {
    return certain_fit(measured_size, {0, -10, eye_height}, 0, 0, 0, measured_focal);
}

/// Places in pixels off the middle.
glm::dvec2 pixel(double right, double down) {
    return glm::dvec2(450 + right, 300 + down);
}

Wall make_wall(const std::string& id, std::vector<glm::dvec2> path, double height) {
    return Wall{.id = id, .path = std::move(path), .height = height, .finish = {}};
}

} // namespace

TEST_CASE("the ground under a click is as far off as the horizon is above it") {
    const CameraFit fit = level_fit();
    for (const double down : {20.0, 60.0, 150.0, 290.0})
        for (const double right : {-300.0, 0.0, 120.0}) {
            CAPTURE(down);
            CAPTURE(right);
            const auto found = measure_on_plane(fit, pixel(right, down), {0, 0, 0}, {0, 0, 1});
            REQUIRE(found);
            const double distance = eye_height * measured_focal / down;
            CHECK(found->place.x == doctest::Approx(eye_height * right / down));
            CHECK(found->place.y == doctest::Approx(distance - 10));
            CHECK(std::abs(found->place.z) < 1e-9);
            // A pixel down is d^2 / (h f) of distance; a plane has no error across itself.
            CHECK(found->deviation({0, 1, 0}) ==
                  doctest::Approx(distance * distance / (eye_height * measured_focal)).epsilon(1e-3));
            CHECK(found->deviation({0, 0, 1}) < 1e-6);
            if (right == 0)
                CHECK(found->deviation({1, 0, 0}) ==
                      doctest::Approx(distance / measured_focal).epsilon(1e-3));
        }
}

TEST_CASE("what the camera is not sure of widens what it measures, as trigonometry says") {
    const glm::dvec2 click = pixel(0, 60);
    const double distance = eye_height * measured_focal / 60; // 15 m
    struct Row {
        int parameter;
        double deviation, along; ///< along the line of sight on the ground, metres
    };
    for (const Row& row :
         {Row{CameraModel::eye_z, 0.2, distance / eye_height * 0.2}, Row{CameraModel::eye_y, 0.3, 0.3},
          Row{CameraModel::pitch, 0.01, (distance * distance + eye_height * eye_height) / eye_height * 0.01},
          Row{CameraModel::log_focal, 0.03, distance * 0.03}, Row{CameraModel::azimuth, 0.02, 0}}) {
        CAPTURE(row.parameter);
        CameraFit fit = level_fit();
        fit.click_px = 0;
        set_deviation(fit, row.parameter, row.deviation);
        CHECK(fit.deviation(row.parameter) == doctest::Approx(row.deviation));
        const auto found = measure_on_plane(fit, click, {0, 0, 0}, {0, 0, 1});
        REQUIRE(found);
        CHECK(found->deviation({0, 1, 0}) == doctest::Approx(row.along).epsilon(1e-3));
        // An azimuth turns the place about the eye.
        const double across = row.parameter == CameraModel::azimuth ? distance * row.deviation : 0;
        CHECK(found->deviation({1, 0, 0}) == doctest::Approx(across).epsilon(1e-3));
    }
    // Independent doubts add by their squares.
    CameraFit both = level_fit();
    both.click_px = 0;
    set_deviation(both, CameraModel::eye_y, 0.3);
    set_deviation(both, CameraModel::eye_z, 0.04);
    const auto found = measure_on_plane(both, click, {0, 0, 0}, {0, 0, 1});
    REQUIRE(found);
    CHECK(found->deviation({0, 1, 0}) == doctest::Approx(0.5).epsilon(1e-3)); // 0.3 and 10 * 0.04
}

TEST_CASE("nothing is measured at the horizon, above it, behind the eye or farther than 500 m") {
    const CameraFit fit = level_fit();
    const auto on_ground = [&](double down) {
        return measure_on_plane(fit, pixel(0, down), {0, 0, 0}, {0, 0, 1}).has_value();
    };
    CHECK(!on_ground(-50));
    CHECK(!on_ground(0));
    CHECK(!on_ground(1.79)); // 900 / 1.79 = 503 m
    CHECK(on_ground(1.81));  // 497 m
    CHECK(!measure_on_plane(fit, pixel(0, 0), {0, -20, 0}, {0, 1, 0}));
    CHECK(measure_on_plane(fit, pixel(0, 0), {0, 20, 0}, {0, -1, 0}));
}

TEST_CASE("a click on ground that falls meets its plane, and none where a terrace's side hides the ground") {
    // Level up to 8 m before the eye, from there 0.15 m up in every metre, to an edge 14 m off.
    Site site;
    site.ground.areas = {{.id = "bank",
                          .outline = {{-3, -2}, {3, -2}, {3, 4}, {-3, 4}},
                          .height = 0.9,
                          .fall = GroundFall{.towards = radians_from_degrees(180)}}};
    const CameraFit fit = level_fit();
    // 1.5 - m d = 0.15 (d - 8), m being the pixels down over the focal length.
    for (const double down : {40.0, 60.0, 90.0}) {
        CAPTURE(down);
        const double m = down / measured_focal, distance = 2.7 / (0.15 + m);
        const Click click = measure_click(site, fit, pixel(60, down));
        REQUIRE(click.on_ground);
        CHECK(click.on_ground->place.x == doctest::Approx(60 * distance / measured_focal));
        CHECK(click.on_ground->place.y == doctest::Approx(distance - 10));
        CHECK(click.on_ground->place.z == doctest::Approx(0.15 * (distance - 8)));
        CHECK(click.on_ground->deviation({0, 1, 0}) ==
              doctest::Approx(2.7 / std::pow(0.15 + m, 2) / measured_focal).epsilon(1e-3));
    }
    CHECK(measure_click(site, fit, pixel(0, 150)).on_ground->place.y == doctest::Approx(-4)); // before it
    CHECK(measure_click(site, fit, pixel(0, 24)).on_ground->place.y ==
          doctest::Approx(27.5));                                                             // past its edge
    CHECK(measure_click(site, fit, pixel(300, 60)).on_ground->place.y == doctest::Approx(5)); // beside it
    // 0.3 m above the ground: 1.2 - m d = 0.15 (d - 8).
    const auto above = find_ground(site.ground, fit, pixel(0, 60), 0.3);
    REQUIRE(above);
    CHECK(measure_on_plane(fit, pixel(0, 60), above->point, above->normal)->place.y ==
          doctest::Approx(9.6 - 10));
    // Something upright there, 10.8 m off: its foot is 0.42 m up, its top 2.7 m above the eye.
    const auto ground = find_ground(site.ground, fit, pixel(0, 60));
    REQUIRE(ground);
    const auto upright = measure_height(fit, pixel(0, 60), pixel(0, -150), *ground);
    REQUIRE(upright);
    CHECK(upright->foot.z == doctest::Approx(0.42));
    CHECK(upright->height == doctest::Approx(1.5 + 2.7 - 0.42));
    // A level terrace half a metre high: its front, 75 to 112.5 pixels under the horizon, is no ground.
    site.ground.areas[0].height = 0.5;
    site.ground.areas[0].fall.reset();
    CHECK(!measure_click(site, fit, pixel(0, 90)).on_ground);
    CHECK(!measure_click(site, fit, pixel(0, 110)).on_ground);
    CHECK(measure_click(site, fit, pixel(0, 60)).on_ground->place.y == doctest::Approx(0)); // on its top
    CHECK(measure_click(site, fit, pixel(0, 120)).on_ground->place.y == doctest::Approx(-2.5));
}

TEST_CASE("something upright is as high as its share of its foot's distance below the horizon") {
    const CameraFit fit = level_fit();
    // A foot 75 pixels under the horizon is 12 m off, where a pixel is 2 cm.
    const auto found = measure_height(fit, pixel(90, 75), pixel(90, -225));
    REQUIRE(found);
    CHECK(found->foot.x == doctest::Approx(1.8));
    CHECK(found->foot.y == doctest::Approx(2));
    CHECK(found->height == doctest::Approx(6));
    // H = h + d t: of the top's pixel d / f, of the foot's (d^2 / h f) (H - h) / d = (d / f) (H - h) / h.
    CHECK(found->deviation == doctest::Approx(0.02 * std::hypot(1.0, 4.5 / 1.5)).epsilon(0.01));
    // On ground that lies 0.5 m higher the same clicks are nearer and lower.
    const auto raised = measure_height(fit, pixel(90, 75), pixel(90, -225), {{0, 0, 0.5}});
    REQUIRE(raised);
    CHECK(raised->foot.y == doctest::Approx(8 - 10));
    CHECK(raised->foot.z == doctest::Approx(0.5));
    CHECK(raised->height == doctest::Approx(4));
    // A top that is not quite above the foot: the nearest point of the upright to the line of sight.
    const auto leaning = measure_height(fit, pixel(0, 75), pixel(30, -225));
    REQUIRE(leaning);
    const double cosine_square = 1 / (1 + 0.05 * 0.05);
    CHECK(leaning->height == doctest::Approx(1.5 + 4.5 * cosine_square).epsilon(1e-6));
    CHECK(!measure_height(fit, pixel(0, -10), pixel(0, -225))); // a foot in the sky
    CameraFit steep = certain_fit(measured_size, {0, -10, 3}, 0, 80, 0, measured_focal);
    CHECK(!measure_height(steep, {450, 5000}, {450, 0})); // a top behind the photographer's back
}

TEST_CASE("a mark on a wall is placed along its run, round its corners and above its foot") {
    Site site;
    Wall wall = make_wall("house", {{0, 0}, {6, 0}, {6, 4}}, 3);
    wall.foot = 0.5;
    site.walls = {wall};
    const auto place = [&](double along, double up) {
        PhotoMark mark{.id = "m", .wall = "house", .along = along, .up = up};
        return place_of(site, mark);
    };
    CHECK(glm::distance(place(2, 1), glm::dvec3(2, 0, 1.5)) < 1e-12);
    CHECK(glm::distance(place(6, 0), glm::dvec3(6, 0, 0.5)) < 1e-12);
    CHECK(glm::distance(place(7.5, 2), glm::dvec3(6, 1.5, 2.5)) < 1e-12);
    PhotoMark free{.id = "f", .at = glm::dvec3(1, -3, 0.2)};
    CHECK(place_of(site, free) == glm::dvec3(1, -3, 0.2));
}

TEST_CASE("a click falls on the nearest wall that it meets, or on the ground before it") {
    Site site;
    Wall low = make_wall("low", {{-2, -4}, {2, -4}}, 1); // 6 m off: a pixel is 1 cm
    Wall high = make_wall("high", {{-5, 2}, {5, 2}}, 4); // 12 m off: 2 cm
    Wall gabled = make_wall("gabled", {{-5, 8}, {5, 8}}, 4);
    gabled.gables = {Gable{.id = "g", .from = 2, .width = 6, .peak = 7}};
    site.walls = {high, low, gabled};
    const CameraFit fit = level_fit();
    const auto wall_at = [&](double right, double down) {
        const Click click = measure_click(site, fit, pixel(right, down));
        return click.on_wall ? click.on_wall->wall : "";
    };
    const Click on_low = measure_click(site, fit, pixel(100, 90));
    REQUIRE(on_low.on_wall);
    CHECK(on_low.on_wall->wall == "low");
    CHECK(on_low.on_wall->along == doctest::Approx(3));
    CHECK(on_low.on_wall->up == doctest::Approx(0.6));
    CHECK(on_low.on_wall->along_deviation == doctest::Approx(0.01).epsilon(1e-3));
    CHECK(on_low.on_wall->up_deviation == doctest::Approx(0.01).epsilon(1e-3));
    CHECK(!on_low.on_ground); // it would lie behind the wall
    const Click over_low = measure_click(site, fit, pixel(100, 40));
    REQUIRE(over_low.on_wall);
    CHECK(over_low.on_wall->wall == "high");
    CHECK(over_low.on_wall->along == doctest::Approx(7));
    CHECK(over_low.on_wall->up == doctest::Approx(0.7));
    const Click before = measure_click(site, fit, pixel(100, 200));
    CHECK(!before.on_wall);
    REQUIRE(before.on_ground);
    CHECK(before.on_ground->place.y == doctest::Approx(4.5 - 10));
    CHECK(wall_at(-190, 90) == "low");
    CHECK(wall_at(-210, 60) == "high"); // past its end
    // Above the eave of 4 m only what the gable's slopes enclose is wall: 18 m off, peak 7 m.
    CHECK(wall_at(0, -200 * (6.9 - 1.5) / 6) == "gabled");
    CHECK(wall_at(0, -200 * (7.1 - 1.5) / 6).empty());
    // Half-way up the slope the triangle is half as wide: 1.5 m each side.
    CHECK(wall_at(1.45 * measured_focal / 18, -4.0 * measured_focal / 18) == "gabled");
    CHECK(wall_at(1.55 * measured_focal / 18, -4.0 * measured_focal / 18).empty());
    // From behind a wall is not a wall: its outside is to the south.
    const CameraFit from_north = certain_fit(measured_size, {0, 20, eye_height}, 180, 0, 0, measured_focal);
    CHECK(!measure_click(site, from_north, pixel(0, 0)).on_wall);
}

TEST_CASE("pixels are so many numbers with commas between, and every one has a place") {
    CHECK(read_pixels("480,302", 2) == std::vector<double>{480, 302});
    CHECK(read_pixels("127, 491, -144.5, 30", 4) == std::vector<double>{127, 491, -144.5, 30});
    for (const char* text : {"", "480", "480,", ",302", "480,302,", "480,302,1", "480;302", "480,302px",
                             "nan,302", "480,inf", "1e999,302"})
        CHECK_THROWS_AS(read_pixels(text, 2), InputError);
    CHECK_THROWS_AS(read_pixels("480,302", 4), InputError);
}
