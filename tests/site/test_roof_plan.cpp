// Roofs in the plan: closed forms of the handbooks of carpentry. Plan area over the cosine of the slope is
// the area of a plane; the ridge lies a run's rise above the eave; hips bisect the corners of the footprint.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/roof_plan.hpp"

using namespace duskcast;

namespace {

Site make_house(double width, double depth, double eave) {
    Wall wall{
        .id = "house", .path = {{0, 0}, {width, 0}, {width, depth}, {0, depth}}, .closed = true, .height = 3};
    wall.eave = Eave{.depth = eave, .thickness = 0.2};
    Site site;
    site.walls = {wall};
    return site;
}

double plan_area(const RoofPlan& plan, std::size_t side, bool with_overhang) {
    return std::abs(signed_area(plan.part_below(plan.sides[side], plan.outline(with_overhang))));
}

} // namespace

TEST_CASE("a hip roof's ridge is half the narrow side's run up, and its planes are triangles and trapezia") {
    // Over 12 x 8 m: two trapezia of (12 + 4) / 2 x 4 and two triangles of 8 x 4 / 2 in plan.
    const Site site = make_house(12, 8, 0);
    const Roof roof{.id = "roof", .form = RoofForm::hip, .wall = "house", .rise_in_12 = 9};
    const RoofPlan plan = plan_roof(site, roof);
    REQUIRE(plan.sides.size() == 4);
    CHECK(plan.underside == 3);
    CHECK(plan.ridge() == doctest::Approx(3 + 0.2 + 4 * 0.75));
    for (const std::size_t side : {0, 2})
        CHECK(plan_area(plan, side, false) == doctest::Approx(32));
    for (const std::size_t side : {1, 3})
        CHECK(plan_area(plan, side, false) == doctest::Approx(16));
    // A hip runs at 45 degrees in plan from each corner.
    CHECK(plan.plane_at(plan.sides[0], {1.7, 1.7}) ==
          doctest::Approx(plan.plane_at(plan.sides[3], {1.7, 1.7})));
    CHECK(plan.top_at({6, 4}) == doctest::Approx(plan.ridge()));
    CHECK(plan.top_at({6, 1}) == doctest::Approx(3.2 + 0.75));
}

TEST_CASE("an overhang lowers nothing: the planes rise from its edge") {
    const Site site = make_house(12, 8, 0.5);
    const RoofPlan plan =
        plan_roof(site, {.id = "roof", .form = RoofForm::hip, .wall = "house", .rise_in_12 = 6});
    CHECK(plan.plane_at(plan.sides[0], {6, -0.5}) == doctest::Approx(3.2));
    CHECK(plan.ridge() == doctest::Approx(3.2 + 4.5 * 0.5));
    const auto wide = plan.outline(true);
    CHECK(std::abs(signed_area(wide)) == doctest::Approx(13 * 9));
    double sum = 0;
    for (std::size_t side = 0; side < 4; ++side)
        sum += plan_area(plan, side, true);
    CHECK(sum == doctest::Approx(13 * 9)); // the planes share the whole of it
}

TEST_CASE("a gable roof's ridge runs along the front, or back from it") {
    const Site site = make_house(12, 8, 0);
    Roof roof{.id = "roof", .wall = "house", .rise_in_12 = 12};
    const RoofPlan along = plan_roof(site, roof);
    CHECK(along.top_at({0.1, 4}) == doctest::Approx(3.2 + 4));
    CHECK(along.ridge() == doctest::Approx(7.2));
    roof.ridge = RidgeRun::back;
    const RoofPlan back = plan_roof(site, roof);
    CHECK(back.top_at({6, 0.1}) == doctest::Approx(3.2 + 6));
    CHECK_FALSE(back.sides[0].is_sloping);
}

TEST_CASE(
    "a house of one straight wall goes back by its depth, and of several segments the longest is the front") {
    Site site;
    site.walls = {{.id = "front", .path = {{0, 0}, {10, 0}}, .foot = 0.5, .height = 3},
                  {.id = "three", .path = {{0, 30}, {0, 20}, {14, 20}, {14, 30}}, .height = 3}};
    const RoofPlan plan = plan_roof(site, {.id = "r", .wall = "front", .depth = 7, .overhang = 0.4});
    CHECK(plan.underside == 3.5);
    CHECK(std::abs(signed_area(plan.outline(false))) == doctest::Approx(70));
    CHECK(plan.sides[2].start.y == doctest::Approx(7));
    CHECK(plan.sides[0].segment == 0);
    CHECK(plan.sides[1].segment == -1);
    CHECK(plan.sides[0].overhang == 0.4);

    const RoofPlan round = plan_roof(site, {.id = "r", .wall = "three"});
    CHECK(round.sides[0].segment == 1);
    CHECK(round.sides[2].segment == -1);
    CHECK(std::abs(signed_area(round.outline(false))) == doctest::Approx(140));
}

TEST_CASE("plans show the houses under roofs, and no porch") {
    Site site;
    site.walls = {{.id = "front", .path = {{0, 0}, {10, 0}}, .height = 3}};
    site.roofs = {{.id = "porch", .outline = {{4, -2}, {6, -2}, {6, 0}, {4, 0}}, .height = 2.4},
                  {.id = "roof", .wall = "front", .depth = 7, .overhang = 0.4}};
    const std::vector<std::vector<glm::dvec2>> houses = list_house_footprints(site);
    REQUIRE(houses.size() == 1);
    CHECK(std::abs(signed_area(houses.front())) == doctest::Approx(70)); // without its overhangs
}

TEST_CASE("a shed roof rises from the outline's first side, whichever way it is walked") {
    std::vector<glm::dvec2> outline{{4, 0}, {0, 0}, {0, 3}, {4, 3}}; // clockwise, front at y = 0
    for (int turn = 0; turn < 2; ++turn) {
        const RoofPlan plan = plan_roof({}, {.id = "porch",
                                             .form = RoofForm::shed,
                                             .outline = outline,
                                             .height = 2.4,
                                             .rise_in_12 = 3,
                                             .overhang = 0.2,
                                             .thickness = 0.15});
        CHECK(plan.top_at({1, -0.2}) == doctest::Approx(2.55));
        CHECK(plan.ridge() == doctest::Approx(2.55 + 3.2 * 0.25));
        CHECK(plan.sides[2].overhang == 0); // it ends at the house
        std::swap(outline[0], outline[1]);
        std::swap(outline[2], outline[3]);
    }
}

TEST_CASE("a hip roof over a regular hexagon is a pyramid") {
    std::vector<glm::dvec2> outline;
    for (int i = 0; i < 6; ++i)
        outline.emplace_back(5 * std::cos(i * 1.0471975512), 5 * std::sin(i * 1.0471975512));
    const RoofPlan plan = plan_roof({}, {.id = "r",
                                         .form = RoofForm::hip,
                                         .outline = outline,
                                         .height = 3,
                                         .rise_in_12 = 12,
                                         .overhang = 0,
                                         .thickness = 0.1});
    CHECK(plan.ridge() == doctest::Approx(3.1 + 5 * std::sqrt(0.75))); // the apothem's rise
    for (std::size_t side = 0; side < 6; ++side)
        CHECK(plan_area(plan, side, false) == doctest::Approx(25 * std::sqrt(0.75) / 2));
}

TEST_CASE("what is kept of a polygon on one side of a line") {
    const std::vector<glm::dvec2> square{{0, 0}, {2, 0}, {2, 2}, {0, 2}};
    CHECK(signed_area(keep_inside(square, {0, 0}, {2, 2})) == doctest::Approx(2)); // the upper left half
    CHECK(signed_area(keep_inside(square, {0, 0.5}, {1, 0.5})) == doctest::Approx(3));
    CHECK(keep_inside(square, {0, 3}, {1, 3}).empty());
}
