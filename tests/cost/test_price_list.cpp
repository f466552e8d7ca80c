// Reading the user's price list: RFC 4180, encodings, and the wording of every fault (bad.corpus).

#include <doctest/doctest.h>

#include "../corpus.hpp"
#include "../folder.hpp"
#include "../message_of.hpp"
#include "duskcast/cost/price_list.hpp"

using namespace duskcast;
using test::message_of;

namespace {

const std::string list_header = "kind,id,description,unit,price,labour_hours,taxed\n";

PriceList read(const std::string& text) {
    return read_price_list(text, "prices.csv");
}

std::string fault_of(const std::string& text) {
    return message_of([&] { read(text); });
}

/// The description of a list's only item, whose line is "lamp,a," + field + ",each,1,0,no".
std::string description_of(const std::string& field) {
    const PriceList list = read(list_header + "lamp,a," + field + ",each,1,0,no\n");
    REQUIRE(list.items.size() == 1);
    return list.items[0].description;
}

} // namespace

TEST_CASE("each price list at fault gives its messages") {
    const std::vector<test::Case> cases =
        test::read_corpus(std::filesystem::path(DUSKCAST_TEST_DIR) / "cost" / "bad.corpus");
    CHECK(cases.size() > 30);
    for (const test::Case& one : cases) {
        CAPTURE(one.name);
        std::string given = "no error";
        try {
            read(one.text);
        } catch (const InputError& error) {
            given = test::print_all(error.problems(), {"prices.csv:"});
        }
        CHECK(given == one.messages);
        CHECK_FALSE(one.messages.empty());
    }
}

TEST_CASE("a price list is read to the cent") {
    const PriceList list = read(list_header + "currency,USD,,,,,\n"
                                              "Fixture,bullet,\"Bullet, brass\",Each,85.00,0.75,YES\n"
                                              "lamp,led,,each,18,0.05,no\n"
                                              "cable,12 AWG,,250 ft,170.5,4,yes\n"
                                              "cable,12awg,,500 ft,325,8,yes\n"
                                              "cable,10,,100 m,.99,1,yes\n"
                                              "connector,splice,,each,1.350,0.1,yes\n"
                                              "mount,spike,,each,0,0,yes\n"
                                              "hub,five,,each,,,yes\n"
                                              "transformer,300,,each,215,1,yes\n"
                                              "labour,,,hour,65,,no\n"
                                              "tax,,,percent,8.875,,\n"
                                              "markup,materials,,percent,40,,\n"
                                              "margin,labour,,percent,12.5,,\n"
                                              "waste,cable,,percent,5,,\n"
                                              "energy,,,kWh,0.162534,,\n");
    CHECK(list.currency == "USD");
    REQUIRE(list.items.size() == 9);
    CHECK(list.items[0] == PriceItem{ItemKind::fixture, "bullet", "Bullet, brass", 0, 8500, 7500, true});
    CHECK(list.items[1] == PriceItem{ItemKind::lamp, "led", "", 0, 1800, 500, false});
    CHECK(list.items[2].id == "12 AWG");
    CHECK(list.items[2].roll_length == doctest::Approx(76.2).epsilon(1e-12));
    CHECK(list.items[2].price == 17050);
    CHECK(list.items[3].id == "12 AWG");
    CHECK(list.items[3].roll_length == doctest::Approx(152.4).epsilon(1e-12));
    CHECK(list.items[4].id == "10 AWG");
    CHECK(list.items[4].roll_length == 100);
    CHECK(list.items[4].price == 99);
    CHECK(list.items[5].price == 135);
    CHECK(list.items[6].price == 0); // free, which is known
    CHECK(list.items[7].price == std::nullopt);
    CHECK(list.items[7].labour == std::nullopt);
    CHECK(list.items[8].id == "300 VA");
    CHECK(list.labour_rate == 6500);
    CHECK_FALSE(list.is_labour_taxed);
    CHECK(list.tax == 88750);
    CHECK(list.materials == Surcharge{Surcharge::Kind::markup, 400000});
    CHECK(list.labour == Surcharge{Surcharge::Kind::margin, 125000});
    CHECK(list.cable_waste == 50000);
    CHECK(list.energy_price == 162534);
}

TEST_CASE("what a list does not say is not known") {
    const PriceList list = read(list_header);
    CHECK(list.items.empty());
    CHECK(list.currency.empty());
    CHECK(list.labour_rate == std::nullopt);
    CHECK(list.tax == std::nullopt);
    CHECK(list.energy_price == std::nullopt);
    CHECK(list.materials.kind == Surcharge::Kind::none);
    CHECK(read(list_header + "labour,,,hour,,,yes\n").labour_rate == std::nullopt);
    CHECK(read(list_header + "labour,,,hour,,,yes\n").is_labour_taxed);
}

TEST_CASE("RFC 4180 section 2 rule by rule") {
    const std::string row = "lamp,a,one,each,1,0,no", second = "lamp,b,two,each,2,0,no";
    std::string head = list_header;
    head.pop_back();
    const PriceList wanted = read(head + "\r\n" + row + "\r\n" + second + "\r\n"); // rule 1: CR LF
    REQUIRE(wanted.items.size() == 2);
    CHECK(wanted.items[1].description == "two");
    CHECK(read(head + "\r\n" + row + "\r\n" + second) == wanted); // rule 2: no line end after the last
    // Rule 3, the header line, is required here. Rule 4: as many fields on each line, blanks belong to them.
    CHECK(fault_of(head + "\r\n" + row + ",\r\n").find("this line has 8 fields, the first line 7") !=
          std::string::npos);
    CHECK(description_of("one  two") == "one  two");
    CHECK(description_of("\"one\"") == "one");               // rule 5: quotes round a field
    CHECK(description_of("\"one, two\"") == "one, two");     // rule 6: with a comma
    CHECK(description_of("\"one\r\ntwo\"") == "one\r\ntwo"); // with a line's end
    CHECK(description_of("\"9\"\" stake\"") == "9\" stake"); // rule 7: a quote is written twice
    CHECK(description_of("\"\"\"\"") == "\"");
    CHECK(description_of("\"\"").empty());
    // Beyond the RFC, as files come: LF, CR, empty lines, a spreadsheet's rows of commas.
    CHECK(read(head + "\n" + row + "\n" + second + "\n") == wanted);
    CHECK(read(head + "\r" + row + "\r" + second + "\r") == wanted);
    CHECK(read("\n" + head + "\n\n" + row + "\n,,,,,,\n" + second + "\n\n") == wanted);
}

TEST_CASE("UTF-8 with and without a byte order mark is the same list") {
    const std::string text = list_header + "lamp,größe-µ,Strahler 36°,each,1,0,no\n";
    const PriceList list = read(text);
    REQUIRE(list.items.size() == 1);
    CHECK(list.items[0].description == "Strahler 36°");
    CHECK(read("\xEF\xBB\xBF" + text) == list);
}

TEST_CASE("other encodings are refused with what to do") {
    const std::string utf16 =
        "prices.csv: error: the file is UTF-16 text; save it as CSV with commas, in UTF-8";
    std::string little, big;
    for (const char c : list_header) {
        little += {c, '\0'};
        big += {'\0', c};
    }
    CHECK(fault_of("\xFF\xFE" + little) == utf16);
    CHECK(fault_of("\xFE\xFF" + big) == utf16);
    CHECK(fault_of(little) == utf16);
    CHECK(fault_of(big) == utf16);
    CHECK(fault_of(list_header + "lamp,a,36\xB0 LED,each,1,0,no\n") ==
          "prices.csv:2:10: error: the byte B0 is not UTF-8, in Latin-1 it is \"°\"; save it as CSV with "
          "commas, "
          "in UTF-8");
    CHECK(fault_of(list_header + "lamp,caf\xE9,,each,1,0,no\n") ==
          "prices.csv:2:9: error: the byte E9 is not UTF-8, in Latin-1 it is \"é\"; save it as CSV with "
          "commas, "
          "in UTF-8");
    CHECK(fault_of(list_header + "lamp,a,\x96,each,1,0,no\n") ==
          "prices.csv:2:8: error: the byte 96 is not UTF-8; save it as CSV with commas, in UTF-8");
    CHECK(fault_of("PK\x03\x04\x14") ==
          "prices.csv: error: this is a workbook, not text; save it as CSV with commas, in UTF-8");
    CHECK(fault_of(list_header + std::string("lamp,a,x\0y,each,1,0,no\n", 23)) ==
          "prices.csv:2:9: error: a control character stands here (byte 00); delete it");
    CHECK(fault_of(list_header + "lamp,a,\x1B[31m,each,1,0,no\n") ==
          "prices.csv:2:8: error: a control character stands here (byte 1B); delete it");
}

TEST_CASE("what only looks like UTF-8 is refused") {
    // RFC 3629: overlong forms, surrogates, more than U+10FFFF, cut short, a tail alone.
    for (const char* bytes :
         {"\xC0\xAF", "\xE0\x80\xAF", "\xF0\x80\x80\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80",
          "\xF5\x80\x80\x80", "\xC3,", "\xE2\x82,", "\xF0\x9F\x92,", "\x80"}) {
        CAPTURE(bytes);
        CHECK(fault_of(list_header + "lamp,a," + bytes + ",each,1,0,no\n").find("is not UTF-8") !=
              std::string::npos);
    }
    for (const char* bytes : {"\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xED\x9F\xBF", "\xEF\xBF\xBD",
                              "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"})
        CHECK(description_of(bytes) == bytes);
}

TEST_CASE("a line that never ends is refused and a long one read") {
    CHECK(fault_of(list_header + "lamp,a," + std::string(20'000, 'x') + ",each,1,0,no\n") ==
          "prices.csv:2: error: this line is longer than 10000 characters; a line holds one item");
    CHECK(fault_of(std::string(5'000'000, ',')).find("this line is longer than 10000 characters") !=
          std::string::npos);
    CHECK(description_of(std::string(9'000, 'x')).size() == 9'000);
}

TEST_CASE("cut anywhere a list is read or refused and never worse") {
    const std::string text =
        test::read_bytes(std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes" / "lamps" / "prices.csv");
    REQUIRE(text.size() > 1000);
    std::size_t read_count = 0, refused_count = 0;
    for (std::size_t length = 0; length < text.size(); ++length) {
        try {
            read(text.substr(0, length));
            ++read_count;
        } catch (const InputError& error) {
            CHECK_FALSE(error.problems().empty());
            ++refused_count;
        }
    }
    CHECK(refused_count > read_count);
    CHECK(read(text).items.size() == 40);
}

TEST_CASE("a file that cannot be read is named") {
    const test::Folder folder;
    const std::string missing = (folder / "none.csv").generic_string();
    CHECK(message_of([&] { read_price_list_file(missing); }) ==
          missing + ": error: the file cannot be read; check its name and folder");
    CHECK(message_of([&] { read_price_list_file(folder.path()); }) ==
          folder.path().generic_string() + ": error: the file cannot be read; check its name and folder");
    folder.write("prices.csv", list_header + "lamp,a,,each,1,0,no\r\n");
    CHECK(read_price_list_file(folder / "prices.csv").items.size() == 1);
}
