#include <cmath>
#include <doctest/doctest.h>

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

TEST_CASE("page: a scale bar is a round length, at least as long as its words, and ends where it should") {
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre})
        for (double pixels_per_metre = 3; pixels_per_metre < 500; pixels_per_metre *= 1.4) {
            Canvas canvas(page_width, 600, PictureFormat::svg);
            draw_scale_bar(canvas, {1500, 580}, pixels_per_metre, unit);
            REQUIRE(canvas.words().size() == 1);
            const Canvas::Words& words = canvas.words()[0];
            CAPTURE(words.text);
            const double length = std::stod(words.text) * metres_per(unit) * pixels_per_metre;
            CHECK(length >= 110);
            CHECK(words.text.ends_with(" " + std::string(name_of(unit))));
            CHECK(words.box.width() < length);
            CHECK(words.box.middle().x == doctest::Approx(1500 - length / 2));
            CHECK(words.box.bottom < 580);
        }
}

TEST_CASE("page: quiet words of a section stand behind its title") {
    Canvas canvas(page_width, 200, PictureFormat::svg);
    draw_section_title(canvas, "Reach", "of the lamp alone", 100, 50);
    draw_section_title(canvas, "Coverage", "", 100, 100);
    REQUIRE(canvas.words().size() == 3);
    const Box title = canvas.words()[0].box, detail = canvas.words()[1].box;
    CHECK(title.left == doctest::Approx(100));
    CHECK(title.top > 50);
    CHECK(detail.left >= title.right + 8);
    CHECK(detail.middle().y == doctest::Approx(title.middle().y).epsilon(0.05));
}

TEST_CASE("page: more than ten answers stand in two columns, read down the first one first") {
    const auto draw_foot = [](std::size_t count) {
        std::vector<std::string> answers;
        for (std::size_t i = 0; i < count; ++i)
            answers.push_back("answer " + std::to_string(i));
        Canvas canvas(page_width, 1000, PictureFormat::svg);
        Foot(answers).draw(canvas, 0);
        return canvas.words();
    };
    const std::vector<Canvas::Words> few = draw_foot(10), many = draw_foot(13);
    for (std::size_t i = 1; i < 10; ++i) {
        CHECK(few[i].box.left == few[0].box.left);
        CHECK(few[i].box.top > few[i - 1].box.bottom);
    }
    CHECK(many[6].box.left == many[0].box.left);
    CHECK(many[7].box.left > page_width / 2);
    CHECK(many[7].box.top == many[0].box.top);
    CHECK(many[12].box.left == many[7].box.left);
    CHECK(Foot({"one"}).height() < Foot({"one", "two"}).height());
}

TEST_CASE("page: steps of a ruler keep their figures apart and are the next ones that do") {
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre})
        for (double pixels_per_metre = 2; pixels_per_metre < 1000; pixels_per_metre *= 1.25)
            for (const double least : {20.0, 110.0}) {
                const double step = ruler_step(unit, pixels_per_metre, least);
                const double first = (unit == LengthUnit::foot ? 5 : 2) * metres_per(unit);
                CHECK(step * pixels_per_metre >= least);
                CHECK((step == doctest::Approx(first) || step * pixels_per_metre / 2.5 < least));
            }
}
