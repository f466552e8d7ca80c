// The panels of ground and walls without their pages: lines of light in closed form, what lies on top, the
// frame.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>
#include <string>

#include "../../src/sheets/plan_cut.hpp"
#include "../../src/sheets/plan_panel.hpp"
#include "../../src/sheets/wall_panel.hpp"
#include "../pixels.hpp"
#include "duskcast/site/layout.hpp"

using namespace duskcast;

namespace {

constexpr int plan_columns = 80, plan_rows = 60;
constexpr double step = 0.25;

/// Square cells from a corner, each with a sensor of its own from `first` on.
SensorGrid make_lattice(const glm::dvec2& corner, std::int32_t first) {
    SensorGrid grid;
    grid.u0 = corner.x;
    grid.v0 = corner.y;
    grid.step = step;
    grid.columns = plan_columns;
    grid.rows = plan_rows;
    for (std::int32_t i = 0; i < plan_columns * plan_rows; ++i)
        grid.sensor.push_back(first + i);
    return grid;
}

/// Lux at the middle of every cell.
template <class Light> std::vector<double> light_cells(const glm::dvec2& corner, const Light& light) {
    std::vector<double> lux;
    for (int row = 0; row < plan_rows; ++row)
        for (int column = 0; column < plan_columns; ++column)
            lux.push_back(light(corner + step * glm::dvec2(column + 0.5, row + 0.5)));
    return lux;
}

struct MadeGround {
    Surface lawn, bed;
    std::vector<double> lux;
    GroundSheet sheet{.text = {}, .grounds = {}, .lux = lux};

    template <class Light>
    MadeGround(const glm::dvec2& corner, const Light& light) : lux(light_cells(corner, light)) {
        lawn.id = "ground";
        lawn.kind = SurfaceKind::ground;
        lawn.grid = make_lattice(corner, 0);
        sheet.grounds = {&lawn};
    }
    MadeGround(const MadeGround&) = delete;
    MadeGround& operator=(const MadeGround&) = delete;
};

} // namespace

TEST_CASE("plan: lines of a level below a lamp are circles of the radius that the light law says") {
    // A lamp of 400 cd at 2 m over (4, 3): E = I h / d^3, so the level is met at r^2 = (I h / E)^(2/3) - h^2
    // (inverse square and cosine).
    const glm::dvec2 corner(-6, -5), below(4, 3);
    const double candela = 400, height = 2;
    MadeGround ground(corner, [&](const glm::dvec2& place) {
        const double square = glm::dot(place - below, place - below) + height * height;
        return candela * height / (square * std::sqrt(square));
    });
    const PlanPanel panel(ground.sheet);
    PlateFrame frame = panel.extent();
    CHECK(frame.u0 == doctest::Approx(-6));
    CHECK(frame.u1 == doctest::Approx(14));
    CHECK(frame.v1 == doctest::Approx(10));
    frame.scale = 50;
    frame.left = 100;
    frame.bottom = 900;
    const auto value_at = [&](const glm::dvec2& uv) { return panel.lux_at(uv); };
    const std::vector<double> levels{50, 20, 8};
    const std::vector<LevelLines> found = panel.find_lines(frame, value_at, levels);
    REQUIRE(found.size() == levels.size());
    for (std::size_t i = 0; i < levels.size(); ++i) {
        CHECK(found[i].level_lx == levels[i]);
        const double radius =
            std::sqrt(std::pow(candela * height / levels[i], 2.0 / 3) - height * height) * frame.scale;
        CAPTURE(radius);
        std::size_t points = 0;
        double round = 0;
        for (const std::vector<glm::dvec2>& line : found[i].lines)
            for (std::size_t k = 0; k < line.size(); ++k, ++points) {
                CHECK(glm::distance(line[k], frame.at(below)) == doctest::Approx(radius).epsilon(0.02));
                if (k > 0)
                    round += glm::distance(line[k - 1], line[k]);
            }
        CHECK(points > 12);
        CHECK(round == doctest::Approx(2 * pi * radius).epsilon(0.05)); // closed, or nearly
    }
    // The most light there is stands below the lamp, I / h^2; a level above it is met nowhere.
    CHECK(*panel.lux_at(below) == doctest::Approx(candela / (height * height)).epsilon(0.03));
    CHECK(panel.find_lines(frame, value_at, {110})[0].lines.empty());
    CHECK(!panel.lux_at({-7, 0}));
    CHECK(!panel.lux_at({0, 11.5})); // colours go on for two cells beyond the last sensor
    CHECK(panel.side().empty());
    CHECK(!panel.has_reaches());
    CHECK(panel.foot_marks(frame).empty());
}

TEST_CASE("plan: a later area lies on an earlier one, cell by cell, and spots are where sensors are") {
    const glm::dvec2 corner(0, 0);
    MadeGround ground(corner, [](const glm::dvec2&) { return 5.0; });
    // A bed in the middle, whose sensors come after the lawn's; the lawn has none there.
    ground.bed.id = "bed";
    ground.bed.kind = SurfaceKind::ground;
    ground.bed.grid = make_lattice(corner, 0);
    std::int32_t next = plan_columns * plan_rows;
    std::size_t kept = 0;
    for (int row = 0; row < plan_rows; ++row)
        for (int column = 0; column < plan_columns; ++column) {
            const auto cell = static_cast<std::size_t>(row * plan_columns + column);
            const bool is_bed = column >= 20 && column < 40 && row >= 20 && row < 40;
            const bool is_house = column >= 60 && row >= 40;
            ground.bed.grid.sensor[cell] = is_bed ? next++ : -1;
            if (is_bed || is_house)
                ground.lawn.grid.sensor[cell] = -1;
            kept += is_house ? 0 : 1;
        }
    ground.lux.resize(static_cast<std::size_t>(next), 80);
    ground.sheet.grounds = {&ground.lawn, &ground.bed};
    const PlanPanel panel(ground.sheet);
    CHECK(*panel.lux_at({7.5, 7.5}) == doctest::Approx(80));
    CHECK(*panel.lux_at({2, 2}) == doctest::Approx(5));
    CHECK(*panel.lux_at({12, 7.5}) == doctest::Approx(5));
    CHECK(!panel.lux_at({18, 13})); // under the house
    const std::vector<glm::dvec2> spots = panel.spots();
    CHECK(spots.size() == kept);
    for (const glm::dvec2& spot : spots) {
        CHECK(std::abs(std::remainder(spot.x - step / 2, step)) < 1e-9); // middles of cells
        CHECK(panel.lux_at(spot).has_value());
        CHECK(!(spot.x > 15 && spot.y > 10));
    }
    // Between the two grounds their light is mixed, within half a cell of the border.
    CHECK(*panel.lux_at({5 - step, 7.5}) == doctest::Approx(5).epsilon(0.05));
    CHECK(*panel.lux_at({5 + step, 7.5}) == doctest::Approx(80).epsilon(0.05));
}

TEST_CASE("frame: metres go right and up from its lower left corner") {
    PlateFrame frame{.u0 = -2, .v0 = 1, .u1 = 8, .v1 = 6, .scale = 30, .left = 50, .bottom = 400};
    CHECK(frame.width() == 10);
    CHECK(frame.height() == 5);
    CHECK(frame.at({-2, 1}) == glm::dvec2(50, 400));
    CHECK(frame.at({8, 6}) == glm::dvec2(350, 250));
    CHECK(frame.box().left == 50);
    CHECK(frame.box().right == 350);
    CHECK(frame.box().top == 250);
    CHECK(frame.box().bottom == 400);
    const std::vector<glm::dvec2> placed = frame.at(std::vector<glm::dvec2>{{0, 2}, {1, 3}});
    CHECK(placed[1] - placed[0] == glm::dvec2(30, -30));
    // Lines found in metres land on the page by the same rule.
    const std::vector<LevelLines> lines = place_lines({4.0, 9.0}, frame, [](double level) {
        return std::vector<std::vector<glm::dvec2>>{{{0, 1}, {level, 1}}};
    });
    REQUIRE(lines.size() == 2);
    CHECK(lines[1].level_lx == 9);
    CHECK(lines[1].lines[0][1] == frame.at({9, 1}));
}

TEST_CASE(
    "wall: a level's line on a wall washed evenly along is straight, at the height where the light fades") {
    // E = 40 exp(-z / 2) lx: 10 lx at 2 ln 4 = 2.77 m.
    const double length = plan_columns * step, height = plan_rows * step;
    const std::vector<double> lux =
        light_cells({0, 0}, [](const glm::dvec2& place) { return 40 * std::exp(-place.y / 2); });
    Surface surface;
    surface.id = surface.part_of = "front";
    surface.run = run_of({{0, 0}, {length, 0}}, false);
    surface.grid = make_lattice({0, 0}, 0);
    surface.outline = {
        {OutlineShape::Role::edge, "", {{0, 0}, {length, 0}, {length, height}, {0, height}}, true}};
    WallSheet sheet{
        .text = {}, .surface = surface, .lux = lux, .fixtures = {}, .reach_key = {}, .heights = {}};
    WallFixture fixture;
    fixture.text.id = "U1";
    fixture.along = 5;
    sheet.fixtures = {fixture};
    fixture.text.id = "U2";
    fixture.along = 12.5;
    fixture.reach = 2.77;
    sheet.fixtures.push_back(fixture);
    const WallPanel panel(sheet);
    PlateFrame frame = panel.extent();
    CHECK(frame.u0 == 0);
    CHECK(frame.u1 == doctest::Approx(length));
    CHECK(frame.v1 == doctest::Approx(height));
    frame.scale = 40;
    frame.left = 10;
    frame.bottom = 700;
    const auto value_at = [&](const glm::dvec2& uv) { return panel.lux_at(uv); };
    for (const double level : {30.0, 10.0, 2.0}) {
        CAPTURE(level);
        const std::vector<LevelLines> found = panel.find_lines(frame, value_at, {level});
        double left = 1e9, right = 0;
        for (const std::vector<glm::dvec2>& line : found.at(0).lines)
            for (const glm::dvec2& point : line) {
                CHECK((700 - point.y) / 40 == doctest::Approx(2 * std::log(40 / level)).epsilon(0.02));
                left = std::min(left, point.x);
                right = std::max(right, point.x);
            }
        CHECK(right - left > 0.97 * length * 40); // from end to end
    }
    CHECK(*panel.lux_at({7, 2 * std::log(4.0)}) == doctest::Approx(10).epsilon(0.02));
    CHECK(panel.has_reaches());
    sheet.fixtures[1].reach.reset();
    CHECK(!panel.has_reaches());
    const std::vector<PlatePanel::FootMark> marks = panel.foot_marks(frame);
    REQUIRE(marks.size() == 2);
    CHECK(marks[0].id == "U1");
    CHECK(marks[0].x == doctest::Approx(10 + 5 * 40));
    CHECK(marks[1].x == doctest::Approx(10 + 12.5 * 40));
    CHECK(panel.spots().size() == static_cast<std::size_t>(plan_columns) * plan_rows);
}

TEST_CASE("ground plate: fixtures that crowd are named in an inset beside the plan, all others on it") {
    // A lot 20 m by 60 m, 860 pixels high: 14.3 pixels a metre. Five lamps 1 m apart stand 14 pixels from the
    // next, less than a name is wide; three others 10 m apart, and a pair whose names go to either side.
    MadeGround ground({0, 0}, [](const glm::dvec2&) { return 5.0; });
    ground.lawn.grid.rows = 240;
    ground.lawn.grid.sensor.resize(240 * plan_columns, 0);
    for (int i = 0; i < 5; ++i)
        ground.sheet.fixtures.push_back({"A" + std::to_string(i + 1), {6.0 + i, 50}, {0, 1}});
    for (int i = 0; i < 3; ++i)
        ground.sheet.fixtures.push_back({"B" + std::to_string(i + 1), {10, 10.0 + 10 * i}, {}});
    ground.sheet.fixtures.push_back({"C1", {15, 10}, {}});
    ground.sheet.fixtures.push_back({"C2", {16, 10}, {}});
    const DrawnPage page = draw_ground_sheet(ground.sheet, PictureFormat::svg);
    const double scale = 860 / 60.0, plan_left = 800 - 10 * scale, plan_right = 800 + 10 * scale;
    std::map<std::string, std::vector<Box>> named;
    std::vector<Box> captions;
    for (const Canvas::Words& words : page.words) {
        for (const PlanFixture& fixture : ground.sheet.fixtures)
            if (words.text == fixture.id)
                named[fixture.id].push_back(words.box);
        if (words.text.find("times as large") != std::string::npos)
            captions.push_back(words.box);
    }
    CHECK(captions.size() == 1);
    for (const PlanFixture& fixture : ground.sheet.fixtures) {
        CAPTURE(fixture.id);
        REQUIRE(named[fixture.id].size() == 1);
        const Box& box = named[fixture.id][0];
        if (fixture.id[0] == 'A')
            CHECK((box.right < plan_left || box.left > plan_right));
        else
            CHECK((box.left > plan_left && box.right < plan_right));
        for (const PlanFixture& other : ground.sheet.fixtures) // no name lies on another
            CHECK((&other == &fixture || !box.overlaps(named[other.id].at(0))));
    }
    // In the inset the lamps stand as far apart as it says, in their order.
    for (int i = 0; i + 1 < 5; ++i)
        CHECK(named["A" + std::to_string(i + 2)][0].left > named["A" + std::to_string(i + 1)][0].left);

    // Where the plan is as wide as the page there is no room for one, and all names stay on it.
    MadeGround wide({0, 0}, [](const glm::dvec2&) { return 5.0; });
    wide.lawn.grid.rows = 30;
    wide.lawn.grid.sensor.resize(30 * plan_columns, 0);
    for (int i = 0; i < 5; ++i)
        wide.sheet.fixtures.push_back({"A" + std::to_string(i + 1), {6 + 0.2 * i, 4}, {0, 1}});
    const DrawnPage whole = draw_ground_sheet(wide.sheet, PictureFormat::svg);
    for (const Canvas::Words& words : whole.words)
        CHECK(words.text.find("times as large") == std::string::npos);
    CHECK(std::count_if(whole.words.begin(), whole.words.end(), [](const Canvas::Words& words) {
              return words.text.size() == 2 && words.text[0] == 'A';
          }) == 5);
}

TEST_CASE("plan: lines and areas are cut at a window") {
    // A zigzag in and out of the window, looked at every hundredth of a pixel; areas by the shoelace formula.
    const Box window{10, 20, 50, 40};
    const std::vector<glm::dvec2> zigzag = {{0, 30}, {30, 10}, {30, 35}, {60, 25}, {40, 60}, {20, 39}};
    for (const bool is_closed : {false, true}) {
        double inside = 0, pieces = 0;
        const std::size_t ends = zigzag.size() - (is_closed ? 0 : 1);
        for (std::size_t i = 0; i < ends; ++i) {
            const glm::dvec2 &a = zigzag[i], &b = zigzag[(i + 1) % zigzag.size()];
            const double length = glm::distance(a, b);
            const int count = static_cast<int>(length * 100);
            for (int k = 0; k < count; ++k) {
                const glm::dvec2 at = glm::mix(a, b, (k + 0.5) / count);
                inside += at.x > 10 && at.x < 50 && at.y > 20 && at.y < 40 ? length / count : 0;
            }
        }
        for (const LinePiece& piece : cut_to_window(zigzag, is_closed, window)) {
            CHECK(!piece.is_closed);
            for (std::size_t i = 0; i < piece.points.size(); ++i) {
                const glm::dvec2& at = piece.points[i];
                CHECK(window.grown(1e-9).contains({at.x, at.y, at.x, at.y}));
                pieces += i > 0 ? glm::distance(piece.points[i - 1], at) : 0;
            }
        }
        CHECK(pieces == doctest::Approx(inside).epsilon(1e-3));
        const std::vector<LinePiece> whole = cut_to_window(zigzag, is_closed, {});
        REQUIRE(whole.size() == 1);
        CHECK(whole[0].points == zigzag);
        CHECK(whole[0].is_closed == is_closed);
    }
    CHECK(cut_to_window({{0, 0}, {5, 60}}, false, window).empty());
    // What stays inside comes in one piece.
    CHECK(cut_to_window({{20, 25}, {30, 35}, {40, 25}}, false, window).size() == 1);
    // Of a square of 30 from (0, 10) a corner of 20 by 20 lies inside, and all of a ring of radius 5.
    CHECK(std::abs(signed_area(cut_area({{0, 10}, {30, 10}, {30, 40}, {0, 40}}, window))) ==
          doctest::Approx(20 * 20));
    CHECK(std::abs(signed_area(cut_area(ring_of({30, 30}, 5), window))) ==
          doctest::Approx(pi * 25).epsilon(1e-3));
    CHECK(cut_area(zigzag, {}) == zigzag);
}

PIXEL_TEST_CASE("plan: a part of it is cut off at its frame") {
    // A house, a bed and a crown that all reach far beyond the part; beyond its rim the page stays white.
    MadeGround ground({0, 0}, [](const glm::dvec2& place) { return place.x + 0.1; });
    ground.sheet.text.levels_lx = {2, 5, 10};
    ground.sheet.houses = {{{9, 9}, {19, 9}, {19, 14}, {9, 14}}};
    ground.sheet.walls = {{"w", {{9, 9}, {19, 9}, {19, 14}, {9, 14}}, true}};
    ground.sheet.areas = {{"bed", {{1, 1}, {9, 3}, {3, 14}}, true}};
    ground.sheet.shrubs = {{"hedge", {{0, 7}, {22, 7.5}}, false, 0.5}};
    ground.sheet.trees = {{"oak", {8, 8}, 5, 0.3}};
    ground.sheet.fixtures = {{"in", {8.5, 7}, {1, 0}}, {"out", {2, 2}, {1, 0}}};
    const PlanPanel panel(ground.sheet);
    Canvas canvas(600, 500, PictureFormat::png);
    const PlateFrame part{.u0 = 6, .v0 = 6, .u1 = 10, .v1 = 10, .scale = 60, .left = 180, .bottom = 380};
    panel.draw_part(canvas, part);
    const std::vector<Canvas::Words> words = canvas.words();
    const auto says = [&](const char* name) {
        return std::any_of(words.begin(), words.end(), [&](const auto& one) { return one.text == name; });
    };
    for (const char* name : {"in", "oak"})
        CHECK(says(name));
    for (const char* name : {"out", "w", "bed", "hedge"}) // their middles lie elsewhere
        CHECK(!says(name));
    const test::Pixels page = test::read_pixels(canvas.finish());
    const Box rim = part.box().grown(5); // half of a wall's line
    int stray = 0, house = 0;
    for (int y = 0; y < page.height; ++y)
        for (int x = 0; x < page.width; ++x) {
            const std::uint8_t* pixel = &page.rgba[4 * (static_cast<std::size_t>(y) * page.width + x)];
            const int from_top = page.height - 1 - y;
            const bool is_out = x < rim.left || x > rim.right || from_top < rim.top || from_top > rim.bottom;
            stray += is_out && pixel[0] < 245 ? 1 : 0;
            house += !is_out && pixel[0] == pixel[1] && pixel[0] == 204 ? 1 : 0;
        }
    CHECK(stray == 0);
    CHECK(house > 0.7 * 60 * 60); // 1 m x 1 m of it lies in the part
}

TEST_CASE("values sampled at a grid's sensors are those of the place where each stands") {
    SensorGrid grid = make_lattice({1, 2}, 7);
    grid.sensor[5] = -1;
    const auto value = [](const glm::dvec2& uv) -> std::optional<double> {
        return uv.x > 15 ? std::nullopt : std::optional(100 * uv.x + uv.y);
    };
    const std::vector<double> sampled = sample_values(grid, 7 + plan_columns * plan_rows, value);
    REQUIRE(sampled.size() == 7 + plan_columns * plan_rows);
    int wrong = 0;
    for (int row = 0; row < plan_rows; ++row)
        for (int column = 0; column < plan_columns; ++column) {
            const auto cell = static_cast<std::size_t>(row * plan_columns + column);
            if (grid.sensor[cell] < 0)
                continue;
            const glm::dvec2 middle(1 + step * (column + 0.5), 2 + step * (row + 0.5));
            const double wanted = value(middle).value_or(least_value);
            wrong += std::abs(sampled[static_cast<std::size_t>(grid.sensor[cell])] - wanted) > 1e-6;
        }
    CHECK(wrong == 0);
    const std::vector<glm::dvec2> spots = list_spots(grid);
    CHECK(spots.size() == static_cast<std::size_t>(plan_columns) * plan_rows - 1);
    CHECK(spots.front() == glm::dvec2(1 + step / 2, 2 + step / 2));
}
