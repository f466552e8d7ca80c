// Plants in winter and in years to come.

#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>

#include "../message_of.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/season.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;
using duskcast::test::message_of;

namespace {

const std::filesystem::path season_folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";

Tree make_oak() {
    Tree oak;
    oak.id = "oak";
    oak.height = 9;
    oak.base = 3;
    oak.width = 6;
    oak.trunk_diameter = 0.2;
    oak.growth = Growth{.height = 0.3, .width = 0.2};
    return oak;
}

Site make_site(const Tree& tree) {
    Site site;
    site.units = LengthUnit::metre;
    site.trees = {tree};
    return site;
}

std::string warnings_of(const Site& site, double years_on) {
    std::string text;
    for (const Problem& problem : season_warnings(site, Season::in_leaf, years_on))
        text += print_problem(problem) + "\n";
    return text;
}

} // namespace

TEST_CASE("in leaf and today a site is what its file says") {
    const Site site = read_site_file(season_folder / "full.site.json").site;
    CHECK(in_season(site, Season::in_leaf, 0) == site);
    CHECK(season_warnings(site, Season::in_leaf, 0).empty());
    CHECK(in_season(site, Season::bare, 0) != site);
    CHECK(in_season(site, Season::in_leaf, 1) != site);
}

TEST_CASE("trees grow by their rate up to their mature size") {
    Site site = make_site(make_oak());
    // 9 m + 10 x 0.3 m, 6 m + 10 x 0.2 m; the trunk in proportion, 0.2 x 12 / 9.
    Tree grown = in_season(site, Season::in_leaf, 10).trees[0];
    CHECK(grown.height == doctest::Approx(12));
    CHECK(grown.width == doctest::Approx(8));
    CHECK(grown.base == 3);
    CHECK(grown.trunk_diameter == doctest::Approx(0.2 * 12 / 9));
    CHECK(grown.foliage == site.trees[0].foliage);

    site.trees[0].growth->mature_height = 10.5;
    site.trees[0].growth->mature_width = 9;
    site.trees[0].growth->trunk_diameter = 0.005;
    grown = in_season(site, Season::in_leaf, 10).trees[0];
    CHECK(grown.height == 10.5);
    CHECK(grown.width == doctest::Approx(8));
    CHECK(grown.trunk_diameter == doctest::Approx(0.25));

    // A trunk that is not given is a fortieth of the height.
    site.trees[0].trunk_diameter = 0;
    site.trees[0].growth->trunk_diameter.reset();
    grown = in_season(site, Season::in_leaf, 10).trees[0];
    CHECK(trunk_diameter(grown) == doctest::Approx(10.5 / 40));
    site.trees[0].growth->trunk_diameter = 0.01;
    grown = in_season(site, Season::in_leaf, 10).trees[0];
    CHECK(trunk_diameter(grown) == doctest::Approx(9.0 / 40 + 0.1));

    // Two spans one after the other are one.
    site.trees[0].growth = Growth{.height = 0.25, .width = 0.125, .trunk_diameter = 0.0625};
    site.trees[0].trunk_diameter = 0.25;
    CHECK(in_season(in_season(site, Season::in_leaf, 4), Season::in_leaf, 8) ==
          in_season(site, Season::in_leaf, 12));
}

TEST_CASE("a bare crown has its twigs' area over its plan, and never more than its leaves") {
    Site site = make_site(make_oak());
    site.trees[0].foliage.leaf_area_density = 1;
    site.trees[0].foliage.leaf_angle_index = 0.25;
    Tree bare = in_season(site, Season::bare, 0).trees[0];
    CHECK(bare.foliage.leaf == LeafKind::twigs);
    CHECK(bare.foliage.leaf_angle_index == 0);
    CHECK(bare.height == 9);
    // A spheroid 6 m high over a circle of 6 m is 4 m deep on average: 2/3 of its height.
    CHECK(bare.foliage.leaf_area_density.value() == doctest::Approx(0.75 / 4).epsilon(1e-4));
    site.trees[0].foliage.twig_area_index = 1.5;
    CHECK(in_season(site, Season::bare, 0).trees[0].foliage.leaf_area_density.value() ==
          doctest::Approx(1.5 / 4).epsilon(1e-4));
    site.trees[0].foliage.leaf_area_density = 0.1;
    CHECK(in_season(site, Season::bare, 0).trees[0].foliage.leaf_area_density.value() == 0.1);

    // Bare is bare, once and for all.
    const Site winter = in_season(site, Season::bare, 0);
    CHECK(in_season(winter, Season::bare, 0) == winter);

    Shrub shrub;
    shrub.id = "hedge";
    shrub.path = {{0, 0}, {5, 0}};
    shrub.width = 1;
    shrub.height = 1.5;
    shrub.foliage.leaf_area_density = 2;
    site.shrubs = {shrub};
    CHECK(in_season(site, Season::bare, 0).shrubs[0].foliage.leaf_area_density.value() ==
          doctest::Approx(0.5));
    site.shrubs[0].foliage.is_deciduous = false;
    site.trees[0].foliage.is_deciduous = false;
    CHECK(in_season(site, Season::bare, 0) == site);
}

TEST_CASE("a site in winter and grown can be written, read and checked") {
    const Site site = read_site_file(season_folder / "full.site.json").site;
    const Site made = in_season(site, Season::bare, 7.5);
    CHECK(made != site);
    for (const Problem& problem : check_site(made, season_folder))
        CHECK(problem.severity == Severity::warning);
    CHECK(read_site(print_site(made), season_folder / "full.site.json").site == made);
}

TEST_CASE("what stands by a trunk stays where it is while the trunk grows") {
    Site site = make_site(make_oak());
    site.trees[0].growth->trunk_diameter = 0.02;
    Fixture standing;
    standing.id = "up";
    standing.tree = "oak";
    standing.setback = 1;
    Fixture hung = standing;
    hung.id = "moon";
    hung.kind = FixtureKind::downlight;
    hung.mount = Mount::tree;
    hung.setback = 0.1;
    hung.lens_height = 5;
    site.fixtures = {standing, hung};
    const Site grown = in_season(site, Season::in_leaf, 10);
    CHECK(place_fixture(grown, grown.fixtures[0]).position.y ==
          doctest::Approx(place_fixture(site, standing).position.y));
    // The trunk's radius gains 10 x 0.01 m, and what hangs on it is carried out; not up.
    CHECK(place_fixture(grown, grown.fixtures[1]).position.y ==
          doctest::Approx(place_fixture(site, hung).position.y + 0.1));
    CHECK(place_fixture(grown, grown.fixtures[1]).position.z == 5);
    CHECK(warnings_of(site, 10) == "");

    CHECK(warnings_of(site, 95) ==
          "fixtures[0]: warning: by then the trunk of \"oak\" has grown up to the fixture; plan to move it "
          "out; it is taken to stand just off the bark\n");
    CHECK(*in_season(site, Season::in_leaf, 95).fixtures[0].setback == doctest::Approx(0.1));
}

TEST_CASE("a tree without a rate stays as it is, and says so") {
    Site site = make_site(make_oak());
    site.trees[0].growth.reset();
    CHECK(in_season(site, Season::in_leaf, 10) == site);
    CHECK(warnings_of(site, 10) ==
          "trees[0]: warning: \"oak\" says no rate of growth, so it stays as it is; give \"growth\"\n");
    CHECK(warnings_of(site, 0) == "");
}

TEST_CASE("a season in words") {
    CHECK(print_season({}) == "");
    CHECK(print_season({Season::bare, 0}) == "Plants as in winter, the deciduous ones bare.");
    CHECK(print_season({Season::in_leaf, 1}) == "Plants in leaf, grown by 1 year.");
    CHECK(print_season({Season::bare, 7.5}) ==
          "Plants as in winter, the deciduous ones bare, grown by 7.5 years.");
}

TEST_CASE("seasons and years that are none") {
    CHECK(read_season("in-leaf") == Season::in_leaf);
    CHECK(read_season(name_of(Season::bare)) == Season::bare);
    CHECK(message_of([] { read_season("baer"); }) ==
          "error: there is no season \"baer\"; did you mean \"bare\"?");
    CHECK(message_of([] { read_season("monsoon"); }) ==
          "error: there is no season \"monsoon\"; known are in-leaf, bare");
    CHECK(message_of([] { in_season({}, Season::bare, -1); }) ==
          "error: -1 is out of range; it must be 0 to 100 years");
    CHECK(message_of([] { in_season({}, Season::bare, 101); }) ==
          "error: 101 is out of range; it must be 0 to 100 years");
    CHECK(message_of([] { in_season({}, Season::bare, std::nan("")); }) ==
          "error: unknown is out of range; it must be 0 to 100 years");
}
