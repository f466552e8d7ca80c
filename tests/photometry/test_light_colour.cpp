// The colour of lamps against black bodies integrated over the CIE 1931 observer of Debian's colord-data.

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "duskcast/photometry/light_colour.hpp"

using namespace duskcast;

namespace {

constexpr auto observer_file = "/usr/share/colord/cmf/CIE1931-2deg-XYZ.cmf";

/// xbar, ybar, zbar every 5 nm from 360 nm.
std::array<std::vector<double>, 3> read_observer() {
    std::ifstream file(observer_file);
    REQUIRE_MESSAGE(file, observer_file, " is not there: install colord-data");
    std::string line;
    while (std::getline(file, line) && line.substr(0, line.find_last_not_of("\r ") + 1) != "BEGIN_DATA")
        continue;
    std::array<std::vector<double>, 3> bars;
    for (std::vector<double>& bar : bars) {
        std::getline(file, line);
        std::istringstream values(line);
        for (double value = 0; values >> value;)
            bar.push_back(value);
        REQUIRE(bar.size() == 95);
    }
    return bars;
}

struct Chromaticity {
    double x, y;
};

Chromaticity chromaticity_of(const std::array<double, 3>& xyz) {
    const double sum = xyz[0] + xyz[1] + xyz[2];
    return {xyz[0] / sum, xyz[1] / sum};
}

/// Planck's law with c2 = 1.4388e-2 m K.
Chromaticity black_body(const std::array<std::vector<double>, 3>& bars, double kelvin) {
    std::array<double, 3> xyz{};
    for (std::size_t i = 0; i < 95; ++i) {
        const double metres = (360 + 5.0 * static_cast<double>(i)) * 1e-9;
        const double power = 1e-40 / (std::pow(metres, 5) * (std::exp(1.4388e-2 / (metres * kelvin)) - 1));
        for (std::size_t k = 0; k < 3; ++k)
            xyz[k] += power * bars[k][i];
    }
    return chromaticity_of(xyz);
}

/// IEC 61966-2-1, linear sRGB to XYZ (from memory).
Chromaticity chromaticity_of(const glm::dvec3& rgb) {
    return chromaticity_of(std::array{0.4124 * rgb.x + 0.3576 * rgb.y + 0.1805 * rgb.z,
                                      0.2126 * rgb.x + 0.7152 * rgb.y + 0.0722 * rgb.z,
                                      0.0193 * rgb.x + 0.1192 * rgb.y + 0.9505 * rgb.z});
}

} // namespace

TEST_CASE("light colour: black bodies of the CIE 1931 observer") {
    const auto bars = read_observer();
    // Illuminant A, 2856 K: x 0.44757, y 0.40745 (CIE 15, from memory; its c2 differs in the fourth digit).
    CHECK(black_body(bars, 2856).x == doctest::Approx(0.44757).epsilon(2e-4));
    CHECK(black_body(bars, 2856).y == doctest::Approx(0.40745).epsilon(2e-4));
    for (const double kelvin : {2000.0, 2200.0, 2400.0, 2700.0, 3000.0, 3500.0, 4000.0, 5000.0, 6500.0}) {
        const Chromaticity expected = black_body(bars, kelvin), made = chromaticity_of(light_colour(kelvin));
        INFO(kelvin, " K: ", made.x, " ", made.y, " for ", expected.x, " ", expected.y);
        CHECK(std::abs(made.x - expected.x) < 0.001);
        CHECK(std::abs(made.y - expected.y) < 0.001);
    }
}

TEST_CASE("light colour: luminance is one and warm light has little blue") {
    for (const double kelvin : {1000.0, 1800.0, 2700.0, 4000.0, 9000.0, 40000.0}) {
        CHECK(luminance_of(light_colour(kelvin)) == doctest::Approx(1)); // as its header says
        CHECK(std::min({light_colour(kelvin).x, light_colour(kelvin).y, light_colour(kelvin).z}) >= 0);
    }
    CHECK(light_colour(2700).z < light_colour(3000).z);
    CHECK(light_colour(1000) == light_colour(1667));
}
