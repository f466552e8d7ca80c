// Limits that follow from sizes: leaves and sensors by count, lenses by the room they take, trees by growth.
// Counts are areas over areas; the limits themselves (6 million leaves, 5 million sensors) are the program's.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <string>

#include "duskcast/photometry/aim.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

/// The first error or warning at the path, if any.
std::optional<Problem> problem_at(const Site& site, const std::string& path) {
    for (const Problem& one : check_site(site, "."))
        if (one.place.path == path)
            return one;
    return std::nullopt;
}

/// The figure from which on the path has a problem, or up to which.
double find_limit(const std::string& path, double good, double bad, const std::function<Site(double)>& make) {
    REQUIRE_FALSE(problem_at(make(good), path));
    REQUIRE(problem_at(make(bad), path));
    for (int i = 0; i < 50; ++i) {
        const double middle = (good + bad) / 2;
        (problem_at(make(middle), path) ? bad : good) = middle;
    }
    return bad;
}

Site with_lamp() {
    Site site;
    Lamp lamp{.id = "spot", .watts = 5};
    lamp.figures.lumens = 300;
    lamp.figures.beam_angle = 0.5;
    site.lamps = {lamp};
    return site;
}

} // namespace

TEST_CASE("leaves of a crown are its leaf area over a leaf's") {
    // An ellipsoid of 2 m3 of leaves to the m3: 2 V leaf area in rhombs of s^2 / 4.
    const auto make = [](double leaf_size) {
        Site site;
        Tree tree{.id = "oak", .height = 10, .base = 2, .width = 6};
        tree.foliage.leaf_area_density = 2;
        tree.foliage.leaf_size = leaf_size;
        site.trees = {tree};
        return site;
    };
    const double volume = 4.0 / 3 * 3.14159265358979 * 3 * 3 * 4;
    CHECK(find_limit("trees[0].leaf_size", 0.1, 0.01, make) ==
          doctest::Approx(std::sqrt(4 * 2 * volume / 6e6)).epsilon(1e-4));

    // Two plants count together; the one with the most leaves is named, and its remedy is enough.
    Site two = make(0.021);
    Shrub box{.id = "box", .outline = {{20, 0}, {24, 0}, {24, 5}, {20, 5}}, .height = 1.5};
    box.foliage.leaf_area_density = 4;
    box.foliage.leaf_size = 0.005; // 4 x 30 m3 over 6.25e-6 m2: 19.2 million
    two.shrubs = {box};
    const std::optional<Problem> said = problem_at(two, "shrubs[0].leaf_size");
    REQUIRE(said);
    const double total = 2 * volume * 4 / (0.021 * 0.021) + 4 * 30 * 4 / (0.005 * 0.005);
    CHECK(said->what.find("about " + std::to_string(total / 1e6).substr(0, 4) + " million") !=
          std::string::npos);
    const double factor = std::stod(said->remedy.substr(said->remedy.find("size\" ") + 6));
    CHECK(factor == doctest::Approx(std::sqrt(total / 6e6)).epsilon(0.05));
    for (Foliage* foliage : {&two.trees[0].foliage, &two.shrubs[0].foliage})
        foliage->leaf_size *= factor;
    CHECK_FALSE(problem_at(two, "shrubs[0].leaf_size"));
}

TEST_CASE("sensors are the area over the square of their spacing, and the remedy is enough") {
    const auto wall = [](double spacing) {
        Site site;
        Wall front{.id = "front", .path = {{0, 0}, {200, 0}}};
        front.height = 10;
        front.gables = {{"g", 20, 10, 15}}; // the highest counts for all of it
        site.walls = {front};
        site.sensor_spacing = spacing;
        return site;
    };
    CHECK(find_limit("sensor_spacing", 0.1, 0.011, wall) ==
          doctest::Approx(std::sqrt(200 * 15 / 5e6)).epsilon(1e-6));
    const auto ground = [](double margin) {
        Site site;
        site.ground.areas = {
            {.id = "bed", .kind = GroundKind::bed, .outline = {{0, 0}, {8, 0}, {8, 3}, {0, 3}}}};
        site.ground.margin = margin;
        site.ground_spacing = 0.02;
        return site;
    };
    // (8 + 2 m)(3 + 2 m) = 5e6 x 0.0004 m2: m from the quadratic formula.
    const double margin = (-22 + std::sqrt(22.0 * 22 - 16 * (24 - 2000))) / 8;
    CHECK(find_limit("ground_spacing", 1, 50, ground) == doctest::Approx(margin).epsilon(1e-6));

    Site dense = wall(0.011);
    const std::optional<Problem> said = problem_at(dense, "sensor_spacing");
    REQUIRE(said);
    const std::string words = "\"sensor_spacing\" ";
    const std::string remedy = said->remedy.substr(said->remedy.find(words) + words.size());
    dense.sensor_spacing = read_length(remedy.substr(0, remedy.find(" or more")));
    CHECK_FALSE(problem_at(dense, "sensor_spacing"));
}

TEST_CASE("no part of a lens is inside its wall: points on its edge, however it is turned") {
    int inside = 0, outside = 0;
    for (int i = 0; i < 400; ++i) {
        Site site = with_lamp();
        Wall front{.id = "front", .path = {{0, 0}, {12, 0}}};
        front.height = 3;
        site.walls = {front};
        Fixture fixture{.id = "f", .lamp = "spot", .wall = "front", .along = 6, .mount = Mount::surface};
        fixture.setback = 0.02 + 0.001 * (i * 7 % 90);
        fixture.lens_diameter = 0.04 + 0.001 * (i * 13 % 140);
        fixture.tilt = 0.017 * (i * 29 % 180);
        fixture.turn = 0.1 * (i * 11 % 60) - 3;
        site.fixtures = {fixture};
        const PlacedFixture placed = place_fixture(site, fixture);
        const glm::dmat3 world_from_lens = world_from_fixture(placed.aim);
        double least = HUGE_VAL; // of the distances before the wall's face, y = 0
        for (int s = 0; s < 720; ++s) {
            const double angle = s * 3.14159265358979 / 360;
            const glm::dvec3 edge(std::cos(angle) * *fixture.lens_diameter / 2,
                                  std::sin(angle) * *fixture.lens_diameter / 2, 0);
            least = std::min(least, -(placed.position + world_from_lens * edge).y);
        }
        if (std::abs(least) < 1e-5)
            continue; // too near for samples to tell
        CAPTURE(i);
        CAPTURE(least);
        bool is_refused = false;
        for (const Problem& one : check_site(site, "."))
            is_refused = is_refused || one.what.starts_with("part of the lens is inside the wall");
        CHECK(is_refused == (least < 0));
        (is_refused ? inside : outside) += 1;
    }
    CHECK(inside > 50);
    CHECK(outside > 50);
}

TEST_CASE("what a fixture must not be: behind, beyond, below, above") {
    const auto at_wall = [](double along, double setback, double foot, double lens_height) {
        Site site = with_lamp();
        Wall front{.id = "front", .path = {{0, 0}, {5, 0}, {5, 4}}, .foot = foot};
        front.height = 3;
        site.walls = {front};
        Fixture fixture{
            .id = "f", .lamp = "spot", .wall = "front", .along = along, .lens_height = lens_height};
        fixture.setback = setback;
        fixture.mount = Mount::surface;
        fixture.lens_diameter = 0.001;
        site.fixtures = {fixture};
        return site;
    };
    CHECK(find_limit("fixtures[0].along", 8, 12, [&](double along) {
              return at_wall(along, 0.38, 0, 0.15);
          }) == doctest::Approx(9).epsilon(1e-6)); // 5 m and 4 m of wall
    CHECK(find_limit("fixtures[0].lens_height", 0.5, 0, [&](double z) {
              return at_wall(2, 0.38, -0.3, z);
          }) == doctest::Approx(0.3).epsilon(1e-5)); // the level ground is 0.3 m above the wall's foot

    const auto at_tree = [](double lens_height) {
        Site site = with_lamp();
        site.trees = {{.id = "oak", .height = 8, .base = 3, .width = 4}};
        site.fixtures = {{.id = "f", .kind = FixtureKind::downlight, .lamp = "spot", .tree = "oak"}};
        site.fixtures[0].lens_height = lens_height;
        site.fixtures[0].mount = Mount::tree;
        site.fixtures[0].tilt = 3.14;
        return site;
    };
    CHECK(find_limit("fixtures[0].lens_height", 5, 9, at_tree) == doctest::Approx(8).epsilon(1e-6));

    // In a trunk of 0.5 m, below the crown.
    const auto by_trunk = [](double away) {
        Site site = with_lamp();
        Tree oak{.id = "oak", .height = 8, .base = 3, .width = 0.2};
        oak.trunk_diameter = 0.5;
        site.trees = {oak};
        site.ground.base = GroundKind::mulch;
        site.fixtures = {{.id = "f", .kind = FixtureKind::wash, .lamp = "spot", .at = glm::dvec2(away, 0)}};
        return site;
    };
    CHECK(find_limit("fixtures[0].at", 1, 0.1, by_trunk) == doctest::Approx(0.25).epsilon(1e-6));
}

TEST_CASE("a tree is not larger than it will be") {
    const auto grown = [](double height, double width) {
        Site site;
        Tree tree{.id = "oak", .height = 8, .base = 3, .width = 4};
        tree.growth = Growth{.height = 0.3, .width = 0.2, .mature_height = height, .mature_width = width};
        site.trees = {tree};
        return site;
    };
    CHECK(find_limit("trees[0].growth.mature_height", 10, 5, [&](double h) { return grown(h, 9); }) ==
          doctest::Approx(8).epsilon(1e-9));
    CHECK(find_limit("trees[0].growth.mature_width", 10, 3, [&](double w) { return grown(12, w); }) ==
          doctest::Approx(4).epsilon(1e-9));
}
