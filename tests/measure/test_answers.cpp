// The figures as sentences, word for word.

#include "../../src/measure/answers.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;
using Sentences = std::vector<std::string>;

namespace {

constexpr double ft = metres_per_foot;
constexpr double fc = lux_per_footcandle;

Site make_front_site() {
    Site site;
    Wall wall;
    wall.id = "front";
    wall.path = {{0, 0}, {40 * ft, 0}};
    wall.height = 10 * ft;
    wall.gables = {{.id = "left", .from = 0, .width = 16 * ft, .peak = 18 * ft}};
    site.walls = {wall};
    site.lamps = {{.id = "spot", .name = "spot 4 W, 36°"}, {.id = "plain"}};
    site.fixtures = {{.id = "U1", .lamp = "spot", .wall = "front", .along = 8 * ft},
                     {.id = "U2", .lamp = "plain", .wall = "front", .along = 20 * ft}};
    return site;
}

Report make_line_report(double along, const std::string& gable, const Reach& reach) {
    Report report;
    report.levels_lx = {0.5 * fc, fc, 2 * fc};
    FixtureReach line{.fixture = "U1", .surface = "front", .along = along, .gable = gable};
    line.levels = {{.level_lx = 0.5 * fc, .wall_height = reach.wall_height},
                   reach,
                   {.level_lx = 2 * fc, .wall_height = reach.wall_height}};
    report.reaches = {line};
    return report;
}

} // namespace

TEST_CASE("a fixture's line in feet and foot-candles") {
    const Site site = make_front_site();
    const Reach short_of{.level_lx = fc, .height = 13.5 * ft, .wall_height = 18 * ft};
    CHECK(print_answers(site, make_line_report(8 * ft, "left", short_of)) ==
          Sentences{"U1 (spot 4 W, 36°) on front: 1 fc reaches 13 ft 6 in; the peak of left is 18 ft: "
                    "short by 4 ft 6 in."});
    const Reach on_slope{.level_lx = fc, .height = 11 * ft, .wall_height = 13 * ft};
    CHECK(print_answers(site, make_line_report(3 * ft, "left", on_slope)) ==
          Sentences{"U1 (spot 4 W, 36°) on front: 1 fc reaches 11 ft; the slope of left there is 13 ft: "
                    "short by 2 ft."});
    const Reach to_top{.level_lx = fc, .height = 10 * ft, .wall_height = 10 * ft, .is_to_top = true};
    CHECK(print_answers(site, make_line_report(20 * ft, "", to_top)) ==
          Sentences{"U1 (spot 4 W, 36°) on front: 1 fc reaches all the way up; the wall there is 10 ft."});
    const Reach nowhere{.level_lx = fc, .wall_height = 10 * ft};
    Report report = make_line_report(20 * ft, "", nowhere);
    report.reaches[0].fixture = "U2";
    CHECK(print_answers(site, report) ==
          Sentences{"U2 (plain) on front: 1 fc is reached nowhere on its line."});
}

TEST_CASE("the same in metres and lux") {
    Site site = make_front_site();
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    Report report = make_line_report(8 * ft, "left", {.level_lx = fc, .height = 4.12, .wall_height = 5.5});
    CHECK(print_answers(site, report) ==
          Sentences{"U1 (spot 4 W, 36°) on front: 10.8 lx reaches 4.12 m; the peak of left is 5.50 m: "
                    "short by 1.38 m."});
}

TEST_CASE("the level spoken of: the target's own, else the lowest from a foot-candle up, else the highest") {
    Site site = make_front_site();
    site.light = LightUnit::lux;
    Report report;
    FixtureReach line{.fixture = "U1", .surface = "front", .along = 30 * ft};
    for (const double level : {2.0, 5.0, 20.0, 50.0}) {
        report.levels_lx.push_back(level);
        line.levels.push_back({.level_lx = level, .wall_height = 3});
    }
    report.reaches = {line};
    const auto level_of = [&] {
        const std::string sentence = print_answers(site, report).at(0);
        const std::string before = "on front: ";
        const std::size_t at = sentence.find(before) + before.size();
        return sentence.substr(at, sentence.find(" is reached") - at);
    };
    CHECK(level_of() == "20 lx");
    site.targets = {{.id = "T", .on = "lawn", .level = 2}, {.id = "S", .on = "front", .level = 5}};
    CHECK(level_of() == "5 lx");
    site.targets.clear();
    report.levels_lx = {2, 5};
    report.reaches[0].levels.resize(2);
    CHECK(level_of() == "5 lx");
    // A part of a wall takes its own target's level, or the wall's.
    report.levels_lx = {2, 5, 20, 50};
    report.reaches[0] = line;
    report.reaches[0].surface = "front.bay";
    site.targets = {{.id = "T", .on = "front", .level = 50}};
    CHECK(print_answers(site, report) ==
          Sentences{"U1 (spot 4 W, 36°) on front.bay: 50 lx is reached nowhere on its line."});
}

TEST_CASE("the level of a surface without a report, and of a part by its whole") {
    Site site;
    CHECK(find_main_level(site, {}, "front") == fc);
    CHECK(find_main_level(site, {0.2 * fc, 0.5 * fc}, "front") == 0.5 * fc);
    CHECK(find_main_level(site, {0.5 * fc, fc, 2 * fc}, "front") == fc);
    site.targets = {{.id = "T", .on = "front", .level = 2 * fc},
                    {.id = "S", .on = "house.gable", .level = 3 * fc}};
    CHECK(find_main_level(site, {fc}, "front") == 2 * fc);
    CHECK(find_main_level(site, {fc}, "front.bay") == 2 * fc);
    CHECK(find_main_level(site, {fc}, "frontage") == fc);
    CHECK(find_main_level(site, {fc}, "house.gable.2") == 3 * fc);
}

TEST_CASE("a fixture's own reach, and where the others' light carries on") {
    const Site site = make_front_site();
    const Reach own{.level_lx = fc, .height = 13.5 * ft, .wall_height = 18 * ft};
    const auto sentence = [&](const Reach& alone, const Reach& together) {
        Report report = make_line_report(8 * ft, "left", alone);
        report.reaches[0].together = {together};
        return print_answers(site, report).at(0);
    };
    const std::string who = "U1 (spot 4 W, 36°) on front: 1 fc ";
    CHECK(sentence(own, {.level_lx = fc, .height = 15 * ft, .wall_height = 18 * ft}) ==
          who +
              "reaches 13 ft 6 in alone, 15 ft with the other lamps lit; the peak of left is 18 ft: short by "
              "3 ft.");
    CHECK(
        sentence(own, {.level_lx = fc, .height = 18 * ft, .wall_height = 18 * ft, .is_to_top = true}) ==
        who +
            "reaches 13 ft 6 in alone, all the way up with the other lamps lit; the peak of left is 18 ft.");
    CHECK(sentence(own, {.level_lx = fc, .height = 13.5 * ft + 0.002, .wall_height = 18 * ft}) ==
          who + "reaches 13 ft 6 in; the peak of left is 18 ft: short by 4 ft 6 in."); // it prints the same
    CHECK(sentence({.level_lx = fc, .wall_height = 18 * ft},
                   {.level_lx = fc, .height = 9 * ft, .wall_height = 18 * ft}) ==
          who +
              "is reached nowhere on its line alone, but reaches 9 ft with the other lamps lit; the peak of "
              "left is 18 ft: short by 9 ft.");
    CHECK(sentence({.level_lx = fc, .wall_height = 18 * ft}, {.level_lx = fc, .wall_height = 18 * ft}) ==
          who + "is reached nowhere on its line.");
}

TEST_CASE("targets") {
    const Site site = make_front_site();
    Report report;
    report.levels_lx = {fc};
    report.targets = {{.id = "peak", .on = "front", .level_lx = fc, .wanted_share = 0.8, .share = 0.63}};
    report.targets[0].stats.mean_lx = 1.25 * fc;
    CHECK(print_answers(site, report) ==
          Sentences{"Target peak: 63 % of it gets 1 fc or more, 80 % wanted: missed. Mean 1.25 fc."});
    report.targets[0].share = 0.8;
    report.targets[0].is_reached = true;
    CHECK(print_answers(site, report) ==
          Sentences{"Target peak: 80 % of it gets 1 fc or more, 80 % wanted: reached. Mean 1.25 fc."});
}

TEST_CASE("trees") {
    const Site site = make_front_site();
    Report report;
    report.levels_lx = {fc};
    const auto sentence = [&](const std::string& from, const Reach& reach) {
        report.trees = {{.tree = "oak", .from = from, .lit_to = {reach}}};
        return print_answers(site, report).at(0);
    };
    CHECK(sentence("", {.level_lx = fc, .height = 20 * ft, .wall_height = 45 * ft}) ==
          "oak, over all its leaves: reads as lit at 1 fc up to 20 ft of 45 ft.");
    CHECK(sentence("from the north",
                   {.level_lx = fc, .height = 45 * ft, .wall_height = 45 * ft, .is_to_top = true}) ==
          "oak, seen from the north: reads as lit at 1 fc to its top, 45 ft.");
    CHECK(sentence("drive", {.level_lx = fc, .wall_height = 45 * ft}) ==
          "oak, seen from drive: no part of the crown reads as lit at 1 fc.");
}

TEST_CASE("spill, and the order of the sentences") {
    const Site site = make_front_site();
    Report report = make_line_report(20 * ft, "", {.level_lx = fc, .wall_height = 10 * ft});
    report.targets = {{.id = "T", .level_lx = fc}};
    report.trees = {{.tree = "oak", .lit_to = {{.level_lx = fc}}}};
    report.spill = {.emitted_lm = 1680, .target_lm = 840, .other_lm = 420, .ground_lm = 3, .sky_lm = 417};
    const Sentences sentences = print_answers(site, report);
    REQUIRE(sentences.size() == 4);
    CHECK(sentences[0].starts_with("U1"));
    CHECK(sentences[1].starts_with("Target T"));
    CHECK(sentences[2].starts_with("oak"));
    CHECK(sentences[3] == "Of 1,680 lm that leave the fixtures, 50 % land on targets, 25 % on other things, "
                          "0.2 % on the ground and 25 % go to the sky.");
    report.spill = {};
    CHECK(print_answers(site, report).size() == 3); // nothing is lit: nothing to say
}

TEST_CASE("a report brings its sentences along") {
    // Light that falls to a foot-candle at 6 ft, whatever lights it: E = fc exp(6 ft - z).
    Site site = make_front_site();
    site.sensor_spacing = 0.1;
    site.lamps[0].figures = site.lamps[1].figures = {.lumens = 300, .beam_angle = radians_from_degrees(36)};
    site.fixtures[1].dimming = 0;
    const auto stage = build_stage(site, {});
    const auto total = [](const glm::vec3& at, const glm::vec3&) { return fc * std::exp(6 * ft - at.z); };
    Lighting lighting = make_light(*stage, total);
    lighting.fixtures = make_fixtures(site, {});
    light_evenly(lighting, *stage, [&](const glm::vec3& at, const glm::vec3& normal) {
        return total(at, normal) / std::exp(1 * ft); // alone a foot less
    });
    const Report report = measure_report(site, *stage, lighting);
    REQUIRE(report.answers.size() == 3);
    CHECK(report.answers[0] ==
          "U1 (spot 4 W, 36°) on front: 1 fc reaches 5 ft alone, 6 ft with the other lamps "
          "lit; the peak of left is 18 ft: short by 12 ft.");
    CHECK(report.answers[1] ==
          "U2 (plain) on front: 1 fc is reached nowhere on its line alone, but reaches 6 ft "
          "with the other lamps lit; the wall there is 10 ft: short by 4 ft.");
    CHECK(report.answers[2].starts_with("Of 300 lm that leave the fixtures, 0 % land on targets, "));
}
