// Writing typed figures into a price list: what is read afterwards is what was there with that one figure in
// it.

#include <doctest/doctest.h>

#include "../message_of.hpp"
#include "duskcast/cost/price_edit.hpp"
#include "duskcast/cost/price_list.hpp"

using namespace duskcast;
using test::message_of;

namespace {

PriceList read_edited(const std::string& text) {
    return read_price_list(text, "prices.csv");
}
std::string edit(const std::string& text, const PriceEdit& typed) {
    return edit_price_list(text, typed, "prices.csv");
}

// With a column of the user's own, another order of columns, quotes and several ways of writing an id.
const std::string own_list = "kind,id,shelf,unit,description,price,labour_hours,taxed\n"
                             "currency,USD,,,,,,\n"
                             "lamp,led,\"A, left\",each,\"LED \"\"warm\"\"\",14.00,0.05,yes\n"
                             "Cable,12awg,B,250 ft,,170.00,4,yes\n"
                             "Cable,12 AWG,B,500 ft,,325.00,8,yes\n"
                             "labour,,,hour,,65.00,,no\n"
                             "markup,materials,,percent,,40,,\n";

} // namespace

TEST_CASE("a figure that is typed is the only one that differs afterwards") {
    const PriceList before = read_edited(own_list);
    const std::string text = edit(own_list, {.kind = "lamp", .id = "led", .unit = "each", .value = "15.5"});
    PriceList wanted = before;
    wanted.items[0].price = 1550;
    CHECK(read_edited(text) == wanted);
    // RFC 4180: quotes where they have to be, doubled inside; the user's own column stays.
    CHECK(text.find("lamp,led,\"A, left\",each,\"LED \"\"warm\"\"\",15.5,0.05,yes\n") != std::string::npos);

    wanted = before;
    wanted.items[2].price = 33000;
    CHECK(read_edited(edit(own_list, {.kind = "cable", .id = "12 AWG", .unit = "500 ft", .value = "330"})) ==
          wanted);
    wanted = before;
    wanted.items[0].labour = 1000;
    wanted.items[0].is_taxed = false;
    CHECK(read_edited(edit(
              edit(own_list, {.kind = "lamp",
                              .id = "led",
                              .unit = "each",
                              .field = PriceField::labour_hours,
                              .value = "0.1"}),
              {.kind = "lamp", .id = "led", .unit = "each", .field = PriceField::taxed, .value = "no"})) ==
          wanted);
    wanted = before;
    wanted.items[0].price.reset();
    CHECK(read_edited(edit(own_list, {.kind = "lamp", .id = "led", .unit = "each", .value = ""})) == wanted);
    wanted = before;
    wanted.currency = "CAD";
    CHECK(read_edited(edit(own_list, {.kind = "currency", .value = "CAD"})) == wanted);
}

TEST_CASE("a line that is not there yet is put after its kind, taxed, without hours") {
    const std::string text = edit(
        own_list, {.kind = "lamp", .id = "led-2", .unit = "each", .description = "LED, 5 W", .value = "18"});
    const PriceList list = read_edited(text);
    REQUIRE(list.items.size() == 4);
    CHECK(list.items[1] == PriceItem{.kind = ItemKind::lamp,
                                     .id = "led-2",
                                     .description = "LED, 5 W",
                                     .price = 1800,
                                     .is_taxed = true});
    const PriceList by_foot = read_edited(edit(
        own_list, {.kind = "cable", .id = "10 AWG", .unit = "1 ft", .description = "", .value = "0.95"}));
    CHECK(by_foot.items.back().roll_length == doctest::Approx(0.3048));
    CHECK(by_foot.items.back().price == 95);
}

TEST_CASE("a new line is taxed as most of its kind are, else as most of the list") {
    const std::string header = "kind,id,description,unit,price,labour_hours,taxed\n";
    const auto is_taxed = [&](const std::string& lines, const std::string& kind) {
        const PriceList list =
            read_edited(edit(header + lines, {.kind = kind, .id = "new", .unit = "each", .value = "10"}));
        for (const PriceItem& item : list.items)
            if (item.id == "new")
                return item.is_taxed;
        FAIL("the line is missing");
        return false;
    };
    const std::string lamps = "lamp,a,,each,5,,no\nlamp,b,,each,5,,no\nlamp,c,,each,5,,yes\n";
    const std::string fixtures = "fixture,d,,each,50,,yes\n";
    CHECK_FALSE(is_taxed(lamps + fixtures, "lamp"));
    CHECK(is_taxed(lamps + fixtures, "fixture"));
    CHECK(is_taxed(lamps + fixtures, "connector")); // even: two of each
    CHECK_FALSE(is_taxed(lamps, "connector"));
    CHECK(is_taxed("", "connector"));
}

TEST_CASE("a list begins with the first figure, whatever it is of") {
    const PriceList list =
        read_edited(edit(edit(edit("", {.kind = "tax", .unit = "percent", .value = " 8.25 % "}),
                              {.kind = "labour", .unit = "hour", .value = "$65"}),
                         {.kind = "energy", .unit = "kWh", .value = "0.1625"}));
    CHECK(list.tax == 82500);
    CHECK(list.labour_rate == 6500);
    CHECK_FALSE(list.is_labour_taxed);
    CHECK(list.energy_price == 162500);
    CHECK(list.items.empty());
}

TEST_CASE("a share without a figure has no line, and no line is made for it") {
    PriceList wanted = read_edited(own_list);
    wanted.materials = {};
    CHECK(read_edited(edit(own_list,
                           {.kind = "markup", .id = "materials", .unit = "percent", .value = ""})) == wanted);
    CHECK(read_edited(edit(own_list, {.kind = "tax", .unit = "percent", .value = ""})) ==
          read_edited(own_list));
}

TEST_CASE("what is typed is refused as it would be in the list, and a list at fault is not written to") {
    const auto refused = [](const std::string& value) {
        return message_of(
            [&] { edit(own_list, {.kind = "lamp", .id = "led", .unit = "each", .value = value}); });
    };
    CHECK(refused("14,50").find("\"14,50\" holds a comma") != std::string::npos);
    CHECK(refused("dear").find("\"dear\" is not a number") != std::string::npos);
    CHECK(refused("-1").find("-1 is below 0") != std::string::npos);
    CHECK(message_of([] {
              edit(own_list + "lamp,led,,each,,1,1,yes\n", {.kind = "labour", .unit = "hour", .value = "70"});
          }).find("is given on line 3 already") != std::string::npos);
}
