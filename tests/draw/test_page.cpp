#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/draw/text.hpp"
#include "page_words.hpp"

using namespace duskcast;

TEST_CASE("page: any number of answers, none on another, none beyond the foot") {
    for (std::size_t count = 0; count <= 60; ++count) {
        std::vector<std::string> answers;
        for (std::size_t i = 0; i < count; ++i)
            answers.push_back("F" + std::to_string(i) + " reaches 9 ft 9 1/2 in alone" +
                              (i % 3 == 0
                                   ? ", and all the way up with the other lamps lit, where the slope of "
                                     "the left gable is 11 ft 3 in above the ground."
                                   : "."));
        const Foot foot(answers);
        Canvas canvas(page_width, 2000, PictureFormat::svg);
        foot.draw(canvas, 100);
        CAPTURE(count);
        CHECK(canvas.words().size() == count + 1); // and the note
        test::check_apart({"", 100 + foot.height(), canvas.words()});
    }
}

TEST_CASE("page: a title shrinks into its room, detail below it wraps") {
    const std::string title = "A house with a name that is a good deal longer than most";
    const std::string detail = "Some words about what is drawn, long enough to need a second line here.";
    Canvas canvas(page_width, 300, PictureFormat::svg);
    draw_title(canvas, title, detail, 600);
    REQUIRE(canvas.words().size() == 2);
    CHECK(canvas.words()[0].box.width() <= 600);
    CHECK(canvas.words()[1].box.width() <= 600);
    CHECK(canvas.words()[1].box.bottom == doctest::Approx(measure_title(detail, 600)));
    CHECK(measure_title(detail, 300) > measure_title(detail, 600));
    test::check_apart({"", 300, canvas.words()});
}

TEST_CASE("page: a ruler's figures keep apart at any scale and stand at their heights") {
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre})
        for (double pixels_per_metre = 4; pixels_per_metre < 400; pixels_per_metre *= 1.3) {
            const double top = 500 / pixels_per_metre;
            Canvas canvas(page_width, 600, PictureFormat::svg);
            draw_ruler(canvas, 200, 550, pixels_per_metre, top, unit,
                       {{0.9 * top, "peak"}, {0.89 * top, "hidden"}, {0.5 * top, "eave"}});
            CAPTURE(pixels_per_metre);
            test::check_apart({"", 600, canvas.words()}, 1);
            const DrawnPage page{"", 600, canvas.words()};
            CHECK(test::find_words(page, "peak").middle().y == doctest::Approx(550 - 0.9 * 500));
            CHECK(test::count_words(page, "hidden") == 0); // would lie on the peak
            const double step = ruler_step(unit, pixels_per_metre, 26) / metres_per(unit);
            for (const Canvas::Words& words : page.words)
                if (words.text.find_first_not_of("0123456789") == std::string::npos) {
                    const double height = std::stod(words.text);
                    CHECK(std::fmod(height + 1e-9, step) < 1e-6);
                    CHECK(words.box.middle().y ==
                          doctest::Approx(550 - height * metres_per(unit) * pixels_per_metre));
                }
        }
}

TEST_CASE("page: round steps are 1, 2, 2.5 or 5 and no more than asked for") {
    for (double greatest = 0.003; greatest < 1e5; greatest *= 1.17)
        for (const int most : {3, 4, 5, 8}) {
            const double step = find_round_step(greatest, most);
            const double digits = step / std::pow(10, std::floor(std::log10(step) + 1e-9));
            CAPTURE(greatest);
            CHECK((std::abs(digits - 1) < 1e-6 || std::abs(digits - 2) < 1e-6 ||
                   std::abs(digits - 2.5) < 1e-6 || std::abs(digits - 5) < 1e-6));
            CHECK(greatest / step <= most * (1 + 1e-6));
            CHECK(greatest / step > most / 2.6); // the next finer one would be too fine
        }
    CHECK(find_round_step(0, 5) == 1);
}

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
