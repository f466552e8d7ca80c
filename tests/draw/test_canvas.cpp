#include <cmath>
#include <doctest/doctest.h>
#include <set>

#include "duskcast/base/units.hpp"
#include "duskcast/draw/canvas.hpp"
#include "one_colour.hpp"
#include "well_formed.hpp"

using namespace duskcast;

PIXEL_TEST_CASE("canvas: images clip by the even-odd rule and lie the right way up") {
    const Raster two{1, 2, {{1, 0, 0}, {0, 0, 1}}, {1, 1}}; // red above blue
    const std::vector<glm::dvec2> outer = {{0, 0}, {400, 0}, {400, 200}, {0, 200}};
    const std::vector<glm::dvec2> inner = {{100, 0}, {300, 0}, {300, 200}, {100, 200}};
    const test::Pixels page = test::draw_page(test::green, [&](Canvas& canvas) {
        canvas.image(two, {0, 0, 400, 200}, {outer, inner}, false);
    });
    const test::Patch red = test::find_colour(page, {1, 0, 0}), blue = test::find_colour(page, {0, 0, 1});
    CHECK(red.count == 200 * 100);
    CHECK(blue.count == 200 * 100);
    CHECK(test::find_colour(page, test::green).count == 200 * 200);
    CHECK(red.y > blue.y);
}

PIXEL_TEST_CASE("canvas: hatching stays inside its polygon") {
    const test::Pixels page = test::draw_page(test::green, [](Canvas& canvas) {
        canvas.hatch({{100, 50}, {300, 50}, {300, 150}, {100, 150}}, 10, 2, {{0, 0, 0}, 1});
    });
    const std::size_t untouched = test::find_colour(page, test::green, 0).count;
    CHECK(untouched >= 400 * 200 - 200 * 100);
    CHECK(untouched < 400 * 200 - 200 * 100 / 10);
}

PIXEL_TEST_CASE("canvas: a PNG is as large as asked, to the nearest pixel") {
    for (const glm::dvec2 size : {glm::dvec2(1, 1), {33, 7}, {640.4, 479.6}}) {
        const test::Pixels page = test::read_pixels(Canvas(size.x, size.y, PictureFormat::png).finish());
        CHECK(page.width == std::lround(size.x));
        CHECK(page.height == std::lround(size.y));
    }
}

TEST_CASE("canvas: an SVG is well-formed, its names are unique and every one used is there") {
    Canvas canvas(300, 200, PictureFormat::svg);
    canvas.text("a < b & \"c\" \u2013 \u00b0", {20, 40}, Anchor::left, {.size = 20, .halo = 2});
    canvas.text("b & c", {20, 80}, Anchor::left, {.size = 14, .is_bold = true}, 0.3);
    canvas.image({1, 2, {{1, 0, 0}, {0, 0, 1}}, {1, 0.5}}, {100, 100, 200, 180},
                 {{{100, 100}, {200, 100}, {150, 180}}}, true);
    canvas.hatch({{10, 100}, {60, 100}, {60, 150}}, 5, 1, {});
    canvas.paragraph("two words", {210, 20}, 60, {});
    const std::string svg = canvas.finish();
    const test::Elements elements = test::read_elements(svg); // fails unless well-formed
    std::set<std::string> ids;
    for (const test::Element& element : elements)
        if (const auto id = element.attributes.find("id"); id != element.attributes.end())
            CHECK_MESSAGE(ids.insert(id->second).second, id->second);
    int used = 0;
    for (const test::Element& element : elements)
        for (const auto& [name, value] : element.attributes) {
            const bool is_link = name == "xlink:href" && value.starts_with("#");
            const bool is_url = value.starts_with("url(#");
            if (!is_link && !is_url)
                continue;
            ++used;
            CHECK_MESSAGE(ids.contains(is_link ? value.substr(1) : value.substr(5, value.size() - 6)), value);
        }
#ifdef DUSKCAST_CAIRO
    CHECK(used > 15); // letters and clips
#else
    CHECK(used == 2); // clips
#endif
    CHECK(elements.front().name == "svg");
    CHECK(elements.front().attributes.at("width") == "300px");
}

PIXEL_TEST_CASE("canvas: the box of a text holds its letters, whichever way it is turned") {
    for (const double turn : {0.0, 0.4, pi / 2, -pi / 2, 2.5})
        for (const Anchor anchor : {Anchor::left, Anchor::middle, Anchor::right}) {
            Box box;
            const test::Pixels page = test::draw_page(test::green, [&](Canvas& canvas) {
                box = canvas.text("Highest", {200, 100}, anchor, {.size = 20, .ink = {{0, 0, 0}, 1}}, turn);
                REQUIRE(canvas.words().size() == 1);
                CHECK(canvas.words()[0].text == "Highest");
            });
            Box ink{1e9, 1e9, -1e9, -1e9};
            for (int y = 0; y < page.height; ++y)
                for (int x = 0; x < page.width; ++x)
                    if (page.rgba[4 * (static_cast<std::size_t>(page.height - 1 - y) * page.width + x) + 1] <
                        200)
                        ink = {std::min(ink.left, x * 1.0), std::min(ink.top, y * 1.0),
                               std::max(ink.right, x + 1.0), std::max(ink.bottom, y + 1.0)};
            CAPTURE(turn);
            CHECK(box.grown(1).contains(ink));
            CHECK(ink.grown(8).contains(box));
        }
}

TEST_CASE("canvas: text grows with what is written and wraps between words") {
    const TextStyle style{.size = 20};
    const glm::dvec2 one = measure_text("beam", style), two = measure_text("beam beam", style);
    CHECK(two.x > 2 * one.x);
    CHECK(two.y == doctest::Approx(one.y));
    CHECK(measure_text("beam", {.size = 40}).x == doctest::Approx(2 * one.x).epsilon(0.01));
    const glm::dvec2 wrapped = measure_text("beam beam beam", style, one.x * 1.5);
    CHECK(wrapped.x <= one.x * 1.5);
    CHECK(wrapped.y > 2.9 * one.y);
    Canvas canvas(200, 200, PictureFormat::svg);
    CHECK(canvas.paragraph("beam beam beam", {10, 10}, one.x * 1.5, style) == doctest::Approx(wrapped.y));
    CHECK(canvas.words().back().box.height() == doctest::Approx(wrapped.y));
}

TEST_CASE("box: corners, growing, overlapping") {
    const Box box = Box::round({10, 20}, {4, 6});
    CHECK(box.left == 8);
    CHECK(box.bottom == 23);
    CHECK(box.corners() == std::vector<glm::dvec2>{{8, 17}, {12, 17}, {12, 23}, {8, 23}});
    CHECK(box.grown(1).contains(box));
    CHECK_FALSE(box.contains(box.grown(1)));
    CHECK(box.overlaps(box.grown(-1)));
    CHECK_FALSE(box.overlaps({12, 17, 20, 23})); // they touch
}
