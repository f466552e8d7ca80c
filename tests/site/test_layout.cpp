#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "duskcast/base/problem.hpp"
#include "duskcast/site/layout.hpp"

using namespace duskcast;

namespace {

constexpr double ft = 0.3048, in = 0.0254;

void check_near(const glm::dvec2& found, double x, double y) {
    CAPTURE(found.x);
    CAPTURE(found.y);
    CHECK(std::abs(found.x - x) < 1e-12);
    CHECK(std::abs(found.y - y) < 1e-12);
}

/// A house walked round counter-clockwise, 12 m by 8 m.
Wall make_house() {
    Wall wall;
    wall.id = "house";
    wall.path = {{0, 0}, {12, 0}, {12, 8}, {0, 8}};
    wall.closed = true;
    wall.height = 3;
    return wall;
}

Tree make_tree(CrownForm form) {
    Tree tree;
    tree.id = "oak";
    tree.at = {20, 5};
    tree.form = form;
    tree.height = 10;
    tree.base = 2;
    tree.width = 6;
    return tree;
}

} // namespace

TEST_CASE("a run goes round the corners with the outside on its right hand") {
    const auto run = run_of(make_house());
    REQUIRE(run.size() == 4);
    // Standing south of the house, one sees the first wall from left to right; south is outside.
    check_near(run[0].outward, 0, -1);
    check_near(run[1].outward, 1, 0);
    check_near(run[2].outward, 0, 1);
    check_near(run[3].outward, -1, 0);
    CHECK(run[1].along == 12);
    CHECK(run[2].along == 20);
    CHECK(run[3].along == 32);
    CHECK(run[3].length == 8);

    Wall open = make_house();
    open.closed = false;
    CHECK(run_of(open).size() == 3);
    CHECK(run_of({{1, 1}}, true).empty());
    CHECK(run_of({{1, 1}, {1, 1}, {2, 1}}, false).size() == 1);
}

TEST_CASE("a slanting segment has unit vectors square to one another") {
    // 3-4-5 triangle.
    const auto run = run_of({{0, 0}, {3, 4}}, false);
    CHECK(run[0].length == 5);
    check_near(run[0].direction, 0.6, 0.8);
    check_near(run[0].outward, 0.8, -0.6);
}

TEST_CASE("a place along the run falls on one segment, the nearer end's outside the run") {
    const auto run = run_of(make_house());
    CHECK(segment_at(run, -1).along == 0);
    CHECK(segment_at(run, 11.9).along == 0);
    CHECK(segment_at(run, 12).along == 12); // a corner belongs to the segment that starts there
    CHECK(segment_at(run, 39).along == 32);
    CHECK(segment_at(run, 99).along == 32);
    CHECK(segment_at({}, 1).length == 0);
}

TEST_CASE("a projection's run is left flank, front, right flank") {
    Wall wall = make_house();
    Projection bay;
    bay.from = 4;
    bay.width = 2;
    bay.depth = 0.5;
    const auto run = run_of(wall, bay);
    REQUIRE(run.size() == 3);
    check_near(run[0].start, 4, 0);
    check_near(run[0].outward, -1, 0);
    check_near(run[1].start, 4, -0.5);
    check_near(run[1].outward, 0, -1);
    check_near(run[2].start, 6, -0.5);
    check_near(run[2].outward, 1, 0);
    CHECK(run[1].along == doctest::Approx(0.5));
    CHECK(run[2].along == doctest::Approx(2.5));

    bay.from = 14; // on the second segment, which faces east
    const auto east = run_of(wall, bay);
    check_near(east[1].start, 12.5, 2);
    check_near(east[1].outward, 1, 0);
}

TEST_CASE("the top of a wall follows its gables") {
    Wall wall = make_house();
    wall.gables = {{"a", 0, 6, 6}, {"b", 8, 4, 5}};
    CHECK(top_of(wall, 0) == doctest::Approx(3));
    CHECK(top_of(wall, 3) == doctest::Approx(6));     // the first peak
    CHECK(top_of(wall, 1.5) == doctest::Approx(4.5)); // half way up its left slope
    CHECK(top_of(wall, 5) == doctest::Approx(4));     // a third of the way up its right slope
    CHECK(top_of(wall, 7) == doctest::Approx(3));     // the eave between
    CHECK(top_of(wall, 10) == doctest::Approx(5));    // the second peak
    CHECK(top_of(wall, 11) == doctest::Approx(4));
    CHECK(top_of(wall, 30) == doctest::Approx(3));
}

TEST_CASE("every crown is as wide as it says, and empty above and below") {
    for (const CrownForm form : {CrownForm::round, CrownForm::oval, CrownForm::column, CrownForm::cone,
                                 CrownForm::vase, CrownForm::spreading, CrownForm::weeping}) {
        const Tree tree = make_tree(form);
        CAPTURE(static_cast<int>(form));
        double widest = 0;
        for (int i = 0; i <= 8000; ++i)
            widest = std::max(widest, crown_radius(tree, 2 + i * 0.001));
        CHECK(widest == doctest::Approx(3).epsilon(1e-6));
        CHECK(crown_radius(tree, 1.99) == 0);
        CHECK(crown_radius(tree, 10.01) == 0);
        CHECK(crown_radius(tree, 10) == doctest::Approx(0).epsilon(1e-9));
    }
}

TEST_CASE("crowns have the radius and volume of their solids") {
    // Ellipsoid with half axes 3, 3, 4: volume 4/3 pi a b c; radius at half its upper half 3 sqrt(1 - 1/4).
    const Tree round = make_tree(CrownForm::round);
    CHECK(crown_radius(round, 6) == doctest::Approx(3));
    CHECK(crown_radius(round, 8) == doctest::Approx(3 * std::sqrt(0.75)));
    CHECK(crown_volume(round) == doctest::Approx(4.0 / 3 * pi * 3 * 3 * 4).epsilon(1e-4));
    // Two half ellipsoids on one disk have together the volume of one ellipsoid.
    CHECK(crown_volume(make_tree(CrownForm::oval)) == doctest::Approx(48 * pi).epsilon(1e-4));
    CHECK(crown_volume(make_tree(CrownForm::spreading)) == doctest::Approx(48 * pi).epsilon(1e-4));
    // Cone: a third of its cylinder.
    const Tree cone = make_tree(CrownForm::cone);
    CHECK(crown_radius(cone, 6) == doctest::Approx(1.5));
    CHECK(crown_volume(cone) == doctest::Approx(pi * 9 * 8 / 3).epsilon(1e-4));
    // Column: a cylinder of 70 % of the height and two half ellipsoids of 15 % each.
    CHECK(crown_volume(make_tree(CrownForm::column)) ==
          doctest::Approx(pi * 9 * 8 * (0.7 + 0.3 * 2 / 3)).epsilon(1e-4));
    // Vase: a frustum (r, R = 0.15 x 3, 3; volume pi h (R^2 + R r + r^2) / 3) under a half ellipsoid.
    CHECK(crown_volume(make_tree(CrownForm::vase)) ==
          doctest::Approx(pi * 9 * 8 * (0.75 * (1 + 0.15 + 0.0225) / 3 + 0.25 * 2 / 3)).epsilon(1e-4));
    // Weeping: a frustum that narrows to 85 % at the hem, under a half ellipsoid.
    CHECK(crown_volume(make_tree(CrownForm::weeping)) ==
          doctest::Approx(pi * 9 * 8 * (0.5 * (1 + 0.85 + 0.7225) / 3 + 0.5 * 2 / 3)).epsilon(1e-4));
}

TEST_CASE("shrubs are prisms") {
    Shrub bed;
    bed.outline = {{0, 0}, {4, 0}, {0, 3}};
    bed.height = 2;
    CHECK(shrub_volume(bed) == doctest::Approx(12)); // half of 4 x 3, times 2
    Shrub hedge;
    hedge.path = {{0, 0}, {4, 0}, {4, 6}};
    hedge.width = 0.5;
    hedge.height = 2;
    CHECK(shrub_volume(hedge) == doctest::Approx(10)); // length 10
}

namespace {

/// Mean share of level parallel light that passes a crown, over its silhouette, by Beer and Lambert along
/// 400 x 400 rays. Across the light a slice of the crown is a disk.
double passing_share(const Tree& tree) {
    const int steps = 400;
    const double g = 0.5, u = leaf_area_density(tree);
    double sum = 0;
    int rays = 0;
    for (int i = 0; i < steps; ++i) {
        const double radius = crown_radius(tree, tree.base + (i + 0.5) / steps * (tree.height - tree.base));
        for (int j = 0; j < steps; ++j) {
            const double off = (j + 0.5) / steps * tree.width / 2;
            if (off >= radius)
                continue;
            sum += std::exp(-g * u * 2 * std::sqrt(radius * radius - off * off));
            ++rays;
        }
    }
    return sum / rays;
}

} // namespace

TEST_CASE("light, medium and dense crowns let through what was measured, whatever their size") {
    // Share of light or sky seen through single crowns in leaf. Wilkinson 1992: beech and horse chestnut
    // 0.19, lime 0.11; Gardner and Sydnor 1984: honey locust 0.44, coffee tree 0.40.
    const std::pair<LeafDensity, double> words[] = {
        {LeafDensity::light, 0.42}, {LeafDensity::medium, 0.20}, {LeafDensity::dense, 0.11}};
    for (const auto& [word, share] : words)
        for (const double size : {0.5, 1.0, 3.0}) {
            CAPTURE(size);
            Tree ball = make_tree(CrownForm::round);
            ball.height = ball.base + 6 * size;
            ball.width = 6 * size;
            ball.foliage.density = word;
            CHECK(passing_share(ball) == doctest::Approx(share).epsilon(0.005));
            for (const CrownForm form :
                 {CrownForm::oval, CrownForm::column, CrownForm::vase, CrownForm::spreading}) {
                CAPTURE(static_cast<int>(form));
                Tree other = ball;
                other.form = form;
                CHECK(std::abs(passing_share(other) - share) < 0.05); // one word for all forms
            }
        }
    Tree counted = make_tree(CrownForm::round);
    counted.foliage.leaf_area_density = 0.8;
    CHECK(leaf_area_density(counted) == 0.8);
}

TEST_CASE("a low bed and a thin hedge of medium density are not seen through") {
    // 3.5 m2 of leaves on each m2 let exp(-0.5 x 3.5) = 0.17 through (Monsi and Saeki 1953).
    Shrub bed;
    bed.outline = {{0, 0}, {4, 0}, {4, 3}, {0, 3}};
    bed.height = 16 * metres_per_inch;
    CHECK(std::exp(-0.5 * leaf_area_density(bed) * bed.height) == doctest::Approx(0.1738).epsilon(1e-3));
    Shrub hedge;
    hedge.path = {{0, 0}, {4, 0}};
    hedge.width = 0.5;
    hedge.height = 2;
    CHECK(std::exp(-0.5 * leaf_area_density(hedge) * hedge.width) == doctest::Approx(0.1738).epsilon(1e-3));
    bed.height = 0.1;
    CHECK(leaf_area_density(bed) == 20); // the most that a file may give
}

TEST_CASE("own lamps lose what catalogue lamps usually lose, unless they say or are as new") {
    Site site;
    site.lamps = {{.id = "plain"}, {.id = "poor", .tolerance = 0.8}};
    Fixture fixture{.id = "F1", .lamp = "plain", .light_loss_factor = 0.5};
    CHECK(light_loss_of(site, fixture).total() == doctest::Approx(0.95 * 0.9 * 0.9 * 0.5));
    fixture.lamp = "poor";
    CHECK(light_loss_of(site, fixture).total() == doctest::Approx(0.8 * 0.9 * 0.9 * 0.5));
    site.is_as_new = true;
    CHECK(light_loss_of(site, fixture).total() == doctest::Approx(0.8 * 0.5));
    site.catalogue.fixtures = {{.id = "well", .dirt = 0.7}};
    fixture.model = "well";
    CHECK(light_loss_of(site, fixture).total() == doctest::Approx(0.8 * 0.7 * 0.5));
}

TEST_CASE("a leaf is a rhomb half as wide as long") {
    // Half the product of its diagonals.
    CHECK(leaf_area(0.1) == doctest::Approx(0.1 * 0.05 / 2));
}

TEST_CASE("a trunk without a figure is a fortieth of the height") {
    Tree tree = make_tree(CrownForm::round);
    CHECK(trunk_diameter(tree) == doctest::Approx(0.25));
    tree.trunk_diameter = 0.4;
    CHECK(trunk_diameter(tree) == 0.4);
}

TEST_CASE("inside and area of an outline") {
    // An L, counter-clockwise: a 4 x 4 square without its upper right 2 x 2.
    const std::vector<glm::dvec2> shape = {{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 4}, {0, 4}};
    CHECK(signed_area(shape) == doctest::Approx(12));
    CHECK(signed_area({shape.rbegin(), shape.rend()}) == doctest::Approx(-12));
    CHECK(is_inside(shape, {1, 3}));
    CHECK(is_inside(shape, {3, 1}));
    CHECK_FALSE(is_inside(shape, {3, 3}));
    CHECK_FALSE(is_inside(shape, {-1, 1}));
    CHECK_FALSE(is_inside({}, {0, 0}));
}

TEST_CASE("on wall front, 6 ft along, 15 in back, tilt 8") {
    Site site;
    Wall front;
    front.id = "front";
    front.path = {{0, 0}, {40 * ft, 0}};
    front.height = 10 * ft;
    front.foot = 0.2;
    site.walls = {front};
    Fixture fixture;
    fixture.wall = "front";
    fixture.along = 6 * ft;
    fixture.setback = 15 * in;
    fixture.tilt = radians_from_degrees(8);
    const PlacedFixture placed = place_fixture(site, fixture);
    // The wall faces south: the fixture stands 15 in south of it and faces north.
    check_near(glm::dvec2(placed.position), 6 * 0.3048, -15 * 0.0254);
    CHECK(placed.position.z == doctest::Approx(0.2 + 0.15));
    CHECK(placed.aim.azimuth == doctest::Approx(0));
    CHECK(placed.aim.tilt == radians_from_degrees(8));

    fixture.setback.reset();
    CHECK(place_fixture(site, fixture).position.y == doctest::Approx(-15 * in)); // what stands
    fixture.mount = Mount::wall;
    CHECK(place_fixture(site, fixture).position.y == doctest::Approx(-0.1)); // what hangs

    fixture.turn = radians_from_degrees(-30);
    CHECK(place_fixture(site, fixture).aim.azimuth == doctest::Approx(radians_from_degrees(330)));
    fixture.turn = 0;
    fixture.azimuth = radians_from_degrees(400);
    CHECK(place_fixture(site, fixture).aim.azimuth == radians_from_degrees(400));
}

TEST_CASE("round the corner the fixture turns with the wall") {
    Site site;
    site.walls = {make_house()};
    Fixture fixture;
    fixture.wall = "house";
    fixture.setback = 0.5;
    struct Row {
        double along, x, y, azimuth_deg;
    };
    for (const Row& row :
         {Row{3, 3, -0.5, 0}, Row{15, 12.5, 3, 270}, Row{22, 10, 8.5, 180}, Row{35, -0.5, 5, 90}}) {
        fixture.along = row.along;
        const PlacedFixture placed = place_fixture(site, fixture);
        check_near(glm::dvec2(placed.position), row.x, row.y);
        CHECK(std::cos(placed.aim.azimuth - radians_from_degrees(row.azimuth_deg)) == doctest::Approx(1));
    }
}

TEST_CASE("at a tree, bearing counts from north clockwise, setback from the bark") {
    Site site;
    Tree tree = make_tree(CrownForm::round);
    tree.foot = 1;
    tree.trunk_diameter = 0.4;
    site.trees = {tree};
    Fixture fixture;
    fixture.tree = "oak";
    fixture.bearing = radians_from_degrees(90); // east of the trunk
    fixture.setback = 0.8;
    const PlacedFixture placed = place_fixture(site, fixture);
    check_near(glm::dvec2(placed.position), 21, 5);
    CHECK(placed.position.z == doctest::Approx(1.15));
    CHECK(placed.aim.azimuth == doctest::Approx(radians_from_degrees(270))); // looks west, at the trunk
}

TEST_CASE("by coordinates a fixture stands on the ground and faces north") {
    Fixture fixture;
    fixture.at = glm::dvec2(3, 4);
    fixture.turn = radians_from_degrees(90);
    const PlacedFixture placed = place_fixture(Site{}, fixture);
    CHECK(placed.position == glm::dvec3(3, 4, 0.15));
    CHECK(placed.aim.azimuth == doctest::Approx(pi / 2));
}

TEST_CASE("a fixture at nothing that exists is refused") {
    const auto message = [](const Fixture& fixture) {
        try {
            place_fixture(Site{}, fixture);
        } catch (const InputError& error) {
            return std::string(error.what());
        }
        return std::string("no error");
    };
    Fixture fixture;
    fixture.id = "up";
    fixture.wall = "front";
    CHECK(message(fixture) == "error: fixture up stands at wall \"front\", which the site does not have");
    fixture.wall = "";
    fixture.tree = "oak";
    CHECK(message(fixture) == "error: fixture up stands at tree \"oak\", which the site does not have");
}

TEST_CASE("the plan's bounds hold everything") {
    Site site;
    CHECK(plan_bounds(site) == std::pair(glm::dvec2(0), glm::dvec2(0)));
    site.walls = {make_house()};
    site.walls[0].projections = {{"bay", ProjectionKind::bay, 4, 2, 0.5, 0, 2, {}, {}}};
    check_near(plan_bounds(site).first, 0, -0.5);
    check_near(plan_bounds(site).second, 12, 8);
    site.trees = {make_tree(CrownForm::round)}; // at 20, 5; 6 wide
    check_near(plan_bounds(site).second, 23, 8);
    site.shrubs.push_back({"hedge", {}, {{0, -10}, {5, -10}}, 1, 0, 1, {}});
    check_near(plan_bounds(site).first, -0.5, -10.5);
    site.ground.areas.push_back({"bed", GroundKind::bed, {{-3, 0}, {0, 0}, {0, 11}}, {}});
    check_near(plan_bounds(site).first, -3, -10.5);
    check_near(plan_bounds(site).second, 23, 11);
    Fixture fixture;
    fixture.at = glm::dvec2(30, 0);
    site.fixtures = {fixture};
    site.fixtures.emplace_back().wall = "nowhere"; // left out, not fatal
    site.views.push_back({"street", {0, -99, 2}, {0, 0, 2}});
    check_near(plan_bounds(site).first, -3, -10.5);
    check_near(plan_bounds(site).second, 30, 11);
    site.fixtures[0].at = glm::dvec2(29.4, -10.6); // a little to the side: within the same metre
    check_near(plan_bounds(site).first, -3, -11);
    check_near(plan_bounds(site).second, 30, 11);
}

TEST_CASE("a lantern on a wall stands off by half its depth and a bracket, by coordinates where it says") {
    Site site;
    site.walls.resize(1);
    Wall& wall = site.walls[0];
    wall.id = "front";
    wall.path = {{1, 2}, {7, 4}};
    wall.foot = 0.5;
    wall.height = 3;
    const RunSegment first = run_of(wall)[0];
    Lantern lantern{
        .id = "porch", .form = LanternForm::box, .wall = wall.id, .along = 1, .up = 2, .width = 0.3};
    lantern.depth = 0.1;
    const PlacedLantern hung = place_lantern(site, lantern);
    const glm::dvec2 on_face = first.start + first.direction;
    CHECK(glm::distance(glm::dvec2(hung.position), on_face + (0.05 + 0.0508) * first.outward) < 1e-12);
    CHECK(hung.position.z == doctest::Approx(wall.foot + 2));
    CHECK(size_of(lantern) == glm::dvec3(0.3, 0.1, 0.3));
    lantern.turn = pi / 2; // clockwise seen from above: what went along the wall now goes to its inside
    CHECK(glm::distance(place_lantern(site, lantern).across, -first.outward) > 1.9);
    lantern.wall.clear();
    lantern.at = {7, 8, 9};
    CHECK(place_lantern(site, lantern).position == glm::dvec3(7, 8, 9));
    lantern.form = LanternForm::sphere;
    CHECK(size_of(lantern) == glm::dvec3(0.3));
    CHECK(plan_bounds({.lanterns = {lantern}}).second.y == doctest::Approx(8.15));
    lantern.at.reset();
    lantern.wall = "nowhere";
    CHECK_THROWS_AS(place_lantern(site, lantern), InputError);
}
