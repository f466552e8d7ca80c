// The two pictures of a load, by what stands where on them.

#include <algorithm>
#include <doctest/doctest.h>

#include "../../src/sheets/load_marks.hpp"
#include "duskcast/sheets/load_picture.hpp"
#include "duskcast/site/site_file.hpp"
#include "scene.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// Four lamps of 6 W in a row to the east of a transformer, on a thin and long cable.
Site make_row(RunLayout layout) {
    Site site{.is_as_new = true};
    site.name = "row";
    site.ground.margin = 3;
    site.lamps.push_back({.id = "six", .figures = {.lumens = 300, .beam_angle = 0.6}, .watts = 6});
    Network network;
    network.transformers.push_back({.id = "T1", .at = {0, 0}, .rating = 150});
    CableRun run{.id = "row", .transformer = "T1", .gauge = 16, .layout = layout};
    for (int i = 0; i < 4; ++i) {
        Fixture fixture{.id = "L" + std::to_string(i + 1), .lamp = "six"};
        fixture.at = glm::dvec2(15 * (i + 1), 1);
        run.fixtures.push_back(fixture.id);
        site.fixtures.push_back(fixture);
    }
    run.path = {{0, 0}, {60, 0}};
    if (layout == RunLayout::loop)
        run.path = {{0, 0}, {60, 0}, {60, -5}, {0, -5}, {0, 0}};
    if (layout == RunLayout::hub) {
        network.hubs.push_back({.id = "H1", .at = {30, -2}});
        run.hub = "H1";
        run.path = {{0, 0}, {30, -2}};
    }
    network.runs.push_back(run);
    site.network = network;
    return site;
}

bool has_colour(const test::Pixels& page, const Ink& ink) {
    return find_colour(page, ink.colour).count > 20;
}

} // namespace

PIXEL_TEST_CASE("cable plan: runs in their colours, lamps from west to east, low ones told apart") {
    Site site = make_row(RunLayout::daisy_chain);
    const LoadReport usual = measure_load(site, ".", {});
    site.lamps[0].operating_volts = {{(usual.fixtures[1].volts + usual.fixtures[2].volts) / 2, 15}};
    const LoadReport report = measure_load(site, ".", {});
    const test::Pixels page = read_pixels(draw_cable_plan(site, report, PictureFormat::png));
    CHECK(page.width == 1600);
    CHECK(has_colour(page, run_ink(0)));
    std::vector<Patch> patches;
    for (const bool is_low : {false, true}) {
        const auto lamp = std::find_if(report.fixtures.begin(), report.fixtures.end(), [&](const auto& one) {
            return (one.state == VoltageState::low) == is_low;
        });
        REQUIRE(lamp != report.fixtures.end()); // the far ones are low, the near ones are not
        patches.push_back(find_colour(page, state_ink(report, *lamp).colour));
    }
    CHECK(patches[0].count > 100);
    CHECK(patches[1].count > 100);
    CHECK(patches[0].x < patches[1].x); // further along the cable, which runs east
}

TEST_CASE("load pictures: every layout, whole files, the same bytes each time") {
    for (const RunLayout layout :
         {RunLayout::daisy_chain, RunLayout::centre_fed, RunLayout::hub, RunLayout::loop}) {
        CAPTURE(name_of(layout));
        const Site site = make_row(layout);
        const LoadReport report = measure_load(site, ".", {});
        for (const auto draw : {draw_cable_plan, draw_one_line}) {
            for (const PictureFormat format : picture_formats(true)) {
                const std::string bytes = draw(site, report, format);
                check_whole_picture(bytes, format);
                CHECK(draw(site, report, format) == bytes);
                if (format == PictureFormat::png)
                    CHECK(has_colour(read_pixels(bytes), run_ink(0)));
            }
        }
        CHECK((find_hub_of(site, report.runs[0]) != nullptr) == (layout == RunLayout::hub));
    }
}

PIXEL_TEST_CASE("load pictures: lamps that get no volts are grey and say so") {
    Site site = make_row(RunLayout::daisy_chain);
    site.lamps[0].watts = 60;
    const LoadReport report = measure_load(site, ".", {});
    REQUIRE(!report.runs[0].is_found);
    CHECK(print_volts(report, report.fixtures[3]) == "no volts");
    const test::Pixels page = read_pixels(draw_one_line(site, report, PictureFormat::png));
    CHECK(has_colour(page, state_ink(report, report.fixtures[3])));
}
