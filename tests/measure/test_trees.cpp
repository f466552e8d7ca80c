// Crowns by height, as a whole and as an eye sees them.

#include <algorithm>

#include "duskcast/measure/stats.hpp"
#include "duskcast/measure/trees.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

double leaf_area_of(const Stage& stage) {
    double area = 0;
    for (std::size_t leaf = 0; leaf < stage.leaves.size(); ++leaf)
        area += stage.leaves.area(leaf);
    return area;
}

} // namespace

TEST_CASE("each leaf counts once, at its brighter side") {
    const Site site = make_tree_site();
    const auto stage = build_stage(site, {});
    const Surface& crown = stage->surfaces[stage->find_surface("oak")];
    // Sides that face up and to the east get 10 lx, the others 4: the brighter side of every leaf has 10,
    // whichever comes first.
    std::size_t first_brighter = 0;
    const Lighting lighting = make_light(*stage, [](const glm::vec3&, const glm::vec3& normal) {
        return normal.x + 1e-3 * normal.z > 0 ? 10.0 : 4.0;
    });
    for (std::uint32_t i = crown.first; i < crown.first + crown.count; i += 2)
        first_brighter += lighting.direct_lx[i] == 10 ? 1 : 0;
    CHECK(first_brighter > crown.count / 8); // both orders occur
    CHECK(first_brighter < crown.count * 3 / 8);
    const std::vector<Sample> samples = collect_samples(*stage, lighting.direct_lx, sensors_of(crown));
    CHECK(samples.size() == crown.count / 2);
    double area = 0;
    for (const Sample& sample : samples) {
        CHECK(sample.lux == 10);
        CHECK(lighting.direct_lx[sample.sensor] == 10);
        area += sample.area;
    }
    CHECK(area == doctest::Approx(leaf_area_of(*stage)).epsilon(1e-3));
    // One side alone is one sample.
    CHECK(collect_samples(*stage, lighting.direct_lx, {crown.first, crown.first + 3}).size() == 2);
}

TEST_CASE("bands cover the crown and hold all its leaves") {
    Site site = make_tree_site();
    for (const LengthUnit unit : {LengthUnit::metre, LengthUnit::foot}) {
        site.units = unit;
        const auto stage = build_stage(site, {});
        const double step = unit == LengthUnit::metre ? 1.5 : 5 * metres_per_foot;
        const Lighting lighting =
            make_light(*stage, [](const glm::vec3& at, const glm::vec3&) { return 10.0 * at.z; });
        const std::vector<TreeReport> reports = measure_trees(site, *stage, lighting.direct_lx, {10, 60});
        REQUIRE(reports.size() == 3); // whole, from the south, from the north
        const TreeReport& whole = reports[0];
        CHECK(whole.tree == "oak");
        CHECK(whole.from.is_whole());
        CHECK(name_of(reports[1].from) == "from the south");
        CHECK(name_of(reports[2].from) == "from the north");
        for (const TreeReport& report : reports) {
            REQUIRE(!report.bands.empty());
            CHECK(report.bands.front().from == 2);
            CHECK(report.bands.back().to == 9);
            for (std::size_t i = 0; i + 1 < report.bands.size(); ++i) {
                CHECK(report.bands[i].to == report.bands[i + 1].from);
                CHECK(std::remainder(report.bands[i].to, step) == doctest::Approx(0));
            }
            for (const TreeBand& band : report.bands)
                if (band.leaf_area > 0) { // lux is ten times the height
                    CHECK(band.mean_lx >= 10 * band.from);
                    CHECK(band.mean_lx <= 10 * band.to);
                }
        }
        double area = 0, flux = 0;
        for (const TreeBand& band : whole.bands) {
            area += band.leaf_area;
            flux += band.leaf_area * band.mean_lx;
            CHECK(band.lit[0].share == 1);
            const double share_above_6 = std::clamp((band.to - 6) / (band.to - band.from), 0.0, 1.0);
            CHECK(std::abs(band.lit[1].share - share_above_6) < 0.15);
        }
        CHECK(area == doctest::Approx(leaf_area_of(*stage)).epsilon(1e-3));
        CHECK(flux / area == doctest::Approx(55).epsilon(0.02)); // the ellipsoid's middle
    }
}

TEST_CASE("a foot above the plan's zero moves the bands with the tree") {
    Site site = make_tree_site();
    site.trees[0].foot = 2;
    const auto stage = build_stage(site, {});
    const Lighting lighting =
        make_light(*stage, [](const glm::vec3& at, const glm::vec3&) { return static_cast<double>(at.z); });
    const TreeReport whole = measure_trees(site, *stage, lighting.direct_lx, {1})[0];
    for (const TreeBand& band : whole.bands) {
        CHECK(band.mean_lx >= band.from + 2);
        CHECK(band.mean_lx <= band.to + 2);
    }
}

TEST_CASE("an eye sees only leaf sides that face it, and those in front") {
    Site site = make_tree_site();
    site.views = {{.id = "drive", .eye = {0, -20, 1.6}}, {.id = "yard", .eye = {0, 20, 1.6}}};
    const auto stage = build_stage(site, {});
    const glm::vec3 eye(0, -20, 1.6f);
    // Facing sides 1 lx and the others 100: nothing of the 100 may show.
    const Lighting facing = make_light(*stage, [&](const glm::vec3& at, const glm::vec3& normal) {
        return glm::dot(eye - at, normal) > 0 ? 1.0 : 100.0;
    });
    const std::vector<TreeReport> reports = measure_trees(site, *stage, facing.direct_lx, {50});
    REQUIRE(reports.size() == 3);
    CHECK(reports[1].from == Viewpoint{Viewpoint::Kind::view, "drive"});
    CHECK(name_of(reports[2].from) == "yard");
    for (const TreeBand& band : reports[1].bands)
        if (band.leaf_area > 0)
            CHECK(band.mean_lx == doctest::Approx(1).epsilon(0.02)); // sides seen edge on
    CHECK(!reports[1].lit_to[0].height);
    CHECK(reports[2].lit_to[0].height);
    // Beer-Lambert: with G = 0.5 and 2 m2/m3 the share exp(-s) of leaves s metres deep shows, so that nearly
    // all that shows lies on the near side.
    const Lighting near_side =
        make_light(*stage, [](const glm::vec3& at, const glm::vec3&) { return at.y < 0 ? 10.0 : 0.0; });
    double area = 0, near_area = 0;
    const TreeReport seen = measure_trees(site, *stage, near_side.direct_lx, {5})[1];
    for (const TreeBand& band : seen.bands) {
        area += band.leaf_area;
        near_area += band.leaf_area * band.lit[0].share;
    }
    CHECK(area > 0);
    CHECK(near_area / area > 0.8); // the rest shows at the thin rim
    CHECK(area < 0.5 * leaf_area_of(*stage));
}

TEST_CASE("the visible depth of a crown follows the Beer-Lambert law") {
    // Looked at level from afar, a leaf s metres behind the outline is seen with P = exp(-G u s), G = 0.5 for
    // spherical leaf angles (Monsi and Saeki 1953): mean of P over the crown by quadrature in the test.
    Site site = make_tree_site();
    site.trees[0].foliage.leaf_area_density = 1;
    site.views = {{.id = "far", .eye = {0, -400, 5.5}}};
    const auto stage = build_stage(site, {});
    const Lighting lighting = make_light(*stage, [](const glm::vec3&, const glm::vec3&) { return 1.0; });
    double area = 0;
    const TreeReport report = measure_trees(site, *stage, lighting.direct_lx, {1})[1];
    for (const TreeBand& band : report.bands)
        area += band.leaf_area;
    const int cells = 60;
    double seen = 0, all = 0;
    for (int i = 0; i < cells; ++i)
        for (int k = 0; k < cells; ++k) {
            const double x = (i + 0.5) / cells * 2 - 1, z = (k + 0.5) / cells * 2 - 1;
            const double half = 1 - x * x - z * z;
            if (half <= 0)
                continue;
            const double depth = 2 * 3 * std::sqrt(half); // metres through the crown of 6 m width
            seen += (1 - std::exp(-0.5 * depth)) / 0.5;
            all += depth;
        }
    CHECK(area / leaf_area_of(*stage) == doctest::Approx(seen / all).epsilon(0.12)); // trunk, 4000 leaves
}

TEST_CASE("how high a crown reads as lit") {
    Site site = make_tree_site(); // bands of 1.5 m from 2 m to 9 m
    const auto stage = build_stage(site, {});
    const auto lit_to = [&](const LightAt& lux_at, double level) {
        const auto lighting = make_light(*stage, lux_at);
        return measure_trees(site, *stage, lighting.direct_lx, {level})[0].lit_to.at(0);
    };
    const auto below = [](double edge) {
        return [edge](const glm::vec3& at, const glm::vec3&) { return at.z < edge ? 20.0 : 0.0; };
    };
    CHECK(lit_to(below(6), 10).height == 6);
    CHECK(!lit_to(below(6), 10).is_to_top);
    CHECK(lit_to(below(6), 10).wall_height == 9);
    CHECK(lit_to(below(6.8), 10).height == 7.5); // half of the band is over a third of it
    CHECK(lit_to(below(6.2), 10).height == 6);   // a seventh is not
    CHECK(lit_to(below(20), 10).height == 9);
    CHECK(lit_to(below(20), 10).is_to_top);
    CHECK(!lit_to(below(20), 30).height);
    CHECK(
        lit_to([](const glm::vec3& at, const glm::vec3&) { return at.z > 4.5 && at.z < 6 ? 20.0 : 0.0; }, 10)
            .height == 6); // a dark skirt does not matter
}

TEST_CASE("a few leaves light no crown, and gaps are told") {
    Site site = make_tree_site(); // bands of 1.5 m from 2 m to 9 m
    const auto stage = build_stage(site, {});
    const Surface& crown = stage->surfaces[stage->find_surface("oak")];
    const Tree& tree = site.trees[0];
    // Two lit leaves at the top over a dark crown, by hand.
    std::vector<Sample> samples;
    for (std::uint32_t i = crown.first; i < crown.first + crown.count; i += 2)
        if (stage->sensors.z[i] < 7.5f)
            samples.push_back({i, 0, 1});
    REQUIRE(samples.size() > 100);
    std::vector<std::uint32_t> high;
    for (std::uint32_t i = crown.first; i < crown.first + crown.count; i += 2)
        if (stage->sensors.z[i] > 7.5f)
            high.push_back(i);
    REQUIRE(high.size() > 100);
    samples.push_back({high[0], 50, 1});
    samples.push_back({high[1], 50, 1});
    TreeReport report = measure_crown(site, *stage, tree, samples, {10});
    CHECK(report.bands.back().lit[0].share == 1);
    CHECK(report.bands.back().leaves == 2);
    CHECK(!report.lit_to[0].height);
    CHECK(!report.is_hidden());
    // All but these two lit: the crown is lit to its top, dark tip or not.
    for (Sample& sample : samples)
        sample.lux = 50 - sample.lux;
    report = measure_crown(site, *stage, tree, samples, {10});
    CHECK(report.lit_to[0].is_to_top);
    CHECK(report.lit_to[0].stretches == std::vector<Stretch>{{2, 9}});
    // Seen through a gap in something else: too few to judge by.
    CHECK(measure_crown(site, *stage, tree, {{high[0], 50, 1}}, {10}).is_hidden());
    // Lit below and above with a dark belt between: two stretches, the larger one counts.
    const Lighting belt = make_light(
        *stage, [](const glm::vec3& at, const glm::vec3&) { return at.z < 3 || at.z > 4.5 ? 20.0 : 0.0; });
    const Reach reach = measure_trees(site, *stage, belt.direct_lx, {10})[0].lit_to.at(0);
    CHECK(reach.stretches == std::vector<Stretch>{{2, 3}, {4.5, 9}});
    CHECK(reach.height == 9);
}

TEST_CASE("a bare crown has bands without leaves") {
    Site site = make_tree_site();
    site.trees[0].foliage.leaf_area_density = 0;
    const auto stage = build_stage(site, {});
    const std::vector<TreeReport> reports = measure_trees(site, *stage, {}, {10});
    REQUIRE(reports.size() == 3);
    for (const TreeBand& band : reports[0].bands)
        CHECK(band.leaf_area == 0);
    CHECK(!reports[0].lit_to[0].height);
}
