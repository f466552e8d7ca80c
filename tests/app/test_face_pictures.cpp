// The pictures of faces in the walk: in the mean they are what the light is computed with, and to scale.

#include <array>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/app/face_pictures.hpp"
#include "duskcast/base/colour.hpp"
#include "duskcast/site/finish.hpp"
#include "garden_site.hpp"

using namespace duskcast;

namespace {

test::Json make_brick_garden() {
    test::Json site = test::make_garden();
    site["walls"][0]["cladding"] = "brick, running bond";
    site["walls"][0]["finish"] = "brick red common";
    site["walls"][0]["openings"] = test::Json::parse(
        R"([{"id": "lit", "kind": "window", "from": "4 ft", "width": "3 ft", "sill": "2 ft", "height": "4 ft",
             "glow": {"luminance": 3}}])");
    return site;
}

std::unique_ptr<Stage> make_brick_stage() {
    return build_stage(read_site(test::text_of(make_brick_garden()), "garden.site.json").site, ".");
}

/// The picture of the first triangle of a surface of that kind that has one; -1: none.
int picture_of(const Stage& stage, const StageMesh& mesh, const FacePictures& faces, SurfaceKind kind) {
    for (std::size_t i = 0; i < mesh.size(); ++i)
        if (faces.picture[i] >= 0 && stage.surfaces[mesh.surface[i]].kind == kind)
            return faces.picture[i];
    return -1;
}

} // namespace

TEST_CASE("brick has the wall's finish in the mean, to the shares of the 8 bits that it is kept in") {
    const std::unique_ptr<Stage> stage = make_brick_stage();
    const StageMesh mesh = make_stage_mesh(*stage);
    const FacePictures faces = make_face_pictures(*stage, mesh);
    const int index = picture_of(*stage, mesh, faces, SurfaceKind::wall);
    REQUIRE(index >= 0);
    const FacePicture& brick = faces.pictures[static_cast<std::size_t>(index)];
    glm::dvec3 mean(0);
    const std::size_t texels = brick.rgba.size() / 4;
    REQUIRE(texels == static_cast<std::size_t>(brick.width) * static_cast<std::size_t>(brick.height));
    for (std::size_t i = 0; i < texels; ++i)
        for (int channel = 0; channel < 3; ++channel)
            mean[channel] += decode_srgb(brick.rgba[4 * i + static_cast<std::size_t>(channel)] / 255.0) /
                             static_cast<double>(texels);
    const glm::dvec3 finish(make_finish("brick red common").reflectance);
    for (int channel = 0; channel < 3; ++channel)
        CHECK(mean[channel] == doctest::Approx(finish[channel]).epsilon(0.05));
}

TEST_CASE("a piece of brick is 96 in wide and high, twelve stretchers by 36 courses, and lies on its face to "
          "scale") {
    // Modular brick: 8 in from joint to joint, three courses to 8 in (trade sizes of North America, from
    // memory).
    constexpr double inch = 0.0254;
    const std::unique_ptr<Stage> stage = make_brick_stage();
    const StageMesh mesh = make_stage_mesh(*stage);
    const FacePictures faces = make_face_pictures(*stage, mesh);
    std::size_t looked_at = 0;
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        if (faces.picture[i] < 0 || stage->surfaces[mesh.surface[i]].kind != SurfaceKind::wall)
            continue;
        ++looked_at;
        for (std::size_t corner = 1; corner < 3; ++corner) {
            const float* place = faces.uv.data() + 6 * i;
            const float* at = mesh.position.data() + 9 * i;
            const double wide = static_cast<double>(place[2 * corner] - place[0]) * 96 * inch;
            const double high = static_cast<double>(place[2 * corner + 1] - place[1]) * 96 * inch;
            const float* other = at + 3 * corner;
            CHECK(std::abs(wide) ==
                  doctest::Approx(std::hypot(other[0] - at[0], other[1] - at[1])).epsilon(1e-4));
            CHECK(high == doctest::Approx(other[2] - at[2]).epsilon(1e-4));
        }
    }
    CHECK(looked_at > 4);
}

TEST_CASE("a lit room glows by the site's luminance in the mean of its opening, and a wall does not") {
    const std::unique_ptr<Stage> stage = make_brick_stage();
    const StageMesh mesh = make_stage_mesh(*stage);
    const FacePictures faces = make_face_pictures(*stage, mesh);
    const int pane = picture_of(*stage, mesh, faces, SurfaceKind::opening);
    REQUIRE(pane >= 0);
    const FacePicture& room = faces.pictures[static_cast<std::size_t>(pane)];
    double mean = 0;
    for (std::size_t i = 3; i < room.rgba.size(); i += 4)
        mean += 4.0 * room.rgba[i] / 255 / static_cast<double>(room.rgba.size());
    const glm::dvec3 glow = mean * room.glow;
    CHECK(glm::dot(glow, glm::dvec3(0.2126, 0.7152, 0.0722)) == doctest::Approx(3).epsilon(0.04));
    const int brick = picture_of(*stage, mesh, faces, SurfaceKind::wall);
    REQUIRE(brick >= 0);
    CHECK(faces.pictures[static_cast<std::size_t>(brick)].glow == glm::dvec3(0));
}

TEST_CASE("an even wall has no picture") {
    const std::unique_ptr<Stage> stage =
        build_stage(read_site(test::text_of(test::make_garden()), "garden.site.json").site, ".");
    const StageMesh mesh = make_stage_mesh(*stage);
    const FacePictures faces = make_face_pictures(*stage, mesh);
    REQUIRE(faces.picture.size() == mesh.size());
    CHECK(picture_of(*stage, mesh, faces, SurfaceKind::wall) == -1);
}

TEST_CASE(
    "boards and shutters are triangles of their own, as large as they are, before the face they are on") {
    test::Json site = make_brick_garden();
    site["walls"][0]["openings"][0]["shutters"] = "louvred";
    site["walls"][0]["openings"][0]["casing"] = "4 in";
    site["walls"][0]["frieze"] = "8 in";
    const std::unique_ptr<Stage> stage =
        build_stage(read_site(test::text_of(site), "garden.site.json").site, ".");
    const StageMesh mesh = make_stage_mesh(*stage);
    const FacePictures faces = make_face_pictures(*stage, mesh);
    std::vector<double> shown(stage->reliefs.size());
    for (std::size_t i = 0; i < mesh.size(); ++i) {
        if (mesh.relief[i] < 0)
            continue;
        CHECK(faces.picture[i] >= 0);
        const ReliefArea& area = stage->reliefs[static_cast<std::size_t>(mesh.relief[i])];
        CHECK(area.surface == mesh.surface[i]);
        std::array<glm::dvec3, 3> corner;
        for (std::size_t k = 0; k < 3; ++k) {
            const float* at = mesh.position.data() + 9 * i + 3 * k;
            corner[k] = {at[0], at[1], at[2]};
        }
        shown[static_cast<std::size_t>(mesh.relief[i])] +=
            glm::length(glm::cross(corner[1] - corner[0], corner[2] - corner[0])) / 2;
        if (area.outline.empty())
            continue;
        const glm::dvec2 middle = unfold(area.run, area.foot, (corner[0] + corner[1] + corner[2]) / 3.0);
        CHECK(is_inside(area.outline, middle));
    }
    std::size_t parts = 0;
    for (std::size_t i = 0; i < shown.size(); ++i)
        if (const std::vector<glm::dvec2>& outline = stage->reliefs[i].outline; !outline.empty()) {
            ++parts;
            CHECK(shown[i] == doctest::Approx(std::abs(signed_area(outline))).epsilon(1e-4));
        }
    CHECK(parts >= 4); // two shutters, the casing, the frieze
}
