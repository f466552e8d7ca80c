// The pictures of studies: what their charts hold, and which files are written.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "../../src/sheets/study_charts.hpp"
#include "duskcast/sheets/study_pictures.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "duskcast/site/site_file.hpp"
#include "folder.hpp"
#include "pixels.hpp"
#include "study_figures.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

const Chart& find_chart(const ChartPage& page, const std::string& title) {
    const auto found = std::find_if(page.charts.begin(), page.charts.end(),
                                    [&](const Chart& chart) { return chart.title == title; });
    REQUIRE_MESSAGE(found != page.charts.end(), title);
    return *found;
}

/// A sweep of `outer` by `inner` variants whose coverage is 0.01 times the variant's number.
Sweep make_numbered(std::vector<Setting> outer, std::vector<Setting> inner) {
    Sweep sweep;
    sweep.plan = {.fixtures = {"U1", "U2"}, .focus = {"gable", {"U1"}}};
    sweep.plan.ranges = {{outer.front().knob, outer}, {inner.front().knob, inner}};
    for (std::size_t i = 0; i < outer.size() * inner.size(); ++i)
        sweep.figures.push_back(make_gable_figures(0.01 * static_cast<double>(i), 3));
    sweep.as_drawn = make_gable_figures(0.3, 3);
    return sweep;
}

std::vector<Setting> list_tilts(std::size_t count) {
    std::vector<Setting> tilts;
    for (std::size_t i = 0; i < count; ++i)
        tilts.push_back({Knob::tilt, radians_from_degrees(5.0 * static_cast<double>(i)), ""});
    return tilts;
}

/// A wall with a target and two lamps, small enough to be lit many times.
Site make_small_site() {
    return read_site(
               R"({ "duskcast": 1, "as_new": true, "name": "Small", "units": "m", "light": "lx", "sensor_spacing": 0.4,
        "ground_spacing": 2, "ground": { "margin": 2 },
        "walls": [{ "id": "front", "path": [[0, 0], [4, 0]], "height": 3 }],
        "lamps": [{ "id": "a", "watts": 4, "lumens": 280, "beam": 36 },
                  { "id": "b", "watts": 5, "lumens": 400, "beam": 24 }],
        "fixtures": [
          { "id": "U1", "kind": "uplight", "lamp": "a", "wall": "front", "along": 1, "setback": 0.4,
            "tilt": 8 },
          { "id": "U2", "kind": "uplight", "lamp": "a", "wall": "front", "along": 3, "setback": 0.4,
            "tilt": 8 }],
        "targets": [{ "id": "face", "on": "front", "level": "10 lx", "share": 0.5 },
                    { "id": "upper", "on": "front", "between": [1.5, 3],
                      "level": "10 lx", "share": 0.5 }] })",
               "small.site.json")
        .site;
}

std::vector<std::string> list_files(const Folder& folder) {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder.path()))
        if (entry.is_regular_file() && !entry.path().filename().string().starts_with(".duskcast"))
            names.push_back(std::filesystem::relative(entry.path(), folder.path()).generic_string());
    std::sort(names.begin(), names.end());
    return names;
}

using Names = std::vector<std::string>;

/// The files of some pictures in the formats that this build draws.
Names with_endings(const Names& pictures, bool with_svg = false) {
    Names names;
    for (const std::string& picture : pictures)
        for (const PictureFormat format : picture_formats(with_svg))
            names.push_back(picture + std::string(ending_of(format)));
    std::sort(names.begin(), names.end());
    return names;
}

} // namespace

TEST_CASE("a sweep's curves lie at its settings and figures, in the site's units") {
    Site site = make_metric_site();
    Sweep sweep = make_tilt_sweep({0.5, 0.7, 0.3}, {2, 4, 3});
    ChartPage page = make_sweep_page(site, sweep);
    CHECK(page.title == "House");
    CHECK(page.detail == "What the tilt of U1 changes on gable");
    CHECK(page.answers == print_findings(site, sweep));
    CHECK(page.heat_maps.empty());
    CHECK(page.charts.size() == 4); // no variant has a uniformity
    const Chart& reach = find_chart(page, "reach, m");
    CHECK(reach.x.title == "tilt, degrees");
    CHECK(reach.is_joined);
    REQUIRE(reach.series.size() == 1);
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(reach.series[0].points[i].x == doctest::Approx(10.0 * static_cast<double>(i)));
        CHECK(reach.series[0].points[i].y == sweep.figures[i].reaches[0].height);
    }
    REQUIRE(reach.marks.size() == 1); // the best
    CHECK(reach.marks[0].x == doctest::Approx(10));
    CHECK(reach.marks[0].y == 4);
    CHECK(reach.marks[0].text == "10\u00b0: 4.00 m");
    REQUIRE(reach.levels.size() == 1);
    CHECK(reach.levels[0].y == 6);
    CHECK(reach.levels[0].text == "top at 6.00 m");
    const Chart& coverage = find_chart(page, "coverage, %");
    CHECK(*coverage.series[0].points[1].y == doctest::Approx(70));
    CHECK(coverage.marks[0].text == "10\u00b0: 70.0 %");
    CHECK(coverage.levels.empty());
    // Tops that differ from variant to variant are no level; what no variant has is a gap.
    sweep.figures[1].reaches[0].top = 5;
    sweep.figures[2].reaches.clear();
    page = make_sweep_page(site, sweep);
    CHECK(find_chart(page, "reach, m").levels.empty());
    CHECK(!find_chart(page, "reach, m").series[0].points[2].y);
    // Setbacks are in inches where the site is in feet; all fixtures go without names.
    site.units = LengthUnit::foot;
    sweep.plan.fixtures.clear();
    for (std::size_t i = 0; i < 3; ++i)
        sweep.plan.ranges[0].values[i] = {Knob::setback, (12.0 + 3 * static_cast<double>(i)) * 0.0254, ""};
    sweep.plan.ranges[0].knob = Knob::setback;
    page = make_sweep_page(site, sweep);
    CHECK(page.detail == "What the setback of all fixtures changes on gable");
    CHECK(find_chart(page, "reach, ft").x.title == "setback, in");
    CHECK(find_chart(page, "reach, ft").series[0].points[1].x == doctest::Approx(15));
    CHECK(*find_chart(page, "reach, ft").series[0].points[1].y == doctest::Approx(4 / 0.3048));
    for (const auto& [knob, title] : {std::pair(Knob::along, "along, ft"), {Knob::dimming, "dimming, %"}}) {
        for (std::size_t i = 0; i < 3; ++i)
            sweep.plan.ranges[0].values[i] = {knob, 0.3048 * static_cast<double>(i), ""};
        sweep.plan.ranges[0].knob = knob;
        const ChartPage other = make_sweep_page(site, sweep);
        CHECK(find_chart(other, "reach, ft").x.title == title);
        CHECK(find_chart(other, "reach, ft").series[0].points[1].x ==
              doctest::Approx(knob == Knob::along ? 1 : 30.48));
    }
}

TEST_CASE("the contact sheet frames the setting that is recommended, which need not cover most") {
    const Sweep sweep = make_tilt_sweep({0.5, 0.7, 0.6}, {2, 3, 4});
    const std::optional<Recommendation> pick = find_recommendation(sweep);
    REQUIRE(pick.has_value());
    REQUIRE(pick->variant == 2); // of what meets the target it reaches highest
    CHECK(find_recommended_cell(sweep, 3) == 2u);
    CHECK(variant_in_cell(sweep, 1, 2) == 2);
    CHECK(!find_recommended_cell(sweep, 1).has_value());
}

TEST_CASE("lamps stand side by side without a line between them") {
    Site site = make_metric_site();
    site.lamps = {{.id = "a", .name = "spot 4 W"}, {.id = "b"}};
    const Sweep sweep = make_numbered({{Knob::lamp, 0, "a"}, {Knob::lamp, 0, "b"}}, {list_tilts(3)});
    const ChartPage page = make_sweep_page(site, sweep);
    const Chart& chart = find_chart(page, "coverage, %");
    CHECK(!chart.is_joined);
    CHECK(chart.x.title == "lamp");
    REQUIRE(chart.x.ticks.size() == 2);
    CHECK(chart.x.ticks[0].text == "spot 4 W");
    CHECK(chart.x.ticks[1].text == "b");
    REQUIRE(chart.series.size() == 3); // one a tilt
    CHECK(chart.series[2].name == "tilt 10\u00b0");
    for (std::size_t tilt = 0; tilt < 3; ++tilt)
        for (std::size_t lamp = 0; lamp < 2; ++lamp) {
            CHECK(chart.series[tilt].points[lamp].x == static_cast<double>(lamp));
            CHECK(*chart.series[tilt].points[lamp].y ==
                  doctest::Approx(3.0 * static_cast<double>(lamp) + static_cast<double>(tilt)));
        }
    CHECK(page.detail == "What the lamp and tilt of U1, U2 changes on gable");
}

TEST_CASE("more curves than can be told apart become a heat map, of lamps as well") {
    const Site site = make_metric_site();
    for (const bool is_lamp : {false, true}) {
        const std::vector<Setting> outer =
            is_lamp ? std::vector<Setting>{{Knob::lamp, 0, "a"}, {Knob::lamp, 0, "b"}, {Knob::lamp, 0, "c"}}
                    : std::vector<Setting>{
                          {Knob::setback, 0.3, ""}, {Knob::setback, 0.4, ""}, {Knob::setback, 0.5, ""}};
        const Sweep sweep = make_numbered(outer, list_tilts(11));
        const ChartPage page = make_sweep_page(site, sweep);
        CHECK(page.charts.empty());
        const auto map = std::find_if(page.heat_maps.begin(), page.heat_maps.end(),
                                      [](const HeatMap& one) { return one.title == "coverage, %"; });
        REQUIRE(map != page.heat_maps.end());
        CHECK(map->x.cells.size() == 3);
        CHECK(map->y.cells.size() == 11);
        CHECK(map->x.cells[1] == (is_lamp ? "b" : "0.40 m"));
        CHECK(map->y.cells[2] == "10\u00b0");
        for (std::size_t x = 0; x < 3; ++x)
            for (std::size_t y = 0; y < 11; ++y)
                CHECK(*map->values[y * 3 + x] == doctest::Approx(static_cast<double>(11 * x + y)));
        CHECK(map->best == 10 * 3 + 2); // the last variant
        check_whole_picture(draw_charts(page, PictureFormat::svg), PictureFormat::svg);
    }
}

TEST_CASE("designs are traded off by what they differ in") {
    const Site site = make_metric_site();
    const Freedom freedom{.fixtures = {"U1"}, .lamps = {"a", "b"}};
    Wish wish{.focus = {"gable", {}}, .prefer = Quantity::reach};
    DesignSearch search{.tried = 4, .is_met = true};
    for (const double reach : {4.0, 3.0, 2.0}) {
        Design design{.count = 1, .lamp = "a", .figures = make_gable_figures(0.6, reach)};
        design.figures.spill.target_lm = 500 + 50 * (4 - reach);
        search.front.push_back(design);
    }
    search.best = search.front.front();
    ChartPage page = make_trade_off_page(site, freedom, wish, search);
    REQUIRE(page.charts.size() == 1); // all take 10 W, and none has a price
    const Chart& chart = page.charts[0];
    CHECK(chart.title == "reach against spill");
    CHECK(chart.x.title == "spill, %");
    CHECK(chart.y.title == "reach, m");
    CHECK(!chart.is_joined);
    REQUIRE(chart.series.size() == 3);
    CHECK(chart.series[1].name == "design 2");
    CHECK(chart.series[1].points[0].x == doctest::Approx(45)); // 550 of 1000 lm land
    CHECK(*chart.series[1].points[0].y == 3);
    for (const std::string& answer : page.answers)
        CHECK(!answer.starts_with(" "));
    CHECK(page.answers.size() == print_search(site, freedom, wish, search).size());
    search.front[1].figures.watts = 8;
    for (Design& design : search.front)
        design.figures.price = 100;
    search.front[2].figures.price = 120;
    page = make_trade_off_page(site, freedom, wish, search);
    CHECK(page.charts.size() == 3);
    CHECK(page.charts[1].title == "reach against watts");
    CHECK(page.charts[2].title == "reach against price");
    search.front[2].figures.price.reset();
    wish.prefer = Quantity::watts;
    page = make_trade_off_page(site, freedom, wish, search);
    REQUIRE(page.charts.size() == 1);
    CHECK(page.charts[0].title == "watts against spill"); // not against itself
}

TEST_CASE("a sweep's files: curves, and a contact sheet of what the target is on") {
    const Site site = make_small_site();
    SweepPlan plan{.fixtures = {"U1"}};
    plan.ranges = {read_range("tilt=0..30:3", site)};
    plan.focus = {"upper", {"U1"}};
    Workbench bench(".", {.is_direct_only = true});
    const Sweep sweep = run_sweep(site, bench, ".", plan);
    Folder out;
    OutputFolder folder(out.path(), "sweep");
    draw_sweep_charts(site, sweep, folder);
    draw_sweep_sheet(site, ".", sweep, bench, folder);
    folder.finish();
    Names wanted = with_endings({"contact-sheet"});
    for (const std::string& name : with_endings({"curves"}, true))
        wanted.push_back(name);
    CHECK(list_files(out) == wanted);
    for (const std::string& name : wanted)
        check_whole_picture(read_bytes(out / name),
                            name.ends_with(".png") ? PictureFormat::png : PictureFormat::svg);
    // Nothing to show without the target, and no sheet.
    Sweep lost = sweep;
    lost.plan.focus.target = "none";
    Folder other;
    OutputFolder bare(other.path(), "sweep");
    draw_sweep_sheet(site, ".", lost, bench, bare);
    bare.finish();
    CHECK(list_files(other).empty());
}

TEST_CASE("of a house the face is shown that a target is on, and of a variant that leaves it dark too") {
    // The west face is the first and has a lamp; the target and the lamp that goes are on the south one.
    const SiteFile site_file = read_site(R"({ "duskcast": 1, "as_new": true, "units": "m", "light": "lx",
        "sensor_spacing": 0.4, "ground_spacing": 2, "ground": { "margin": 2 },
        "walls": [{ "id": "house", "path": [[0, 4], [0, 0], [4, 0], [4, 4]], "closed": true, "height": 3,
          "gables": [{ "id": "peak", "from": 5, "width": 2, "peak": 4.5 }] }],
        "lamps": [{ "id": "a", "watts": 4, "lumens": 280, "beam": 36 }],
        "fixtures": [
          { "id": "W", "kind": "uplight", "lamp": "a", "wall": "house", "along": 2, "setback": 0.4, "tilt": 8 },
          { "id": "S", "kind": "uplight", "lamp": "a", "wall": "house", "along": 6, "setback": 0.4, "tilt": 8 }],
        "targets": [{ "id": "gable", "on": "house", "gable": "peak", "level": "1 lx", "share": 0.5 }],
        "variants": [{ "id": "off", "without": ["S"] }] })",
                                         "house.site.json");
    Workbench bench(".", {.is_direct_only = true});
    Folder out;
    OutputFolder folder(out.path(), "compare");
    draw_comparison_plates(compare_variants(site_file.site, site_file.site.variants, "", bench, "."), folder);
    folder.finish();
    CHECK(list_files(out) == with_endings({"plates/house.south"}));
}

TEST_CASE("a comparison's files: four to a page, and each variant beside the first") {
    const Site site = make_small_site();
    const auto draw = [&](std::size_t count) {
        std::vector<Variant> variants;
        for (std::size_t i = 0; i < count; ++i) {
            variants.push_back(read_variant("v: U1 tilt=" + std::to_string(5 + i), site));
            variants.back().id = i == 0 ? "a/b c" : "v" + std::to_string(i);
        }
        Workbench bench(".", {.is_direct_only = true});
        Folder out;
        OutputFolder folder(out.path(), "compare");
        draw_comparison_plates(compare_variants(site, variants, "face", bench, "."), folder);
        folder.finish();
        return list_files(out);
    };
    // Two targets on one wall make one plate.
    CHECK(draw(1) == with_endings({"plates/front"}));
    CHECK(draw(4) == with_endings({"plates/front-2", "plates/front.a-b-c", "plates/front", "plates/front.v1",
                                   "plates/front.v2", "plates/front.v3"}));
}

TEST_CASE("a search's files: the trade-off where designs differ, and the best beside the site as drawn") {
    const Site site = make_small_site();
    const Freedom freedom{.fixtures = {"U1", "U2"}, .lamps = {"a", "b"}};
    const Wish wish{.focus = {"face", {}}, .prefer = Quantity::reach};
    Workbench bench(".", {.is_direct_only = true});
    DesignSearch search = search_designs(site, ".", freedom, wish, {.is_direct_only = true});
    const auto draw = [&] {
        Folder out;
        OutputFolder folder(out.path(), "suggest");
        draw_search(site, freedom, wish, search, bench, folder);
        folder.finish();
        return list_files(out);
    };
    REQUIRE(search.front.size() == 2); // lamp b reaches higher, lamp a takes less
    Names wanted = with_endings({"plates/front"});
    for (const std::string& name : with_endings({"trade-off"}, true))
        wanted.push_back(name);
    CHECK(draw() == wanted);
    search.front[1] = search.front[0];
    CHECK(draw() == with_endings({"plates/front"}));
}
