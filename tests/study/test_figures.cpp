// What a study compares variants by.

#include <doctest/doctest.h>
#include <set>

#include "duskcast/site/layout.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Figures make_figures() {
    Figures figures;
    figures.targets = {
        {.id = "peak", .on = "front.peak", .mean_lx = 8, .share = 0.4, .mean_to_min = 2.5, .over_mean = 3},
        {.id = "all", .on = "front", .mean_lx = 5, .share = 0.2},
        {.id = "oak", .on = "oak", .mean_lx = 1, .share = 0.1}};
    figures.reaches = {{.fixture = "U1", .on = "front", .height = 3.0},
                       {.fixture = "U2", .on = "front.peak", .height = 5.0},
                       {.fixture = "U3", .on = "frontier", .height = 9.0},
                       {.fixture = "U4", .on = "front"},
                       {.fixture = "", .on = "oak", .height = 6.0}};
    figures.spill = {.emitted_lm = 1000, .target_lm = 350};
    figures.watts = 12;
    return figures;
}

} // namespace

TEST_CASE("each quantity is in its own place of the table, with a key and a word of its own") {
    std::set<std::string> keys, words;
    std::size_t place = 0;
    for (const QuantityFacts& facts : list_quantities()) {
        CHECK(static_cast<std::size_t>(facts.quantity) == place++);
        CHECK(&facts_of(facts.quantity) == &facts);
        keys.insert(facts.key);
        words.insert(facts.word);
    }
    CHECK(keys.size() == quantity_count);
    CHECK(words.size() == quantity_count);
    CHECK(std::string(facts_of(Quantity::uniformity).key) == "evenness"); // files keep it
    CHECK(spoken(Quantity::hot_spot) == "hot spot");
}

TEST_CASE("the reach of a target is the highest on what it is on, of the fixtures asked for") {
    const Figures figures = make_figures();
    const auto reach = [&](const char* target, std::vector<std::string> fixtures) {
        return value_of(figures, Quantity::reach, {target, std::move(fixtures)});
    };
    CHECK(reach("all", {}) == 5); // parts of the wall count, a wall with a longer name does not
    CHECK(reach("all", {"U1"}) == 3);
    CHECK(reach("all", {"U4"}) == 0); // reached nowhere
    CHECK(reach("all", {"U1", "U2"}) == 5);
    CHECK(!reach("all", {"U3"}));
    CHECK(reach("peak", {}) == 5);
    CHECK(reach("oak", {"U1"}) == 6); // a crown's is of all fixtures
    CHECK(!reach("none", {}));
}

TEST_CASE("lamps beside a target's stretch carry nothing up the target") {
    Figures figures = make_figures();
    figures.targets[1].stretch = std::array{2.0, 6.0};
    figures.reaches[0].along = 4;
    const auto reach = [&](std::vector<std::string> fixtures) {
        return value_of(figures, Quantity::reach, {"all", std::move(fixtures)});
    };
    CHECK(reach({}) == 3);           // what stands out from the wall is not of the stretch
    CHECK(reach({"U1", "U2"}) == 5); // asked for by name
    figures.reaches[0].along = 6.1;
    CHECK(!reach({}));
}

TEST_CASE("a gable is the stretch of its target") {
    Site site = make_wall(12, 4, 0.5, {3, 9}, 0.4);
    site.walls[0].gables = {{.id = "peak", .from = 6, .width = 6, .peak = 6}};
    site.targets[0].gable = "peak";
    CHECK(find_stretch(site, site.targets[0]) == std::array{6.0, 12.0});
    site.targets[0].gable = "";
    CHECK(!find_stretch(site, site.targets[0]));
    site.targets[0].along = {{1, 2}};
    CHECK(find_stretch(site, site.targets[0]) == std::array{1.0, 2.0});
    // A workbench's lines have their places too.
    site.targets[0].along = {{8, 10}};
    Workbench bench(".", {.is_direct_only = true});
    const Figures figures = bench.measure({&site, 1}).front();
    const ReachFigures* found = find_reach(figures, {site.targets[0].id, {}});
    REQUIRE(found != nullptr);
    CHECK(found->fixture == "U2");
}

TEST_CASE("the other quantities") {
    Figures figures = make_figures();
    const Focus peak{"peak", {}};
    CHECK(value_of(figures, Quantity::coverage, peak) == 0.4);
    CHECK(value_of(figures, Quantity::mean, peak) == 8);
    CHECK(value_of(figures, Quantity::uniformity, peak) == 2.5);
    CHECK(value_of(figures, Quantity::hot_spot, peak) == 3);
    CHECK(value_of(figures, Quantity::spill, peak) == doctest::Approx(0.65));
    CHECK(value_of(figures, Quantity::lumens, peak) == 1000);
    CHECK(value_of(figures, Quantity::watts, peak) == 12);
    CHECK(!value_of(figures, Quantity::price, peak));
    CHECK(!value_of(figures, Quantity::uniformity, {"all", {}}));
    for (const Quantity quantity : {Quantity::coverage, Quantity::mean, Quantity::hot_spot})
        CHECK(!value_of(figures, quantity, {"none", {}}));
    figures.spill = {};
    CHECK(!value_of(figures, Quantity::spill, peak));
}

TEST_CASE("a price is the sum of fixtures and lamps, or none where one is missing") {
    Site site = make_wall(4, 3, 0.5, {1, 3}, 0.4);
    site.catalogue.fixtures.push_back({.id = "brass", .price = 80});
    site.lamps[0].price = 22;
    CHECK(!measure_price(site)); // fixtures of no model
    for (Fixture& fixture : site.fixtures)
        fixture.model = "brass";
    CHECK(measure_price(site) == doctest::Approx(204));
    site.lamps[0].price.reset();
    CHECK(!measure_price(site));
    site.fixtures.clear();
    CHECK(measure_price(site) == doctest::Approx(0));
}
