// Where a run's cable lies: plane geometry worked by hand, metres.

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/site/site.hpp"
#include "duskcast/site/site_file.hpp"

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

TEST_CASE("any run: leads join the cable at their taps, and its parts add up") {
    std::mt19937 random(1);
    const auto place = [&] {
        return glm::dvec2(0.01 * static_cast<double>(random() % 4000),
                          0.01 * static_cast<double>(random() % 4000));
    };
    for (int i = 0; i < 200; ++i) {
        CAPTURE(i);
        std::vector<glm::dvec2> places;
        for (unsigned n = 1 + random() % 6; n > 0; --n)
            places.push_back(place());
        for (const RunLayout layout : {RunLayout::daisy_chain, RunLayout::loop, RunLayout::centre_fed}) {
            CAPTURE(name_of(layout));
            Site site = make_site(places, layout);
            site.network->transformers[0].at = {-3, -3};
            const CableCourse course = lay(site);
            REQUIRE(course.joints.size() == places.size());
            for (std::size_t j = 0; j < places.size(); ++j) {
                // Without a path the cable goes to each fixture itself.
                CHECK(glm::distance(course.lights[j], places[j]) < 1e-9);
                CHECK(glm::distance(course.joints[j], places[j]) < 1e-6);
                CHECK(glm::distance(point_along(course.cable, course.taps[j]), course.joints[j]) < 1e-9);
                CHECK(course.taps[j] <= line_length(course.cable) + 1e-9);
                if (j > 0)
                    CHECK(course.taps[j] - course.taps[j - 1] ==
                          doctest::Approx(glm::distance(places[j], places[j - 1])));
            }
            double chain = 0; // from the first fixture to the last
            for (std::size_t j = 1; j < places.size(); ++j)
                chain += glm::distance(places[j - 1], places[j]);
            const double out = glm::distance(places.front(), glm::dvec2(-3)),
                         back = glm::distance(places.back(), glm::dvec2(-3));
            const double whole = line_length(course.cable);
            if (layout == RunLayout::daisy_chain)
                CHECK(whole == doctest::Approx(out + chain));
            else if (layout == RunLayout::loop)
                CHECK(whole == doctest::Approx(out + chain + back));
            else {
                CHECK(whole == doctest::Approx(chain));
                CHECK(course.feed == doctest::Approx(chain / 2));
                CHECK(glm::distance(course.home.back(), point_along(course.cable, course.feed)) < 1e-6);
            }
        }
    }
}

TEST_CASE("along a ring each stretch is the shorter way round") {
    // The way along a square of side 10 between two places of its edge, counted from its first corner.
    std::mt19937 random(2);
    const std::vector<glm::dvec2> square{{0, 0}, {10, 0}, {10, 10}, {0, 10}};
    const auto on_edge = [&](double along) {
        const std::size_t side = static_cast<std::size_t>(along / 10) % 4;
        return glm::mix(square[side], square[(side + 1) % 4], std::fmod(along, 10) / 10);
    };
    for (int i = 0; i < 200; ++i) {
        CAPTURE(i);
        std::vector<double> along;
        std::vector<glm::dvec2> places;
        for (int j = 0; j < 4; ++j) {
            along.push_back(0.01 * static_cast<double>(random() % 4000));
            places.push_back(on_edge(along.back()));
        }
        Site site = make_site(places, RunLayout::daisy_chain);
        site.ground.areas = {{.id = "bed", .kind = GroundKind::bed, .outline = square}};
        site.network->runs[0].follow = "bed";
        site.network->transformers[0].at = on_edge(0);
        const CableCourse course = lay(site);
        double passed = 0, before = 0;
        for (std::size_t j = 0; j < along.size(); ++j) {
            const double direct = std::abs(along[j] - before);
            passed += std::min(direct, 40 - direct);
            before = along[j];
            CHECK(course.taps[j] == doctest::Approx(passed).epsilon(1e-6));
        }
        // A hedge is no ring: there is one way.
        Shrub hedge{.id = "hedge", .path = {square[0], square[1], square[2]}, .width = 0.5};
        site.shrubs = {hedge};
        site.network->runs[0].follow = "hedge";
        for (double& one : along)
            one = std::min(one, 20.0);
        for (std::size_t j = 0; j < along.size(); ++j)
            site.fixtures[j].at = on_edge(along[j]);
        passed = before = 0;
        const CableCourse along_hedge = lay(site);
        for (std::size_t j = 0; j < along.size(); ++j) {
            passed += std::abs(along[j] - before);
            before = along[j];
            CHECK(along_hedge.taps[j] == doctest::Approx(passed).epsilon(1e-6));
        }
    }
}

TEST_CASE("a printed network reads back the same in either unit") {
    Site site = make_site({{3, 0}, {3, 4}}, RunLayout::centre_fed);
    site.network->hubs = {{"H", {1, 2}}};
    CableRun& run = site.network->runs[0];
    run.path = {{0, 0}, {5, 0.3048}};
    run.home = {{0, 0}, {2, 2}};
    run.tap = 13;
    run.gauge = 10;
    run.slack = 0.25;
    run.is_sleeved = true;
    site.network->transformers[0].taps = {12, 13};
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre}) {
        std::string text = print_network(*site.network, unit); // { "network": ... }
        text.insert(text.find('{') + 1, R"( "duskcast": 1, "units": )" +
                                            std::string(unit == LengthUnit::foot ? R"("ft")" : R"("m")") +
                                            R"(,
            "lamps": [{ "id": "lamp", "watts": 5, "lumens": 300, "beam": 30 }],
            "fixtures": [{ "id": "F0", "kind": "uplight", "lamp": "lamp", "at": ["3 m", "0 m"] },
                         { "id": "F1", "kind": "uplight", "lamp": "lamp", "at": ["3 m", "4 m"] }], )");
        CHECK(read_site(text, "x.site.json").site.network == site.network);
    }
}
