// What answers say, beside the rooms below asked directly and sums by hand.

#include <algorithm>
#include <cmath>
#include <limits>

#include "../../src/app/answers.hpp"
#include "desk.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/power/load.hpp"
#include "duskcast/sheets/lux_scale.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;
using duskcast::test::Desk;

namespace {

Json fed_garden() {
    Json site = test::make_garden();
    site["network"] = Json::parse(R"({"transformers": [{"id": "T", "at": [-2, -2], "va": 150}],
        "runs": [{"id": "front", "gauge": 12, "fixtures": ["U1", "U2"]},
                 {"id": "tree", "gauge": 12, "fixtures": ["T1"]}]})");
    return site;
}

/// The garden with one lamp more that is switched off, settled once for all cases that ask about its light.
Desk& settled_desk() {
    static Desk desk;
    static const bool is_open = [&] {
        Json site = test::make_garden();
        site["fixtures"].push_back(site["fixtures"][0]);
        site["fixtures"][3]["id"] = "dark";
        site["fixtures"][3]["dimming"] = 0;
        return desk.change(site)["is_accepted"] == true;
    }();
    REQUIRE(is_open);
    return desk;
}

bool has_part(const Json& list, const std::string& part) {
    return std::any_of(list.begin(), list.end(), [&](const Json& one) {
        return one.get<std::string>().find(part) != std::string::npos;
    });
}

} // namespace

TEST_CASE("a place in a site file is a pointer as RFC 6901 writes it") {
    struct Row {
        const char *path, *pointer;
    };
    for (const Row& row : {Row{"fixtures[2].tilt", "/fixtures/2/tilt"}, Row{"name", "/name"}, Row{"", ""},
                           Row{"ground.areas[0].outline[3][1]", "/ground/areas/0/outline/3/1"}, Row{"-", ""},
                           Row{"a~b", "/a~0b"}, Row{"a/b", "/a~1b"}, Row{"x~1.y/z", "/x~01/y~1z"}}) {
        CHECK(pointer_of(row.path) == row.pointer);
        // What the JSON library makes of it has the same steps (another reader of RFC 6901).
        CHECK_NOTHROW(Json::json_pointer(row.pointer));
    }
    const Json site = test::make_garden();
    CHECK(site.at(Json::json_pointer(pointer_of("walls[0].gables[0].peak"))) == "16 ft");
}

TEST_CASE("numbers that JSON does not know are null") {
    CHECK(number(1.5) == 1.5);
    CHECK(number(std::numeric_limits<double>::infinity()).is_null());
    CHECK(number(std::nan("")).is_null());
    CHECK(number(std::optional<double>()).is_null());
    CHECK(number(std::optional<double>(-2)) == -2);
}

TEST_CASE("problems are told with their file as the site names it") {
    Problem problem{.severity = Severity::warning, .what = "what", .remedy = "do"};
    problem.place = {.file = "/yard/site/lamps/a.ies", .line = 3, .column = 7, .path = "lamps[1].file"};
    Problem other{.what = "bad"};
    other.place.file = "/yard/shared.json";
    const Json list = list_problems({problem, other}, "/yard/site");
    CHECK(list[0] == Json{{"severity", "warning"},
                          {"message", "what"},
                          {"remedy", "do"},
                          {"pointer", "/lamps/1/file"},
                          {"file", "lamps/a.ies"},
                          {"line", 3},
                          {"column", 7}});
    CHECK(list[1]["severity"] == "error");
    CHECK(list[1]["file"] == "../shared.json");
}

TEST_CASE("a question's value is its own, or the usual one where it says nothing or null") {
    const Json question = {{"watts", 5}, {"name", nullptr}, {"is_on", true}};
    CHECK(value_of(question, "watts", 1.0) == 5);
    CHECK(value_of(question, "volts", 12.0) == 12);
    CHECK(value_of<std::string>(question, "name", "usual") == "usual");
    CHECK(value_of(question, "is_on", false));
    CHECK(number_of(question, "watts") == 5.0);
    CHECK(!number_of(question, "name"));
    CHECK(!number_of(question, "volts"));
}

TEST_CASE("a load's volts, runs and cables are those of the room that works them out") {
    Desk desk;
    const Json site = fed_garden();
    REQUIRE(desk.change(site)["is_accepted"] == true);
    const Json load = desk.ask({{"ask", "load"}});
    const Site read = read_site(test::text_of(site), "p.site.json").site;
    const LoadReport report = measure_load(read, ".", {});
    const Json& figures = load["figures"];
    REQUIRE(figures["fixtures"].size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
        const Json& one = figures["fixtures"][i];
        CHECK(one["id"] == report.fixtures[i].id);
        CHECK(one["volts"].get<double>() == report.fixtures[i].volts);
        CHECK(one["run"] == (i < 2 ? "front" : "tree"));
        CHECK(one["state"] == "good");
        // Ohm: a lamp's watts are its volts times amps where it draws no reactive power.
        CHECK(one["watts"].get<double>() <= one["volts"].get<double>() * one["amps"].get<double>() * 1.0001);
    }
    double drawn = 0;
    for (const Json& run : figures["runs"]) {
        double length = 0, last_end = run["tap"].get<double>();
        for (const Json& cable : run["cables"]) {
            if (cable["part"] != "lead")
                length += cable["length"].get<double>();
            CHECK(cable["course"].size() >= 2);
            CHECK(cable["end_volts"].get<double>() < run["tap"].get<double>());
            if (cable["part"] == "cable") { // a chain: volts fall along it
                CHECK(cable["end_volts"].get<double>() <= last_end);
                last_end = cable["end_volts"].get<double>();
            }
        }
        CHECK(run["length"].get<double>() == doctest::Approx(length));
        CHECK(run["least_volts"].get<double>() <= run["most_volts"].get<double>());
        CHECK(run["is_good"] == true);
        drawn += run["tap"].get<double>() * run["amps"].get<double>();
    }
    const Json& transformer = figures["transformers"][0];
    CHECK(transformer["volt_amperes"].get<double>() == doctest::Approx(drawn).epsilon(1e-6));
    CHECK(transformer["rating"] == 150);
    CHECK(transformer["is_good"] == true);
    CHECK(!load["verdict"].empty());
    CHECK(load["problems"].empty());
    CHECK(load["network"] == "");
}

TEST_CASE("prices, hours and nights of a question go into the sum and the energy") {
    Desk desk;
    desk.change(fed_garden());
    // Everything free but lamps and labour, which the list does not tax.
    desk.put("p.csv",
             "kind,id,description,unit,price,labour_hours,taxed\ncurrency,EUR,,,,,\n"
             "fixture,uplight,,each,0,0,no\nlamp,usual,,each,10,0,no\nlamp,narrow,,each,20,0,no\n"
             "cable,12 AWG,,100 ft,0,0,no\ncable,18 AWG,,100 ft,0,0,no\nconnector,c,,each,0,0,no\n"
             "mount,spike,,each,0,0,no\nmount,surface,,each,0,0,no\ntransformer,150 VA,,each,0,0,no\n"
             "labour,,,hour,50,,no\nenergy,,,kWh,0.5,,\n");
    const auto load = [&](Json question) {
        question["ask"] = "load";
        question["prices"] = "p.csv";
        return desk.ask(question);
    };
    const Json usual = load(Json::object());
    REQUIRE_MESSAGE(usual["problems"].empty(), usual["problems"].dump());
    CHECK(usual["total_words"] == "40.00 EUR"); // two of 10 and one of 20
    CHECK(load({{"labour_hours", 2.5}})["total_words"] == "165.00 EUR");
    CHECK(!usual["take_off"].empty());
    CHECK(usual["take_off_csv"].get<std::string>().find("usual") != std::string::npos);
    const auto energy = [&](Json question) {
        const std::string words = load(std::move(question))["energy"].get<std::string>();
        return std::stod(words.substr(words.find(": ") + 2)); // "13 W for 4 h on 360 nights: 18.7 kWh a year"
    };
    // Twice the hours or half the nights: twice or half the kilowatt hours, to the digits that are printed.
    const double whole = energy({{"hours_a_night", 4}, {"nights", 360}});
    CHECK(whole > 0);
    CHECK(energy({{"hours_a_night", 8}, {"nights", 360}}) == doctest::Approx(2 * whole).epsilon(0.02));
    CHECK(energy({{"hours_a_night", 4}, {"nights", 180}}) == doctest::Approx(whole / 2).epsilon(0.02));
    const Json lost = desk.ask({{"ask", "load"}, {"prices", "gone.csv"}});
    CHECK(!lost["problems"].empty());
    CHECK(lost["figures"].is_object()); // volts are told without prices
    CHECK(lost["total_words"] == "");
}

TEST_CASE("an overloaded run comes with advice whose network mends it") {
    Desk desk;
    Json site = fed_garden();
    // 2 x 20 W behind 280 ft of 12 AWG, 1.6 ohm / 1000 ft a conductor: 3.3 A x 0.9 ohm = 3 V, and more as the
    // lamps draw more at fewer volts.
    site["lamps"][1]["watts"] = 20;
    site["network"]["transformers"][0]["taps"] = {12, 13, 14, 15};
    site["network"]["transformers"][0]["at"] = {-280, -2};
    desk.change(site);
    const Json load = desk.ask({{"ask", "load"}});
    CHECK(load["figures"]["runs"][0]["is_good"] == false);
    REQUIRE(!load["advice"].empty());
    const auto enough = std::find_if(load["advice"].begin(), load["advice"].end(),
                                     [](const Json& advice) { return advice["is_enough"] == true; });
    REQUIRE(enough != load["advice"].end());
    site["network"] = Json::parse((*enough)["network"].get<std::string>())["network"];
    const Json mended = desk.change(site);
    REQUIRE_MESSAGE(mended["is_accepted"] == true, mended["problems"].dump());
    for (const Json& run : desk.ask({{"ask", "load"}})["figures"]["runs"])
        CHECK(run["is_good"] == true);
}

TEST_CASE("the report's figures agree with its sentences, its table and the summary file") {
    const Json report = settled_desk().ask({{"ask", "report"}});
    const Json summary = Json::parse(report["summary"].get<std::string>());
    CHECK(report["targets"][0]["share"].get<double>() ==
          doctest::Approx(summary["targets"][0]["coverage"].get<double>()));
    for (const Json& target : report["targets"]) {
        CHECK((target["share"].get<double>() >= target["wanted_share"].get<double>()) ==
              target["is_reached"]);
        const std::string id = target["id"].get<std::string>();
        CHECK(std::any_of(report["sentences"].begin(), report["sentences"].end(),
                          [&](const Json& one) { return one["target"] == id; }));
    }
    for (const Json& reach : report["reaches"]) {
        double before = 1e9;
        for (const Json& level : reach["levels"]) { // a higher level carries less high
            const double height = level["height"].is_null() ? 0 : level["height"].get<double>();
            CHECK(height <= before + 1e-9);
            CHECK(height <= level["top"].get<double>() + 1e-9);
            before = height;
        }
        if (reach["fixture"] == "dark")
            continue;
        for (std::size_t i = 0; i < reach["levels"].size(); ++i) // all fixtures give at least as much as one
            if (!reach["levels"][i]["height"].is_null())
                CHECK(reach["together"][i]["height"].get<double>() >=
                      reach["levels"][i]["height"].get<double>() - 1e-9);
    }
    CHECK(has_part(report["table"], "front"));
    CHECK(report["stray"].empty()); // the site names no zone
    CHECK(report["season"].is_string());
}

TEST_CASE("who gives a target its light, and who could go") {
    const Json shares = settled_desk().ask({{"ask", "contributions"}});
    REQUIRE(shares["targets"].size() == 2);
    const auto share_of = [&](std::size_t target, const std::string& id) {
        for (const Json& one : shares["targets"][target]["fixtures"])
            if (one["fixture"] == id)
                return one["of_light"].get<double>();
        return 0.0;
    };
    CHECK(share_of(0, "U1") > share_of(0, "T1")); // the wall's lamp gives the wall more than the tree's does
    CHECK(share_of(1, "T1") > 0.9);
    CHECK(share_of(0, "dark") == 0);
    CHECK(std::find(shares["needless"].begin(), shares["needless"].end(), "dark") !=
          shares["needless"].end());
}

TEST_CASE("a view's camera may be the page's own, by day or night, brighter by its exposure") {
    Desk& desk = settled_desk();
    const auto mean = [&](Json question) {
        question.update({{"ask", "view"}, {"width", 32}, {"height", 20}});
        const Json view = desk.ask(question);
        REQUIRE_MESSAGE(!view.contains("fault"), view.dump());
        CHECK(view["width"] == 32);
        const std::vector<std::uint8_t>& rgba = desk.block<std::uint8_t>(view["rgba"]);
        REQUIRE(rgba.size() == 4 * 32 * 20);
        double sum = 0;
        for (std::size_t i = 0; i < rgba.size(); ++i) {
            if (i % 4 == 3)
                CHECK(rgba[i] == 255);
            else
                sum += rgba[i];
        }
        return sum / (3 * 32 * 20);
    };
    const Json eye = {10 * 0.3048, -40 * 0.3048, 5.5 * 0.3048}, at = {10 * 0.3048, 0, 6 * 0.3048};
    const double named = mean({{"view", "street"}}),
                 own = mean({{"eye", eye}, {"look_at", at}, {"field_of_view", radians_from_degrees(50)}});
    CHECK(own == doctest::Approx(named).epsilon(1e-6));
    CHECK(mean({{"view", "street"}, {"exposure", 2}}) > named);
    CHECK(mean({{"view", "street"}, {"look", "day"}}) > 2 * named);
    const Json below =
        desk.ask({{"ask", "view"}, {"eye", {0, -5, -3}}, {"look_at", at}, {"width", 32}, {"height", 20}});
    CHECK(below["fault"][0]["message"].get<std::string>().find("ground") != std::string::npos);
}

TEST_CASE("the scale's ticks, ends and colours are the plates'") {
    Desk desk;
    const Json scale = desk.ask({{"ask", "scale"}});
    CHECK(scale["least_lx"] == scale_low_lx);
    CHECK(scale["most_lx"] == scale_high_lx);
    for (const auto& [key, unit] :
         {std::pair("ticks", LightUnit::footcandle), {"ticks_metric", LightUnit::lux}}) {
        double before = 0;
        for (const Json& tick : scale[key]) {
            const double lux = tick["lx"].get<double>();
            std::string words = tick["words"].get<std::string>();
            std::erase(words, ',');
            CHECK(std::stod(words) * lux_per(unit) == doctest::Approx(lux));
            CHECK(lux > before);
            CHECK(lux >= scale_low_lx * 0.999);
            CHECK(lux <= scale_high_lx * 1.001);
            before = lux;
        }
    }
    // The night's tone never darkens with more light, in any lamp's colour.
    const std::vector<std::uint8_t>& tones = desk.block<std::uint8_t>(scale["night"]["colours"]);
    REQUIRE(tones.size() == 4 * 256 * 3);
    for (std::size_t ramp = 0; ramp < 4; ++ramp)
        for (std::size_t i = 1; i < 256; ++i)
            CHECK(tones[3 * (256 * ramp + i) + 1] + 1 >= tones[3 * (256 * ramp + i - 1) + 1]);
}

TEST_CASE("looks: a variant's fixtures, a bare winter and years to come") {
    Desk desk;
    const Json site = test::make_garden();
    const Json few = desk.change(site, {{"variant", "few"}});
    REQUIRE(few["is_accepted"] == true);
    CHECK(few["fixtures"].size() == 2);
    CHECK(few["fixtures"][1]["id"] == "T1");
    CHECK(few["fixtures"][1]["pointer"] == "/fixtures/2"); // its place in the file, not in the variant
    const Json bare = desk.change(site, {{"season", "bare"}});
    CHECK(bare["is_accepted"] == true);
    CHECK(bare["is_stage_new"] == true);
    CHECK(bare["fixtures"].size() == 3);
    const Json refused = desk.change(site, {{"season", "spring"}});
    CHECK(refused.contains("fault"));
    Json grown = site;
    grown["trees"][0]["growth"] = {{"height", "1 ft"}, {"width", "6 in"}};
    const auto height = [&](int years) {
        const Json changed = desk.change(grown, {{"years_on", years}});
        REQUIRE_MESSAGE(changed["is_accepted"] == true, changed.dump());
        return desk.ask({{"ask", "scene"}})["plan"]["trees"][0]["height"].get<double>();
    };
    CHECK(height(5) - height(0) == doctest::Approx(5 * 0.3048));
}
