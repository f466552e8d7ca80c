// What a PNG says of itself, and a page on a slide.

#include <doctest/doctest.h>

#include <stdexcept>

#include "../pixels.hpp"
#include "duskcast/draw/canvas.hpp"
#include "duskcast/draw/png_text.hpp"

using namespace duskcast;
using namespace duskcast::test;

PIXEL_TEST_CASE("texts come after a PNG's header, with the check sum that the standard asks for") {
    Canvas canvas(30, 20, PictureFormat::png);
    canvas.fill_disk({15, 10}, 6, {{1, 0, 0}, 1});
    const std::string plain = canvas.finish();
    const std::string told = add_png_text(plain, {{"Title", "Gable"}, {"Comment", "5 fc, 54 lx"}});
    CHECK(told.substr(0, 33) == plain.substr(0, 33));
    // Length of the text chunk, the chunk, and its check sum: by zlib's crc32.
    CHECK(told.substr(33, 4) == std::string("\0\0\0\x0f", 4));
    CHECK(told.substr(37, 19) == std::string("iTXtTitle\0\0\0\0\0Gable", 19));
    CHECK(told.substr(56, 4) == "\xd1\x63\x3f\xad");
    CHECK(told.ends_with(plain.substr(33)));
    CHECK(read_pixels(told).rgba == read_pixels(plain).rgba);
    CHECK(add_png_text(plain, {}) == plain);
    CHECK_THROWS_AS(add_png_text("\xff\xd8 no PNG, though it is long enough to be one", {}),
                    std::invalid_argument);
    CHECK_THROWS_AS(add_png_text(plain.substr(0, 20), {}), std::invalid_argument);
}

PIXEL_TEST_CASE("a page lies in the middle of a slide, as large as it fits") {
    struct Case {
        double width, height, scale;
    };
    for (const Case& one : {Case{1600, 800, 1.5}, Case{400, 800, 2}, Case{300, 200, 8}}) {
        Canvas canvas(one.width, one.height, PictureFormat::slide);
        canvas.fill(Box{one.width / 4, one.height / 4, one.width / 2, one.height / 2}, {{0, 0.5, 0}, 1});
        const Pixels slide = read_pixels(canvas.finish());
        CHECK(slide.width == 2400);
        CHECK(slide.height == 1600);
        const Patch patch = find_colour(slide, {0, 0.5, 0});
        // The box' middle is an eighth of the page left of and above its own.
        CHECK(patch.x == doctest::Approx(1200 - one.scale * one.width / 8).epsilon(0.002));
        CHECK(patch.y == doctest::Approx(800 + one.scale * one.height / 8).epsilon(0.002));
        CHECK(static_cast<double>(patch.count) ==
              doctest::Approx(one.scale * one.scale * one.width * one.height / 16).epsilon(0.01));
    }
}
