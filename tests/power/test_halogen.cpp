// Halogen lamps by voltage against the published worked example.

#include <doctest/doctest.h>

#include <cmath>

#include "duskcast/power/circuit.hpp"
#include "duskcast/power/halogen.hpp"

using namespace duskcast;

TEST_CASE("5 % more current: the worked example") {
    // Field Guide to Illumination, SPIE 2007: at 5 % more current 2900 K becomes 3015 K, 1040 lm 1428 lm,
    // 65 W 75 W and 10.8 V 11.8 V. Its own rounding aside: 11.849 V, 74.88 W.
    const double volts = 10.8 * std::pow(1.05, halogen_law.volts);
    const double share = volts / 10.8;
    CHECK(volts == doctest::Approx(11.849).epsilon(1e-4));
    CHECK(2900 * halogen_colour_share(share) == doctest::Approx(3015).epsilon(3e-4));
    CHECK(1040 * halogen_lumens_share(share) == doctest::Approx(1428).epsilon(2e-4));
    CHECK(65 * halogen_watts_share(share) == doctest::Approx(74.88).epsilon(1e-4));
    CHECK(1000 * std::pow(1.05, halogen_law.life) == doctest::Approx(295).epsilon(2e-3)); // hours
}

TEST_CASE("the powers of voltage come close to the customary ones") {
    // Customary: lumens V^3.4 (3.4 to 3.5, after the IES Handbook 1984), watts V^1.6 (from memory).
    CHECK(halogen_law.of_volts(halogen_law.lumens) == doctest::Approx(3.42).epsilon(1e-3));
    CHECK(halogen_watts_exponent == doctest::Approx(1.53).epsilon(3e-3));
    CHECK(halogen_lumens_share(10.0 / 12) == doctest::Approx(std::pow(10.0 / 12, 3.4)).epsilon(0.01));
}

TEST_CASE("a halogen lamp in the circuit takes the watts of its law") {
    // 50 W at 12 V behind 0.2 ohm: the solved watts are those of the lamp's own voltage.
    Circuit circuit{.volts = 12, .nodes = 2, .cables = {{0, 1, 0.2}}, .loads = {}};
    circuit.loads.push_back({.node = 1, .watts = 50, .exponent = halogen_watts_exponent});
    const OperatingPoint point = solve_circuit(circuit);
    REQUIRE(point.is_found);
    const double volts = std::abs(point.volts[1]);
    CHECK(volts < 11.4);
    CHECK(point.load_apparent[0].real() ==
          doctest::Approx(50 * halogen_watts_share(volts / 12)).epsilon(1e-9));
    CHECK(12 - volts == doctest::Approx(0.2 * point.load_apparent[0].real() / volts).epsilon(1e-9));
}
