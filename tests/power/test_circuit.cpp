// The circuit against closed forms and worked networks.

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <stdexcept>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/power/circuit.hpp"

using namespace duskcast;

namespace {

using Complex = std::complex<double>;

/// Lamps one after the other: `ohms` of loop resistance before each.
Circuit make_ladder(double volts, const std::vector<double>& ohms, const std::vector<CircuitLoad>& loads) {
    Circuit circuit{.volts = volts, .nodes = 1, .cables = {}, .loads = {}};
    for (std::size_t i = 0; i < loads.size(); ++i) {
        circuit.cables.push_back({i, i + 1, ohms[i]});
        circuit.loads.push_back(loads[i]);
        circuit.loads.back().node = i + 1;
        ++circuit.nodes;
    }
    return circuit;
}

Circuit make_even_ladder(std::size_t count, double watts, double exponent, double ohms) {
    return make_ladder(12, std::vector<double>(count, ohms),
                       std::vector<CircuitLoad>(count, {.watts = watts, .exponent = exponent}));
}

/// Both conductors, ohms a thousand feet.
double loop_ohms(double feet, double ohms_per_kft) {
    return 2 * feet * ohms_per_kft / 1000;
}

double end_volts(double feet, double ohms_per_kft, double watts, double exponent) {
    const Circuit circuit = make_even_ladder(1, watts, exponent, loop_ohms(feet, ohms_per_kft));
    const OperatingPoint point = solve_circuit(circuit);
    REQUIRE(point.is_found);
    CHECK(point.residual < 1e-9);
    return std::abs(point.volts[1]);
}

std::string four_digits(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.4f", value);
    return text;
}

} // namespace

TEST_CASE("one lamp at the end of a cable: the closed quadratic") {
    // V^2 - E V + P R = 0, the greater root; constant current and resistance by Ohm's law.
    for (const double ohms : {0.01, 0.1, 0.3, 0.5}) {
        for (const double watts : {1.0, 20.0, 60.0}) {
            CAPTURE(ohms);
            CAPTURE(watts);
            const auto volts = [&](double exponent) {
                return std::abs(solve_circuit(make_even_ladder(1, watts, exponent, ohms)).volts[1]);
            };
            CHECK(volts(0) == doctest::Approx((12 + std::sqrt(144 - 4 * watts * ohms)) / 2).epsilon(1e-12));
            CHECK(volts(1) == doctest::Approx(12 - watts / 12 * ohms).epsilon(1e-12));
            const double lamp = 144 / watts;
            CHECK(volts(2) == doctest::Approx(12 * lamp / (lamp + ohms)).epsilon(1e-12));
        }
    }
}

TEST_CASE("one lamp with a power factor: the closed biquadratic") {
    // |V|^4 + (2 R P - E^2) |V|^2 + R^2 S^2 = 0, the greater root.
    for (const double power_factor : {0.5, 0.7, 0.95}) {
        const double watts = 40, ohms = 0.4, apparent = watts / power_factor;
        Circuit circuit = make_even_ladder(1, watts, 0, ohms);
        circuit.loads[0].power_factor = power_factor;
        const OperatingPoint point = solve_circuit(circuit);
        const double half = (144 - 2 * ohms * watts) / 2;
        CAPTURE(power_factor);
        REQUIRE(point.is_found);
        CHECK(std::norm(point.volts[1]) ==
              doctest::Approx(half + std::sqrt(half * half - ohms * ohms * apparent * apparent))
                  .epsilon(1e-12));
        CHECK(point.load_apparent[0].real() == doctest::Approx(watts).epsilon(1e-10));
        CHECK(std::abs(point.load_apparent[0]) == doctest::Approx(apparent).epsilon(1e-10));
    }
}

TEST_CASE("more than V squared over 4 R cannot be had") {
    // Maximum power transfer: P = V^2 / (4 R).
    const double ohms = 0.628, most_watts = 144 / (4 * ohms);
    CHECK(solve_circuit(make_even_ladder(1, most_watts * (1 - 1e-6), 0, ohms)).is_found);
    const OperatingPoint none = solve_circuit(make_even_ladder(1, 100, 0, ohms)); // 100 ft of 14 AWG
    CHECK_FALSE(none.is_found);
    CHECK(none.bearable_share * 100 == doctest::Approx(most_watts).epsilon(1e-9));
    CHECK(std::abs(none.volts[1]) == doctest::Approx(6).epsilon(1e-4)); // half of the source's
    const OperatingPoint unasked = solve_circuit(make_even_ladder(1, 100, 0, ohms), false);
    CHECK_FALSE(unasked.is_found);
    CHECK(unasked.bearable_share == 0);
}

TEST_CASE("with a power factor the most is less by the closed form") {
    // The discriminant above vanishes at P = E^2 / (2 R (1 + 1 / pf)).
    Circuit circuit = make_even_ladder(1, 100, 0, 0.628);
    circuit.loads[0].power_factor = 0.7;
    const OperatingPoint none = solve_circuit(circuit);
    CHECK_FALSE(none.is_found);
    CHECK(none.bearable_share * 100 == doctest::Approx(144 / (2 * 0.628 * (1 + 1 / 0.7))).epsilon(1e-9));
}

TEST_CASE("worked networks: 60 W at the end of 80 ft") {
    // Worked by hand from Ohm's law with NEC table 8, ohms a thousand feet.
    struct Row {
        double ohms_per_kft;
        const char *drop_at_constant_amps, *volts_at_constant_power, *volts_at_constant_resistance;
    };
    for (const Row& row :
         {Row{1.98, "1.5840", "10.1221", "10.6007"}, Row{1.24, "0.9920", "10.9088", "11.0837"},
          Row{3.14, "2.5120", "8.4199", "9.9228"}}) {
        CAPTURE(row.ohms_per_kft);
        CHECK(four_digits(12 - end_volts(80, row.ohms_per_kft, 60, 1)) == row.drop_at_constant_amps);
        CHECK(four_digits(end_volts(80, row.ohms_per_kft, 60, 0)) == row.volts_at_constant_power);
        CHECK(four_digits(end_volts(80, row.ohms_per_kft, 60, 2)) == row.volts_at_constant_resistance);
    }
}

TEST_CASE("worked networks: five lamps 20 ft apart on 12 AWG") {
    // Worked apart from this program: constant current by addition, constant power by iteration.
    const auto volts = [](double ohms_per_kft, double watts, double exponent) {
        const OperatingPoint point =
            solve_circuit(make_even_ladder(5, watts, exponent, loop_ohms(20, ohms_per_kft)));
        REQUIRE(point.is_found);
        std::string text;
        for (std::size_t i = 1; i <= 5; ++i)
            text += (i > 1 ? " " : "") + four_digits(std::abs(point.volts[i]));
        return text;
    };
    // 20 W at 12 V: 1.6667 A each; the last lamp stands 0.132 V below the one before.
    CHECK(volts(1.98, 20, 1) == "11.3400 10.8120 10.4160 10.1520 10.0200");
    CHECK(volts(1.5882, 20, 0) == "11.4036 10.9186 10.5500 10.3018 10.1770");
    CHECK(volts(1.5882, 5, 0) == "11.8643 11.7553 11.6733 11.6186 11.5912");
}

TEST_CASE("80 W as four lamps on 80 ft of 12 AWG drop 1.06 V and not the trade's 0.85 V") {
    // Constant current, 6.667 A falling by 1.667 A each 20 ft at 1.5882 ohm / 1000 ft:
    // 0.063528 ohm x 1.66667 A x (4 + 3 + 2 + 1).
    const OperatingPoint point = solve_circuit(make_even_ladder(4, 20, 1, loop_ohms(20, 1.5882)));
    CHECK(12 - std::abs(point.volts[4]) == doctest::Approx(1.0588).epsilon(1e-9));
    // Lumped at the end it is 80 ft x 2 x 1.5882 / 1000 x 6.667 A, larger by 2 n / (n + 1).
    const OperatingPoint lumped = solve_circuit(make_even_ladder(1, 80, 1, loop_ohms(80, 1.5882)));
    CHECK(12 - std::abs(lumped.volts[1]) == doctest::Approx(1.0588 * 8 / 5).epsilon(1e-9));
}

TEST_CASE("lamps of constant current superpose") {
    // Linear circuit: the drops of all lamps together are the sum of the drops of each alone.
    const std::size_t count = 9;
    const std::vector<double> ohms = {0.05, 0.02, 0.11, 0.07, 0.03, 0.09, 0.01, 0.06, 0.04};
    std::vector<CircuitLoad> lamps;
    for (std::size_t i = 0; i < count; ++i)
        lamps.push_back({.watts = 3.0 + static_cast<double>(i * i % 7), .exponent = 1});
    Circuit all = make_ladder(12, ohms, lamps);
    all.cables.push_back({0, 9, 0.2}); // a loop
    all.cables.push_back({3, 7, 0.05});
    const OperatingPoint together = solve_circuit(all);
    REQUIRE(together.is_found);
    std::vector<double> sum(count + 1, 0);
    for (std::size_t lamp = 0; lamp < count; ++lamp) {
        Circuit one = all;
        one.loads = {all.loads[lamp]};
        const OperatingPoint alone = solve_circuit(one);
        for (std::size_t node = 1; node <= count; ++node)
            sum[node] += 12 - std::abs(alone.volts[node]);
    }
    for (std::size_t node = 1; node <= count; ++node)
        CHECK(12 - std::abs(together.volts[node]) == doctest::Approx(sum[node]).epsilon(1e-10));
}

TEST_CASE("ladders of 5 to 20 mixed lamps agree with a fixed-point solution") {
    // Independent: from given volts the lamps' currents, from these by sums along the ladder new volts.
    std::mt19937 random(7);
    const auto between = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    for (std::size_t count = 5; count <= 20; ++count) {
        std::vector<double> ohms;
        std::vector<CircuitLoad> lamps;
        for (std::size_t i = 0; i < count; ++i) {
            ohms.push_back(between(0.005, 0.03));
            const double exponents[] = {0, 1, 2, 1.53};
            lamps.push_back({.watts = between(2, 9),
                             .power_factor = between(0.6, 1),
                             .exponent = exponents[static_cast<std::size_t>(between(0, 3.999))]});
        }
        const Circuit circuit = make_ladder(13, ohms, lamps);
        const OperatingPoint point = solve_circuit(circuit);
        CAPTURE(count);
        REQUIRE(point.is_found);
        CHECK(point.residual < 1e-9);

        std::vector<Complex> volts(count, Complex(13));
        for (int round = 0; round < 2000; ++round) {
            std::vector<Complex> amps;
            for (std::size_t i = 0; i < count; ++i) {
                const double pf = lamps[i].power_factor;
                const Complex apparent = lamps[i].watts *
                                         std::pow(std::abs(volts[i]) / 12, lamps[i].exponent) *
                                         Complex(1, std::tan(std::acos(pf)));
                amps.push_back(std::conj(apparent / volts[i]));
            }
            Complex here(13);
            for (std::size_t i = 0; i < count; ++i) {
                Complex beyond(0);
                for (std::size_t j = i; j < count; ++j)
                    beyond += amps[j];
                here -= ohms[i] * beyond;
                volts[i] = here;
            }
        }
        for (std::size_t i = 0; i < count; ++i)
            CHECK(std::abs(point.volts[i + 1] - volts[i]) < 1e-9);
    }
}

TEST_CASE("what goes in comes out: power balance in a meshed circuit") {
    // Tellegen's theorem: source power = lamps' power + cable losses; Kirchhoff's current law at the source.
    Circuit circuit{.volts = 14, .nodes = 7, .cables = {}, .loads = {}};
    circuit.cables = {{0, 1, 0.1},  {1, 2, 0.05}, {2, 3, 0.2}, {3, 0, 0.15},
                      {1, 4, 0.08}, {4, 5, 0.1},  {5, 3, 0.3}, {5, 6, 0.4}};
    for (std::size_t node = 1; node < 7; ++node)
        circuit.loads.push_back(
            {.node = node, .watts = 8, .power_factor = 0.8, .exponent = static_cast<double>(node % 3)});
    const OperatingPoint point = solve_circuit(circuit);
    REQUIRE(point.is_found);
    Complex used(0);
    for (const Complex& apparent : point.load_apparent)
        used += apparent;
    for (std::size_t i = 0; i < circuit.cables.size(); ++i)
        used += std::norm(point.cable_amps[i]) * circuit.cables[i].ohms;
    const Complex given = 14.0 * std::conj(point.source_amps);
    CHECK(given.real() == doctest::Approx(used.real()).epsilon(1e-9));
    CHECK(given.imag() == doctest::Approx(used.imag()).epsilon(1e-9));
}

TEST_CASE("a loop halves what one end alone would drop") {
    // One lamp opposite the source on a ring: two equal halves side by side.
    Circuit ring{.volts = 12, .nodes = 2, .cables = {{0, 1, 0.4}, {1, 0, 0.4}}, .loads = {}};
    ring.loads.push_back({.node = 1, .watts = 24, .exponent = 1});
    CHECK(std::abs(solve_circuit(ring).volts[1]) == doctest::Approx(12 - 2 * 0.2).epsilon(1e-12));
}

TEST_CASE("the point found is the stable one and not the other root") {
    // Near the limit both roots lie close together: E = 12 V, R = 0.6 ohm, P just under 60 W.
    const double watts = 59.9, ohms = 0.6;
    const OperatingPoint point = solve_circuit(make_even_ladder(1, watts, 0, ohms));
    REQUIRE(point.is_found);
    CHECK(std::abs(point.volts[1]) ==
          doctest::Approx((12 + std::sqrt(144 - 4 * watts * ohms)) / 2).epsilon(1e-9));
}

TEST_CASE("too many lamps: the share that would still work is where all is lost together") {
    // Ladder of 18 lamps of 9 W on 20 ft of 16 AWG each, against a fixed-point solution that settles just
    // below the share found and does not just above.
    const Circuit circuit = make_even_ladder(18, 9, 0, loop_ohms(20, 4.99));
    const OperatingPoint point = solve_circuit(circuit);
    REQUIRE_FALSE(point.is_found);
    CHECK(point.bearable_share > 0);
    CHECK(point.bearable_share < 0.5);
    const auto settles = [&](double share) {
        std::vector<double> volts(18, 12);
        for (int round = 0; round < 20000; ++round) {
            double amps = 0, here = 12;
            for (const double one : volts)
                amps += 9 * share / one;
            std::vector<double> next;
            for (const double one : volts) {
                here -= amps * loop_ohms(20, 4.99);
                amps -= 9 * share / one;
                if (!(here > 0))
                    return false;
                next.push_back(here);
            }
            volts = next;
        }
        return true;
    };
    CHECK(settles(point.bearable_share * 0.999));
    CHECK_FALSE(settles(point.bearable_share * 1.001));
}

TEST_CASE("a circuit without lamps and one that is not connected") {
    Circuit empty{.volts = 12, .nodes = 2, .cables = {{0, 1, 1}}, .loads = {}};
    CHECK(std::abs(solve_circuit(empty).volts[1]) == doctest::Approx(12));
    CHECK(std::abs(solve_circuit({.volts = 12}).source_amps) == 0);
    empty.nodes = 3;
    CHECK_THROWS_AS(solve_circuit(empty), std::invalid_argument);
    empty.nodes = 2;
    empty.cables[0].ohms = 0;
    CHECK_THROWS_AS(solve_circuit(empty), std::invalid_argument);
    CHECK_THROWS_AS(solve_circuit({.volts = 0}), std::invalid_argument);
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
          doctest::Approx(50 * std::pow(volts / 12, halogen_watts_exponent)).epsilon(1e-9));
    CHECK(12 - volts == doctest::Approx(0.2 * point.load_apparent[0].real() / volts).epsilon(1e-9));
}
