// Cables when fixtures come and go: lengths by hand.

#include <doctest/doctest.h>

#include "duskcast/power/load.hpp"
#include "duskcast/power/rewire.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

Site make_row() {
    return read_site(R"({"duskcast": 1, "units": "m", "light": "lx",
        "lamps": [{"id": "l", "watts": 5, "lumens": 300, "beam": 40}],
        "fixtures": [{"id": "A", "kind": "path", "lamp": "l", "at": [5, 1]},
                     {"id": "B", "kind": "path", "lamp": "l", "at": [10, 1]},
                     {"id": "C", "kind": "path", "lamp": "l", "at": [0, 21]}],
        "network": {"transformers": [{"id": "T", "at": [0, 0], "va": 100}],
          "runs": [{"id": "east", "gauge": 12, "path": [[0, 0], [20, 0]], "fixtures": ["A", "B"]},
                   {"id": "north", "gauge": 12, "path": [[0, 0], [0, 20]], "fixtures": ["C"]}]}})",
                     "row.site.json")
        .site;
}

} // namespace

TEST_CASE("fixtures that are gone leave their run, and a run without any goes") {
    const Site site = make_row();
    Site fewer = site;
    fewer.network.reset();
    fewer.fixtures.erase(fewer.fixtures.begin() + 1, fewer.fixtures.end());
    const std::optional<Network> network = rewire(site, fewer);
    REQUIRE(network);
    REQUIRE(network->runs.size() == 1);
    CHECK(network->runs[0].fixtures == std::vector<std::string>{"A"});
    fewer.network = network;
    CHECK(measure_load(fewer, ".", {}).fixtures.size() == 1);
}

TEST_CASE("a new fixture joins the run that passes nearest, where it passes") {
    const Site site = make_row();
    Site more = site;
    more.network.reset();
    Fixture added = site.fixtures[0];
    added.id = "D";
    added.at = glm::dvec2(7, -1);
    more.fixtures.push_back(added);
    const std::optional<Network> network = rewire(site, more);
    REQUIRE(network);
    CHECK(network->runs[0].fixtures == std::vector<std::string>{"A", "D", "B"});
    CHECK(network->runs[1].fixtures == std::vector<std::string>{"C"});
    more.network = network;
    const LoadReport load = measure_load(more, ".", {});
    const RunLoad& run = load.runs[0];
    CHECK(run.fixtures.size() == 3);
}

TEST_CASE("a site without a network stays without one") {
    Site site = make_row();
    site.network.reset();
    CHECK_FALSE(rewire(site, site).has_value());
}
