// OBJ, MTL and textures: what is read.

#include "duskcast/stage/obj.hpp"
#include "stage_test.hpp"

#include <stb_image_write.h>

using namespace duskcast;
using namespace duskcast::test;

namespace {

ObjMesh read_text(const std::string& text) {
    return read_obj(text, "a.obj", "");
}

/// Corners of a cube of side 2, z up.
const std::string cube_corners = "v 0 0 0\nv 2 0 0\nv 2 2 0\nv 0 2 0\nv 0 0 2\nv 2 0 2\nv 2 2 2\nv 0 2 2\n";
const std::string cube = cube_corners + "f 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";

/// Divergence theorem: positive and equal to the volume when wound outwards.
double volume_of(const ObjMesh& mesh) {
    double volume = 0;
    for (const glm::uvec3& corner : mesh.corners)
        volume +=
            glm::dot(glm::dvec3(mesh.vertices[corner.x]),
                     glm::cross(glm::dvec3(mesh.vertices[corner.y]), glm::dvec3(mesh.vertices[corner.z]))) /
            6;
    return volume;
}

double area_of(const ObjMesh& mesh) {
    double area = 0;
    for (const glm::uvec3& corner : mesh.corners) {
        const glm::dvec3 a(mesh.vertices[corner.x]);
        area += glm::length(glm::cross(glm::dvec3(mesh.vertices[corner.y]) - a,
                                       glm::dvec3(mesh.vertices[corner.z]) - a)) /
                2;
    }
    return area;
}

void write_png(const std::filesystem::path& file, int width, int height, int channels,
               const std::vector<std::uint8_t>& pixels) {
    REQUIRE(stbi_write_png(file.generic_string().c_str(), width, height, channels, pixels.data(),
                           width * channels) != 0);
}

} // namespace

TEST_CASE("a cube of quads becomes twelve triangles, wound outwards") {
    const ObjMesh mesh = read_text(cube);
    CHECK(mesh.corners.size() == 12);
    CHECK(mesh.vertices.size() == 8);
    CHECK(volume_of(mesh) == doctest::Approx(8));
    CHECK(mesh.warnings.empty());
    CHECK(
        std::all_of(mesh.material.begin(), mesh.material.end(), [](int material) { return material == -1; }));
    SUBCASE("negative indices count back from the last vertex") {
        const ObjMesh back =
            read_text(cube_corners + "f -5 -6 -7 -8\nf -4 -3 -2 -1\nf -8 -7 -3 -4\nf -7 -6 -2 -3\n"
                                     "f -6 -5 -1 -2\nf -5 -8 -4 -1\n");
        CHECK(volume_of(back) == doctest::Approx(8));
    }
    SUBCASE("Windows line ends, a byte order mark, signs, exponents and comments behind the numbers") {
        const ObjMesh odd = read_text("\xef\xbb\xbfv +0 0 0 # first\r\nv 2e0 .0 0.\r\nv 0 20E-1 0\r\n"
                                      "f 1 2 3 # a face\r\n");
        CHECK(area_of(odd) == doctest::Approx(2));
        CHECK(odd.vertices[1] == glm::vec3(2, 0, 0));
    }
}

TEST_CASE("polygons are split, concave ones too") {
    // A regular hexagon of radius 1: 3 sqrt(3) / 2.
    std::string hexagon;
    for (int i = 0; i < 6; ++i)
        hexagon +=
            "v " + std::to_string(std::cos(i * pi / 3)) + " " + std::to_string(std::sin(i * pi / 3)) + " 0\n";
    CHECK(area_of(read_text(hexagon + "f 1 2 3 4 5 6\n")) ==
          doctest::Approx(1.5 * std::sqrt(3.0)).epsilon(1e-5));
    // An L: 2 x 2 less 1 x 1.
    const ObjMesh ell = read_text("v 0 0 0\nv 2 0 0\nv 2 1 0\nv 1 1 0\nv 1 2 0\nv 0 2 0\nf 1 2 3 4 5 6\n");
    CHECK(ell.corners.size() == 4);
    CHECK(area_of(ell) == doctest::Approx(3));
}

TEST_CASE("a face wound against its normals is turned over") {
    const std::string outward = "v 0 0 0\nv 1 0 0\nv 0 1 0\nvn 0 0 1\n";
    const auto normal_z = [&](const std::string& face) {
        const ObjMesh mesh = read_text(outward + face);
        const glm::uvec3& corner = mesh.corners.at(0);
        return glm::cross(mesh.vertices[corner.y] - mesh.vertices[corner.x],
                          mesh.vertices[corner.z] - mesh.vertices[corner.x])
            .z;
    };
    CHECK(normal_z("f 1//1 2//1 3//1\n") == doctest::Approx(1));
    CHECK(normal_z("f 1//1 3//1 2//1\n") == doctest::Approx(1));
    CHECK(normal_z("f 1 3 2\n") == doctest::Approx(-1)); // no normals: as it is wound
}

TEST_CASE("shapes keep their names, flat faces are left out with a warning") {
    const ObjMesh mesh = read_text(cube_corners + "o base\nf 4 3 2 1\no top\nf 5 6 7 8\nf 1 1 2\n");
    CHECK(mesh.shape_names == std::vector<std::string>{"base", "top"});
    CHECK(mesh.shape == std::vector<int>{0, 0, 1, 1});
    REQUIRE(mesh.warnings.size() == 1);
    CHECK(print_problem(mesh.warnings[0]) == "a.obj: warning: 1 face without area left out");
}

TEST_CASE("colours come from the MTL, and a missing MTL is a warning") {
    const Folder folder;
    folder.write("paint.mtl", "newmtl red\nKd 0.5 0.1 0.05\nnewmtl grey\nKd 0.4 0.4 0.4\n");
    folder.write("a.obj",
                 "mtllib paint.mtl\n" + cube_corners + "usemtl grey\nf 4 3 2 1\nusemtl red\nf 5 6 7 8\n");
    const ObjMesh mesh = read_obj_file(folder / "a.obj");
    REQUIRE(mesh.materials.size() == 2);
    CHECK(mesh.material == std::vector<int>{1, 1, 0, 0});
    CHECK(mesh.materials[0].name == "red");
    CHECK(glm::distance(mesh.materials[0].reflectance, glm::vec3(0.5, 0.1, 0.05)) < 1e-6);
    CHECK(mesh.materials[0].texture == -1);

    folder.write("b.obj", "mtllib gone.mtl\nusemtl red\n" + cube);
    const ObjMesh bare = read_obj_file(folder / "b.obj");
    CHECK(bare.material.front() == -1);
    REQUIRE(bare.warnings.size() == 1);
    CHECK(print_problem(bare.warnings[0]) ==
          (folder / "b.obj").generic_string() +
              ": warning: material file \"gone.mtl\" is not there; the mesh's own "
              "finish is used instead");
}

TEST_CASE("textures are decoded as sRGB, first row at the bottom") {
    // Source: IEC 61966-2-1. Code 128: ((128/255 + 0.055) / 1.055)^2.4 = 0.2158605; code 10 is below the
    // linear part's end: 10 / 255 / 12.92 = 0.00303527.
    const Folder folder;
    std::filesystem::create_directory(folder / "maps");
    // Upper row white, code 128; lower row black, code 10 (PNG starts at the top).
    write_png(folder / "maps/four.png", 2, 2, 3, {255, 255, 255, 128, 128, 128, 0, 0, 0, 10, 10, 10});
    folder.write(
        "a.mtl",
        "newmtl t\nKd 0 0 0\nmap_Kd maps\\four.png\nnewmtl again\nKd 1 1 1\nmap_Kd maps\\four.png\n");
    folder.write("a.obj", "mtllib a.mtl\nusemtl t\nv 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nvt 1 0\nvt 0 1\n"
                          "f 1/1 2/2 3/3\nusemtl again\nf 1/1 2/2 3/3\n");
    const ObjMesh mesh = read_obj_file(folder / "a.obj");
    REQUIRE(mesh.textures.size() == 1); // one picture, shared
    CHECK(mesh.materials[0].texture == 0);
    CHECK(mesh.materials[1].texture == 0);
    CHECK(mesh.materials[0].reflectance == glm::vec3(1)); // a black Kd before a picture means none
    const Texture& texture = mesh.textures[0];
    CHECK(texture.albedo(0.75f, 0.75f).x == doctest::Approx(0.2158605).epsilon(1e-6));
    CHECK(texture.albedo(0.25f, 0.75f).y == 1);
    CHECK(texture.albedo(0.25f, 0.25f).z == 0);
    CHECK(texture.albedo(0.75f, 0.25f).x == doctest::Approx(0.00303527).epsilon(1e-5));
    CHECK(texture.albedo(-0.25f, 2.75f).x == texture.albedo(0.75f, 0.75f).x); // repeats
    CHECK(texture.albedo(1.0f, 0.5f).x == texture.albedo(0.0f, 0.5f).x);
    CHECK_FALSE(texture.has_cutouts());
    CHECK(mesh.uv[mesh.corners[0].y] == glm::vec2(1, 0));
    CHECK(read_text(cube).uv == std::vector<glm::vec2>(8, glm::vec2(0)));
}

TEST_CASE("a picture's alpha and a mask of its own cut holes alike") {
    const Folder folder;
    write_png(folder / "cut.png", 2, 1, 4, {90, 90, 90, 0, 90, 90, 90, 255});
    write_png(folder / "mask.png", 2, 1, 1, {0, 255});
    write_png(folder / "full.png", 1, 1, 3, {90, 90, 90});
    folder.write("a.mtl",
                 "newmtl own\nKd 1 1 1\nmap_Kd cut.png\nnewmtl masked\nKd 0.3 0.3 0.3\nmap_d mask.png\n"
                 "newmtl both\nKd 1 1 1\nmap_Kd cut.png\nmap_d cut.png\n");
    folder.write("a.obj", "mtllib a.mtl\n" + cube);
    const ObjMesh mesh = read_obj_file(folder / "a.obj");
    REQUIRE(mesh.textures.size() == 3);
    for (const Texture& texture : mesh.textures) {
        CHECK(texture.has_cutouts());
        CHECK(texture.alpha(0.25f, 0.5f) == 0);
        CHECK(texture.alpha(0.75f, 0.5f) == 1);
    }
    CHECK(mesh.textures[1].albedo(0.75f, 0.5f) == glm::vec3(1)); // the mask has no colour of its own
}
