#include <algorithm>
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
            const std::string id = is_link ? value.substr(1) : value.substr(5, value.size() - 6);
            CHECK_MESSAGE(ids.contains(id), id);
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

namespace {

/// Square pixels that are covered with black, half covered ones by halves.
double black_area(const test::Pixels& page) {
    double area = 0;
    for (std::size_t i = 0; i < page.rgba.size(); i += 4)
        area += (255.0 - page.rgba[i + 1]) / 255; // the paper is green
    return area;
}

template <class Draw> double drawn_area(const Draw& draw) {
    return black_area(test::draw_page(test::green, draw));
}

constexpr Ink black{{0, 0, 0}, 1};

} // namespace

PIXEL_TEST_CASE("canvas: areas of what is filled and of what is drawn with a pen") {
    for (const double radius : {3.0, 20.25, 70.5}) {
        CAPTURE(radius);
        const auto disk = [&](Canvas& canvas) { canvas.fill_disk({201.3, 99.6}, radius, black); };
        const auto ring = [&](Canvas& canvas) { canvas.circle({201.3, 99.6}, radius, 2.5, black); };
        CHECK(drawn_area(disk) == doctest::Approx(pi * radius * radius).epsilon(0.01));
        CHECK(drawn_area(ring) == doctest::Approx(2 * pi * radius * 2.5).epsilon(0.02));
    }
    // A 3-4-5 triangle; its outline has round joins: a circle's worth of pen beyond the sides, less than half
    // of what overlaps inside the corners.
    const std::vector<glm::dvec2> triangle = {{40, 150}, {160, 150}, {40, 60}};
    CHECK(drawn_area([&](Canvas& canvas) { canvas.fill(triangle, black); }) ==
          doctest::Approx(5400).epsilon(0.005));
    const double sides = 120 + 90 + 150, pen = 4;
    const double outline = drawn_area([&](Canvas& canvas) { canvas.line(triangle, true, pen, black); });
    CHECK(outline < sides * pen + pi * pen * pen / 4);
    CHECK(outline > sides * pen - 3 * pen * pen);
    // Open: two sides, and half a disk at either end.
    const double open = drawn_area([&](Canvas& canvas) {
        canvas.line({{40, 100}, {240, 100}}, false, 10, black);
    });
    CHECK(open == doctest::Approx(200 * 10 + pi * 25).epsilon(0.005));
}

PIXEL_TEST_CASE("canvas: dashes are ink and gap in turn, with flat ends") {
    const test::Pixels page = test::draw_page(test::green, [](Canvas& canvas) {
        canvas.line({{20, 100}, {320, 100}}, false, 6, black, {30, 10, 15, 20});
    });
    CHECK(black_area(page) == doctest::Approx(300 * 6 * 45.0 / 75).epsilon(0.01));
    const auto is_ink = [&](int x) {
        return page.rgba[4 * (static_cast<std::size_t>(page.height - 1 - 100) * page.width + x) + 1] < 128;
    };
    for (int period = 0; period < 4; ++period)
        for (const auto& [at, wanted] : {std::pair(2, true),
                                         {28, true},
                                         {32, false},
                                         {38, false},
                                         {42, true},
                                         {53, true},
                                         {57, false},
                                         {73, false}}) {
            const int x = 20 + 75 * period + at;
            CAPTURE(x);
            CHECK(is_ink(x) == wanted);
        }
}

PIXEL_TEST_CASE("canvas: an ink's opacity and a raster's mix with what is below") {
    const Raster half{1, 1, {{0, 0, 0}}, {0.25}};
    const test::Pixels page = test::draw_page(test::green, [&](Canvas& canvas) {
        canvas.fill(Box{0, 0, 100, 200}, {{0, 0, 0}, 0.5});
        canvas.image(half, {100, 0, 200, 200}, {}, false);
        canvas.image(half, {200, 0, 300, 200}, {}, true);
    });
    CHECK(test::find_colour(page, {0, 0.5, 0}).count == 100 * 200);
    CHECK(test::find_colour(page, {0, 0.75, 0}).count == 200 * 200);
    CHECK(test::find_colour(page, test::green).count == 100 * 200);
}

PIXEL_TEST_CASE("canvas: a smooth image blends its samples, another keeps each a square") {
    const Raster two{2, 1, {{0, 0, 0}, {1, 1, 1}}, {1, 1}};
    const auto red_row = [&](bool is_smooth) {
        const test::Pixels page = test::draw_page(test::green, [&](Canvas& canvas) {
            canvas.image(two, {0, 0, 400, 200}, {}, is_smooth);
        });
        std::vector<int> row;
        for (int x = 0; x < 400; ++x)
            row.push_back(page.rgba[4 * (static_cast<std::size_t>(100) * page.width + x)]);
        return row;
    };
    const std::vector<int> sharp = red_row(false), smooth = red_row(true);
    CHECK(std::count(sharp.begin(), sharp.end(), 0) == 200);
    CHECK(std::count(sharp.begin(), sharp.end(), 255) == 200);
    CHECK(std::is_sorted(smooth.begin(), smooth.end()));
    CHECK(smooth[0] == 0); // padded: not faded into the paper
    CHECK(smooth[399] == 255);
    for (int x = 110; x < 290; x += 10) // linear between the samples' middles at 100 and 300
        CHECK(std::abs(smooth[static_cast<std::size_t>(x)] - 255 * (x - 100) / 200.0) < 10);
}

PIXEL_TEST_CASE("canvas: a card covers its box, rounded, and its words stand in the middle") {
    const Box box{100, 50, 300, 150};
    const test::Pixels page = test::draw_page(test::green, [&](Canvas& canvas) {
        canvas.card("9 ft", box, {.size = 20, .ink = black});
        REQUIRE(canvas.words().size() == 1);
        CHECK(canvas.words()[0].box.left == box.left);
        CHECK(canvas.words()[0].box.bottom == box.bottom);
    });
    // Four corners of radius 4 stay free, but for half of the rim's width.
    const double free = static_cast<double>(test::find_colour(page, test::green, 0).count);
    CHECK(free < 400 * 200 - 200 * 100 + (16 - 4 * pi));
    CHECK(free > 400 * 200 - 202 * 102);
    const test::Patch letters = test::find_colour(page, {0, 0, 0}, 60);
    CHECK(letters.count > 100);
    CHECK(letters.x == doctest::Approx(200).epsilon(0.02));
    CHECK(letters.y == doctest::Approx(100).epsilon(0.05));
}

PIXEL_TEST_CASE("canvas: a halo lies round the letters and under them") {
    const auto count = [](double halo, const Colour& colour) {
        const test::Pixels page = test::draw_page(test::green, [&](Canvas& canvas) {
            canvas.text("Il", {200, 100}, Anchor::middle,
                        {.size = 80, .ink = black, .halo = halo, .halo_ink = {{1, 0, 0}, 1}});
        });
        return static_cast<double>(test::find_colour(page, colour, 10).count);
    };
    CHECK(count(0, {1, 0, 0}) == 0);
    CHECK(count(6, {0, 0, 0}) == doctest::Approx(count(0, {0, 0, 0})).epsilon(0.05)); // not nibbled at
    // Strokes of 80 x 0.73 px: both letters have about two long sides each, with the rim along them.
    CHECK(count(6, {1, 0, 0}) > 2 * 2 * 0.73 * 80 * 6);
    CHECK(count(6, {1, 0, 0}) > 1.8 * count(3, {1, 0, 0}));
}

TEST_CASE(
    "canvas: an anchor is the left end, the middle or the right end of a text, in the middle of its height") {
    Canvas canvas(400, 200, PictureFormat::svg);
    const TextStyle style{.size = 18};
    const glm::dvec2 size = measure_text("12 ft", style);
    const Box left = canvas.text("12 ft", {200, 100}, Anchor::left, style);
    const Box middle = canvas.text("12 ft", {200, 100}, Anchor::middle, style);
    const Box right = canvas.text("12 ft", {200, 100}, Anchor::right, style);
    CHECK(left.left == doctest::Approx(200));
    CHECK(middle.middle().x == doctest::Approx(200));
    CHECK(right.right == doctest::Approx(200));
    for (const Box& box : {left, middle, right}) {
        CHECK(box.width() == doctest::Approx(size.x));
        CHECK(box.height() == doctest::Approx(size.y));
        CHECK(box.middle().y == doctest::Approx(100));
    }
    const Box turned = canvas.text("12 ft", {200, 100}, Anchor::left, style, pi / 2); // reads downwards
    CHECK(turned.top == doctest::Approx(100));
    CHECK(turned.height() == doctest::Approx(size.x));
    CHECK(turned.middle().x == doctest::Approx(200));
}

TEST_CASE("canvas: bold words are wider, lines are as high as their size") {
    for (const double size : {9.0, 13.0, 32.0}) {
        const glm::dvec2 plain = measure_text("Reach 12 ft", {.size = size});
        CHECK(measure_text("Reach 12 ft", {.size = size, .is_bold = true}).x > 1.05 * plain.x);
        CHECK(plain.y > 1.1 * size); // letters with room for what stands above and hangs below
        CHECK(plain.y < 1.3 * size);
        CHECK(measure_text("a\nb\nc", {.size = size}).y == doctest::Approx(3 * plain.y).epsilon(0.01));
    }
    CHECK(measure_text("", {.size = 20}).x == 0);
}

TEST_CASE("canvas: what pictures are drawn as") {
    CHECK(ending_of(PictureFormat::png) == ".png");
    CHECK(ending_of(PictureFormat::svg) == ".svg");
    for (const bool with_svg : {false, true})
        for (const PictureFormat format : picture_formats(with_svg)) {
            const std::string bytes = Canvas(20, 10, format).finish();
            CHECK(bytes.starts_with(format == PictureFormat::png ? "\x89PNG" : "<?xml"));
        }
    CHECK(picture_formats(true).back() == PictureFormat::svg);
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
