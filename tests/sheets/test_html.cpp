// Pages for a browser: escaping, pictures, contrast. Values by hand, or from the standards named.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/base64.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/draw/jpeg.hpp"
#include "duskcast/sheets/html.hpp"
#include "html_text.hpp"
#include "well_formed.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("text cannot become markup") {
    CHECK(escape_html("<b a=\"1\">it's & so</b>") == "&lt;b a=&quot;1&quot;&gt;it&#39;s &amp; so&lt;/b&gt;");
    CHECK(escape_html(std::string("a\0b\x1b"
                                  "c\td",
                                  7)) == "abc d");
    CHECK(escape_html("Größe 5 ½") == "Größe 5 ½");
    CHECK(print_paragraphs("one\ntwo\n\n<three>\n") == "<p>one<br/>two</p>\n<p>&lt;three&gt;</p>\n");
    CHECK(print_paragraphs(" \n\n").empty());
}

TEST_CASE("pictures stand in the page itself") {
    // base64 of "abc" (RFC 4648)
    CHECK(print_picture({"image/png", "abc", "a \"cat\""}, "wide") ==
          "<img class=\"wide\" alt=\"a &quot;cat&quot;\" src=\"data:image/png;base64,YWJj\"/>");
    CHECK(print_picture({}).empty());
}

TEST_CASE("contrast is that of WCAG 2.1") {
    CHECK(find_contrast({0, 0, 0}, {1, 1, 1}) == doctest::Approx(21));
    CHECK(find_contrast({1, 1, 1}, {1, 1, 1}) == doctest::Approx(1));
    // #767676 on white is the lightest grey that passes AA (well known: 4.54 : 1).
    CHECK(find_contrast(read_colour("#767676"), {1, 1, 1}) == doctest::Approx(4.54).epsilon(0.002));
    CHECK(print_colour(read_colour("#0a7fE2")) == "#0a7fe2");
    CHECK_THROWS_AS(read_colour("#12345"), InputError);
    CHECK_THROWS_AS(read_colour("#12345x"), InputError);
    CHECK_THROWS_AS(read_colour("red"), InputError);
}

TEST_CASE("colours become readable, and stay as they are where they are") {
    for (const char* paper : {"#ffffff", "#fdfcf9", "#22304f", "#c98a2b", "#808080", "#000000"})
        for (const char* colour : {"#ffffff", "#ffee00", "#c98a2b", "#22304f", "#000000", "#777777"})
            CHECK_MESSAGE(find_contrast(make_readable(read_colour(colour), read_colour(paper)),
                                        read_colour(paper)) >= 4.5,
                          colour << " on " << paper);
    CHECK(make_readable(read_colour("#22304f"), {1, 1, 1}) == read_colour("#22304f"));
}

TEST_CASE("any text stands in an element and in an attribute as it was, and ends neither") {
    Random random(14);
    const std::string letters = "<>&\"'/=!- \nab;#39x\u00e9\u00bd";
    for (int trial = 0; trial < 300; ++trial) {
        std::string text;
        for (int i = 0; i < 12; ++i)
            text += letters[static_cast<std::size_t>(random.uniform(0, static_cast<double>(letters.size())))];
        const std::string safe = escape_html(text);
        CHECK(safe.find_first_of("<>\"'") == std::string::npos);
        const Elements elements = read_elements("<p title=\"" + safe + "\">" + safe + "</p>");
        REQUIRE(elements.size() == 1);
        CHECK(elements[0].attributes.at("title") == safe);
        // What a browser shows: the references as characters, gaps as one blank.
        std::string shown;
        for (const char c : text)
            if (c != ' ' && c != '\n')
                shown += c;
            else if (!shown.empty() && shown.back() != ' ')
                shown += ' ';
        while (!shown.empty() && shown.back() == ' ')
            shown.pop_back();
        CHECK(text_of_html("<p>" + safe + "</p>") == shown);
        CHECK(escape_html(safe).find("&amp;") ==
              (safe.find('&') == std::string::npos ? std::string::npos : safe.find('&')));
    }
}

TEST_CASE("paragraphs keep every word of a text, in order, and no empty ones") {
    Random random(15);
    for (int trial = 0; trial < 100; ++trial) {
        std::string text, words;
        int paragraphs = 0;
        bool is_open = false;
        for (int i = 0; i < 10; ++i)
            if (random.uniform() < 0.4) {
                text += "\n";
                is_open = false;
            } else {
                const std::string word = "w" + std::to_string(i);
                text += word + "\n";
                words += (words.empty() ? "" : " ") + word;
                paragraphs += is_open ? 0 : 1;
                is_open = true;
            }
        const std::string made = print_paragraphs(text);
        CHECK(text_of_html(made) == words);
        CHECK(list_between(made, "<p>", "</p>").size() == static_cast<std::size_t>(paragraphs));
        CHECK(made.find("<p></p>") == std::string::npos);
    }
}

TEST_CASE("a page's head lets nothing be loaded, and lets run only the script that carries its number") {
    const std::string plain = print_html_head("A <title>", "<style>p { color: red; }</style>");
    CHECK(plain.starts_with("<!DOCTYPE html>"));
    CHECK(plain.find("default-src &#39;none&#39;") != std::string::npos);
    CHECK(plain.find("img-src data:") != std::string::npos);
    CHECK(plain.find("script-src") == std::string::npos);
    CHECK(plain.find("<title>A &lt;title&gt;</title>") != std::string::npos);
    CHECK(plain.find("<meta charset=\"utf-8\"/>") < plain.find("<title>")); // before any text
    CHECK(plain.find("<style>p { color: red; }</style></head>") != std::string::npos);
    const std::string scripted = print_html_head("t", "", "1a2b");
    CHECK(scripted.find("script-src &#39;nonce-1a2b&#39;") != std::string::npos);
    read_elements(plain + "<body/></html>");
}

TEST_CASE("pictures of canvases carry their bytes and their kind") {
    const std::string bytes("\0\1\xff picture", 11);
    for (const auto& [format, type] :
         {std::pair(PictureFormat::png, "image/png"), {PictureFormat::svg, "image/svg+xml"}}) {
        const PagePicture picture = make_page_picture(bytes, format, "a plan");
        CHECK(picture.type == type);
        CHECK(print_picture(picture).find("data:" + picture.type + ";base64," + print_base64(bytes)) !=
              std::string::npos);
        CHECK(print_picture(picture).find("alt=\"a plan\"") != std::string::npos);
        CHECK(print_picture(picture).find("class") == std::string::npos);
    }
}

TEST_CASE("contrast of any two colours is WCAG's formula, and a readable colour is the first that passes") {
    // WCAG 2.1: (L1 + 0.05) / (L2 + 0.05), L by the weights of BT.709 over channels decoded as sRGB.
    const auto luminance = [](const Colour& colour) {
        const double weights[3] = {0.2126, 0.7152, 0.0722};
        double sum = 0;
        for (std::size_t i = 0; i < 3; ++i)
            sum += weights[i] *
                   (colour[i] <= 0.04045 ? colour[i] / 12.92 : std::pow((colour[i] + 0.055) / 1.055, 2.4));
        return sum;
    };
    Random random(16);
    for (int trial = 0; trial < 300; ++trial) {
        Colour one, other;
        for (std::size_t i = 0; i < 3; ++i) {
            one[i] = random.uniform();
            other[i] = random.uniform();
        }
        const double high = std::max(luminance(one), luminance(other)),
                     low = std::min(luminance(one), luminance(other));
        CHECK(find_contrast(one, other) == doctest::Approx((high + 0.05) / (low + 0.05)).epsilon(1e-3));
        CHECK(find_contrast(one, other) == find_contrast(other, one));
        const Colour readable = make_readable(one, other);
        CHECK(find_contrast(readable, other) >= 4.5);
        if (find_contrast(one, other) >= 4.5)
            CHECK(readable == one);
        else // no more is taken from the colour than has to be
            CHECK(find_contrast(readable, other) < 5.2);
        CHECK(print_colour(read_colour(print_colour(one))) == print_colour(one));
    }
    CHECK(print_colour({-0.1, 0.5, 1.2}) == "#0080ff");
}

TEST_CASE("a raster becomes a JPEG of its size") {
    Raster raster{3, 2, std::vector<Colour>(6, Colour{1, 0.5, 0}), std::vector<double>(6, 1.0)};
    const std::string bytes = print_jpeg(raster);
    CHECK(bytes.starts_with("\xff\xd8\xff"));
    CHECK(bytes.ends_with("\xff\xd9"));               // start and end of image (ISO 10918-1)
    const std::size_t frame = bytes.find("\xff\xc0"); // then length, precision, height, width
    REQUIRE(frame != std::string::npos);
    CHECK(bytes[frame + 6] == 2);
    CHECK(bytes[frame + 8] == 3);
    CHECK_THROWS(print_jpeg({}));
}
