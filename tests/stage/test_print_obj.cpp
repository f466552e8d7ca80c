// The stage written as OBJ and read back.

#include "duskcast/base/files.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/stage/obj.hpp"
#include "duskcast/stage/print_obj.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A house with a window and an eave, a lantern, a hedge, and areas that overlap, one of them not convex.
Site make_corner_site() {
    Site site = make_wall_site({{0, 0}, {8, 0}, {8, 6}, {0, 6}}, true, 3);
    site.walls[0].openings = {make_opening("window", 1, 2, 1, 1)};
    site.walls[0].openings[0].glow = Glow{.luminance = 50};
    site.walls[0].eave = Eave{.depth = 0.3};
    site.lanterns = {
        {.id = "porch", .wall = "house", .along = 5, .up = 2, .width = 0.2, .glow = {.lumens = 300}}};
    site.shrubs = {{.id = "hedge", .path = {{0, -2}, {4, -2}}, .width = 0.6, .height = 1}};
    site.ground.areas = {
        {.id = "drive", .kind = GroundKind::paving, .outline = {{9, -9}, {13, -9}, {13, 9}, {9, 9}}},
        {.id = "bed",
         .kind = GroundKind::bed,
         .outline = {{6, -8}, {12, -8}, {12, -6}, {8, -6}, {8, -2}, {6, -2}}}};
    site.sensor_spacing = site.ground_spacing = 1;
    return site;
}

using Areas = std::map<std::string, double>; ///< m2 by surface

Areas areas_of(const Stage& stage) {
    Areas areas;
    for (std::size_t i = 0; i < stage.opaque.size(); ++i) {
        const glm::uvec3& corner = stage.opaque.corners[i];
        const glm::dvec3 a(stage.opaque.vertices[corner.x]), b(stage.opaque.vertices[corner.y]),
            c(stage.opaque.vertices[corner.z]);
        areas[stage.surfaces[stage.opaque.surface[i]].id] += glm::length(glm::cross(b - a, c - a)) / 2;
    }
    for (std::size_t i = 0; i < stage.leaves.size(); ++i)
        areas[stage.surfaces[stage.leaves.surface[i]].id] += static_cast<double>(stage.leaves.area(i));
    return areas;
}

Areas areas_of(const ObjMesh& mesh) {
    Areas areas;
    for (std::size_t i = 0; i < mesh.corners.size(); ++i) {
        const glm::uvec3& corner = mesh.corners[i];
        const glm::dvec3 a(mesh.vertices[corner.x]), b(mesh.vertices[corner.y]), c(mesh.vertices[corner.z]);
        areas[mesh.shape_names[mesh.shape[i]]] += glm::length(glm::cross(b - a, c - a)) / 2;
    }
    return areas;
}

ObjMesh write_and_read(const Stage& stage, const Folder& folder) {
    const ObjText text = print_obj(stage, "stage.mtl", folder.path());
    write_text_file(folder / "stage.mtl", text.mtl);
    write_text_file(folder / "stage.obj", text.obj);
    return read_obj_file(folder / "stage.obj");
}

} // namespace

TEST_CASE("the stage read back from its OBJ has the same areas, surface by surface") {
    const auto stage = build_stage(make_corner_site(), {});
    const Folder folder;
    const ObjMesh mesh = write_and_read(*stage, folder);
    CHECK(mesh.warnings.empty());
    Areas expected = areas_of(*stage);
    // Worked by hand: the drive is 4 x 18, of which the bed on top covers 3 x 2; the bed is 6 x 2 + 2 x 4.
    expected["drive"] = 66;
    expected["bed"] = 20;
    expected["ground"] -= 86;
    const Areas found = areas_of(mesh);
    REQUIRE(found.size() == expected.size());
    for (const auto& one : expected) {
        const auto& id = one.first;
        const auto& area = one.second;
        CAPTURE(id);
        REQUIRE(found.contains(id));
        CHECK(found.at(id) == doctest::Approx(area).epsilon(2e-6));
    }
    CHECK(found.at("hedge") > 1);
}

TEST_CASE("every facet of the OBJ has the reflectance of what it is made of") {
    const Site site = make_corner_site();
    const auto stage = build_stage(site, {});
    const Folder folder;
    const ObjMesh mesh = write_and_read(*stage, folder);
    std::map<std::string, glm::dvec3> reflectance; // the mean over a surface's area
    Areas areas;
    for (std::size_t i = 0; i < mesh.corners.size(); ++i) {
        REQUIRE(mesh.material[i] >= 0);
        const glm::uvec3& corner = mesh.corners[i];
        const glm::dvec3 a(mesh.vertices[corner.x]), b(mesh.vertices[corner.y]), c(mesh.vertices[corner.z]);
        const double area = glm::length(glm::cross(b - a, c - a)) / 2;
        const std::string& id = mesh.shape_names[mesh.shape[i]];
        areas[id] += area;
        reflectance.try_emplace(id, glm::dvec3(0)).first->second +=
            area * glm::dvec3(mesh.materials[mesh.material[i]].reflectance);
    }
    const auto check = [&](const std::string& id, const glm::dvec3& wanted) {
        CAPTURE(id);
        for (int channel = 0; channel < 3; ++channel)
            CHECK(reflectance.at(id)[channel] / areas.at(id) ==
                  doctest::Approx(wanted[channel]).epsilon(1e-5));
    };
    check("house", site.walls[0].finish.reflectance);
    check("ground", finish_of(GroundKind::lawn).reflectance);
    check("drive", finish_of(GroundKind::paving).reflectance);
    check("bed", finish_of(GroundKind::bed).reflectance);
    check("hedge", glm::dvec3(stage->materials[stage->leaves.material[0]].reflectance));
    const std::string mtl = print_obj(*stage, "stage.mtl", folder.path()).mtl;
    CHECK(mtl.find("Ke ") != std::string::npos); // the window and the lantern
    CHECK(mtl.find("Tf ") != std::string::npos); // the leaves
}

TEST_CASE("a roof's covering, which is a picture of no file, comes out as its mean") {
    Site site = make_wall_site({{0, 0}, {6, 0}, {6, 4}, {0, 4}}, true, 3);
    site.sensor_spacing = site.ground_spacing = 1;
    site.roofs = {{.id = "roof", .form = RoofForm::hip, .wall = "house", .cover = RoofCover::slate}};
    const auto stage = build_stage(site, {});
    const Folder folder;
    const ObjMesh mesh = write_and_read(*stage, folder);
    CHECK(mesh.textures.empty());
    CHECK(print_obj(*stage, "stage.mtl", folder.path()).mtl.find("map_") == std::string::npos);
    int covered = 0;
    for (std::size_t i = 0; i < mesh.corners.size(); ++i)
        if (mesh.shape_names[mesh.shape[i]] == "roof") {
            ++covered;
            for (int channel = 0; channel < 3; ++channel)
                CHECK(mesh.materials[mesh.material[i]].reflectance[channel] ==
                      doctest::Approx(finish_of(RoofCover::slate).reflectance[channel]).epsilon(1e-4));
        }
    CHECK(covered > 3);
    CHECK(areas_of(mesh).at("roof") == doctest::Approx(areas_of(*stage).at("roof")).epsilon(1e-5));
}

TEST_CASE("pictures are named as they lie from the OBJ") {
    const std::filesystem::path scene = std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes/cottage";
    const Site site = read_site_file(scene / "cottage.site.json").site;
    const auto stage = build_stage(site, scene);
    const Folder folder;
    const ObjMesh mesh = write_and_read(*stage, folder);
    CHECK(mesh.textures.size() == stage->textures.size());
    Areas expected = areas_of(*stage);
    double cutouts = 0;
    for (const glm::uvec3& corner : stage->cutouts.corners)
        cutouts += glm::length(glm::cross(
                       glm::dvec3(stage->cutouts.vertices[corner.y] - stage->cutouts.vertices[corner.x]),
                       glm::dvec3(stage->cutouts.vertices[corner.z] - stage->cutouts.vertices[corner.x]))) /
                   2;
    double ours = cutouts, theirs = 0;
    for (const auto& [id, area] : expected)
        ours += area;
    for (const auto& [id, area] : areas_of(mesh))
        theirs += area;
    CHECK(theirs == doctest::Approx(ours).epsilon(1e-5));
}
