#include <algorithm>
#include <doctest/doctest.h>

#include "../../src/sheets/captions.hpp"
#include "../../src/sheets/plate_picture.hpp"
#include "duskcast/draw/canvas.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "folder.hpp"
#include "page_words.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

struct Scene {
    Site site{.is_as_new = true};
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    Report report;

    PlateSource source() const { return {site, *stage, lighting, report}; }
};

Scene make_scene() {
    Scene scene;
    Site& site = scene.site;
    site.name = "Small house";
    Wall wall;
    wall.id = "front";
    wall.path = {{0, 0}, {6, 0}};
    wall.height = 3;
    wall.gables = {{"gable", 1, 4, 5}};
    Opening window;
    window.id = "window";
    window.from = 4.5;
    window.width = 1;
    window.sill = 1;
    window.height = 1;
    wall.openings = {window};
    Projection bay;
    bay.id = "bay";
    bay.from = 0.5;
    bay.width = 1.5;
    bay.depth = 0.6;
    bay.height = 2.5;
    wall.projections = {bay};
    site.walls = {wall};
    Tree tree;
    tree.id = "birch";
    tree.at = {9, -3};
    tree.height = 6;
    tree.base = 2;
    tree.width = 3;
    tree.foliage.leaf_size = 0.3;
    site.trees = {tree};
    Shrub hedge;
    hedge.id = "hedge";
    hedge.path = {{-1, -3}, {3, -3}};
    hedge.width = 0.5;
    hedge.height = 0.8;
    hedge.foliage.leaf_size = 0.2;
    site.shrubs = {hedge};
    Lamp lamp;
    lamp.id = "lamp";
    lamp.watts = 4;
    lamp.figures.lumens = 300;
    lamp.figures.beam_angle = radians_from_degrees(36);
    site.lamps = {lamp};
    Fixture uplight;
    uplight.id = "U1";
    uplight.lamp = "lamp";
    uplight.wall = "front";
    uplight.along = 3;
    uplight.tilt = radians_from_degrees(8);
    Fixture at_tree = uplight;
    at_tree.id = "T1";
    at_tree.wall = "";
    at_tree.tree = "birch";
    at_tree.bearing = pi;
    site.fixtures = {uplight, at_tree};
    Target target;
    target.id = "face";
    target.on = "front";
    site.targets = {target};
    scene.stage = build_stage(site, ".");
    scene.lighting = trace_lighting(*scene.stage, make_fixtures(site, "."));
    scene.report = measure_report(site, *scene.stage, scene.lighting);
    return scene;
}

const Scene& scene() {
    static const Scene made = make_scene();
    return made;
}

} // namespace

TEST_CASE("plates: one for each wall, projection, plant, and the ground") {
    std::vector<std::string> ids;
    for (const Plate& plate : list_plates(scene().source())) {
        ids.push_back(plate.id);
        if (plate.surface >= 0)
            CHECK(scene().stage->surfaces[static_cast<std::size_t>(plate.surface)].id == plate.id);
    }
    std::sort(ids.begin(), ids.end());
    CHECK(ids == std::vector<std::string>{"birch", "front", "front.bay", "ground", "hedge"});
}

TEST_CASE("plates: whole files, the same bytes each time") {
    for (const Plate& plate : list_plates(scene().source())) {
        CAPTURE(plate.id);
        for (const PictureFormat format : picture_formats(true)) {
            const std::string bytes = draw_plate(scene().source(), plate, format);
            test::check_whole_picture(bytes, format);
            CHECK((format == PictureFormat::png || bytes.find("<image") != std::string::npos));
            CHECK(draw_plate(scene().source(), plate, format) == bytes);
        }
    }
}

TEST_CASE("plates: no word on another, and the fixtures that light a thing are named on its plate") {
    for (const Plate& plate : list_plates(scene().source())) {
        CAPTURE(plate.id);
        const DrawnPage page = make_plate_page(scene().source(), plate, PictureFormat::svg);
        test::check_apart(page, 2);
        CHECK(page.bytes == draw_plate(scene().source(), plate, PictureFormat::svg));
        const bool is_ground = plate.surface < 0;
        CHECK((test::count_words(page, "U1") >= 1) == (is_ground || plate.id == "front"));
        CHECK((test::count_words(page, "T1") >= 1) == (is_ground || plate.id == "birch"));
    }
}

TEST_CASE("plates: every name used in an SVG is defined in it") {
    const std::string svg =
        draw_plate(scene().source(), list_plates(scene().source()).front(), PictureFormat::svg);
    int used = 0;
    for (const std::string& before : {std::string("href=\"#"), std::string("url(#")})
        for (std::size_t at = svg.find(before); at != std::string::npos;
             at = svg.find(before, at + 1), ++used) {
            const std::size_t begin = at + before.size();
            const std::string name = svg.substr(begin, svg.find_first_of("\")", begin) - begin);
            CHECK_MESSAGE(svg.find("id=\"" + name + "\"") != std::string::npos, name);
        }
    CHECK(used > 0); // the light is clipped to the wall
}

TEST_CASE("captions: a wall, its heights and its fixtures as the trade says it") {
    const Stage& stage = *scene().stage;
    const Surface& front = stage.surfaces[static_cast<std::size_t>(stage.find_surface("front"))];
    const WallSheet sheet = make_wall_sheet(scene().source(), front);
    CHECK(sheet.text.title == "Small house \u2013 front");
    CHECK(sheet.text.detail.starts_with(
        "Wall unfolded to scale, 19 ft 8 in wide, 16 ft 5 in high, seen from outside. Mean "));
    REQUIRE(sheet.heights.size() == 2);
    CHECK(sheet.heights[0].text == "peak 16 ft 5 in"); // 5 m
    CHECK(sheet.heights[1].text == "eave 9 ft 10 in"); // 3 m
    REQUIRE(sheet.fixtures.size() == 1);
    CHECK(sheet.fixtures[0].text.id == "U1");
    CHECK(sheet.fixtures[0].text.lamp == "lamp, 4 W");
    CHECK(sheet.fixtures[0].text.placed == "15 in back, tilt 8\u00b0");
    CHECK(sheet.fixtures[0].along == doctest::Approx(3));
    CHECK(sheet.fixtures[0].reach.has_value());
    CHECK(sheet.reach_key == "1 fc reaches this height on the fixture's line, all lamps lit");
    // Its own sentences and its target's, word for word; not the tree's.
    REQUIRE(sheet.text.answers.size() == 2);
    CHECK(sheet.text.answers[0].starts_with("U1 "));
    CHECK(sheet.text.answers[1].starts_with("Target face"));
    const std::vector<Sentence> said = print_answers(scene().site, scene().report);
    for (const std::string& answer : sheet.text.answers)
        CHECK(std::any_of(said.begin(), said.end(),
                          [&](const Sentence& sentence) { return sentence.text == answer; }));
}

TEST_CASE("captions: a tree from two sides with its bands, its fixture in front") {
    const Stage& stage = *scene().stage;
    const Surface& birch = stage.surfaces[static_cast<std::size_t>(stage.find_surface("birch"))];
    const BodySheet sheet = make_body_sheet(scene().source(), birch);
    REQUIRE(sheet.elevations.size() == 2);
    CHECK(sheet.elevations[0].from == "from the south");
    CHECK(sheet.elevations[1].from == "from the north");
    CHECK(sheet.heights[0].text == "top 19.5 ft"); // 6 m
    REQUIRE(!sheet.bands.empty());
    CHECK(sheet.bands.front().from == doctest::Approx(2).epsilon(0.01));
    CHECK(sheet.bands.back().to == doctest::Approx(6).epsilon(0.01));
    REQUIRE(sheet.fixtures.size() == 1);
    CHECK(sheet.fixtures[0].text.id == "T1");
    CHECK(sheet.fixtures[0].plan.y < 0); // bearing south
}

TEST_CASE("captions: everything on the plan") {
    const GroundSheet sheet = make_ground_sheet(scene().source());
    CHECK(sheet.grounds.size() == 1);
    REQUIRE(sheet.walls.size() == 2); // the wall and its bay
    CHECK_FALSE(sheet.walls[0].is_closed);
    CHECK(sheet.walls[1].points.size() == 4);
    CHECK(sheet.trees.size() == 1);
    CHECK(sheet.shrubs.size() == 1);
    REQUIRE(sheet.fixtures.size() == 2);
    CHECK(sheet.fixtures[0].stem.y > 0); // towards the wall, which stands north of it
    CHECK(sheet.fixtures[1].stem.y > 0); // south of the trunk
    REQUIRE(sheet.text.answers.size() == 1);
    CHECK(sheet.text.answers[0].starts_with("Of "));
}
