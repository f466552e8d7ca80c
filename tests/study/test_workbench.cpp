// A workbench gives what single runs give, and traces no more than it must.

#include <doctest/doctest.h>

#ifdef __GLIBC__
#include <malloc.h>
#endif

#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/measure/region.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

std::vector<Site> make_variants(const Site& site) {
    std::vector<Site> variants;
    for (const char* text :
         {"a: U1 tilt=4", "b: U1 lamp=b tilt=12; T1 dimming=0.5", "c: U2 setback=0.6 turn=10",
          "d: without U2", "e: U1,U2 spacing=3", "f: T1 bearing=90 beam=40", "g: season=bare"})
        variants.push_back(make_variant(site, read_variant(text, site), "."));
    return variants;
}

} // namespace

TEST_CASE("figures of many variants, measured together or lit in full one by one, are those of single runs") {
    const Site site = make_garden();
    std::vector<Site> variants = make_variants(site);
    for (const bool is_direct_only : {true, false}) {
        if (!is_direct_only) // these take longest: an aim, a place, a lamp, a season
            variants = {variants[0], variants[2], variants[5], variants[6]};
        Workbench together(".", {.is_direct_only = is_direct_only}),
            one_by_one(".", {.is_direct_only = is_direct_only});
        const std::vector<Figures> figures = together.measure(variants);
        one_by_one.light(site);
        for (std::size_t i = 0; i < variants.size(); ++i) {
            CAPTURE(i);
            CAPTURE(is_direct_only);
            const Figures single = run_singly(variants[i], is_direct_only);
            for (std::size_t t = 0; t < single.targets.size(); ++t) {
                CAPTURE(single.targets[t].id);
                CHECK(figures[i].targets[t].mean_lx == single.targets[t].mean_lx);
                CHECK(figures[i].targets[t].share == single.targets[t].share);
                CHECK(figures[i].targets[t].hot_lx == single.targets[t].hot_lx);
                CHECK(figures[i].targets[t] == single.targets[t]);
            }
            CHECK(figures[i].reaches == single.reaches);
            CHECK(figures[i].watts == single.watts);
            CHECK(figures[i].spill.emitted_lm == single.spill.emitted_lm);
            CHECK(figures[i].spill.target_lm == single.spill.target_lm);
            CHECK(figures[i].spill.sky_lm == single.spill.sky_lm);
            CHECK(figures[i].spill.sky_bounced_lm == single.spill.sky_bounced_lm);

            const LitVariant lit = one_by_one.light(variants[i]);
            const Figures in_full = figures_of(variants[i], lit.report, lit.lighting);
            CHECK(in_full.targets == single.targets);
            CHECK(in_full.reaches == single.reaches);
            CHECK(in_full.spill.target_lm == single.spill.target_lm);
            CHECK(in_full.spill.sky_bounced_lm == single.spill.sky_bounced_lm);
        }
    }
}

TEST_CASE("where many lenses share the spots on leaves, a study's bounced light is that of a single run") {
    Site site = make_garden();
    site.trees[0].foliage.leaf_size = 0.1; // some 20,000 patches of leaves
    const Fixture tree_light = site.fixtures.back();
    for (int i = 0; i < 64; ++i) { // in one place, which costs rays only once
        site.fixtures.push_back(tree_light);
        site.fixtures.back().id = "L" + std::to_string(i);
        site.fixtures.back().tilt += 0.01 * i;
        site.fixtures.back().dimming = 0.05;
    }
    const auto stage = build_stage(site, ".");
    REQUIRE_FALSE(trace_bounce(*stage, {.patches = {}, .rays = 64})->is_for(site.fixtures.size()));
    Workbench bench(".");
    const Site few = make_variant(site, read_variant("x: without L0", site), ".");
    const std::vector<Site> variants{site, few};
    const std::vector<Figures> figures = bench.measure(variants);
    const Figures single = run_singly(site, false);
    CHECK(figures[0].targets == single.targets);
    CHECK(figures[0].spill.sky_bounced_lm == single.spill.sky_bounced_lm);
}

TEST_CASE("what glows lights every variant as it lights a single run") {
    Site site = make_garden();
    site.lanterns = {
        {.id = "porch", .at = glm::dvec3(2, -1, 2), .width = 0.2, .glow = {.lumens = 900, .cct = 3000}}};
    const std::vector<Site> variants{site, make_variant(site, read_variant("d: without U2", site), ".")};
    for (const bool is_direct_only : {true, false}) {
        Workbench bench(".", {.is_direct_only = is_direct_only});
        const std::vector<Figures> figures = bench.measure(variants);
        for (std::size_t i = 0; i < variants.size(); ++i) {
            const Figures single = run_singly(variants[i], is_direct_only);
            CHECK(figures[i].targets == single.targets);
            CHECK(figures[i].spill.sky_bounced_lm == single.spill.sky_bounced_lm);
        }
    }
    // The lantern's light is in the figures: on its own site some is missing.
    const Site dark = make_garden();
    Workbench bench(".", {.is_direct_only = true});
    CHECK(bench.measure({&site, 1})[0].targets[0].mean_lx > bench.measure({&dark, 1})[0].targets[0].mean_lx);
}

TEST_CASE("other aims and lamps and dimming trace no ray but another place does") {
    const Site site = make_garden();
    Workbench bench(".", {.is_direct_only = true});
    bench.measure({&site, 1});
    const std::uint64_t once = bench.rays();
    CHECK(once > 0);
    std::vector<Site> aims;
    for (int tilt = 0; tilt < 46; ++tilt)
        for (const std::string lamp : {"a", "b", "c"}) {
            const std::string text = "x: all lamp=" + lamp + " tilt=" + std::to_string(tilt) + " dimming=0.7";
            aims.push_back(make_variant(site, read_variant(text, site), "."));
        }
    bench.measure(aims);
    CHECK(bench.rays() == once);
    const Site moved = make_variant(site, read_variant("x: U1 setback=0.5", site), ".");
    bench.measure({&moved, 1});
    CHECK(bench.rays() > once);
    CHECK(bench.rays() < 2 * once); // only the one that moved
}

TEST_CASE("where little may be kept, what was let go is traced again and figures stay") {
    const Site site = make_wall(4, 3, 0.25, {1, 3}, 0.5);
    std::vector<Site> places;
    for (int i = 0; i < 6; ++i) {
        places.push_back(site);
        places.back().fixtures[0].along = 1 + 0.1 * i;
    }
    constexpr std::size_t one_position = 140'000; // 131,072 directions and a few sensors
    Workbench plenty(".", {.is_direct_only = true}),
        scarce(".", {.is_direct_only = true, .most_kept_bytes = 3 * one_position});
    const std::vector<Figures> wanted = plenty.measure(places);
    const std::vector<Figures> found = scarce.measure(places);
    for (std::size_t i = 0; i < places.size(); ++i) {
        CHECK(found[i].targets == wanted[i].targets);
        CHECK(found[i].spill.target_lm == wanted[i].spill.target_lm);
    }
    // A fixture that every variant has stays, as it was in use last: each place is traced once.
    CHECK(scarce.rays() == plenty.rays());
    const auto rays_of = [&](std::size_t place) {
        const std::uint64_t before = scarce.rays();
        CHECK(scarce.measure({&places[place], 1}).front().targets == wanted[place].targets);
        return scarce.rays() - before;
    };
    CHECK(rays_of(5) == 0);
    CHECK(rays_of(0) > 0);
}

#if defined(__GLIBC__) && (__GLIBC__ > 2 || __GLIBC_MINOR__ >= 33) && !defined(__SANITIZE_ADDRESS__)
TEST_CASE("what a study holds does not grow with every place it looks at") {
    // As the C library counts what is allocated.
    Site site = make_wall(4, 3, 0.1, {2}, 0.5);
    site.ground_spacing = 0.5;
    constexpr std::size_t count = 64;
    std::vector<Site> places(count, site);
    for (std::size_t i = 0; i < count; ++i)
        places[i].fixtures[0].along = 1 + 2.0 * static_cast<double>(i) / count;
    Workbench bench(".", {.most_kept_bytes = 1 << 20});
    std::vector<std::size_t> bytes; // after every place
    bench.measure(places, [&](double) {
        const struct mallinfo2 info = mallinfo2();
        bytes.push_back(info.uordblks + info.hblkhd);
    });
    REQUIRE(bytes.size() == count);
    const auto middle = bytes.begin() + count / 2;
    const double early = static_cast<double>(*std::max_element(bytes.begin(), middle));
    const double late = static_cast<double>(*std::max_element(middle, bytes.end()));
    // What a place alone needs: 131,072 directions, a byte each for spill and four for bounced light. A tenth
    // of that a place would be growth.
    CHECK((late - early) / (count / 2) < 0.1 * 5 * 131'072);
}
#endif

TEST_CASE("what covers a lens makes another Sight of the same place") {
    // In-ground lenses of one centre, with and without rim and louvre, beside a fixture that is not flush.
    Site site = make_wall(5, 3, 0.25, {2.5}, 0.5);
    site.fixtures[0].lens_diameter = 0.08;
    site.fixtures[0].lens_height = 0;
    std::vector<Site> variants;
    for (const FixtureKind kind : {FixtureKind::uplight, FixtureKind::in_ground}) {
        variants.push_back(site);
        variants.back().fixtures[0].kind = kind;
    }
    for (const double depth : {0.01, 0.03}) {
        variants.push_back(variants[1]);
        variants.back().fixtures[0].louvre = {.cell = 0.02, .depth = depth};
        variants.push_back(variants[1]);
        variants.back().fixtures[0].rim = {.diameter = 0.1, .distance = 3 * depth};
    }
    Workbench bench(".", {.is_direct_only = true});
    const std::vector<Figures> figures = bench.measure(variants);
    for (std::size_t i = 0; i < variants.size(); ++i) {
        CAPTURE(i);
        CHECK(figures[i].targets == run_singly(variants[i], true).targets);
        if (i > 1)
            CHECK(figures[i].targets[0].mean_lx < figures[1].targets[0].mean_lx);
    }
    CHECK(figures[4].targets[0].mean_lx < figures[2].targets[0].mean_lx); // a deeper louvre lets out less
}

TEST_CASE("a fixture that stands outside widens the ground that figures are taken from") {
    Site site = make_wall(4, 3, 0.25, {2}, 0.5);
    site.ground_spacing = 0.5;
    site.targets = {{.id = "lawn", .on = "ground", .level = 0.5, .share = 0}};
    Site outside = site;
    outside.fixtures[0].wall.clear();
    outside.fixtures[0].setback.reset();
    outside.fixtures[0].at = glm::dvec2(2, -14);
    outside.fixtures[0].tilt = 1.2;
    Workbench bench(".", {.is_direct_only = true});
    for (const Site* one : {&site, &outside, &site}) {
        const Figures found = bench.measure({one, 1}).front();
        CHECK(found.targets == run_singly(*one, true).targets);
    }
}

TEST_CASE("the soft share counts every sensor by a gentle step round the level") {
    // 1 / (1 + exp(-ln(E / level) / 0.1)) of every cell, from the light of a full run. Lenses are points, so
    // there are no penumbras that a quick run would find less finely.
    Site site = make_wall(4, 3, 0.2, {1, 3}, 0.5);
    site.targets.push_back({.id = "right", .on = "wall", .along = std::array{2.0, 4.0}, .level = 8});
    Workbench full(".", {.is_direct_only = true}), soft(".", {.is_direct_only = true, .is_soft = true});
    const LitVariant lit = full.light(site);
    const Figures found = soft.measure({&site, 1}).front();
    const std::vector<Region> regions = find_regions(site, *lit.stage);
    for (std::size_t t = 0; t < regions.size(); ++t) {
        double area = 0, counted = 0;
        for (const std::uint32_t sensor : regions[t].sensors) {
            const double ratio = lit.report.total_lx[sensor] / site.targets[t].level;
            area += static_cast<double>(lit.stage->sensors.area[sensor]);
            if (ratio > 0)
                counted +=
                    static_cast<double>(lit.stage->sensors.area[sensor]) / (1 + std::pow(ratio, -10.0));
        }
        CHECK(found.targets[t].soft_share == doctest::Approx(counted / area).epsilon(1e-5));
        CHECK(found.targets[t].soft_share == doctest::Approx(found.targets[t].share).epsilon(0.1));
    }
    CHECK(full.measure({&site, 1}).front().targets[0].soft_share == 0);
}

TEST_CASE("the candela towards eyes and views are the lamp's in that direction") {
    // I0 cos^n of the angle between the beam's axis and the way to the eye, times the dimming.
    Site site = make_wall(4, 3, 0.5, {2}, 0.5);
    site.fixtures[0].dimming = 0.5;
    site.fixtures[0].tilt = 0.2;
    const glm::dvec3 lens(2, -0.5, 0.15), axis(0, std::sin(0.2), std::cos(0.2));
    const double n = std::log(0.5) / std::log(std::cos(radians_from_degrees(beam_deg) / 2));
    const auto candela_to = [&](const glm::dvec3& eye) {
        return 0.5 * candela * std::pow(glm::dot(glm::normalize(eye - lens), axis), n);
    };
    Workbench bench(".", {.is_direct_only = true, .is_quick = true});
    const auto measure = [&] { return bench.measure({&site, 1}).front().candela_to_eyes; };
    CHECK(measure() == 0); // nobody looks
    const glm::dvec3 near(2, 0.8, 4), far(2.5, -1, 3);
    site.eyes.push_back({.id = "balcony", .at = far});
    CHECK(measure() == doctest::Approx(candela_to(far)).epsilon(0.002));
    site.views.push_back({.id = "window", .eye = near});
    REQUIRE(candela_to(near) > 1.2 * candela_to(far));
    CHECK(measure() == doctest::Approx(candela_to(near)).epsilon(0.002)); // the most
    site.views.clear();
    // A honeycomb over a lens in the ground: each cell a tube as wide as a circle of the hexagon's area,
    // sqrt(3) / 2 of the square across its flats.
    site.fixtures[0].kind = FixtureKind::in_ground;
    site.fixtures[0].lens_height = 0;
    site.fixtures[0].louvre = {.cell = 0.02, .depth = 0.02};
    const glm::dvec3 way = glm::normalize(far - glm::dvec3(2, -0.5, 0));
    const double radius = 0.02 * std::sqrt(std::sqrt(3.0) / 2 / pi),
                 shift = 0.02 * std::tan(std::acos(way.z)) / (2 * radius);
    const double open = 2 / pi * (std::acos(shift) - shift * std::sqrt(1 - shift * shift));
    REQUIRE(open < 0.8);
    CHECK(measure() ==
          doctest::Approx(open * 0.5 * candela * std::pow(glm::dot(way, axis), n)).epsilon(0.005));
}

TEST_CASE("a quick run counts light on overlapping targets once") {
    Site site = make_wall(5, 4, 0.1, {1.5, 3.5}, 0.5);
    Workbench quick(".", {.is_direct_only = true, .is_quick = true}), full(".", {.is_direct_only = true});
    const auto check = [&] {
        const Spill rough = quick.measure({&site, 1}).front().spill,
                    exact = full.measure({&site, 1}).front().spill;
        CHECK(rough.emitted_lm == doctest::Approx(exact.emitted_lm).epsilon(1e-6));
        CHECK(rough.target_lm == doctest::Approx(exact.target_lm).epsilon(0.02)); // by sensors, not by rays
        return rough.target_lm;
    };
    const double whole = check();
    site.targets.push_back({.id = "left", .on = "wall", .along = std::array{0.0, 2.5}, .level = 5});
    CHECK(check() == doctest::Approx(whole).epsilon(1e-6)); // a part of what is a target already
    site.targets.erase(site.targets.begin());
    const double left = check();
    site.targets.push_back({.id = "right", .on = "wall", .along = std::array{2.5, 5.0}, .level = 5});
    CHECK(check() == doctest::Approx(whole).epsilon(1e-6)); // two halves
    CHECK(left == doctest::Approx(whole / 2).epsilon(0.01));
}

TEST_CASE("more variants than are lit together, and more stages than are kept, come out in order") {
    // Dimming by i parts in 300 gives i / 300 of the light.
    const Site site = make_wall(2, 2, 0.5, {1}, 0.5);
    std::vector<Site> dimmed(300, site);
    for (std::size_t i = 0; i < dimmed.size(); ++i)
        dimmed[i].fixtures[0].dimming = static_cast<double>(i + 1) / 300;
    Workbench bench(".", {.is_direct_only = true});
    double last = -1;
    const std::vector<Figures> figures = bench.measure(dimmed, [&](double share) {
        CHECK(share >= last);
        CHECK(share < 1);
        last = share;
    });
    CHECK(last > 0.99);
    REQUIRE(figures.size() == 300);
    for (std::size_t i = 0; i < 300; ++i)
        CHECK(figures[i].targets[0].mean_lx ==
              doctest::Approx(figures[299].targets[0].mean_lx * static_cast<double>(i + 1) / 300)
                  .epsilon(1e-5));
    // Walls of twelve heights, there and back: their areas tell them apart.
    std::vector<Site> walls;
    for (int i = 0; i < 24; ++i) {
        walls.push_back(site);
        walls.back().walls[0].height = 1 + 0.25 * (i < 12 ? i : 23 - i);
    }
    const std::vector<Figures> built = bench.measure(walls);
    for (std::size_t i = 0; i < walls.size(); ++i) {
        CHECK(built[i].targets[0].area == doctest::Approx(2 * walls[i].walls[0].height));
        CHECK(built[i].targets[0].mean_lx == built[walls.size() - 1 - i].targets[0].mean_lx);
    }
}

TEST_CASE("what adjusts fixtures before they are lit is asked for every variant") {
    const Site site = make_wall(3, 2, 0.5, {1, 2}, 0.5);
    std::size_t calls = 0;
    Workbench plain(".", {.is_direct_only = true}),
        halved(".",
               {.is_direct_only = true, .adjust = [&](const Site&variant, std::vector<LitFixture>&fixtures) {
                    ++calls;
                    CHECK(variant.fixtures.size() == fixtures.size());
                    for (LitFixture& fixture : fixtures)
                        fixture.scale *= 0.5;
                }});
    const std::vector<Site> twice{site, site};
    const std::vector<Figures> half = halved.measure(twice);
    CHECK(calls == 2);
    for (const Figures& one : half)
        CHECK(one.targets[0].mean_lx ==
              doctest::Approx(plain.measure({&site, 1}).front().targets[0].mean_lx / 2).epsilon(1e-6));
    CHECK(halved.light(site).report.targets[0].stats.mean_lx == doctest::Approx(half[0].targets[0].mean_lx));
}
