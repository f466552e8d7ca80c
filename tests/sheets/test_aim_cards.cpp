// Cards to aim by: every way of standing, tilting and turning, and what the trigonometry of each is.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/report.hpp"
#include "duskcast/sheets/aim_sheet.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

/// Cards of a site whose report and load are given by hand.
struct Cards {
    Site site;
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    MeterModel model;
    Report report;
    std::optional<LoadReport> load;

    explicit Cards(const std::string& things)
        : site(read_site(R"({"duskcast": 1, "name": "Yard", "units": "ft", "light": "fc", "as_new": true,
            "sensor_spacing": "2 ft", "ground_spacing": "4 ft", "leaf_sensors": 10,
            "lamps": [{"id": "l", "name": "lamp 5 W", "watts": 5, "candela": 800, "beam": 40}], )" +
                             things + "}",
                         "yard.site.json")
                   .site),
          stage(build_stage(site, ".")), lighting(trace_lighting(*stage, make_fixtures(site, "."))),
          model(lighting, choose_meter_points(site, *stage, lighting.fixtures)) {}

    AimSheet sheet() const {
        return make_aim_sheet(site, lighting, report, model,
                              std::vector<MeterRange>(model.points().size(), {1, 2}), load);
    }
    AimCard card(const std::string& id) const {
        const AimSheet made = sheet();
        const auto found = std::find_if(made.cards.begin(), made.cards.end(),
                                        [&](const AimCard& one) { return one.id == id; });
        REQUIRE(found != made.cards.end());
        return *found;
    }
};

std::string fixture(const std::string& id, const std::string& rest, const std::string& kind = "uplight") {
    return R"({"id": ")" + id + R"(", "kind": ")" + kind + R"(", "lamp": "l", )" + rest + "}";
}

const std::string card_wall =
    R"("walls": [{"id": "house", "path": [[0, 0], [20, 0]], "height": "9 ft", "finish": "stucco white"}], )";
const std::string maple = R"("trees": [{"id": "red-maple", "at": [10, -20], "height": "16 ft", "base": "6 ft",
    "width": "8 ft", "trunk_diameter": "1 ft"}], )";

} // namespace

TEST_CASE("the rim's lower side is the lens times the sine of the tilt, where that can be read off a rule") {
    std::string fixtures;
    struct Row {
        double tilt_deg, lens_in;
        const char* rim; ///< after "... lower", empty: not said
    };
    // D sin t in sixteenths: 2 sin 30 = 1; 3 sin 12 = 0.6237 (10/16); 2 sin 4 = 0.1395 (2/16); 6 sin 50
    // = 4.596 (4 10/16); 1 sin 1 = 0.017 in is less than a rule shows; beyond 60 degrees nobody reads it.
    const std::vector<Row> rows{{30, 2, "1 in"},     {12, 3, "5/8 in"}, {4, 2, "1/8 in"}, {50, 6, "4 5/8 in"},
                                {60, 2, "1 3/4 in"}, {1, 1, ""},        {61, 2, ""},      {0, 2, ""}};
    for (std::size_t i = 0; i < rows.size(); ++i)
        fixtures += (i ? ", " : "") +
                    fixture("F" + std::to_string(i),
                            "\"wall\": \"house\", \"along\": " + std::to_string(2 + 2 * i) +
                                R"(, "setback": "15 in", "tilt": )" + std::to_string(rows[i].tilt_deg) +
                                R"(, "lens_diameter": ")" + std::to_string(rows[i].lens_in) + " in\"");
    const Cards cards(card_wall + "\"fixtures\": [" + fixtures + "]");
    for (std::size_t i = 0; i < rows.size(); ++i) {
        CAPTURE(i);
        const AimCard card = cards.card("F" + std::to_string(i));
        const std::string lens = print_fine_length(rows[i].lens_in * metres_per_inch, LengthUnit::foot);
        CHECK(card.rim ==
              (*rows[i].rim ? "across the " + lens + " of its lens the wall side is " + rows[i].rim + " lower"
                            : ""));
        REQUIRE(card.tilt_degrees);
        CHECK(*card.tilt_degrees == doctest::Approx(rows[i].tilt_deg));
    }
    CHECK(cards.card("F0").tilt == "30\u00b0 from straight up");
    CHECK(cards.card("F7").tilt == "straight up");
    CHECK(cards.card("F7").way.empty()); // what points straight up points no way
}

TEST_CASE("a rim is told by what it leans toward, and not of a lens that lies flush") {
    const Cards cards(
        maple + "\"fixtures\": [" +
        fixture(
            "T",
            R"("tree": "red-maple", "bearing": 90, "setback": "2 ft", "tilt": 10, "lens_diameter": "3 in")") +
        ", " +
        fixture("E", R"("at": [4, -6], "tilt": 25, "azimuth": 45, "lens_diameter": "3 in")", "bullet") +
        ", " +
        fixture("G", R"("at": [2, -6], "tilt": 15, "azimuth": 300, "lens_diameter": "3 in")", "in-ground") +
        "]");
    CHECK(cards.card("T").rim.find("the trunk side is 1/2 in lower") !=
          std::string::npos); // 3 sin 10 = 0.521
    CHECK(cards.card("E").rim.find("the far side is 1 1/4 in lower") !=
          std::string::npos); // 3 sin 25 = 1.268
    CHECK(cards.card("G").rim.empty());
    CHECK(cards.card("T").stands == "24 in back from the bark, lens 6 in up");
    CHECK(cards.card("E").stands.starts_with("lens "));
    CHECK(cards.card("E").way == "toward the north-east, 45\u00b0");
    CHECK(cards.card("G").way == "toward the west-north-west, 300\u00b0");
    CHECK(cards.card("T").place == "at the trunk of red maple, on its east side (90\u00b0 from north)");
    CHECK(cards.card("T").way == "at the trunk (west, 270\u00b0)"); // from the east of it one looks west
}

TEST_CASE("turns are counted from square to the wall, and two degrees are none") {
    std::string fixtures;
    const std::vector<std::pair<double, std::string>> rows{
        {0, "square to the wall (north, 0\u00b0)"},
        {1.5, "square to the wall (north, 2\u00b0)"},
        {-20, "20\u00b0 to the left of square to the wall (north-north-west, 340\u00b0)"},
        {35, "35\u00b0 to the right of square to the wall (north-east, 35\u00b0)"}};
    for (std::size_t i = 0; i < rows.size(); ++i)
        fixtures +=
            (i ? ", " : "") +
            fixture("F" + std::to_string(i), "\"wall\": \"house\", \"along\": " + std::to_string(4 + 3 * i) +
                                                 R"(, "tilt": 12, "turn": )" + std::to_string(rows[i].first));
    // The same direction given as an azimuth reads the same.
    fixtures += ", " + fixture("A", R"("wall": "house", "along": 18, "tilt": 12, "azimuth": 340)");
    const Cards cards(card_wall + "\"fixtures\": [" + fixtures + "]");
    for (std::size_t i = 0; i < rows.size(); ++i)
        CHECK(cards.card("F" + std::to_string(i)).way == rows[i].second);
    CHECK(cards.card("A").way == rows[2].second);
}

TEST_CASE("what points down is told from straight down, and gives a phone nothing to lie on") {
    const Cards cards(
        maple + "\"fixtures\": [" +
        fixture("D1",
                R"("tree": "red-maple", "bearing": 0, "mount": "tree", "lens_height": "12 ft", "tilt": 165)",
                "downlight") +
        ", " + fixture("D2", R"("at": [1, 1], "lens_height": "9 ft", "tilt": 179)", "downlight") + ", " +
        fixture("P", R"("at": [5, 5], "lens_height": "18 in", "tilt": 180)", "path") + "]");
    CHECK(cards.card("D1").tilt == "15\u00b0 from straight down");
    CHECK(cards.card("D2").tilt == "straight down");
    CHECK(cards.card("P").tilt == "stake plumb, hat level");
    for (const char* id : {"D1", "D2", "P"}) {
        CHECK(!cards.card(id).tilt_degrees);
        CHECK(cards.card(id).rim.empty());
    }
    CHECK(cards.card("D2").way.empty());
    CHECK(cards.card("P").stands == "lens 18 in up");
}

TEST_CASE("where a fixture stands is taped from the nearest two things that stay where they are") {
    // Right triangles of 3, 4, 5 and 5, 12, 13.
    const Cards trees(
        R"("trees": [{"id": "oak", "at": [0, 0], "height": "12 ft", "base": "5 ft", "width": "4 ft"},
        {"id": "white-elm", "at": [15, 0], "height": "12 ft", "base": "5 ft", "width": "4 ft"},
        {"id": "far", "at": [90, 0], "height": "12 ft", "base": "5 ft", "width": "4 ft"}], "fixtures": [)" +
        fixture("F", R"("at": [3, -4])", "path") + ", " + fixture("G", R"("at": [10, 12])", "path") + "]");
    CHECK(trees.card("F").place.starts_with("5 ft from the trunk of oak and "));
    CHECK(trees.card("G").place.starts_with("13 ft from the trunk of white elm and "));
    const Cards house(card_wall + "\"fixtures\": [" + fixture("F", R"("at": [3, -4])", "path") + "]");
    CHECK(house.card("F").place.starts_with("5 ft from the west end of house and 17 ft"));
    CHECK(house.card("F").place.ends_with(" from the east end of house"));
    const Cards bed(R"("ground": {"margin": "1 ft", "areas": [{"id": "rose-bed", "kind": "bed",
        "outline": [[0, 0], [9, 0], [9, 6]]}]}, "fixtures": [)" +
                    fixture("F", R"("at": [3, -4])", "path") + "]");
    CHECK(bed.card("F").place.starts_with(
        "5 ft from the corner of rose bed 0 in east and 0 in north of the plan's origin and "));
    const Cards lawn("\"fixtures\": [" + fixture("F", R"("at": [3, -4])", "path") + "]");
    CHECK(lawn.card("F").place == "3 ft east and -4 ft north of the plan's origin");
}

TEST_CASE("a wall's fixture is taped from the nearer corner of its face") {
    const Cards cards(
        R"("walls": [{"id": "back-house", "path": [[0, 0], [20, 0], [20, 12]], "height": "9 ft"}], "fixtures": [)" +
        fixture("A", R"("wall": "back-house", "along": 9)") + ", " +
        fixture("B", R"("wall": "back-house", "along": 13.5)") + ", " +
        fixture("C", R"("wall": "back-house", "along": 23)") + ", " +
        fixture("D", R"("wall": "back-house", "along": 31)") + "]");
    CHECK(cards.card("A").place == "9 ft from the left corner of the south face of back house");
    CHECK(cards.card("B").place == "6 ft 6 in from the right corner of the south face of back house");
    CHECK(cards.card("C").place == "3 ft from the left corner of the east face of back house");
    CHECK(cards.card("D").place == "1 ft from the right corner of the east face of back house");
}

TEST_CASE("what a fixture lights and where its light stops comes from the report") {
    Cards cards(card_wall + maple + "\"fixtures\": [" + fixture("U", R"("wall": "house", "along": 9)") +
                ", " + fixture("T", R"("tree": "red-maple", "bearing": 0)") + "]");
    CHECK(cards.card("U").lights.empty());
    CHECK(cards.card("U").stops == "short of windows, roads and eyes");
    cards.report.purposes = {{.fixture = "U", .on = "house", .target = "front-door"},
                             {.fixture = "T", .on = "red-maple"}};
    CHECK(cards.card("U").lights == "the front door");
    CHECK(cards.card("T").lights == "the red maple");
    cards.report.purposes[0] = {.fixture = "U", .on = "ground"};
    CHECK(cards.card("U").lights == "the open ground");
    cards.report.purposes[0] = {.fixture = "U", .on = ""};
    CHECK(cards.card("U").lights == "nothing within reach");

    cards.report.purposes[0] = {.fixture = "U", .on = "house"};
    FixtureReach reach{.fixture = "U", .surface = "house", .level_lx = 2 * lux_per_footcandle};
    reach.levels = {{.level_lx = lux_per_footcandle, .height = 3, .wall_height = 9 * metres_per_foot},
                    {.level_lx = 2 * lux_per_footcandle,
                     .height = 7 * metres_per_foot,
                     .wall_height = 9 * metres_per_foot}};
    cards.report.reaches = {reach};
    CHECK(cards.card("U").stops == "at about 7 ft up: there 2 fc ends");
    cards.report.reaches[0].levels[1].is_to_top = true;
    CHECK(cards.card("U").stops == "at the top of the wall, 9 ft; none past the edge");
    cards.report.reaches[0].levels[1].height.reset(); // the level is reached nowhere
    CHECK(cards.card("U").stops == "short of windows, roads and eyes");
    cards.report.reaches[0].levels[1].height = 1;
    cards.report.reaches[0].surface = "house.bay"; // a part of what it lights counts
    CHECK(cards.card("U").stops.starts_with("at the top"));
    cards.report.reaches[0].surface = "household"; // another thing does not
    CHECK(cards.card("U").stops == "short of windows, roads and eyes");

    SeenFeature seen{.feature = "red-maple", .is_tree = true, .on = "red-maple", .sighting = Sighting::lit};
    seen.lit.main = {0, 14 * metres_per_foot};
    cards.report.seen = {seen};
    CHECK(cards.card("T").stops == "in the crown, about 14 ft up; none past its edge");
    cards.report.seen[0].sighting = Sighting::faint;
    cards.report.seen[0].lit = {};
    cards.report.seen[0].faint.main = {0, 9 * metres_per_foot};
    CHECK(cards.card("T").stops == "in the crown, about 9 ft up; none past its edge");
    cards.report.seen[0].sighting = Sighting::unlit;
    CHECK(cards.card("T").stops == "short of windows, roads and eyes");
}

TEST_CASE("volts are told of fixtures on a run that could be worked out") {
    Cards cards(card_wall + "\"fixtures\": [" + fixture("U", R"("wall": "house", "along": 9)") + ", " +
                fixture("V", R"("wall": "house", "along": 12)") + "]");
    CHECK(!cards.card("U").volts);
    LoadReport load;
    load.runs.resize(2);
    load.runs[0].is_found = true;
    load.fixtures.resize(2);
    load.fixtures[0].id = "U";
    load.fixtures[0].volts = 11.4;
    load.fixtures[1].id = "V";
    load.fixtures[1].run = 1;
    load.fixtures[1].volts = 3;
    cards.load = load;
    CHECK(cards.card("U").volts == 11.4);
    CHECK(!cards.card("V").volts);
    const std::string page = print_aim_sheet(cards.sheet());
    CHECK(page.find("11.4 V") != std::string::npos);
    CHECK(page.find("Volts at U") != std::string::npos);
    CHECK(page.find("Volts at V") == std::string::npos);
}

TEST_CASE("a model's own name stands on the card, and the walk begins at the transformer") {
    const std::string ends = fixture("W", R"("at": [0, 0])", "path") + ", " +
                             fixture("E", R"("at": [40, 0])", "path") + ", " +
                             fixture("M", R"("at": [20, 0])", "path");
    const auto order = [](const Cards& cards) {
        std::string ids;
        for (const AimCard& card : cards.sheet().cards)
            ids += card.id;
        return ids;
    };
    CHECK(order(Cards("\"fixtures\": [" + ends + "]")) == "WME");
    const Cards fed(R"("network": {"transformers": [{"id": "T", "at": [45, 0], "va": 100}],
        "runs": [{"id": "r", "gauge": 12, "fixtures": ["E", "M", "W"]}]}, "fixtures": [)" +
                    ends + "]");
    CHECK(order(fed) == "EMW");
    CHECK(fed.card("E").kind == "path");
    CHECK(fed.card("E").lamp == "lamp 5 W");
}

TEST_CASE("where the meter is held is said from the lens, left and right as one who looks along the beam") {
    struct Row {
        MeterHold hold;
        double height_ft, ahead_in, aside_in;
        const char* words;
    };
    for (const Row& row :
         {Row{MeterHold::against_wall, 5, 0, -18, "flat on the wall, 5 ft up, 18 in to the left"},
          Row{MeterHold::against_wall, 2.5, 0, 0, "flat on the wall, 2 ft 6 in up, in line with the light"},
          Row{MeterHold::looking_down, 5, 0, 0, "level, looking down, 5 ft up, plumb over the lens"},
          Row{MeterHold::looking_down, 5, 12, 6,
              "level, looking down, 5 ft up, 12 in ahead, 6 in to the right of the lens"},
          Row{MeterHold::looking_up, 0, 0, 0, "on the ground, looking up, below the lens"},
          Row{MeterHold::looking_up, 0, 24, 0, "on the ground, looking up, 24 in ahead of the light"},
          Row{MeterHold::looking_up, 0, 0.5, -0.5, "on the ground, looking up, below the lens"}}) {
        MeterPoint point;
        point.hold = row.hold;
        point.height = row.height_ft * metres_per_foot;
        point.ahead = row.ahead_in * metres_per_inch;
        point.aside = row.aside_in * metres_per_inch;
        CHECK(print_meter_place(point, LengthUnit::foot) == row.words);
    }
    // Of a path light nobody sees which way is ahead.
    MeterPoint round{.hold = MeterHold::looking_up, .aside = -18 * metres_per_inch, .bearing = 1.5 * pi};
    CHECK(print_meter_place(round, LengthUnit::foot) ==
          "on the ground, looking up, 18 in to the west of the light");
}

TEST_CASE("fine lengths are sixteenths in lowest terms, rounded to the nearest") {
    // Every sixteenth up to 2 in, by a greatest common divisor of our own.
    for (int sixteenths = 0; sixteenths <= 32; ++sixteenths) {
        int part = sixteenths % 16, common = 16;
        while (part % 2 == 0 && common > 1 && part > 0) {
            part /= 2;
            common /= 2;
        }
        std::string wanted = sixteenths >= 16 || sixteenths == 0 ? std::to_string(sixteenths / 16) : "";
        if (part > 0)
            wanted += (wanted.empty() ? "" : " ") + std::to_string(part) + "/" + std::to_string(common);
        for (const double off : {-0.49, 0.0, 0.49})
            CHECK(print_fine_length(std::max(0.0, (sixteenths + off) / 16 * metres_per_inch),
                                    LengthUnit::foot) == wanted + " in");
    }
    CHECK(print_fine_length(0.0125, LengthUnit::metre) == "12 mm");
    CHECK(print_fine_length(0.1264, LengthUnit::metre) == "126 mm");
}
