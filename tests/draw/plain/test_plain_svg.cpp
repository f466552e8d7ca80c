// The canvas of builds without cairo: an SVG of its own writing.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>
#include <stb_image.h>
#include <utility>

#include "../../../src/draw/plain/text_layout.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"
#include "well_formed.hpp"

using namespace duskcast;

namespace {

test::Elements elements_of(Canvas& canvas) {
    return test::read_elements(canvas.finish());
}

/// The elements of a name, the paper's own fill left out.
test::Elements find_elements(const test::Elements& all, const std::string& name) {
    test::Elements found;
    bool is_paper = true;
    for (const test::Element& element : all)
        if (element.name == name && (name != "path" || !std::exchange(is_paper, false)))
            found.push_back(element);
    return found;
}

double number(const test::Element& element, const std::string& attribute) {
    return std::stod(element.attributes.at(attribute));
}

/// RFC 4648, section 4.
std::string decode_base64(const std::string& text) {
    const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string bytes;
    unsigned bits = 0;
    int count = 0;
    for (const char c : text) {
        if (c == '=')
            break;
        const std::size_t digit = digits.find(c);
        REQUIRE(digit != std::string::npos);
        bits = bits << 6 | static_cast<unsigned>(digit);
        if ((count += 6) >= 8) {
            count -= 8;
            bytes += static_cast<char>(bits >> count & 0xff);
        }
    }
    return bytes;
}

} // namespace

TEST_CASE("plain SVG: a PNG is refused with what to do instead") {
    CHECK_THROWS_WITH_AS(
        Canvas(10, 10, PictureFormat::png),
        "error: this duskcast was built without cairo and draws no PNG; draw SVG, or build with "
        "DUSKCAST_CAIRO=ON",
        InputError);
    for (const bool with_svg : {false, true})
        CHECK(picture_formats(with_svg) == std::vector{PictureFormat::svg});
}

TEST_CASE("plain SVG: size, fills and their opacity") {
    Canvas canvas(640.5, 480, PictureFormat::svg);
    canvas.fill({{1, 2}, {3.25, 2}, {3.25, 4.1236}}, {{1, 0.5, 0}, 0.25});
    canvas.fill(Box{10, 20, 30, 40}, {{0, 0, 1}, 1});
    const test::Elements all = elements_of(canvas), paths = find_elements(all, "path");
    CHECK(all.front().attributes.at("width") == "640.5px");
    CHECK(all.front().attributes.at("viewBox") == "0 0 640.5 480");
    REQUIRE(paths.size() == 2);
    CHECK(paths[0].attributes.at("d") ==
          "M1 2L3.25 2L3.25 4.124Z");
    CHECK(paths[0].attributes.at("fill") == "#ff8000");
    CHECK(paths[0].attributes.at("fill-opacity") == "0.25");
    CHECK(paths[1].attributes.at("d") == "M10 20L30 20L30 40L10 40Z");
    CHECK(paths[1].attributes.count("fill-opacity") == 0);
}

TEST_CASE("plain SVG: lines have round joins, dashes flat ends") {
    Canvas canvas(100, 100, PictureFormat::svg);
    canvas.line({{1, 1}, {9, 1}, {9, 9}}, false, 2.5, {{0, 0, 0}, 1});
    canvas.line({{1, 1}, {9, 1}, {9, 9}}, true, 1, {{0, 0, 0}, 1}, {4, 2.5});
    const test::Elements paths = find_elements(elements_of(canvas), "path");
    REQUIRE(paths.size() == 2);
    CHECK(paths[0].attributes.at("d") == "M1 1L9 1L9 9");
    CHECK(paths[0].attributes.at("fill") == "none");
    CHECK(paths[0].attributes.at("stroke-width") == "2.5");
    CHECK(paths[0].attributes.at("stroke-linejoin") == "round");
    CHECK(paths[0].attributes.at("stroke-linecap") == "round");
    CHECK(paths[1].attributes.at("d") == "M1 1L9 1L9 9Z");
    CHECK(paths[1].attributes.at("stroke-dasharray") == "4 2.5");
    CHECK(paths[1].attributes.count("stroke-linecap") == 0); // butt, by the standard
}

TEST_CASE("plain SVG: circles are two arcs, a card's rim goes clockwise round its box") {
    Canvas canvas(100, 100, PictureFormat::svg);
    canvas.fill_disk({50, 40}, 10, {});
    canvas.circle({50, 40}, 10, 1, {});
    canvas.card("a", {10, 10, 60, 30}, {.size = 10});
    const test::Elements paths = find_elements(elements_of(canvas), "path");
    REQUIRE(paths.size() == 4);
    // SVG 1.1, 8.3.8: radii, rotation, large-arc and sweep flags, end. Angles run clockwise as y runs down.
    CHECK(paths[0].attributes.at("d") == "M60 40A10 10 0 0 1 40 40A10 10 0 0 1 60 40");
    CHECK(paths[1].attributes.at("d") == paths[0].attributes.at("d"));
    CHECK(paths[2].attributes.at("d") ==
          "M56 10A4 4 0 0 1 60 14L60 26A4 4 0 0 1 56 30L14 30A4 4 0 0 1 10 26L10 14A4 4 0 0 1 14 10Z");
    CHECK(paths[3].attributes.at("d") == paths[2].attributes.at("d"));
    CHECK(paths[3].attributes.at("stroke-opacity") == "0.5");
}

TEST_CASE("plain SVG: hatching fills its polygon's box and is clipped to it") {
    Canvas canvas(100, 100, PictureFormat::svg);
    canvas.hatch({{10, 20}, {50, 20}, {50, 40}}, 10, 1, {});
    const test::Elements all = elements_of(canvas), paths = find_elements(all, "path");
    REQUIRE(paths.size() == 2);
    CHECK(paths[0].attributes.at("d") == "M10 20L50 20L50 40Z");
    CHECK(paths[0].attributes.at("clip-rule") == "evenodd");
    // From the lower side up to the right at 45 degrees, the first from as far left as its end needs.
    CHECK(paths[1].attributes.at("d") ==
          "M-10 40L10 20M0 40L20 20M10 40L30 20M20 40L40 20M30 40L50 20M40 40L60 20");
    CHECK(find_elements(all, "g").at(0).attributes.at("clip-path") == "url(#clip0)");
    CHECK(find_elements(all, "clipPath").at(0).attributes.at("id") == "clip0");
}

TEST_CASE("plain SVG: an image holds the raster's own pixels, opacity beside the colour") {
    const Raster raster{3,
                        2,
                        {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 0, 0}, {1, 1, 1}, {0.5, 0.5, 0.5}},
                        {1, 0.5, 0, 1, 1, 0.2}};
    Canvas canvas(100, 100, PictureFormat::svg);
    canvas.image(raster, {10, 20, 40, 60}, {}, false);
    canvas.image(raster, {10, 20, 40, 60}, {{{10, 20}, {40, 20}, {40, 60}}, {{12, 22}, {14, 22}, {14, 24}}},
                 true);
    canvas.image({}, {10, 20, 40, 60}, {}, true); // nothing
    const test::Elements all = elements_of(canvas), images = find_elements(all, "image");
    REQUIRE(images.size() == 2);
    CHECK(number(images[0], "x") == 10);
    CHECK(number(images[0], "height") == 40);
    CHECK(images[0].attributes.at("preserveAspectRatio") == "none");
    CHECK(images[0].attributes.at("style") == "image-rendering:pixelated");
    CHECK(images[1].attributes.count("style") == 0);
    CHECK(find_elements(all, "path").at(0).attributes.at("d") == "M10 20L40 20L40 60ZM12 22L14 22L14 24Z");
    const std::string start = "data:image/png;base64,", link = images[0].attributes.at("xlink:href");
    REQUIRE(link.starts_with(start));
    CHECK(link.size() % 4 == start.size() % 4);
    const std::string png = decode_base64(link.substr(start.size()));
    int width = 0, height = 0, channels = 0;
    stbi_uc* pixels = stbi_load_from_memory(reinterpret_cast<const stbi_uc*>(png.data()),
                                            static_cast<int>(png.size()), &width, &height, &channels, 4);
    REQUIRE(pixels != nullptr);
    CHECK(width == 3);
    CHECK(height == 2);
    const std::vector<int> wanted = {255, 0, 0, 255, 0,   255, 0,   128, 0,   0,   255, 0,
                                     0,   0, 0, 255, 255, 255, 255, 255, 128, 128, 128, 51};
    CHECK(std::vector<int>(pixels, pixels + 24) == wanted);
    stbi_image_free(pixels);
}

TEST_CASE("plain SVG: text stands where its box is, in the width it was measured with") {
    for (const auto& [anchor, name] : std::map<Anchor, std::string>{
             {Anchor::left, ""}, {Anchor::middle, "middle"}, {Anchor::right, "end"}}) {
        Canvas canvas(300, 200, PictureFormat::svg);
        const TextStyle style{.size = 20, .is_bold = true, .halo = 3, .halo_ink = {{1, 1, 1}, 0.5}};
        const Box box = canvas.text("a < b & \"c\" \u2013 \u00b0", {150, 100}, anchor, style, pi / 2);
        const test::Elements texts = find_elements(elements_of(canvas), "text");
        REQUIRE(texts.size() == 1);
        CHECK((texts[0].attributes.count("text-anchor") ? texts[0].attributes.at("text-anchor") : "") ==
              name);
        CHECK(number(texts[0], "textLength") ==
              doctest::Approx(box.height()).epsilon(1e-4)); // turned upright
        CHECK(texts[0].attributes.at("transform") == "rotate(90 150 100)");
        CHECK(number(texts[0], "x") == 150);
        // Half of the line's height up, down again to the baseline.
        CHECK(number(texts[0], "y") == doctest::Approx(100 + 20 * (ascent - descent) / 2).epsilon(1e-5));
        CHECK(texts[0].attributes.at("font-weight") == "bold");
        CHECK(texts[0].attributes.at("stroke-width") == "6");
        CHECK(texts[0].attributes.at("stroke-opacity") == "0.5");
        CHECK(texts[0].attributes.at("style") == "paint-order:stroke");
    }
}

TEST_CASE(
    "plain SVG: signs of XML are escaped, what XML cannot hold is a space, the rest is the same UTF-8") {
    Canvas canvas(300, 200, PictureFormat::svg);
    canvas.text("a<b>&\"c\" \u2013 \u00b0 \U0001f333 \x01", {10, 20}, Anchor::left, {});
    const std::string svg = canvas.finish();
    CHECK(svg.find(">a&lt;b&gt;&amp;\"c\" \u2013 \u00b0 \U0001f333  </text>") != std::string::npos);
}

TEST_CASE("plain SVG: a paragraph is a text a line, each below the other") {
    Canvas canvas(300, 200, PictureFormat::svg);
    const TextStyle style{.size = 10};
    const double wrap = measure_text("beam angle", style).x + 1;
    const double height = canvas.paragraph("beam angle of a lamp", {20, 30}, wrap, style);
    const test::Elements texts = find_elements(elements_of(canvas), "text");
    REQUIRE(texts.size() == 2);
    const double step = 1.15 * 10 * (ascent + descent);
    CHECK(number(texts[1], "y") - number(texts[0], "y") == doctest::Approx(step).epsilon(1e-4));
    CHECK(number(texts[0], "y") == doctest::Approx(30 + 10 * ascent));
    CHECK(number(texts[1], "x") == 20);
    CHECK(height == doctest::Approx(10 * (ascent + descent) + step));
}
