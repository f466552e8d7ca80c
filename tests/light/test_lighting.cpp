// Fixtures together: superposition, re-aiming without rays, the vector loops against the scalar look-up,
// and the same bytes from one thread and many.

#include <cmath>
#include <cstring>

#include "../../src/light/layer_kernel.hpp"
#include "../folder.hpp"
#include "../thread_limit.hpp"
#include "make_stage.hpp"

using namespace duskcast;

namespace {

std::vector<LitFixture> make_three() {
    std::vector<LitFixture> fixtures(3);
    const double at[3] = {1.0, 2.2, 3.1};
    for (int i = 0; i < 3; ++i) {
        fixtures[i].id = std::string(1, static_cast<char>(97 + i));
        fixtures[i].lens = {.centre = {static_cast<float>(at[i]), -0.4f, 0.15f}, .diameter = 0.05f};
        fixtures[i].aim = {.tilt = 0.1 + 0.05 * i};
        fixtures[i].table = IntensityTable(i == 1 ? make_oval_beam() : make_cosine(36, 500), {});
        fixtures[i].scale = 0.9;
    }
    return fixtures;
}

SiteFile read_scene(const char* name) {
    return read_site_file(std::string(DUSKCAST_SOURCE_DIR) + "/scenes/" + name + "/" + name + ".site.json");
}

} // namespace

TEST_CASE("light adds up") {
    // Superposition: illuminances from several sources add (linearity of light).
    const auto stage = build_stage(make_wall_site(4, 5, 0.1), {});
    const std::vector<LitFixture> fixtures = make_three();
    const Lighting all = trace_lighting(*stage, fixtures);
    std::vector<double> sum(stage->sensors.size(), 0.0);
    for (const LitFixture& fixture : fixtures) {
        const Lighting alone = trace_lighting(*stage, {fixture});
        for (std::size_t i = 0; i < sum.size(); ++i)
            sum[i] += alone.direct_lx[i];
    }
    for (std::size_t i = 0; i < sum.size(); ++i)
        CHECK(all.direct_lx[i] == sum[i]); // the same additions in the same order: equal to the last bit
}

TEST_CASE("a new aim traces no ray and leaves the sum right") {
    const auto stage = build_stage(make_wall_site(4, 5, 0.1), {});
    Lighting lighting = trace_lighting(*stage, make_three());
    {
        const WithoutRays without(*stage);
        change_aim(lighting, 1, {.tilt = 0.35, .azimuth = 0.2});
        change_aim(lighting, 0, {.tilt = 0.02});
    }
    const Lighting fresh = trace_lighting(*stage, lighting.fixtures);
    for (std::size_t i = 0; i < fresh.direct_lx.size(); ++i)
        CHECK(lighting.direct_lx[i] == doctest::Approx(fresh.direct_lx[i]).epsilon(1e-9));
}

TEST_CASE("the vector loops give what the scalar look-up gives") {
    const auto stage = make_empty_stage();
    Sensors sensors;
    // Directions all round, C = 0/360 and both poles among them.
    for (int i = 0; i <= 60; ++i)
        for (int j = 0; j <= 72; ++j) {
            const double gamma = pi * i / 60, c = 2 * pi * j / 72;
            const glm::dvec3 way(std::sin(gamma) * std::sin(c), std::sin(gamma) * std::cos(c),
                                 std::cos(gamma));
            sensors.add(glm::vec3(2.0 * way), glm::vec3(-way), 1);
        }
    for (const Distribution& distribution : {make_cosine(12, 1000), make_cosine(60, 1000), make_oval_beam()})
        for (const Aim& aim : {Aim{}, Aim{0.3, 1.0, 0}, Aim{1.2, 5.0, 2.0}, Aim{pi, 0, 0}}) {
            const IntensityTable table(distribution, {});
            const std::vector<float> lux = light_sensors(*stage, sensors, {}, aim, table);
            const glm::mat3 lamp_from_world(glm::transpose(world_from_fixture(aim)));
            double worst = 0;
            for (std::size_t i = 0; i < lux.size(); ++i) {
                const float candela = table.candela(lamp_from_world * glm::normalize(sensors.position(i)));
                worst = std::max(worst, std::abs(4.0 * lux[i] - candela));
            }
            CHECK(worst < 2e-5 * measure_max_candela(distribution) + 1e-4);
        }
}

TEST_CASE("a narrow oval beam keeps its candela close to its axis, whichever way it points") {
    // Full angles of 4 and 6 degrees; the closed form of the Gaussian beam, 0 to 4 degrees off its axis.
    Distribution narrow;
    for (int i = 0; i <= 1800; ++i)
        narrow.gamma.push_back(radians_from_degrees(0.05 * i));
    const auto candela_at = [](double c, double gamma) {
        const double half = radians_from_degrees(2.5 - 0.5 * std::cos(2 * c));
        return 5000 * std::exp(-std::log(2.0) * gamma * gamma / (half * half));
    };
    for (int plane = 0; plane <= 360; ++plane) {
        narrow.c.push_back(2 * pi * plane / 360);
        for (const double gamma : narrow.gamma)
            narrow.candela.push_back(candela_at(narrow.c.back(), gamma));
    }
    const IntensityTable table(narrow, {});
    const auto stage = make_empty_stage();
    double worst = 0;
    for (int turn = 0; turn < 40; ++turn) {
        const Aim aim{0.07 * turn, 2.1 * turn, 0.3 * turn};
        const glm::dmat3 world_from_lamp = world_from_fixture(aim);
        Sensors sensors;
        std::vector<double> expected;
        for (int i = 0; i <= 80; ++i)
            for (int j = 0; j < 24; ++j) {
                const double gamma = radians_from_degrees(0.05 * i), c = 2 * pi * j / 24;
                const glm::dvec3 way =
                    world_from_lamp * glm::dvec3(std::sin(gamma) * std::cos(c), std::sin(gamma) * std::sin(c),
                                                 -std::cos(gamma));
                sensors.add(glm::vec3(3.0 * way), glm::vec3(-way), 1);
                expected.push_back(candela_at(c, gamma));
            }
        const std::vector<float> lux = light_sensors(*stage, sensors, {}, aim, table);
        for (std::size_t i = 0; i < lux.size(); ++i) {
            REQUIRE(std::isfinite(lux[i]));
            worst = std::max(worst, std::abs(9.0 * lux[i] - expected[i]) / 5000);
        }
    }
    MESSAGE("largest error ", worst, " of the maximum");
    CHECK(worst < 5e-4);
}

TEST_CASE("the share of a turn without a library call") {
    // Against std::atan2 in double; bound as stated in layer_kernel.hpp (1e-5 rad by Abramowitz and Stegun).
    const auto share = [](float y, float x) {
        const float a = std::abs(x), b = std::abs(y);
        return turn_share(y, x, std::min(a, b) / (std::max(a, b) + 1e-20f));
    };
    double worst = 0;
    constexpr int steps = 1000000;
    for (int i = 0; i < steps; ++i) {
        const double turn = (i + 0.5) / steps;
        const auto x = static_cast<float>(3 * std::cos(2 * pi * turn));
        const auto y = static_cast<float>(3 * std::sin(2 * pi * turn));
        const double exact = std::atan2(static_cast<double>(y), static_cast<double>(x)) / (2 * pi);
        worst = std::max(worst, std::abs(share(y, x) - (exact < 0 ? exact + 1 : exact)));
    }
    MESSAGE("largest error ", worst, " of a turn");
    CHECK(worst < 2e-6);
    CHECK(share(0, 1) == 0);
    CHECK(share(1, 0) == doctest::Approx(0.25).epsilon(1e-6));
    CHECK(share(0, -1) == doctest::Approx(0.5).epsilon(1e-6));
    CHECK(share(-1, 0) == doctest::Approx(0.75).epsilon(1e-6));
    CHECK(share(-1e-9f, 1) <= 1); // just before the full turn, never past it
    CHECK(share(0, 0) == 0);      // at the poles
}

TEST_CASE("the same bytes from one thread and from two") {
    for (const char* name : {"two-gables", "broad-oak"}) {
        CAPTURE(name);
        const SiteFile file = read_scene(name);
        std::vector<std::vector<double>> results;
        for (const std::size_t threads : {1, 2}) {
            const ThreadLimit limit(threads);
            const auto stage = build_stage(file.site, file.folder());
            results.push_back(trace_lighting(*stage, make_fixtures(file.site, file.folder())).direct_lx);
        }
        REQUIRE(results[0].size() == results[1].size());
        CHECK(std::memcmp(results[0].data(), results[1].data(), results[0].size() * sizeof(double)) == 0);
    }
}

TEST_CASE("a shroud cuts the light at sensors beyond its angle and none on the axis") {
    // Cut-off at atan(D / L) off axis (plane geometry).
    const auto stage = make_empty_stage();
    Sensors sensors;
    for (const double gamma_deg : {0.0, 20.0, 44.0, 46.0, 60.0}) {
        const double g = radians_from_degrees(gamma_deg);
        sensors.add(glm::vec3(3 * std::sin(g), 0, 3 * std::cos(g)), glm::vec3(-std::sin(g), 0, -std::cos(g)),
                    1);
    }
    const Shield shroud{.lens_diameter = 0.05, .shroud_length = 0.05}; // cuts at 45 degrees
    const auto bare = light_sensors(*stage, sensors, {}, {}, IntensityTable(make_isotropic(), {}));
    const auto cut = light_sensors(*stage, sensors, {}, {}, IntensityTable(make_isotropic(), shroud));
    CHECK(cut[0] == doctest::Approx(bare[0]).epsilon(1e-4));
    CHECK(cut[1] < bare[1]);
    CHECK(cut[1] > 0.4 * bare[1]);
    CHECK(cut[2] > 0);
    CHECK(cut[3] == doctest::Approx(0).epsilon(1e-4));
    CHECK(cut[4] == 0);
}

TEST_CASE("fixtures of a site file become lenses, aims and lumens") {
    const SiteFile file = read_scene("two-gables");
    const std::vector<LitFixture> fixtures = make_fixtures(file.site, file.folder());
    REQUIRE(fixtures.size() == 6);
    // U5: on wall front, 33 ft along, 18 in back, lens 15 cm up, tilt 6 towards the wall (north).
    CHECK(fixtures[4].lens.centre.x == doctest::Approx(33 * 0.3048));
    CHECK(fixtures[4].lens.centre.y == doctest::Approx(-18 * 0.0254));
    CHECK(fixtures[4].lens.centre.z == doctest::Approx(0.15));
    CHECK(fixtures[4].aim.tilt == doctest::Approx(6 * pi / 180));
    CHECK(fixtures[4].aim.azimuth == doctest::Approx(0));
    // 400 lm, of which the usual losses leave 0.95 x 0.9 x 0.9.
    CHECK(fixtures[4].lumens == doctest::Approx(400 * 0.7695).epsilon(1e-3));
}

TEST_CASE("losses, dimming, lens and shroud of a fixture") {
    Site site = make_wall_site(4, 3, 0.1);
    site.lamps = {{.id = "wide", .figures = {.lumens = 300, .beam_angle = radians_from_degrees(100)}}};
    site.fixtures = {{.id = "U1", .lamp = "wide", .wall = "wall", .along = 1},
                     {.id = "U2", .lamp = "wide", .wall = "wall", .along = 2}};
    site.fixtures[0].light_loss_factor = 0.8;
    site.fixtures[0].dimming = 0.5;
    site.fixtures[0].lens_diameter = 0.04;
    site.fixtures[1].kind = FixtureKind::in_ground;
    site.fixtures[1].shroud_length = 0.05;
    site.fixtures[1].lens_diameter = 0.05; // cuts at 45 degrees
    const std::vector<LitFixture> fixtures = make_fixtures(site, {});
    REQUIRE(fixtures.size() == 2);
    CHECK(fixtures[0].scale == doctest::Approx(0.4)); // factors multiply
    CHECK(fixtures[0].lumens == doctest::Approx(0.4 * 300).epsilon(1e-3));
    CHECK(fixtures[0].lens.diameter == 0.04f);
    CHECK(!fixtures[0].lens.is_flush);
    CHECK(fixtures[1].lens.is_flush);
    CHECK(fixtures[1].lumens < 0.8 * 300); // the shroud keeps the rest
    const double g = radians_from_degrees(50);
    CHECK(fixtures[1].table.candela(glm::vec3(std::sin(g), 0, -std::cos(g))) == 0);
}

TEST_CASE("each kind of fixture lights as its kind should") {
    constexpr auto rad = radians_from_degrees;
    Site site = make_wall_site(4, 3, 0.1);
    site.lamps = {
        {.id = "ring", .figures = {.lumens = 100, .beam_angle = rad(44), .ring_angle = rad(60)}},
        {.id = "wash", .figures = {.lumens = 200, .beam_angle = rad(60), .beam_angle_across = rad(110)}},
        {.id = "even", .figures = {.lumens = 200, .beam_angle = rad(150), .profile = Profile::gaussian}}};
    site.fixtures = {{.id = "P", .kind = FixtureKind::path, .lamp = "ring", .at = glm::dvec2(1, -3)},
                     {.id = "W", .kind = FixtureKind::wash, .lamp = "wash", .wall = "wall", .along = 2},
                     {.id = "G", .kind = FixtureKind::in_ground, .lamp = "even", .wall = "wall", .along = 3}};
    site.fixtures[0].tilt = pi;
    site.fixtures[0].lens_diameter = 0.02;
    site.fixtures[0].rim = {.diameter = 0.18, .distance = 0.015};
    site.fixtures[2].lens_diameter = 0.05;
    site.fixtures[2].rim = {.diameter = 0.1, .distance = 0.04};
    site.fixtures[2].tilt = rad(15);
    std::vector<LitFixture> fixtures = make_fixtures(site, {});
    const auto towards = [&](const LitFixture& fixture, const glm::dvec3& world) {
        const glm::dmat3 lamp_from_world = glm::transpose(world_from_fixture(fixture.aim));
        return static_cast<double>(fixture.table.candela(glm::vec3(lamp_from_world * glm::normalize(world))));
    };
    // A path light: a ring on the ground, darker under the lamp, nothing above the horizontal.
    const LitFixture& path = fixtures[0];
    for (int turn = 0; turn < 24; ++turn) {
        const double a = 2 * pi * turn / 24;
        const auto at = [&](double off_nadir) {
            return towards(path, {std::sin(off_nadir) * std::cos(a), std::sin(off_nadir) * std::sin(a),
                                  -std::cos(off_nadir)});
        };
        CHECK(at(rad(60)) > 10 * at(rad(0)));
        CHECK(at(rad(60)) > 1.5 * at(rad(80)));
        CHECK(at(rad(90.5)) == 0);
        CHECK(at(rad(120)) == 0);
    }
    // A wash light aimed level at the wall: its 50 % patch is tan 55 : tan 30 wider than tall.
    const LitFixture& wash = fixtures[1];
    const glm::dvec3 ahead(std::sin(wash.aim.azimuth), std::cos(wash.aim.azimuth), 0);
    const glm::dvec3 aside(ahead.y, -ahead.x, 0);
    fixtures[1].aim.tilt = pi / 2;
    const double most = towards(wash, ahead);
    CHECK(towards(wash, ahead + std::tan(rad(55)) * aside) == doctest::Approx(most / 2).epsilon(1e-3));
    CHECK(towards(wash, ahead + std::tan(rad(30)) * glm::dvec3(0, 0, 1)) ==
          doctest::Approx(most / 2).epsilon(1e-3));
    // A well: whatever the tilt, nothing further from straight up than atan((R + r) / depth), and the lumens
    // that leave are those of the directions left, summed apart from the program's rings.
    LitFixture& well = fixtures[2];
    const double cut = std::atan((0.05 + 0.025) / 0.04);
    CHECK(well.lens.open_share(std::cos(cut + 0.001)) == 0);
    CHECK(well.lens.open_share(std::cos(cut - 0.01)) > 0);
    CHECK(well.lens.open_share(std::cos(std::atan(0.025 / 0.04) - 0.001)) == 1);
    for (const double tilt : {0.0, 15.0, 40.0}) {
        well.aim.tilt = rad(tilt);
        double lumens = 0;
        constexpr int points = 200000; // a golden spiral, equal areas
        for (int i = 0; i < points; ++i) {
            const double z = 1 - (2.0 * i + 1) / points, a = 2.399963229728653 * i, r = std::sqrt(1 - z * z);
            const glm::dvec3 way(r * std::cos(a), r * std::sin(a), z);
            lumens += 4 * pi / points * towards(well, way) * well.lens.open_share(z);
        }
        CHECK(measure_leaving_lumens(well) == doctest::Approx(lumens).epsilon(2e-3));
        CHECK(measure_leaving_lumens(well) < 0.8 * well.table.lumens());
    }
}

TEST_CASE("a lamp's tilt table scales a fixture by its tilt") {
    // LM-63-2002 section 5.11: multipliers by the lamp's angle from its position in the test. Luminaires
    // are tested with the beam straight down, so that a fixture 30 degrees from upright stands at 150.
    const test::Folder folder;
    folder.write(
        "tilted.ies",
        "IESNA:LM-63-2002\n[TEST] 1\n[TESTLAB] bench\n[ISSUEDATE] 01-JAN-2024\n[MANUFAC] Sample Works\n"
        "TILT=INCLUDE\n1\n3\n0 90 180\n1 0.9 0.6\n1 -1 1 2 1 1 2 0 0 0\n1 1 5\n0 90\n0\n100 0\n");
    Site site = make_wall_site(4, 3, 0.1);
    site.lamps = {{.id = "tilted", .file = "tilted.ies"}};
    site.fixtures = {{.id = "U1", .lamp = "tilted", .wall = "wall", .along = 1}};
    site.fixtures[0].tilt = radians_from_degrees(30);
    CHECK(make_fixtures(site, folder.path())[0].scale == doctest::Approx(0.7)); // 0.9 + 60 / 90 * -0.3
    site.fixtures[0].tilt = radians_from_degrees(180);
    CHECK(make_fixtures(site, folder.path())[0].scale == doctest::Approx(1));
}

TEST_CASE("a fixture that cannot be placed or has no lamp is the input's fault") {
    const auto problem_of = [](const Site& site) -> std::string {
        try {
            make_fixtures(site, {});
        } catch (const InputError& error) {
            return print_problem(error.problems().front());
        }
        return "";
    };
    Site site = make_wall_site(4, 3, 0.1);
    site.lamps = {{.id = "bright", .figures = {.lumens = 300, .beam_angle = 0.5}}};
    site.fixtures = {{.id = "U1", .lamp = "brite", .wall = "wall", .along = 1}};
    CHECK(problem_of(site) == "error: fixture U1 has no lamp \"brite\"; name one of the site's lamps");
    site.fixtures[0].lamp = "bright";
    CHECK(problem_of(site) == "");
}
