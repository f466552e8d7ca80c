#include <cctype>
#include <doctest/doctest.h>

#include "duskcast/draw/text.hpp"
#include "page_words.hpp"

using namespace duskcast;

TEST_CASE("text: cut and broken words fit their room") {
    const TextStyle style{.size = 13};
    const std::string words = "brighter 5 W, 24\u00b0, on the left of the gable \u2013 turned";
    for (double width = 30; width < 500; width *= 1.25) {
        CHECK(measure_text(cut_text(words, style, width), style).x <= width);
        for (const int most : {1, 2, 3}) {
            const std::vector<std::string> lines = split_lines(break_words(words, style, width, most));
            CHECK(lines.size() <= static_cast<std::size_t>(most));
            for (const std::string& line : lines)
                CHECK(measure_text(line, style).x <= width);
        }
    }
    CHECK(cut_text(words, style, 1000) == words);
    CHECK(split_lines(break_words("one two", style, 1000, 3)) == std::vector<std::string>{"one two"});
}

TEST_CASE("text: a number is not parted from its unit") {
    CHECK(keep_units("5 ft up, 12 fc (129 lx)") == "5\u00a0ft up, 12\u00a0fc (129\u00a0lx)");
    CHECK(keep_units("5 feet, 2 inches") == "5 feet, 2 inches");
    CHECK(keep_units("a ft") == "a ft");
    CHECK(keep_units("38 % of it") == "38\u00a0% of it");
}

TEST_CASE("text: a cut never parts the bytes of a sign and keeps as much as fits") {
    const TextStyle style{.size = 14};
    const std::string words =
        "fa\u00e7ade \u2013 \u00e4\u00f6\u00fc\u00df \u4e2d\u6587 \U0001f333\U0001f333 end";
    std::size_t last = 0;
    for (double width = 15; width < 300; width += 3) {
        const std::string cut = cut_text(words, style, width);
        if (cut == words)
            continue;
        REQUIRE(cut.ends_with("\u2026"));
        const std::string kept = cut.substr(0, cut.size() - std::string("\u2026").size());
        CHECK(words.starts_with(kept));
        const auto next = static_cast<unsigned char>(words[kept.size()]);
        CHECK_MESSAGE((next & 0xc0) != 0x80, cut); // RFC 3629: bytes within a sign are 10xxxxxx
        CHECK(kept.size() >= last);
        last = kept.size();
    }
    CHECK(last > words.size() / 2);
    CHECK(cut_text("", style, 0) == "");
}

TEST_CASE("text: broken into as few lines as hold it, every word once") {
    const TextStyle style{.size = 14};
    const double word = measure_text("beam", style).x, space = measure_text("beam beam", style).x - 2 * word;
    for (int columns = 1; columns <= 6; ++columns) {
        const double width = columns * word + (columns - 1) * space + 0.5;
        const std::vector<std::string> lines =
            split_lines(break_words("beam beam beam beam beam beam", style, width, 6));
        CAPTURE(columns);
        CHECK(lines.size() == static_cast<std::size_t>((6 + columns - 1) / columns));
        std::size_t words = 0;
        for (const std::string& line : lines)
            words += (line.size() + 1) / 5;
        CHECK(words == 6);
    }
    CHECK(break_words("beam beam beam", style, word + 0.5, 1).ends_with("\u2026"));
    CHECK(break_words("  beam \n beam ", style, 1000, 3) == "beam beam");
}

TEST_CASE("text: lines below each other, about the middle of their row") {
    for (const std::string text : {"one", "one\ntwo", "one\ntwo\nthree"}) {
        Canvas canvas(400, 200, PictureFormat::svg);
        write_lines(canvas, text, {200, 100}, Anchor::middle, {.size = 13});
        const std::vector<Canvas::Words>& words = canvas.words();
        REQUIRE(words.size() == split_lines(text).size());
        CHECK((words.front().box.middle().y + words.back().box.middle().y) / 2 == doctest::Approx(100));
        for (std::size_t i = 1; i < words.size(); ++i)
            CHECK(words[i].box.top - words[i - 1].box.top == doctest::Approx(line_step));
        for (const Canvas::Words& line : words)
            CHECK(line.box.middle().x == doctest::Approx(200));
    }
}
