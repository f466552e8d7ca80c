// The take-off as a table, as CSV and as JSON.

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/sheets/take_off_words.hpp"

using namespace duskcast;
using Json = nlohmann::ordered_json;

namespace {

PriceList read(const std::string& price_rows) {
    return read_price_list("kind,id,description,unit,price,labour_hours,taxed\n" + price_rows, "prices.csv");
}

const std::string price_rows = "currency,USD,,,,,\n"
                               "fixture,bullet,\"Bullet, 9\"\" stake\",each,85,0.5,yes\n"
                               "lamp,led,LED 36°,each,14,0.05,no\n"
                               "cable,12,two conductors,500 ft,325,8,yes\n"
                               "labour,,,hour,65,,no\n"
                               "tax,,,percent,8.25,,\n"
                               "markup,materials,,percent,40,,\n"
                               "waste,cable,,percent,5,,\n";

TakeOffQuantities make_quantities() {
    TakeOffQuantities quantities;
    quantities.fixtures = {{"bullet", 12}};
    quantities.lamps = {{"led", 12}};
    quantities.cable = {{12, 400 * metres_per_foot}};
    return quantities;
}

// 12 x 85.00 = 1020.00, and 40 % 1428.00. 12 x 14.00 = 168.00 and 235.20. 325.00 and 455.00.
// Hours: 6 + 0.6 + 400/500 of 8 = 13; 13 x 65 = 845.00. Tax: 8.25 % of 1883.00 = 155.3475.
// 1428.00 + 235.20 + 455.00 + 845.00 + 155.35 = 3118.55.

/// The table as one text, so that a failure shows it.
std::string print(const TakeOff& take_off, LengthUnit unit) {
    std::string text;
    for (const std::string& line : print_take_off(take_off, unit))
        text += line + "\n";
    return text;
}

} // namespace

TEST_CASE("what a job leaves is told as money and as a share of the price") {
    // Cost 1020 + 168 + 325 + 845 = 2358.00; price 1428 + 235.20 + 455 + 845 = 2963.20: 605.20 and 20.42 %.
    TakeOff made = make_take_off(make_quantities(), read(price_rows));
    CHECK(made.cost_before_tax() == 235'800);
    CHECK(made.price_before_tax() == 296'320);
    CHECK(print_earnings(made) ==
          "costs 2,358.00 USD, charged 2,963.20 USD before tax: 605.20 USD over cost, 20.4 % of the price.");
    made.missing.push_back({});
    CHECK(print_earnings(made).ends_with("; not complete, see what is missing."));
    made.currency.clear();
    made.materials_price = made.materials_cost; // nothing is put on
    made.missing.clear();
    CHECK(print_earnings(made) == "costs 2,358.00, charged 2,358.00 before tax.");
}

TEST_CASE("the table says every line and what the price is made of") {
    CHECK(
        print(make_take_off(make_quantities(), read(price_rows)), LengthUnit::foot) ==
        R"(Take-off             in USD                          count       each        cost       price    hours
fixture      bullet  Bullet, 9" stake                   12      85.00    1,020.00    1,428.00     6.00
lamp         led     LED 36°                            12      14.00      168.00      235.20     0.60
cable        12 AWG  roll of 500 ft, two conductors      1     325.00      325.00      455.00     6.40
labour                                                          65.00      845.00      845.00    13.00
tax                  8.25 % of 1,883.00                                                155.35
Total: 3,118.55 USD
12 AWG: 400 ft laid, 420 ft with a waste of 5 %; 500 ft bought, 80 ft left over.
Price of materials: the cost and a markup of 40 % of the cost.
Price of labour: the cost; the list gives no markup and no margin.
)");
}

TEST_CASE("cable is told by the whole foot, and what is told of it adds up") {
    // 336.8 ft and 5 %: 353.64 ft. Rounded up 337 and 354; 500 - 354 is left.
    TakeOffQuantities quantities = make_quantities();
    quantities.cable = {{12, 336.8 * metres_per_foot}};
    const TakeOff made = make_take_off(quantities, read(price_rows));
    const auto has = [](const std::string& text, const char* words) {
        return text.find(words) != std::string::npos;
    };
    CHECK(has(print(made, LengthUnit::foot),
              "12 AWG: 337 ft laid, 354 ft with a waste of 5 %; 500 ft bought, 146 ft left over."));
    CHECK(has(print_take_off_csv(made, LengthUnit::foot), "337 ft laid, 17 ft waste, 146 ft left over"));
}

TEST_CASE("the table names what is missing and gives no total") {
    TakeOffQuantities quantities = make_quantities();
    quantities.fixtures = {{"bulet", 12}};
    quantities.cable = {{8, 30}};
    const PriceList prices = read(price_rows + "margin,labour,,percent,20,,\n");
    // Labour: 12 x 0.05 h at 65 = 39.00; at a margin of 20 %: 39 / 0.8 = 48.75. Lamps 235.20, not taxed.
    CHECK(print(make_take_off(quantities, prices), LengthUnit::metre) ==
          R"(Take-off            in USD                    count       each        cost       price    hours
fixture      bulet                               12          ?           ?           ?        ?
lamp         led    LED 36°                      12      14.00      168.00      235.20     0.60
cable        8 AWG                                ?          ?           ?           ?        ?
labour                                                   65.00       39.00       48.75     0.60
tax                 8.25 % of 0.00                                                0.00
The total is not complete: what is known comes to 283.95 USD, without
  fixture "bulet" (not in the list; did you mean "bullet"?)
  cable "8 AWG" (not in the list)
8 AWG: 30.0 m laid, 31.5 m with a waste of 5 %.
Price of materials: the cost and a markup of 40 % of the cost.
Price of labour: the cost and a margin of 20 % of the price.
)");
}

TEST_CASE("a long description or one of two lines stays in its column") {
    const TakeOff made =
        make_take_off({.fixtures = {{"a", 1}, {"b", 1}}},
                      read("fixture,a,\"Two\r\nlines\",each,1,0,no\n"
                           "fixture,b,\"Größer als die Spalte, in der sie steht\",each,1,0,no\n"));
    const std::vector<std::string> lines = print_take_off(made, LengthUnit::foot);
    CHECK(lines[1] == "fixture      a  Two  lines                            1       1.00        1.00        "
                      "1.00     0.00");
    CHECK(lines[2] == "fixture      b  Größer als die Spalte, in der s…      1       1.00        1.00        "
                      "1.00     0.00");
}

TEST_CASE("the CSV is RFC 4180 and adds up to its total") {
    const std::string text =
        print_take_off_csv(make_take_off(make_quantities(), read(price_rows)), LengthUnit::foot);
    CHECK(text == "\xEF\xBB\xBF"
                  "kind,id,description,count,unit,unit_cost,cost,price,labour_hours,taxed,note\r\n"
                  "fixture,bullet,\"Bullet, 9\"\" stake\",12,each,85.00,1020.00,1428.00,6,yes,\r\n"
                  "lamp,led,LED 36°,12,each,14.00,168.00,235.20,0.6,no,\r\n"
                  "cable,12 AWG,two conductors,1,500 ft,325.00,325.00,455.00,6.4,yes,\"400 ft laid, 20 ft "
                  "waste, 80 ft left over\"\r\n"
                  "labour,,,13,hour,65.00,845.00,845.00,,no,\r\n"
                  "tax,,,8.25,percent,,,155.35,,,of 1883.00\r\n"
                  "total,,,,USD,,,3118.55,,,\r\n");
    const std::vector<CsvRecord> records = read_csv(text, "take-off.csv", "");
    REQUIRE(records.size() == 7);
    Cents sum = 0;
    for (std::size_t i = 1; i + 1 < records.size(); ++i) {
        CHECK(records[i].size() == records[0].size());
        sum += read_figure(records[i][7].text, 2, 1'000'000'00).value;
    }
    CHECK(records[1][2].text == "Bullet, 9\" stake");
    CHECK(print_plain_cents(sum) == records.back()[7].text);
}

TEST_CASE("the CSV of an incomplete take-off has no total and names what is missing") {
    TakeOffQuantities quantities;
    quantities.lamps = {{"led", 1}};
    quantities.hubs = {{"", 2}};
    const std::string text =
        print_take_off_csv(make_take_off(quantities, read("lamp,led,,each,,0.05,no\n")), LengthUnit::foot);
    CHECK(text ==
          "kind,id,description,count,unit,unit_cost,cost,price,labour_hours,taxed,note\r\n"
          "lamp,led,,1,each,,,,0.05,no,\r\n"
          "hub,,,2,each,,,,,,\r\n"
          "labour,,,0.05,hour,,,,,no,\r\n"
          "missing,,\"price of lamp \"\"led\"\" (its field is empty)\",,,,,,,,\r\n"
          "missing,,hub (not in the list),,,,,,,,\r\n"
          "missing,,price of an hour of labour (the list has no line of kind labour with a price),,,,,,,,\r\n"
          "total,,,,,,,,,,not complete: what is known comes to 0.00\r\n");
}

TEST_CASE("the JSON holds the same figures") {
    const Json json = Json::parse(print_take_off_json(make_take_off(make_quantities(), read(price_rows))));
    CHECK(json["currency"] == "USD");
    CHECK(json["complete"] == true);
    CHECK(json["total"] == 3118.55);
    CHECK(json["known_sum"] == 3118.55);
    CHECK(json["missing"] == Json::array());
    REQUIRE(json["lines"].size() == 3);
    CHECK(json["lines"][0] == Json({{"kind", "fixture"},
                                    {"id", "bullet"},
                                    {"description", "Bullet, 9\" stake"},
                                    {"count", 12},
                                    {"roll_m", nullptr},
                                    {"unit_cost", 85.0},
                                    {"cost", 1020.0},
                                    {"price", 1428.0},
                                    {"labour_hours", 6.0},
                                    {"taxed", true}}));
    CHECK(json["lines"][2]["roll_m"] == 152.4);
    CHECK(json["cable"] == Json::array({{{"gauge_awg", 12},
                                         {"length_m", 121.92},
                                         {"waste", 0.05},
                                         {"wanted_m", 128.016},
                                         {"bought_m", 152.4},
                                         {"left_over_m", 24.384}}}));
    CHECK(json["materials"]["known_cost"] == 1513.0);
    CHECK(json["materials"]["known_price"] == 2118.2);
    CHECK(json["materials"]["surcharge"] == Json({{"markup_on_cost", 0.4}}));
    CHECK(json["labour"]["known_hours"] == 13.0);
    CHECK(json["labour"]["price"] == 845.0);
    CHECK(json["labour"]["surcharge"] == nullptr);
    CHECK(json["tax"] == Json({{"share", 0.0825}, {"of_known_price", 1883.0}, {"known_tax", 155.35}}));
}

TEST_CASE("the JSON of an incomplete take-off has null for what is not known") {
    TakeOffQuantities quantities = make_quantities();
    quantities.fixtures = {{"bul\xE9t", 1}}; // an id that is no UTF-8 does not spoil the rest
    quantities.cable = {{8, 30}};
    const Json json = Json::parse(print_take_off_json(make_take_off(quantities, read(price_rows))));
    CHECK(json["complete"] == false);
    CHECK(json["total"] == nullptr);
    CHECK(json["known_sum"] == 235.2 + 39.0);
    CHECK(json["missing"].size() == 2);
    CHECK(json["missing"][1] == Json({{"what", "cable \"8 AWG\""}, {"hint", "not in the list"}}));
    CHECK(json["lines"][0]["cost"] == nullptr);
    CHECK(json["lines"][0]["taxed"] == nullptr);
    CHECK(json["lines"][2]["count"] == nullptr);
    CHECK(json["cable"][0]["bought_m"] == nullptr);
}

TEST_CASE("every gap of a price list has its words") {
    const auto print = [](const MissingPrice& missing) {
        const MissingPriceWords words = describe_missing(missing);
        return words.what + " (" + words.hint + ")";
    };
    CHECK(print({PriceGap::item, ItemKind::fixture, "bulet", "bullet"}) ==
          "fixture \"bulet\" (not in the list; did you mean \"bullet\"?)");
    CHECK(print({PriceGap::item, ItemKind::transformer, "300 VA"}) ==
          "transformer \"300 VA\" (not in the list)");
    CHECK(print({PriceGap::item, ItemKind::connector}) == "connector (not in the list)");
    CHECK(print({PriceGap::price, ItemKind::cable, "12 AWG"}) ==
          "price of cable \"12 AWG\" (its field is empty)");
    CHECK(print({PriceGap::labour_hours, ItemKind::lamp, "led"}) ==
          "labour hours of lamp \"led\" (its field is empty)");
    CHECK(print({.gap = PriceGap::labour_rate}) ==
          "price of an hour of labour (the list has no line of kind labour with a price)");
    CHECK(print({.gap = PriceGap::tax}) == "tax (lines are taxed, and the list has no line of kind tax)");
}

TEST_CASE("a year's energy in a sentence") {
    // 96 W x 5 h x 365 = 175.2 kWh, at 0.1625: 28.47.
    const YearlyEnergy energy = find_yearly_energy({96, 5, 365}, 162'500);
    CHECK(print_yearly_energy(energy, "USD") ==
          "96 W for 5 h on 365 nights: 175 kWh a year, 28.47 USD at 0.1625 USD a kWh");
    CHECK(print_yearly_energy(energy, "") ==
          "96 W for 5 h on 365 nights: 175 kWh a year, 28.47 at 0.1625 a kWh");
    CHECK(
        print_yearly_energy(find_yearly_energy({120, 6, 300}), "USD") ==
        "120 W for 6 h on 300 nights: 216 kWh a year, its cost is not known: the price of a kWh is missing");
}

TEST_CASE("whatever is bought, table, CSV and JSON tell one sum, line by line") {
    Random random(77);
    for (int trial = 0; trial < 40; ++trial) {
        CAPTURE(trial);
        const auto whole = [&](double most) { return static_cast<int>(random.uniform(0, most)); };
        // A whole number of hundredths as a list has it: "12.05".
        const auto hundredths = [&](double most) {
            const std::string digits = std::to_string(100'000'000 + whole(most));
            return std::to_string(std::stol(digits.substr(1, 6))) + "." + digits.substr(7);
        };
        std::string list;
        TakeOffQuantities quantities;
        for (int i = 0; i < 5; ++i) {
            const std::string kind = i % 2 ? "lamp" : "fixture", id = "item-" + std::to_string(i);
            list += kind + "," + id + ",\"A, \"\"quoted\"\" one\",each," + hundredths(20'000) + "," +
                    hundredths(200) + "," + (whole(2) > 0 ? "yes" : "no") + "\n";
            if (const int count = whole(6); count > 0)
                (i % 2 ? quantities.lamps : quantities.fixtures)[id] = count;
        }
        list += "labour,,,hour," + hundredths(9000) + ",," + (trial % 2 ? "yes" : "no") + "\n";
        list += "tax,,,percent," + hundredths(1200) + ",,\n";
        if (trial % 3 > 0)
            list += std::string(trial % 3 == 1 ? "markup" : "margin") + ",materials,,percent," +
                    std::to_string(whole(60)) + ",,\n";
        quantities.hours = whole(40) / 4.0;
        const TakeOff take_off = make_take_off(quantities, read(list));
        REQUIRE(take_off.total());

        // The CSV by its columns: prices of all rows but the total come to the total.
        const std::vector<CsvRecord> records =
            read_csv(print_take_off_csv(take_off, LengthUnit::foot), "t.csv", "");
        std::map<std::string, std::size_t> column;
        for (std::size_t i = 0; i < records[0].size(); ++i)
            column[records[0][i].text] = i;
        long sum = 0, total = -1;
        std::map<std::string, long> price_of;
        for (std::size_t i = 1; i < records.size(); ++i) {
            REQUIRE(records[i].size() == records[0].size());
            const auto field = [&](const char* name) { return records[i][column.at(name)].text; };
            const long price = field("price").empty() ? 0 : std::lround(100 * std::stod(field("price")));
            if (field("kind") == "total") {
                total = price;
                continue;
            }
            sum += price;
            price_of[field("id")] = price;
            if (field("kind") == "fixture" || field("kind") == "lamp") {
                CHECK(std::lround(100 * std::stod(field("cost"))) ==
                      std::stol(field("count")) * std::lround(100 * std::stod(field("unit_cost"))));
                CHECK(field("description") == "A, \"quoted\" one");
            }
        }
        CHECK(sum == total);
        CHECK(total == *take_off.total());

        const Json json = Json::parse(print_take_off_json(take_off));
        for (const Json& line : json["lines"])
            CHECK(std::lround(100 * line["price"].get<double>()) ==
                  price_of.at(line["id"].get<std::string>()));
        // Hours are those of the items, one by one, and those beyond them.
        double hours = quantities.hours;
        for (const Json& line : json["lines"])
            hours += line["labour_hours"].get<double>();
        CHECK(json["labour"]["known_hours"].get<double>() == doctest::Approx(hours));
        CHECK(print(take_off, LengthUnit::foot).find("Total: " + print_cents(*take_off.total())) !=
              std::string::npos);
    }
}
