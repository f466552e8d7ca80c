// Where the lumens land: sums, whole hemispheres, and the solid angle of a wall.

#include "duskcast/light/first_hits.hpp"
#include "duskcast/measure/spill.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// Two perpendicular beams of different width: I0 exp(-ln 2 (g/h(C))^2), h between 15 and 30 degrees.
Distribution make_oval_beam() {
    Distribution oval;
    for (int i = 0; i <= 180; ++i)
        oval.gamma.push_back(radians_from_degrees(0.5 * i));
    for (int plane = 0; plane <= 72; ++plane) {
        const double c = 2 * pi * plane / 72;
        oval.c.push_back(c);
        const double half = radians_from_degrees(22.5 - 7.5 * std::cos(2 * c));
        for (const double gamma : oval.gamma)
            oval.candela.push_back(800 * std::exp(-std::log(2.0) * gamma * gamma / (half * half)));
    }
    return oval;
}

Spill spill_of(const Stage& stage, const LitFixture& fixture, const std::vector<Region>& targets = {}) {
    Spill spill;
    add_spill(stage, targets, find_places(stage, fixture.lens, targets), fixture, spill);
    return spill;
}

double sum_of(const Spill& spill) {
    return spill.target_lm + spill.other_lm + spill.ground_lm + spill.sky_lm;
}

Site make_open_site() {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    site.ground.areas = {{.id = "bed", .outline = {{-2, -2}, {2, -2}, {2, 2}, {-2, 2}}}};
    site.ground_spacing = 0.5;
    return site;
}

/// Solid angle of a rectangle a x b seen from a distance d before one of its corners:
/// atan(a b / (d sqrt(a^2 + b^2 + d^2))) (closed form of the integral of cos / r^2).
double corner_angle(double a, double b, double d) {
    return std::atan(a * b / (d * std::sqrt(a * a + b * b + d * d)));
}

} // namespace

TEST_CASE("the directions are unit vectors, spread evenly") {
    // First and second moments of the sphere: mean 0, mean square of each coordinate 1/3.
    glm::dvec3 mean(0), square(0);
    double worst = 0;
    for (int i = 0; i < lens_direction_count; ++i) {
        const glm::dvec3 way(lens_directions()[i]);
        worst = std::max(worst, std::abs(glm::length(way) - 1));
        mean += way / static_cast<double>(lens_direction_count);
        square += way * way / static_cast<double>(lens_direction_count);
    }
    CHECK(worst < 1e-6);
    CHECK(glm::length(mean) < 1e-5);
    CHECK(glm::length(square - 1.0 / 3) < 1e-5);
}

TEST_CASE("equal parts of the sphere sum to the lamp's lumens") {
    // Lumens of the distributions by exact integration (definition of the lumen).
    double worst = 0;
    for (const Distribution& distribution :
         {make_cosine(12, 3000), make_cosine(24, 1000), make_cosine(36, 500), make_cosine(60, 200),
          make_oval_beam(), make_isotropic(100)})
        for (const Aim& aim : {Aim{}, Aim{0.1, 0, 0}, Aim{0.35, 1.2, 0.5}, Aim{0.7, 4, 0}, Aim{pi, 0, 0}}) {
            const IntensityTable table(distribution, {});
            const glm::mat3 lamp_from_world(glm::transpose(world_from_fixture(aim)));
            double sum = 0;
            for (int i = 0; i < lens_direction_count; ++i)
                sum += static_cast<double>(table.candela(lamp_from_world * lens_directions()[i]));
            const double lumens = measure_lumens(distribution);
            const double error = sum * 4 * pi / lens_direction_count / lumens - 1;
            worst = std::max(worst, std::abs(error));
            CHECK(std::abs(error) < 0.005);
        }
    MESSAGE("largest error ", worst);
}

TEST_CASE("the parts add up to what leaves the fixtures, whatever the beam, tilt and dimming") {
    const Site site = make_wall_site(6, 4, 0.5);
    const auto stage = build_stage(site, {});
    const Target target{.id = "T", .on = "wall", .between = {{1, 3}}};
    const std::vector<Region> regions{find_region(site, *stage, target)};
    Spill all;
    double lumens = 0;
    for (const Distribution& distribution :
         {make_cosine(3, 20000), make_cosine(12, 3000), make_cosine(60, 200), make_oval_beam()})
        for (const double tilt_deg : {0.0, 10.0, 45.0, 120.0}) {
            LitFixture fixture =
                make_fixture({3, -0.5f, 0.15f}, {.tilt = radians_from_degrees(tilt_deg)}, distribution);
            fixture.scale = 0.6;
            fixture.lumens *= 0.6;
            const Spill spill = spill_of(*stage, fixture, regions);
            CHECK(spill.emitted_lm == fixture.lumens);
            CHECK(sum_of(spill) == doctest::Approx(spill.emitted_lm).epsilon(1e-9));
            add_spill(*stage, regions, find_places(*stage, fixture.lens, regions), fixture, all);
            lumens += fixture.lumens;
        }
    CHECK(all.emitted_lm == doctest::Approx(lumens));
    CHECK(sum_of(all) == doctest::Approx(lumens).epsilon(1e-9));
    CHECK(all.target_lm > 0);
}

TEST_CASE("in the open an upright lamp lights the sky and one that points down the ground") {
    const Site site = make_open_site();
    const auto stage = build_stage(site, {});
    const Spill up = spill_of(*stage, make_fixture({0, 0, 0.15f}, {}, make_cosine(36, 500)));
    CHECK(up.sky_lm == doctest::Approx(up.emitted_lm).epsilon(1e-9));
    CHECK(up.ground_lm < 1e-9);
    const Spill down = spill_of(*stage, make_fixture({0, 0, 3}, {.tilt = pi}, make_cosine(36, 500)));
    CHECK(down.ground_lm == doctest::Approx(down.emitted_lm).epsilon(1e-9));
    CHECK(down.sky_lm < 1e-9);
    // In the ground: lets its light out, and half of an isotropic one goes into the ground.
    LitFixture flush = make_fixture({0, 0, 0}, {}, make_cosine(36, 500));
    flush.lens.is_flush = true;
    CHECK(spill_of(*stage, flush).sky_lm == doctest::Approx(flush.lumens).epsilon(1e-9));
    const Spill half = spill_of(*stage, make_fixture({0, 0, 1}, {}, make_isotropic(100)));
    CHECK(half.sky_lm == doctest::Approx(2 * pi * 100).epsilon(1e-4));
    CHECK(half.ground_lm == doctest::Approx(2 * pi * 100).epsilon(1e-4));
    CHECK(half.other_lm == 0);
}

TEST_CASE("a lamp that is off adds nothing") {
    const Site site = make_open_site();
    const auto stage = build_stage(site, {});
    LitFixture off = make_fixture({0, 0, 0.15f}, {}, make_cosine(36, 500));
    off.scale = off.lumens = 0;
    Spill spill = spill_of(*stage, off);
    CHECK(spill.emitted_lm == 0);
    CHECK(sum_of(spill) == 0);
    off.table = IntensityTable();
    spill = spill_of(*stage, off);
    CHECK(sum_of(spill) == 0);
}

TEST_CASE("the share on a wall is its solid angle") {
    // An isotropic lamp of 100 cd, 0.5 m before a wall of 6 m x 4 m, at x = 2 and 0.8 m up; target from 1 m
    // to 3 m. Four corner rectangles each.
    const Site site = make_wall_site(6, 4, 0.5);
    const auto stage = build_stage(site, {});
    const double d = 0.5, left = 2, right = 4, lens = 0.8;
    const auto angle_up_to = [&](double z) { // of the wall between the lens's height and z
        const double height = std::abs(z - lens);
        return corner_angle(left, height, d) + corner_angle(right, height, d);
    };
    const double target_angle = angle_up_to(3) - angle_up_to(1);
    const double wall_angle = angle_up_to(4) + angle_up_to(0);
    const Target target{.id = "T", .on = "wall", .between = {{1, 3}}};
    const Spill spill = spill_of(*stage, make_fixture({2, -0.5f, 0.8f}, {}, make_isotropic(100)),
                                 {find_region(site, *stage, target)});
    CHECK(spill.emitted_lm == doctest::Approx(400 * pi).epsilon(1e-5));
    CHECK(spill.target_lm == doctest::Approx(100 * target_angle).epsilon(0.002));
    CHECK(spill.other_lm == doctest::Approx(100 * (wall_angle - target_angle)).epsilon(0.002));
    CHECK(spill.ground_lm == doctest::Approx(100 * (2 * pi - angle_up_to(0))).epsilon(0.002));
    CHECK(spill.sky_lm == doctest::Approx(100 * (2 * pi - angle_up_to(4))).epsilon(0.002));
}

TEST_CASE("the share of a beam on a wall's gable against the integral of its illuminance") {
    // Flux = integral of E dA over the triangle, closed form of E, midpoint rule 5 mm.
    Site site = make_wall_site(8, 3, 0.5);
    site.walls[0].gables = {{.id = "gable", .from = 2, .width = 4, .peak = 6}};
    const auto stage = build_stage(site, {});
    const Target target{.id = "T", .on = "wall", .gable = "gable"};
    const std::vector<Region> regions{find_region(site, *stage, target)};
    const glm::dvec3 lens(4, -0.6, 0.15);
    for (const double beam : {12.0, 24.0, 36.0, 60.0}) {
        CAPTURE(beam);
        const Aim aim{.tilt = radians_from_degrees(7)};
        const LitFixture fixture = make_fixture(glm::vec3(lens), aim, make_cosine(beam, 1000));
        const double cell = 0.005;
        double flux = 0;
        for (double z = 3 + cell / 2; z < 6; z += cell)
            for (double x = 4 - 2 * (6 - z) / 3 + cell / 2; x < 4 + 2 * (6 - z) / 3; x += cell)
                flux += wall_lux(lens, aim, beam, 1000, x, z) * cell * cell;
        const Spill spill = spill_of(*stage, fixture, regions);
        CHECK(spill.target_lm == doctest::Approx(flux).epsilon(0.01));
    }
}

TEST_CASE("spill traces the same from one position whatever the lamp, and leaves count as their tree") {
    const Site site = make_tree_site();
    const auto stage = build_stage(site, {});
    const Target target{.id = "T", .on = "oak"};
    const Region crown = find_region(site, *stage, target);
    const LandingPlaces landing = find_places(*stage, {.centre = {1.5f, -1, 0.15f}}, {crown});
    stage->kernel.reset(); // no more rays
    Spill narrow, wide;
    add_spill(*stage, {crown}, landing, make_fixture({1.5f, -1, 0.15f}, {}, make_cosine(15, 1000)), narrow);
    add_spill(*stage, {crown}, landing, make_fixture({1.5f, -1, 0.15f}, {}, make_cosine(60, 1000)), wide);
    // Under 7 m of leaves at 2 m2/m3 a narrow beam upwards is all caught (exp(-0.5 x 2 x 6) = 0.2 %).
    CHECK(narrow.target_lm / narrow.emitted_lm > 0.95);
    CHECK(wide.target_lm / wide.emitted_lm < narrow.target_lm / narrow.emitted_lm);
}

TEST_CASE("light of what glows is counted apart, by where it lands first") {
    // A Lambert source gives half its light to either side of a plane through its normal: a sphere and an
    // upright pane half to the ground and half to the sky, a level pool all to the sky. Of a small sphere's
    // light a rectangle gets its solid angle's share of 4 pi.
    Site site = make_open_site();
    Wall wall;
    wall.id = "wall";
    wall.path = {{-2, 30}, {2, 30}};
    wall.height = 3;
    wall.openings = {{.id = "pane",
                      .from = 1,
                      .width = 1,
                      .sill = 1,
                      .height = 1,
                      .reveal = 0,
                      .glow = Glow{.luminance = 100}}};
    site.walls = {wall};
    site.lanterns = {{.id = "ball", .at = glm::dvec3(0, 0, 1.5), .width = 0.02, .glow = {.lumens = 400}}};
    site.ground.areas.push_back({.id = "pool",
                                 .kind = GroundKind::water,
                                 .outline = {{40, 0}, {44, 0}, {44, 2}, {40, 2}},
                                 .glow = Glow{.luminance = 10}});
    site.targets = {{.id = "t", .on = "bed"}};
    const auto stage = build_stage(site, {});
    const std::vector<GlowReport> glows = measure_glow(*stage, find_regions(site, *stage));
    REQUIRE(glows.size() == 3);
    const GlowReport &pane = glows[0], &ball = glows[1], &pool = glows[2];
    CHECK(pane.id == "wall.pane");
    CHECK(pane.lumens == doctest::Approx(pi * 100).epsilon(1e-6));
    CHECK(pane.sky_lm == doctest::Approx(pane.lumens / 2).epsilon(0.01));
    CHECK(ball.lumens == doctest::Approx(400).epsilon(1e-6));
    CHECK(ball.sky_lm == doctest::Approx(200).epsilon(0.02));
    CHECK(ball.target_lm == doctest::Approx(400 * 4 * corner_angle(2, 2, 1.5) / (4 * pi)).epsilon(0.03));
    CHECK(pool.lumens == doctest::Approx(pi * 10 * 8).epsilon(1e-6));
    CHECK(pool.sky_lm == doctest::Approx(pool.lumens).epsilon(0.03)); // the wall takes little
    for (const GlowReport& glow : glows)
        CHECK(glow.target_lm + glow.other_lm + glow.ground_lm + glow.sky_lm ==
              doctest::Approx(glow.lumens).epsilon(1e-9));
}

TEST_CASE("half of a beam that is aimed at a wall's edge lands on the wall, however narrow") {
    // Symmetry: a round beam aimed level at the middle of a tall upright edge is halved by it, from wherever.
    const Site site = make_wall_site(6, 40, 0.5);
    const auto stage = build_stage(site, {});
    for (const double beam : {1.0, 1.5, 2.0, 4.0, 8.0, 12.0, 24.0})
        for (const double azimuth : {-0.4, 0.0, 0.3}) {
            CAPTURE(beam);
            const glm::vec3 lens(6 - 3 * std::tan(azimuth), -3, 20); // 3 m before the wall, which ends at 6 m
            const LitFixture fixture =
                make_fixture(lens, {.tilt = pi / 2, .azimuth = azimuth}, make_cosine(beam, 3000));
            const Spill spill = spill_of(*stage, fixture);
            const double half = spill.other_lm / spill.emitted_lm;
            MESSAGE("beam ", beam, " degrees: ", half, " on the wall");
            CHECK(half == doctest::Approx(0.5).epsilon(0.005));
            CHECK(sum_of(spill) == doctest::Approx(spill.emitted_lm).epsilon(1e-9));
        }
}
