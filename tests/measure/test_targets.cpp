// Targets: which part of a surface they mean, and whether it is reached.

#include <algorithm>

#include "duskcast/measure/region.hpp"
#include "folder.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A gabled wall with a bay, a bed before it; 0.1 m cells fit every measure.
Site make_house() {
    Site site = make_wall_site(10, 3, 0.1);
    site.ground_spacing = 0.25;
    site.walls[0].gables = {{.id = "left", .from = 0, .width = 4, .peak = 5},
                            {.id = "right", .from = 6, .width = 4, .peak = 6}};
    site.walls[0].projections = {
        {.id = "bay", .from = 4.5, .width = 1, .depth = 0.5, .bottom = 0, .height = 2, .openings = {}}};
    site.walls[0].eave = Eave{.depth = 0.3};
    site.ground.areas = {
        {.id = "bed", .kind = GroundKind::mulch, .outline = {{0, -2}, {4, -2}, {4, -1}, {0, -1}}}};
    return site;
}

/// The target's figures when the light is `lux_at`.
TargetReport report_target(Site site, const Stage& stage, const Target& target, const LightAt& lux_at) {
    site.targets = {target};
    return measure_report(site, stage, make_light(stage, lux_at), {1}).targets.at(0);
}

double height_of(const glm::vec3& at, const glm::vec3&) {
    return at.z;
}

} // namespace

TEST_CASE("a gable is its triangle") {
    // Area w (p - h) / 2; mean height h + (p - h) / 3; share above z: ((p - z) / (p - h))^2.
    const Site site = make_house();
    const auto stage = build_stage(site, {});
    const TargetReport report = report_target(
        site, *stage, {.id = "T", .on = "wall", .gable = "right", .level = 4, .share = 0.4}, height_of);
    CHECK(report.stats.area == doctest::Approx(6).epsilon(1e-3));
    CHECK(report.stats.mean_lx == doctest::Approx(4).epsilon(0.01));
    CHECK(report.share == doctest::Approx(4.0 / 9).epsilon(0.05));
    CHECK(report.is_reached);
    CHECK(report.id == "T");
    CHECK(report.on == "wall");
    CHECK(report.level_lx == 4);
    CHECK(report.wanted_share == 0.4);
    CHECK(report.stats.hot_spot.position.x == doctest::Approx(8).epsilon(0.01));
    CHECK(!report_target(site, *stage, {.id = "T", .on = "wall", .gable = "right", .level = 4, .share = 0.5},
                         height_of)
               .is_reached);
}

TEST_CASE("a band, a stretch, and both") {
    const Site site = make_house();
    const auto stage = build_stage(site, {});
    // A band of the whole wall takes the bay's part with it: 10 m2 + two flanks of 0.5 m2; the wall behind
    // the bay is hidden and the bay's front stands for it.
    const TargetReport band = report_target(
        site, *stage, {.id = "T", .on = "wall", .between = {{1, 2}}, .level = 1.5, .share = 0.5}, height_of);
    CHECK(band.stats.area == doctest::Approx(11).epsilon(1e-4));
    CHECK(band.stats.mean_lx == doctest::Approx(1.5).epsilon(1e-4));
    CHECK(band.share == doctest::Approx(0.5).epsilon(1e-4));
    CHECK(band.stats.min_lx == doctest::Approx(1.05));
    CHECK(band.stats.max_lx == doctest::Approx(1.95));
    // A stretch is the wall's own.
    const auto along_of = [](const glm::vec3& at, const glm::vec3&) { return static_cast<double>(at.x); };
    const TargetReport stretch = report_target(
        site, *stage,
        {.id = "T", .on = "wall", .between = {{0, 3}}, .along = {{1, 4}}, .level = 3.5, .share = 0.5},
        along_of);
    CHECK(stretch.stats.area == doctest::Approx(9).epsilon(1e-4));
    CHECK(stretch.stats.mean_lx == doctest::Approx(2.5).epsilon(1e-4));
    CHECK(stretch.share == doctest::Approx(0.5 / 3).epsilon(1e-3));
    CHECK(!stretch.is_reached);
    // Along a part: the bay's run is left flank, front, right flank.
    const TargetReport front = report_target(
        site, *stage, {.id = "T", .on = "wall.bay", .along = {{0.5, 1.5}}, .level = 1, .share = 0.5},
        height_of);
    CHECK(front.stats.area == doctest::Approx(2).epsilon(1e-4));
    CHECK(front.is_reached);
    CHECK(front.share == doctest::Approx(0.5).epsilon(1e-4));
}

TEST_CASE("a wall as a whole takes in what stands out from it, but no soffit and no pane") {
    Site site = make_house();
    site.walls[0].openings = {{.id = "window", .from = 1, .width = 1, .sill = 1, .height = 1}};
    const auto stage = build_stage(site, {});
    const Target target{.id = "T", .on = "wall"};
    std::vector<std::string> names;
    for (const int surface : find_region(site, *stage, target).surfaces)
        names.push_back(stage->surfaces[surface].id);
    std::sort(names.begin(), names.end());
    CHECK(names == std::vector<std::string>{"wall", "wall.bay"});
}

TEST_CASE("heights count from the wall's foot") {
    Site site = make_wall_site(4, 3, 0.1);
    site.walls[0].foot = 1;
    const auto stage = build_stage(site, {});
    const TargetReport band = report_target(
        site, *stage, {.id = "T", .on = "wall", .between = {{1, 2}}, .level = 2.5, .share = 0.5}, height_of);
    CHECK(band.stats.area == doctest::Approx(4).epsilon(1e-4));
    CHECK(band.stats.mean_lx == doctest::Approx(2.5).epsilon(1e-4)); // 2 m to 3 m in the plan's heights
}

TEST_CASE("ground areas, and the ground outside them") {
    const Site site = make_house();
    const auto stage = build_stage(site, {});
    const auto in_bed = [](const glm::vec3& at, const glm::vec3&) {
        return at.x > 0 && at.x < 4 && at.y > -2 && at.y < -1 ? 20.0 : 1.0;
    };
    const TargetReport bed =
        report_target(site, *stage, {.id = "T", .on = "bed", .level = 10, .share = 1}, in_bed);
    CHECK(bed.stats.area == doctest::Approx(4).epsilon(1e-4));
    CHECK(bed.share == 1);
    CHECK(bed.is_reached);
    const TargetReport rest =
        report_target(site, *stage, {.id = "T", .on = "ground", .level = 10, .share = 0.1}, in_bed);
    CHECK(rest.share == 0);
    CHECK(rest.stats.max_lx == 1);
}

TEST_CASE("a terrace is its top, and the wall that holds it up is a target of its own") {
    Site site = make_house();
    site.ground.areas[0].height = 0.5;
    const auto stage = build_stage(site, {});
    const auto from_above = [](const glm::vec3&, const glm::vec3& normal) {
        return normal.z > 0.5f ? 20.0 : 1.0;
    };
    const TargetReport top =
        report_target(site, *stage, {.id = "T", .on = "bed", .level = 10, .share = 1}, from_above);
    CHECK(top.stats.area == doctest::Approx(4).epsilon(1e-4));
    CHECK(top.is_reached);
    const TargetReport wall =
        report_target(site, *stage, {.id = "T", .on = "bed.wall", .level = 10, .share = 1}, from_above);
    CHECK(wall.stats.area == doctest::Approx(5).epsilon(1e-4)); // 10 m round, 0.5 m high
    CHECK(wall.share == 0);
}

TEST_CASE("a part of a crown by height") {
    const Site site = make_tree_site();
    const auto stage = build_stage(site, {});
    const Target target{.id = "T", .on = "oak", .between = {{4, 6}}, .level = 5, .share = 0.5};
    const TargetReport report = report_target(site, *stage, target, height_of);
    // An ellipsoid's slice through its middle (5.5 m): share of volume by the integral of 1 - t^2.
    const auto slice = [](double from, double to) {
        const auto part = [](double z) {
            const double t = (z - 5.5) / 3.5;
            return t - t * t * t / 3;
        };
        return (part(to) - part(from)) / (4.0 / 3);
    };
    double leaf_area = 0;
    for (std::size_t leaf = 0; leaf < stage->leaves.size(); ++leaf)
        leaf_area += stage->leaves.area(leaf);
    CHECK(report.stats.area == doctest::Approx(slice(4, 6) * leaf_area).epsilon(0.06)); // leaves at random
    CHECK(report.stats.min_lx >= 4);
    CHECK(report.stats.max_lx <= 6);
    CHECK(report.share == doctest::Approx(slice(5, 6) / slice(4, 6)).epsilon(0.1));
}

TEST_CASE("a plane of an OBJ house") {
    const std::filesystem::path folder = std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes" / "cottage";
    const SiteFile file = read_site_file(folder / "cottage.site.json");
    const auto stage = build_stage(file.site, folder);
    const auto bright = [](const glm::vec3&, const glm::vec3&) { return 12.0; };
    const TargetReport part = report_target(file.site, *stage,
                                            {.id = "T",
                                             .on = "cottage.front",
                                             .between = {{2.8, 3.3}},
                                             .along = {{1, 4}},
                                             .level = 12,
                                             .share = 1},
                                            bright);
    CHECK(part.is_reached);
    CHECK(part.stats.area > 0.5);
    CHECK(part.stats.area < 1.55); // 3 m x 0.5 m with its window
    const TargetReport whole =
        report_target(file.site, *stage, {.id = "T", .on = "cottage", .level = 12}, bright);
    double area = 0;
    for (const Surface& surface : stage->surfaces)
        if (surface.part_of == "cottage")
            for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i)
                area += stage->sensors.area[i];
    CHECK(whole.stats.area == doctest::Approx(area));
    CHECK(area > part.stats.area);
}

TEST_CASE("a surface that does not exist") {
    const Site site = make_house();
    const auto stage = build_stage(site, {});
    CHECK(problems_of([&] { find_region(site, *stage, {.id = "T", .on = "wal"}); }) ==
          "target T: error: there is no surface \"wal\"; did you mean \"wall\"?");
    CHECK(problems_of([&] { find_region(site, *stage, {.id = "T", .on = "wall.bey"}); }) ==
          "target T: error: there is no surface \"wall.bey\"; did you mean \"wall.bay\"?");
    CHECK(problems_of([&] { find_region(site, *stage, {.id = "T", .on = "the moon"}); }) ==
          "target T: error: there is no surface \"the moon\"; name a wall, plant, ground area or mesh of the "
          "site, or a part of one such as \"house.roof\"");
}

TEST_CASE("a target with no sensor in it is missed") {
    const Site site = make_house();
    const auto stage = build_stage(site, {});
    const TargetReport none = report_target(
        site, *stage, {.id = "T", .on = "wall", .between = {{20, 30}}, .level = 1, .share = 0}, height_of);
    CHECK(none.stats.sensors == 0);
    CHECK(none.share == 0);
    CHECK(!none.is_reached);
}

TEST_CASE("a mesh's part is one target, of all its planes, with heights from the ground") {
    // A post 2 m square, 4 m high, that stands 1 m up; its lid is no plane.
    const Folder folder;
    folder.write("post.obj", "o post\nv 0 0 0\nv 2 0 0\nv 2 0 -2\nv 0 0 -2\nv 0 4 0\nv 2 4 0\nv 2 4 -2\n"
                             "v 0 4 -2\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n"
                             "o lid\nv 0 4 0\nv 2 4 0\nv 2 4 -2\nf -3 -2 -1\n");
    Site site = make_wall_site(1, 1, 0.5);
    site.walls.clear();
    site.meshes = {{.id = "yard", .file = "post.obj", .at = {0, 0, 1}}};
    const auto stage = build_stage(site, folder.path());
    const auto area_of = [&](const Target& target) {
        double area = 0;
        for (const std::uint32_t sensor : find_region(site, *stage, target).sensors)
            area += static_cast<double>(stage->sensors.area[sensor]);
        return area;
    };
    CHECK(area_of({.id = "T", .on = "yard.post"}) == doctest::Approx(4 * 2 * 4));
    CHECK(area_of({.id = "T", .on = "yard.post.1"}) == doctest::Approx(2 * 4));
    CHECK(area_of({.id = "T", .on = "yard.post", .between = {{3, 6}}}) == doctest::Approx(4 * 2 * 2));
    CHECK(problems_of([&] { find_region(site, *stage, {.id = "T", .on = "yard.pos"}); }) ==
          "target T: error: there is no surface \"yard.pos\"; did you mean \"yard.post\"?");
    site.targets = {
        {.id = "A", .on = "yard.post"}, {.id = "B", .on = "the moon"}, {.id = "C", .on = "yard.pst"}};
    CHECK(problems_of([&] { check_targets(site, *stage); }) ==
          problems_of([&] { find_regions(site, *stage); }));
    CHECK(
        problems_of([&] { find_regions(site, *stage); }) ==
        "targets[1].on: error: there is no surface \"the moon\"; name a wall, plant, ground area or mesh of "
        "the site, or a part of one such as \"house.roof\"\ntargets[2].on: error: there is no surface "
        "\"yard.pst\"; did you mean \"yard.post\"?");
}

TEST_CASE("the level of a surface without a report, and of a part by its whole") {
    constexpr double fc = lux_per_footcandle;
    Site site{.is_as_new = true};
    CHECK(find_main_level(site, {}, "front") == fc);
    CHECK(find_main_level(site, {0.2 * fc, 0.5 * fc}, "front") == 0.5 * fc);
    CHECK(find_main_level(site, {0.5 * fc, fc, 2 * fc}, "front") == fc);
    site.targets = {{.id = "T", .on = "front", .level = 2 * fc},
                    {.id = "S", .on = "house.gable", .level = 3 * fc}};
    CHECK(find_main_level(site, {fc}, "front") == 2 * fc);
    CHECK(find_main_level(site, {fc}, "front.bay") == 2 * fc);
    CHECK(find_main_level(site, {fc}, "frontage") == fc);
    CHECK(find_main_level(site, {fc}, "house.gable.2") == 3 * fc);
}
