// Figures in files, compared with the figures they come from: CSV read as RFC 4180 has it and JSON by its
// keys. Keys are promised to scripts, so they are spelled out here.

#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <vector>

#include "../../src/sheets/plate_picture.hpp"
#include "../cable_line.hpp"
#include "../message_of.hpp"
#include "duskcast/base/csv.hpp"
#include "duskcast/sheets/fixture_words.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/sheets/plate.hpp"
#include "duskcast/sheets/summary.hpp"
#include "duskcast/sheets/sweep_file.hpp"
#include "duskcast/sheets/take_off_words.hpp"
#include "duskcast/sheets/view_words.hpp"
#include "scene.hpp"
#include "study_figures.hpp"

using namespace duskcast;
using namespace duskcast::test;
using Json = nlohmann::ordered_json;

namespace {

std::vector<std::string> list_keys(const Json& object) {
    std::vector<std::string> keys;
    for (const auto& [key, value] : object.items())
        keys.push_back(key);
    return keys;
}

/// A sweep over one or two settings with figures that print with many digits.
Sweep make_random_sweep(unsigned seed, const std::vector<Knob>& knobs) {
    std::mt19937 random(seed);
    const auto uniform = [&](double low, double high) {
        return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
    };
    Sweep sweep;
    sweep.plan = {.fixtures = {"U1"}, .focus = {"gable", {"U1"}}};
    for (const Knob knob : knobs) {
        Range range{.knob = knob};
        for (unsigned i = 2 + random() % 4; i > 0; --i)
            range.values.push_back(knob == Knob::lamp
                                       ? Setting{knob, 0, "lamp \"" + std::to_string(i) + "\", warm"}
                                       : Setting{knob, uniform(0.01, 1.5), ""});
        sweep.plan.ranges.push_back(range);
    }
    sweep.as_drawn = make_gable_figures(0.3, 3);
    for (std::size_t i = 0; i < sweep.plan.size(); ++i) {
        sweep.figures.push_back(make_gable_figures(uniform(0, 1), uniform(1, 6), uniform(1, 90)));
        if (random() % 3 == 0)
            sweep.figures.back().reaches[0].height.reset();
        sweep.figures.back().targets[0].mean_lx = uniform(0, 50);
    }
    return sweep;
}

Site make_swept_site() {
    Site site = make_metric_site();
    site.fixtures = {{.id = "U1"}, {.id = "U2"}};
    return site;
}

} // namespace

TEST_CASE("a sweep in CSV: a row a variant, its settings in the units that the keys name, its figures as "
          "they are") {
    unsigned seed = 0;
    for (const std::vector<Knob>& knobs : std::vector<std::vector<Knob>>{{Knob::tilt},
                                                                         {Knob::lamp},
                                                                         {Knob::setback, Knob::tilt},
                                                                         {Knob::lamp, Knob::dimming},
                                                                         {Knob::bearing, Knob::lamp},
                                                                         {Knob::along, Knob::lens_height}}) {
        ++seed;
        CAPTURE(seed);
        const Sweep sweep = make_random_sweep(seed, knobs);
        const SweepFile file = make_sweep_file(make_swept_site(), sweep, {});
        const std::vector<CsvRecord> rows = read_csv(print_sweep_csv(file), "sweep.csv", "");
        REQUIRE(rows.size() == sweep.figures.size() + 1);
        std::vector<std::string> head{"variant"};
        for (const Knob knob : knobs)
            head.push_back(name_of(knob) + (is_angle(knob) ? "_deg" : is_length(knob) ? "_m" : ""));
        for (const char* key : {"reach", "coverage", "mean", "evenness", "hot_spot", "spill", "lumens",
                                "watts", "price", "gable.coverage", "gable.mean_lx"})
            head.emplace_back(key);
        REQUIRE(rows[0].size() == head.size());
        for (std::size_t k = 0; k < head.size(); ++k)
            CHECK(rows[0][k].text == head[k]);
        for (std::size_t i = 0; i < sweep.figures.size(); ++i) {
            CAPTURE(i);
            const CsvRecord& row = rows[i + 1];
            REQUIRE(row.size() == head.size());
            CHECK(row[0].text == std::to_string(i));
            const std::vector<Setting> settings = sweep.plan.settings_of(i);
            for (std::size_t k = 0; k < knobs.size(); ++k) {
                if (knobs[k] == Knob::lamp)
                    CHECK(row[1 + k].text == settings[k].lamp);
                else
                    CHECK(std::stod(row[1 + k].text) ==
                          doctest::Approx(settings[k].value * (is_angle(knobs[k]) ? 180 / pi : 1))
                              .epsilon(1e-9));
            }
            const Figures& figures = sweep.figures[i];
            const std::size_t first = 1 + knobs.size();
            // To the last bit; a level that is reached nowhere reaches 0.
            CHECK(std::stod(row[first].text) == figures.reaches[0].height.value_or(0));
            CHECK(std::stod(row[first + 1].text) == figures.targets[0].share);
            CHECK(std::stod(row[first + 7].text) == figures.watts);
            CHECK(row[first + 8].text.empty()); // no price
            CHECK(std::stod(row[first + 10].text) == figures.targets[0].mean_lx);
        }
    }
}

TEST_CASE("a sweep in JSON comes back as it was, whole or in parts") {
    for (unsigned seed = 1; seed <= 20; ++seed) {
        CAPTURE(seed);
        const Sweep sweep = make_random_sweep(seed, {Knob::lamp, Knob::tilt});
        const Site site = make_swept_site();
        const std::string whole = print_sweep_json(make_sweep_file(site, sweep, {}));
        const Json document = Json::parse(whole);
        CHECK(document["site"] == "House");
        CHECK(document["fixtures"] == Json{"U1"});
        CHECK(document["target"] == "gable");
        CHECK(document["variants"].size() == sweep.figures.size());
        const std::size_t of = 1 + seed % 4;
        std::vector<NamedSweepPart> parts;
        for (std::size_t number = 1; number <= of && of > 1; ++number) {
            const Part part{number, of};
            Sweep cut = sweep;
            cut.first = part.first(sweep.figures.size());
            cut.figures.assign(sweep.figures.begin() + static_cast<std::ptrdiff_t>(cut.first),
                               sweep.figures.begin() +
                                   static_cast<std::ptrdiff_t>(part.last(sweep.figures.size())));
            const std::string name = "part" + std::to_string(number);
            parts.push_back(
                {name, read_sweep_part(name, print_sweep_json(make_sweep_file(site, cut, part)))});
        }
        if (of > 1)
            CHECK(print_sweep_json(merge_sweeps(parts)) == whole);
    }
    // Where all fixtures are swept, all are named.
    Sweep all = make_random_sweep(1, {Knob::tilt});
    all.plan.fixtures.clear();
    CHECK(make_sweep_file(make_swept_site(), all, {}).head.fixtures == std::vector<std::string>{"U1", "U2"});
}

TEST_CASE("what glows in the summary, and where its light lands") {
    const SiteFile file = read_site(R"({ "duskcast": 1, "name": "Porch", "units": "m", "light": "lx",
        "ground_spacing": "1 m", "lamps": [],
        "lanterns": [{ "id": "porch", "at": [0, 0, 2], "width": "0.2 m", "glow": { "lumens": 450 } }] })",
                                    "porch.site.json");
    const auto stage = build_stage(file.site, ".");
    const Lighting lighting = trace_lighting(*stage, {});
    const Report report = measure_report(file.site, *stage, lighting);
    const Json summary = Json::parse(print_summary(file, *stage, lighting, report));
    REQUIRE(summary["glows"].size() == 1);
    const Json& glow = summary["glows"][0];
    CHECK(list_keys(glow) == std::vector<std::string>{"id", "kind", "area_m2", "luminance_cd_m2", "lumens",
                                                      "target_lm", "other_lm", "ground_lm", "sky_lm"});
    CHECK(glow["id"] == "porch");
    CHECK(glow["kind"] == "lantern");
    CHECK(glow["lumens"].get<double>() == doctest::Approx(450));
    // M = pi L, and a matt sphere of 0.2 m gives 450 lm off pi d^2.
    const double area = pi * 0.2 * 0.2;
    CHECK(glow["area_m2"].get<double>() == doctest::Approx(area).epsilon(0.02));
    CHECK(glow["luminance_cd_m2"].get<double>() == doctest::Approx(450 / (pi * area)).epsilon(0.02));
    double landed = 0;
    for (const char* part : {"target_lm", "other_lm", "ground_lm", "sky_lm"})
        landed += glow[part].get<double>();
    CHECK(landed == doctest::Approx(450).epsilon(1e-3));
    // Half of what a sphere gives goes down, but the ground ends.
    CHECK(glow["ground_lm"].get<double>() > 0.35 * 450);
    CHECK(glow["ground_lm"].get<double>() < 0.5 * 450 * 1.02); // by some 10,000 rays
}

TEST_CASE("crowns in the JSON of views: heights in metres, none where nothing is lit") {
    SeenFeature oak{.feature = "oak", .is_tree = true, .on = "oak", .sighting = Sighting::lit};
    oak.is_upright = true;
    oak.high = oak.seen_to = 9;
    oak.needed = 0.125;
    oak.lit = {.all = {{0, 4}}, .main = {0, 4}};
    oak.faint = {.all = {{0, 7}}, .main = {0, 7}};
    SeenFeature dark = oak;
    dark.feature = "elm";
    dark.sighting = Sighting::unlit;
    dark.lit = dark.faint = {};
    SeenFeature flat = dark;
    flat.feature = "box";
    flat.is_upright = false;
    const ViewResult street{.report = {.view = "street"}, .features = {oak, dark, flat}};
    Site site;
    site.units = LengthUnit::metre;
    const Json rows = Json::parse(print_views_json(site, {street}));
    const Json& trees = rows[0]["trees"];
    REQUIRE(trees.size() == 3);
    CHECK(rows[0]["targets"].empty());
    CHECK(trees[0] == Json{{"id", "oak"},
                           {"sighting", "lit"},
                           {"lit_to_m", 4.0},
                           {"faint_to_m", 7.0},
                           {"lit_from_cd_m2", 0.125},
                           {"in_words", "lit to about 4 m of 9 m, faint to about 7 m"}});
    CHECK(trees[1]["lit_to_m"].is_null());
    CHECK(trees[1]["in_words"] == "unlit");
    CHECK_FALSE(trees[2].contains("lit_to_m"));
}

TEST_CASE("a load's JSON names each remedy and adds up") {
    const LoadReport report =
        measure_load(tests::make_line(5, 30, {.id = "lamp", .watts = 12}), {}, tests::by_nec);
    const Site site = tests::make_line(5, 30, {.id = "lamp", .watts = 12});
    std::vector<Advice> advice;
    for (const Remedy remedy : {Remedy::next_tap, Remedy::centre_feed, Remedy::split_run,
                                Remedy::larger_gauge, Remedy::second_transformer})
        advice.push_back({.remedy = remedy, .changes = {{.run = "line"}}, .report = report});
    const Json document = Json::parse(print_load_json(site, report, advice));
    const std::vector<std::string> wanted{"next tap", "centre feed", "split run", "larger gauge",
                                          "second transformer"};
    REQUIRE(document["advice"].size() == wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i)
        CHECK(document["advice"][i]["remedy"] == wanted[i]);
    CHECK(document["lamps"] == 5);
    // Kirchhoff: the lamps and the cable take what the transformer gives; watts are volts by amps.
    double lamps = 0;
    for (const Json& fixture : document["fixtures"]) {
        CHECK(fixture["watts"].get<double>() ==
              doctest::Approx(fixture["volts"].get<double>() * fixture["amps"].get<double>()).epsilon(1e-6));
        lamps += fixture["watts"].get<double>();
    }
    const Json& run = document["runs"][0];
    CHECK(run["watts"].get<double>() == doctest::Approx(lamps).epsilon(1e-9));
    double lost = 0;
    for (const Json& cable : run["cables"])
        lost += cable["lost_w"].get<double>();
    CHECK(run["lost_w"].get<double>() == doctest::Approx(lost).epsilon(1e-9));
    CHECK(run["amps"].get<double>() * run["tap_v"].get<double>() ==
          doctest::Approx(lamps + lost).epsilon(1e-6));
}

TEST_CASE("a take-off's CSV and JSON say the same, line by line") {
    const PriceList prices =
        read_price_list("kind,id,description,unit,price,labour_hours,taxed\ncurrency,EUR,,,,,\n"
                        "fixture,bullet,\"brass, \"\"old\"\"\",each,85.5,0.5,yes\nlamp,led,,each,14,0.05,no\n"
                        "cable,12,,100 m,99,2,yes\nlabour,,,hour,65,,no\ntax,,,percent,8.25,,\n"
                        "margin,materials,,percent,40,,\nmarkup,labour,,percent,10,,\n",
                        "prices.csv");
    TakeOffQuantities quantities;
    quantities.fixtures = {{"bullet", 3}};
    quantities.lamps = {{"led", 3}, {"unknown", 2}};
    quantities.cable = {{12, 60}};
    const TakeOff made = make_take_off(quantities, prices);
    const Json document = Json::parse(print_take_off_json(made));
    const std::vector<CsvRecord> rows =
        read_csv(print_take_off_csv(made, LengthUnit::metre), "take-off.csv", "");
    REQUIRE(document["lines"].size() == made.lines.size());
    std::size_t column_of_cost = 0, column_of_price = 0;
    for (std::size_t k = 0; k < rows[0].size(); ++k) {
        if (rows[0][k].text == "cost")
            column_of_cost = k;
        if (rows[0][k].text == "price")
            column_of_price = k;
    }
    for (std::size_t i = 0; i < made.lines.size(); ++i) {
        CAPTURE(i);
        const Json& line = document["lines"][i];
        const CsvRecord& row = rows.at(i + 1);
        REQUIRE(row.size() == rows[0].size());
        CHECK(line["kind"] == row[0].text);
        CHECK(line["id"] == row[1].text);
        CHECK(line["description"] == made.lines[i].description);
        CHECK(line["cost"].is_null() == row[column_of_cost].text.empty());
        if (!line["cost"].is_null()) {
            CHECK(line["cost"].get<double>() == doctest::Approx(std::stod(row[column_of_cost].text)));
            CHECK(line["price"].get<double>() == doctest::Approx(std::stod(row[column_of_price].text)));
            // A margin of 40 % is what is left of the price: price = cost / 0.6.
            CHECK(line["price"].get<double>() ==
                  doctest::Approx(line["cost"].get<double>() / 0.6).epsilon(1e-3));
        }
    }
    CHECK(print_take_off_json(made).find("\"margin_of_price\": 0.4") != std::string::npos);
    CHECK(print_take_off_json(made).find("\"markup_on_cost\": 0.1") != std::string::npos);
}

TEST_CASE("how far a fixture carries, in a word") {
    Reach reach{.wall_height = 6};
    const auto carry = [&](LengthUnit unit) { return print_carry(reach, unit); };
    CHECK(carry(LengthUnit::metre) == "reaches nowhere");
    reach.height = 4.12;
    CHECK(carry(LengthUnit::metre) == "reaches 4.1 m");
    CHECK(carry(LengthUnit::foot) == "reaches 13.5 ft"); // 13.517 ft
    reach.height = 5.999;                                // a millimetre short of the top
    CHECK(carry(LengthUnit::metre) == "reaches all the way up");
    reach = {.height = 3, .wall_height = 6, .is_to_top = true};
    CHECK(carry(LengthUnit::metre) == "reaches all the way up");
}

TEST_CASE("a plate that is not there is refused with the nearest") {
    const PlainWall wall = make_plain_wall();
    CHECK(find_plate(wall.source(), "front").surface == 0);
    CHECK(message_of([&] { find_plate(wall.source(), "frond"); }) ==
          "error: there is no plate of \"frond\"; did you mean \"front\"?");
    CHECK(message_of([&] { find_plate(wall.source(), "elsewhere"); }) ==
          "error: there is no plate of \"elsewhere\"; choose one of the site's walls, plants and bodies, or "
          "\"ground\"");
}
