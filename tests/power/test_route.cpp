// Proposed runs: where they go, and that they can be used as they are.

#include <algorithm>
#include <cmath>
#include <set>

#include "cable_line.hpp"
#include "duskcast/power/route.hpp"
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

TEST_CASE("a site without fixtures is told so") {
    CHECK_THROWS_AS(propose_network(Site{}, {}, {}), InputError);
}
