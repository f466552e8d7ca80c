// What a client is told: counts, names and grammar, on reports written by hand.

#include <doctest/doctest.h>

#include "duskcast/base/text.hpp"
#include "duskcast/sheets/client_words.hpp"

using namespace duskcast;
using Lines = std::vector<std::string>;

namespace {

Fixture make_fixture(const std::string& id, FixtureKind kind) {
    Fixture fixture;
    fixture.id = id;
    fixture.kind = kind;
    return fixture;
}

Site make_garden() {
    Site site;
    site.units = LengthUnit::foot;
    site.walls = {Wall{.id = "front", .path = {{0, 0}, {6, 0}}, .height = 3, .finish = {}}};
    site.trees = {Tree{.id = "red_maple", .height = 6, .base = 2, .width = 4}};
    site.ground.areas = {
        {.id = "front-walk", .kind = GroundKind::paving, .outline = {{0, -3}, {6, -3}, {6, -2}}},
        {.id = "bed", .kind = GroundKind::bed, .outline = {{0, -1}, {6, -1}, {6, 0}}}};
    site.fixtures = {make_fixture("U1", FixtureKind::uplight),   make_fixture("U2", FixtureKind::bullet),
                     make_fixture("G1", FixtureKind::in_ground), make_fixture("W1", FixtureKind::wash),
                     make_fixture("P1", FixtureKind::path),      make_fixture("P2", FixtureKind::path),
                     make_fixture("D1", FixtureKind::downlight)};
    return site;
}

SeenFeature seen_from(const std::string& view, const std::string& feature, bool is_tree, Sighting sighting,
                      double luminance = 1) {
    return {.feature = feature,
            .is_tree = is_tree,
            .on = feature,
            .from = {Viewpoint::Kind::view, view},
            .sighting = sighting,
            .luminance = luminance};
}

} // namespace

TEST_CASE("service is said in years and months, and which lights a tree grows away from") {
    const Site site = make_garden();
    ServicePlan plan{.lamp_life = 25000,
                     .hours_a_night = 5,
                     .nights = 365,
                     .lamp_years = 13.7,
                     .clean_months = 12,
                     .lost_to_dirt = 0.1};
    plan.trees.push_back({"red_maple", {"U1", "U2"}, 1, 20 * metres_per_foot});
    CHECK(
        print_service(site, plan) ==
        Lines{"Lamps: rated for 25,000 hours. At 5 hours a night on 365 nights a year that is about 14 "
              "years; plan "
              "to replace them then, all at once.",
              "Lenses: wiped clean every 12 months; the design allows for 10 % less light by then.",
              "The red maple: in about one year, when it is 20 ft tall, aim the two uplights at it again."});
    plan.lamp_years.reset();
    plan.lost_to_dirt = 0;
    plan.trees.clear();
    CHECK(print_service(site, plan) == Lines{"Lenses: wiped clean every 12 months."});
}

TEST_CASE("ids are said as people say them") {
    struct Row {
        const char *id, *spoken, *title;
    };
    for (const Row& row :
         {Row{"front-walk", "front walk", "Front walk"}, Row{"red_maple", "red maple", "Red maple"},
          Row{"front.bay-2", "front bay 2", "Front bay 2"}, Row{"Oak", "Oak", "Oak"},
          Row{"2nd-tree", "2nd tree", "2nd tree"}, Row{"", "", ""}}) {
        CHECK(spoken_name(row.id) == row.spoken);
        CHECK(titled(spoken_name(row.id)) == row.title);
    }
}

TEST_CASE("views that people know by what they do there are named so") {
    CHECK(print_viewpoint("arriving") == "As you arrive");
    CHECK(print_viewpoint("Leaving") == "As you leave");
    CHECK(print_viewpoint("street") == "From the street");
    CHECK(print_viewpoint("kitchen-window") == "From the kitchen window");
}

TEST_CASE("counts are words up to twelve and figures from there on") {
    const std::vector<const char*> words{"no",    "one",  "two", "three",  "four",   "five", "six", "seven",
                                         "eight", "nine", "ten", "eleven", "twelve", "13",   "14"};
    for (std::size_t count = 0; count < words.size(); ++count)
        CHECK(print_count(count) == words[count]);
    CHECK(print_count(120) == "120");
}

TEST_CASE("fixtures are counted by their kind, in the order they come in, with one 'and'") {
    const Site site = make_garden();
    CHECK(print_lights(site, {}) == "no lights");
    CHECK(print_lights(site, {"G1"}) == "one in-ground light");
    CHECK(print_lights(site, {"U1", "U2"}) == "two uplights"); // a bullet is an uplight to a client
    CHECK(print_lights(site, {"P1", "W1", "P2"}) == "two path lights and one wash light");
    CHECK(print_lights(site, {"D1", "P1", "G1", "U1"}) ==
          "one downlight, one path light, one in-ground light and one uplight");
    CHECK(print_lights(site, {"gone"}) == "one light");
}

TEST_CASE("the verb fits what is lit: ways are lit over, walls are grazed from below, the rest is lit") {
    const Site site = make_garden();
    const auto said = [&](const std::string& id, const std::string& on, const Lines& fixtures,
                          bool is_tree = false) {
        return print_lit_thing(site, {.id = id, .on = on, .is_tree = is_tree, .fixtures = fixtures});
    };
    CHECK(said("front-walk", "front-walk", {"P1"}) == "One path light lights the way over the front walk.");
    CHECK(said("front-walk", "front-walk", {"P1", "P2"}) ==
          "Two path lights light the way over the front walk.");
    CHECK(said("bed", "bed", {"D1"}) == "One downlight lights the bed."); // nobody walks there
    CHECK(said("bed", "bed", {"U1"}) == "One uplight lights the bed.");
    CHECK(said("gate", "ground", {"D1"}) == "One downlight lights the way over the gate.");
    CHECK(said("peak", "front", {"U1"}) == "One uplight grazes the peak.");
    CHECK(said("peak", "front", {"U1", "U2"}) == "Two uplights graze the peak.");
    CHECK(said("peak", "front", {"U1", "D1"}) == "One uplight and one downlight light the peak.");
    CHECK(said("front", "front", {"D1"}) == "One downlight lights the front.");
    CHECK(said("red_maple", "red_maple", {"U1"}, true) == "One uplight lights the red maple.");
    CHECK(said("peak", "front", {}) == "The peak takes its light from the fixtures beside it.");
}

TEST_CASE("what is seen of a thing, and how much of a way gets its light, is added") {
    const Site site = make_garden();
    SeenFeature maple = seen_from("arriving", "red_maple", true, Sighting::lit);
    maple.is_upright = true;
    maple.high = maple.seen_to = 20 * metres_per_foot;
    maple.lit = {.all = {{0, 12 * metres_per_foot}}, .main = {0, 12 * metres_per_foot}};
    maple.faint = {.all = {{0, 15 * metres_per_foot}}, .main = {0, 15 * metres_per_foot}};
    LitThing thing{.id = "red_maple", .on = "red_maple", .is_tree = true, .fixtures = {"U1"}, .seen = &maple};
    CHECK(
        print_lit_thing(site, thing) ==
        "One uplight lights the red maple. As you arrive, it is lit to about 12 ft of 20 ft, faint to about "
        "15 ft.");
    maple.from = {Viewpoint::Kind::south, ""};
    maple.lit.main.to = maple.high;
    maple.lit.is_to_top = true;
    CHECK(print_lit_thing(site, thing) ==
          "One uplight lights the red maple. Seen from the south, it is lit to its top, 20 ft.");
    // A wall a storey up: its heights count from its foot, what is told from the ground.
    Site tall = site;
    tall.walls.push_back(
        {.id = "upper", .path = {{0, 0}, {6, 0}}, .foot = 10 * metres_per_foot, .finish = {}});
    SeenFeature peak = maple;
    peak.feature = "peak";
    peak.on = "upper";
    peak.is_tree = false;
    CHECK(print_lit_thing(tall, {.id = "peak", .on = "upper", .fixtures = {"U1"}, .seen = &peak}) ==
          "One uplight grazes the peak. Seen from the south, it is lit to its top, 30 ft.");
    peak.lit = {.all = {{0, 12 * metres_per_foot}}, .main = {0, 12 * metres_per_foot}};
    CHECK(
        print_lit_thing(tall, {.id = "peak", .on = "upper", .fixtures = {"U1"}, .seen = &peak}) ==
        "One uplight grazes the peak. Seen from the south, it is lit to about 22 ft of 30 ft, faint to about "
        "25 ft.");
    // What is dark from everywhere is not praised.
    maple.sighting = Sighting::unlit;
    CHECK(print_lit_thing(site, thing) == "One uplight lights the red maple.");
    // A wall that an eye finds lit and that gets less than was planned for it is not praised as if it got
    // all.
    TargetReport missed{.id = "peak", .on = "upper", .wanted_share = 0.5, .share = 0.344};
    peak.lit = {.all = {{0, peak.high}}, .main = {0, peak.high}, .is_to_top = true};
    peak.is_missed = true;
    const LitThing gable{.id = "peak", .on = "upper", .fixtures = {"U1"}, .target = &missed, .seen = &peak};
    CHECK(
        print_lit_thing(tall, gable) ==
        "One uplight grazes the peak. Seen from the south, it is lit to its top, 30 ft, with less light than "
        "wanted. 34 % of it gets the light planned for it, or more; 50 % should.");
    missed.share = 0.499;
    CHECK(print_lit_thing(tall, gable)
              .ends_with(" Just under 50 % of it gets the light planned for it, or more; 50 % should."));
    peak.is_missed = false;
    missed.is_reached = true;
    CHECK(print_lit_thing(tall, gable).ends_with("it is lit to its top, 30 ft."));
    const TargetReport walk{.id = "steps", .on = "front-walk", .share = 0.784, .is_reached = true};
    CHECK(print_lit_thing(site,
                          {.id = "steps", .on = "front-walk", .fixtures = {"P1", "P2"}, .target = &walk}) ==
          "Two path lights light the way over the steps. 78 % of it gets the light planned for it, or more.");
}

TEST_CASE("lit things are the targets, then what else fixtures are for, each once") {
    const Site site = make_garden();
    Report report;
    report.targets = {{.id = "peak", .on = "front"}, {.id = "crown", .on = "red_maple"}};
    report.purposes = {{.fixture = "U1", .on = "front", .target = "peak"},
                       {.fixture = "U2", .on = "red_maple", .target = "crown"},
                       {.fixture = "G1", .on = "red_maple"},
                       {.fixture = "W1", .on = "front"}, // the wall, but not its target
                       {.fixture = "P1", .on = "ground"},
                       {.fixture = "P2", .on = "front-walk"},
                       {.fixture = "D1", .on = ""}};
    const std::vector<LitThing> things = list_lit_things(site, report);
    REQUIRE(things.size() == 4);
    CHECK(things[0].id == "peak");
    CHECK(things[0].target == &report.targets[0]);
    CHECK(things[0].fixtures == Lines{"U1"});
    CHECK(things[1].id == "red_maple"); // a tree stands for the targets on it
    CHECK(things[1].is_tree);
    CHECK(things[1].fixtures == Lines{"U2", "G1"});
    CHECK(things[2].id == "front");
    CHECK(things[2].target == nullptr);
    CHECK(things[2].fixtures == Lines{"W1"});
    CHECK(things[3].id == "front-walk");
    CHECK(things[3].fixtures == Lines{"P2"});
    // Open ground is no thing, unless somebody made it a target.
    report.targets.push_back({.id = "gate", .on = "ground"});
    report.purposes[4].target = "gate";
    const std::vector<LitThing> with_gate = list_lit_things(site, report);
    REQUIRE(with_gate.size() == 5);
    CHECK(with_gate[1].id == "gate");
    CHECK(with_gate[1].fixtures == Lines{"P1"});
}

TEST_CASE("a thing is described from where it reads best") {
    const Site site = make_garden();
    Report report;
    report.targets = {{.id = "peak", .on = "front"}};
    report.purposes = {{.fixture = "U1", .on = "front", .target = "peak"}};
    const auto best = [&]() -> std::string {
        const std::vector<LitThing> things = list_lit_things(site, report);
        return things.at(0).seen ? things[0].seen->from.view : "nowhere";
    };
    CHECK(best() == "nowhere");
    report.seen = {seen_from("hedge", "peak", false, Sighting::hidden, 9),
                   seen_from("away", "peak", false, Sighting::out_of_picture, 9)};
    CHECK(best() == "nowhere");
    report.seen.push_back(seen_from("street", "peak", false, Sighting::faint, 5));
    CHECK(best() == "street");
    report.seen.push_back(seen_from("gate", "peak", false, Sighting::lit, 0.3));
    CHECK(best() == "gate");
    report.seen.push_back(seen_from("porch", "peak", false, Sighting::lit, 0.4));
    CHECK(best() == "porch");
    report.seen.push_back(seen_from("lawn", "peak", true, Sighting::lit, 7)); // a tree of that name
    CHECK(best() == "porch");
    // A tree of which only a target was looked at is described by that.
    report.targets = {{.id = "crown", .on = "red_maple"}};
    report.purposes = {{.fixture = "U1", .on = "red_maple", .target = "crown"}};
    report.seen = {seen_from("street", "crown", false, Sighting::lit)};
    CHECK(best() == "street");
}

TEST_CASE("from one view every thing that is seen there gets a sentence, dark ones too") {
    const Site site = make_garden();
    Report report;
    report.targets = {{.id = "peak", .on = "front"}, {.id = "door", .on = "front"}};
    report.purposes = {{.fixture = "U1", .on = "front", .target = "peak"},
                       {.fixture = "U2", .on = "red_maple"}};
    report.seen = {seen_from("street", "peak", false, Sighting::lit),
                   seen_from("street", "door", false, Sighting::unlit),
                   seen_from("street", "red_maple", true, Sighting::faint),
                   seen_from("drive", "peak", false, Sighting::hidden),
                   seen_from("drive", "red_maple", true, Sighting::out_of_picture)};
    CHECK(print_from_view(site, report, "street") ==
          Lines{"The peak: lit.", "The door: left in the dark.", "The red maple: faint."});
    CHECK(print_from_view(site, report, "drive").empty());
    // A tree that is a target as a whole is looked at as that.
    Site asked = site;
    asked.targets = {{.id = "crown", .on = "red_maple"}};
    report.targets.push_back({.id = "crown", .on = "red_maple"});
    report.seen[2] = seen_from("street", "crown", false, Sighting::faint);
    report.seen[4] = seen_from("drive", "crown", false, Sighting::lit);
    CHECK(print_from_view(asked, report, "street").back() == "The red maple: faint.");
    CHECK(print_from_view(asked, report, "drive") == Lines{"The red maple: lit."});
}
