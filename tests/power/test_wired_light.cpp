// Light by voltage.

#include <cmath>

#include "cable_line.hpp"
#include "duskcast/power/wired_light.hpp"

using namespace duskcast;
using namespace duskcast::tests;

TEST_CASE("a halogen lamp's light and colour follow its voltage") {
    // 20 W of constant resistance would be 7.2 ohm; halogen: volts solved, then lumens (V / 12)^3.42 and
    // kelvin (V / 12)^0.42 after the Field Guide to Illumination, SPIE 2007.
    const Site site = make_line(1, 150, {.id = "halogen", .watts = 20, .cct = 2900, .draw = Draw::halogen});
    const LoadReport report = measure_load(site, {}, {});
    const double share = report.fixtures[0].volts / 12;
    CHECK(share < 0.96);
    const std::vector<WiredLight> lights = find_wired_light(site, report);
    REQUIRE(lights.size() == 1);
    CHECK(lights[0].lumens_share == doctest::Approx(std::pow(share, 6.5 / 1.9)).epsilon(1e-12));
    CHECK(lights[0].cct == doctest::Approx(2900 * std::pow(share, 0.8 / 1.9)).epsilon(1e-12));
    CHECK(lights[0].watts == doctest::Approx(20 * std::pow(share, 2.9 / 1.9)).epsilon(1e-9));
}

TEST_CASE("a regulated lamp keeps its light and a starved run is dark") {
    Site site = make_line(2, 50, {.id = "led", .watts = 5, .is_regulated = true});
    CHECK(find_wired_light(site, measure_load(site, {}, {}))[1].lumens_share == 1);
    site.lamps[0].draw = Draw::halogen; // and a driver before it
    CHECK(find_wired_light(site, measure_load(site, {}, {}))[1].lumens_share == 1);
    site.lamps[0].draw = Draw::power;
    site.lamps[0].measured_watts = 200;
    const LoadReport none = measure_load(site, {}, {});
    CHECK(find_wired_light(site, none)[1].lumens_share == 0);
}
