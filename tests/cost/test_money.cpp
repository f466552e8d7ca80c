// Cents: exact reading, the rounding rule, markup and margin.

#include <doctest/doctest.h>

#include <vector>

#include "duskcast/cost/money.hpp"
#include "duskcast/cost/price_list.hpp"

using namespace duskcast;

TEST_CASE("products are rounded to the nearest with halves upwards") {
    CHECK(scale_rounded(1, 1, 2) == 1); // 0.5
    CHECK(scale_rounded(3, 1, 2) == 2); // 1.5
    CHECK(scale_rounded(5, 1, 2) == 3); // 2.5, where halves to even give 2
    CHECK(scale_rounded(1, 1, 3) == 0);
    CHECK(scale_rounded(2, 1, 3) == 1);
    CHECK(scale_rounded(0, 7, 3) == 0);
    CHECK(scale_rounded(10, 7, 7) == 10);
    // 0.0825 of 1.00 is 8.25 cents, of 2.00 16.5, of 1.0909 just below 9.
    CHECK(scale_rounded(100, 82'500, millionths_per_one) == 8);
    CHECK(scale_rounded(200, 82'500, millionths_per_one) == 17);
    // 1.005 of a cent-exact 1.00: a double would hold 1.00499999999999989 and give 100.
    CHECK(scale_rounded(100, 1'005'000, millionths_per_one) == 101);
    // The product, 4e18 x 10^6, does not fit; the result does.
    CHECK(scale_rounded(4'000'000'000'000'000'000, 1'000'000, 1'000'000) == 4'000'000'000'000'000'000);
}

TEST_CASE("rounding agrees with long division for every small case") {
    for (std::int64_t value = 0; value < 40; ++value)
        for (std::int64_t numerator = 0; numerator < 20; ++numerator)
            for (std::int64_t denominator = 1; denominator < 20; ++denominator) {
                // floor(x + 1/2) = floor((2 n + d) / 2 d)
                const std::int64_t wanted = (2 * value * numerator + denominator) / (2 * denominator);
                CHECK(scale_rounded(value, numerator, denominator) == wanted);
            }
}

TEST_CASE("figures are read exactly or refused") {
    CHECK(read_figure("85", 2, 1'000'000).value == 8500);
    CHECK(read_figure("85.5", 2, 1'000'000).value == 8550);
    CHECK(read_figure("0.07", 2, 1'000'000).value == 7);
    CHECK(read_figure(".5", 2, 1'000'000).value == 50);
    CHECK(read_figure("5.", 2, 1'000'000).value == 500);
    CHECK(read_figure("007", 0, 1'000'000).value == 7);
    CHECK(read_figure("1.2300000", 2, 1'000'000).value == 123);
    CHECK(read_figure("100", 2, 10'000).value == 10'000);
    CHECK(read_figure("100.01", 2, 10'000).fault == FigureFault::too_large);
    CHECK(read_figure("101", 2, 10'000).fault == FigureFault::too_large);
    CHECK(read_figure("99999999999999999999999999", 2, 10'000).fault == FigureFault::too_large);
    CHECK(read_figure("1.005", 2, 10'000).fault == FigureFault::too_fine);
    CHECK(read_figure("-1", 2, 10'000).fault == FigureFault::negative);
    CHECK(read_figure("1,5", 2, 10'000).fault == FigureFault::comma);
    CHECK(read_figure("1,234.50", 2, 1'000'000).fault == FigureFault::comma);
    for (const char* text : {"", "-", ".", "-.", ",", "1.2.3", "1e3", "0x10", "+1", " 1", "1 ", "$1", "nan",
                             "inf", "--1", "1-", "١"}) {
        CAPTURE(text);
        CHECK(read_figure(text, 2, 10'000).fault == FigureFault::not_a_number);
    }
}

TEST_CASE("money is printed to the cent") {
    CHECK(print_cents(0) == "0.00");
    CHECK(print_cents(5) == "0.05");
    CHECK(print_cents(99999) == "999.99");
    CHECK(print_cents(100000) == "1,000.00");
    CHECK(print_cents(123456789) == "1,234,567.89");
    CHECK(print_cents(-123456) == "-1,234.56");
    CHECK(print_cents(-12345) == "-123.45");
    CHECK(print_cents(-5) == "-0.05");
    CHECK(print_plain_cents(123456789) == "1234567.89");
    CHECK(print_percent(82'500) == "8.25 %");
    CHECK(print_percent(400'000) == "40 %");
    CHECK(print_percent(1) == "0.0001 %");
    CHECK(print_figure(162'534, 6, 2) == "0.162534");
    CHECK(print_figure(160'000, 6, 2) == "0.16");
    CHECK(print_figure(500'000, 6, 2) == "0.50");
    CHECK(print_figure(12, 0) == "12");
}

TEST_CASE("what is put on as a rule is put on where the list says nothing") {
    const Surcharge markup{Surcharge::Kind::markup, 400'000}, margin{Surcharge::Kind::margin, 300'000};
    PriceList list;
    list.materials = markup;
    const PriceList filled = with_usual_surcharge(list, margin);
    CHECK(filled.materials == markup);
    CHECK(filled.labour == margin);
    CHECK(with_usual_surcharge(list, {}) == list);
}

TEST_CASE("a markup is a share of the cost and a margin a share of the price") {
    const Surcharge markup{Surcharge::Kind::markup, 400'000}, margin{Surcharge::Kind::margin, 400'000};
    CHECK(apply_surcharge(10'000, markup) == 14'000); // 100 (1 + 0.4)
    CHECK(apply_surcharge(10'000, margin) == 16'667); // 100 / 0.6 = 166.666...
    CHECK(apply_surcharge(10'000, {}) == 10'000);
    // The margin is what is left: (166.67 - 100.00) / 166.67 = 0.4000.
    CHECK((16'667.0 - 10'000.0) / 16'667.0 == doctest::Approx(0.4).epsilon(1e-4));
    // A markup of m is a margin of m / (1 + m): 25 % and 20 %.
    CHECK(apply_surcharge(12'345, {Surcharge::Kind::markup, 250'000}) ==
          apply_surcharge(12'345, {Surcharge::Kind::margin, 200'000}));
}
