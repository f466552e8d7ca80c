// The text of a CSV file against RFC 4180, and what is no such text.

#include <doctest/doctest.h>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/random.hpp"
#include "message_of.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

std::vector<std::vector<std::string>> texts_of(const std::string& text) {
    std::vector<std::vector<std::string>> records;
    for (const CsvRecord& record : read_csv(text, "a.csv", "")) {
        records.emplace_back();
        for (const CsvField& field : record)
            records.back().push_back(field.text);
    }
    return records;
}

std::string fault_of(const std::string& text) {
    return message_of([&] { read_csv(text, "a.csv", "start with a line of heads"); });
}

using Records = std::vector<std::vector<std::string>>;

} // namespace

TEST_CASE("the examples of RFC 4180, section 2") {
    const Records rows{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}};
    CHECK(texts_of("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n") == rows);
    CHECK(texts_of("aaa,bbb,ccc\r\nzzz,yyy,xxx") == rows);
    CHECK(texts_of("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx") == rows);
    CHECK(texts_of("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx")[0][1] == "b\r\nbb");
    CHECK(texts_of("\"aaa\",\"b\"\"bb\",\"ccc\"")[0][1] == "b\"bb");
}

TEST_CASE("lines of other systems, marks, empty fields and empty lines") {
    const Records rows{{"a", ""}, {"", "b"}};
    for (const char* end : {"\n", "\r", "\r\n"})
        CHECK(texts_of(std::string("\xEF\xBB\xBF") + end + "a," + end + end + ",b" + end) == rows);
}

TEST_CASE("a field knows where it begins, in characters") {
    const std::vector<CsvRecord> records = read_csv("\u00e9t\u00e9,b\n\"x\ny\",z", "a.csv", "");
    CHECK(records[0][1].line == 1);
    CHECK(records[0][1].column == 5);
    CHECK(records[1][0].line == 2);
    CHECK(records[1][1].line == 3);
    CHECK(records[1][1].column == 4);
}

TEST_CASE("what is no CSV is refused at its place, with what to do") {
    CHECK(fault_of("\n\n") == "a.csv:1:1: error: there is nothing in this file; start with a line of heads");
    CHECK(fault_of("PK\x03\x04...") ==
          "a.csv: error: this is a workbook, not text; save it as CSV with commas, in UTF-8");
    for (const std::string& text : {std::string("\xFF\xFE"
                                                "a"),
                                    std::string("a\0b\0", 4)})
        CHECK(fault_of(text) ==
              "a.csv: error: the file is UTF-16 text; save it as CSV with commas, in UTF-8");
    CHECK(fault_of("a,\xE9") == "a.csv:1:3: error: the byte E9 is not UTF-8, in Latin-1 it is \"\u00e9\"; "
                                "save it as CSV with commas, in UTF-8");
    CHECK(fault_of("a,\x85") ==
          "a.csv:1:3: error: the byte 85 is not UTF-8; save it as CSV with commas, in UTF-8");
    CHECK(fault_of("a,b\x07") == "a.csv:1:4: error: a control character stands here (byte 07); delete it");
    CHECK(fault_of("a;b") == "a.csv:1: error: the fields of this line are separated by semicolons; "
                             "separate them by commas, and write decimals with a point");
    CHECK(fault_of("a\tb").find("separated by tabs") != std::string::npos);
    CHECK(fault_of("a,b\"c\"").starts_with("a.csv:1:4: error: a double quote stands inside a field"));
    CHECK(fault_of("a,\"b\"c").starts_with("a.csv:1:6: error: there is more text after"));
    CHECK(fault_of("a,b\nc,\"d\n").starts_with("a.csv:2:3: error: the double quote that begins this field"));
    CHECK(fault_of("a,\n" + std::string(10'001, 'x')) ==
          "a.csv:2: error: this line is longer than 10000 characters; a line holds one item");
}

TEST_CASE("what is printed as fields is read again as it was") {
    const std::vector<std::string> fields{"plain", "", "a,b", "say \"when\"", "two\nlines", "\"", "\u00e9"};
    std::string line;
    for (const std::string& field : fields)
        line += (line.empty() ? "" : ",") + print_csv_field(field);
    CHECK(texts_of(line) == Records{fields});
    CHECK(print_csv_field("plain") == "plain");
}

TEST_CASE("any table of texts is read as it was written, with any separator and line end") {
    Random random(5);
    const std::string letters = "ab,;\t\"\n\r \u00e9";
    for (int i = 0; i < 300; ++i) {
        CAPTURE(i);
        const auto some = [&](double most) { return static_cast<int>(random.uniform(1, most)); };
        Records records;
        std::string text;
        const int columns = 1 + some(5); // of one column, semicolons are taken for separators
        for (int row = some(5); row > 0; --row) {
            records.emplace_back();
            for (int column = 0; column < columns; ++column) {
                std::string field = column == 0 && row % 2 ? "\u00e9" : ""; // no line without a character
                for (int length = some(7) - 1; length > 0; --length)
                    field += letters[static_cast<std::size_t>(random.uniform(0, 9))];
                if (column == 0)
                    field += "x";
                text += (column > 0 ? "," : "") + print_csv_field(field);
                records.back().push_back(field);
            }
            text += i % 3 == 0 ? "\n" : i % 3 == 1 ? "\r\n" : "\r";
        }
        CHECK(texts_of(text) == records);
    }
}

TEST_CASE("what separates fields is seen in the first line that holds anything") {
    CHECK(find_csv_separator("a,b\nc;d") == ',');
    CHECK(find_csv_separator("\xEF\xBB\xBF\r\na;b\nc,d") == ';');
    CHECK(find_csv_separator("a\tb\r\n1,5\t2,5") == '\t');
    CHECK(find_csv_separator("one column\n1,5") == ',');
    CHECK(find_csv_separator("a;b,c") == ','); // a comma goes first
    CHECK(find_csv_separator("") == ',');
    CHECK(find_csv_separator("\"watts, of one\";lm\n") == ';'); // what stands in quotes parts nothing
    CHECK(find_csv_separator("\"say \"\"a,b\"\"\"\tlm\n1,5\t30") == '\t');
    CHECK(texts_of("\"watts; of one\"\n5\n") == Records{{"watts; of one"}, {"5"}});
    const std::vector<CsvRecord> records = read_csv("w;lm\n\"1,5\";30\n", "a.csv", "", ';');
    REQUIRE(records.size() == 2);
    CHECK(records[1][0].text == "1,5");
    CHECK(records[1][1].column == 7);
}
