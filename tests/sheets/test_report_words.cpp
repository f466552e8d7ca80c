// The figures of a report in words, from reports written by hand.

#include <doctest/doctest.h>

#include "duskcast/sheets/report_words.hpp"

using namespace duskcast;
using Sentences = std::vector<std::string>;

namespace {

constexpr double foot = metres_per_foot;
constexpr double fc = lux_per_footcandle;

Site make_front_site() {
    Site site{.is_as_new = true};
    Wall wall;
    wall.id = "front";
    wall.path = {{0, 0}, {40 * foot, 0}};
    wall.height = 10 * foot;
    wall.gables = {{.id = "left", .from = 0, .width = 16 * foot, .peak = 18 * foot}};
    site.walls = {wall};
    site.lamps = {{.id = "spot", .name = "spot 4 W, 36°"}, {.id = "plain"}};
    site.fixtures = {{.id = "U1", .lamp = "spot", .wall = "front", .along = 8 * foot},
                     {.id = "U2", .lamp = "plain", .wall = "front", .along = 20 * foot}};
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

/// Lit and faint to a height of 18 ft, from a view.
SeenFeature make_seen(const std::string& feature, const std::string& view, double lit_to) {
    SeenFeature seen{.feature = feature, .from = {Viewpoint::Kind::view, view}, .sighting = Sighting::lit};
    seen.is_upright = true;
    seen.high = seen.seen_to = 18 * foot;
    seen.lit = {.all = {{0, lit_to}}, .main = {0, lit_to}};
    seen.faint = seen.lit;
    return seen;
}

Sentences texts_of(const Site& site, const Report& report) {
    Sentences texts;
    for (const Sentence& sentence : print_answers(site, report))
        texts.push_back(sentence.text);
    return texts;
}

} // namespace

TEST_CASE("a fixture's line in feet and foot-candles") {
    const Site site = make_front_site();
    const Reach short_of{.level_lx = fc, .height = 13.5 * foot, .wall_height = 18 * foot};
    CHECK(texts_of(site, make_line_report(8 * foot, "left", short_of)) ==
          Sentences{"U1 (spot 4 W, 36°) on front: 1 fc reaches about 13.5 ft; the peak of left is 18 ft: "
                    "short by about 4.5 ft."});
    const Reach on_slope{.level_lx = fc, .height = 11 * foot, .wall_height = 13 * foot};
    CHECK(
        texts_of(site, make_line_report(3 * foot, "left", on_slope)) ==
        Sentences{"U1 (spot 4 W, 36°) on front: 1 fc reaches about 11 ft; the slope of left there is 13 ft: "
                  "short by about 2 ft."});
    const Reach to_top{.level_lx = fc, .height = 10 * foot, .wall_height = 10 * foot, .is_to_top = true};
    CHECK(texts_of(site, make_line_report(20 * foot, "", to_top)) ==
          Sentences{"U1 (spot 4 W, 36°) on front: 1 fc reaches all the way up; the wall there is 10 ft."});
    const Reach nowhere{.level_lx = fc, .wall_height = 10 * foot};
    Report report = make_line_report(20 * foot, "", nowhere);
    report.reaches[0].fixture = "U2";
    CHECK(texts_of(site, report) == Sentences{"U2 (plain) on front: 1 fc is reached nowhere on its line."});
}

TEST_CASE("the same in metres and lux") {
    Site site = make_front_site();
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    Report report = make_line_report(8 * foot, "left", {.level_lx = fc, .height = 4.12, .wall_height = 5.5});
    CHECK(texts_of(site, report) ==
          Sentences{"U1 (spot 4 W, 36°) on front: 10.8 lx reaches about 4.1 m; the peak of left is 5.50 m: "
                    "short by about 1.4 m."});
}

TEST_CASE("the level spoken of: the target's own, else the lowest from a foot-candle up, else the highest") {
    Site site = make_front_site();
    site.light = LightUnit::lux;
    Report report;
    FixtureReach line{.fixture = "U1", .surface = "front", .along = 30 * foot};
    for (const double level : {2.0, 5.0, 20.0, 50.0}) {
        report.levels_lx.push_back(level);
        line.levels.push_back({.level_lx = level, .wall_height = 3});
    }
    report.reaches = {line};
    const auto level_of = [&] {
        const std::string sentence = texts_of(site, report).at(0);
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
    CHECK(texts_of(site, report) ==
          Sentences{"U1 (spot 4 W, 36°) on front.bay: 50 lx is reached nowhere on its line."});
}

TEST_CASE("a fixture's own reach, and where the others' light carries on") {
    const Site site = make_front_site();
    const Reach own{.level_lx = fc, .height = 13.5 * foot, .wall_height = 18 * foot};
    const auto sentence = [&](const Reach& alone, const Reach& together) {
        Report report = make_line_report(8 * foot, "left", alone);
        report.reaches[0].together = {together};
        return texts_of(site, report).at(0);
    };
    const std::string who = "U1 (spot 4 W, 36°) on front: 1 fc ";
    CHECK(sentence(own, {.level_lx = fc, .height = 15 * foot, .wall_height = 18 * foot}) ==
          who + "reaches about 13.5 ft alone, about 15 ft with the other lamps lit; the peak of left is 18 "
                "ft: short "
                "by about 3 ft.");
    CHECK(sentence(own, {.level_lx = fc, .height = 18 * foot, .wall_height = 18 * foot, .is_to_top = true}) ==
          who + "reaches about 13.5 ft alone, all the way up with the other lamps lit; the peak of left is "
                "18 ft.");
    CHECK(sentence(own, {.level_lx = fc, .height = 13.9 * foot, .wall_height = 18 * foot}) ==
          who +
              "reaches about 14 ft; the peak of left is 18 ft: short by about 4 ft."); // nobody sees 5 inches
    CHECK(sentence({.level_lx = fc, .wall_height = 18 * foot},
                   {.level_lx = fc, .height = 9 * foot, .wall_height = 18 * foot}) ==
          who + "is reached nowhere on its line alone, but reaches about 9 ft with the other lamps lit; the "
                "peak of left is 18 ft: short by about 9 ft.");
    CHECK(sentence({.level_lx = fc, .wall_height = 18 * foot}, {.level_lx = fc, .wall_height = 18 * foot}) ==
          who + "is reached nowhere on its line.");
}

TEST_CASE("a reach that ends at a sill, is met again, or begins high") {
    const Site site = make_front_site();
    const auto sentence = [&](Reach reach) {
        reach.level_lx = fc;
        reach.wall_height = 18 * foot;
        return texts_of(site, make_line_report(8 * foot, "left", reach)).at(0);
    };
    const std::string who = "U1 (spot 4 W, 36°) on front: 1 fc reaches about 12 ft";
    CHECK(sentence({.height = 12 * foot, .sill_of = "window", .stretches = {{0, 12 * foot}}}) ==
          who + " (the sill of window); the peak of left is 18 ft: short by about 6 ft.");
    CHECK(sentence({.height = 12 * foot, .stretches = {{0, 12 * foot}, {14 * foot, 15.1 * foot}}}) ==
          who +
              " and again from about 14 ft to about 15 ft; the peak of left is 18 ft: short by about 6 ft.");
    // What is met again up to the top is dark between, not short.
    CHECK(sentence({.height = 12 * foot, .stretches = {{5 * foot, 12 * foot}, {16 * foot, 18 * foot}}}) ==
          who +
              " and again from about 16 ft to the top, beginning at about 5 ft; the peak of left is 18 ft.");
    CHECK(sentence({.height = 12 * foot, .stretches = {{3 * foot, 12 * foot}, {14 * foot, 14.4 * foot}}}) ==
          who + "; the peak of left is 18 ft: short by about 6 ft."); // neither is worth a word
    // Where only the others' light meets it again.
    Report report =
        make_line_report(8 * foot, "left", {.level_lx = fc, .height = 12 * foot, .wall_height = 18 * foot});
    report.reaches[0].together = {{.level_lx = fc,
                                   .height = 12.1 * foot,
                                   .wall_height = 18 * foot,
                                   .stretches = {{0, 12.1 * foot}, {14 * foot, 15 * foot}}}};
    CHECK(texts_of(site, report).at(0) ==
          who +
              " and, with the other lamps lit, again from about 14 ft to about 15 ft; the peak of left is 18 "
              "ft: short by about 6 ft.");
}

TEST_CASE("a line is judged by its target, and what to do next is said where it falls short") {
    Site site = make_front_site();
    site.lamps.push_back({.id = "narrow", .name = "spot 4 W, 15°"});
    Report report =
        make_line_report(8 * foot, "left", {.level_lx = fc, .height = 9 * foot, .wall_height = 18 * foot});
    FixtureReach& line = report.reaches[0];
    line.target = "brick";
    line.level_lx = fc;
    line.goal = 8.5 * foot;
    const std::string who = "U1 (spot 4 W, 36°) on front: 1 fc reaches about 9 ft; ";
    const auto sentence = [&] { return texts_of(site, report).at(0); };
    CHECK(sentence() == who + "its target, brick, ends at 8 ft 6 in.");
    line.lamps_tried = 3;
    CHECK(sentence() == who + "its target, brick, ends at 8 ft 6 in."); // nothing is missing
    line.goal = 12 * foot;
    CHECK(sentence() == who + "its target, brick, ends at 12 ft: short by about 3 ft. No other lamp at hand "
                              "that fits does more.");
    line.better = HigherReach{"narrow", {.height = 11 * foot, .wall_height = 18 * foot}};
    CHECK(sentence().ends_with("short by about 3 ft. The spot 4 W, 15° would add about 2 ft."));
    line.better->reach.is_to_top = true;
    CHECK(sentence().ends_with(" With the spot 4 W, 15° it would reach the top."));
}

TEST_CASE("a fixture that is for no wall is not judged by the wall behind") {
    const Site site = make_front_site();
    Report report =
        make_line_report(20 * foot, "", {.level_lx = fc, .height = 3 * foot, .wall_height = 10 * foot});
    report.purposes = {{.fixture = "U1", .on = "hedge", .share = 0.4, .mean_lx = 0.5 * fc}};
    CHECK(texts_of(site, report) ==
          Sentences{"U1 (spot 4 W, 36°) lights hedge: 40 % of its lumens land there, 0.5 fc on average."});
    report.purposes[0].target = "planting";
    CHECK(texts_of(site, report).at(0).starts_with("U1 (spot 4 W, 36°) lights target planting: 40 %"));
    report.purposes[0] = {.fixture = "U1", .on = "ground", .share = 0.7, .mean_lx = 0.01 * fc};
    CHECK(texts_of(site, report).at(0) ==
          "U1 (spot 4 W, 36°) lights the open ground: 70 % of its lumens land there.");
    report.purposes[0] = {.fixture = "U1"}; // it is off
    CHECK(texts_of(site, report).size() == 1);
    CHECK(texts_of(site, report).at(0).starts_with("U1 (spot 4 W, 36°) on front: "));
    report.purposes[0] = {.fixture = "U1", .on = "front", .target = "brick"};
    CHECK(texts_of(site, report).size() == 1); // its line says more
    CHECK(texts_of(site, report).at(0).starts_with("U1 (spot 4 W, 36°) on front: 1 fc reaches about 3 ft"));
}

TEST_CASE("targets") {
    const Site site = make_front_site();
    Report report;
    report.levels_lx = {fc};
    report.targets = {{.id = "peak", .on = "front", .level_lx = fc, .wanted_share = 0.8, .share = 0.63}};
    report.targets[0].stats.mean_lx = 1.25 * fc;
    CHECK(texts_of(site, report) ==
          Sentences{"Target peak: 63 % of it gets 1 fc or more, 80 % wanted: missed. Mean 1.25 fc."});
    report.targets[0].share = 0.797; // 80 % of it, of 80 % wanted, would not read as missed
    CHECK(texts_of(site, report)
              .at(0)
              .starts_with("Target peak: just under 80 % of it gets 1 fc or more, 80 % "
                           "wanted: missed."));
    report.targets[0].share = 0.63;
    report.targets[0].better = MoreCoverage{"U1", "spot", 0.7, false};
    CHECK(texts_of(site, report)
              .at(0)
              .ends_with("missed. Mean 1.25 fc. With the spot 4 W, 36° in U1 it would be 70 %."));
    report.targets[0].better = MoreCoverage{"U1", "plain", 0.85, true};
    report.seen = {make_seen("peak", "drive", 10 * foot)};
    CHECK(texts_of(site, report)
              .at(0)
              .ends_with("With the plain in U1 it would be 85 %: reached. Seen from drive: lit to about 10 "
                         "ft of 18 ft."));
    report.targets[0].better.reset();
    report.seen.clear();
    report.targets[0].share = 0.8;
    report.targets[0].is_reached = true;
    CHECK(texts_of(site, report) ==
          Sentences{"Target peak: 80 % of it gets 1 fc or more, 80 % wanted: reached. Mean 1.25 fc."});
}

TEST_CASE("how a thing reads from one place") {
    SeenFeature seen = make_seen("peak", "drive", 12 * foot);
    const auto reads = [&] { return print_sighting(seen, LengthUnit::foot); };
    CHECK(reads() == "lit to about 12 ft of 18 ft");
    seen.faint.main.to = 15 * foot;
    CHECK(reads() == "lit to about 12 ft of 18 ft, faint to about 15 ft");
    seen.faint.is_to_top = true;
    CHECK(reads() == "lit to about 12 ft of 18 ft, faint above");
    seen.faint.main.to = 12.3 * foot;
    CHECK(reads() == "lit to about 12 ft of 18 ft"); // nobody sees 4 inches
    seen.lit.main = {8 * foot, 18 * foot};
    seen.lit.is_to_top = true;
    CHECK(reads() == "lit from about 8 ft to its top, 18 ft");
    seen.is_missed = true;
    CHECK(reads() == "lit from about 8 ft to its top, 18 ft, with less light than wanted");
    seen.lit.is_to_top = false; // which says so itself
    CHECK(reads() == "lit from about 8 ft to about 18 ft of 18 ft");
    seen.lit.is_to_top = true;
    seen.is_missed = false;
    seen.seen_to = 14 * foot; // a picture that cuts it off
    CHECK(reads() == "lit from about 8 ft as far up as it is seen, about 14 ft of 18 ft");
    seen.sighting = Sighting::faint;
    seen.faint.is_to_top = false;
    CHECK(reads() == "faint, to about 12.5 ft of 18 ft");
    seen.is_upright = false;
    CHECK(reads() == "faint");
    seen.sighting = Sighting::lit;
    CHECK(reads() == "lit");
    seen.sighting = Sighting::unlit;
    CHECK(reads() == "unlit");
    seen.sighting = Sighting::hidden;
    CHECK(reads() == "hidden from there");
    seen.sighting = Sighting::out_of_picture;
    CHECK(reads() == "out of the picture");
    // pi x 0.1 / 0.2 = 1.57 lx.
    CHECK(print_lit_rule(0.1, LightUnit::lux).starts_with("Lit means at least 0.1 cd/m2 (1.57 lx on a wall"));
}

TEST_CASE("trees are told from every view in one sentence, parts of them by the whole") {
    Site site = make_front_site();
    site.trees = {{.id = "oak"}};
    site.targets = {{.id = "upper", .on = "oak", .between = std::array{3.0, 5.0}}};
    Report report;
    report.levels_lx = {fc};
    report.targets = {{.id = "upper", .on = "oak", .level_lx = fc, .is_reached = true}};
    report.seen = {make_seen("upper", "drive", 4), make_seen("oak", "drive", 12 * foot)};
    report.seen[1].is_tree = true;
    report.seen.push_back(report.seen[1]);
    report.seen.back().from = {Viewpoint::Kind::north, ""};
    report.seen.push_back(report.seen[1]);
    report.seen.back().from.view = "street";
    report.seen.back().sighting = Sighting::unlit;
    const Sentences texts = texts_of(site, report);
    REQUIRE(texts.size() == 2);
    CHECK(texts[0].ends_with("Mean 0 fc.")); // nothing is said twice
    CHECK(texts[1] ==
          "oak, seen from drive: lit to about 12 ft of 18 ft; from the north: the same; from street: "
          "unlit.");
    // A target that is the tree as a whole speaks for it.
    site.targets[0].between.reset();
    CHECK(texts_of(site, report).at(0).ends_with("Seen from drive: lit to about 13 ft of 18 ft."));
}

TEST_CASE("spill, and the order of the sentences") {
    const Site site = make_front_site();
    Report report = make_line_report(20 * foot, "", {.level_lx = fc, .wall_height = 10 * foot});
    report.targets = {{.id = "T", .level_lx = fc}};
    report.seen = {make_seen("oak", "drive", 3)};
    report.seen[0].is_tree = true;
    report.spill = {.emitted_lm = 1680, .target_lm = 840, .other_lm = 420, .ground_lm = 3, .sky_lm = 417};
    const Sentences sentences = texts_of(site, report);
    REQUIRE(sentences.size() == 4);
    CHECK(sentences[0].starts_with("U1"));
    CHECK(sentences[1].starts_with("Target T"));
    CHECK(sentences[2].starts_with("oak"));
    CHECK(sentences[3] == "Of 1,680 lm that leave the fixtures, 50 % land on targets, 25 % on other things, "
                          "0.2 % on the ground and 25 % go to the sky.");
    // Of 1,680 lm 84 are 5 %.
    report.spill.sky_bounced_lm = 84;
    CHECK(texts_of(site, report)
              .back()
              .ends_with("25 % go to the sky; lit surfaces send another 5 % up to it."));
    report.spill = {};
    CHECK(texts_of(site, report).size() == 3); // nothing is lit: nothing to say
}

TEST_CASE("every sentence says what it is about") {
    const Site site = make_front_site();
    Report report = make_line_report(20 * foot, "", {.level_lx = fc, .wall_height = 10 * foot});
    report.targets = {{.id = "T", .on = "bed", .level_lx = fc}};
    report.seen = {make_seen("oak", "front", 3)};
    report.seen[0].is_tree = true;
    report.seen[0].on = "oak";
    report.spill = {.emitted_lm = 100, .sky_lm = 100};
    const std::vector<Sentence> sentences = print_answers(site, report);
    REQUIRE(sentences.size() == 4);
    CHECK(sentences[0].fixture == "U1");
    CHECK(sentences[0].surface == "front");
    CHECK(sentences[0].target.empty());
    CHECK(sentences[1].target == "T");
    CHECK(sentences[1].surface == "bed");
    CHECK(sentences[1].fixture.empty());
    CHECK(sentences[2].tree == "oak");
    CHECK(sentences[2].surface == "oak"); // not the view it is seen from
    CHECK(sentences[3].surface.empty());
    CHECK(sentences[3].fixture.empty());
}

TEST_CASE("light-loss factors by fixture") {
    CHECK(print_light_loss({}) == "No light loss is taken off: new lamps behind clean lenses.");
    std::vector<LitFixture> fixtures(4);
    for (std::size_t i = 0; i < fixtures.size(); ++i)
        fixtures[i].id = "U" + std::to_string(i + 1);
    CHECK(print_light_loss(fixtures) == "No light loss is taken off: new lamps behind clean lenses.");
    fixtures[0].loss = {.dirt = 0.9};
    CHECK(print_light_loss(fixtures) == "Light-loss factors: U1: dirt 0.9.");
    // 0.95 x 0.8 = 0.76 and 0.95 x 0.9 x 0.9 x 0.5 = 0.384750.
    fixtures[1].loss = {.tolerance = 0.95, .depreciation = 0.8};
    fixtures[2].loss = {.tolerance = 0.95, .depreciation = 0.9, .dirt = 0.9, .own = 0.5};
    fixtures[3].loss = fixtures[0].loss;
    CHECK(print_light_loss(fixtures) ==
          "Light-loss factors: U1, U4: dirt 0.9; U2: 0.76 (lamp tolerance 0.95, depreciation 0.8); "
          "U3: 0.385 (lamp tolerance 0.95, depreciation 0.9, dirt 0.9, its own 0.5).");
}

TEST_CASE("a plate's note says how much of the light of new lamps is counted") {
    std::vector<LitFixture> fixtures(2);
    CHECK(print_estimate_note(fixtures) ==
          "Estimate for new lamps behind clean lenses; dirt, voltage and aiming shift it. Check after dark.");
    // 0.95 x 0.9 x 0.9 = 0.7695 and 0.95 x 0.9 x 0.8 = 0.684.
    fixtures[0].loss = fixtures[1].loss = {.tolerance = 0.95, .depreciation = 0.9, .dirt = 0.9};
    CHECK(print_estimate_note(fixtures) == "Estimate for lamps in use, with 77 % of the light of new ones; "
                                           "voltage and aiming shift it. Check after dark.");
    fixtures[1].loss.dirt = 0.8;
    CHECK(print_estimate_note(fixtures) ==
          "Estimate for lamps in use, with 68 to 77 % of the light of new ones; "
          "voltage and aiming shift it. Check after dark.");
}

TEST_CASE("light-loss factors of variants are said once where they are alike") {
    Site drawn{.is_as_new = true}, other{.is_as_new = true};
    drawn.fixtures.resize(2);
    drawn.fixtures[0].id = "U1";
    drawn.fixtures[1].id = "U2";
    CHECK(print_light_losses(drawn) == "No light loss is taken off: new lamps behind clean lenses.");
    drawn.fixtures[0].light_loss_factor = drawn.fixtures[1].light_loss_factor = 0.8;
    other.fixtures = drawn.fixtures;
    CHECK(print_light_losses({{"as drawn", &drawn}, {"brighter", &other}}) ==
          "Light-loss factors: U1, U2: its own 0.8.");
    other.fixtures[0].light_loss_factor = 0.7;
    other.fixtures[1].light_loss_factor = 1;
    CHECK(print_light_losses({{"as drawn", &drawn}, {"brighter", &other}}) ==
          "Light-loss factors: U1, U2: its own 0.8; U1 (brighter): its own 0.7; U2 (brighter): nothing taken "
          "off.");
}

TEST_CASE("the table of surfaces leaves out dark ones that nobody asks about") {
    Site site = make_front_site();
    site.name = "House";
    Stage stage;
    stage.surfaces.resize(3);
    stage.surfaces[0].id = "front";
    stage.surfaces[0].kind = SurfaceKind::wall;
    stage.surfaces[1].id = "bed";
    stage.surfaces[1].kind = SurfaceKind::ground;
    stage.surfaces[2].id = "lawn";
    stage.surfaces[2].kind = SurfaceKind::ground;
    Report report;
    report.levels_lx = {fc, 2 * fc};
    report.surfaces.resize(3);
    for (int i = 0; i < 3; ++i)
        report.surfaces[i].surface = i;
    // The wall is shown, however dark. A tenth of the lowest level is where ground begins to count.
    report.surfaces[1].stats = {
        .min_lx = 0.05 * fc, .mean_lx = 0.1 * fc, .max_lx = 1.5 * fc, .coverage = {{fc, 0.25}, {2 * fc, 0}}};
    report.surfaces[1].bounced_lx = 0.02 * fc;
    report.surfaces[2].stats.max_lx = 0.09 * fc;
    CHECK(print_surface_table(site, stage, report) ==
          Sentences{
              "House   light in fc, shares of the area at or above each level",
              "surface                       min     mean      max  bounced       >=1       >=2   reach at 1",
              "front                           0        0        0        0",
              "bed                          0.05      0.1      1.5     0.02      25 %       0 %"});
    report.surfaces[0].stats.coverage = {{fc, 0}, {2 * fc, 0}};
    report.surfaces[0].best_reach = {{.level_lx = fc, .height = 9 * foot}};
    CHECK(print_surface_table(site, stage, report)[2].ends_with("0       0 %       0 %   9 ft"));
}

TEST_CASE("the table beside the reference") {
    Site site = make_front_site();
    site.light = LightUnit::lux;
    Stage stage;
    stage.surfaces.resize(1);
    stage.surfaces[0].id = "front";
    const Agreement row{.surface = 0,
                        .sensors = 40,
                        .total_lx = 12.5,
                        .reference_lx = 12.3,
                        .standard_error_lx = 0.25,
                        .agreeing = 0.95,
                        .mean_difference_se = -0.31,
                        .rms_difference_se = 1.26};
    CHECK(print_agreement_table(site, stage, {row}, 500) ==
          Sentences{
              "",
              "Compared with 500 traced paths per sensor; agreeing: within 5 %, three standard errors or "
              "0.001 lx;",
              "off and rms off: mean and root mean square of the differences, each in standard errors; "
              "0 and 1 if only the paths' noise is left",
              "surface                           mean      by paths          +-  agreeing     off  rms off",
              "front                          12.5 lx       12.3 lx     0.25 lx      95 %    -0.3      1.3"});
}
