// What the take-off takes from the network, counted by hand.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/cost/energy.hpp"
#include "duskcast/cost/take_off.hpp"
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
    const TakeOffQuantities quantities = find_quantities(site, report);
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

TEST_CASE("the long lot's take-off and price by hand") {
    const SiteFile file =
        read_site_file(std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes/long-lot/long-lot.site.json");
    const LoadReport report = measure_load(file.site, file.folder(), {});
    // What it takes and costs, by the invented list of scenes/lamps:
    //                           each   cost      hours
    // 12 bullet                85.00   1020.00   6.00
    //  9 path-hat              76.00    684.00   4.50
    //  1 tree-down             88.00     88.00   1.50
    // 12 led-5w-36             18.00    216.00   0.60
    //  1 led-5w-60             18.00     18.00   0.05
    //  9 ring-2w                9.00     81.00   0.45
    // 21 stakes                 4.50     94.50   0
    //  1 tree mount            14.00     14.00   0.25
    //  1 12 AWG 500 ft        325.00    325.00   475.2/500 of 8 = 7.6032
    //  1 18 AWG 250 ft         58.00     58.00   107.444/250 of 2 = 0.8596
    // 22 splices                1.35     29.70   2.20
    //  1 300 VA               215.00    215.00   1.00
    //                                  2843.20  25.0128
    // 188 ft and 244 ft of way with a tenth of slack are 475.2 ft, 498.96 ft with 5 % of waste: 500 ft.
    const TakeOff bill = make_take_off(
        find_quantities(file.site, report),
        read_price_list_file(std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes/lamps/prices.csv"));
    CHECK(bill.is_complete());
    CHECK(bill.materials_cost == 284'320);
    CHECK(bill.materials_price == 398'048); // 40 % more
    CHECK(bill.labour.hours == 250'128);
    CHECK(bill.labour.price == 162'583); // at 65.00
    CHECK(bill.tax == 32'839);           // 8.25 % of 3980.48
    CHECK(bill.total() == 593'470);
}
