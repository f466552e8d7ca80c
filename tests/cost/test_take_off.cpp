// The take-off against sums worked by hand.

#include <doctest/doctest.h>

#include <filesystem>

#include "duskcast/base/units.hpp"
#include "duskcast/cost/take_off.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path scenes = std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes";
const std::string take_off_header = "kind,id,description,unit,price,labour_hours,taxed\n";

PriceList read_rows(const std::string& rows) {
    return read_price_list(take_off_header + rows, "prices.csv");
}

double in_feet(double count) {
    return count * metres_per_foot;
}

/// A front and a back garden, to be bought from the invented list of scenes/lamps.
TakeOffQuantities make_garden() {
    TakeOffQuantities garden;
    garden.fixtures = {{"bullet", 14}, {"path-hat", 6}, {"tree-down", 2}};
    garden.lamps = {{"led-4w-36", 14}, {"ring-2w", 6}, {"led-5w-36", 2}};
    garden.mounts = {{"spike", 20}, {"tree", 2}};
    garden.cable = {{12, in_feet(450)}, {10, in_feet(60)}};
    garden.connectors = {{"", 22}};
    garden.hubs = {{"splice-hub", 3}};
    garden.transformers = {{300, 1}};
    garden.hours = 4;
    return garden;
}

using Missing = std::vector<MissingPrice>;

} // namespace

TEST_CASE("a garden of 22 fixtures agrees with a calculation by hand") {
    const PriceList prices = read_price_list_file(scenes / "lamps" / "prices.csv");
    const TakeOff made = make_take_off(make_garden(), prices);
    CHECK(made.is_complete());
    CHECK(made.currency == "USD");

    //                           each   cost      + 40 %     hours
    // 14 bullet                85.00   1190.00   1666.00    7.00
    //  6 path-hat              76.00    456.00    638.40    3.00
    //  2 tree-down             88.00    176.00    246.40    3.00
    // 14 led-4w-36             14.00    196.00    274.40    0.70
    //  2 led-5w-36             18.00     36.00     50.40    0.10
    //  6 ring-2w                9.00     54.00     75.60    0.30
    // 20 stakes                 4.50     90.00    126.00    0
    //  2 tree mounts           14.00     28.00     39.20    0.50
    //  1 10 AWG 250 ft        265.00    265.00    371.00    60/250 of 4 = 0.96
    //  1 12 AWG 500 ft        325.00    325.00    455.00    450/500 of 8 = 7.20
    // 22 splices                1.35     29.70     41.58    2.20
    //  3 hubs                  24.00     72.00    100.80    1.50
    //  1 300 VA               215.00    215.00    301.00    1.00
    //                                  3132.70   4385.78   27.46
    CHECK(made.materials_cost == 313'270);
    CHECK(made.materials_price == 438'578);
    // 27.46 h and 4 h more, at 65.00: 31.46 x 65 = 2044.90, no markup, not taxed.
    CHECK(made.labour.hours == 314'600);
    CHECK(made.labour.cost == 204'490);
    CHECK(made.labour.price == 204'490);
    // 8.25 % of 4385.78 = 361.82685.
    CHECK(made.taxed_price == 438'578);
    CHECK(made.tax == 36'183);
    // 4385.78 + 2044.90 + 361.83.
    CHECK(made.total() == 679'251);

    // Each line by itself.
    REQUIRE(made.lines.size() == 13);
    const std::vector<std::tuple<std::string, int, Cents, Cents, HourTenThousandths>> wanted = {
        {"bullet", 14, 119'000, 166'600, 70'000}, {"path-hat", 6, 45'600, 63'840, 30'000},
        {"tree-down", 2, 17'600, 24'640, 30'000}, {"led-4w-36", 14, 19'600, 27'440, 7'000},
        {"led-5w-36", 2, 3'600, 5'040, 1'000},    {"ring-2w", 6, 5'400, 7'560, 3'000},
        {"spike", 20, 9'000, 12'600, 0},          {"tree", 2, 2'800, 3'920, 5'000},
        {"10 AWG", 1, 26'500, 37'100, 9'600},     {"12 AWG", 1, 32'500, 45'500, 72'000},
        {"splice", 22, 2'970, 4'158, 22'000},     {"splice-hub", 3, 7'200, 10'080, 15'000},
        {"300 VA", 1, 21'500, 30'100, 10'000},
    };
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        const TakeOffLine& line = made.lines[i];
        CHECK(std::tuple(line.id, line.count, *line.cost, *line.price, *line.hours) == wanted[i]);
    }

    // 450 ft and 5 % are 472 ft 6 in: one roll of 500 ft, 27 ft 6 in left over.
    REQUIRE(made.cable.size() == 2);
    CHECK(made.cable[0].gauge == 10);
    CHECK(made.cable[1].gauge == 12);
    CHECK(made.cable[1].wanted == doctest::Approx(in_feet(472.5)).epsilon(1e-12));
    CHECK(made.cable[1].bought == doctest::Approx(in_feet(500)).epsilon(1e-12));
    CHECK(made.cable[1].left_over() == doctest::Approx(in_feet(27.5)).epsilon(1e-9));
}

TEST_CASE("200 ft in front and 250 to 300 ft behind need a 500-ft roll and not 250 ft") {
    // Common practice, no source.
    const PriceList prices = read_rows("cable,12,,250 ft,170,0,no\ncable,12,,500 ft,325,0,no\n");
    for (const double behind : {250.0, 280.0, 300.0}) {
        CAPTURE(behind);
        TakeOffQuantities quantities;
        quantities.cable[12] += in_feet(200);
        quantities.cable[12] += in_feet(behind);
        const TakeOff made = make_take_off(quantities, prices);
        REQUIRE(made.lines.size() == 1);
        CHECK(made.lines[0].count == 1);
        CHECK(made.lines[0].roll_length == doctest::Approx(in_feet(500)).epsilon(1e-12));
        CHECK(made.cable[0].left_over() == doctest::Approx(in_feet(300 - behind)).epsilon(1e-9));
        CHECK(made.total() == 32'500);
    }
}

TEST_CASE("waste is bought beyond the length and not laid") {
    const std::string rolls = "cable,12,,250 ft,170,4,no\ncable,12,,500 ft,325,8,no\nlabour,,,hour,50,,no\n";
    TakeOffQuantities quantities;
    quantities.cable[12] = in_feet(480);
    // 480 ft fit one roll of 500 ft; with 5 % they are 504 ft.
    CHECK(make_take_off(quantities, read_rows(rolls)).cable[0].bought ==
          doctest::Approx(in_feet(500)).epsilon(1e-12));
    const TakeOff made = make_take_off(quantities, read_rows(rolls + "waste,cable,,percent,5,,\n"));
    CHECK(made.cable[0].wanted == doctest::Approx(in_feet(504)).epsilon(1e-12));
    CHECK(made.cable[0].bought == doctest::Approx(in_feet(750)).epsilon(1e-12));
    CHECK(made.cable[0].left_over() == doctest::Approx(in_feet(246)).epsilon(1e-9));
    // 12 h lay 750 ft, of which 480 are laid: 7.68 h.
    CHECK(made.labour.hours == 76'800);
}

TEST_CASE("each line is rounded once and the tax once on their sum") {
    // Markup of 12.5 %: 0.04 become 0.045, rounded up to 0.05, on both lines: 0.10, not 0.09.
    // Tax of 5 % on 0.10: 0.005, rounded up to 0.01, where two taxes of 0.0025 would come to nothing.
    const PriceList prices = read_rows("lamp,a,,each,0.04,0,yes\nlamp,b,,each,0.04,0,yes\n"
                                       "markup,materials,,percent,12.5,,\ntax,,,percent,5,,\n");
    TakeOffQuantities quantities;
    quantities.lamps = {{"a", 1}, {"b", 1}};
    const TakeOff made = make_take_off(quantities, prices);
    CHECK(made.materials_price == 10);
    CHECK(made.tax == 1);
    CHECK(made.total() == 11);
}

TEST_CASE("tax falls on the lines that the list marks") {
    const std::string rows = "lamp,a,,each,100,1,yes\nlamp,b,,each,10,0,no\ntax,,,percent,10,,\n";
    TakeOffQuantities quantities;
    quantities.lamps = {{"a", 1}, {"b", 1}};
    CHECK(make_take_off(quantities, read_rows(rows + "labour,,,hour,50,,no\n")).tax == 1'000);
    // Labour as well: 10 % of 100 + 50.
    const TakeOff all = make_take_off(quantities, read_rows(rows + "labour,,,hour,50,,yes\n"));
    CHECK(all.taxed_price == 15'000);
    CHECK(all.tax == 1'500);
    CHECK(all.total() == 10'000 + 1'000 + 5'000 + 1'500);
}

TEST_CASE("margin on materials and markup on labour") {
    // 60.00 at a margin of 40 %: 60 / 0.6 = 100. Two hours at 50.00 and 20 %: 120.
    const PriceList prices = read_rows("lamp,a,,each,60,2,no\nlabour,,,hour,50,,no\n"
                                       "margin,materials,,percent,40,,\nmarkup,labour,,percent,20,,\n");
    TakeOffQuantities quantities;
    quantities.lamps = {{"a", 1}};
    const TakeOff made = make_take_off(quantities, prices);
    CHECK(made.materials_cost == 6'000);
    CHECK(made.materials_price == 10'000);
    CHECK(made.labour.cost == 10'000);
    CHECK(made.labour.price == 12'000);
    CHECK(made.total() == 22'000);
}

TEST_CASE("what has no price is named and never taken as nothing") {
    const PriceList prices = read_rows("fixture,bullet,,each,85,0.5,yes\nfixture,well,,each,,0.5,yes\n"
                                       "lamp,led-4w-36,,each,14,,yes\ncable,12,,250 ft,,4,yes\n");
    TakeOffQuantities quantities;
    quantities.fixtures = {{"bullet", 2}, {"bulet", 1}, {"well", 1}, {"gnome-spot", 1}};
    quantities.lamps = {{"led-4w-36", 2}};
    quantities.cable = {{12, 30}, {14, 30}};
    quantities.connectors = {{"", 4}};
    quantities.hubs = {{"five", 1}};
    quantities.transformers = {{300, 1}};
    const TakeOff made = make_take_off(quantities, prices);
    CHECK(made.missing == Missing{{PriceGap::item, ItemKind::fixture, "bulet", "bullet"},
                                  {PriceGap::item, ItemKind::fixture, "gnome-spot"},
                                  {PriceGap::price, ItemKind::fixture, "well"},
                                  {PriceGap::labour_hours, ItemKind::lamp, "led-4w-36"},
                                  {PriceGap::price, ItemKind::cable, "12 AWG"},
                                  {PriceGap::item, ItemKind::cable, "14 AWG"}, // not 12 AWG misspelt
                                  {PriceGap::item, ItemKind::connector, ""},
                                  {PriceGap::item, ItemKind::hub, "five"},
                                  {PriceGap::item, ItemKind::transformer, "300 VA"},
                                  {.gap = PriceGap::labour_rate},
                                  {.gap = PriceGap::tax}});
    CHECK_FALSE(made.is_complete());
    CHECK(made.total() == std::nullopt);
    CHECK(made.sum == 2 * 8'500 + 2 * 1'400);
    for (const TakeOffLine& line : made.lines)
        if (line.id == "bulet" || line.id == "12 AWG") {
            CHECK(line.cost == std::nullopt);
            CHECK(line.price == std::nullopt);
            CHECK(line.hours == std::nullopt);
        }
}

TEST_CASE("what costs nothing is known to cost nothing") {
    const PriceList prices = read_rows("lamp,wash-3w,,each,0,0,no\n");
    TakeOffQuantities quantities;
    quantities.lamps = {{"wash-3w", 5}};
    CHECK(make_take_off(quantities, prices).total() == 0);
    CHECK(make_take_off({}, prices).total() == 0);
    CHECK(make_take_off({}, read_rows("")).total() == 0);
}

TEST_CASE("rolls without a price are not offered") {
    const PriceList prices = read_rows("cable,12,,250 ft,170,0,no\ncable,12,,500 ft,,0,no\n");
    TakeOffQuantities quantities;
    quantities.cable[12] = in_feet(400);
    const TakeOff made = make_take_off(quantities, prices);
    CHECK(made.total() == 34'000);
    REQUIRE(made.lines.size() == 1);
    CHECK(made.lines[0].count == 2);
}

TEST_CASE("fixtures and lamps and mounts are counted from the site") {
    const Site site = read_site(R"({ "duskcast": 1, "units": "ft", "catalogue": "garden.catalogue.json",
        "walls": [{ "id": "front", "path": [[0, 0], [40, 0]], "height": 10,
                    "finish": "brick red common", "eave": { "depth": 2 } }],
        "trees": [{ "id": "oak", "at": [20, -30], "form": "round", "height": 40, "base": 12, "width": 30 }],
        "lamps": [{ "id": "own", "watts": 5, "lumens": 400, "beam": 36 }],
        "fixtures": [
            { "id": "a", "model": "bullet", "lamp": "led-4w-36", "wall": "front", "along": 5, "setback": "15 in" },
            { "id": "b", "model": "bullet", "lamp": "led-4w-24", "wall": "front", "along": 15, "setback": "15 in" },
            { "id": "c", "kind": "uplight", "lamp": "own", "wall": "front", "along": 25, "setback": "15 in" },
            { "id": "d", "model": "well", "lamp": "led-4w-36", "at": [10, -20] },
            { "id": "e", "model": "tree-down", "lamp": "led-5w-36", "tree": "oak", "bearing": 90,
              "lens_height": 20, "tilt": 170 },
            { "id": "f", "model": "path-hat", "lamp": "ring-2w", "at": [12, -25], "mount": "surface" }] })",
                                scenes / "lamps" / "case.site.json")
                          .site;
    const TakeOffQuantities found = find_quantities(site);
    TakeOffQuantities wanted;
    wanted.fixtures = {{"bullet", 2}, {"uplight", 1}, {"well", 1}, {"tree-down", 1}, {"path-hat", 1}};
    wanted.lamps = {{"led-4w-36", 2}, {"led-4w-24", 1}, {"own", 1}, {"led-5w-36", 1}, {"ring-2w", 1}};
    wanted.mounts = {{"spike", 3}, {"tree", 1}, {"surface", 1}}; // the well stands in the ground
    CHECK(found == wanted);
}

TEST_CASE("the invented list prices every model and lamp of the invented range") {
    const PriceList prices = read_price_list_file(scenes / "lamps" / "prices.csv");
    TakeOffQuantities one_of_each;
    const Site site = read_site(R"({ "duskcast": 1, "catalogue": "garden.catalogue.json" })",
                                scenes / "lamps" / "case.site.json")
                          .site;
    REQUIRE(site.catalogue.fixtures.size() >= 6);
    for (const FixtureModel& model : site.catalogue.fixtures)
        one_of_each.fixtures[model.id] = 1;
    for (const Lamp& lamp : site.catalogue.lamps)
        one_of_each.lamps[lamp.id] = 1;
    for (const char* mount : {"spike", "surface", "tree", "wall"})
        one_of_each.mounts[mount] = 1;
    for (const int gauge : {10, 12, 14, 16})
        one_of_each.cable[gauge] = 30;
    for (const double rating : {150.0, 300.0, 600.0, 900.0})
        one_of_each.transformers[rating] = 1;
    one_of_each.connectors[""] = 1;
    one_of_each.hubs[""] = 1;
    CHECK(make_take_off(one_of_each, prices).missing == Missing{});
    CHECK(prices.energy_price == 162'500);
}
