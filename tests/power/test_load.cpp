// Loads of invented sites against hand calculations and common practice.

#include <algorithm>
#include <cmath>
#include <complex>

#include "cable_line.hpp"
#include "duskcast/power/advice.hpp"
#include "duskcast/power/route.hpp"

using namespace duskcast;
using namespace duskcast::tests;

namespace {

using Complex = std::complex<double>;

/// One lamp of the long lot, as measured off its plan: feet along the cable, feet of lead.
struct Spot {
    const char* id;
    double along_ft, lead_ft, watts, volt_amperes;
};

/// Volts at the lamps of a daisy chain by repetition: currents from volts, volts from currents. Slack of a
/// tenth on the cable. `amps` gives what flows at the transformer.
std::vector<double> solve_by_hand(const std::vector<Spot>& spots, double tap, double ohms_per_kft,
                                  double lead_ohms_per_kft, double& amps) {
    std::vector<Complex> volts(spots.size(), tap);
    Complex whole;
    for (int round = 0; round < 200; ++round) {
        std::vector<Complex> current;
        whole = 0;
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const double watts = spots[i].watts, apparent = spots[i].volt_amperes;
            current.push_back(
                std::conj(Complex(watts, std::sqrt(apparent * apparent - watts * watts)) / volts[i]));
            whole += current.back();
        }
        Complex here = tap, beyond = whole;
        double passed = 0;
        for (std::size_t i = 0; i < spots.size(); ++i) {
            here -= beyond * 2.0 * (spots[i].along_ft - passed) * 1.1 * ohms_per_kft / 1000.0;
            passed = spots[i].along_ft;
            beyond -= current[i];
            volts[i] = here - current[i] * 2.0 * spots[i].lead_ft * lead_ohms_per_kft / 1000.0;
        }
    }
    amps = std::abs(whole);
    std::vector<double> sizes;
    for (const Complex& one : volts)
        sizes.push_back(std::abs(one));
    return sizes;
}

} // namespace

TEST_CASE("the worked ladder again as a site") {
    // 5 x 20 W 20 ft apart on 12 AWG, NEC table 8, constant current: worked in test_circuit.cpp.
    const Site site = make_line(
        5, 20, {.id = "lamp", .watts = 20, .draw = Draw::current, .operating_volts = std::array{10.0, 13.0}});
    const LoadReport report = measure_load(site, {}, by_nec);
    const double wanted[] = {11.34, 10.812, 10.416, 10.152, 10.02};
    for (std::size_t i = 0; i < 5; ++i) {
        CHECK(report.fixtures[i].volts == doctest::Approx(wanted[i]).epsilon(1e-9));
        CHECK(report.fixtures[i].amps == doctest::Approx(20.0 / 12).epsilon(1e-9));
        CHECK(report.fixtures[i].state == VoltageState::good);
    }
    REQUIRE(report.runs.size() == 1);
    CHECK(report.runs[0].drop() == doctest::Approx(1.98).epsilon(1e-9));
    CHECK(report.runs[0].amps == doctest::Approx(100.0 / 12).epsilon(1e-9));
    CHECK(report.runs[0].cable_length == doctest::Approx(100 * metres_per_foot));
    CHECK(report.transformers[0].volt_amperes == doctest::Approx(100).epsilon(1e-9));
    CHECK(report.transformers[0].secondary_amps[0] == doctest::Approx(100.0 / 12).epsilon(1e-9));
    // The trade's figure beside it: 100 W x 100 ft / 7500.
    CHECK(report.runs[0].trade_drop == doctest::Approx(100.0 * 100 / 7500).epsilon(1e-9));
    // What the cable loses is what the transformer gives and the lamps do not take.
    CHECK(report.runs[0].lost ==
          doctest::Approx(12 * report.runs[0].amps - report.runs[0].watts).epsilon(1e-9));
    double drops = 0;
    for (const CableLoad& cable : report.runs[0].cables)
        drops += cable.drop;
    CHECK(drops == doctest::Approx(report.runs[0].drop()).epsilon(1e-9));
}

TEST_CASE("layouts by superposition: centre feed, hub and loop") {
    // Constant current 20 W / 12 V, 12 AWG of NEC table 8: 0.00198 x 2 x 20 ft = 0.0792 ohm a gap.
    Site site = make_line(
        5, 20, {.id = "lamp", .watts = 20, .draw = Draw::current, .operating_volts = std::array{10.0, 13.0}});
    const double gap = 0.0792, amps = 20.0 / 12;
    CableRun& run = site.network->runs[0];
    const auto volts = [&](std::size_t i) { return measure_load(site, {}, by_nec).fixtures[i].volts; };

    run.layout = RunLayout::centre_fed; // home straight to the third, 60 ft
    CHECK(volts(2) == doctest::Approx(12 - 5 * amps * 3 * gap).epsilon(1e-9));
    CHECK(volts(0) == doctest::Approx(12 - 5 * amps * 3 * gap - (2 + 1) * amps * gap).epsilon(1e-9));
    CHECK(volts(4) == doctest::Approx(volts(0)).epsilon(1e-12));

    run.layout = RunLayout::loop; // 100 ft out and 100 ft back
    // Each lamp at k gaps of 10 splits its current as the ways' lengths; the drop at lamp j from lamp k is
    // amps x gap x min(j, k) x (10 - max(j, k)) / 10.
    double drop = 0;
    for (int k = 1; k <= 5; ++k)
        drop += amps * gap * std::min(5, k) * (10 - std::max(5, k)) / 10;
    CHECK(volts(4) == doctest::Approx(12 - drop).epsilon(1e-9));

    run.layout = RunLayout::hub; // at the third; leads of 12 AWG 40, 20, 0, 20, 40 ft
    run.lead_gauge = 12;
    site.network->hubs = {{"H", {60 * metres_per_foot, 0}}};
    run.hub = "H";
    CHECK(volts(0) == doctest::Approx(12 - 5 * amps * 3 * gap - 2 * amps * gap).epsilon(1e-9));
    CHECK(volts(2) == doctest::Approx(12 - 5 * amps * 3 * gap).epsilon(1e-9));
}

TEST_CASE("slack, leads and heights lengthen the wire") {
    Site site = make_line(1, 100, {.id = "lamp", .watts = 10});
    CableRun& run = site.network->runs[0];
    run.path = {{0, 0}, {100 * metres_per_foot, 0}};
    site.fixtures[0].at = glm::dvec2(100, 10) * metres_per_foot;
    site.fixtures[0].lens_height = 20 * metres_per_foot; // hung in a tree
    run.slack = 0.1;
    run.lead = 2 * metres_per_foot;
    const LoadReport report = measure_load(site, {}, {});
    CHECK(report.runs[0].cable_length == doctest::Approx(110 * metres_per_foot));
    CHECK(report.runs[0].lead_length == doctest::Approx((11 + 20 + 2) * metres_per_foot));
    CHECK(report.fixtures[0].distance == doctest::Approx(143 * metres_per_foot));
}

TEST_CASE("a property of 22 fixtures front and back agrees with a hand calculation") {
    const SiteFile file =
        read_site_file(std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes/long-lot/long-lot.site.json");
    REQUIRE(file.warnings.size() == 1);
    CHECK(file.warnings[0].what.starts_with("B10 hangs")); // nothing about cables
    const LoadReport report = measure_load(file.site, file.folder(), {});
    REQUIRE(report.fixtures.size() == 22);
    REQUIRE(report.runs.size() == 2);

    // Measured off the plan. Front: 10 ft down the side, 70 ft along the wall, 108 ft along the walk. Leads:
    // from the cable a tenth more than the distance, the lens's height (7 in, path lights 18 in) and 2 ft.
    const double at_wall = 0.75 * 1.1 + 7.0 / 12 + 2, in_bed = 1 * 1.1 + 7.0 / 12 + 2,
                 path = 1 * 1.1 + 1.5 + 2;
    const double spot_va = 5 / 0.75;
    const std::vector<Spot> front = {
        {"A1", 18, at_wall, 5, spot_va}, {"A2", 28, at_wall, 5, spot_va}, {"A3", 38, at_wall, 5, spot_va},
        {"A4", 46, at_wall, 5, spot_va}, {"A5", 56, at_wall, 5, spot_va}, {"A6", 66, at_wall, 5, spot_va},
        {"A7", 98, path, 2, 2.9},        {"A8", 120, path, 2, 2.9},       {"A9", 142, path, 2, 2.9},
        {"A10", 164, path, 2, 2.9},      {"A11", 186, path, 2, 2.9}};
    // Back: 34 ft up the side, 32 ft along the wall, 108 ft along the path, 40 ft across, 30 ft by the maple.
    // B10 hangs at 20 ft on the maple: trunk 38 ft / 40 thick, 8 in off its face, 3 ft beyond the cable's
    // line less those.
    const double in_tree = (3 - 0.475 - 8.0 / 12) * 1.1 + 20 + 2;
    const std::vector<Spot> back = {
        {"B1", 44, at_wall, 5, spot_va},   {"B2", 58, at_wall, 5, spot_va}, {"B3", 84, path, 2, 2.9},
        {"B4", 104, path, 2, 2.9},         {"B5", 124, path, 2, 2.9},       {"B6", 144, path, 2, 2.9},
        {"B7", 186, in_bed, 5, spot_va},   {"B8", 192, in_bed, 5, spot_va}, {"B9", 224, in_bed, 5, spot_va},
        {"B10", 229, in_tree, 5, spot_va}, {"B11", 234, in_bed, 5, spot_va}};
    CHECK(report.runs[0].cable_length / metres_per_foot == doctest::Approx(188 * 1.1).epsilon(1e-9));
    CHECK(report.runs[1].cable_length / metres_per_foot == doctest::Approx(244 * 1.1).epsilon(1e-9));

    // Copper at 25 C, stranded: 1 / 58 ohm mm2 / m x 1.02 x (1 + 0.00393 x 5) over 3.3088 and 0.8230 mm2, by
    // the thousand feet (304.8 m).
    const double copper = 1.0 / 58 * 1.02 * (1 + 0.00393 * 5) * 304.8;
    const double ohms = copper / 3.3088, lead_ohms = copper / 0.8230;
    double front_amps = 0, back_amps = 0;
    const std::vector<double> front_volts = solve_by_hand(front, 12, ohms, lead_ohms, front_amps);
    const std::vector<double> back_volts = solve_by_hand(back, 13, ohms, lead_ohms, back_amps);
    for (std::size_t i = 0; i < 11; ++i) {
        CAPTURE(i);
        CHECK(report.fixtures[i].id == front[i].id);
        CHECK(report.fixtures[i].volts == doctest::Approx(front_volts[i]).epsilon(1e-5));
        CHECK(report.fixtures[11 + i].id == back[i].id);
        CHECK(report.fixtures[11 + i].volts == doctest::Approx(back_volts[i]).epsilon(1e-5));
    }
    CHECK(report.fixtures[10].distance / metres_per_foot == doctest::Approx(186 * 1.1 + path).epsilon(1e-6));
    CHECK(report.transformers[0].volt_amperes ==
          doctest::Approx(12 * front_amps + 13 * back_amps).epsilon(1e-5));
    CHECK(report.transformers[0].share() ==
          doctest::Approx((12 * front_amps + 13 * back_amps) / 300).epsilon(1e-5));
    MESSAGE("front " << front_volts.back() << " V, back " << back_volts.back() << " V, "
                     << report.transformers[0].volt_amperes << " VA");
    CHECK(is_all_good(report));
    CHECK(find_advice(file.site, file.folder(), report).empty());
    CHECK(find_crossings(file.site, report).empty());
    const double leads = 8 * at_wall + 9 * path + 4 * in_bed + in_tree;
    CHECK(leads == doctest::Approx(107.444).epsilon(1e-5));
}

TEST_CASE("a cable through house or pool is found, and how long it is inside") {
    // A house 6 m x 4 m, a pond 2 m wide; each run's cable straight through the middle of one of them, with
    // a lead that hangs over the pond and does not count.
    Site site = make_line(2, 10, {.id = "led", .watts = 4});
    site.walls = {{.id = "house", .path = {{2, -2}, {8, -2}, {8, 2}, {2, 2}}, .closed = true}};
    site.ground.areas = {
        {.id = "pond", .kind = GroundKind::water, .outline = {{2, 4}, {4, 4}, {4, 9}, {2, 9}}},
        {.id = "drive", .kind = GroundKind::paving, .outline = {{-1, -9}, {1, -9}, {1, 9}, {-1, 9}}}};
    Network& network = *site.network;
    CableRun other = network.runs[0];
    other.id = "pond run";
    network.runs[0].fixtures = {"F1"};
    network.runs[0].path = {{0, 0}, {10, 0}};
    site.fixtures[0].at = glm::dvec2(10, 0);
    other.fixtures = {"F2"};
    other.path = {{0, 8}, {5, 8}};
    site.fixtures[1].at = glm::dvec2(5, 8);
    network.runs.push_back(other);
    const std::vector<Crossing> crossings = find_crossings(site, measure_load(site, {}, {}));
    REQUIRE(crossings.size() == 2);
    CHECK(crossings[0].run == 0);
    CHECK(crossings[0].obstacle == "house");
    CHECK(crossings[0].length == doctest::Approx(6).epsilon(0.02)); // looked at every 10 cm
    CHECK(crossings[1].run == 1);
    CHECK(crossings[1].obstacle == "pond");
    CHECK(crossings[1].length == doctest::Approx(2).epsilon(0.06));

    // Around the house, and a lamp on the far bank at the end of its lead.
    site.network->runs[0].path = {{0, 0}, {0, 3}, {10, 3}, {10, 0}};
    site.network->runs[1].path = {{0, 8}, {1.5, 8}};
    CHECK(find_crossings(site, measure_load(site, {}, {})).empty());
}

TEST_CASE("a cable under a porch floor or steps is found, but not one under an oriel") {
    // Before a front on y = 0 a floor 2 m deep and 4 m wide, an oriel 1.5 m over the ground and steps of
    // three treads that go 0.9 m out; one cable 0.6 m before the wall, past all of them.
    Site site = make_line(1, 10, {.id = "led", .watts = 4});
    Wall front{.id = "front", .path = {{0, 0}, {20, 0}}, .height = 5};
    front.projections = {{.id = "porch", .from = 2, .width = 4, .depth = 2, .height = 0.4},
                         {.id = "oriel", .from = 8, .width = 3, .depth = 1, .bottom = 1.5, .height = 4}};
    site.walls = {front};
    site.steps = {{.id = "steps", .wall = "front", .along = 15, .width = 1.2, .height = 0.5, .tread = 0.3}};
    site.fixtures[0].at = glm::dvec2(20, -0.6);
    site.network->transformers[0].at = {0, -0.6};
    site.network->runs[0].path = {{0, -0.6}, {20, -0.6}};
    const std::vector<Crossing> crossings = find_crossings(site, measure_load(site, {}, {}));
    REQUIRE(crossings.size() == 2);
    CHECK(crossings[0].obstacle == "front.porch");
    CHECK(crossings[0].length == doctest::Approx(4).epsilon(0.03)); // looked at every 10 cm
    CHECK(crossings[1].obstacle == "steps");
    CHECK(crossings[1].length == doctest::Approx(1.2).epsilon(0.1));

    site.network->runs[0].path = {{0, -0.6}, {0, -2.2}, {20, -2.2}, {20, -0.6}};
    CHECK(find_crossings(site, measure_load(site, {}, {})).empty());
}

TEST_CASE("350 ft of 12 AWG with LED lamps is no worry") {
    // Common practice, no source. Ten 3 W lamps every 35 ft, power factor 0.9, on the 12 V tap.
    const Site site = make_line(10, 35, {.id = "led", .watts = 3, .power_factor = 0.9, .is_regulated = true});
    const LoadReport report = measure_load(site, {}, {});
    CHECK(report.runs[0].cable_length == doctest::Approx(350 * metres_per_foot));
    CHECK(is_all_good(report));
    CHECK(report.runs[0].drop() < 3); // to 9 V
    MESSAGE("drop " << report.runs[0].drop() << " V");
}

TEST_CASE("18 cheap lamps that overdraw fail to start") {
    // Common practice, no source. Boxes say 4 W, a meter says 7 W; 12 ft of 12 AWG from lamp to lamp. By the
    // boxes it would have an operating point.
    Site site = make_line(18, 12, {.id = "cheap", .watts = 4, .power_factor = 0.8});
    const LoadReport boxed = measure_load(site, {}, {});
    CHECK(boxed.runs[0].is_found);
    site.lamps[0].measured_watts = 7;
    const LoadReport report = measure_load(site, {}, {});
    CHECK_FALSE(report.runs[0].is_found);
    CHECK(report.runs[0].bearable_share < 1);
    CHECK_FALSE(is_all_good(report));
    CHECK(report.runs[0].asked_watts == doctest::Approx(18 * 7));
    CHECK(report.fixtures[0].named_watts == 4);
    // The share is right: just under it the run works.
    site.lamps[0].measured_watts = 7 * report.runs[0].bearable_share * 0.999;
    CHECK(measure_load(site, {}, {}).runs[0].is_found);
}

TEST_CASE("a halogen lamp near the transformer on a high tap is above its operating range") {
    Site site = make_line(2, 10, {.id = "halogen", .watts = 20, .draw = Draw::halogen});
    site.network->transformers[0].tap = 15;
    const LoadReport report = measure_load(site, {}, {});
    CHECK(report.fixtures[0].state == VoltageState::high);
    CHECK(report.fixtures[1].state == VoltageState::high);
    CHECK(count_good_lamps(report) == 0);
}

TEST_CASE("what a transformer gives is set beside its rating and its secondary's limit") {
    // 27 lamps of 12 W with power factor 1 close by: 324 VA, 27 A at 12 V.
    Site site = make_line(27, 0.5, {.id = "led", .watts = 12});
    site.network->runs[0].gauge = 8;
    const LoadReport report = measure_load(site, {}, {});
    CHECK(report.transformers[0].share() > 1);
    CHECK(report.transformers[0].secondary_amps[0] > 27);
    CHECK_FALSE(is_transformer_good(report.transformers[0]));
}

TEST_CASE("a tap for all runs must be there and be borne") {
    Site site = make_line(2, 10, {.id = "led", .watts = 5, .max_volts = 13});
    CHECK(measure_load(site, {}, {.tap = 13}).runs[0].tap == 13);
    CHECK_THROWS_WITH_AS(measure_load(site, {}, {.tap = 16}),
                         "--tap: error: transformer \"T1\" has no tap of 16 V; it has 12, 13, 14, 15 V",
                         InputError);
    CHECK_THROWS_WITH_AS(
        measure_load(site, {}, {.tap = 14}),
        "--tap: error: a tap of 14 V is over the 13 V that lamp \"led\" of fixture \"F1\" bears; "
        "use a lower tap",
        InputError);
    site.network.reset();
    CHECK_THROWS_AS(measure_load(site, {}, {}), InputError);
}

TEST_CASE("a lamp without watts is named and not taken as nothing") {
    Site site = make_line(1, 10, {.id = "unknown", .figures = {.lumens = 300, .beam_angle = 0.6}});
    CHECK_THROWS_WITH_AS(
        measure_load(site, {}, {}),
        "error: the watts of lamp \"unknown\" are not known, so the load cannot be added up; give "
        "\"watts\", or \"measured_watts\"",
        InputError);
    site.lamps[0].measured_watts = 4;
    CHECK(measure_load(site, {}, {}).runs[0].asked_watts == 4);
}

TEST_CASE("dimming scales what a lamp asks for") {
    Site site = make_line(1, 10, {.id = "led", .watts = 8});
    site.fixtures[0].dimming = 0.25;
    CHECK(measure_load(site, {}, {}).fixtures[0].asked_watts == doctest::Approx(2));
}

TEST_CASE("two secondaries of one transformer are counted apart") {
    // 6 A of constant current on the first circuit, 4 A on the second, at 12 V: 72 and 48 VA.
    Site site = make_line(10, 1, {.id = "lamp", .watts = 12, .draw = Draw::current});
    Network& network = *site.network;
    network.transformers[0].secondaries = 2;
    network.transformers[0].secondary_limit = 5;
    CableRun other = network.runs[0];
    other.id = "other";
    other.secondary = 2;
    other.fixtures.assign(network.runs[0].fixtures.begin() + 6, network.runs[0].fixtures.end());
    network.runs[0].fixtures.resize(6);
    network.runs.push_back(other);
    const LoadReport report = measure_load(site, {}, by_nec);
    const TransformerLoad& transformer = report.transformers[0];
    REQUIRE(transformer.secondary_amps.size() == 2);
    CHECK(transformer.secondary_amps[0] == doctest::Approx(6).epsilon(1e-9));
    CHECK(transformer.secondary_amps[1] == doctest::Approx(4).epsilon(1e-9));
    CHECK(transformer.volt_amperes == doctest::Approx(120).epsilon(1e-9));
    CHECK(transformer.share() == doctest::Approx(0.4).epsilon(1e-9));
    CHECK_FALSE(is_transformer_good(transformer)); // 6 A on a circuit of 5 A
    network.transformers[0].secondary_limit = 6.1;
    CHECK(is_transformer_good(measure_load(site, {}, by_nec).transformers[0]));
}

TEST_CASE("each run takes its own tap, its transformer's or the lowest") {
    Site site = make_line(3, 10, {.id = "lamp", .watts = 12, .draw = Draw::current});
    Network& network = *site.network;
    network.runs[0].fixtures = {"F1"};
    CableRun second = network.runs[0], third = network.runs[0];
    second.id = "second";
    second.fixtures = {"F2"};
    second.tap = 14;
    third.id = "third";
    third.fixtures = {"F3"};
    network.runs.push_back(second);
    network.runs.push_back(third);
    CHECK(measure_load(site, {}, by_nec).runs[0].tap == 12);
    network.transformers[0].tap = 13;
    const LoadReport report = measure_load(site, {}, by_nec);
    CHECK(report.runs[0].tap == 13);
    CHECK(report.runs[1].tap == 14);
    CHECK(report.runs[2].tap == 13);
    // One amp over 10, 20 and 30 ft of 12 AWG, 0.0396 ohm for ten feet there and back.
    CHECK(report.fixtures[0].volts == doctest::Approx(13 - 0.0396).epsilon(1e-9));
    CHECK(report.fixtures[1].volts == doctest::Approx(14 - 2 * 0.0396).epsilon(1e-9));
    CHECK(report.fixtures[2].volts == doctest::Approx(13 - 3 * 0.0396).epsilon(1e-9));
    // What each secondary carries is the sum of its runs' amps.
    CHECK(report.transformers[0].secondary_amps[0] == doctest::Approx(3).epsilon(1e-9));
}

TEST_CASE("a loop of lamps of constant resistance by its node equations") {
    // Two lamps of 24 W / 12 V, 6 ohm each, at a third and two thirds of a ring of 3 x 20 ft: by symmetry
    // both have V with (12 - V) / r = V / 6, for no current flows between them.
    Site site = make_line(2, 20, {.id = "lamp", .watts = 24, .draw = Draw::resistance});
    CableRun& run = site.network->runs[0];
    run.layout = RunLayout::loop;
    const double side = 20 * metres_per_foot;
    const glm::dvec2 apex = side * glm::dvec2(0.5, std::sqrt(0.75)); // an equilateral triangle
    site.fixtures[0].at = glm::dvec2(side, 0);
    site.fixtures[1].at = apex;
    run.path = {{0, 0}, {side, 0}, apex, {0, 0}};
    const LoadReport report = measure_load(site, {}, by_nec);
    const double ohms = 2 * 20 * 1.98 / 1000, volts = 12 * 6 / (6 + ohms);
    for (const FixtureLoad& fixture : report.fixtures) {
        CHECK(fixture.volts == doctest::Approx(volts).epsilon(1e-9));
        CHECK(fixture.watts == doctest::Approx(volts * volts / 6).epsilon(1e-9));
        CHECK(fixture.distance == doctest::Approx(side)); // the shorter way
    }
    REQUIRE(report.runs[0].cables.size() == 3);
    CHECK(report.runs[0].cables[1].amps == doctest::Approx(0).epsilon(1e-9));
    CHECK(report.runs[0].lost == doctest::Approx(2 * std::pow(volts / 6, 2) * ohms).epsilon(1e-9));
}

TEST_CASE("taps off a cable: a lead of thinner wire drops by its own amps alone") {
    // Two lamps of one amp at one tap 50 ft out, leads of 18 AWG 0 ft and 10 ft.
    Site site = make_line(2, 50, {.id = "lamp", .watts = 12, .draw = Draw::current});
    CableRun& run = site.network->runs[0];
    run.path = {{0, 0}, {50 * metres_per_foot, 0}};
    site.fixtures[1].at = glm::dvec2(50, 10) * metres_per_foot;
    const LoadReport report = measure_load(site, {}, by_nec);
    const double cable = 2 * 50 * 1.98 / 1000, lead = 2 * 10 * 7.95 / 1000;
    CHECK(report.fixtures[0].volts == doctest::Approx(12 - 2 * cable).epsilon(1e-9));
    CHECK(report.fixtures[1].volts == doctest::Approx(12 - 2 * cable - lead).epsilon(1e-9));
    CHECK(report.runs[0].lowest == 1);
    CHECK(report.runs[0].most_volts == doctest::Approx(12 - 2 * cable).epsilon(1e-9));
    for (const CableLoad& one : report.runs[0].cables)
        if (one.part == CablePart::lead) {
            CHECK(one.fixture == "F2");
            CHECK(one.gauge == 18);
            CHECK(one.drop == doctest::Approx(lead).epsilon(1e-9));
            CHECK(one.lost == doctest::Approx(lead).epsilon(1e-9)); // at one amp
            CHECK(one.end_volts == doctest::Approx(report.fixtures[1].volts).epsilon(1e-12));
        }
}

TEST_CASE("a power factor raises the amps and what the transformer must give, not the watts") {
    // At hand, so that the volts stay at 12: 10 W at 0.5 are 20 VA, 1.667 A.
    const Site site = make_line(1, 0.01, {.id = "led", .watts = 10, .power_factor = 0.5});
    const LoadReport report = measure_load(site, {}, by_nec);
    CHECK(report.runs[0].asked_volt_amperes == doctest::Approx(20));
    CHECK(report.fixtures[0].watts == doctest::Approx(10).epsilon(1e-6));
    CHECK(report.fixtures[0].volt_amperes == doctest::Approx(20).epsilon(1e-6));
    CHECK(report.fixtures[0].amps == doctest::Approx(20.0 / 12).epsilon(1e-4));
    CHECK(report.transformers[0].volt_amperes == doctest::Approx(20).epsilon(1e-4));
}

TEST_CASE("a run without operating point leaves the transformer what its lamps ask for") {
    Site site = make_line(2, 100, {.id = "big", .watts = 100, .power_factor = 0.8});
    const LoadReport report = measure_load(site, {}, by_nec);
    CHECK_FALSE(report.runs[0].is_found);
    CHECK_FALSE(report.transformers[0].is_whole);
    CHECK(report.transformers[0].volt_amperes == doctest::Approx(250));
    CHECK(report.transformers[0].secondary_amps[0] == doctest::Approx(250.0 / 12));
    CHECK_FALSE(is_transformer_good(report.transformers[0]));
    CHECK(count_good_lamps(report) == 0);
}

TEST_CASE("a fixture whose lamp the site does not have is refused") {
    Site site = make_line(1, 10, {.id = "led", .watts = 5});
    site.fixtures[0].lamp = "none";
    CHECK_THROWS_WITH_AS(measure_load(site, {}, {}),
                         "error: fixture \"F1\" has no lamp \"none\"; name one of the site's lamps",
                         InputError);
}
