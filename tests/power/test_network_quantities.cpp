// What the take-off takes from the network, counted by hand.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/power/network_quantities.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

TEST_CASE("cable, connectors, hubs and transformers of a network") {
    const Site site = read_site(R"({ "duskcast": 1, "units": "m",
        "lamps": [{ "id": "spot", "watts": 5, "lumens": 350, "beam": 24 }],
        "fixtures": [
          { "id": "A", "kind": "wash", "lamp": "spot", "at": [10, 0] },
          { "id": "B", "kind": "wash", "lamp": "spot", "at": [20, 0] },
          { "id": "C", "kind": "wash", "lamp": "spot", "at": [-10, 2] },
          { "id": "D", "kind": "wash", "lamp": "spot", "at": [-10, -2] }],
        "network": {
          "transformers": [{ "id": "T", "at": [0, 0], "va": 150 }, { "id": "U", "at": [0, 1], "va": 150 }],
          "hubs": [{ "id": "H", "at": [-10, 0] }],
          "runs": [
            { "id": "right", "transformer": "T", "gauge": 12, "slack": 0, "lead": 0, "fixtures": ["A", "B"] },
            { "id": "left", "transformer": "U", "gauge": 12, "layout": "hub", "hub": "H", "slack": 0, "lead": 0,
              "lead_gauge": 16, "fixtures": ["C", "D"] }] } })",
                                "net.site.json")
                          .site;
    const LoadReport report = measure_load(site, ".", {});
    const TakeOffQuantities quantities = find_network_quantities(site, report);
    CHECK(quantities.lamps.at("spot") == 4);
    CHECK(quantities.connectors.at("") == 2); // A and B; C and D meet at the hub
    CHECK(quantities.hubs.at("") == 1);
    CHECK(quantities.transformers.at(150) == 2);
    // 20 m to B; sqrt(10^2 + 1) m to the hub, and two leads of 2 m besides what the fixtures bring.
    double cable = 0;
    for (const auto& [gauge, metres] : quantities.cable)
        cable += metres;
    double told = 0;
    for (const RunLoad& run : report.runs)
        told += run.cable_length + run.lead_length;
    CHECK(cable == doctest::Approx(told));
    CHECK(quantities.cable.at(12) == doctest::Approx(20 + std::sqrt(101.0)).epsilon(1e-6));
    // Nearly 20 W of lamps, and what the cable loses.
    CHECK(measure_drawn_watts(report) > 20);
    CHECK(measure_drawn_watts(report) < 21);
}
