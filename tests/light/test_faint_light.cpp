// Where light is faint fewer rays are traced for it: what that costs.

#include <cmath>

#include "duskcast/base/random.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "make_stage.hpp"

using namespace duskcast;

namespace {

/// A lit pane in a wall, a post before it and a hedge at its side.
Site make_pane_site(double luminance) {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.ground_spacing = 0.5;
    site.sensor_spacing = 0.5;
    site.ground.margin = 8;
    Wall front;
    front.id = "front";
    front.path = {{-4, 0}, {4, 0}};
    front.height = 3;
    front.openings = {{.id = "pane",
                       .from = 3.5,
                       .width = 1,
                       .sill = 1,
                       .height = 1.2,
                       .reveal = 0,
                       .glow = Glow{.luminance = luminance}}};
    Shrub hedge;
    hedge.id = "hedge";
    hedge.path = {{1, -3}, {4, -3}};
    hedge.width = 0.6;
    hedge.height = 1.2;
    site.walls = {front};
    site.shrubs = {hedge};
    return site;
}

glm::vec3 random_way(std::uint64_t seed) {
    const float z = 2 * hash_to_unit(seed, 0) - 1, angle = static_cast<float>(2 * pi) * hash_to_unit(seed, 1);
    const float level = std::sqrt(1 - z * z);
    return {level * std::cos(angle), level * std::sin(angle), z};
}

} // namespace

TEST_CASE("no facet gets more of what glows than its bound") {
    // Compared with Lambert's formula at ten thousand places, most of them near.
    const auto stage = build_stage(make_pane_site(1), {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    double nearest = 0;
    for (std::uint64_t i = 0; i < 10'000; ++i) {
        const glm::dvec3 at(8 * hash_to_unit(i, 2) - 4, -6 * hash_to_unit(i, 3), 4 * hash_to_unit(i, 4));
        const glm::dvec3 facing(random_way(i));
        const double lux = light.open_lux(at, facing), most = light.most_lux(at, facing);
        CHECK(lux <= most);
        nearest = std::max(nearest, most > 0 ? lux / most : 0);
    }
    CHECK(nearest > 0.3); // it says something
}

TEST_CASE("few spots for faint light are right in the mean, and off by chance no more than is said") {
    const auto stage = build_stage(make_pane_site(1), {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    for (const double lux : {0.004, 0.015}) {
        double all = 0, few = 0, squares = 0;
        int count = 0;
        for (std::uint64_t i = 0; i < 4000; ++i) {
            // Behind the hedge, facing the house.
            const glm::vec3 at(1 + 3 * hash_to_unit(i, 5), -4 - 3 * hash_to_unit(i, 6),
                               1.5f * hash_to_unit(i, 7));
            const glm::vec3 facing(0, 1, 0);
            const double share = light.measure_share(at, facing, 1);
            const double coarse = light.measure_share(at, facing, lux);
            all += share;
            few += coarse;
            squares += (coarse - share) * (coarse - share);
            ++count;
        }
        const double off = std::sqrt(squares / count);
        MESSAGE(lux, " lx: mean share ", all / count, ", by few spots ", few / count, ", rms apart ", off);
        CHECK(all / count < 0.9); // the hedge hides some
        // The same spots from everywhere, so that four of them are a little off in the mean.
        CHECK(few == doctest::Approx(all).epsilon(lux < 0.005 ? 0.04 : 0.01).scale(0));
        CHECK(off < (lux < 0.005 ? 0.25 : 0.125));
    }
}

TEST_CASE("points of a patch that share out a pane's spots are right in their mean") {
    // Beside four times as many rays from as many places: by chance the mean of 16 rays is off by an eighth.
    const auto stage = build_stage(make_pane_site(1), {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    const glm::vec3 facing(0, 1, 0);
    constexpr std::uint32_t parts = 4;
    for (const double lux : {0.015, 1.0}) {
        double all = 0, shared = 0, squares = 0;
        constexpr int patches = 1000;
        for (std::uint64_t i = 0; i < patches; ++i) {
            const glm::vec3 corner(1 + 3 * hash_to_unit(i, 5), -4 - 3 * hash_to_unit(i, 6),
                                   1.5f * hash_to_unit(i, 7));
            double own_all = 0, own_shared = 0;
            for (std::uint32_t k = 0; k < parts; ++k) {
                const glm::vec3 at = corner + glm::vec3(0.1f * (k % 2), 0, 0.1f * (k / 2));
                own_all += light.measure_share(at, facing, 1) / parts;
                own_shared += light.measure_share(at, facing, lux, {k, parts}) / parts;
            }
            all += own_all;
            shared += own_shared;
            squares += (own_shared - own_all) * (own_shared - own_all);
        }
        const double off = std::sqrt(squares / patches);
        MESSAGE(lux, " lx: mean share ", all / patches, ", shared out ", shared / patches, ", rms apart ",
                off);
        CHECK(all / patches < 0.9); // the hedge hides some
        CHECK(shared == doctest::Approx(all).epsilon(0.01).scale(0));
        CHECK(off < 0.125);
    }
}

TEST_CASE("what glows is known between patches: as Lambert's formula says in the open, none behind walls") {
    const double luminance = 40;
    const auto stage = build_stage(make_pane_site(luminance), {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    const BouncedLight bounced = find_bounced_light(set_up_bounce(*stage, {}, 0), {});
    REQUIRE(bounced.glow());
    const auto glow_at = [&](const glm::vec3& place, float& lux) {
        const glm::vec3 up(0, 0, 1);
        const Hit hit = stage->kernel->find_hit(place + 0.01f * up, -up, 0, 1);
        return bounced.glow()(hit, place, up, std::span(&lux, 1));
    };
    double worst = 0;
    for (int i = 0; i < 100; ++i) {
        const glm::vec3 place(-3 + 3 * hash_to_unit(i, 8), -2 - 4 * hash_to_unit(i, 9), 0);
        float lux = -1;
        REQUIRE(glow_at(place, lux));
        const double exact = light.open_lux(glm::dvec3(place), {0, 0, 1}) * luminance;
        worst = std::max(worst, std::abs(static_cast<double>(lux) / exact - 1));
    }
    MESSAGE("at most ", 100 * worst, " % off");
    CHECK(worst < 0.05);
    float behind = -1;
    REQUIRE(glow_at({0, 4, 0}, behind));
    CHECK(behind == 0);
    // Nowhere: nothing is known.
    float nothing = 0;
    CHECK(!bounced.glow()({}, {0, 0, 5}, {0, 0, 1}, std::span(&nothing, 1)));
}

TEST_CASE("a fixture's light is added where it is worth a ray, and as it is there") {
    Site site = make_pane_site(0);
    site.sensor_spacing = 0.2;
    const auto stage = build_stage(site, {});
    LitFixture spot;
    spot.lens = {.centre = {-1, -1, 0.3f}, .diameter = 0.05f};
    Distribution narrow{.c = {0}};
    for (int degrees = 0; degrees <= 180; ++degrees) {
        narrow.gamma.push_back(radians_from_degrees(degrees));
        narrow.candela.push_back(degrees < 30 ? 1000 * std::cos(narrow.gamma.back() * 3) : 0);
    }
    spot.table = IntensityTable(narrow, {});
    spot.aim = {.tilt = 1};
    const Sensors& sensors = stage->sensors;
    std::vector<float> layer(sensors.size());
    evaluate_layer(trace_sight(*stage, sensors, 0, spot.lens), sensors, spot.aim, spot.table, spot.scale,
                   layer);
    constexpr double least = 20;
    std::vector<double> sums(sensors.size(), 2.0);
    add_direct_light(*stage, spot, sensors, least, sums);
    int lit = 0, passed_over = 0;
    for (std::size_t i = 0; i < sums.size(); ++i) {
        const double added = sums[i] - 2, whole = static_cast<double>(layer[i]);
        CHECK((added == 0 ? whole < least : added == doctest::Approx(whole).epsilon(1e-6)));
        lit += added > 0 ? 1 : 0;
        passed_over += added == 0 && whole > 0 ? 1 : 0;
    }
    CHECK(lit > 20);
    CHECK(passed_over > 5);
}
