// Where a run's cable lies: plane geometry worked by hand, metres.

#include <doctest/doctest.h>

#include "duskcast/base/problem.hpp"
#include "duskcast/site/site.hpp"

using namespace duskcast;

namespace {

/// A transformer at the origin and lamps at the given places, all on one run.
Site make_site(const std::vector<glm::dvec2>& places, RunLayout layout) {
    Site site;
    site.lamps = {{.id = "lamp", .watts = 5}};
    Network& network = site.network.emplace();
    network.transformers = {{.id = "T", .rating = 150}};
    network.runs = {{.id = "run", .layout = layout}};
    for (std::size_t i = 0; i < places.size(); ++i) {
        Fixture fixture{.id = "F" + std::to_string(i), .lamp = "lamp", .at = places[i]};
        network.runs[0].fixtures.push_back(fixture.id);
        site.fixtures.push_back(fixture);
    }
    return site;
}

CableCourse lay(const Site& site) {
    return lay_cable(site, site.network->runs[0]);
}

void check_taps(const CableCourse& course, const std::vector<double>& wanted) {
    REQUIRE(course.taps.size() == wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i)
        CHECK(course.taps[i] == doctest::Approx(wanted[i]).epsilon(1e-12));
}

} // namespace

TEST_CASE("a daisy chain without a path goes straight from fixture to fixture") {
    const CableCourse course = lay(make_site({{3, 0}, {3, 4}, {9, 4}}, RunLayout::daisy_chain));
    check_taps(course, {3, 7, 13});
    CHECK(line_length(course.cable) == doctest::Approx(13));
    CHECK(course.home.empty());
    CHECK(course.feed == 0);
}

TEST_CASE("along a path each lead joins at the nearest spot") {
    Site site = make_site({{2, 1}, {12, 3}}, RunLayout::daisy_chain);
    site.network->runs[0].path = {{0, 0}, {10, 0}, {10, 5}};
    const CableCourse course = lay(site);
    check_taps(course, {2, 13});
    CHECK(glm::distance(course.joints[1], glm::dvec2(10, 3)) < 1e-9);
    CHECK(glm::distance(course.lights[1], glm::dvec2(12, 3)) < 1e-9);
    CHECK(line_length(course.cable) == doctest::Approx(15)); // on to the path's end
    site.network->runs[0].path = {{4, 0}, {10, 0}, {10, 5}}; // begins off the transformer
    CHECK(line_length(lay(site).cable) == doctest::Approx(15));
}

TEST_CASE("along a closed edge the cable goes the shorter way round") {
    Site site = make_site({{11, 9}, {-1, 8}}, RunLayout::daisy_chain);
    site.ground.areas = {
        {.id = "bed", .kind = GroundKind::bed, .outline = {{0, 1}, {10, 1}, {10, 11}, {0, 11}}}};
    site.network->runs[0].follow = "bed";
    // From (0, 0) to the corner (0, 1); up to (10, 9) are 18 m one way round and 22 m the other, then on to
    // (0, 8) by the far side: 2 + 10 + 3 against 8 + 10 + 7.
    check_taps(lay(site), {1 + 18, 1 + 18 + 15});
}

TEST_CASE("a centre-fed cable has its home run in the trench or where it is drawn") {
    Site site = make_site({{10, 0}, {20, 0}, {30, 0}}, RunLayout::centre_fed);
    site.network->runs[0].path = {{0, 0}, {40, 0}};
    const CableCourse trench = lay(site);
    CHECK(line_length(trench.home) == doctest::Approx(20));
    CHECK(line_length(trench.cable) == doctest::Approx(20)); // nothing beyond the last fixtures
    CHECK(trench.feed == doctest::Approx(10));
    check_taps(trench, {0, 10, 20});

    site.network->runs[0].home = {{0, 0}, {0, 5}, {25, 5}, {25, 0}};
    const CableCourse drawn = lay(site);
    CHECK(line_length(drawn.home) == doctest::Approx(35));
    CHECK(drawn.feed == doctest::Approx(15));

    site.network->runs[0].home.clear();
    site.network->runs[0].path.clear();
    const CableCourse straight = lay(site);
    CHECK(line_length(straight.home) == doctest::Approx(20));
    check_taps(straight, {0, 10, 20});
}

TEST_CASE("a hub's leads begin at the hub and a loop comes back") {
    Site site = make_site({{10, 0}, {10, 6}}, RunLayout::hub);
    site.network->hubs = {{"H", {10, 3}}};
    site.network->runs[0].hub = "H";
    site.network->runs[0].path = {{0, 0}, {0, 3}};
    const CableCourse hub = lay(site);
    CHECK(hub.cable.empty());
    CHECK(line_length(hub.home) == doctest::Approx(13));
    CHECK(hub.joints[0] == glm::dvec2(10, 3));

    const CableCourse loop = lay(make_site({{3, 0}, {3, 4}}, RunLayout::loop));
    check_taps(loop, {3, 7});
    CHECK(line_length(loop.cable) == doctest::Approx(12)); // 3, 4, 5
}

TEST_CASE("a lamp that says nothing of its volts has the usual ones") {
    Lamp lamp; // from memory: LED 9 to 15 V, halogen 10.8 to 12 V
    CHECK(operating_volts_of(lamp) == std::array{9.0, 15.0});
    CHECK(max_volts_of(lamp) == 15);
    lamp.draw = Draw::halogen;
    CHECK(operating_volts_of(lamp) == std::array{10.8, 12.0});
    lamp.operating_volts = {9, 24};
    CHECK(max_volts_of(lamp) == 24);
    lamp.max_volts = 26;
    CHECK(max_volts_of(lamp) == 26);
    CHECK(power_factor_of(lamp) == 1);
    lamp.watts = 6;
    lamp.volt_amperes = 8;
    CHECK(power_factor_of(lamp) == 0.75);
    lamp.volt_amperes.reset();
    lamp.power_factor = 0.9;
    CHECK(power_factor_of(lamp) == 0.9);
}

TEST_CASE("a run that names what is not there is refused") {
    Site site = make_site({{3, 0}}, RunLayout::daisy_chain);
    site.network->runs[0].fixtures = {"gone"};
    CHECK_THROWS_AS(lay(site), InputError);
    site.network->runs[0].fixtures = {};
    CHECK_THROWS_AS(lay(site), InputError);
}

TEST_CASE("the tap that feeds a run") {
    Transformer transformer{.id = "T", .taps = {12, 13, 14}};
    CableRun run;
    CHECK(tap_of(transformer, run) == 12);
    transformer.tap = 13;
    CHECK(tap_of(transformer, run) == 13);
    run.tap = 14;
    CHECK(tap_of(transformer, run) == 14);
}
