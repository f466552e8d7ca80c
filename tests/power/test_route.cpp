// Proposed runs: where they go, and that they can be used as they are.

#include <algorithm>
#include <bit>
#include <cmath>
#include <random>
#include <set>

#include "cable_line.hpp"
#include "duskcast/power/route.hpp"
#include "duskcast/power/trench.hpp"
#include "duskcast/site/layout.hpp"

using namespace duskcast;
using namespace duskcast::tests;

namespace {

SiteFile read_long_lot() {
    return read_site_file(std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes/long-lot/long-lot.site.json");
}

/// Whether a path keeps out of an outline, looked at every 5 cm and 10 cm within the outline's edge.
bool keeps_out(const std::vector<glm::dvec2>& path, const std::vector<glm::dvec2>& outline) {
    const double length = line_length(path);
    for (double along = 0; along < length; along += 0.05)
        if (is_inside(outline, point_along(path, along)))
            return false;
    return true;
}

double paving_metres(const std::vector<glm::dvec2>& path, const std::vector<glm::dvec2>& outline) {
    double metres = 0;
    for (double along = 0; along < line_length(path); along += 0.05)
        metres += is_inside(outline, point_along(path, along)) ? 0.05 : 0;
    return metres;
}

} // namespace

TEST_CASE("a front and a back run keep out of house and pool and feed every fixture once") {
    SiteFile file = read_long_lot();
    file.site.network.reset();
    const Network network = propose_network(file.site, file.folder(), {});
    REQUIRE(network.transformers.size() == 1);
    REQUIRE(network.runs.size() == 2);
    CHECK(std::set<std::string>{network.runs[0].id, network.runs[1].id} ==
          std::set<std::string>{"front", "back"});
    std::set<std::string> fed;
    for (const CableRun& run : network.runs) {
        CAPTURE(run.id);
        fed.insert(run.fixtures.begin(), run.fixtures.end());
        CHECK(keeps_out(run.path, file.site.walls[0].path));
        for (const GroundArea& area : file.site.ground.areas)
            if (area.kind == GroundKind::water)
                CHECK(keeps_out(run.path, area.outline));
    }
    CHECK(fed.size() == 22);
    CHECK(network.runs[0].fixtures.size() + network.runs[1].fixtures.size() == 22);

    // Used as proposed: it passes the checks and the lamps work.
    file.site.network = network;
    for (const Problem& problem : check_site(file.site, file.folder()))
        CHECK_MESSAGE(problem.severity == Severity::warning, print_problem(problem));
    const LoadReport report = measure_load(file.site, file.folder(), {});
    CHECK(is_all_good(report));
    // Evened by load: neither asks for more than half as much again.
    const double one = report.runs[0].asked_volt_amperes, other = report.runs[1].asked_volt_amperes;
    CHECK(std::max(one, other) <= 1.5 * std::min(one, other) + 7);
    // Drawn by hand with 188 and 244 ft the way is 432 ft; the proposal is no longer by more than a tenth.
    double length = 0;
    for (const CableRun& run : network.runs)
        length += line_length(run.path) / metres_per_foot;
    MESSAGE("proposed " << length << " ft");
    CHECK(length < 432 * 1.1);
}

TEST_CASE("the same site gives the same proposal, and it reads back") {
    SiteFile file = read_long_lot();
    const Network network = propose_network(file.site, file.folder(), {});
    CHECK(network == propose_network(file.site, file.folder(), {}));
    CHECK(network.transformers[0].at == file.site.network->transformers[0].at); // the place is kept
    file.site.network = network;
    CHECK(read_site(print_site(file.site), file.file).site.network == network);
}

TEST_CASE("paving is crossed square and water gone round") {
    // A transformer's wall on one side of a 3 m drive, lamps on the other; a pond on the straight way to the
    // last.
    Site site = make_line(1, 10, {.id = "led", .watts = 4});
    site.network.reset();
    site.fixtures.clear();
    for (const glm::dvec2 place : {glm::dvec2(0, 8), glm::dvec2(12, 8)})
        site.fixtures.push_back(
            {.id = "F" + std::to_string(site.fixtures.size()), .lamp = "led", .at = place});
    Network& network = site.network.emplace();
    network.transformers = {{.id = "post", .at = {0, 0}, .rating = 300, .taps = {12, 15}}};
    site.ground.areas = {
        {.id = "drive", .kind = GroundKind::paving, .outline = {{-9, 3}, {25, 3}, {25, 6}, {-9, 6}}},
        {.id = "pond", .kind = GroundKind::water, .outline = {{4, 7}, {8, 7}, {8, 9.5}, {4, 9.5}}}};
    const Network proposed = propose_network(site, {}, {});
    REQUIRE_FALSE(proposed.runs.empty());
    for (const CableRun& run : proposed.runs) {
        CHECK(run.transformer == "post");
        CHECK(keeps_out(run.path, site.ground.areas[1].outline));
        CHECK(paving_metres(run.path, site.ground.areas[0].outline) < 2 * 3 * 1.2); // at most there and back
    }
}

TEST_CASE("many fixtures share more runs and transformers") {
    // 200 lamps of 5 W, 1000 VA: more than 25 A of one secondary and more than 80 % of 1200 VA.
    Site site = make_line(200, 3, {.id = "led", .watts = 5});
    site.network.reset();
    const Network network = propose_network(site, {}, {});
    std::size_t fed = 0;
    for (const CableRun& run : network.runs)
        fed += run.fixtures.size();
    CHECK(fed == 200);
    CHECK(network.runs.size() >= 5);
    double rating = 0;
    for (const Transformer& transformer : network.transformers)
        rating += transformer.rating;
    CHECK(rating * customary_share >= 1000);
}

TEST_CASE("the proposal is hardly longer than the best of all orders and cuts") {
    // Open lawn, a post at the origin and six equal lamps anywhere: every order of the six and every way of
    // cutting it into as many runs as were proposed, by straight lines.
    std::mt19937 random(11);
    std::uniform_real_distribution<double> place(-15, 15);
    for (int trial = 0; trial < 6; ++trial) {
        Site site = make_line(6, 10, {.id = "led", .watts = 4});
        for (Fixture& fixture : site.fixtures)
            fixture.at = glm::dvec2(place(random), place(random));
        site.network->runs.clear();
        const Network proposed = propose_network(site, {}, {});
        double length = 0;
        for (const CableRun& run : proposed.runs) {
            length += line_length(run.path);
            for (const std::string& id : run.fixtures)
                if (run.layout == RunLayout::hub)
                    length += glm::distance(find_hub(proposed, run.hub)->at, *find_fixture(site, id)->at);
        }

        std::vector<std::size_t> order{0, 1, 2, 3, 4, 5};
        double best = HUGE_VAL;
        do {
            for (unsigned cuts = 0; cuts < 32; ++cuts) { // a bit for each gap between two lamps
                if (static_cast<std::size_t>(std::popcount(cuts)) + 1 != proposed.runs.size())
                    continue;
                double sum = 0;
                for (std::size_t i = 0; i < 6; ++i) {
                    const bool begins = i == 0 || (cuts >> (i - 1) & 1) != 0;
                    const glm::dvec2 before = begins ? glm::dvec2(0) : *site.fixtures[order[i - 1]].at;
                    sum += glm::distance(before, *site.fixtures[order[i]].at);
                }
                best = std::min(best, sum);
            }
        } while (std::next_permutation(order.begin(), order.end()));
        CAPTURE(trial);
        MESSAGE("proposed " << length << " m, best " << best << " m");
        if (proposed.hubs.empty())
            CHECK(length >= best * 0.97); // to the middles of cells
        CHECK(length <= best * 1.2);
        std::size_t fed = 0;
        for (const CableRun& run : proposed.runs)
            fed += run.fixtures.size();
        CHECK(fed == 6);
    }
}

TEST_CASE("a garden with house, walk, drive and trees: few runs, none near the pool or under the porch") {
    // The scene's own network, drawn by hand, has four runs, two of them of 10 AWG, and 390 ft of trench.
    SiteFile file =
        read_site_file(std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes/maple-rise/maple-rise.site.json");
    const double by_hand = measure_trench(file.site).length;
    file.site.network = propose_network(file.site, file.folder(), {});
    CHECK(file.site.network->runs.size() <= 4);
    CHECK(measure_trench(file.site).length < by_hand * 1.15);
    const LoadReport report = measure_load(file.site, file.folder(), {});
    CHECK(is_all_good(report));
    int thick = 0;
    for (const RunLoad& run : report.runs) {
        thick += run.gauge != 12;
        CHECK(run.least_volts >= 10.5); // common practice, no source
    }
    CHECK(thick <= 1);
    const Wall& house = file.site.walls[0];
    REQUIRE(house.projections.size() == 1);
    for (const CableRun& run : file.site.network->runs)
        CHECK(keeps_out(run.path, outline_of(house, house.projections[0])));
    for (const CableRun& run : file.site.network->runs)
        for (const GroundArea& area : file.site.ground.areas)
            if (area.id == "pool") // 10 ft, as is customary for low voltage; corners are rounded to 3 in
                for (double along = 0; along < line_length(run.path); along += 0.1)
                    CHECK(distance_to_line(point_along(run.path, along), area.outline, true) >
                          9.7 * metres_per_foot);
}

TEST_CASE("lamps in three directions are three runs of 12 AWG, and what lies on the way shares a trench") {
    // Three rows of lamps from a post: 60 m north, 60 m east along a hedge, and one that leaves that way half
    // way along it, 40 m farther north. One run all round would be 12 W x 18 at the end of 280 m.
    Site site = make_line(18, 5, {.id = "led", .watts = 5});
    site.network.reset();
    for (std::size_t i = 0; i < 6; ++i) {
        const double along = static_cast<double>(i + 1);
        site.fixtures[i].at = glm::dvec2(0, 10 * along);
        site.fixtures[i + 6].at = glm::dvec2(10 * along, 0);
        site.fixtures[i + 12].at = glm::dvec2(30, 20 + 5 * along);
    }
    site.network.emplace().transformers = {{.id = "post", .rating = 300, .taps = {12, 13, 14, 15}}};
    const Network proposed = propose_network(site, {}, {});
    site.network = proposed;
    const LoadReport report = measure_load(site, {}, {});
    CHECK(is_all_good(report));
    for (const RunLoad& run : report.runs)
        CHECK(run.gauge == 12);
    // The shortest tree: 60 m north, 60 m east and 50 m from that way to the last lamp.
    MESSAGE(proposed.runs.size(), " runs, trench ", measure_trench(site).length, " m");
    CHECK(measure_trench(site).length > 170 * 0.97);
    CHECK(measure_trench(site).length < 170 * 1.06);
    // No row is cut in two by lamps of another.
    for (const CableRun& run : proposed.runs) {
        std::vector<std::size_t> rows;
        for (const std::string& id : run.fixtures) {
            const auto at = std::find_if(site.fixtures.begin(), site.fixtures.end(),
                                         [&](const Fixture& fixture) { return fixture.id == id; });
            rows.push_back(static_cast<std::size_t>(at - site.fixtures.begin()) / 6);
        }
        const auto changes = std::unique(rows.begin(), rows.end());
        std::set<std::size_t> all(rows.begin(), changes);
        CHECK(all.size() == static_cast<std::size_t>(changes - rows.begin()));
    }
}

TEST_CASE("two runs of 12 AWG either way round the lot, not one thick one all round it") {
    // 24 lamps of 5 W on a ring of 160 m with the transformer on it. By hand: on one run of 12 AWG
    // (0.0104 ohm a metre out and back) 120 W over 160 m lose about 120 / 12 x 0.0104 x 160 / 2 = 8 V.
    Site site = make_line(24, 5, {.id = "led", .watts = 5});
    site.network.reset();
    for (std::size_t i = 0; i < site.fixtures.size(); ++i) {
        double along = 160 * (static_cast<double>(i) + 0.5) / 24;
        const std::vector<glm::dvec2> ring = {{0, 0}, {25, 0}, {25, 30}, {-25, 30}, {-25, 0}, {0, 0}};
        site.fixtures[i].at = point_along(ring, along);
    }
    site.network.emplace().transformers = {{.id = "post", .rating = 300, .taps = {12, 13, 14, 15}}};
    const Network proposed = propose_network(site, {}, {});
    REQUIRE(proposed.runs.size() == 2);
    site.network = proposed;
    const LoadReport report = measure_load(site, {}, {});
    CHECK(is_all_good(report));
    for (const RunLoad& run : report.runs) {
        CHECK(run.gauge == 12);
        CHECK(run.least_volts >= 10.5); // common practice, no source
    }
    // As long as the ring, and no trench dug twice.
    CHECK(measure_trench(site).length < 160 * 1.05);
    CHECK(measure_trench(site).length > 140);
}

namespace {

/// Lamps of 5 W on a circle round a place, a post at the origin.
Site make_ring_of_lamps(std::size_t count, double radius, const glm::dvec2& middle) {
    const LampFigures figures{.lumens = 400, .beam_angle = radians_from_degrees(36)};
    Site site = make_line(count, 5, {.id = "led", .figures = figures, .watts = 5});
    site.network.emplace().transformers = {{.id = "post", .rating = 300, .taps = {12, 13, 14, 15}}};
    for (std::size_t i = 0; i < count; ++i) {
        const double turn = 2 * pi * static_cast<double>(i) / static_cast<double>(count);
        site.fixtures[i].at = middle + radius * glm::dvec2(-std::cos(turn), std::sin(turn));
    }
    return site;
}

} // namespace

TEST_CASE("lamps round one place are fed from a hub in its middle, on equal leads") {
    // By hand, in metres: four corners of a square with half a diagonal of 5, the nearest 15 from the post.
    // Past them in turn the trench is 15 + 3 x 7.07 = 36.2, all of it 12 AWG. To a hub in the middle it is
    // 20 and three leads beyond the one that the cable passes: 35, of which 20 in 12 AWG.
    Site site = make_ring_of_lamps(4, 5, {20, 0});
    const Network proposed = propose_network(site, {}, {});
    REQUIRE(proposed.runs.size() == 1);
    const CableRun& run = proposed.runs[0];
    REQUIRE(run.layout == RunLayout::hub);
    REQUIRE(proposed.hubs.size() == 1);
    CHECK(run.hub == proposed.hubs[0].id);
    CHECK(run.gauge == 12);
    CHECK(run.fixtures.size() == 4);
    CHECK(glm::distance(proposed.hubs[0].at, glm::dvec2(20, 0)) < 0.5); // to the grid's cells
    site.network = proposed;
    CHECK(measure_trench(site).length == doctest::Approx(35).epsilon(0.03));
    const LoadReport report = measure_load(site, {}, {});
    CHECK(is_all_good(report));
    // Equal leads, equal volts: a metre more of 18 AWG (0.042 ohm out and back) at 0.45 A is 0.02 V.
    CHECK(report.runs[0].most_volts - report.runs[0].least_volts < 0.02);
    // It reads back, and passes the checks that a site file does.
    for (const Problem& problem : check_site(site, {}))
        CHECK_MESSAGE(problem.severity == Severity::warning, print_problem(problem));
    CHECK(read_site(print_site(site), "ring.site.json").site.network == proposed);
}

TEST_CASE("no hub where leads would be long, would pass under paving, or would be in a row's trench twice") {
    const auto has_hub = [](const Site& site) { return !propose_network(site, {}, {}).hubs.empty(); };
    Site site = make_ring_of_lamps(4, 5, {20, 0});
    REQUIRE(has_hub(site));
    CHECK_FALSE(has_hub(make_ring_of_lamps(4, 9, {20, 0}))); // 30 ft; 25 ft is what is customary
    CHECK_FALSE(has_hub(make_ring_of_lamps(2, 5, {20, 0})));
    // A trunk of 5 m where the leads would meet: from beside it some lead would go through it.
    site.trees = {
        {.id = "fig", .at = glm::dvec2(20, 0), .height = 12, .base = 3, .width = 8, .trunk_diameter = 5}};
    CHECK_FALSE(has_hub(site));
    site.trees.clear();
    // A court round the middle: the ring along its edge is shorter than any way under it.
    site.ground.areas = {
        {.id = "court", .kind = GroundKind::paving, .outline = {{17, -3}, {23, -3}, {23, 3}, {17, 3}}}};
    CHECK_FALSE(has_hub(site));
    Site row = make_line(4, 5, {.id = "led", .watts = 5});
    row.network->runs.clear();
    CHECK_FALSE(has_hub(row)); // 1 + 1 + 1 along the row, 2 + 1 + 1 from its second lamp
}

TEST_CASE("a hub that costs a little more is worth it where it evens volts") {
    // Four lamps in a row, 4 m apart, and four on a circle of 4 m beyond them. By hand for 20 W each: on one
    // chain of 12 AWG (0.0104 ohm a metre out and back) the ring's last lamp gets about 2 V less than the
    // row's first: 140, 120, 100 W over 4 m each, 80 W over 4 m and 60, 40, 20 W over 5.7 m each, at 12 V.
    // A cable of its own to a hub there leaves the row 0.4 V between its ends. With 2 W it is 0.2 V anyway.
    for (const double watts : {20.0, 2.0}) {
        CAPTURE(watts);
        Site site = make_ring_of_lamps(4, 4, {24, 0});
        site.lamps[0].watts = watts;
        for (int i = 0; i < 4; ++i) {
            site.fixtures.push_back(site.fixtures[0]);
            site.fixtures.back().id = "R" + std::to_string(i + 1);
            site.fixtures.back().at = glm::dvec2(4 * (i + 1), 0);
        }
        const Network proposed = propose_network(site, {}, {});
        CHECK(proposed.hubs.size() == (watts > 10 ? 1 : 0));
        CHECK(proposed.runs.size() == (watts > 10 ? 2 : 1));
        site.network = proposed;
        const LoadReport report = measure_load(site, {}, {});
        CHECK(is_all_good(report));
        for (const RunLoad& run : report.runs)
            CHECK(run.most_volts - run.least_volts < 1);
    }
}

TEST_CASE("trench: what cables share is dug once, and sleeves are as long as the paving") {
    Site site = make_line(2, 10, {.id = "led", .watts = 5});
    site.fixtures[0].at = glm::dvec2(20, 0);
    site.fixtures[1].at = glm::dvec2(20, 8);
    site.ground.areas = {
        {.id = "drive", .kind = GroundKind::paving, .outline = {{5, -9}, {9, -9}, {9, 9}, {5, 9}}}};
    site.network->runs = {{.id = "a", .path = {{0, 0}, {20, 0}}, .fixtures = {site.fixtures[0].id}},
                          {.id = "b", .path = {{0, 0}, {20, 0}, {20, 8}}, .fixtures = {site.fixtures[1].id}}};
    const TrenchPlan plan = measure_trench(site);
    CHECK(plan.length == doctest::Approx(28).epsilon(0.02)); // 20 m in common, 8 m alone
    REQUIRE(plan.sleeves.size() == 1);
    CHECK(plan.sleeves[0].area == "drive");
    CHECK(plan.sleeves[0].length == doctest::Approx(8).epsilon(0.01)); // two cables of 4 m
}

TEST_CASE("a proposal names its transformer as nothing else on the plan, and marks what crosses paving") {
    Site site = make_line(2, 10, {.id = "led", .watts = 5});
    site.network.reset();
    site.fixtures[0].id = "t1";
    site.fixtures[0].at = glm::dvec2(-10, 0);
    site.fixtures[1].at = glm::dvec2(10, 0);
    site.ground.areas = {
        {.id = "drive", .kind = GroundKind::paving, .outline = {{-5, -99}, {-2, -99}, {-2, 99}, {-5, 99}}}};
    const Network proposed = propose_network(site, {}, {});
    CHECK(proposed.transformers[0].id == "TR1");
    for (const CableRun& run : proposed.runs) {
        const bool has_first =
            std::find(run.fixtures.begin(), run.fixtures.end(), "t1") != run.fixtures.end();
        CHECK(run.is_sleeved == has_first);
    }
}

TEST_CASE("the transformer stands at the wall, before no opening, near the middle of the load") {
    // A house 12 m x 8 m; three lamps along its south, one of them of 30 W. Along the wall every centimetre
    // is tried.
    Site site = make_line(3, 10, {.id = "led", .watts = 5});
    site.network.reset();
    site.lamps.push_back({.id = "flood", .watts = 30});
    site.fixtures[0].at = glm::dvec2(1, -3);
    site.fixtures[1].at = glm::dvec2(9, -4);
    site.fixtures[2].at = glm::dvec2(11, -3);
    site.fixtures[2].lamp = "flood";
    Wall house{.id = "house", .path = {{0, 0}, {12, 0}, {12, 8}, {0, 8}}, .closed = true, .height = 4};
    site.walls = {house};
    const auto away = [&](const glm::dvec2& at) {
        return 5 * glm::distance(at, *site.fixtures[0].at) + 5 * glm::distance(at, *site.fixtures[1].at) +
               30 * glm::distance(at, *site.fixtures[2].at);
    };
    const glm::dvec2 open = propose_network(site, {}, {}).transformers[0].at;
    CHECK(open.y == doctest::Approx(-0.3)); // 30 cm off the south wall
    double least = HUGE_VAL;
    for (double x = 0; x <= 12; x += 0.01)
        least = std::min(least, away({x, -0.3}));
    CHECK(away(open) <= least * 1.1); // places are tried every 1.5 m

    site.walls[0].openings = {{.id = "door", .from = open.x - 0.5, .width = 1, .height = 2}};
    const glm::dvec2 beside = propose_network(site, {}, {}).transformers[0].at;
    CHECK((beside.x <= open.x - 0.8 || beside.x >= open.x + 0.8 || beside.y != open.y));
}

TEST_CASE("ratings: the smallest that holds the lamps and a tenth more within 80 %") {
    struct Row {
        std::size_t lamps; // of 10 VA
        double rating;
        std::size_t transformers;
    };
    // 10.9 lamps x 11 VA are 120 = 80 % of 150; 21.8: 300; 43.6: 600; 65.5: 900; 87.3: 1200; beyond: two.
    for (const Row& row : {Row{10, 150, 1}, Row{11, 300, 1}, Row{21, 300, 1}, Row{22, 600, 1},
                           Row{65, 900, 1}, Row{66, 1200, 1}, Row{88, 900, 2}}) {
        Site site = make_line(row.lamps, 2, {.id = "led", .watts = 10});
        site.network.reset();
        const Network network = propose_network(site, {}, {});
        CAPTURE(row.lamps);
        REQUIRE(network.transformers.size() == row.transformers);
        for (const Transformer& transformer : network.transformers) {
            CHECK(transformer.rating == row.rating);
            CHECK(transformer.secondaries == std::max(1, static_cast<int>(row.rating / 300)));
        }
    }
}

TEST_CASE("gauge and tap: the first of all that serves every lamp, and none that a lamp does not bear") {
    for (const double most : {15.0, 13.0}) {
        // One lamp, as several would be fed by runs of their own.
        Site site = make_line(1, 400,
                              {.id = "led",
                               .watts = 12,
                               .draw = Draw::current,
                               .operating_volts = std::array{11.0, most},
                               .max_volts = most});
        site.network->runs.clear();
        const Network proposed = propose_network(site, {}, {});
        REQUIRE(proposed.runs.size() == 1);
        const CableRun& run = proposed.runs[0];
        CAPTURE(most);
        CHECK(*run.tap <= most);
        site.network = proposed;
        bool is_found = false;
        for (const int gauge : {12, 10, 8})
            for (const double tap : {12.0, 13.0, 14.0, 15.0}) {
                if (is_found || tap > most)
                    continue;
                site.network->runs[0].gauge = gauge;
                site.network->runs[0].tap = tap;
                is_found = is_all_good(measure_load(site, {}, {}));
                if (is_found) {
                    CHECK(run.gauge == gauge);
                    CHECK(*run.tap == tap);
                }
            }
        CHECK(is_found);
    }
}

TEST_CASE("a site without fixtures is refused") {
    CHECK_THROWS_AS(propose_network(Site{}, {}, {}), InputError);
}
