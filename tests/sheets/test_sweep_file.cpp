// sweep.json and sweep.csv: written, read back, joined; parts at fault.

#include <algorithm>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "duskcast/base/problem.hpp"
#include "duskcast/sheets/sweep_file.hpp"
#include "message_of.hpp"

using namespace duskcast;
using duskcast::test::message_of;

namespace {

using Json = nlohmann::ordered_json;

/// Ten variants, five tilts by two lamps, with figures that print with many digits and some that are missing.
SweepFile make_whole() {
    SweepFile sweep;
    sweep.head = {.version = "1.0", .site = "House", .fixtures = {"U1"}, .target = "gable"};
    sweep.head.ranges = {{"tilt_deg", {0.0, 2.5, 5.0, 7.5, 10.0}}, {"lamp", {"a", "5 W, \"warm\""}}};
    const auto make_row = [](double seed) {
        WrittenFigures row;
        for (std::size_t i = 0; i + 1 < quantity_count; ++i) // none has a price
            row.values[i] = seed / 3 + static_cast<double>(i);
        row.targets = {
            {.id = "gable", .level_lx = 10, .mean_lx = seed / 7, .share = 1 / (seed + 1), .hot_lx = 100}};
        if (seed > 2)
            row.targets[0].mean_to_min = 1.1;
        row.reaches = {{.fixture = "U1", .on = "front", .level_lx = 10, .is_to_top = seed > 5}};
        if (seed > 1)
            row.reaches[0].height = seed;
        row.lumens_on = {seed, 0.1, 2, 3};
        return row;
    };
    sweep.head.as_drawn = make_row(0.5);
    for (int i = 0; i < 10; ++i)
        sweep.rows.push_back(make_row(i));
    return sweep;
}

SweepFile cut(const SweepFile& whole, const Part& part) {
    SweepFile made{.head = whole.head, .part = part};
    made.rows.assign(whole.rows.begin() + static_cast<std::ptrdiff_t>(part.first(10)),
                     whole.rows.begin() + static_cast<std::ptrdiff_t>(part.last(10)));
    return made;
}

std::vector<NamedSweepPart> make_parts(const std::vector<std::size_t>& numbers, std::size_t of) {
    std::vector<NamedSweepPart> parts;
    for (const std::size_t number : numbers) {
        const std::string file = "part" + std::to_string(number);
        parts.push_back({file, read_sweep_part(file, print_sweep_json(cut(make_whole(), {number, of})))});
    }
    return parts;
}

/// What reading the second of three parts says after a change to its JSON.
template <class Change> std::string broken(Change change) {
    Json document = Json::parse(print_sweep_json(cut(make_whole(), {2, 3})));
    change(document);
    std::string message = message_of([&] { read_sweep_part("p", document.dump()); });
    const std::string remedy = "; give the sweep.json of every part";
    if (message.ends_with(remedy))
        message.erase(message.size() - remedy.size());
    return message;
}

} // namespace

TEST_CASE("parts in any order join to the bytes of a single run") {
    const SweepFile whole = make_whole();
    for (const std::size_t of : {2, 3, 4, 7, 12}) { // of twelve parts some are empty
        std::vector<std::size_t> numbers;
        for (std::size_t i = 0; i < of; ++i)
            numbers.push_back((i * 5 + 2) % of + 1);
        std::sort(numbers.begin(), numbers.end(), std::greater<>());
        const SweepFile merged = merge_sweeps(make_parts(numbers, of));
        CHECK(print_sweep_json(merged) == print_sweep_json(whole));
        CHECK(print_sweep_csv(merged) == print_sweep_csv(whole));
    }
}

TEST_CASE("a row of the table is a variant, quoted where it has to be") {
    // RFC 4180: a field with a comma or a quotation mark is quoted, the mark doubled.
    const std::string csv = print_sweep_csv(make_whole());
    CHECK(csv.starts_with(
        "variant,tilt_deg,lamp,reach,coverage,mean,evenness,hot_spot,spill,lumens,watts,price,"
        "gable.coverage,gable.mean_lx\n0,0.0,a,0.0,1.0,"));
    CHECK(csv.find("\n3,2.5,\"5 W, \"\"warm\"\"\",1.0,2.0,") != std::string::npos);
    CHECK(csv.find(",,0.5,") != std::string::npos); // variant 1: no price, covered 1 / 2
    CHECK(std::count(csv.begin(), csv.end(), '\n') == 11);
    SweepFile odd = make_whole();
    odd.head.as_drawn.targets[0].id = "a,b";
    CHECK(print_sweep_csv(odd).find(",\"a,b.coverage\",\"a,b.mean_lx\"\n") != std::string::npos);
}

TEST_CASE("one variant a line") {
    const std::string json = print_sweep_json(make_whole());
    const Json document = Json::parse(json);
    REQUIRE(document["variants"].size() == 10);
    for (const Json& one : document["variants"])
        CHECK(json.find("\n    " + one.dump()) != std::string::npos);
    CHECK(document["variants"][4]["tilt_deg"] == 5.0);
    CHECK(document["variants"][4]["lamp"] == "a");
    CHECK(document["variants"][4]["price"].is_null());
    CHECK(!document.contains("part"));
}

TEST_CASE("parts that do not belong together") {
    const auto message = [](std::vector<NamedSweepPart> parts) {
        return message_of([&] { merge_sweeps(std::move(parts)); });
    };
    CHECK(message(make_parts({3, 1, 4}, 4)) == "part3: error: part 2 of 4 is missing; give every part");
    CHECK(message(make_parts({1, 2, 3}, 4)) == "part3: error: part 4 of 4 is missing; give every part");
    CHECK(message(make_parts({1, 2, 2}, 2)) ==
          "part2: error: part 2 is given twice, also as part2; give each part once");
    std::vector<NamedSweepPart> mixed = make_parts({1, 2}, 2);
    mixed[1].sweep.part.of = 3;
    CHECK(message(mixed) == "part2: error: this is one of 3 parts, part1 is one of 2; give parts of one run");
    for (const int change : {0, 1, 2, 3}) {
        mixed = make_parts({1, 2}, 2);
        SweepHead& head = mixed[1].sweep.head;
        if (change == 0)
            head.site = "Other";
        else if (change == 1)
            head.ranges[0].values[1] = 3.0;
        else if (change == 2)
            head.as_drawn.lumens_on[0] += 1e-9;
        else
            head.version = "2.0";
        CHECK(message(mixed) ==
              "part2: error: this is a part of another study than part1; give parts of one run");
    }
    CHECK(message({}) == "error: there are no parts to join; give every part");
}

TEST_CASE("what is no part of a sweep") {
    const auto message = [](const std::string& text) {
        return message_of([&] { read_sweep_part("p", text); });
    };
    const std::string give = "; give the sweep.json of every part";
    CHECK(message("") == "p:1:1: error: this is no JSON" + give);
    CHECK(message("{\n  \"a\": nope }") == "p:2:9: error: this is no JSON" + give);
    // Beyond what a double holds: 1.8e308.
    CHECK(message("{\"site\": \"1e999\",\n  \"part\": 1e999}") ==
          "p:2:11: error: the number 1e999 is too large" + give);
    CHECK(message("[-2e308]") == "p:1:2: error: the number -2e308 is too large" + give);
    CHECK(message(std::string(200'000, '[')) ==
          "p: error: its brackets are nested deeper than those of a study" + give);
    CHECK(message(std::string(10, '[') + std::string(10, ']')) ==
          "p: error: its brackets are nested deeper than those of a study" + give);
    for (const char* text : {"[]", "3", "null", "{}", R"({"variants":[{}],"ranges":[]})"})
        CHECK(message(text) == "p: error: this is not the result of a study" + give);
    CHECK(message(R"({"study":"compare"})") ==
          "p: error: this is the result of another study, \"compare\"" + give);
    CHECK(message(R"({"study":3})") == "p: study: error: must be a string" + give);
    CHECK(message(print_sweep_json(make_whole())) ==
          "p: error: this is a whole study, not a part of one; run its parts with --part K/N");
}

TEST_CASE("parts that print_sweep_json would not have written") {
    CHECK(broken([](Json&) {}) == "no error");
    const std::vector<std::string> keys{"duskcast", "site",  "fixtures", "target",
                                        "ranges",   "units", "as_drawn", "variants"};
    for (const std::string& key : keys) {
        CHECK(broken([&](Json& d) { d.erase(key); }) == "p: " + key + ": error: is missing");
        CHECK(broken([&](Json& d) { d[key] = 7; }).starts_with("p: " + key + ": error: must be "));
    }
    CHECK(broken([](Json& d) { d["more"] = 1; }) == "p: more: error: is not a key of a sweep");
    CHECK(broken([](Json& d) { d["ranges"] = Json::array(); }) ==
          "p: ranges: error: a sweep has one or two ranges, this has 0");
    CHECK(broken([](Json& d) { d["ranges"][0] = Json::object(); }) == "p: ranges[0].key: error: is missing");
    CHECK(broken([](Json& d) { d["ranges"][0]["key"] = "tilt"; }) ==
          "p: ranges[0].key: error: there is no setting \"tilt\"");
    CHECK(broken([](Json& d) { d["ranges"][0]["values"][2] = "x"; }) ==
          "p: ranges[0].values[2]: error: must be a number");
    CHECK(broken([](Json& d) { d["ranges"][1]["values"][0] = 3; }) ==
          "p: ranges[1].values[0]: error: must be a string");
    CHECK(broken([](Json& d) { d["ranges"][1]["values"] = Json::array(); }) ==
          "p: ranges[1].values: error: is empty");
    CHECK(broken([](Json& d) { d["ranges"][1] = d["ranges"][0]; }) ==
          "p: ranges: error: tilt_deg is varied twice");
    for (const auto& part : {std::pair(0, 3), std::pair(4, 3), std::pair(1, 0)})
        CHECK(broken([&](Json& d) {
                  d["part"] = {{"number", part.first}, {"of", part.second}};
              }) == "p: part: error: there is no part " + std::to_string(part.first) + " of " +
                        std::to_string(part.second));
    CHECK(broken([](Json& d) { d["part"]["number"] = -1; }) ==
          "p: part.number: error: must be a whole number");
    CHECK(broken([](Json& d) { d["as_drawn"]["targets"][0] = Json::object(); }) ==
          "p: as_drawn.targets[0].id: error: is missing");
    CHECK(broken([](Json& d) { d["as_drawn"]["lumens_on"]["sky"] = nullptr; }) ==
          "p: as_drawn.lumens_on.sky: error: must be a number");
    CHECK(broken([](Json& d) { d["variants"][1]["reach"] = "high"; }) ==
          "p: variants[1].reach: error: must be a number");
    CHECK(broken([](Json& d) { d["variants"][1].erase("reach"); }) ==
          "p: variants[1].reach: error: is missing");
    CHECK(broken([](Json& d) { d["variants"][0]["targets"][0]["reached"] = 1; }) ==
          "p: variants[0].targets[0].reached: error: must be true or false");
    CHECK(broken([](Json& d) { d["variants"][0]["targets"][0]["id"] = "other"; }) ==
          "p: variants[0].targets: error: are not the targets of \"as_drawn\"; run the part again");
    CHECK(broken([](Json& d) { d["variants"][2]["lamp"] = "b"; }) ==
          "p: variants[2].lamp: error: is not the value that \"ranges\" has for this variant; run the part "
          "again");
}

TEST_CASE("rows missing, doubled, reversed or too many") {
    const std::string order = "; rows may not be missing, doubled or out of order; run the part again";
    // The second of three parts of ten variants has 3, 4 and 5.
    CHECK(broken([](Json& d) { d["variants"].erase(1); }) ==
          "p: variants[1]: error: this is variant 5 where variant 4 belongs" + order);
    CHECK(broken([](Json& d) { d["variants"].erase(2); }) ==
          "p: variants: error: there are 2 variants, part 2 of 3 has 3; run the part again");
    CHECK(broken([](Json& d) { d["variants"].insert(d["variants"].begin(), Json(d["variants"][0])); }) ==
          "p: variants[1]: error: this is variant 3 where variant 4 belongs" + order);
    CHECK(broken([](Json& d) { std::swap(d["variants"][0], d["variants"][2]); }) ==
          "p: variants[0]: error: this is variant 5 where variant 3 belongs" + order);
    CHECK(broken([](Json& d) { d["variants"].push_back(Json(d["variants"][2])); }) ==
          "p: variants[3]: error: there are more variants than this part has; run the part again");
}
