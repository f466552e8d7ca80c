// Faulty OBJ files, each with the exact message it must give.

#include "duskcast/stage/obj.hpp"
#include "stage_test.hpp"

#include <sstream>
#include <stb_image_write.h>

using namespace duskcast;
using namespace duskcast::test;

namespace {

std::string message_of(const std::string& text) {
    const std::string message = problems_of([&] { read_obj(text, "a.obj", "no-such-folder"); });
    return message.empty() ? "read without a word" : message;
}

const std::string triangle = "v 0 0 0\nv 1 0 0\nv 0 1 0\n";

} // namespace

TEST_CASE("a sound triangle is read, with indices from the front and from the back") {
    const ObjMesh mesh = read_obj(triangle + "f 1 2 3\nf -3 -1 -2\n", "a.obj", "");
    CHECK(mesh.corners.size() == 2);
    CHECK(mesh.vertices.size() == 3);
}

TEST_CASE("faulty OBJ files are refused with place and remedy") {
    CHECK(message_of(" \n\t\n") == "a.obj: error: is empty; export the mesh again");
    CHECK(message_of(triangle) ==
          "a.obj: error: has no faces; export the mesh as polygons (lines that start with \"f\")");
    CHECK(message_of("v 0 nan 0\n") ==
          "a.obj:1: error: \"nan\" is not a coordinate; write a decimal number from -1e9 to 1e9");
    CHECK(message_of("v 0 0 inf\n") ==
          "a.obj:1: error: \"inf\" is not a coordinate; write a decimal number from -1e9 to 1e9");
    CHECK(message_of("v 0 0 0,5\n") ==
          "a.obj:1: error: \"0,5\" is not a coordinate; write a decimal number from -1e9 to 1e9");
    CHECK(message_of("v 1e400 0 0\n") ==
          "a.obj:1: error: \"1e400\" is not a coordinate; write a decimal number from -1e9 to 1e9");
    CHECK(message_of("v 2e9 0 0\n") ==
          "a.obj:1: error: \"2e9\" is not a coordinate; write a decimal number from -1e9 to 1e9");
    CHECK(message_of(triangle + "vt\n") ==
          "a.obj:4: error: 0 numbers where 1 belong; write the missing coordinates");
    CHECK(message_of("v 0 0\n") == "a.obj:1: error: 2 numbers where 3 belong; write the missing coordinates");
    CHECK(message_of(triangle + "f 1 2 4\n") == "a.obj:4: error: index 4 in \"4\", but there are 3 vertices "
                                                "so far; count from 1 up, or from -1 back");
    CHECK(message_of(triangle + "f 1 2 0\n") == "a.obj:4: error: index 0 in \"0\", but there are 3 vertices "
                                                "so far; count from 1 up, or from -1 back");
    CHECK(message_of(triangle + "f 1 2 -4\n") ==
          "a.obj:4: error: index -4 in \"-4\", but there are 3 vertices "
          "so far; count from 1 up, or from -1 back");
    CHECK(
        message_of(triangle + "f 1/1 2/1 3/1\n") ==
        "a.obj:4: error: index 1 in \"1/1\", but there are 0 texture coordinates so far; count from 1 up, or "
        "from -1 back");
    CHECK(message_of(triangle + "f 1//2 2//1 3//1\n") ==
          "a.obj:4: error: index 2 in \"1//2\", but there are 0 normals so far; count from 1 up, or from -1 "
          "back");
    for (const std::string bad : {"x", "1/1/1/1", "/1", "2.5"})
        CHECK(message_of(triangle + "vt 0\nvn 0 0 1\nf 1 2 " + bad + "\n") ==
              "a.obj:6: error: \"" + bad + "\" is not a corner of a face; write v, v/vt, v//vn or v/vt/vn");
    CHECK(message_of(triangle + "f 1 2\n") ==
          "a.obj:4: error: a face with 2 corners; a face has 3 to 255 corners");
    CHECK(message_of(triangle + "f 1 1 1\n") ==
          "a.obj: error: has no face with an area; export the mesh again");
}

TEST_CASE("a corner with a blank inside never reads outside the file's own lists") {
    std::ifstream file(DUSKCAST_TEST_DIR "/fuzz/corpus/obj/space-in-corner.obj");
    REQUIRE(file);
    std::ostringstream text;
    text << file.rdbuf();
    CHECK(message_of(text.str()) ==
          "a.obj: error: has a face that points to a vertex, texture coordinate or normal it does not have; "
          "write "
          "the corners of a face as v, v/vt, v//vn or v/vt/vn, without blanks inside");
}

TEST_CASE("faulty files, materials and textures are named") {
    const Folder folder;
    const std::string name = (folder / "a.obj").generic_string();
    const auto read_with = [&](const std::string& material) {
        folder.write("a.mtl", "newmtl m\n" + material);
        folder.write("a.obj", "mtllib a.mtl\nusemtl m\n" + triangle + "f 1 2 3\n");
        return problems_of([&] { read_obj_file(folder / "a.obj"); });
    };
    CHECK(problems_of([&] { read_obj_file(folder / "a.obj"); }) ==
          name + ": error: cannot be opened; check that the file is there and may be read");
    CHECK(problems_of([&] { read_obj_file(folder.path()); }) ==
          folder.path().generic_string() +
              ": error: cannot be opened; check that the file is there and may be read");
    CHECK(read_with("Kd 0.2 0.2 0.2\n").empty());
    CHECK(read_with("Kd 1.2 0.2 0.2\n") == name + ": error: material \"m\" has a diffuse colour (Kd) outside "
                                                  "0..1; write Kd with three numbers from 0 "
                                                  "to 1");
    CHECK(read_with("Kd -0.1 0.2 0.2\n") == read_with("Kd 1.2 0.2 0.2\n"));
    CHECK(read_with("  Kd +0.2 2e-1 .2 # and a word\r\n").empty());
    for (const std::string colour :
         {"0.2 nan 0.2", "0.2 0.2 inf", "0.2 -nan(1) 0.2", "1e999 0 0", "0.5", "", "0,2 0,2 0,2", "red"}) {
        CAPTURE(colour);
        CHECK(read_with("Kd " + colour + "\n") ==
              name + ": error: material \"m\" has a diffuse colour (Kd) that is not three numbers; "
                     "write Kd with three numbers from 0 to 1");
    }
    // Lines may end with a carriage return alone, as on Macs before OS X.
    CHECK(read_with("Ns 1\rKd 0.2 0.2 0.2\r").empty());
    CHECK(read_with("Ns 1\rKd red\r") == read_with("Kd red\n"));
    CHECK(read_with("map_Kd gone.png\n") == name +
                                                ": error: texture \"gone.png\" is not there; put the picture "
                                                "beside the OBJ or mend its name in the MTL");
    CHECK(read_with("map_d gone.png\n") == name +
                                               ": error: texture \"gone.png\" is not there; put the picture "
                                               "beside the OBJ or mend its name in the MTL");
    folder.write("text.png", "this is no picture");
    CHECK(read_with("map_Kd text.png\n") == // the reason in brackets is the picture reader's own
          name + ": error: texture \"text.png\" cannot be read (unknown image type); save it as PNG or JPEG");
    // Nothing but black, or black where it is not cut out.
    for (const bool is_cut : {false, true}) {
        std::vector<std::uint8_t> pixels(4 * 8 * 8, 0);
        for (std::size_t i = 0; i < pixels.size(); i += 4) {
            pixels[i + 3] = is_cut && i < 64 ? 0 : 255;
            pixels[i] = is_cut && i < 64 ? 200 : 0;
        }
        REQUIRE(stbi_write_png((folder / "black.png").generic_string().c_str(), 8, 8, 4, pixels.data(), 0) !=
                0);
        CHECK(read_with("map_Kd black.png\n") ==
              name + ": error: texture \"black.png\" is black all over: nothing would be seen; export the "
                     "picture again, or give a dark finish by Kd alone");
        pixels[254] = 1;
        REQUIRE(stbi_write_png((folder / "black.png").generic_string().c_str(), 8, 8, 4, pixels.data(), 0) !=
                0);
        CHECK(read_with("map_Kd black.png\n").empty());
    }
    // A picture whose header is sound and whose rest is missing.
    const std::vector<std::uint8_t> grey(3 * 64 * 64, 90);
    REQUIRE(stbi_write_png((folder / "cut.png").generic_string().c_str(), 64, 64, 3, grey.data(), 0) != 0);
    std::filesystem::resize_file(folder / "cut.png", 45);
    const std::string message = read_with("map_Kd cut.png\n");
    CHECK(message.starts_with(name + ": error: texture \"cut.png\" cannot be read ("));
    CHECK(message.ends_with("); save it as PNG or JPEG"));
    // A PNG of 20,000 x 1 grey pixels, as far as its head; no reader need look at the sums of its blocks for
    // that.
    using namespace std::string_literals;
    folder.write(
        "wide.png",
        "\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\x4e\x20\0\0\0\1\x08\0\0\0\0\0\0\0\0\0\0\0\0IDAT\0\0\0\0"s);
    CHECK(read_with("map_Kd wide.png\n") ==
          name + ": error: texture \"wide.png\" is 20000 x 1 pixels; scale it down to 16384 pixels across");
}

TEST_CASE("meshes too large to handle are refused before they are built") {
    // Each face with 255 corners is 253 triangles: 20,000 of them pass 5 million.
    std::string face = "f";
    for (int i = 0; i < 255; ++i)
        face += i % 3 == 0 ? " 1" : i % 3 == 1 ? " 2" : " 3";
    CHECK(message_of(triangle + face + " 1\n") ==
          "a.obj:4: error: a face with 256 corners; a face has 3 to 255 corners");
    std::string text = triangle;
    for (int i = 0; i < 20'000; ++i)
        text += face + "\n";
    CHECK(message_of(text) ==
          "a.obj: error: has more than 5000000 triangles, of the 5000000 that the meshes of a site may have; "
          "simplify the meshes");
    // A sparse file takes no room on the disk.
    const Folder folder;
    folder.write("a.obj", triangle);
    std::filesystem::resize_file(folder / "a.obj", 1'100'000'000);
    CHECK(problems_of([&] { read_obj_file(folder / "a.obj"); }) ==
          (folder / "a.obj").generic_string() + ": error: is larger than 1 GB; simplify the mesh");
}

TEST_CASE("what the meshes of a site hold together is limited") {
    const Folder folder;
    folder.write("a.obj", "mtllib a.mtl\nusemtl p\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\n");
    folder.write("a.mtl", "newmtl p\nmap_Kd grey.png\n");
    const std::vector<std::uint8_t> grey(3 * 2000 * 1000, 90);
    REQUIRE(stbi_write_png((folder / "grey.png").generic_string().c_str(), 2000, 1000, 3, grey.data(), 0) !=
            0);
    const auto message = [&](std::size_t triangles, std::size_t texels) {
        return problems_of([&] { read_obj_file(folder / "a.obj", {triangles, texels}); });
    };
    const std::string name = (folder / "a.obj").generic_string();
    CHECK(message(2, 2'000'000).empty());
    CHECK(message(1, 2'000'000) ==
          name + ": error: has more than 1 triangles, of the 5000000 that the meshes of a site may have; "
                 "simplify the meshes");
    CHECK(message(2, 1'999'999) ==
          name +
              ": error: texture \"grey.png\" has 2 million pixels, and there is room for 1 million of the " +
              std::to_string(ObjAllowance().texels / 1'000'000) +
              " million that the textures of a site may have; scale the textures down");
}
