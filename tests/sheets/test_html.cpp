// Pages for a browser: escaping, pictures, contrast. Values by hand, or from the standards named.

#include <doctest/doctest.h>

#include "duskcast/base/problem.hpp"
#include "duskcast/draw/jpeg.hpp"
#include "duskcast/sheets/html.hpp"

using namespace duskcast;

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
