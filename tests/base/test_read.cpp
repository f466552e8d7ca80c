// Expected lengths follow from 1 ft = 0.3048 m and 1 in = 0.0254 m, both exact (international yard and
// pound agreement, 1959); 1 fc = 1 lm/ft2 = 1 / 0.3048^2 lx.

#include <doctest/doctest.h>

#include <clocale>
#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"

using namespace duskcast;

namespace {

template <class Read> std::string message_of(Read read) {
    try {
        read();
    } catch (const InputError& error) {
        CHECK(error.problems().size() == 1);
        CHECK(error.problems().front().place == Place{});
        return error.what();
    }
    return "nothing was thrown";
}

std::string length_message(const std::string& text) {
    return message_of([&] { read_length(text); });
}

std::string illuminance_message(const std::string& text) {
    return message_of([&] { read_illuminance(text); });
}

} // namespace

TEST_CASE("lengths are read as the trade writes them") {
    struct Row {
        const char* text;
        double metres;
    };
    const std::vector<Row> rows{
        {"18 in", 18 * 0.0254},
        {"18in", 18 * 0.0254},
        {"18\"", 18 * 0.0254},
        {"18 inches", 18 * 0.0254},
        {"1 inch", 0.0254},
        {"18 IN.", 18 * 0.0254},
        {"5 ft 6 in", 66 * 0.0254},
        {"5ft6in", 66 * 0.0254},
        {"5 feet 6 inches", 66 * 0.0254},
        {"1 foot", 0.3048},
        {"5'6\"", 66 * 0.0254},
        {"5' 6''", 66 * 0.0254},
        {"5'-6\"", 66 * 0.0254},
        {"5 ft-6 in", 66 * 0.0254},
        {"5'", 1.524},
        {"5' 6 1/2\"", 66.5 * 0.0254},
        {"5'6-1/2\"", 66.5 * 0.0254},
        {"1/2 in", 0.0127},
        {"5 1/2 in", 5.5 * 0.0254},
        {"5-1/2 in", 5.5 * 0.0254},
        {"5 1/2 ft", 5.5 * 0.3048},
        {"0.45 m", 0.45},
        {"0.45m", 0.45},
        {"2 metres", 2},
        {"1 metre", 1},
        {"1 meter", 1},
        {"2 Meters", 2},
        {"45 cm", 0.45},
        {"450 mm", 0.45},
        {"-2 ft", -0.6096},
        {"-2 ft 6 in", -30 * 0.0254},
        {"+2 ft", 0.6096},
        {".5 ft", 0.1524},
        {"5. ft", 1.524},
        {"1.5e1 m", 15},
        {"  18\tin \r\n", 18 * 0.0254},
        {"5\xE2\x80\xB2"
         "6\xE2\x80\xB3",
         66 * 0.0254},                                // prime, double prime
        {"5\xE2\x80\x99 6\xE2\x80\x9D", 66 * 0.0254}, // curly quotes
        {"\xE2\x88\x92"
         "2\xC2\xA0"
         "ft",
         -0.6096},                      // minus sign, no-break space
        {"5\xC2\xBD in", 5.5 * 0.0254}, // one half in one character
        {"0 ft", 0},
    };
    for (const Row& row : rows) {
        CAPTURE(row.text);
        CHECK(read_length(row.text) == doctest::Approx(row.metres).epsilon(1e-14));
    }
}

TEST_CASE("a bare number takes the unit of the file") {
    CHECK(read_length("5", LengthUnit::foot) == doctest::Approx(1.524).epsilon(1e-14));
    CHECK(read_length("-5.25", LengthUnit::metre) == -5.25);
    CHECK(read_length("5 1/2", LengthUnit::foot) == doctest::Approx(1.6764).epsilon(1e-14));
    CHECK(read_length("18 in", LengthUnit::metre) == doctest::Approx(0.4572).epsilon(1e-14));
}

TEST_CASE("every refused length says why") {
    const std::string example = "; write a number with its unit, such as 18 in, 5 ft 6 in or 0.45 m";
    CHECK(length_message("") == "error: the length is empty" + example);
    CHECK(length_message(" \t") == "error: the length is empty" + example);
    CHECK(length_message("5") == "error: 5 has no unit; write 5 ft, 5 in, 5 m, 5 cm or 5 mm");
    CHECK(length_message("-5") == "error: -5 has no unit; write -5 ft, -5 in, -5 m, -5 cm or -5 mm");
    CHECK(length_message("1/2") == "error: 1/2 has no unit; write 1/2 ft, 1/2 in, 1/2 m, 1/2 cm or 1/2 mm");
    CHECK(length_message("5 fet") == "error: unknown unit \"fet\" in \"5 fet\"; did you mean ft? the units "
                                     "known are ft, in, m, cm and mm");
    CHECK(length_message("5 yd") ==
          "error: unknown unit \"yd\" in \"5 yd\"; the units known are ft, in, m, cm and mm");
    CHECK(length_message("5 ft 6 inchs") == "error: unknown unit \"inchs\" in \"5 ft 6 inchs\"; did you mean "
                                            "inch? the units known are ft, in, m, cm and mm");
    CHECK(length_message("5 ft 6") == "error: 6 has no unit; write 5 ft 6 in");
    CHECK(length_message("5 ft 6 cm") == "error: only inches may follow feet, not cm");
    CHECK(length_message("inf") == "error: \"inf\" is not a length" + example);
    CHECK(length_message("nan ft") == "error: \"nan ft\" is not a length" + example);
    CHECK(length_message("-inf m") == "error: \"-inf m\" is not a length" + example);
    CHECK(length_message("ft") == "error: \"ft\" is not a length" + example);
    CHECK(length_message("-") == "error: \"-\" is not a length" + example);
    CHECK(length_message(". ft") == "error: \". ft\" is not a length" + example);
    CHECK(length_message("5 ft -") == "error: \"5 ft -\" is not a length" + example);
    CHECK(length_message("--5 ft") == "error: \"--5 ft\" is not a length" + example);
    CHECK(length_message("5 ft 6 in tall") ==
          "error: \"5 ft 6 in tall\" is not a length: \"tall\" is left over");
    CHECK(length_message("5 m 3 cm") == "error: \"5 m 3 cm\" is not a length: \"3 cm\" is left over");
    CHECK(length_message("5 6 ft") == "error: \"5 6 ft\" is not a length: \"6 ft\" is left over");
    CHECK(length_message("1/0 in") == "error: \"1/0 in\" divides by zero");
    CHECK(length_message("1e308/1e-9 m") ==
          "error: the number in \"1e308/1e-9 m\" is too large or too small");
    CHECK(length_message("1e999 ft") == "error: the number in \"1e999 ft\" is too large or too small");
    CHECK(length_message("1.7e308 1.7e308/1 m") ==
          "error: the number in \"1.7e308 1.7e308/1 m\" is too large or too small");
    CHECK(length_message("5,5 ft") == "error: \"5,5 ft\" has a comma in its number; write decimals with a "
                                      "point, as in 5.5 ft, and thousands without a comma");
}

TEST_CASE("illuminances are read") {
    CHECK(read_illuminance("1 fc") == doctest::Approx(10.7639).epsilon(1e-5)); // handbook value
    CHECK(read_illuminance("1fc") == doctest::Approx(1 / (0.3048 * 0.3048)).epsilon(1e-14));
    CHECK(read_illuminance("2 foot-candles") == doctest::Approx(2 / (0.3048 * 0.3048)).epsilon(1e-14));
    CHECK(read_illuminance("0.5 footcandle") == doctest::Approx(0.5 / (0.3048 * 0.3048)).epsilon(1e-14));
    CHECK(read_illuminance("10 lx") == 10);
    CHECK(read_illuminance("10 Lux") == 10);
    CHECK(read_illuminance("1/2 lx") == 0.5);
    CHECK(read_illuminance("7", LightUnit::lux) == 7);
    CHECK(read_illuminance("1", LightUnit::footcandle) == doctest::Approx(10.7639).epsilon(1e-5));
}

TEST_CASE("every refused illuminance says why") {
    const std::string example = "; write a number with its unit, such as 1 fc or 10 lx";
    CHECK(illuminance_message("") == "error: the illuminance is empty" + example);
    CHECK(illuminance_message("bright") == "error: \"bright\" is not an illuminance" + example);
    CHECK(illuminance_message("5") == "error: 5 has no unit; write 5 fc or 5 lx");
    CHECK(illuminance_message("-1 fc") == "error: \"-1 fc\" is negative; an illuminance is 0 or more");
    CHECK(illuminance_message("1 lxx") ==
          "error: unknown unit \"lxx\" in \"1 lxx\"; did you mean lx? the units known are fc and lx");
    CHECK(illuminance_message("1e308 fc") == "error: the number in \"1e308 fc\" is too large or too small");
    CHECK(illuminance_message("1 fc 2") == "error: \"1 fc 2\" is not an illuminance: \"2\" is left over");
    CHECK(illuminance_message("1,5 lx") ==
          "error: \"1,5 lx\" has a comma in its number; write decimals with a "
          "point, as in 1.5 lx, and thousands without a comma");
}

TEST_CASE("numbers do not depend on the locale") {
    // A comma as decimal mark, where the machine has such a locale; elsewhere the case still runs in "C".
    for (const char* name : {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8"})
        if (std::setlocale(LC_ALL, name))
            break;
    CHECK(read_length("1.5 m") == 1.5);
    CHECK(print_number(1234.5) == "1,230");
    CHECK(print_length(1.5, LengthUnit::metre) == "1.50 m");
    std::setlocale(LC_ALL, "C");
}
