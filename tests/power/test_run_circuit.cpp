// A run's cable as nodes and ohms, counted by hand.

#include "../../src/power/run_circuit.hpp"

#include "cable_line.hpp"
#include "duskcast/power/trench.hpp"

using namespace duskcast;
using namespace duskcast::tests;

namespace {

/// The first run of a site in metres at 12 V, NEC table 8.
RunCircuit make_circuit(const Site& site) {
    const CableRun& run = site.network->runs[0];
    std::vector<double> heights;
    for (const std::string& id : run.fixtures)
        for (const Fixture& fixture : site.fixtures)
            if (fixture.id == id)
                heights.push_back(fixture.lens_height);
    return make_run_circuit(run, lay_cable(site, run), site.ground, 12, by_nec.wire, heights);
}

double length_of(const RunCircuit& made, CablePart part) {
    double metres = 0;
    for (const CableLoad& cable : made.cables)
        metres += cable.part == part ? cable.length : 0;
    return metres;
}

std::size_t count_of(const RunCircuit& made, CablePart part) {
    std::size_t count = 0;
    for (const CableLoad& cable : made.cables)
        count += cable.part == part ? 1 : 0;
    return count;
}

/// Three lamps 10, 20 and 30 ft from the transformer.
Site make_three() {
    return make_line(3, 10, {.id = "led", .watts = 4});
}
constexpr double ten_feet = 10 * metres_per_foot;

} // namespace

TEST_CASE("a daisy chain is a ladder: a node a lamp, both conductors' ohms") {
    const RunCircuit made = make_circuit(make_three());
    CHECK(made.circuit.volts == 12);
    CHECK(made.circuit.nodes == 4);
    REQUIRE(made.circuit.cables.size() == 3);
    CHECK(made.lamps == std::vector<std::size_t>{1, 2, 3});
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(made.circuit.cables[i].from == i);
        CHECK(made.circuit.cables[i].to == i + 1);
        CHECK(made.circuit.cables[i].ohms == doctest::Approx(2 * 10 * 1.98 / 1000));
        CHECK(made.cables[i].length == doctest::Approx(ten_feet));
        CHECK(made.cables[i].gauge == 12);
    }
    CHECK(made.circuit.loads.empty());
}

TEST_CASE("lamps at one place share a node, and cable beyond the last lamp is bought but carries nothing") {
    Site site = make_three();
    site.fixtures[1].at = site.fixtures[0].at;
    site.network->runs[0].path = {{0, 0}, {4 * ten_feet, 0}};
    const RunCircuit made = make_circuit(site);
    CHECK(made.lamps[0] == made.lamps[1]);
    CHECK(made.lamps[2] != made.lamps[0]);
    CHECK(made.circuit.nodes == 4); // source, 10 ft, 30 ft and the end at 40 ft
    CHECK(length_of(made, CablePart::cable) == doctest::Approx(4 * ten_feet));
}

TEST_CASE("leads: distance with slack, the lens's height and the wire of the fixture, in their own gauge") {
    Site site = make_three();
    CableRun& run = site.network->runs[0];
    run.path = {{0, 0}, {3 * ten_feet, 0}};
    run.slack = 0.2;
    run.lead = 0.5;
    run.lead_gauge = 16;
    site.fixtures[1].at = glm::dvec2(2 * ten_feet, 1.5);
    site.fixtures[1].lens_height = 0.4;
    site.fixtures[2].lens_height = -0.1; // below the ground: no wire is saved
    const RunCircuit made = make_circuit(site);
    CHECK(length_of(made, CablePart::cable) == doctest::Approx(3 * ten_feet * 1.2));
    REQUIRE(count_of(made, CablePart::lead) == 3);
    CHECK(length_of(made, CablePart::lead) == doctest::Approx(0.5 + (1.5 * 1.2 + 0.4 + 0.5) + 0.5));
    for (std::size_t i = 0; i < made.cables.size(); ++i) {
        const CableLoad& cable = made.cables[i];
        if (cable.part != CablePart::lead)
            continue;
        CHECK(cable.gauge == 16);
        CHECK_FALSE(cable.fixture.empty());
        CHECK(made.circuit.cables[i].ohms ==
              doctest::Approx(2 * cable.length / metres_per_foot * 4.99 / 1000));
    }
}

TEST_CASE("cable is as long as the ground that falls under it, and as retaining walls are high") {
    Site site = make_line(1, 10 / metres_per_foot, {.id = "led", .watts = 4});
    // 3 m high at its west, 4 m farther east as low as the rest: a slope of 5 m.
    site.ground.areas = {{.id = "bank",
                          .kind = GroundKind::paving,
                          .outline = {{2, -1}, {6, -1}, {6, 1}, {2, 1}},
                          .height = 3,
                          .fall = GroundFall{.towards = radians_from_degrees(90)}}};
    CHECK(length_of(make_circuit(site), CablePart::cable) == doctest::Approx(2 + 3 + 5 + 4));
    // A trench follows the slope and goes up no wall; what is under the paving is in a sleeve.
    const TrenchPlan trench = measure_trench(site);
    CHECK(trench.length == doctest::Approx(2 + 5 + 4));
    REQUIRE(trench.sleeves.size() == 1);
    CHECK(trench.sleeves[0].length == doctest::Approx(5).epsilon(0.01));
    // Along the slope's middle nothing falls: 1.5 m up the terrace's side, 2 m across it, 1.5 m down again.
    site.fixtures[0].at = glm::dvec2(4, 3);
    site.network->transformers[0].at = {4, -3};
    CHECK(length_of(make_circuit(site), CablePart::cable) == doctest::Approx(6 + 2 * 1.5));
    site.ground.areas[0].height = 0;
    site.ground.areas[0].fall.reset();
    CHECK(length_of(make_circuit(site), CablePart::cable) == doctest::Approx(6));
}

TEST_CASE("fed at the centre, the home run ends in the middle and two branches leave it") {
    Site site = make_three();
    CableRun& run = site.network->runs[0];
    run.layout = RunLayout::centre_fed;
    run.path = {{ten_feet, 0}, {3 * ten_feet, 0}};
    run.home = {{0, 0}, {0, 2}, {2 * ten_feet, 2}, {2 * ten_feet, 0}};
    const RunCircuit made = make_circuit(site);
    CHECK(count_of(made, CablePart::home) == 1);
    CHECK(length_of(made, CablePart::home) == doctest::Approx(2 * ten_feet + 4));
    CHECK(count_of(made, CablePart::cable) == 2);
    CHECK(length_of(made, CablePart::cable) == doctest::Approx(2 * ten_feet));
    std::size_t at_feed = 0;
    for (const CircuitCable& cable : made.circuit.cables)
        at_feed += cable.from == made.lamps[1] ? 1 : 0; // the middle lamp hangs at the feed
    CHECK(at_feed == 2);
}

TEST_CASE("a hub feeds each lamp by a lead of its own") {
    Site site = make_three();
    CableRun& run = site.network->runs[0];
    run.layout = RunLayout::hub;
    run.hub = "H";
    site.network->hubs = {{"H", {2 * ten_feet, 3}}};
    const RunCircuit made = make_circuit(site);
    CHECK(length_of(made, CablePart::home) == doctest::Approx(std::hypot(2 * ten_feet, 3.0)));
    CHECK(count_of(made, CablePart::cable) == 0);
    CHECK(length_of(made, CablePart::lead) == doctest::Approx(3 + 2 * std::hypot(ten_feet, 3.0)));
    for (const CircuitCable& cable : made.circuit.cables)
        CHECK(cable.from <= 1); // home from the source, leads from the hub
}

TEST_CASE("a loop comes back to the source: as many cables as nodes") {
    Site site = make_three();
    CableRun& run = site.network->runs[0];
    run.layout = RunLayout::loop;
    run.path = {{0, 0}, {3 * ten_feet, 0}, {3 * ten_feet, 5}, {0, 5}, {0, 0}};
    const RunCircuit made = make_circuit(site);
    CHECK(made.circuit.nodes == 4);
    CHECK(made.circuit.cables.size() == 4); // a tree has one fewer
    CHECK(length_of(made, CablePart::cable) == doctest::Approx(6 * ten_feet + 10));
    CHECK(made.circuit.cables.back().to == 0);
}
