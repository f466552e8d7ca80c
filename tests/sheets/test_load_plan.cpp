// The plan of cables over everything that may lie and stand on a site: what is drawn where, and that no word
// lies on another.

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "../../src/sheets/load_marks.hpp"
#include "../../src/sheets/plan_inks.hpp"
#include "duskcast/sheets/load_picture.hpp"
#include "duskcast/site/layout.hpp"
#include "page_words.hpp"
#include "scene.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A house, a tree, a hedge and a bed of box on five kinds of ground, 60 m by 40 m; two runs, 18 m apart.
Site make_wired_garden() {
    Site site{.is_as_new = true};
    site.name = "garden";
    site.units = LengthUnit::metre;
    site.ground.margin = 2;
    const auto area = [&](const char* id, GroundKind kind, double left, double low) {
        site.ground.areas.push_back(
            {.id = id,
             .kind = kind,
             .outline = {{left, low}, {left + 8, low}, {left + 8, low + 8}, {left, low + 8}}});
    };
    area("bed", GroundKind::bed, 0, 0);
    area("drive", GroundKind::paving, 52, 0);
    area("mulch", GroundKind::mulch, 0, 30);
    area("pond", GroundKind::water, 52, 30);
    Wall house{.id = "house", .path = {{15, 15}, {25, 15}, {25, 22}, {15, 22}}, .closed = true};
    house.height = 3;
    site.walls = {house};
    Tree oak{.id = "oak", .at = {10, 20}, .height = 8, .base = 3, .width = 5};
    site.trees = {oak};
    site.shrubs = {{.id = "hedge", .path = {{12, 35}, {26, 35}}, .width = 1, .height = 1},
                   {.id = "box", .outline = {{12, 4}, {16, 4}, {16, 6}, {12, 6}}, .height = 1}};
    site.lamps.push_back({.id = "six", .figures = {.lumens = 300, .beam_angle = 0.6}, .watts = 6});
    Network network;
    network.transformers.push_back({.id = "T1", .at = {20, 12}, .rating = 150});
    for (const int row : {0, 1}) {
        CableRun run{.id = row ? "north" : "south", .transformer = "T1"};
        for (int i = 0; i < 3; ++i) {
            Fixture fixture{.id = (row ? "N" : "S") + std::to_string(i + 1), .lamp = "six"};
            fixture.at = glm::dvec2(12 + 16 * i, row ? 27 : 9);
            run.fixtures.push_back(fixture.id);
            site.fixtures.push_back(fixture);
        }
        network.runs.push_back(run);
    }
    site.network = network;
    return site;
}

} // namespace

TEST_CASE("cable plan: names of what stands there, lamps with their volts, where they are") {
    const Site site = make_wired_garden();
    const LoadReport report = measure_load(site, ".", {});
    const DrawnPage page = make_cable_plan(site, report, PictureFormat::svg);
    for (const char* word : {"house", "pond", "oak"})
        CHECK_MESSAGE(count_words(page, word) == 1, word);
    CHECK(count_words(page, "mulch") == 0); // of the ground only water has its name
    const auto middle_of = [&](const std::string& text) { return find_words(page, text).middle(); };
    const auto lamp = [&](std::size_t i) {
        return middle_of(report.fixtures[i].id + " " + print_volts(report, report.fixtures[i]));
    };
    CHECK(lamp(0).x < lamp(1).x); // from west to east
    CHECK(lamp(1).x < lamp(2).x);
    CHECK(lamp(3).y < lamp(0).y); // north is up, and a page counts downwards
    CHECK(middle_of("pond").x > lamp(2).x);
    CHECK(middle_of("pond").y < lamp(3).y);
    CHECK(middle_of("oak").x < middle_of("house").x);
}

PIXEL_TEST_CASE("cable plan: each area of the ground is drawn where it is and as large as it is") {
    const auto draw = [](const Site& site) {
        return read_pixels(draw_cable_plan(site, measure_load(site, ".", {}), PictureFormat::png));
    };
    const Site site = make_wired_garden();
    const Pixels page = draw(site);
    // Rows count upwards here. The runs' cables are at 9 and 27 m north and span 12 to 44 m east.
    const Patch south = find_colour(page, run_ink(0).colour), north = find_colour(page, run_ink(1).colour);
    REQUIRE(south.count > 100);
    REQUIRE(north.count > 100);
    for (std::size_t gone = 0; gone < site.ground.areas.size(); ++gone) {
        Site without = site;
        const GroundArea area = site.ground.areas[gone];
        CAPTURE(area.id);
        without.ground.areas[gone].kind = site.ground.base;
        const Pixels other = draw(without);
        REQUIRE(other.width == page.width);
        REQUIRE(other.height == page.height);
        Patch changed;
        double low = page.width, high = 0;
        for (int y = 0; y < page.height; ++y)
            for (int x = 0; x < page.width; ++x) {
                const std::size_t at = 4 * (static_cast<std::size_t>(y) * page.width + x);
                if (page.rgba[at] == other.rgba[at] && page.rgba[at + 2] == other.rgba[at + 2])
                    continue;
                changed.x += x;
                changed.y += y;
                ++changed.count;
                low = std::min(low, static_cast<double>(x));
                high = std::max(high, static_cast<double>(x));
            }
        REQUIRE(changed.count > 500);
        changed.x /= static_cast<double>(changed.count);
        changed.y /= static_cast<double>(changed.count);
        const bool is_east = area.outline[0].x > 20, is_north = area.outline[0].y > 20;
        CHECK((changed.x > south.x) == is_east);
        CHECK((changed.y > (south.y + north.y) / 2) == is_north);
        // 8 m by 8 m: as many pixels as its width squared, but for what is drawn over it.
        CHECK(static_cast<double>(changed.count) < 1.1 * (high - low) * (high - low));
        CHECK(static_cast<double>(changed.count) > 0.5 * (high - low) * (high - low));
    }
}

PIXEL_TEST_CASE("cable plan: a fountain is drawn as the water it is") {
    const auto count = [](const Site& site) {
        const Pixels page =
            read_pixels(draw_cable_plan(site, measure_load(site, ".", {}), PictureFormat::png));
        return static_cast<double>(find_colour(page, ground_ink(GroundKind::water).colour).count);
    };
    Site site = make_wired_garden();
    const double pond = count(site); // 64 m2, but for its name and edge
    site.fountains = {{.id = "fountain", .at = {35, 20}, .width = 4}};
    CHECK((count(site) - pond) / pond == doctest::Approx(4 * pi / 64).epsilon(0.15));
}
