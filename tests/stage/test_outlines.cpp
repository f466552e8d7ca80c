// The outlines that plates and plans are drawn from, against areas and heights of the walls they are of.

#include "duskcast/site/layout.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

std::vector<const OutlineShape*> shapes_of(const Surface& surface, OutlineShape::Role role) {
    std::vector<const OutlineShape*> shapes;
    for (const OutlineShape& shape : surface.outline)
        if (shape.role == role)
            shapes.push_back(&shape);
    return shapes;
}

double area_of(const OutlineShape& shape) {
    return std::abs(signed_area(shape.points));
}

/// A bent wall with two gables, which may cross, and holes of every kind.
Site make_house(Dice& dice) {
    Site site = make_wall_site({{0, 0}, {12, 0}, {12, 7}}, false, dice.uniform(2.6, 4));
    site.sensor_spacing = 0.5;
    site.ground_spacing = 2;
    Wall& wall = site.walls[0];
    wall.gables = {{"one", 1, dice.uniform(3, 6), wall.height + dice.uniform(0.5, 2.5)},
                   {"two", dice.uniform(3, 6), 5, wall.height + dice.uniform(0.5, 2.5)}};
    wall.openings = {make_opening("window", dice.uniform(0.5, 3), 1, 0.9, 1.2),
                     make_opening("door", 13, 1, 0, 2)};
    wall.projections = {make_projection("bay", 8, 2, 0.6, 0, 2.2)};
    return site;
}

} // namespace

TEST_CASE("a wall's edge is its whole run, as high as its eave line and its gables") {
    Dice dice(71);
    for (int trial = 0; trial < 15; ++trial) {
        CAPTURE(trial);
        const Site site = make_house(dice);
        const Wall& wall = site.walls[0];
        const std::unique_ptr<Stage> stage = build_stage(site, {});
        const Surface& surface = surface_named(*stage, "house");
        const auto edges = shapes_of(surface, OutlineShape::Role::edge);
        REQUIRE(edges.size() == 1);
        CHECK(edges[0]->is_closed);
        // Its area by the rule of midpoints over the top of the wall (layout.hpp).
        double area = 0;
        constexpr int strips = 20'000;
        for (int i = 0; i < strips; ++i)
            area += top_of(wall, 19.0 * (i + 0.5) / strips) * 19.0 / strips;
        CHECK(area_of(*edges[0]) == doctest::Approx(area).epsilon(1e-4));
        for (int i = 0; i < 50; ++i) {
            const double u = dice.uniform(0.01, 18.99);
            CHECK(surface.upper_edge(u).value() == doctest::Approx(top_of(wall, u)).epsilon(1e-6));
        }
        CHECK(!surface.upper_edge(19.2));
        const auto corners = shapes_of(surface, OutlineShape::Role::corner);
        REQUIRE(corners.size() == 1);
        CHECK(corners[0]->points[0].x == doctest::Approx(12));
        CHECK(corners[0]->points[1].y == doctest::Approx(top_of(wall, 12)));
    }
}

TEST_CASE("holes and bays are outlined where they are, and gables by their slopes") {
    Dice dice(72);
    const Site site = make_house(dice);
    const Wall& wall = site.walls[0];
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const Surface& surface = surface_named(*stage, "house");
    const auto openings = shapes_of(surface, OutlineShape::Role::opening);
    REQUIRE(openings.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
        const Opening& opening = wall.openings[i];
        CHECK(openings[i]->id == opening.id);
        CHECK(area_of(*openings[i]) == doctest::Approx(opening.width * opening.height));
        CHECK(openings[i]->points[0] == glm::dvec2(opening.from, opening.sill));
    }
    const auto bays = shapes_of(surface, OutlineShape::Role::projection);
    REQUIRE(bays.size() == 1);
    CHECK(area_of(*bays[0]) == doctest::Approx(2 * 2.2));
    // The bay by itself is unfolded: two flanks and a front.
    const Surface& bay = surface_named(*stage, "house.bay");
    CHECK(area_of(*shapes_of(bay, OutlineShape::Role::edge).at(0)) == doctest::Approx((2 + 2 * 0.6) * 2.2));
    CHECK(shapes_of(bay, OutlineShape::Role::corner).size() == 2);
    const auto gables = shapes_of(surface, OutlineShape::Role::gable);
    REQUIRE(gables.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
        const Gable& gable = wall.gables[i];
        CHECK(area_of(*gables[i]) == doctest::Approx(gable.width * (gable.peak - wall.height) / 2));
        CHECK(!gables[i]->is_closed); // its foot is no line on the wall
        CHECK(gables[i]->points[1] == glm::dvec2(gable.from + gable.width / 2, gable.peak));
    }
}
