#include <array>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/site/layout.hpp"
#include "duskcast/view/elevation.hpp"
#include "folder.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

/// A box 1 m wide, 1 m deep, 2 m high round the origin of the plan.
constexpr auto box_obj = "v -0.5 -0.5 0\nv 0.5 -0.5 0\nv 0.5 0.5 0\nv -0.5 0.5 0\n"
                         "v -0.5 -0.5 2\nv 0.5 -0.5 2\nv 0.5 0.5 2\nv -0.5 0.5 2\n"
                         "f 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\nf 5 6 7 8\nf 4 3 2 1\n";

struct Scene {
    Site site{.is_as_new = true};
    std::unique_ptr<Stage> stage;
    Lighting lighting;
};

/// The box with a lamp south-east of it; `wall_south` sets a wall across at y = -wall_south.
Scene make_box(double wall_south) {
    const test::Folder folder;
    folder.write("box.obj", box_obj);
    Scene scene;
    Mesh mesh;
    mesh.id = "box";
    mesh.file = "box.obj";
    mesh.up = UpAxis::z;
    scene.site.meshes = {mesh};
    if (wall_south > 0) {
        Wall wall;
        wall.id = "screen";
        wall.path = {{-5, -wall_south}, {5, -wall_south}};
        wall.height = 3;
        scene.site.walls = {wall};
    }
    scene.stage = build_stage(scene.site, folder.path());
    scene.lighting = {};
    scene.lighting.fixtures.push_back(test::make_point("L", {1, -3, 0.5f}));
    return scene;
}

double worst_error(const Elevation& elevation, double (*lux_at)(double, double)) {
    double worst = 0;
    for (int row = 0; row < elevation.height; ++row)
        for (int column = 0; column < elevation.width; ++column) {
            const double lux = elevation.lux[static_cast<std::size_t>(row) * elevation.width + column];
            const double u = elevation.u0 + (column + 0.5) * elevation.step;
            const double z = elevation.v0 + (elevation.height - row - 0.5) * elevation.step;
            worst = std::max(worst, std::abs(lux - lux_at(u, z)));
        }
    return worst;
}

/// Inverse-square and cosine law on the box's south face (y = -0.5) from the lamp at (1, -3, 0.5).
double on_south_face(double u, double z) {
    const double d2 = (u - 1) * (u - 1) + 2.5 * 2.5 + (z - 0.5) * (z - 0.5);
    return 100 * 2.5 / std::pow(d2, 1.5);
}

double no_light(double, double) {
    return 0;
}

} // namespace

TEST_CASE("elevation: a box from the lit and from the dark side") {
    const Scene scene = make_box(0);
    const Elevation south = trace_elevation(*scene.stage, scene.lighting, "box", pi, 80);
    CHECK(south.from == "from the south");
    CHECK(south.height == 80);
    CHECK(south.step == doctest::Approx(2.0 / 80));
    CHECK(south.width == 40);
    CHECK(south.u0 == doctest::Approx(-0.5));
    CHECK(south.v0 == doctest::Approx(0));
    for (const float cover : south.cover)
        CHECK(cover == 1);
    // A sensor lies within half a pixel of the pixel's middle: 0.0125 m x 6 lx/m at most.
    CHECK(worst_error(south, on_south_face) < 0.1);

    const Elevation north = trace_elevation(*scene.stage, scene.lighting, "box", 0, 40);
    CHECK(north.from == "from the north");
    CHECK(worst_error(north, no_light) == 0);
}

TEST_CASE("elevation: over a corner the box is as wide as its diagonal") {
    const Scene scene = make_box(0);
    const Elevation corner =
        trace_elevation(*scene.stage, scene.lighting, "box", radians_from_degrees(135), 200);
    CHECK(corner.from == "from the south-east");
    CHECK(corner.width * corner.step == doctest::Approx(std::sqrt(2.0)).epsilon(0.01));
}

TEST_CASE("elevation: what stands before the body is looked through, its shadow stays") {
    const Scene behind_lamp = make_box(4);
    CHECK(worst_error(trace_elevation(*behind_lamp.stage, behind_lamp.lighting, "box", pi, 80),
                      on_south_face) < 0.1);
    const Scene before_lamp = make_box(1.5);
    const Elevation dark = trace_elevation(*before_lamp.stage, before_lamp.lighting, "box", pi, 80);
    CHECK(dark.cover[0] == 1);
    CHECK(worst_error(dark, no_light) == 0);
}

TEST_CASE("elevation: light of all fixtures adds up") {
    Scene scene = make_box(0);
    scene.lighting.fixtures.push_back(test::make_point("L2", {1, -3, 0.5f}));
    const Elevation twice = trace_elevation(*scene.stage, scene.lighting, "box", pi, 40);
    CHECK(worst_error(twice, [](double u, double z) { return 2 * on_south_face(u, z); }) < 0.4);
}

TEST_CASE("elevation: leaves cover what the law of Beer and Lambert says") {
    // Random leaves of spherical angles: gaps exp(-G u s), G = 0.5 (Monsi and Saeki 1953; Ross 1981).
    Site site{.is_as_new = true};
    Shrub hedge;
    hedge.id = "hedge";
    hedge.path = {{0, 0}, {6, 0}};
    hedge.width = 1;
    hedge.height = 2;
    hedge.foliage.leaf_area_density = 1.2;
    hedge.foliage.leaf_size = 0.06;
    site.shrubs = {hedge};
    const auto stage = build_stage(site, ".");
    const Elevation front = trace_elevation(*stage, Lighting{}, "hedge", pi, 200);
    double cover = 0;
    int count = 0;
    for (int row = 20; row < 180; ++row) // clear of the edges, where leaves stick out
        for (int column = 20; column < front.width - 20; ++column, ++count)
            cover += front.cover[static_cast<std::size_t>(row) * front.width + column];
    // About 14,000 leaves over 9 m2: the share's standard error is some 0.005.
    CHECK(cover / count == doctest::Approx(1 - std::exp(-0.5 * 1.2 * 1)).epsilon(0.04).scale(0));
    bool has_background = false, all_dark = true;
    for (std::size_t i = 0; i < front.lux.size(); ++i) {
        CHECK((front.lux[i] < 0) == (front.cover[i] == 0));
        has_background = has_background || front.lux[i] < 0;
        all_dark = all_dark && front.lux[i] <= 0;
    }
    CHECK(has_background);
    CHECK(all_dark); // no fixture
}

TEST_CASE("elevation: what is cut out of a body shows nothing") {
    // A sheet of 2 x 2 m whose eastern half is cut out by the picture of its alpha, two texels wide. Counted.
    const test::Folder folder;
    // A PNG, as browsers read no simpler kind.
    constexpr std::array<unsigned char, 68> white_and_black{
        137, 80, 78, 71, 13, 10, 26,  10, 0,  0,   0, 13, 73, 72, 68, 82, 0,  0,  0,   2,   0,  0,   0,
        1,   8,  0,  0,  0,  0,  209, 73, 32, 86,  0, 0,  0,  11, 73, 68, 65, 84, 120, 218, 99, 248, 207,
        0,   0,  2,  1,  1,  0,  161, 30, 92, 117, 0, 0,  0,  0,  73, 69, 78, 68, 174, 66,  96, 130};
    folder.write("alpha.png", std::string(white_and_black.begin(), white_and_black.end()));
    folder.write("sheet.mtl", "newmtl net\nKd 1 1 1\nmap_d alpha.png\n");
    folder.write("sheet.obj", "mtllib sheet.mtl\nusemtl net\nv -1 0 0\nv 1 0 0\nv 1 0 2\nv -1 0 2\n"
                              "vt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\nf 1/1 2/2 3/3 4/4\n");
    Scene scene;
    Mesh mesh;
    mesh.id = "sheet";
    mesh.file = "sheet.obj";
    mesh.up = UpAxis::z;
    scene.site.meshes = {mesh};
    scene.stage = build_stage(scene.site, folder.path());
    REQUIRE(scene.stage->cutouts.size() == 2);
    const Elevation elevation = trace_elevation(*scene.stage, {}, "sheet", pi, 100);
    REQUIRE(elevation.width == 100);
    double west = 0, east = 0;
    for (int row = 0; row < elevation.height; ++row)
        for (int column = 0; column < elevation.width; ++column)
            (2 * column < elevation.width ? west : east) += static_cast<double>(
                elevation.cover[static_cast<std::size_t>(row) * elevation.width + column]);
    CHECK(west == doctest::Approx(5000).epsilon(1e-3));
    CHECK(east == 0);
}

TEST_CASE("body: its bounds and its footprint") {
    const Scene scene = make_box(3);
    const BodyBounds bounds = find_body_bounds(*scene.stage, "box");
    CHECK(glm::distance(bounds.low, glm::dvec3(-0.5, -0.5, 0)) < 1e-6);
    CHECK(glm::distance(bounds.high, glm::dvec3(0.5, 0.5, 2)) < 1e-6);
    CHECK(find_body_bounds(*scene.stage, "pine").is_empty());
    const std::vector<glm::dvec2> footprint = find_footprint(*scene.stage, "box");
    CHECK(footprint.size() == 4);                        // no point twice, none on a side
    CHECK(signed_area(footprint) == doctest::Approx(1)); // counter-clockwise
    CHECK(find_footprint(*scene.stage, "pine").empty());
}

TEST_CASE("elevation: the eight winds") {
    const Scene scene = make_box(0);
    const std::vector<std::pair<double, std::string>> winds = {
        {0, "north"},        {45, "north-east"}, {90, "east"},        {135, "south-east"}, {180, "south"},
        {225, "south-west"}, {270, "west"},      {315, "north-west"}, {-90, "west"},       {22, "north"},
        {23, "north-east"},  {540, "south"},     {-20, "north"}};
    for (const auto& [degrees, name] : winds)
        CHECK(trace_elevation(*scene.stage, scene.lighting, "box", radians_from_degrees(degrees), 1).from ==
              "from the " + name);
}

TEST_CASE("elevation: nothing there") {
    const Scene scene = make_box(0);
    const Elevation none = trace_elevation(*scene.stage, scene.lighting, "pine", pi, 50);
    CHECK(none.width == 0);
    CHECK(none.lux.empty());
}
