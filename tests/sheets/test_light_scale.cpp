#include <cmath>
#include <doctest/doctest.h>

#include "../../src/sheets/light_scale.hpp"
#include "page_words.hpp"

using namespace duskcast;

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

TEST_CASE("ratio scale: a ratio of two lies half-way to four") {
    CHECK(ratio_place(1) == 0);
    CHECK(ratio_place(2) == doctest::Approx(0.5));
    CHECK(ratio_place(0.5) == doctest::Approx(-0.5));
    CHECK(ratio_place(4) == doctest::Approx(1));
    CHECK(ratio_place(0.25) == doctest::Approx(-1));
    CHECK(ratio_place(100) == 1);
    CHECK(ratio_place(0) == -1);
}

TEST_CASE("heading: title left, both units of light right, no word on another") {
    for (const LightUnit unit : {LightUnit::footcandle, LightUnit::lux}) {
        Canvas canvas(page_width, 400, PictureFormat::svg);
        PlateText text{.title = "A house with a rather long name that goes on and on \u2013 front",
                       .detail =
                           "Wall unfolded to scale, 40 ft wide, 15 ft high, seen from outside. Mean 5.56 fc "
                           "(59.9 lx), highest 55.1 fc (593 lx); 71 % of it at 0.5 fc or more.",
                       .light = unit};
        text.levels_lx = {5, 10, 20};
        draw_heading(canvas, text);
        test::check_apart({"", 400, canvas.words()});
        for (const char* figure : {"0.05", "100", "1,000", "fc", "lx"})
            CHECK_MESSAGE(test::count_words({"", 400, canvas.words()}, figure) >= 1, figure);
        for (const Canvas::Words& words : canvas.words())
            CHECK(words.box.right < page_width - 20);
    }
}

TEST_CASE("ink on light: stands out from the scale's own colour") {
    // WCAG 2.1: contrast of 3 : 1 at least for lines; sRGB decoded by IEC 61966-2-1.
    const auto luminance = [](const Colour& colour) {
        const auto decode = [](double c) {
            return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
        };
        return 0.2126 * decode(colour[0]) + 0.7152 * decode(colour[1]) + 0.0722 * decode(colour[2]);
    };
    for (double lux = 0.1; lux < 3000; lux *= 1.2) {
        const double paper = luminance(lux_colour(lux)), ink = luminance(ink_on(lux).colour);
        const double contrast = (std::max(paper, ink) + 0.05) / (std::min(paper, ink) + 0.05);
        CHECK_MESSAGE(contrast > 3, lux << " lx: " << contrast);
    }
}
