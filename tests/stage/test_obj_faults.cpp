// Faulty OBJ files, each with the exact message it must give.

#include <doctest/doctest.h>
#include <fstream>
#include <sstream>

#include "duskcast/stage/obj.hpp"

using namespace duskcast;

namespace {

std::string message_of(const std::string& text) {
    std::istringstream stream(text);
    try {
        read_obj(stream, "a.obj", "no-such-folder");
    } catch (const InputError& error) {
        return print_problem(error.problems().front());
    }
    return "read without a word";
}

const std::string triangle = "v 0 0 0\nv 1 0 0\nv 0 1 0\n";

} // namespace

TEST_CASE("a sound triangle is read, with indices from the front and from the back") {
    std::istringstream stream(triangle + "f 1 2 3\nf -3 -1 -2\n");
    const ObjMesh mesh = read_obj(stream, "a.obj", "");
    CHECK(mesh.corners.size() == 2);
    CHECK(mesh.vertices.size() == 3);
}

TEST_CASE("faulty OBJ files are refused with place and remedy") {
    CHECK(message_of(" \n\t\n") == "a.obj: error: is empty; export the mesh again");
    CHECK(message_of(triangle) ==
          "a.obj: error: has no faces; export the mesh as polygons (lines that start with \"f\")");
    CHECK(message_of("v 0 nan 0\n") ==
          "a.obj:1: error: \"nan\" is not a coordinate; write a finite decimal number");
    CHECK(message_of("v 0 0\n") == "a.obj:1: error: 2 numbers where 3 belong; write the missing coordinates");
    CHECK(message_of(triangle + "f 1 2 4\n") == "a.obj:4: error: index 4 in \"4\", but there are 3 vertices "
                                                "so far; count from 1 up, or from -1 back");
    CHECK(message_of(triangle + "f 1 2\n") ==
          "a.obj:4: error: a face with 2 corners; a face has 3 to 255 corners");
    CHECK(message_of(triangle + "f 1 1 1\n") ==
          "a.obj: error: has no face with an area; export the mesh again");
}

TEST_CASE("a corner with a blank inside never reads outside the file's own lists") {
    std::ifstream file(std::string(DUSKCAST_TEST_DIR) + "/fuzz/corpus/obj/space-in-corner.obj");
    REQUIRE(file);
    std::ostringstream text;
    text << file.rdbuf();
    CHECK(message_of(text.str()) ==
          "a.obj: error: has a face that points to a vertex, texture coordinate or normal it does not have; "
          "write "
          "the corners of a face as v, v/vt, v//vn or v/vt/vn, without blanks inside");
}

TEST_CASE("a file that is not there") {
    CHECK_THROWS_AS(read_obj_file("no-such-folder/a.obj"), InputError);
}
