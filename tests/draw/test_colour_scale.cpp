#include <algorithm>
#include <array>
#include <cmath>
#include <doctest/doctest.h>
#include <vector>

#include "duskcast/draw/colour_scale.hpp"
#include "pixels.hpp"

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

TEST_CASE("change scale: evenly darker from the middle to either end") {
    const Colour less = change_colour(-1), none = change_colour(0), more = change_colour(1);
    CHECK(less[2] > 1.5 * less[0]); // blue
    CHECK(more[0] > 1.5 * more[2]); // brown
    CHECK(none[0] == doctest::Approx(none[1]).epsilon(0.01));
    CHECK(none[2] == doctest::Approx(none[1]).epsilon(0.01));
    double before = 101;
    for (int i = 0; i <= 20; ++i) {
        const Colour up = change_colour(i / 20.0), down = change_colour(-i / 20.0);
        const double lightness = cie_lightness(luminance(linear(up)));
        CAPTURE(i);
        CHECK(lightness < before);
        CHECK(cie_lightness(luminance(linear(down))) == doctest::Approx(lightness).epsilon(0.05));
        for (const double channel : {up[0], up[1], up[2], down[0], down[1], down[2]}) {
            CHECK(channel > 0); // 0 and 1 would be channels cut off
            CHECK(channel < 1);
        }
        before = lightness;
    }
    CHECK(change_colour(-3) == less);
    CHECK(change_colour(3) == more);
    CHECK(change_colour(std::nan("")) == none);
}

TEST_CASE("letters: on every colour of the ramps they can be read") {
    // WCAG 2.1: contrast (L1 + 0.05) / (L2 + 0.05), 3 : 1 at least for large letters.
    for (int i = 0; i <= samples; ++i)
        for (const Colour& colour :
             {dusk_colour(static_cast<double>(i) / samples), change_colour(2.0 * i / samples - 1)}) {
            const double paper = luminance(linear(colour));
            const double letters = is_dark(colour) ? 1 : luminance(linear(Colour{0.14, 0.15, 0.19}));
            const double contrast = (std::max(paper, letters) + 0.05) / (std::min(paper, letters) + 0.05);
            CAPTURE(i);
            CHECK_MESSAGE(contrast > 3, contrast);
        }
}

PIXEL_TEST_CASE("colour bar: the ramp from end to end, its figures over their places") {
    Canvas canvas(400, 100, PictureFormat::png);
    const Box bar{50, 40, 350, 60}, upright{370, 10, 380, 90};
    draw_colour_bar(canvas, bar, dusk_colour);
    draw_colour_bar(canvas, upright, dusk_colour, true);
    draw_bar_figures(canvas, bar, {{0, "low"}, {0.5, "half"}, {1, "high"}}, -1, {}, {});
    draw_bar_unit(canvas, bar, "fc", -1, {});
    const std::vector<Canvas::Words> words = canvas.words();
    REQUIRE(words.size() == 4);
    CHECK(words[0].box.middle().x == doctest::Approx(50));
    CHECK(words[1].box.middle().x == doctest::Approx(200));
    CHECK(words[2].box.middle().x == doctest::Approx(350));
    CHECK(words[3].box.right < words[0].box.left);
    for (const Canvas::Words& word : words)
        CHECK(word.box.bottom < bar.top);
    const test::Pixels page = test::read_pixels(canvas.finish());
    for (int i = 4; i < 100; i += 5) {
        const auto channel = [&](int x, int y, std::size_t of) {
            return page.rgba[4 * (static_cast<std::size_t>(page.height - 1 - y) * page.width + x) + of];
        };
        for (std::size_t of = 0; of < 3; ++of) {
            const double wanted = 255 * dusk_colour((i + 0.5) / 100)[of];
            CHECK(std::abs(channel(50 + 3 * i + 1, 50, of) - wanted) <= 3);
            CHECK(std::abs(channel(375, 90 - 1 - (8 * i + 4) / 10, of) - wanted) <= 5);
        }
    }
}
