// Every sentence and figure of a load in words and JSON, worked by hand from one row of lamps.

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "../cable_line.hpp"
#include "duskcast/power/wired_light.hpp"
#include "duskcast/sheets/load_words.hpp"

using namespace duskcast;
using namespace duskcast::tests;
using Json = nlohmann::ordered_json;
using Lines = std::vector<std::string>;

namespace {

/// Four lamps of 20 W / 12 V, constant current, every 20 ft of 12 AWG (NEC table 8, 1.98 ohm / 1000 ft): each
/// takes 1.6667 A, a gap has 0.0792 ohm and an amp of one lamp drops 0.132 V in it. 12 V less 4, 3, 2 and
/// 1 times that: 11.472, 11.076, 10.812, 10.680 V. The lamps take 1.6667 A x 44.04 V = 73.4 W of 80 W.
Site make_row_of_four(double low_volts, double high_volts, double rating = 300) {
    return make_line(4, 20,
                     {.id = "lamp",
                      .watts = 20,
                      .draw = Draw::current,
                      .operating_volts = std::array{low_volts, high_volts}},
                     rating);
}

Lines verdict_of(const Site& site) {
    return print_load_verdict(measure_load(site, {}, by_nec), LengthUnit::foot);
}

bool has(const Lines& lines, const std::string& wanted) {
    const bool is_there = std::find(lines.begin(), lines.end(), wanted) != lines.end();
    if (!is_there)
        for (const std::string& line : lines)
            MESSAGE(line);
    return is_there;
}

/// Whether one of the lines has the words in it.
bool mentions(const Lines& lines, const std::string& words) {
    const bool is_there = std::any_of(lines.begin(), lines.end(), [&](const std::string& line) {
        return line.find(words) != std::string::npos;
    });
    if (!is_there)
        for (const std::string& line : lines)
            MESSAGE(line);
    return is_there;
}

std::string joined(const Lines& lines) {
    std::string text;
    for (const std::string& line : lines)
        text += line + "\n";
    return text;
}

} // namespace

TEST_CASE("the table of a load") {
    // Lost 80 - 73.4 = 6.6 W. The trade: 80 W x 80 ft / 7500 = 0.85 V. 80 VA are 27 % of 300.
    CHECK(joined(print_load_table(measure_load(make_row_of_four(10, 13), {}, by_nec), LengthUnit::foot)) ==
          R"(fixture      run         cable   volts    amps   watts   operating range
F1           line        20 ft   11.47   1.667   19.12   good  10-13
F2           line        40 ft   11.08   1.667   18.46   good  10-13
F3           line        60 ft   10.81   1.667   18.02   good  10-13
F4           line        80 ft   10.68   1.667   17.80   good  10-13

run     layout         gauge    tap    cable    leads  lamps   watts    amps    drop    lost  trade drop
line    daisy-chain   12 AWG   12 V    80 ft     0 ft      4    73.4    6.67  1.32 V   6.6 W      0.85 V

transformer     rating     load   share   secondary amps
T1              300 VA    80 VA    27 %   6.67 of 25
Trade drop is watts x feet / the trade's constant, for comparison: it leaves the return wire out and is not used.
)");
}

TEST_CASE("the table of a run without operating point has dashes") {
    Site site = make_line(1, 100, {.id = "big", .watts = 200});
    site.network->runs[0].id = "a long name";
    CHECK(joined(print_load_table(measure_load(site, {}, by_nec), LengthUnit::metre)) ==
          R"(fixture      run              cable   volts    amps   watts   operating range
F1           a long name     30.5 m       -       -       -   -     9-15

run          layout         gauge    tap    cable    leads  lamps   watts    amps    drop    lost  trade drop
a long name  daisy-chain   12 AWG   12 V   30.5 m    0.0 m      1   200.0       -       -       -      2.67 V

transformer     rating     load   share   secondary amps
T1              300 VA   200 VA    67 %   16.67 of 25
Trade drop is watts x feet / the trade's constant, for comparison: it leaves the return wire out and is not used.
)");
}

TEST_CASE("the verdict on a load that works") {
    CHECK(joined(verdict_of(make_row_of_four(10, 13))) ==
          "This works: 4 of 4 lamps are within their operating range, 10.68 to 11.47 V.\n"
          "Run line: the drop is 1.32 V at most, 11 % of the 12 V tap: more than the customary 10 %. F4 gets "
          "10.68 V and works from 10 V (its lamp's own figure). Lamps along the run may differ in brightness "
          "unless "
          "their drivers regulate.\n"
          "Transformer T1 gives 80 VA, 27 % of its 300 VA; customary is 80 % at most (240 VA).\n"
          "Cable with slack and leads: 80 ft of 12 AWG.\n");
    // The first lamp alone takes 1.67 A over 20 ft: a drop of 0.13 V.
    const Site row = make_row_of_four(10, 13);
    Site nearest = row;
    nearest.fixtures.resize(1);
    nearest.network->runs[0].fixtures.resize(1);
    CHECK(mentions(verdict_of(nearest), "Run line: voltage drop is no concern. It is 0.1"));
    CHECK(mentions(verdict_of(nearest), "and works from 10 V (its lamp's own figure)."));
    nearest.lamps[0].operating_volts = std::array{11.8, 13.0};
    CHECK(mentions(verdict_of(nearest),
                   "Run line: all its lamps are within their operating range, F1 by only 0."));
    nearest.lamps[0].operating_volts.reset();
    CHECK(mentions(verdict_of(nearest), "(assumed: its lamp gives no range)."));
    Site far = row;
    far.lamps[0].operating_volts.reset(); // 9 to 15 V are assumed of LEDs
    CHECK(mentions(verdict_of(far),
                   "Check the lamp's data sheet: what is not made for it will be dim or flicker."));
    Site one = make_row_of_four(10, 13);
    one.fixtures.resize(1);
    one.network->runs[0].fixtures.resize(1);
    one.network->runs[0].lead = 3.01 * metres_per_foot;
    const Lines lines = verdict_of(one);
    CHECK(lines[0].starts_with("This works: 1 of 1 lamp is within its operating range, "));
    CHECK(has(lines, "Cable with slack and leads: 4 ft of 18 AWG, 20 ft of 12 AWG."));
}

TEST_CASE("lamps outside their operating range are counted and the worst is named") {
    Lines lines = verdict_of(make_row_of_four(10.7, 13));
    CHECK(lines[0] ==
          "This does not work yet: 3 of 4 lamps are within their operating range, 10.68 to 11.47 V.");
    CHECK(lines[1] ==
          "Run line: 1 of 4 lamps is below its operating range; the worst, F4, gets 10.68 V and its "
          "range begins at 10.7 V.");
    lines = verdict_of(make_row_of_four(11, 13));
    CHECK(lines[1] ==
          "Run line: 2 of 4 lamps are below their operating range; the worst, F4, gets 10.68 V and "
          "its range begins at 11 V.");
    lines = verdict_of(make_row_of_four(9, 11));
    CHECK(lines[1] ==
          "Run line: 2 of 4 lamps are above their operating range; the worst, F1, gets 11.47 V and "
          "its range ends at 11 V.");
    lines = verdict_of(make_row_of_four(9, 11.2));
    CHECK(lines[1] ==
          "Run line: 1 of 4 lamps is above its operating range; the worst, F1, gets 11.47 V and its "
          "range ends at 11.2 V.");
}

TEST_CASE("a run without operating point, and what the lamps take beside their boxes") {
    // 200 W behind 0.396 ohm: E^2 / (4 R) = 90.9 W is the most, 45 %.
    Site site = make_line(1, 100, {.id = "big", .watts = 160});
    site.lamps[0].measured_watts = 200;
    const Lines lines = verdict_of(site);
    CHECK(lines[0] == "This does not work yet: 0 of 1 lamp is within its operating range.");
    CHECK(lines[1] ==
          "Run line has no operating point: its lamps ask for 200 W at the 12 V tap and the cable can "
          "bring them 45 % of that, 90.9 W. They will not start, or will flicker and drop out.");
    CHECK(has(lines, "Measured, the lamps take 200 W where their boxes say 160 W (125 %)."));
    CHECK(has(lines,
              "Transformer T1 would have to give about 200 VA, 67 % of its 300 VA; customary is 80 % at "
              "most (240 VA)."));
}

TEST_CASE("a hub is said with the leads that part there") {
    // Lamps at 20, 40, 60 and 80 ft of a line, the hub at 50 ft.
    Site site = make_row_of_four(8, 13);
    CableRun& run = site.network->runs[0];
    site.network->hubs = {{"H1", {50 * metres_per_foot, 0}}};
    run.layout = RunLayout::hub;
    run.hub = "H1";
    CHECK(
        has(verdict_of(site),
            "Run line: a cable to the hub, and from there a lead of 10 ft to 30 ft to each of its 4 lamps."));
    run.fixtures.resize(2);
    site.fixtures.resize(2);
    site.network->hubs[0].at.x = 30 * metres_per_foot;
    CHECK(has(verdict_of(site),
              "Run line: a cable to the hub, and from there a lead of 10 ft to each of its 2 lamps."));
}

TEST_CASE("a transformer beside its rating and its secondaries' limits") {
    CHECK(has(verdict_of(make_row_of_four(10, 13, 90)),
              "Transformer T1 gives 80 VA, 89 % of its 90 VA: more than the customary 80 % (72 VA)."));
    CHECK(has(verdict_of(make_row_of_four(10, 13, 75)),
              "Transformer T1 gives 80 VA, 107 % of its 75 VA: it is overloaded."));
    Site site = make_row_of_four(10, 13);
    site.network->transformers[0].secondary_limit = 5;
    CHECK(has(verdict_of(site), "Secondary 1 of T1 carries 6.7 A, over its limit of 5 A."));
}

TEST_CASE("every remedy has its sentence") {
    const auto print = [](const Advice& advice) { return print_remedy(advice, LengthUnit::foot); };
    CHECK(print({.remedy = Remedy::next_tap,
                 .changes = {{.run = "a", .old_tap = 12, .new_tap = 13},
                             {.run = "b", .old_tap = 12, .new_tap = 12.5}}}) ==
          "Move run a from the 12 V tap to the 13 V tap, run b from the 12 V tap to the 12.5 V tap");
    CHECK(print({.remedy = Remedy::centre_feed,
                 .changes = {{.run = "a"}, {.run = "b"}},
                 .taps = {{"a", 14}, {"b", 13}},
                 .more_cable = 135 * metres_per_foot}) ==
          "Feed runs a, b at the middle: 135 ft more cable; with a on the 14 V tap, b on the 13 V tap");
    CHECK(print({.remedy = Remedy::centre_feed,
                 .changes = {{.run = "a"}},
                 .more_cable = -3 * metres_per_foot}) == "Feed run a at the middle: 3 ft less cable");
    CHECK(print({.remedy = Remedy::split_run,
                 .changes = {{.run = "a", .split_after = "F5"}},
                 .more_cable = 150 * metres_per_foot}) ==
          "Split run a after F5, each part with its own home run: 150 ft more cable");
    CHECK(print({.remedy = Remedy::larger_gauge,
                 .changes = {{.run = "a", .old_gauge = 12, .new_gauge = 8}},
                 .relaid_cable = 300 * metres_per_foot}) == "Lay run a in 8 AWG instead of 12: 300 ft");
    CHECK(
        print({.remedy = Remedy::second_transformer, .changes = {{.run = "a"}}, .second = {.rating = 300}}) ==
        "Set a second transformer of 300 VA at the middle of run a");
    CHECK(print({.remedy = Remedy::second_transformer,
                 .changes = {{.run = "b"}, {.run = "c"}},
                 .second = {.rating = 300, .beside = "T1", .single_rating = 326}}) ==
          "Set a second transformer of 300 VA beside T1 and move runs b, c to it, or put in one of 326 VA or "
          "more");
}

TEST_CASE("advice says what comes of it") {
    Advice advice{.remedy = Remedy::next_tap,
                  .changes = {{.run = "line", .old_tap = 12, .new_tap = 13}},
                  .report = measure_load(make_row_of_four(10, 13), {}, by_nec)};
    const std::string line =
        "Move run line from the 12 V tap to the 13 V tap. Then 4 of 4 lamps are within their "
        "operating range, 10.68 to 11.47 V; T1 at 27 %: ";
    Advice better = advice, enough = advice;
    better.helps = true;
    enough.helps = enough.is_enough = true;
    CHECK(print_advice({advice, better, enough}, LengthUnit::foot) ==
          Lines{"1. " + line + "no help.", "2. " + line + "better, but not enough.",
                "3. " + line + "that is enough."});
    CHECK(print_advice({}, LengthUnit::foot).empty());
}

TEST_CASE("the cautions name the hazards and claim nothing") {
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre}) {
        const std::string text = joined(print_load_cautions(unit));
        for (const char* word : {"licensed electrician", "GFCI", "in-use cover", "10 ft", "3 m", "6 in",
                                 "150 mm", "811", "Local code"})
            CHECK_MESSAGE(text.find(word) != std::string::npos, word);
        CHECK(text.find("compl") == std::string::npos);
    }
}

TEST_CASE("cable lengths are rounded up to what is cut") {
    CHECK(print_cable_length(100 * metres_per_foot, LengthUnit::foot) == "100 ft");
    CHECK(print_cable_length(100.2 * metres_per_foot, LengthUnit::foot) == "101 ft");
    CHECK(print_cable_length(10.01, LengthUnit::metre) == "10.1 m");
    CHECK(print_cable_length(10.1, LengthUnit::metre) == "10.1 m");
    CHECK(print_cable_length(0, LengthUnit::foot) == "0 ft"); // and not -0
    CHECK(print_cable_length(0, LengthUnit::metre) == "0.0 m");
}

TEST_CASE("the choice of wire in words") {
    CHECK(print_wire_choice({}) == "stranded copper in soil at 25 C (AWG, IEC 60028)");
    CHECK(print_wire_choice({.soil_celsius = -3.5}) == "stranded copper in soil at -3.5 C (AWG, IEC 60028)");
    CHECK(print_wire_choice({.table = WireTable::nec}) == "stranded copper at 75 C (NEC chapter 9 table 8)");
}

TEST_CASE("volts under the customary 10.5 are said even where the lamp's range takes them") {
    // Two of these rows end to end: half the current again in the first half. By hand, with 1.5 A a lamp,
    // 12 V less 0.0792 ohm x 1.5 A x (5 + 4 + 3 + 2 + 1) = 10.218 V at the last of five.
    Site five = make_line(
        5, 20, {.id = "lamp", .watts = 18, .draw = Draw::current, .operating_volts = std::array{9.0, 15.0}});
    const LoadReport report = measure_load(five, {}, by_nec);
    CHECK(report.runs[0].least_volts == doctest::Approx(10.218).epsilon(1e-3));
    CHECK(mentions(
        print_load_verdict(report, LengthUnit::foot),
        "Run line: the drop is 1.78 V at most, 15 % of the 12 V tap: more than the customary 10 %, and less "
        "than 10.5 V is left. F5 gets 10.22 V and works from 9 V (its lamp's own figure)."));
    const std::vector<Problem> low = make_low_voltage_warnings(report);
    REQUIRE(low.size() == 1);
    CHECK(print_problem(low[0]) ==
          "network.runs[0]: warning: low voltage, down to 10.22 V, at F4, F5; 10.5 V or more is common "
          "practice; duskcast load says what helps");
    CHECK(make_low_voltage_warnings(measure_load(make_row_of_four(10, 13), {}, by_nec)).empty());
    const std::vector<Problem> dark =
        make_low_voltage_warnings(measure_load(make_line(1, 100, {.id = "big", .watts = 200}), {}, by_nec));
    REQUIRE(dark.size() == 1);
    CHECK(dark[0].what.starts_with("the run has no operating point"));
    Site short_one = make_line(1, 20, {.id = "lamp", .watts = 5});
    CHECK(has(verdict_of(short_one),
              "Run line: voltage drop is no concern. It is 0.03 V at most, 0.3 % of the "
              "12 V tap, at F1, which gets 11.97 V and works from 9 V (assumed: its lamp gives no range)."));
}

TEST_CASE("trench and sleeves in words") {
    CHECK(print_trench({.length = 30}, LengthUnit::metre) == "Trench: 30.0 m.");
    CHECK(print_trench({.length = 30, .sleeves = {{"drive", 4}, {"", 1.5}}}, LengthUnit::metre) ==
          "Trench: 30.0 m; in a sleeve 4.0 m under drive, 1.5 m under paving.");
}

TEST_CASE("a crossing is a warning at its run") {
    const LoadReport report = measure_load(make_row_of_four(10, 13), {}, by_nec);
    const std::vector<Problem> warnings = make_crossing_warnings(
        {{.run = 0, .obstacle = "house", .length = 60 * metres_per_foot}}, report, LengthUnit::foot);
    REQUIRE(warnings.size() == 1);
    CHECK(print_problem(warnings[0]) == "network.runs[0]: warning: the cable of \"line\" passes through "
                                        "\"house\" for 60 ft; route it around");
}

TEST_CASE("light as wired: lamps outside their operating range and dark runs are warned of") {
    CHECK(make_wired_light_warnings(measure_load(make_row_of_four(10, 13), {}, by_nec)).empty());
    const std::vector<Problem> low =
        make_wired_light_warnings(measure_load(make_row_of_four(11, 13), {}, by_nec));
    REQUIRE(low.size() == 1);
    CHECK(print_problem(low[0]) ==
          "network.runs[0]: warning: outside their operating range, so that their light is "
          "a guess: F3, F4; see duskcast load");
    const std::vector<Problem> dark =
        make_wired_light_warnings(measure_load(make_line(1, 100, {.id = "big", .watts = 200}), {}, by_nec));
    REQUIRE(dark.size() == 1);
    CHECK(print_problem(dark[0]) ==
          "network.runs[0]: warning: the run has no operating point; its lamps stay dark; see duskcast load");
}

TEST_CASE("the JSON of a load holds every figure") {
    Site site = make_row_of_four(10, 13);
    site.network->runs[0].lead = 1;
    site.network->runs[0].lead_gauge = 12; // 1 m more of 12 AWG to each lamp
    const LoadReport report = measure_load(site, {}, by_nec);
    Advice advice{.remedy = Remedy::larger_gauge,
                  .changes = {{.run = "line", .old_gauge = 12, .new_gauge = 8}},
                  .relaid_cable = 80 * metres_per_foot,
                  .report = report,
                  .helps = true};
    const Json json = Json::parse(print_load_json(site, report, {advice}));
    CHECK(json["site"] == "line");
    CHECK(json["units"] == "ft");
    CHECK(json["wire"] ==
          Json({{"table", "nec"}, {"in_words", "stranded copper at 75 C (NEC chapter 9 table 8)"}}));
    CHECK(json["works"] == true);
    CHECK(json["lamps"] == 4);
    CHECK(json["lamps_in_window"] == 4);
    CHECK(json["cautions"] == print_load_cautions(LengthUnit::foot));
    CHECK(json["verdict"] == print_load_verdict(report, LengthUnit::foot));

    const double amps = 20.0 / 12, gap = 0.0792, lead = 2 * 1.98 / 304.8;
    const Json& last = json["fixtures"][3];
    CHECK(last["id"] == "F4");
    CHECK(last["run"] == "line");
    CHECK(last["lamp"] == "lamp");
    CHECK(last["named_watts"] == 20.0);
    CHECK(last["asked_watts"] == 20.0);
    CHECK(last["cable_m"].get<double>() == doctest::Approx(80 * metres_per_foot + 1));
    const double volts = 12 - amps * (10 * gap + lead);
    CHECK(last["volts"].get<double>() == doctest::Approx(volts).epsilon(1e-9));
    CHECK(last["amps"].get<double>() == doctest::Approx(amps).epsilon(1e-9));
    CHECK(last["watts"].get<double>() == doctest::Approx(volts * amps).epsilon(1e-9));
    CHECK(last["volt_amperes"].get<double>() == doctest::Approx(volts * amps).epsilon(1e-9));
    CHECK(last["window_v"] == Json::array({10.0, 13.0}));
    CHECK(last["state"] == "good");

    const Json& run = json["runs"][0];
    CHECK(run["id"] == "line");
    CHECK(run["transformer"] == "T1");
    CHECK(run["secondary"] == 1);
    CHECK(run["tap_v"] == 12.0);
    CHECK(run["gauge_awg"] == 12);
    CHECK(run["layout"] == "daisy-chain");
    CHECK(run["fixtures"] == 4);
    CHECK(run["operating_point"] == true);
    CHECK(run["residual_a"].get<double>() < 1e-9);
    CHECK(run["bearable_share"] == 1.0);
    CHECK(run["asked_watts"] == 80.0);
    CHECK(run["asked_volt_amperes"] == 80.0);
    CHECK(run["leads_m"].get<double>() == doctest::Approx(4));
    CHECK(run["lead_gauge_awg"] == 12);
    CHECK(run["amps"].get<double>() == doctest::Approx(4 * amps).epsilon(1e-9));
    CHECK(run["volt_amperes"].get<double>() == doctest::Approx(80).epsilon(1e-9));
    CHECK(run["least_v"].get<double>() == doctest::Approx(volts).epsilon(1e-9));
    CHECK(run["drop_v"].get<double>() == doctest::Approx(12 - volts).epsilon(1e-9));
    CHECK(run["watts"].get<double>() + run["lost_w"].get<double>() == doctest::Approx(80).epsilon(1e-9));
    CHECK(run["trade_drop_v"].get<double>() == doctest::Approx(80.0 * 80 / 7500).epsilon(1e-9));
    REQUIRE(run["cables"].size() == 8);
    std::size_t leads = 0;
    for (const Json& cable : run["cables"]) {
        CHECK(cable["gauge_awg"] == 12);
        CHECK(cable["course_m"].size() == 2);
        if (cable["part"] != "lead")
            continue;
        ++leads;
        CHECK(cable["length_m"] == 1.0);
        CHECK(cable["amps"].get<double>() == doctest::Approx(amps).epsilon(1e-9));
        CHECK(cable["drop_v"].get<double>() == doctest::Approx(amps * lead).epsilon(1e-9));
        CHECK(cable["lost_w"].get<double>() == doctest::Approx(amps * amps * lead).epsilon(1e-9));
        if (cable["fixture"] == "F4")
            CHECK(cable["end_v"].get<double>() == doctest::Approx(volts).epsilon(1e-9));
    }
    CHECK(leads == 4);

    const Json& transformer = json["transformers"][0];
    CHECK(transformer["id"] == "T1");
    CHECK(transformer["rating_va"] == 300.0);
    CHECK(transformer["volt_amperes"].get<double>() == doctest::Approx(80).epsilon(1e-9));
    CHECK(transformer["share"].get<double>() == doctest::Approx(80.0 / 300).epsilon(1e-9));
    CHECK(transformer["customary_share"] == 0.8);
    CHECK(transformer["secondary_amps"][0].get<double>() == doctest::Approx(80.0 / 12).epsilon(1e-9));
    CHECK(transformer["secondary_limit_a"] == 25.0);

    const Json& tried = json["advice"][0];
    CHECK(tried["remedy"] == "larger gauge");
    CHECK(tried["what"] == "Lay run line in 8 AWG instead of 12: 80 ft");
    CHECK(tried["helps"] == true);
    CHECK(tried["enough"] == false);
    CHECK(tried["lamps_in_window"] == 4);
    CHECK_FALSE(tried["runs"][0].contains("cables"));
}

TEST_CASE("the JSON has null where a run has no operating point, and the soil for IEC copper") {
    const Site site = make_line(1, 100, {.id = "big", .watts = 200});
    const LoadReport report = measure_load(site, {}, {.wire = {.soil_celsius = 20}, .tap = {}});
    const Json json = Json::parse(print_load_json(site, report, {}));
    CHECK(json["wire"]["table"] == "iec");
    CHECK(json["wire"]["soil_celsius"] == 20.0);
    CHECK(json["works"] == false);
    for (const char* key : {"volts", "amps", "watts", "volt_amperes", "state"})
        CHECK_MESSAGE(json["fixtures"][0][key].is_null(), key);
    for (const char* key : {"residual_a", "watts", "volt_amperes", "amps", "least_v", "drop_v", "lost_w"})
        CHECK_MESSAGE(json["runs"][0][key].is_null(), key);
    for (const char* key : {"amps", "drop_v", "lost_w", "end_v"})
        CHECK_MESSAGE(json["runs"][0]["cables"][0][key].is_null(), key);
    CHECK(json["runs"][0]["asked_watts"] == 200.0);
    CHECK(json["runs"][0]["bearable_share"].get<double>() < 1);
}
