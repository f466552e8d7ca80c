// Views: luminance, perspective, errors.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/view/view_trace.hpp"
#include "folder.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

View make_view(const glm::dvec3& eye, const glm::dvec3& look_at, double field_deg) {
    return {"test", eye, look_at, radians_from_degrees(field_deg)};
}

/// A wall 10 m long, 4 m high, seen from the south.
std::unique_ptr<Stage> make_wall_stage(const glm::dvec3& reflectance) {
    Site site{.is_as_new = true};
    Wall wall;
    wall.id = "wall";
    wall.path = {{0, 0}, {10, 0}};
    wall.height = 4;
    wall.finish = {"", reflectance};
    site.walls = {wall};
    site.sensor_spacing = 1;
    site.ground_spacing = 2;
    return build_stage(site, ".");
}

/// A leaf of one square metre standing in the plane y = 0.
Stage make_leaf_stage() {
    Stage stage;
    stage.materials.push_back({.name = "leaf",
                               .reflectance = glm::vec3(0.1f, 0.2f, 0.3f),
                               .transmittance = glm::vec3(0.05f, 0.1f, 0.02f)});
    stage.leaves.corners = {{-0.7f, 0, 2}, {0, 0, 1.3f}, {0.7f, 0, 2}, {0, 0, 2.7f}};
    stage.leaves.material = {0};
    stage.leaves.surface = {0};
    stage.surfaces.push_back({.id = "leaf", .kind = SurfaceKind::tree, .part_of = "leaf"});
    stage.kernel = std::make_unique<RayKernel>(stage.opaque, stage.cutouts, stage.leaves, stage.materials,
                                               stage.textures);
    return stage;
}

std::string message_of(const std::function<void()>& call) {
    try {
        call();
    } catch (const InputError& error) {
        return error.what();
    }
    return "";
}

} // namespace

TEST_CASE("view: an upright edge is seen where it stands, not a tenth of a pixel beside") {
    // The edge of a lit pane falls between pixels in 40 places; the light of the pixels about it, over the
    // pane's, says where it is. Central projection: x = f X / d.
    Site site;
    Wall wall;
    wall.id = "wall";
    wall.path = {{0, 0}, {20, 0}};
    wall.height = 4;
    wall.finish = {"", glm::dvec3(0)};
    wall.openings = {{.id = "pane",
                      .from = 10,
                      .width = 6,
                      .sill = 0,
                      .height = 4,
                      .reveal = 0,
                      .finish = {"", glm::dvec3(0)},
                      .glow = Glow{.luminance = 1}}};
    site.walls = {wall};
    site.sensor_spacing = 1;
    site.ground_spacing = 2;
    const auto stage = build_stage(site, ".");
    double sum = 0;
    constexpr int places = 40;
    for (int i = 0; i < places; ++i) {
        const double pixel = 10 * std::tan(radians_from_degrees(10)) / 25; // on the wall
        const double shift = pixel * i / places;
        const Camera camera = make_camera(make_view({10 - shift, -10, 2}, {10 - shift, 0, 2}, 20), 50, 4);
        const ViewImage image = trace_view(*stage, {}, camera, 0);
        double dark = 0; // pixels left of the edge, in light
        for (int x = 0; x < 50; ++x)
            dark += 1 - luminance_of(glm::dvec3(image.luminance[image.pixel_at(x, 2)]));
        sum += dark - (25 + camera.pixels_per_tangent * shift / 10);
    }
    CHECK(std::abs(sum / places) < 0.03);
}

TEST_CASE("view: what glows is seen with its luminance, and lights what is before it") {
    // Luminance does not change with distance or angle (Lambert); E on the ground by the factor of a
    // rectangle before a corner, square to it, twice (Howell's catalogue), L = rho E / pi.
    Site site;
    Wall wall;
    wall.id = "wall";
    wall.path = {{0, 0}, {10, 0}};
    wall.height = 4;
    wall.openings = {{.id = "window",
                      .from = 4,
                      .width = 2,
                      .sill = 0,
                      .height = 2,
                      .reveal = 0,
                      .finish = {"", glm::dvec3(0)},
                      .glow = Glow{.luminance = 70, .cct = 3000}}};
    site.walls = {wall};
    site.sensor_spacing = 1;
    site.ground_spacing = 2;
    const auto stage = build_stage(site, ".");
    const Camera camera = make_camera(make_view({7, -6, 2}, {5, 0, 1}, 20), 101, 61);
    const ViewImage image = trace_view(*stage, {}, camera, 0);
    const glm::dvec3 pane(image.luminance[image.pixel_at(50, 30)]);
    CHECK(luminance_of(pane) == doctest::Approx(70).epsilon(1e-4));
    CHECK(pane.r == doctest::Approx(70 * light_colour(3000).r).epsilon(1e-4));
    const double c = 1.5, a = 2, b = 1, far_edge = std::hypot(a, c);
    const double factor = 2 * (std::atan(b / c) - c / far_edge * std::atan(b / far_edge)) / (2 * pi);
    const Camera down = make_camera(make_view({5, -3, 2}, {5, -1.5, 0}, 2), 11, 11);
    const ViewImage ground = trace_view(*stage, {}, down, 0);
    const double rho = luminance_of(finish_of(GroundKind::lawn).reflectance * light_colour(3000));
    CHECK(luminance_of(glm::dvec3(ground.luminance[ground.pixel_at(5, 5)])) ==
          doctest::Approx(70 * factor * rho).epsilon(0.01));
    // From behind there is nothing to see.
    const Camera behind = make_camera(make_view({5, 3, 1}, {5, 0, 1}, 20), 11, 11);
    CHECK(trace_view(*stage, {}, behind, 0).luminance[60] == glm::vec3(0));
}

TEST_CASE("view: a picture without the sun is the night of one with it") {
    Site site{.is_as_new = true};
    site.walls = {{.id = "wall", .path = {{0, 0}, {4, 0}}, .height = 3}};
    site.sensor_spacing = 0.5;
    site.ground_spacing = 2;
    const auto stage = build_stage(site, ".");
    const LitFixture lamp = test::make_point("L", {2, -0.6f, 0.2f});
    const Camera camera = make_camera(make_view({2, -5, 1.6}, {2, 0, 1.2}, 60), 48, 32);
    const ViewImage day = trace_view(*stage, {lamp}, camera, 0.1, {}, {}, nullptr, Detail::fine);
    const ViewImage night = trace_view(*stage, {lamp}, camera, 0.1, {}, {}, nullptr, Detail::fine_by_night);
    CHECK(night.drawn_sun().empty());
    double sum = 0, apart = 0;
    for (std::size_t i = 0; i < day.luminance.size(); ++i) { // a shadow's edge by day takes more rays
        const double a = luminance_of(glm::dvec3(day.drawn_luminance()[i])),
                     b = luminance_of(glm::dvec3(night.drawn_luminance()[i]));
        sum += a, apart += std::abs(a - b);
    }
    CHECK(sum > 0);
    CHECK(apart < 0.005 * sum);
}

TEST_CASE("view: faint light of what glows is read off between patches and looks as if it were traced") {
    // A porch light 12 m off gives a wall at most 0.08 lx; with shadow rays and without the picture is the
    // same but for the edges of shadows, brick by brick as well.
    Site site{.is_as_new = true};
    Wall wall;
    wall.id = "wall";
    wall.path = {{0, 0}, {10, 0}};
    wall.height = 4;
    wall.cladding = Cladding::brick;
    site.walls = {wall};
    site.lanterns = {{.id = "lantern", .at = glm::dvec3(3, -12, 2), .width = 0.2, .glow = {.lumens = 150}}};
    site.sensor_spacing = 0.5;
    site.ground_spacing = 2;
    const auto stage = build_stage(site, ".");
    const BouncedLight both = find_bounced_light(set_up_bounce(*stage, {}, 0), {});
    const BouncedLight traced = [&](const Hit& hit, const glm::vec3& position, const glm::vec3& facing) {
        return both(hit, position, facing);
    };
    const Camera camera = make_camera(make_view({7, -8, 2}, {5, 0, 2}, 30), 60, 40);
    const auto look = [&](const BouncedLight& light) {
        return trace_view(*stage, {}, camera, 0, light, {}, nullptr, Detail::fine);
    };
    const ViewImage read = look(both), exact = look(traced);
    const ViewImage dark = trace_view(*stage, {}, camera, 0,
                                      [](const auto&, const auto&, const auto&) { return glm::dvec3(0); });
    double read_sum = 0, exact_sum = 0, direct_sum = 0, fine_read = 0, fine_exact = 0;
    for (std::size_t i = 0; i < read.luminance.size(); ++i) {
        read_sum += static_cast<double>(read.luminance[i].y);
        exact_sum += static_cast<double>(exact.luminance[i].y);
        direct_sum += static_cast<double>(dark.luminance[i].y);
        fine_read += static_cast<double>(read.fine.luminance[i].y);
        fine_exact += static_cast<double>(exact.fine.luminance[i].y);
        CHECK(read.luminance[i].y == doctest::Approx(exact.luminance[i].y).epsilon(0.03).scale(0));
    }
    CHECK(direct_sum > 0.5 * exact_sum); // most of the light comes straight
    CHECK(read_sum == doctest::Approx(exact_sum).epsilon(0.005).scale(0));
    CHECK(fine_read == doctest::Approx(fine_exact).epsilon(0.03).scale(0));
}

TEST_CASE("view: a wall lit square-on has L = rho E / pi") {
    // Inverse-square law and Lambert's law: E = 100 / 3^2 lx, L = rho E / pi.
    const glm::dvec3 rho(0.5, 0.3, 0.2);
    const auto stage = make_wall_stage(rho);
    LitFixture lamp = test::make_point("L", {5, -3, 2});
    lamp.colour = {1.2, 1.0, 0.4};
    const Camera camera = make_camera(make_view({5, -6, 2}, {5, 0, 2}, 20), 101, 61);
    const ViewImage image = trace_view(*stage, {lamp}, camera, 0);
    const std::size_t middle = image.pixel_at(50, 30);
    for (int channel = 0; channel < 3; ++channel)
        CHECK(image.luminance[middle][channel] ==
              doctest::Approx(rho[channel] * lamp.colour[channel] * 100 / 9 / pi).epsilon(1e-3));
    CHECK(image.distance[middle] == doctest::Approx(6).epsilon(1e-5));
    CHECK(stage->surfaces[image.surface[middle]].id == "wall");
    // Off the middle: E = I d / (d2 + r2)^1.5 at r metres along the wall; 30 pixels at 101 / 2 / tan 10 a
    // metre.
    const double r = 6 * 30 * std::tan(radians_from_degrees(10)) / 50.5;
    CHECK(image.luminance[image.pixel_at(80, 30)].x ==
          doctest::Approx(0.5 * 1.2 * 300 / std::pow(9 + r * r, 1.5) / pi).epsilon(2e-3));
    // Two lamps in one place give twice as much; one behind the wall nothing.
    const ViewImage twice = trace_view(*stage, {lamp, lamp, test::make_point("B", {5, 3, 2})}, camera, 0);
    CHECK(twice.luminance[middle].x == doctest::Approx(2 * image.luminance[middle].x));
}

TEST_CASE("view: what stands before a lamp puts the wall in its shade") {
    Site site{.is_as_new = true};
    for (const double y : {0.0, -1.0}) {
        Wall wall;
        wall.id = y == 0 ? "wall" : "screen";
        wall.path = {{0, y}, {10, y}};
        wall.height = y == 0 ? 4 : 2;
        site.walls.push_back(wall);
    }
    const auto stage = build_stage(site, ".");
    // The lamp at 1 m height: the edge of the screen's shade is 4/3 x 1 above the lamp, at 2 1/3 m.
    const LitFixture lamp = test::make_point("L", {5, -4, 1});
    const Camera camera = make_camera(make_view({5, -2, 3.9}, {5, 0, 2.4}, 20), 3, 3);
    const glm::dvec2 shade = camera.project({5, 0, 2.25}).value(),
                     light = camera.project({5, 0, 2.45}).value();
    CHECK(shade.y > light.y);
    const Camera low = make_camera(make_view({5, -2, 3.9}, {5, 0, 2.25}, 1), 3, 3);
    const Camera high = make_camera(make_view({5, -2, 3.9}, {5, 0, 2.45}, 1), 3, 3);
    CHECK(trace_view(*stage, {lamp}, low, 0).luminance[4].y == 0);
    CHECK(trace_view(*stage, {lamp}, high, 0).luminance[4].y > 0);
}

TEST_CASE("view: a leaf lets light through to the other side") {
    // E = 100 / 2^2 lx before or behind; L = rho E / pi or tau E / pi (Lambert).
    const Stage stage = make_leaf_stage();
    const Camera camera = make_camera(make_view({0, -4, 2}, {0, 0, 2}, 4), 9, 9);
    const auto middle = [&](float y) {
        return trace_view(stage, {test::make_point("L", {0, y, 2})}, camera, 0).luminance[40];
    };
    CHECK(middle(-2).y == doctest::Approx(0.2 * 25 / pi).epsilon(1e-3));
    CHECK(middle(2).y == doctest::Approx(0.1 * 25 / pi).epsilon(1e-3));
    CHECK(middle(2).z == doctest::Approx(0.02 * 25 / pi).epsilon(1e-3));
}

TEST_CASE("view: bounced light comes on top, on both sides of a leaf") {
    const Stage stage = make_leaf_stage();
    const Camera camera = make_camera(make_view({0, -4, 2}, {0, 0, 2}, 4), 9, 9);
    const BouncedLight bounced = [](const Hit&, const glm::vec3&, const glm::vec3& facing) {
        return facing.y < 0 ? glm::dvec3(10, 20, 30) : glm::dvec3(4);
    };
    const glm::vec3 seen = trace_view(stage, {}, camera, 0, bounced).luminance[40];
    CHECK(seen.x == doctest::Approx((0.1 * 10 + 0.05 * 4) / pi).epsilon(1e-5));
    CHECK(seen.z == doctest::Approx((0.3 * 30 + 0.02 * 4) / pi).epsilon(1e-5));
}

TEST_CASE("view: the sky has ambient / pi") {
    // A uniform sky of luminance L gives pi L on open level ground (integral of cos over the hemisphere).
    const Stage stage = make_leaf_stage();
    const Camera camera = make_camera(make_view({0, -4, 2}, {0, -8, 4}, 10), 5, 5);
    const ViewImage image = trace_view(stage, {}, camera, 3.0);
    CHECK(luminance_of(glm::dvec3(image.luminance[12])) == doctest::Approx(3 / pi).epsilon(1e-5));
    CHECK(image.luminance[12].z > image.luminance[12].x);
    CHECK(image.surface[12] == -1);
}

TEST_CASE("view: perspective by hand") {
    // 90 degrees across 1600 pixels: 800 pixels a unit of tangent; (1, 10, 1) off the eye is a tenth each
    // way.
    const Camera camera = make_camera(make_view({0, 0, 1.5}, {0, 10, 1.5}, 90), 1600, 1000);
    const glm::dvec2 place = camera.project({1, 10, 2.5}).value();
    CHECK(place.x == doctest::Approx(880));
    CHECK(place.y == doctest::Approx(420));
    CHECK(!camera.project({0, -1, 1.5}));
    const glm::dvec3 way = camera.direction_at({880, 420});
    CHECK(way.x / way.y == doctest::Approx(0.1));
    CHECK(way.z / way.y == doctest::Approx(0.1));
    CHECK(camera.direction_at({0, 500}).x == doctest::Approx(-std::sqrt(0.5)));
    // The solid angle of a square picture of 90 degrees each way is a cube's side: 4 pi / 6.
    const Camera cube = make_camera(make_view({0, 0, 1.5}, {0, 10, 1.5}, 90), 200, 200);
    double sum = 0;
    for (int y = 0; y < 200; ++y)
        for (int x = 0; x < 200; ++x)
            sum += cube.solid_angle_at({x + 0.5, y + 0.5});
    CHECK(sum == doctest::Approx(4 * pi / 6).epsilon(1e-4));
    CHECK(make_camera(make_view({0, 0, 9}, {0, 0, 0}, 60), 8, 8).up.y ==
          doctest::Approx(1)); // straight down: north up
}

TEST_CASE("view: a lens seen directly sends I / d2 to the eye") {
    const auto stage = make_wall_stage(glm::dvec3(0.2));
    LitFixture lamp = test::make_point("L", {5, -3, 2});
    lamp.lens.diameter = 0.1f;
    const Camera camera = make_camera(make_view({5, -7, 2}, {5, 0, 2}, 30), 300, 200);
    const ViewImage image = trace_view(*stage, {lamp}, camera, 0);
    REQUIRE(image.lenses.size() == 1);
    CHECK(image.lenses[0].eye_lx.y == doctest::Approx(100.0 / 16).epsilon(1e-3)); // inverse-square law
    CHECK(image.lenses[0].place.x == doctest::Approx(150));
    // From behind the wall it is not seen.
    CHECK(trace_view(*stage, {lamp}, make_camera(make_view({5, 4, 2}, {5, 0, 2}, 30), 30, 20), 0)
              .lenses.empty());
}

TEST_CASE("view: faults of a view are named") {
    CHECK(message_of([] {
              make_camera(make_view({1, 1, 1}, {1, 1, 1}, 50), 9, 9);
          }).find("the eye is where it looks at") != std::string::npos);
    for (const double field : {0.0, -5.0, 180.0, 200.0})
        CHECK(message_of([&] {
                  make_camera(make_view({0, 0, 1}, {1, 1, 1}, field), 9, 9);
              }).find("field of view of") != std::string::npos);
    CHECK(message_of([] {
              make_camera(make_view({0, 0, 1}, {1, 1, 1}, 50), 0, 9);
          }).find("needs pixels") != std::string::npos);

    const test::Folder folder;
    folder.write("box.obj", "v -0.5 -0.5 0\nv 0.5 -0.5 0\nv 0.5 0.5 0\nv -0.5 0.5 0\n"
                            "v -0.5 -0.5 2\nv 0.5 -0.5 2\nv 0.5 0.5 2\nv -0.5 0.5 2\n"
                            "f 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\nf 5 6 7 8\nf 4 3 2 1\n");
    Site site{.is_as_new = true};
    Mesh mesh;
    mesh.id = "box";
    mesh.file = "box.obj";
    mesh.up = UpAxis::z;
    site.meshes = {mesh};
    const auto stage = build_stage(site, folder.path());
    CHECK(message_of([&] {
              check_eye(*stage, make_view({0, 0, 1}, {0, 5, 1}, 50));
          }).find("inside a wall") != std::string::npos);
    CHECK(message_of([&] {
              check_eye(*stage, make_view({0, -3, -1}, {0, 5, 1}, 50));
          }).find("below the ground") != std::string::npos);
    CHECK(message_of([&] { check_eye(*stage, make_view({0, -0.6, 1}, {0, 5, 1}, 50)); }) == "");
    CHECK(message_of([&] {
              check_eye(*stage, make_view({0, -0.51, 1}, {0, 5, 1}, 50));
          }).find("touches a wall") != std::string::npos);
}

TEST_CASE("view: an eye on the wrong side of walls") {
    const auto message_at = [](const Stage& stage, const glm::dvec3& eye, const glm::dvec3& look_at) {
        return message_of([&] { check_eye(stage, make_view(eye, look_at, 50)); });
    };
    const auto front = make_wall_stage(glm::dvec3(0.5));
    CHECK(message_at(*front, {5, -6, 2}, {5, 0, 2}) == "");
    CHECK(message_at(*front, {5, 3, 2}, {5, 0, 2}).find("behind a wall") != std::string::npos);
    CHECK(message_at(*front, {5, 3, 2}, {5, 9, 2}) == ""); // with the back to it
    CHECK(message_at(*front, {5, -0.01, 2}, {5, -9, 2}).find("touches a wall") != std::string::npos);
    Site site{.is_as_new = true};
    Wall wall;
    wall.id = "house";
    wall.path = {{0, 0}, {10, 0}, {10, 8}, {0, 8}};
    wall.closed = true;
    wall.height = 4;
    site.walls = {wall};
    const auto house = build_stage(site, ".");
    CHECK(message_at(*house, {5, 4, 2}, {5, 0, 2}).find("inside a wall") != std::string::npos);
    CHECK(message_at(*house, {5, 4, 3}, {5, 4, 9}).find("inside a wall") != std::string::npos);
    CHECK(message_at(*house, {5, -6, 2}, {5, 0, 2}) == "");
    CHECK(message_at(*house, {5, 4, 9}, {5, 0, 0}) == ""); // from above
}

TEST_CASE("view: sun and sky by day") {
    // The sun stands 40 degrees to the left of the eye's back and 40 high: a level face gets sin 40 of its
    // lux, one that faces the eye cos^2 40. Of a uniform sky a level face sees all, an upright one half. L =
    // rho E / pi.
    const double forty = radians_from_degrees(40), rho = 0.5;
    Site site{.is_as_new = true};
    for (const double y : {0.0, -1.0}) {
        Wall wall;
        wall.id = y == 0 ? "wall" : "screen";
        wall.path = {{0, y}, {10, y}};
        wall.height = y == 0 ? 4 : 2;
        wall.finish = {"", glm::dvec3(rho)};
        site.walls.push_back(wall);
    }
    const auto stage = build_stage(site, ".");
    const auto look = [&](const glm::dvec3& eye, const glm::dvec3& at) {
        const ViewImage image = trace_view(*stage, {}, make_camera(make_view(eye, at, 1), 3, 3), 0);
        return std::pair(luminance_of(glm::dvec3(image.sun_return[4])),
                         luminance_of(glm::dvec3(image.sky_return[4])));
    };
    const glm::dvec3 sun = sun_direction(make_camera(make_view({5, -9, 2}, {5, 0, 2}, 50), 3, 3));
    CHECK(sun.z == doctest::Approx(std::sin(forty)));
    CHECK(sun.x == doctest::Approx(-std::sin(forty) * std::cos(forty)));
    CHECK(sun.y == doctest::Approx(-std::cos(forty) * std::cos(forty)));
    const auto [on_wall, sky_on_wall] = look({5, -0.5, 3}, {5, 0, 3});
    CHECK(on_wall == doctest::Approx(rho / pi * std::pow(std::cos(forty), 2)).epsilon(1e-5));
    CHECK(sky_on_wall == doctest::Approx(rho / pi / 2).epsilon(1e-4));
    const auto [on_lawn, sky_on_lawn] = look({5, -9, 2}, {5, -4, 0});
    const double lawn = luminance_of(finish_of(GroundKind::lawn).reflectance);
    CHECK(site.ground.base == GroundKind::lawn);
    CHECK(sky_on_lawn > 0.9 * lawn / pi); // green gives a little less of the bluish sky than of white light
    CHECK(sky_on_lawn < 1.1 * lawn / pi);
    CHECK(on_lawn == doctest::Approx(lawn / pi * std::sin(forty)).epsilon(1e-4));
    // The screen's shade ends 1 m x tan 40 / cos 40 below its upper edge, at 0.905 m.
    const double edge = 2 - std::tan(forty) / std::cos(forty);
    CHECK(look({5, -0.5, 1}, {5, 0, edge - 0.02}).first == 0);
    CHECK(look({5, -0.5, 1}, {5, 0, edge + 0.02}).first > 0);
}
