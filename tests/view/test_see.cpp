// How things read from where they are looked at: luminances given by hand.

#include <doctest/doctest.h>

#include "duskcast/view/see.hpp"

using namespace duskcast;

namespace {

/// A wall 8 m by 6 m along y = 0 whose upper part is a target, a lawn, and a tree beside it.
Site make_seen_site() {
    Site site;
    site.units = LengthUnit::metre;
    Wall wall;
    wall.id = "front";
    wall.path = {{0, 0}, {8, 0}};
    wall.height = 6;
    site.walls = {wall};
    Tree tree;
    tree.id = "oak";
    tree.at = {30, 0};
    tree.height = 9;
    tree.base = 2;
    tree.width = 6;
    tree.foliage.leaf_area_density = 1.5;
    site.trees = {tree};
    site.leaf_sensors = 400;
    site.targets = {{.id = "upper", .on = "front", .between = std::array{2.0, 6.0}}};
    return site;
}

/// cd/m2 of a place.
using LuminanceAt = std::function<double(const glm::vec3& position)>;

/// L = rho E / pi, so that walls and ground send what is asked for; leaves get pi lux for each cd/m2.
std::vector<SeenFeature> look(const Site& site, const View& view, const LuminanceAt& luminance,
                              double lit_luminance = usual_lit_luminance) {
    const auto stage = build_stage(site, {});
    const BouncedLight bounced = [&](const Hit& hit, const glm::vec3& position, const glm::vec3&) {
        return luminance(position) * pi / glm::dvec3(stage->reflectance_at(hit, position));
    };
    return look_from_views(site, *stage, {view}, {}, bounced, lit_luminance);
}

SeenFeature find_seen(const std::vector<SeenFeature>& seen, const std::string& feature) {
    for (const SeenFeature& one : seen)
        if (one.feature == feature)
            return one;
    FAIL("nothing is seen of " << feature);
    return {};
}

const View from_lawn{.id = "lawn", .eye = {4, -15, 1.6}, .look_at = {4, 0, 3}};

} // namespace

TEST_CASE("a wall reads as lit, faint and unlit by height, from the luminance that is asked for") {
    Site site = make_seen_site();
    site.views = {from_lawn};
    // 1 cd/m2 up to 3.5 m, 0.05 up to 5 m, nothing above; bands of the target are 0.25 m high.
    const LuminanceAt steps = [](const glm::vec3& at) {
        return at.y > -0.5f && at.x < 20 ? (at.z < 3.5f ? 1 : at.z < 5 ? 0.05 : 0.001) : 0.0;
    };
    const SeenFeature seen = find_seen(look(site, from_lawn, steps), "upper");
    CHECK(seen.sighting == Sighting::lit);
    CHECK(seen.is_upright);
    CHECK(seen.low == doctest::Approx(2).epsilon(0.05));
    CHECK(seen.high == doctest::Approx(6));
    CHECK(seen.lit.main.to == doctest::Approx(3.5).epsilon(0.075));
    CHECK(seen.faint.main.to == doctest::Approx(5).epsilon(0.05)); // 0.05 is over a third of 0.1
    CHECK(!seen.faint.is_to_top);
    CHECK(seen.needed == usual_lit_luminance); // sky and lawn are black
    // The level can be set: 0.05 is lit at 0.04, and 1 is only faint at 2.
    CHECK(find_seen(look(site, from_lawn, steps, 0.04), "upper").lit.main.to ==
          doctest::Approx(5).epsilon(0.05));
    const SeenFeature dim = find_seen(look(site, from_lawn, steps, 2), "upper");
    CHECK(dim.sighting == Sighting::faint);
    CHECK(dim.faint.main.to == doctest::Approx(3.5).epsilon(0.075));
    CHECK(find_seen(look(site, from_lawn, steps, 10), "upper").sighting == Sighting::unlit);
}

TEST_CASE("a target that reads as lit is known to be missed where its own level or share is not met") {
    Site site = make_seen_site();
    site.views = {from_lawn};
    const auto stage = build_stage(site, {});
    Lighting lighting;
    lighting.bounced_at = [](const Hit&, const glm::vec3&, const glm::vec3&) { return glm::dvec3(10); };
    Report report;
    report.targets = {{.id = "upper", .on = "front", .is_reached = false}};
    const auto look_again = [&] {
        look_for_report(site, *stage, lighting, 0.2, report);
        return find_seen(report.seen, "upper");
    };
    CHECK(look_again().lit.is_to_top);
    CHECK(look_again().is_lit_but_missed());
    CHECK(report.lit_luminance == 0.2);
    CHECK(!find_seen(report.seen, "oak").is_missed); // no target
    report.targets[0].is_reached = true;
    CHECK(!look_again().is_missed);
}

TEST_CASE("what is darker than what lies round it does not read as lit") {
    Site site = make_seen_site();
    site.views = {from_lawn};
    site.targets[0].between = std::array{0.0, 2.0}; // lawn is most of what lies round it
    site.walls[0].height = 2;
    const View down{.id = "lawn", .eye = {4, -15, 8}, .look_at = {4, 0, 0}}; // nothing but lawn behind it
    site.views = {down};
    const auto with_lawn = [&](double lawn) {
        const LuminanceAt at = [=](const glm::vec3& place) { return place.z < 0.01f ? lawn : 0.2; };
        return find_seen(look(site, down, at), "upper");
    };
    CHECK(with_lawn(0).sighting == Sighting::lit);
    CHECK(with_lawn(0.19).sighting == Sighting::lit);
    CHECK(with_lawn(0.3).needed == doctest::Approx(0.3));
    CHECK(with_lawn(0.3).sighting == Sighting::faint);
    CHECK(with_lawn(0.7).sighting == Sighting::unlit); // 0.2 is less than a third of it
}

TEST_CASE("hidden, out of the picture and unlit are told apart") {
    Site site = make_seen_site();
    site.views = {from_lawn};
    const LuminanceAt bright = [](const glm::vec3&) { return 1.0; };
    const LuminanceAt dark = [](const glm::vec3&) { return 0.0; };
    CHECK(find_seen(look(site, from_lawn, dark), "upper").sighting == Sighting::unlit);
    CHECK(find_seen(look(site, from_lawn, bright), "oak").sighting == Sighting::out_of_picture);
    Wall screen;
    screen.id = "screen";
    screen.path = {{-10, -5}, {18, -5}};
    screen.height = 9;
    site.walls.push_back(screen);
    const SeenFeature hidden = find_seen(look(site, from_lawn, bright), "upper");
    CHECK(hidden.sighting == Sighting::hidden);
    CHECK(!hidden.is_seen());
    CHECK(!hidden.lit.is_any());
}

TEST_CASE("a crown reads as lit from below without a gap, from the side that is lit") {
    Site site = make_seen_site();
    const View view{.id = "drive", .eye = {30, -20, 1.6}, .look_at = {30, 0, 5}};
    site.views = {view};
    const auto oak = [&](const LuminanceAt& at) { return find_seen(look(site, view, at), "oak"); };
    const SeenFeature half = oak([](const glm::vec3& at) { return at.z < 5 ? 1.0 : 0.0; });
    CHECK(half.is_tree);
    CHECK(half.sighting == Sighting::lit);
    CHECK(half.lit.main.to == doctest::Approx(5).epsilon(0.1));
    CHECK(half.lit.main.from < 3);
    // A target that is the whole tree reads as the tree does, with the height that its plate tells.
    Site asked = site;
    asked.targets.push_back({.id = "crown", .on = "oak"});
    const SeenFeature crown =
        find_seen(look(asked, view, [](const glm::vec3& at) { return at.z < 5 ? 1.0 : 0.0; }), "crown");
    CHECK(crown.high == 9);
    CHECK(crown.low == 2);
    CHECK(crown.lit.main.to == half.lit.main.to);
    // A bright tip over a dark crown is told as what it is, and lights nothing below it.
    const SeenFeature tip = oak([](const glm::vec3& at) { return at.z > 8 ? 1.0 : 0.0; });
    CHECK(tip.lit.main.from > 7);
    // Two leaves of light light no tree.
    const SeenFeature specks = oak([](const glm::vec3& at) { return at.z > 8.9f && at.x > 30 ? 1.0 : 0.0; });
    CHECK(specks.sighting == Sighting::unlit);
    // Without views, trees alone, from two sides.
    site.views.clear();
    const auto stage = build_stage(site, {});
    const std::vector<SeenFeature> sides = look_from_views(site, *stage, {}, {}, {}, 0.1);
    REQUIRE(sides.size() == 2);
    CHECK(sides[0].from.kind == Viewpoint::Kind::south);
    CHECK(sides[1].from.kind == Viewpoint::Kind::north);
    CHECK(sides[0].is_seen());
}
