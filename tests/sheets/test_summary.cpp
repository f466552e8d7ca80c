// summary.json and maps.

#include <doctest/doctest.h>
#include <limits>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "duskcast/base/text.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/summary.hpp"
#include "folder.hpp"

using namespace duskcast;
namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

namespace {

/// A scene with everything that the summary speaks of.
struct SummaryScene {
    SiteFile file;
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    Report report;

    explicit SummaryScene(const char* name)
        : file(read_site_file(fs::path(DUSKCAST_SOURCE_DIR) / "scenes" / name /
                              (std::string(name) + ".site.json"))),
          stage(build_stage(file.site, file.folder())),
          lighting(trace_lighting(*stage, make_fixtures(file.site, file.folder()))),
          report(measure_report(file.site, *stage, lighting)) {}

    Json summary() const { return Json::parse(print_summary(file, *stage, lighting, report)); }
};

std::set<std::string> key_set(const Json& object) {
    std::set<std::string> keys;
    for (const auto& [key, value] : object.items())
        keys.insert(key);
    return keys;
}

void check_keys(const Json& object, const std::set<std::string>& wanted) {
    const std::set<std::string> keys = key_set(object);
    for (const std::string& key : wanted) {
        CAPTURE(key);
        CHECK(keys.count(key) == 1);
    }
}

} // namespace

TEST_CASE("the summary holds every key that scripts rely on") {
    const SummaryScene scene("two-gables");
    const Json summary = scene.summary();
    check_keys(summary, {"site", "units", "fixtures", "surfaces", "targets", "spill", "warnings"});
    CHECK(summary["site"] == "Two gables");
    CHECK(summary["units"] ==
          Json{{"length", "m"}, {"light", "lx"}, {"shown_length", "ft"}, {"shown_light", "fc"}});
    CHECK(!summary.contains("reference"));
    REQUIRE(summary["fixtures"].size() == 6);
    for (const Json& fixture : summary["fixtures"])
        check_keys(fixture, {"id", "lamp", "lumens", "watts", "position_m", "tilt_deg", "azimuth_deg"});
    // U5 of the site file: brighter-5w, 33 ft along, 18 in back, 15 cm up, tilt 6.
    const Json& fixture = summary["fixtures"][4];
    CHECK(fixture["id"] == "U5");
    CHECK(fixture["lamp"] == "brighter-5w");
    CHECK(fixture["lumens"].get<double>() == doctest::Approx(400 * 0.7695).epsilon(1e-3));
    CHECK(fixture["watts"] == 5);
    CHECK(fixture["position_m"] == Json{10.0584, -0.4572, 0.15});
    CHECK(fixture["tilt_deg"] == 6);
    CHECK(fixture["azimuth_deg"] == 0);
    REQUIRE(summary["surfaces"].size() == scene.report.surfaces.size());
    for (const Json& surface : summary["surfaces"]) {
        check_keys(surface,
                   {"id", "kind", "area_m2", "sensors", "min_lx", "mean_lx", "max_lx", "coverage", "reach"});
        REQUIRE(surface["coverage"].size() == 4);
        for (const Json& row : surface["coverage"])
            CHECK(key_set(row) == std::set<std::string>{"level_lx", "share"});
        for (const Json& row : surface["reach"])
            check_keys(row, {"level_lx", "height_m"});
        CHECK(surface["min_lx"] <= surface["mean_lx"]);
        CHECK(surface["mean_lx"] <= surface["max_lx"]);
    }
    const Json& front = summary["surfaces"][0];
    CHECK(front["id"] == "front");
    CHECK(front["kind"] == "wall");
    CHECK(front["reach"].size() == 4);
    CHECK(front["reach"][1]["level_lx"] == 10.7639);
    REQUIRE(summary["targets"].size() == 3);
    for (const Json& target : summary["targets"])
        check_keys(target, {"id", "level_lx", "mean_lx", "coverage", "reached"});
    CHECK(summary["targets"][0]["id"] == "left-peak");
    CHECK(summary["targets"][0]["reached"].is_boolean());
    check_keys(summary["spill"], {"emitted_lm", "target_lm", "other_lm", "ground_lm", "sky_lm"});
    double landed = 0;
    for (const char* part : {"target_lm", "other_lm", "ground_lm", "sky_lm"})
        landed += summary["spill"][part].get<double>();
    CHECK(landed ==
          doctest::Approx(summary["spill"]["emitted_lm"].get<double>()).epsilon(1e-5)); // six digits
    CHECK(landed == doctest::Approx(0.7695 * (5 * 280 + 400)).epsilon(1e-3));
    REQUIRE(summary["fixture_purpose"].size() == 6);
    for (const Json& purpose : summary["fixture_purpose"])
        check_keys(purpose, {"fixture", "on", "target", "share", "mean_lx"});
    for (const Json& line : summary["fixture_reach"])
        check_keys(line, {"fixture", "surface", "reach", "level_lx", "goal_m", "target", "better_lamp"});
    check_keys(summary["seen"], {"lit_luminance_cd_m2", "features"});
    const std::vector<Sentence> answers = print_answers(scene.file.site, scene.report);
    REQUIRE(summary["answers"].size() == answers.size());
    CHECK(summary["answers"][0] == answers[0].text);
    CHECK(summary["made_by"]["duskcast"] == DUSKCAST_PROJECT_VERSION);
    std::uint64_t rays = 0;
    for (const Sight& sight : scene.lighting.sights)
        rays += sight.rays;
    CHECK(summary["made_by"]["sight_rays"] == rays);
}

TEST_CASE("the summary tells how far a reference agrees") {
    const SummaryScene scene("two-gables");
    const Agreement row{.surface = 0,
                        .sensors = 40,
                        .total_lx = 12.5,
                        .reference_lx = 12.25,
                        .standard_error_lx = 0.25,
                        .agreeing = 0.95,
                        .mean_difference_se = -0.5,
                        .rms_difference_se = 1.25};
    const Json summary =
        Json::parse(print_summary(scene.file, *scene.stage, scene.lighting, scene.report, {row}));
    CHECK(summary["reference"] == Json::array({{{"surface", scene.stage->surfaces[0].id},
                                                {"sensors", 40},
                                                {"mean_lx", 12.5},
                                                {"reference_lx", 12.25},
                                                {"standard_error_lx", 0.25},
                                                {"agreeing", 0.95},
                                                {"mean_difference_se", -0.5},
                                                {"rms_difference_se", 1.25}}}));
}

TEST_CASE("a tree in the summary, and a level that is reached nowhere has no height") {
    SummaryScene scene("broad-oak");
    scene.report = measure_report(scene.file.site, *scene.stage, scene.lighting, {1e6});
    const Json summary = scene.summary();
    REQUIRE(summary["trees"].size() == 3);
    CHECK(summary["trees"][0]["id"] == "oak");
    CHECK(summary["trees"][0]["seen_from"] == "");
    CHECK(summary["trees"][1]["seen_from"] == "arriving");
    for (const Json& tree : summary["trees"]) {
        REQUIRE(tree["lit_to"].size() == 2); // 0.2 fc of the targets and the level asked for
        CHECK(tree["lit_to"][1]["height_m"].is_null());
        CHECK(tree["lit_to"][1]["to_top"] == false);
        CHECK(tree["lit_to"][1]["top_m"] == 13.716); // 45 ft
        for (const Json& band : tree["bands"])
            check_keys(band, {"from_m", "to_m", "leaf_area_m2", "mean_lx", "lit"});
    }
}

TEST_CASE("what is seen from the views is in the summary, and what another lamp would do") {
    SummaryScene scene("two-gables");
    SeenFeature peak{.feature = "right-peak", .on = "front", .from = {Viewpoint::Kind::view, "drive"}};
    peak.sighting = Sighting::faint;
    peak.is_upright = true;
    peak.faint = {.all = {{3, 4.5}}, .main = {3, 4.5}};
    scene.report.seen = {peak};
    scene.report.lit_luminance = 0.2;
    scene.report.reaches[4].better = HigherReach{"other", {.level_lx = 10, .height = 6}};
    scene.report.targets[0].better = MoreCoverage{"U2", "other", 0.5, false};
    const Json summary = scene.summary();
    CHECK(summary["seen"]["lit_luminance_cd_m2"] == 0.2);
    const Json& seen = summary["seen"]["features"][0];
    CHECK(seen["target"] == "right-peak");
    CHECK(seen["seen_from"] == "drive");
    CHECK(seen["sighting"] == "faint");
    CHECK(seen["lit_m"] == Json::array());
    CHECK(seen["faint_m"] == Json::parse("[[3.0, 4.5]]"));
    CHECK(summary["fixture_reach"][4]["better_lamp"]["lamp"] == "other");
    CHECK(summary["fixture_reach"][4]["better_lamp"]["reach"][0]["height_m"] == 6);
    CHECK(summary["fixture_reach"][3]["better_lamp"].is_null());
    CHECK(summary["targets"][0]["better_lamp"]["coverage"] == 0.5);
    CHECK(summary["targets"][1]["better_lamp"].is_null());
}

TEST_CASE("the summary says which file and which version made it") {
    // FNV-1a, 64 bit: the published test vectors of the empty string and of "a" (draft-eastlake-fnv).
    SummaryScene scene("two-gables");
    CHECK(hash_of("") == 0xcbf29ce484222325u);
    CHECK(hash_of("a") == 0xaf63dc4c8601ec8cu);
    CHECK(scene.file.hash == hash_of(test::read_bytes(scene.file.file)));
    scene.file.hash = 0xaf63dc4c8601ec8cu;
    CHECK(scene.summary()["made_by"]["site_fnv1a"] == "af63dc4c8601ec8c");
    CHECK(std::string(duskcast_version) == DUSKCAST_PROJECT_VERSION);
}

TEST_CASE("a dimmed fixture takes its share of watts and lumens") {
    SummaryScene scene("two-gables");
    scene.file.site.fixtures[4].dimming = 0.5;
    scene.lighting.fixtures = make_fixtures(scene.file.site, scene.file.folder());
    const Json summary = scene.summary();
    CHECK(summary["fixtures"][4]["watts"] == 2.5);
    CHECK(summary["fixtures"][4]["lumens"].get<double>() == doctest::Approx(200 * 0.7695).epsilon(1e-3));
}

TEST_CASE("warnings of the site and of the stage are told, and names that are not UTF-8 do no harm") {
    SummaryScene scene("two-gables");
    scene.file.warnings = {{.severity = Severity::warning,
                            .place = {.path = "fixtures[0]"},
                            .what = "too near",
                            .remedy = "move it"}};
    scene.stage->warnings = {{.severity = Severity::warning, .what = "mesh mended"}};
    scene.file.site.name = "caf\xe9"; // Latin-1
    const Json summary = scene.summary();
    CHECK(summary["warnings"] == Json{"fixtures[0]: warning: too near; move it", "warning: mesh mended"});
    CHECK(summary["site"] == "caf\xef\xbf\xbd"); // U+FFFD, the replacement character
}

TEST_CASE("a map has one row a sensor under the promised header") {
    const SummaryScene scene("two-gables");
    for (const SurfaceReport& report : scene.report.surfaces) {
        const Surface& surface = scene.stage->surfaces[report.surface];
        std::istringstream map(print_map(*scene.stage, scene.lighting, surface));
        std::string line;
        std::getline(map, line);
        CHECK(line == "x_m,y_m,z_m,nx,ny,nz,area_m2,direct_lx,bounced_lx,total_lx");
        // Row by row from the lowest, from left to right; without a grid in the order of the sensors.
        std::vector<std::int32_t> order;
        for (int row = 0; row < surface.grid.rows; ++row)
            for (int column = 0; column < surface.grid.columns; ++column)
                if (surface.grid.at(column, row) >= 0)
                    order.push_back(surface.grid.at(column, row));
        for (std::uint32_t i = 0; !surface.has_grid() && i < surface.count; ++i)
            order.push_back(static_cast<std::int32_t>(surface.first + i));
        REQUIRE(order.size() == surface.count);
        std::size_t rows = 0;
        double area = 0, flux = 0;
        while (std::getline(map, line)) {
            std::vector<double> values;
            std::istringstream cells(line);
            for (std::string cell; std::getline(cells, cell, ',');)
                values.push_back(std::stod(cell));
            REQUIRE(values.size() == 10);
            const auto sensor = static_cast<std::size_t>(order.at(rows++));
            CHECK(std::abs(values[0] - scene.stage->sensors.x[sensor]) < 6e-5);
            CHECK(std::abs(values[2] - scene.stage->sensors.z[sensor]) < 6e-5);
            CHECK(values[3] * values[3] + values[4] * values[4] + values[5] * values[5] ==
                  doctest::Approx(1).epsilon(1e-4));
            CHECK(values[7] == doctest::Approx(scene.lighting.direct_lx[sensor]).epsilon(1e-5));
            CHECK(values[9] == values[7] + values[8]);
            area += values[6];
            flux += values[6] * values[9];
        }
        CHECK(rows == surface.count);
        CHECK(area == doctest::Approx(report.stats.area).epsilon(1e-5));
        CHECK(flux / area == doctest::Approx(report.stats.mean_lx).epsilon(1e-5));
    }
}

TEST_CASE("a figure that is no number is null, not nothing") {
    SummaryScene scene("two-gables");
    scene.report.surfaces[0].stats.max_lx = std::numeric_limits<double>::infinity();
    scene.report.surfaces[0].stats.mean_to_min = std::numeric_limits<double>::quiet_NaN();
    scene.report.surfaces[0].stats.mean_lx = 1.25e-310; // below the least normal double
    scene.report.spill.sky_lm = std::numeric_limits<double>::quiet_NaN();
    const Json summary = scene.summary();
    CHECK(summary["surfaces"][0]["mean_lx"] == 1.25e-310);
    CHECK(summary["surfaces"][0]["max_lx"].is_null());
    CHECK(summary["surfaces"][0]["mean_to_min"].is_null());
    CHECK(summary["surfaces"][0]["min_lx"].is_number());
    CHECK(summary["spill"]["sky_lm"].is_null());
}

TEST_CASE("a map of the reference holds its sensors on the surface alone") {
    Stage stage;
    for (int i = 0; i < 3; ++i)
        stage.sensors.add({static_cast<float>(i), 0, 1.5f}, {0, -1, 0}, 0.25f);
    Surface front;
    front.first = 1;
    front.count = 2;
    const std::vector<ReferenceLight> reference{
        {.sensor = 0, .direct_lx = 7},
        {.sensor = 2, .direct_lx = 2, .bounced_lx = 0.5, .standard_error_lx = 0.125}};
    CHECK(print_reference_map(stage, reference, front) ==
          "x_m,y_m,z_m,direct_lx,bounced_lx,total_lx,standard_error_lx\n"
          "2.0000,0.0000,1.5000,2,0.5,2.5,0.125\n");
}
