// The faces of a wall: their names by the compass, what of the wall is theirs, and the plates they make.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>

#include "../../src/sheets/plate_picture.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/site/layout.hpp"
#include "message_of.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Surface make_run(const std::vector<glm::dvec2>& path) {
    Surface surface;
    surface.id = surface.part_of = "house";
    surface.run = run_of(path, true);
    return surface;
}

/// A site of one closed wall, coarse, and its stage.
struct House {
    Site site;
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    Report report;

    explicit House(const std::vector<glm::dvec2>& path) {
        site.sensor_spacing = 0.25;
        site.ground_spacing = 2;
        site.ground.margin = 1;
        Wall wall{.id = "house", .path = path, .closed = true, .height = 3, .finish = {}};
        Opening window;
        window.id = "window";
        window.from = 1;
        window.width = 1;
        window.sill = 1;
        window.height = 1;
        wall.openings = {window};
        wall.gables = {{"gable", 11, 3, 5}};
        site.walls = {wall};
        stage = build_stage(site, ".");
        lighting.stage = stage.get();
        report.total_lx.assign(stage->sensors.size(), 0);
    }
    PlateSource source() const { return {site, *stage, lighting, report}; }
    const Surface& surface() const {
        return stage->surfaces[static_cast<std::size_t>(stage->find_surface("house"))];
    }
    std::vector<std::string> plates() const {
        std::vector<std::string> ids;
        for (const Plate& plate : list_plates(source()))
            ids.push_back(plate.id);
        return ids;
    }
};

const std::vector<glm::dvec2> box{{0, 0}, {8, 0}, {8, 6}, {0, 6}};

} // namespace

TEST_CASE("a face is called by the eighth of the compass that it looks to") {
    // A regular octagon walked round counter-clockwise, turned so that its sides look to the eight winds.
    std::vector<glm::dvec2> octagon;
    for (int i = 0; i < 8; ++i)
        octagon.emplace_back(std::cos(2 * pi * (i - 0.5) / 8), std::sin(2 * pi * (i - 0.5) / 8));
    const Surface surface = make_run(octagon);
    const std::vector<std::string> winds{"east", "north-east", "north", "north-west",
                                         "west", "south-west", "south", "south-east"};
    for (int i = 0; i < 8; ++i)
        CHECK(name_side(surface, i) == winds[static_cast<std::size_t>(i)]);
    // 22 degrees off are still the nearest wind's, 23 are the next one's.
    for (const double turn_deg : {22.0, -22.0, 23.0}) {
        std::vector<glm::dvec2> turned;
        const double turn = radians_from_degrees(turn_deg);
        for (const glm::dvec2& point : octagon)
            turned.emplace_back(std::cos(turn) * point.x - std::sin(turn) * point.y,
                                std::sin(turn) * point.x + std::cos(turn) * point.y);
        CHECK(name_side(make_run(turned), 0) == (turn_deg == 23 ? "north-east" : "east"));
    }
}

TEST_CASE(
    "of several faces that look the same way the later ones are numbered, and no two are called alike") {
    // A house with two wings to the south: three faces look south, two of them at the wings' ends.
    const Surface wings = make_run({{0, 0}, {3, 0}, {3, 2}, {6, 2}, {6, 0}, {9, 0}, {9, 5}, {0, 5}});
    CHECK(name_side(wings, 0) == "south");
    CHECK(name_side(wings, 1) == "east");
    CHECK(name_side(wings, 2) == "south-2");
    CHECK(name_side(wings, 3) == "west");
    CHECK(name_side(wings, 4) == "south-3");
    CHECK(name_side(wings, 5) == "east-2");
    CHECK(name_side(wings, 6) == "north");
    CHECK(name_side(wings, 7) == "west-2");
    Random random(6);
    for (int trial = 0; trial < 30; ++trial) {
        std::vector<glm::dvec2> star;
        const int count = 3 + trial % 12;
        for (int i = 0; i < count; ++i) {
            const double angle = 2 * pi * (i + random.uniform(0.1, 0.9)) / count,
                         radius = random.uniform(3, 9);
            star.emplace_back(radius * std::cos(angle), radius * std::sin(angle));
        }
        const Surface surface = make_run(star);
        std::map<std::string, int> times;
        for (int i = 0; i < count; ++i)
            ++times[name_side(surface, i)];
        CHECK(times.size() == static_cast<std::size_t>(count));
    }
}

TEST_CASE("the faces of a wall share out its sensors, its outline and its openings") {
    const House house(box);
    const Surface& whole = house.surface();
    std::size_t kept = 0, openings = 0, gables = 0;
    double area = 0;
    for (std::size_t i = 0; i < whole.run.size(); ++i) {
        const Surface face = face_of(whole, i);
        const double from = whole.run[i].along, to = from + whole.run[i].length;
        REQUIRE(face.run.size() == 1);
        CHECK(face.run[0].along == from);
        for (int column = 0; column < face.grid.columns; ++column)
            for (int row = 0; row < face.grid.rows; ++row)
                if (face.grid.at(column, row) >= 0) {
                    ++kept;
                    CHECK(face.grid.u_of(column) >= from);
                    CHECK(face.grid.u_of(column) <= to);
                }
        for (const OutlineShape& shape : face.outline) {
            openings += shape.role == OutlineShape::Role::opening ? 1 : 0;
            gables += shape.role == OutlineShape::Role::gable ? 1 : 0;
            CHECK(shape.role != OutlineShape::Role::corner);
            for (const glm::dvec2& point : shape.points) {
                CHECK(point.x >= from - 1e-9);
                CHECK(point.x <= to + 1e-9);
            }
            if (shape.role == OutlineShape::Role::edge)
                area += std::abs(signed_area(shape.points));
        }
    }
    std::size_t all = 0;
    for (const std::int32_t sensor : whole.grid.sensor)
        all += sensor >= 0 ? 1 : 0;
    CHECK(kept == all);
    CHECK(openings == 1);
    CHECK(gables == 1);
    CHECK(area == doctest::Approx(28 * 3 + 3 * 2 / 2.0)); // round 28 m of wall, and the gable's triangle
}

TEST_CASE("a closed house has plates of the faces where something is to be seen") {
    House house(box);
    using Ids = std::vector<std::string>;
    // All dark: nobody knows yet what is wanted.
    CHECK(house.plates() == Ids{"house.south", "house.east", "house.north", "house.west", "ground"});
    // Light on a part of the north face, and a fixture at the east one.
    std::vector<std::size_t> north;
    for (const std::int32_t one : face_of(house.surface(), 2).grid.sensor)
        if (one >= 0)
            north.push_back(static_cast<std::size_t>(one));
    const auto light = [&](double share, double lux) {
        for (std::size_t i = 0; i < north.size(); ++i)
            house.report.total_lx[north[i]] =
                static_cast<double>(i) < share * static_cast<double>(north.size()) ? lux : 0;
    };
    light(0.1, 1);
    CHECK(house.plates() == Ids{"house.north", "ground"});
    Fixture fixture;
    fixture.id = "U1";
    fixture.wall = "house";
    fixture.along = 10; // 2 m round the first corner
    house.site.fixtures = {fixture};
    CHECK(house.plates() == Ids{"house.east", "house.north", "ground"});
    light(0.04, 1); // a corner
    CHECK(house.plates() == Ids{"house.east", "ground"});
    light(1, 0.1 * scale_low_lx); // less than the scale shows
    CHECK(house.plates() == Ids{"house.east", "ground"});
}

TEST_CASE(
    "a plate is found by its id, a closed wall also unfolded, and a slip is answered with the nearest") {
    const House house(box);
    const PlateSource source = house.source();
    CHECK(find_plate(source, "ground").surface == -1);
    const Plate south = find_plate(source, "house.south");
    CHECK(south.face == 0);
    CHECK(south.surface == house.stage->find_surface("house"));
    const Plate unfolded = find_plate(source, "house");
    CHECK(unfolded.face == -1);
    CHECK(unfolded.surface == south.surface);
    const std::string slip = message_of([&] { find_plate(source, "house.soth"); });
    CHECK(slip.find("there is no plate of \"house.soth\"") != std::string::npos);
    CHECK(slip.find("did you mean \"house.south\"?") != std::string::npos);
    CHECK(message_of([&] {
              find_plate(source, "barn-at-the-back");
          }).find("choose one of the site's walls") != std::string::npos);
}
