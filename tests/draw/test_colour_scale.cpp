#include <array>
#include <cmath>
#include <doctest/doctest.h>
#include <vector>

#include "duskcast/draw/colour_scale.hpp"

using namespace duskcast;

namespace {

constexpr int samples = 256;

/// IEC 61966-2-1.
double decode(double c) {
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

std::array<double, 3> linear(const Colour& colour) {
    return {decode(colour[0]), decode(colour[1]), decode(colour[2])};
}

/// Relative luminance, IEC 61966-2-1.
double luminance(const std::array<double, 3>& rgb) {
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
}

/// CIE 1976 lightness, relative to the display's white.
double cie_lightness(double y) {
    return y > 216.0 / 24389 ? 116 * std::cbrt(y) - 16 : y * 24389 / 27;
}

/// OKLab from linear sRGB by way of XYZ: B. Ottosson (2020), the two matrices of its definition, with the
/// sRGB primaries' matrix of IEC 61966-2-1. Not the direct matrices that the code uses.
std::array<double, 3> oklab(const std::array<double, 3>& rgb) {
    const double x = 0.4124564 * rgb[0] + 0.3575761 * rgb[1] + 0.1804375 * rgb[2];
    const double y = 0.2126729 * rgb[0] + 0.7151522 * rgb[1] + 0.0721750 * rgb[2];
    const double z = 0.0193339 * rgb[0] + 0.1191920 * rgb[1] + 0.9503041 * rgb[2];
    const double l = std::cbrt(0.8189330101 * x + 0.3618667424 * y - 0.1288597137 * z);
    const double m = std::cbrt(0.0329845436 * x + 0.9293118715 * y + 0.0361456387 * z);
    const double s = std::cbrt(0.0482003018 * x + 0.2643662691 * y + 0.6338517070 * z);
    return {0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
            1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
            0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s};
}

/// What somebody without the middle cones sees: Vienot, Brettel, Mollon (1999); figures from memory.
std::array<double, 3> deuteranope(const std::array<double, 3>& rgb) {
    const double l = 17.8824 * rgb[0] + 43.5161 * rgb[1] + 4.11935 * rgb[2];
    const double s = 0.0299566 * rgb[0] + 0.184309 * rgb[1] + 1.46709 * rgb[2];
    const double m = 0.494207 * l + 1.24827 * s;
    return {0.080944 * l - 0.130504 * m + 0.116721 * s, -0.0102485 * l + 0.0540194 * m - 0.113615 * s,
            -0.000365294 * l - 0.00412163 * m + 0.693513 * s};
}

double distance(const std::array<double, 3>& a, const std::array<double, 3>& b) {
    return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

} // namespace

TEST_CASE("dusk ramp: lightness rises all the way, for every eye and in greyscale") {
    double before = -1, before_deuteranope = -1;
    for (int i = 0; i <= samples; ++i) {
        const std::array<double, 3> rgb = linear(dusk_colour(static_cast<double>(i) / samples));
        const double lightness = cie_lightness(luminance(rgb));
        const double seen = cie_lightness(luminance(deuteranope(rgb)));
        CAPTURE(i);
        CHECK(lightness > before + 0.1); // of 100
        CHECK(seen > before_deuteranope + 0.1);
        before = lightness;
        before_deuteranope = seen;
    }
    CHECK(before > 90);
    CHECK(cie_lightness(luminance(linear(dusk_colour(0)))) < 10);
}

TEST_CASE("dusk ramp: even steps in OKLab, lightness on a straight line") {
    double least = 1e9, most = 0;
    std::array<double, 3> before = oklab(linear(dusk_colour(0)));
    const double first = before[0], last = oklab(linear(dusk_colour(1)))[0];
    for (int i = 1; i <= samples; ++i) {
        const double t = static_cast<double>(i) / samples;
        const std::array<double, 3> here = oklab(linear(dusk_colour(t)));
        least = std::min(least, distance(here, before));
        most = std::max(most, distance(here, before));
        // A channel cut off at the edge of sRGB would bend this line and break the steps.
        CHECK(here[0] == doctest::Approx(first + t * (last - first)).epsilon(0.003));
        before = here;
    }
    CHECK_MESSAGE(least / most > 0.85, least << " .. " << most);
}

TEST_CASE("dusk ramp: within sRGB, from night blue to pale straw") {
    for (int i = 0; i <= samples; ++i)
        for (const double channel : dusk_colour(static_cast<double>(i) / samples)) {
            CHECK(channel >= 0);
            CHECK(channel < 1); // 1 would be a channel that was cut off
        }
    const Colour night = dusk_colour(0), straw = dusk_colour(1);
    CHECK(night[2] > 3 * night[0]);
    CHECK(straw[0] > straw[1]);
    CHECK(straw[1] > straw[2]);
    CHECK(dusk_colour(-1) == night);
    CHECK(dusk_colour(2) == straw);
}

TEST_CASE("light scale: ends, middle and beyond") {
    // 1 fc = 1 lm/ft2 with the international foot of 0.3048 m exactly.
    CHECK(scale_low_lx == doctest::Approx(0.05 / (0.3048 * 0.3048)).epsilon(1e-6));
    CHECK(scale_high_lx == doctest::Approx(100 / (0.3048 * 0.3048)).epsilon(1e-6));
    CHECK(scale_place(scale_low_lx) == 0);
    CHECK(scale_place(scale_high_lx) == doctest::Approx(1));
    // Logarithmic: the geometric mean of the ends lies half-way.
    CHECK(scale_place(std::sqrt(scale_low_lx * scale_high_lx)) == doctest::Approx(0.5));
    CHECK(scale_place(0) == 0);
    CHECK(scale_place(-1) == 0);
    CHECK(scale_place(std::nan("")) == 0);
    CHECK(scale_place(1e9) == 1);
    CHECK(lux_colour(0) == dusk_colour(0));
}

TEST_CASE("light scale: ticks 1-2-5 in either unit") {
    CHECK(scale_ticks(LightUnit::footcandle) ==
          std::vector<double>{0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100});
    CHECK(scale_ticks(LightUnit::lux) == std::vector<double>{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000});
}
