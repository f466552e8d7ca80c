// Meshes on the site: placing, walls found in them, cut-outs.

#include "stage_test.hpp"

#include <stb_image_write.h>

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A house 6 x 4 m with a gable roof along x, y up, its front (6 m) towards +z. Wound outwards.
const std::string house = "v 0 0 0\nv 6 0 0\nv 6 0 -4\nv 0 0 -4\nv 0 3 0\nv 6 3 0\nv 6 3 -4\nv 0 3 -4\n"
                          "v 0 5 -2\nv 6 5 -2\n"
                          "o walls\nf 1 2 6 5\nf 2 3 7 10 6\nf 3 4 8 7\nf 4 1 5 9 8\n"
                          "o roof\nf 5 6 10 9\nf 7 8 9 10\no floor\nf 4 3 2 1\n";

struct MeshSite {
    MeshSite() {
        folder.write("house.obj", house);
        mesh.id = "house";
        mesh.file = "house.obj";
        site.sensor_spacing = 0.2;
    }
    std::unique_ptr<Stage> build() {
        site.meshes = {mesh};
        return build_stage(site, folder.path());
    }

    Folder folder;
    Site site;
    Mesh mesh;
};

glm::vec3 lowest(const Stage& stage, const std::string& part_of, bool highest = false) {
    glm::vec3 low(1e9f);
    glm::vec3 high(-1e9f);
    for (const auto& corner : pick_triangles(stage, [&](const Surface& s) { return s.part_of == part_of; }))
        for (const glm::vec3& point : corner) {
            low = glm::min(low, point);
            high = glm::max(high, point);
        }
    return highest ? high : low;
}

} // namespace

TEST_CASE("a mesh is scaled, set upright, turned clockwise and moved") {
    MeshSite site;
    SUBCASE("y up: what faced the viewer faces south") {
        site.mesh.at = {10, 20, 0.5};
        const std::unique_ptr<Stage> stage = site.build();
        CHECK(glm::distance(lowest(*stage, "house"), glm::vec3(10, 20, 0.5)) < 1e-5);
        CHECK(glm::distance(lowest(*stage, "house", true), glm::vec3(16, 24, 5.5)) < 1e-5);
        const Surface& front = surface_named(*stage, "house.walls.1");
        CHECK(glm::distance(front.run[0].outward, glm::dvec2(0, -1)) < 1e-9);
    }
    SUBCASE("z up") {
        site.folder.write("house.obj", "v 0 0 0\nv 2 0 0\nv 2 0 3\nv 0 0 3\nf 1 2 3 4\n");
        site.mesh.up = UpAxis::z;
        site.mesh.scale = 0.5;
        const std::unique_ptr<Stage> stage = site.build();
        CHECK(lowest(*stage, "house") == glm::vec3(0, 0, 0));
        CHECK(lowest(*stage, "house", true) == glm::vec3(1, 0, 1.5));
    }
    SUBCASE("a quarter turn clockwise, seen from above, takes east to south") {
        site.mesh.turn = pi / 2;
        const std::unique_ptr<Stage> stage = site.build();
        CHECK(glm::distance(lowest(*stage, "house"), glm::vec3(0, -6, 0)) < 1e-5);
        CHECK(glm::distance(lowest(*stage, "house", true), glm::vec3(4, 0, 5)) < 1e-5);
        // The front looked south; clockwise from there is west.
        CHECK(glm::distance(surface_named(*stage, "house.walls.1").run[0].outward, glm::dvec2(-1, 0)) < 1e-6);
    }
}

TEST_CASE("upright planes of a mesh become walls of exact area") {
    MeshSite site;
    site.mesh.turn = 0.3;
    site.mesh.at = {3, 5, 0};
    const std::unique_ptr<Stage> stage = site.build();
    // Fronts 6 x 3; gable ends 4 x 3 and a triangle 4 x 2.
    for (const auto& [name, area] : {std::pair("house.walls.1", 18.0),
                                     {"house.walls.2", 16.0},
                                     {"house.walls.3", 18.0},
                                     {"house.walls.4", 16.0}}) {
        const std::string id = name; // clang 15 captures no part of a pair
        const Surface& wall = surface_named(*stage, id);
        CAPTURE(id);
        CHECK(wall.kind == SurfaceKind::wall);
        CHECK(wall.part_of == "house");
        CHECK(wall.is_upright());
        CHECK(wall.area == doctest::Approx(area).epsilon(1e-5));
        CHECK(sensor_area(*stage, wall) == doctest::Approx(area).epsilon(1e-5));
        const double top = area == 18 ? 3 : 5;
        CHECK(wall.grid.rows == static_cast<int>(std::lround(top / 0.2)));
        CHECK(*std::max_element(wall.grid.top.begin(), wall.grid.top.end()) > top - 0.11);
        for (int row = 0; row < wall.grid.rows; ++row)
            for (int column = 0; column < wall.grid.columns; ++column)
                if (const std::int32_t sensor = wall.grid.at(column, row); sensor >= 0) {
                    const glm::dvec2 spot = wall.unfold(glm::dvec3(stage->sensors.position(sensor)));
                    CHECK(std::abs(spot.x - wall.grid.u_of(column)) < 0.1 + 1e-5);
                    CHECK(std::abs(spot.y - wall.grid.v_of(row)) < 0.1 + 1e-5);
                    CHECK(spot.y < wall.grid.top[column] + 0.11); // slope 1 : 1
                    CHECK(glm::distance(glm::dvec2(stage->sensors.normal(sensor)), wall.run[0].outward) <
                          1e-6);
                }
    }
    // A gable's upper edge at a column's centre: 3 + 2 (1 - |u - 2| / 2).
    const Surface& end = surface_named(*stage, "house.walls.2");
    for (int column = 0; column < end.grid.columns; ++column)
        CHECK(end.grid.top[column] == doctest::Approx(5 - std::abs(end.grid.u_of(column) - 2)).epsilon(1e-5));
    // The rest (roof 2 x 6 x sqrt(8), floor 24 that lies on the ground) carries strewn sensors.
    const Surface& rest = surface_named(*stage, "house");
    CHECK(rest.kind == SurfaceKind::mesh);
    CHECK(rest.area > 0.98 * 2 * 6 * std::sqrt(8.0));
    CHECK(rest.area < 1.02 * (2 * 6 * std::sqrt(8.0) + 24));
    // The house is a closed body: no ground sensor within it.
    const Surface& ground = surface_named(*stage, "ground");
    CHECK(ground.count > 500);
    for (std::uint32_t i = ground.first; i < ground.first + ground.count; ++i) {
        const glm::vec3 off = stage->sensors.position(i) - glm::vec3(3, 5, 0);
        const double x = std::cos(0.3) * off.x - std::sin(0.3) * off.y; // turned back
        const double y = std::sin(0.3) * off.x + std::cos(0.3) * off.y;
        CHECK_FALSE((x > 0.01 && x < 5.99 && y > 0.01 && y < 3.99));
    }
    CHECK(stage->opaque.uv.size() == stage->opaque.vertices.size()); // one a vertex, or none at all
}

TEST_CASE("heights on a mesh's walls count from the ground, and the peak lies between the columns") {
    MeshSite site;
    site.mesh.at = {0, 0, 1};
    const std::unique_ptr<Stage> stage = site.build();
    const Surface& end = surface_named(*stage, "house.walls.2");
    CHECK(end.foot == 0);
    CHECK(end.grid.v0 == doctest::Approx(1));
    CHECK(sensor_area(*stage, end) == doctest::Approx(16).epsilon(1e-5));
    for (int column = 0; column < end.grid.columns; ++column)
        CHECK(end.grid.top[column] == doctest::Approx(6 - std::abs(end.grid.u_of(column) - 2)).epsilon(1e-5));
    for (const auto& [u, edge] : {std::pair(0.0, 4.0), {1.3, 5.3}, {2.0, 6.0}, {3.5, 4.5}})
        CHECK(end.upper_edge(u).value() == doctest::Approx(edge).epsilon(1e-5));
    CHECK(!end.upper_edge(-0.1));
    CHECK(!end.upper_edge(4.1));
}

TEST_CASE("small planes do not take the walls' places, and a leaning wall keeps its sensors on it") {
    MeshSite site;
    // 300 slats of 0.02 m2 at all angles come first in the file.
    std::string text;
    for (int i = 0; i < 300; ++i) {
        const double angle = 2 * pi * i / 300;
        const std::string x = std::to_string(20 + 0.1 * std::cos(angle));
        const std::string z = std::to_string(0.1 * std::sin(angle) - 5);
        text += "v 20 0 -5\nv " + x + " 0 " + z + "\nv " + x + " 0.4 " + z + "\nf -3 -2 -1\n";
    }
    // A wall 5 x 4 whose top leans back by 4 cm: 1 in 100.
    text += "v 0 0 0\nv 5 0 0\nv 5 4 -0.04\nv 0 4 -0.04\nf -4 -3 -2 -1\n";
    site.folder.write("house.obj", text);
    const std::unique_ptr<Stage> stage = site.build();
    const auto wall = std::find_if(stage->surfaces.begin(), stage->surfaces.end(),
                                   [](const Surface& surface) { return surface.kind == SurfaceKind::wall; });
    REQUIRE(wall != stage->surfaces.end());
    CHECK(wall->area == doctest::Approx(20).epsilon(1e-3));
    for (std::uint32_t i = wall->first; i < wall->first + wall->count; ++i)
        CHECK(std::abs(stage->sensors.y[i] - 0.01f * stage->sensors.z[i]) < 1e-5);
}

TEST_CASE("light passes see-through texels and stops at the others") {
    // A checker of 8 x 8 texels on a pane of 8 x 8 m: texel (i, j) is opaque when i + j is even.
    MeshSite site;
    std::vector<std::uint8_t> pixels;
    for (int row = 7; row >= 0; --row) // PNG starts at the top
        for (int column = 0; column < 8; ++column)
            pixels.insert(pixels.end(),
                          {60, 120, 40, static_cast<std::uint8_t>((row + column) % 2 == 0 ? 255 : 0)});
    REQUIRE(stbi_write_png((site.folder / "checker.png").generic_string().c_str(), 8, 8, 4, pixels.data(),
                           32) != 0);
    site.folder.write("house.mtl", "newmtl net\nKd 1 1 1\nmap_Kd checker.png\n");
    site.folder.write("house.obj", "mtllib house.mtl\nusemtl net\nv 0 0 0\nv 8 0 0\nv 8 8 0\nv 0 8 0\n"
                                   "vt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\nf 1/1 2/2 3/3 4/4\n");
    const std::unique_ptr<Stage> stage = site.build();
    CHECK(stage->cutouts.size() == 2);
    std::vector<Ray> rays;
    for (int row = 0; row < 8; ++row)
        for (int column = 0; column < 8; ++column)
            for (const float offset : {0.1f, 0.5f, 0.9f}) {
                Ray ray;
                ray.origin = {static_cast<float>(column) + offset, -2, static_cast<float>(row) + offset};
                ray.direction = {0, 1, 0};
                ray.far_end = 4;
                rays.push_back(ray);
            }
    std::vector<Ray> coherent = rays;
    stage->kernel->find_occluded(rays, Coherence::incoherent);
    stage->kernel->find_occluded(coherent, Coherence::coherent);
    for (std::size_t i = 0; i < rays.size(); ++i) {
        const std::size_t texel = i / 3;
        const bool is_opaque = (texel / 8 + texel % 8) % 2 == 0;
        CHECK(rays[i].is_occluded() == is_opaque);
        CHECK(coherent[i].is_occluded() == is_opaque);
        const Hit hit = stage->kernel->find_hit(coherent[i].origin, {0, 1, 0}, 0, 4);
        CHECK(static_cast<bool>(hit) == is_opaque);
        if (hit)
            CHECK(hit.kind == FacetKind::cutout);
    }
    // Sensors on both sides, on opaque texels only: half of 64 m2, twice.
    const Surface& net = surface_named(*stage, "house");
    CHECK(net.area == doctest::Approx(64).epsilon(0.05));
    for (std::uint32_t i = net.first; i < net.first + net.count; ++i)
        CHECK((static_cast<int>(stage->sensors.x[i]) + static_cast<int>(stage->sensors.z[i])) % 2 == 0);
}

TEST_CASE("meshes that cannot be placed are refused") {
    MeshSite site;
    site.mesh.scale = 1000;
    CHECK(problems_of([&] { site.build(); }) ==
          "meshes[0].scale: error: the mesh \"house\" reaches more than 2000 m from the site's origin; "
          "\"scale\" is "
          "metres per unit of the OBJ: 0.001 for millimetres, 0.0254 for inches");
    site.mesh.scale = 1;
    site.mesh.file = "gone.obj";
    CHECK(problems_of([&] { site.build(); }) ==
          (site.folder / "gone.obj").generic_string() +
              ": error: cannot be opened; check that the file is there and may be read");
}

TEST_CASE("a site of meshes far from the origin has its ground round them") {
    MeshSite site;
    site.mesh.at = {900, -900, 0};
    const std::unique_ptr<Stage> stage = site.build();
    const Surface& ground = surface_named(*stage, "ground");
    CHECK(ground.grid.u0 == doctest::Approx(894).epsilon(0.001));
    CHECK(ground.grid.columns * ground.grid.step < 20);
}

TEST_CASE("the groups of a mesh get names that every disk keeps apart") {
    MeshSite site;
    std::string text;
    int corner = 0;
    for (const std::string& name : {std::string("Front"), std::string("front"), std::string(300, 'G')}) {
        const std::string depth = std::to_string(corner);
        text += "v 0 " + depth + " 0\nv 3 " + depth + " 0\nv 3 " + depth + " 3\nv 0 " + depth + " 3\n";
        text += "g " + name + "\nf";
        for (int i = 0; i < 4; ++i)
            text += " " + std::to_string(++corner);
        text += "\n";
    }
    site.folder.write("house.obj", text);
    site.mesh.up = UpAxis::z;
    const std::unique_ptr<Stage> stage = site.build();
    CHECK(surface_named(*stage, "house.Front").area == doctest::Approx(9));
    CHECK(surface_named(*stage, "house.front-2").area == doctest::Approx(9));
    CHECK(surface_named(*stage, "house." + std::string(64, 'G')).area == doctest::Approx(9));
}

TEST_CASE("a mesh of very many upright planes keeps the largest as walls and all of its area") {
    // Three hundred boards in a ring of 20 m, each 0.42 m wide and 3 m high, every third 4 m.
    MeshSite site;
    std::string text;
    double area = 0;
    for (int i = 0; i < 300; ++i) {
        const double from = 2 * pi * i / 300, to = 2 * pi * (i + 1) / 300, height = i % 3 == 0 ? 4 : 3;
        for (const auto& [angle, up] : {std::pair(from, 0.0), {to, 0.0}, {to, height}, {from, height}})
            text += "v " + std::to_string(20 * std::cos(angle)) + " " + std::to_string(20 * std::sin(angle)) +
                    " " + std::to_string(up) + "\n";
        text += "f -4 -3 -2 -1\n";
        area += 40 * std::sin(pi / 300) * height;
    }
    site.folder.write("house.obj", text);
    site.mesh.up = UpAxis::z;
    site.site.sensor_spacing = 0.3;
    const std::unique_ptr<Stage> stage = site.build();
    int walls = 0, tall = 0;
    double sum = 0;
    for (const Surface& surface : stage->surfaces) {
        if (surface.part_of != "house")
            continue;
        sum += surface.area;
        walls += surface.is_upright() ? 1 : 0;
        tall += surface.is_upright() && surface.area > 1.4 ? 1 : 0;
    }
    CHECK(walls == 256);
    CHECK(tall == 100);                                // the largest first
    CHECK(sum == doctest::Approx(area).epsilon(1e-3)); // the rest has sensors strewn over it
}
