// Boards, shutters and numbers on walls: where they are, worked out by hand, and that no figure knows of
// them.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/site/finish.hpp"
#include "duskcast/site/trim.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_plain_house() {
    Site site;
    Wall wall{.id = "house", .path = {{0, 0}, {8, 0}, {8, 6}}, .height = 3};
    wall.finish = make_finish("siding beige");
    wall.openings = {{.id = "window", .from = 3, .width = 1.2, .sill = 1, .height = 1.5}};
    wall.gables = {{.id = "peak", .from = 0, .width = 8, .peak = 5}};
    site.walls = {wall};
    site.sensor_spacing = 0.2;
    return site;
}

/// What a picture shows of the wall there: the reflectance of the last relief that covers the place.
std::optional<glm::vec3> shown_at(const Stage& stage, const glm::dvec2& at) {
    std::optional<glm::vec3> found;
    for (const ReliefArea& area : stage.reliefs)
        if (stage.surfaces[static_cast<std::size_t>(area.surface)].id == "house" &&
            (area.outline.empty() || is_inside(area.outline, at)))
            found = area.relief->spot(glm::vec2(at)).reflectance;
    return found;
}

bool is_finish(const std::optional<glm::vec3>& shown, const Finish& finish) {
    return shown && glm::distance(glm::dvec3(*shown), finish.reflectance) < 1e-6;
}

} // namespace

TEST_CASE("boards lie round openings, at corners and under the upper edge, and shutters beside windows") {
    Site site = make_plain_house();
    Wall& wall = site.walls[0];
    wall.corner_boards = 0.15;
    wall.frieze = 0.25;
    wall.trim = make_finish("paint white new");
    Opening& window = wall.openings[0];
    window.casing = 0.1;
    window.trim = make_finish("timber cedar");
    window.shutters = Shutters::louvred;
    const auto stage = build_stage(site, ".");
    for (const double along : {0.05, 0.14, 7.9, 8.1, 13.9})
        CHECK(is_finish(shown_at(*stage, {along, 1.5}), *wall.trim));
    for (const double along : {0.2, 1.0, 7.8, 8.2, 13.8})
        CHECK_FALSE(shown_at(*stage, {along, 1.5}));
    // The gable's edge is 3 m up at its foot and 5 m in its middle: 4 m up a quarter along.
    CHECK(is_finish(shown_at(*stage, {2, 3.9}), *wall.trim));
    CHECK_FALSE(shown_at(*stage, {2, 3.7}));
    CHECK(is_finish(shown_at(*stage, {11, 2.8}), *wall.trim));
    CHECK_FALSE(shown_at(*stage, {11, 2.7}));
    for (const glm::dvec2& at : {glm::dvec2(2.95, 2), {4.25, 2}, {3.6, 2.55}, {3.6, 0.97}})
        CHECK(is_finish(shown_at(*stage, at), *window.trim));
    for (const double along : {2.4, 2.89, 4.31, 4.85}) // leaves half as wide as the window
        CHECK(is_finish(shown_at(*stage, {along, 1.7}), shutter_finish_of(window)));
    for (const double along : {2.2, 4.95})
        CHECK_FALSE(shown_at(*stage, {along, 1.7}));
}

TEST_CASE("a house number has the area of its strokes") {
    // Of a 1, a stroke 0.11 of its height wide along lines of 0.312 and 1, with round ends and joints; of a
    // 7, along 0.6 and 1.077.
    Site site = make_plain_house();
    site.walls[0].gables.clear();
    for (const auto& [text, length] : {std::pair{"1", 0.3124 + 1}, std::pair{"7", 0.6 + 1.0770}}) {
        HouseNumber number{.text = text, .along = 6, .up = 1.5, .height = 0.2};
        number.finish = make_finish("slate dark");
        site.walls[0].number = number;
        const auto stage = build_stage(site, ".");
        const int side = 600;
        int inked = 0;
        for (int i = 0; i < side; ++i)
            for (int j = 0; j < side; ++j)
                inked += is_finish(shown_at(*stage, {6 + 0.4 * ((i + 0.5) / side - 0.5),
                                                     1.5 + 0.4 * ((j + 0.5) / side - 0.5)}),
                                   number.finish)
                             ? 1
                             : 0;
        const double area = inked * 0.16 / (side * side), width = 0.11 * 0.2;
        CHECK(area == doctest::Approx(width * length * 0.2 + pi * width * width / 4).epsilon(0.04));
    }
}

TEST_CASE("boards and shutters change nothing but pictures") {
    const Site plain = make_plain_house();
    Site dressed = plain;
    Wall& wall = dressed.walls[0];
    wall.corner_boards = wall.frieze = 0.2;
    wall.number = HouseNumber{.text = "12", .along = 6, .up = 1.5};
    wall.openings[0].casing = 0.1;
    wall.openings[0].shutters = Shutters::panelled;
    const auto one = build_stage(plain, "."), other = build_stage(dressed, ".");
    CHECK(one->reliefs.empty());
    CHECK(other->reliefs.size() > 8);
    CHECK(one->opaque.size() == other->opaque.size());
    CHECK(one->materials == other->materials);
    CHECK(one->sensors.area == other->sensors.area);
}
