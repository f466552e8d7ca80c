// What people write of plants, and what a site file makes of it.

#include <doctest/doctest.h>

#include <set>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/site/season.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

constexpr double foot = 0.3048; // by definition

std::string kind_in(const std::string& words) {
    return std::string(read_plant(words).kind->name);
}

Problem fault_of(const std::string& words) {
    try {
        read_plant(words);
    } catch (const InputError& error) {
        return error.problems().front();
    }
    FAIL("nothing is wrong with " << words);
    return {};
}

Site read_with(const std::string& trees, const std::string& shrubs = "") {
    return read_site(
               R"({"duskcast": 1, "units": "ft", "walls": [{"id": "w", "path": [[0, 90], [9, 90]], "height": 8}],
                         "trees": [)" +
                   trees + R"(], "shrubs": [)" + shrubs + "]}",
               "x.site.json")
        .site;
}

std::vector<Problem> faults_with(const std::string& trees, const std::string& shrubs = "") {
    try {
        read_with(trees, shrubs);
    } catch (const InputError& error) {
        return error.problems();
    }
    return {};
}

} // namespace

TEST_CASE("plants are known by what people write of them") {
    // The words are those of the trade's orders and of gardens; each row is a reading by hand.
    struct Row {
        std::string words, kind;
        double height; ///< feet; 0: not said
    };
    for (const Row& row : std::vector<Row>{
             {"maple, purple, 18 ft", "maple", 18},
             {"Maple", "maple", 0},
             {"sugar maple, autumn, 40 ft", "maple", 40},
             {"red maple, 30 ft", "maple", 30},
             {"japanese maple, 10 ft", "japanese maple", 10},
             {"oak, 60 ft", "oak", 60},
             {"60-ft oak", "oak", 60},
             {"live oak, 30 ft tall, 45 ft wide", "oak", 30},
             {"multi-stem birch", "birch", 0},
             {"river birch clump, 25 ft", "birch", 25},
             {"copper beech", "beech", 0},
             {"linden, heavy", "linden", 0},
             {"honeylocust, 35 ft", "honey locust", 35},
             {"crabapple, in bloom", "crabapple", 0},
             {"crab apple in flower, 15 ft", "crabapple", 15},
             {"cherry, in bloom, white", "cherry", 0},
             {"weeping cherry, 12 ft", "weeping cherry", 12},
             {"purple-leaf plum, 16 ft", "plum", 16},
             {"flowering dogwood", "dogwood", 0},
             {"southern magnolia, 40 ft", "southern magnolia", 40},
             {"saucer magnolia", "magnolia", 0},
             {"weeping willow", "willow", 0},
             {"elm, bare, 50 ft", "elm", 50},
             {"spruce, 90 ft", "spruce", 90},
             {"Colorado blue spruce, 25 ft", "blue spruce", 25},
             {"spruce, blue", "spruce", 0},
             {"white pine, 45'", "pine", 45},
             {"hemlock, 20 feet", "hemlock", 20},
             {"arborvitae hedge", "arborvitae", 0},
             {"italian cypress, 18ft", "cypress", 18},
             {"palm", "palm", 0},
             {"queen palms, 22 ft", "palm", 22},
             {"holly, 5 ft 6 in", "holly", 5.5},
             {"rose, in bloom, 3 ft", "rose", 3},
             {"roses, pink", "rose", 0},
             {"rose bushes, 36 in", "rose", 3},
             {"boxwood hedge", "boxwood", 0},
             {"hydrangea, blue", "hydrangea", 0},
             {"rhododendron; violet", "rhododendron", 0},
             {"azaleas, white, in bloom", "azalea", 0},
             {"ornamental grass", "ornamental grass", 0},
             {"hosta", "hosta", 0},
             {"lavender, in bloom, 18 in", "lavender", 1.5},
             {"yew, round", "yew", 0},
         }) {
        CAPTURE(row.words);
        CHECK(kind_in(row.words) == row.kind);
        CHECK(read_plant(row.words).height.value_or(0) == doctest::Approx(row.height * foot));
    }
}

TEST_CASE("words say colour, season, form and size") {
    CHECK(read_plant("maple, purple").leaf == LeafKind::purple);
    CHECK(read_plant("maple, red, autumn").leaf == LeafKind::red);
    CHECK(read_plant("spruce, blue").leaf == LeafKind::blue_green);
    CHECK(read_plant("hydrangea, blue").blossom == LeafKind::blue);
    CHECK(read_plant("hydrangea, blue").state == PlantState::in_bloom); // leaves are not blue
    CHECK(read_plant("crabapple, purple, in bloom").leaf == LeafKind::purple);
    CHECK(read_plant("rose, yellow, in bloom").blossom == LeafKind::yellow);
    CHECK(read_plant("oak, 30 ft tall, 45 ft wide").width == doctest::Approx(45 * foot));
    CHECK(read_plant("oak, light").density == LeafDensity::light);
    CHECK(habit_of(read_plant("multi-stem birch")) == PlantHabit::stems);
    CHECK(habit_of(read_plant("birch")) == PlantHabit::leading);
    CHECK(habit_of(read_plant("weeping beech")) == PlantHabit::hanging);

    CHECK(make_usual_tree("maple, autumn").foliage.leaf == LeafKind::orange);
    CHECK(make_usual_tree("beech, spring").foliage.leaf == LeafKind::yellow_green);
    CHECK(make_usual_tree("spruce, autumn").foliage.leaf == LeafKind::dark_green); // evergreen
    CHECK(make_usual_tree("oak, bare").foliage.leaf == LeafKind::twigs);
    CHECK(make_usual_tree("columnar oak").form == CrownForm::column);
}

TEST_CASE("what is no plant is refused with the nearest name") {
    CHECK(fault_of("mapel, 18 ft").remedy == "did you mean \"maple\"?");
    CHECK(fault_of("hydranga").remedy == "did you mean \"hydrangea\"?");
    CHECK(fault_of("weeping chery").remedy == "did you mean \"weeping cherry\"?");
    CHECK(fault_of("maple, purpel").remedy == "did you mean \"purple\"?");
    CHECK(fault_of("maple, 18").what == "the size 18 of this plant has no unit that is known here");
    CHECK(fault_of("maple, 18 yards").what == "the size 18 of this plant has no unit that is known here");
    CHECK(fault_of("spruce, in bloom").what == "\"spruce\" has no blossoms that are known here");
    CHECK(fault_of("qwertz").remedy.starts_with("known are maple, japanese maple, oak"));
    CHECK(fault_of("18 ft").what == "no plant that is known here is named in \"18 ft\"");
}

TEST_CASE("every kind is a plant that can stand") {
    std::set<std::string> names;
    for (const PlantKind& kind : plant_kinds()) {
        CAPTURE(std::string(kind.name));
        CHECK(names.insert(std::string(kind.name)).second);
        CHECK(kind_in(std::string(kind.name)) == kind.name);
        for (const std::string& also : split(kind.also, ','))
            if (!also.empty()) {
                CHECK(names.insert(also).second);
                CHECK(kind_in(also) == kind.name);
            }
        const Tree tree = make_usual_tree(std::string(kind.name));
        CHECK(tree.base < tree.height);
        CHECK(tree.width > tree.trunk_diameter);
        // The tallest trees that gardens know stay under 40 m; trunks are between a hundredth and a twentieth
        // of the height (from memory).
        CHECK(tree.height < 40);
        CHECK(tree.trunk_diameter <= tree.height / 20);
        CHECK(tree.trunk_diameter >= tree.height / 100);
        CHECK(leaf_area_density(tree) * crown_volume(tree) / leaf_area(tree) < 80'001);
    }
    CHECK(plant_kinds().size() >= 24);
}

TEST_CASE("a word for the density is made good for leaves that sit on twigs") {
    // P = exp(-G Omega u s): as much light passes as through leaves at random where Omega u is the same.
    Tree tree = make_usual_tree("oak, medium");
    Tree plain = tree;
    plain.plant.clear();
    const double omega = clumping_index(tree.plant, tree.foliage);
    CHECK(omega < 1);
    CHECK(leaf_area_density(tree) * omega == doctest::Approx(leaf_area_density(plain)));
    tree.foliage.clumping = 0;
    CHECK(leaf_area_density(tree) == doctest::Approx(leaf_area_density(plain)));
    tree.foliage.leaf_area_density = 0.7;
    CHECK(leaf_area_density(tree) == 0.7);
}

TEST_CASE("what the file itself says wins over the words, and what it leaves out follows its height") {
    const Site site = read_with(R"({"id": "a", "plant": "maple, purple, 18 ft", "at": [0, 0]},
        {"id": "b", "plant": "maple, purple, 18 ft", "at": [40, 0], "height": "36 ft", "leaf": "green", "seed": 3},
        {"id": "c", "plant": "oak", "at": [90, 0], "height": 40, "width": 20, "base": 9, "form": "vase",
         "leaf_area_density": 0.4, "trunk_diameter": "18 in", "clumping": 0.5})");
    const Tree &a = site.trees[0], &b = site.trees[1], &c = site.trees[2];
    CHECK(a.height == doctest::Approx(18 * foot));
    CHECK(a.foliage.leaf == LeafKind::purple);
    CHECK(b.height == doctest::Approx(36 * foot));
    CHECK(b.width == doctest::Approx(2 * a.width)); // the same proportions
    CHECK(b.base == doctest::Approx(2 * a.base));
    CHECK(b.foliage.leaf == LeafKind::green);
    CHECK(b.foliage.seed == 3);
    CHECK(c.width == doctest::Approx(20 * foot));
    CHECK(c.base == doctest::Approx(9 * foot));
    CHECK(c.form == CrownForm::vase);
    CHECK(leaf_area_density(c) == 0.4);
    CHECK(c.foliage.clumping == 0.5);
}

TEST_CASE("a site with plants in words is the same when written and read again") {
    const std::string trees =
        R"({"id": "a", "plant": "maple, purple, 18 ft", "at": [0, 0]},
           {"id": "b", "plant": "spruce, 90 ft", "at": [50, 0], "base": 0, "width": 30},
           {"id": "c", "plant": "elm, bare", "at": [90, 0], "height": 47})";
    const Site site = read_with(trees, R"({"id": "h", "plant": "boxwood hedge", "path": [[0, 30], [9, 30]],
        "width": 2}, {"id": "r", "plant": "rose, in bloom, 3 ft", "outline": [[20, 30], [29, 30], [29, 33]]})");
    const std::string printed = print_site(site);
    CHECK(read_site(printed, "x.site.json").site == site);
    // What the words give is not said again.
    CHECK(printed.find(R"("plant": "spruce, 90 ft", "base": 0, "width": 30 })") != std::string::npos);
}

TEST_CASE("a plant needs words or sizes") {
    const std::vector<Problem> faults = faults_with(R"({"id": "a", "at": [0, 0], "height": 20})",
                                                    R"({"id": "h", "path": [[0, 30], [9, 30]], "width": 2})");
    std::set<std::string> said;
    for (const Problem& fault : faults)
        said.insert(fault.place.path + ": " + fault.what);
    CHECK(said == std::set<std::string>{"trees[0].base: \"base\" is missing",
                                        "trees[0].width: \"width\" is missing",
                                        "shrubs[0].height: \"height\" is missing"});
    const std::vector<Problem> unknown = faults_with(R"({"id": "a", "at": [0, 0], "plant": "mapel, 9 ft"})");
    REQUIRE(unknown.size() == 1);
    CHECK(unknown[0].place.path == "trees[0].plant");
    CHECK(unknown[0].remedy == "did you mean \"maple\"?");
}

TEST_CASE("a plant in words is bare in winter and grows as others do") {
    Site site = read_with(R"({"id": "a", "plant": "cherry, in bloom", "at": [0, 0],
        "growth": {"height": "12 in", "width": "6 in"}}, {"id": "s", "plant": "spruce", "at": [60, 0]})");
    const Site bare = in_season(site, Season::bare, 0);
    CHECK(bare.trees[0].foliage.leaf == LeafKind::twigs);
    CHECK(bare.trees[1] == site.trees[1]);
    const Site grown = in_season(site, Season::in_leaf, 5);
    CHECK(grown.trees[0].height == doctest::Approx(site.trees[0].height + 5 * foot));
    CHECK(grown.trees[0].width == doctest::Approx(site.trees[0].width + 2.5 * foot));
    // A word in the file says the same as the season.
    const Tree by_word = make_usual_tree("cherry, bare");
    CHECK(leaf_area_density(by_word) == doctest::Approx(leaf_area_density(bare.trees[0])));
}
