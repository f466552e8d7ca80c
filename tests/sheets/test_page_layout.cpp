// Whole pages by their words: none on another, none cut off, every fixture named, every answer given.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <random>

#include "../../src/sheets/body_sheet.hpp"
#include "../../src/sheets/ground_sheet.hpp"
#include "../../src/sheets/load_marks.hpp"
#include "../../src/sheets/plate_picture.hpp"
#include "../../src/sheets/wall_sheet.hpp"
#include "duskcast/site/layout.hpp"
#include "page_words.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

/// A line's box is taller than its letters, by about this much at either end.
constexpr double slack = 2;

/// Answers are broken into lines by the page: words with ordinary spaces again.
std::string plain(std::string text) {
    for (std::size_t at; (at = text.find("\u00a0")) != std::string::npos;)
        text.replace(at, std::string("\u00a0").size(), " ");
    return text;
}

int count_plain(const DrawnPage& page, const std::string& text) {
    return static_cast<int>(
        std::count_if(page.words.begin(), page.words.end(),
                      [&](const Canvas::Words& words) { return plain(words.text) == text; }));
}

void check_text(const DrawnPage& page, const PlateText& text) {
    CHECK_MESSAGE(count_plain(page, text.title) == 1, text.title);
    CHECK_MESSAGE(count_plain(page, text.detail) == 1, text.detail);
    for (const std::string& answer : text.answers)
        CHECK_MESSAGE(count_plain(page, answer) == 1, answer);
}

/// A wall of any size with beams on it, its light a sum of round spots; drawn without a ray.
struct MadeWall {
    std::vector<double> lux;
    WallSheet sheet{{}, {}, lux, {}, {}, {}};
    Surface& surface = sheet.surface;

    MadeWall(double length, double height, int fixtures, LengthUnit unit, std::mt19937& random) {
        const auto draw = [&](double low, double high) {
            return std::uniform_real_distribution<double>(low, high)(random);
        };
        const double step = std::max(length, height) / 80;
        surface.id = surface.part_of = "front";
        surface.run = run_of({{0, 0}, {length, 0}}, false);
        surface.grid.step = step;
        surface.grid.columns = static_cast<int>(std::lround(length / step));
        surface.grid.rows = static_cast<int>(std::lround(height / step));
        const double peak = height * draw(1.2, 1.8);
        surface.outline = {{OutlineShape::Role::edge,
                            "",
                            {{0, 0}, {length, 0}, {length, height}, {length / 2, peak}, {0, height}},
                            true},
                           {OutlineShape::Role::opening,
                            "window",
                            {{length * 0.6, 0.9},
                             {length * 0.75, 0.9},
                             {length * 0.75, height * 0.7},
                             {length * 0.6, height * 0.7}},
                            true},
                           {OutlineShape::Role::projection,
                            "chimney-breast",
                            {{length * 0.1, 0},
                             {length * 0.2, 0},
                             {length * 0.2, height * 0.8},
                             {length * 0.1, height * 0.8}},
                            true}};
        std::vector<glm::dvec2> spots;
        for (int i = 0; i < fixtures; ++i) {
            WallFixture fixture;
            fixture.along = length * (i + draw(0.2, 0.8)) / fixtures;
            fixture.text = {"F" + std::to_string(i + 1), i % 3 == 0 ? "Narrow flood 5 W, 24\u00b0" : "4 W",
                            "15 in back, tilt 8\u00b0",
                            print_length(fixture.along, unit) + " from left corner"};
            fixture.height = i % 4 == 3 ? height * 0.6 : 0.15;
            if (i % 5 != 4) {
                fixture.reach = height * draw(0.2, 1);
                fixture.reach_text = print_length(*fixture.reach, unit);
            }
            spots.emplace_back(fixture.along, height * draw(0.1, 0.5));
            sheet.fixtures.push_back(fixture);
            sheet.text.answers.push_back(fixture.text.id +
                                         " on front: 1 fc reaches 9 ft 6 in alone, 11 ft with "
                                         "the other lamps lit; the wall there is 12 ft: short by 1 ft.");
        }
        for (int row = 0; row < surface.grid.rows; ++row)
            for (int column = 0; column < surface.grid.columns; ++column) {
                surface.grid.sensor.push_back(static_cast<std::int32_t>(lux.size()));
                double light = 0.01;
                for (const glm::dvec2& spot : spots)
                    light +=
                        150 * std::exp(-4 * glm::distance(spot, {(column + 0.5) * step, (row + 0.5) * step}));
                lux.push_back(light);
            }
        sheet.text.title = "A house with rather a long name on the hill \u2013 front";
        sheet.text.detail = "Wall unfolded to scale, 40 ft wide, 18 ft high, seen from outside. Mean 0.42 fc "
                            "(4.5 lx), highest 12 fc (129 lx); 38 % of it at 1 fc or more.";
        sheet.text.length = unit;
        sheet.text.light = unit == LengthUnit::foot ? LightUnit::footcandle : LightUnit::lux;
        for (const double level : {0.5, 1.0, 2.0, 5.0})
            sheet.text.levels_lx.push_back(level * lux_per_footcandle);
        sheet.reach_key = "1 fc reaches this height on the fixture's line, all lamps lit";
        sheet.heights = {{peak, "peak " + print_length(peak, unit)},
                         {height, "eave " + print_length(height, unit)}};
    }
    MadeWall(const MadeWall&) = delete; // the sheet refers to the rest
    MadeWall& operator=(const MadeWall&) = delete;
};

/// A level lattice of so many metres by so many, evenly lit.
Surface make_ground(int columns, int rows) {
    Surface ground;
    ground.id = "ground";
    ground.kind = SurfaceKind::ground;
    ground.grid.step = 1;
    ground.grid.columns = columns;
    ground.grid.rows = rows;
    for (std::int32_t i = 0; i < columns * rows; ++i)
        ground.grid.sensor.push_back(i);
    return ground;
}

Elevation make_elevation(const std::string& from, double azimuth, double width, double height) {
    Elevation elevation;
    elevation.from = from;
    elevation.azimuth = azimuth;
    elevation.step = height / 40;
    elevation.width = std::max(1, static_cast<int>(std::lround(width / elevation.step)));
    elevation.height = 40;
    elevation.u0 = -width / 2;
    elevation.lux.assign(static_cast<std::size_t>(elevation.width) * 40, 12.0f);
    elevation.cover.assign(elevation.lux.size(), 1.0f);
    return elevation;
}

} // namespace

TEST_CASE("page layout: walls of any shape with any number of fixtures") {
    std::mt19937 random(11);
    for (const auto& size : {std::pair{4.0, 2.0}, {12.0, 3.0}, {40.0, 2.5}, {2.0, 9.0}, {9.0, 6.0}})
        for (const int fixtures : {0, 1, 3, 7, 14, 30})
            for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre}) {
                const double length = size.first, height = size.second;
                const MadeWall wall(length, height, fixtures, unit, random);
                CAPTURE(length);
                CAPTURE(height);
                CAPTURE(fixtures);
                const DrawnPage page = draw_wall_sheet(wall.sheet, PictureFormat::svg);
                test::check_apart(page, slack);
                check_text(page, wall.sheet.text);
                for (const WallFixture& fixture : wall.sheet.fixtures)
                    CHECK_MESSAGE(test::count_words(page, fixture.text.id) >= 1, fixture.text.id);
                for (const RulerMark& mark :
                     wall.sheet.heights) // of a low wall the eave is close to the peak
                    if (height > 4 || &mark == &wall.sheet.heights.front())
                        CHECK_MESSAGE(test::count_words(page, mark.text) == 1, mark.text);
                CHECK(test::count_words(page, wall.sheet.reach_key) == (fixtures > 0 ? 1 : 0));
            }
}

TEST_CASE("page layout: a mark's words stand at its height and above its fixture") {
    // 640 pixels are the most that a plate is high, 1344 the most that it is wide; a wall 4 m by 2 m is drawn
    // at 320 pixels a metre, its foot below the heading and 22 pixels.
    std::mt19937 random(3);
    MadeWall wall(4, 2, 1, LengthUnit::metre, random);
    wall.surface.outline.resize(1);
    wall.surface.outline[0].points = {{0, 0}, {4, 0}, {4, 2}, {0, 2}};
    wall.sheet.heights = {{2, "top 2.00 m"}};
    wall.sheet.fixtures[0].along = 1;
    wall.sheet.fixtures[0].reach = 1.2;
    wall.sheet.fixtures[0].reach_text = "1.20 m";
    const DrawnPage page = draw_wall_sheet(wall.sheet, PictureFormat::svg);
    const double scale = 320, foot = heading_height + 22 + 2 * scale, left = page_margin + ruler_width + 32;
    const Box &top = test::find_words(page, "top 2.00 m"), &reach = test::find_words(page, "1.20 m"),
              &id = test::find_words(page, "F1");
    CHECK(std::abs(top.middle().y - (foot - 2 * scale)) < 3);
    CHECK(std::abs(reach.middle().x - (left + scale)) < 60);
    CHECK(std::abs(reach.middle().y - (foot - 1.2 * scale)) < 40);
    CHECK(std::abs(id.middle().x - (left + scale)) < 30);
    CHECK(id.top > foot);
}

TEST_CASE("page layout: trees and other bodies with their bands") {
    for (const auto& size : {std::pair{3.0, 6.0}, {12.0, 9.0}, {1.5, 0.8}, {0.4, 4.0}})
        for (const int bands : {0, 2, 9, 40})
            for (const int fixtures : {0, 1, 4, 11}) {
                const double width = size.first, height = size.second;
                BodySheet sheet;
                sheet.text.title = "House \u2013 oak";
                sheet.text.detail =
                    "Tree, 20 ft high, from two sides. Colours show the light on the side seen.";
                sheet.elevations = {make_elevation("from the south", pi, width, height),
                                    make_elevation("from the north", 0, width, height)};
                sheet.top = height;
                sheet.heights = {{height, "top 20 ft"}, {height * 0.3, "leaves 6 ft"}};
                for (int i = 0; i < fixtures; ++i) {
                    const double way = 2 * pi * i / fixtures;
                    sheet.fixtures.push_back(
                        {{"T" + std::to_string(i + 1), "5 W flood", "3 ft back, tilt 20\u00b0"},
                         {width * std::sin(way), width * std::cos(way)},
                         0.15,
                         {0, 0, 1}});
                }
                for (int i = 0; i < bands; ++i)
                    sheet.bands.push_back({height * (0.3 + 0.7 * i / bands),
                                           height * (0.3 + 0.7 * (i + 1) / bands),
                                           std::to_string(i) + " to " + std::to_string(i + 1) + " ft",
                                           "1.2 fc", "40 %", 0.4, 13});
                sheet.share_heading = "1 fc or more";
                CAPTURE(width);
                CAPTURE(height);
                CAPTURE(bands);
                CAPTURE(fixtures);
                const DrawnPage page = draw_body_sheet(sheet, PictureFormat::svg);
                test::check_apart(page, slack);
                check_text(page, sheet.text);
                for (const BodyFixture& fixture : sheet.fixtures)
                    CHECK_MESSAGE(test::count_words(page, fixture.text.id) >= 1, fixture.text.id);
                CHECK(test::count_words(page, "from the south") == 1);
                CHECK(test::count_words(page, "from the north") == 1);
                CHECK(test::count_words(page, "1 fc or more") == (bands > 0 ? 1 : 0));
                // Where there is room every band has its row, else every second or third.
                const int rows = test::count_words(page, "1.2 fc");
                CHECK(rows <= bands);
                CHECK(rows >= std::min(bands, 4));
                if (bands < 10 && height > width)
                    CHECK(rows == bands);
            }
}

TEST_CASE("page layout: the ground with everything that stands on it") {
    for (const auto& cells : {std::pair{30, 20}, {60, 12}, {10, 40}})
        for (const int fixtures : {0, 2, 9, 24}) {
            const int columns = cells.first, rows = cells.second;
            const Surface ground = make_ground(columns, rows);
            const std::vector<double> lux(ground.grid.sensor.size(), 3.0);
            const double width = columns, depth = rows;
            GroundSheet sheet{{}, {&ground}, lux};
            sheet.text.title = "House \u2013 ground";
            sheet.text.detail = "Plan, north up. Colours show the light that falls on the ground.";
            sheet.text.levels_lx = {1, 5};
            sheet.walls = {{"house",
                            {{width * 0.3, depth * 0.4},
                             {width * 0.7, depth * 0.4},
                             {width * 0.7, depth * 0.8},
                             {width * 0.3, depth * 0.8}},
                            true},
                           {"garden-wall", {{1, 1}, {width * 0.4, 1}}}};
            sheet.areas = {{"bed", {{1, 2}, {5, 2}, {5, 4}, {1, 4}}, true}};
            sheet.shrubs = {{"hedge", {{width - 3, 1}, {width - 3, depth - 1}}, false, 0.6}};
            sheet.trees = {{"oak", {width * 0.15, depth * 0.7}, 2.5, 0.2},
                           {"birch", {width * 0.85, depth * 0.2}, 1, 0.1}};
            for (int i = 0; i < fixtures; ++i)
                sheet.fixtures.push_back(
                    {"F" + std::to_string(i + 1),
                     {width * 0.3 + width * 0.4 * (i + 0.5) / fixtures, depth * 0.4 - 0.4},
                     {0, 0.5}});
            CAPTURE(columns);
            CAPTURE(fixtures);
            const DrawnPage page = draw_ground_sheet(sheet, PictureFormat::svg);
            test::check_apart(page, slack);
            check_text(page, sheet.text);
            for (const char* name : {"house", "garden-wall", "bed", "hedge", "oak", "birch", "N"})
                CHECK_MESSAGE(test::count_words(page, name) == 1, name);
            if (fixtures < 24 || columns > 10) // 24 on 4 m have no room for their names
                for (const PlanFixture& fixture : sheet.fixtures)
                    CHECK_MESSAGE(test::count_words(page, fixture.id) == 1, fixture.id);
            CHECK(test::count_words(page, "fixture and the way it points") == (fixtures > 0 ? 1 : 0));
            CHECK(test::count_words(page, "crown") == 1);
            // North is up: the birch lies south-east of the oak.
            CHECK(test::find_words(page, "birch").middle().x > test::find_words(page, "oak").middle().x);
            CHECK(test::find_words(page, "birch").middle().y > test::find_words(page, "oak").middle().y);
        }
}

TEST_CASE("page layout: cable plans and one-line diagrams name every lamp, its volts and its run") {
    for (const RunLayout layout :
         {RunLayout::daisy_chain, RunLayout::centre_fed, RunLayout::hub, RunLayout::loop})
        for (const int lamps : {1, 4, 12, 22}) {
            Site site{.is_as_new = true};
            site.name = "Yard";
            site.ground.margin = 3;
            site.lamps.push_back({.id = "six", .figures = {.lumens = 300, .beam_angle = 0.6}, .watts = 3});
            Network network;
            network.transformers.push_back({.id = "T1", .at = {0, 0}, .rating = 300});
            for (const double side : {1.0, -1.0}) {
                CableRun run{
                    .id = side > 0 ? "front" : "back", .transformer = "T1", .gauge = 12, .layout = layout};
                for (int i = 0; i < lamps; ++i) {
                    Fixture fixture{.id = (side > 0 ? "F" : "B") + std::to_string(i + 1), .lamp = "six"};
                    fixture.at = glm::dvec2(5 + 30.0 * i / lamps, 7 * side + (i % 2));
                    run.fixtures.push_back(fixture.id);
                    site.fixtures.push_back(fixture);
                }
                run.path = {{0, 0}, {0, 6 * side}, {35, 6 * side}};
                if (layout == RunLayout::loop)
                    run.path = {{0, 0},          {0, 6 * side},   {36, 6 * side},
                                {36, 10 * side}, {-2, 10 * side}, {0, 0}};
                if (layout == RunLayout::hub) {
                    network.hubs.push_back({.id = "H-" + run.id, .at = {18, 6 * side}});
                    run.hub = network.hubs.back().id;
                    run.path = {{0, 0}, {18, 6 * side}};
                }
                network.runs.push_back(run);
            }
            site.network = network;
            const LoadReport report = measure_load(site, ".", {});
            CAPTURE(name_of(layout));
            CAPTURE(lamps);
            for (const bool is_plan : {true, false}) {
                CAPTURE(is_plan);
                const DrawnPage page = is_plan ? make_cable_plan(site, report, PictureFormat::svg)
                                               : make_one_line(site, report, PictureFormat::svg);
                test::check_apart(page, slack);
                for (const FixtureLoad& fixture : report.fixtures) {
                    const std::string volts = print_volts(report, fixture);
                    const int named = is_plan ? test::count_words(page, fixture.id + " " + volts)
                                              : test::count_words(page, fixture.id);
                    if (!is_plan || lamps < 12) // a plan leaves out what has no room
                        CHECK_MESSAGE(named == 1, fixture.id);
                }
                for (const RunLoad& run : report.runs)
                    CHECK_MESSAGE(test::count_words(page, describe_run(run, site.units)) == 1, run.id);
                CHECK(test::count_words(page, describe_transformer(report.transformers[0])) == 1);
                if (layout == RunLayout::hub && lamps < 12)
                    for (const Hub& hub : site.network->hubs)
                        CHECK_MESSAGE(test::count_words(page, hub.id) == 1, hub.id);
            }
        }
}
