// Bounced light as an operator: it adds up, knows its channels apart, goes both ways alike, and keeps what
// was traced before.

#include <algorithm>
#include <cmath>

#include "duskcast/photometry/light_colour.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

/// A closed cube of 2 m, its six faces of different greys, facing inwards.
const Stage& finish_room(StageMaker& maker, const std::array<float, 6>& greys) {
    constexpr std::array<std::array<int, 4>, 6> faces{
        {{0, 1, 3, 2}, {4, 6, 7, 5}, {0, 4, 5, 1}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 5, 7, 3}}};
    for (std::size_t face = 0; face < faces.size(); ++face) {
        std::array<glm::vec3, 4> corners;
        for (int i = 0; i < 4; ++i) {
            const int of = faces[face][i];
            corners[i] = glm::vec3(of & 1 ? 1 : -1, of & 2 ? 1 : -1, of & 4 ? 1 : -1);
        }
        StageMaker::add_quad(maker.stage->opaque, corners, maker.material(glm::vec3(greys[face])), true);
    }
    return maker.finish();
}

PatchLight white(float lux) {
    return {lux, lux, lux, 0};
}

double luminance(const PatchLight& light) {
    return luminance_of(light.rgb());
}

} // namespace

TEST_CASE("solve: light of two kinds together is the sum of both alone, twice the light twice as much") {
    StageMaker maker;
    const auto bounce = trace_bounce(finish_room(maker, {0.2f, 0.4f, 0.5f, 0.6f, 0.7f, 0.3f}),
                                     {.patches = {.size = 0.25}, .rays = 512});
    const std::size_t count = bounce->patches.size();
    Random random(3);
    std::vector<PatchLight> one(count), other(count), both(count), twice(count);
    for (std::size_t i = 0; i < count; ++i) {
        one[i] = white(static_cast<float>(random.uniform() < 0.2 ? random.uniform(0, 100) : 0));
        other[i] = white(static_cast<float>(i % 7 == 0 ? 40 : 0));
        both[i] = white(one[i].g + other[i].g);
        twice[i] = white(2 * one[i].g);
    }
    const BouncedState first = solve_bounce(*bounce, one, 0), second = solve_bounce(*bounce, other, 0),
                       sum = solve_bounce(*bounce, both, 0), doubled = solve_bounce(*bounce, twice, 0);
    CHECK(first.bounces > 5);
    double most = 0;
    for (std::size_t i = 0; i < count; ++i)
        most = std::max(most, luminance(sum.bounced[i]));
    for (std::size_t i = 0; i < count; ++i) { // bounces end at a ten thousandth of what is there
        CHECK(std::abs(luminance(first.bounced[i]) + luminance(second.bounced[i]) -
                       luminance(sum.bounced[i])) < 1e-3 * most);
        CHECK(std::abs(2 * luminance(first.bounced[i]) - luminance(doubled.bounced[i])) < 1e-4 * most);
    }
    CHECK(doubled.energy.emitted == doctest::Approx(2 * first.energy.emitted).epsilon(1e-5).scale(0));
    CHECK(sum.energy.absorbed ==
          doctest::Approx(first.energy.absorbed + second.energy.absorbed).epsilon(1e-3).scale(0));
    // Of a closed room all is absorbed (conservation of energy).
    CHECK(sum.energy.absorbed == doctest::Approx(sum.energy.emitted).epsilon(1e-3).scale(0));
}

TEST_CASE("solve: channels know nothing of each other, and more reflectance is more light") {
    std::vector<double> means;
    for (const float grey : {0.2f, 0.5f, 0.8f}) {
        StageMaker maker;
        const auto bounce = trace_bounce(finish_room(maker, {grey, grey, grey, grey, grey, grey}),
                                         {.patches = {.size = 0.4}, .rays = 512});
        std::vector<PatchLight> red(bounce->patches.size()), all(red.size());
        for (std::size_t i = 0; i < red.size(); i += 3) {
            red[i] = {50, 0, 0, 0};
            all[i] = {50, 20, 10, 0};
        }
        const BouncedState coloured = solve_bounce(*bounce, all, 0), alone = solve_bounce(*bounce, red, 0);
        double mean = 0;
        for (std::size_t i = 0; i < red.size(); ++i) {
            CHECK(alone.bounced[i].g == 0);
            CHECK(alone.bounced[i].b == 0);
            CHECK(alone.bounced[i].r == doctest::Approx(coloured.bounced[i].r).epsilon(2e-3).scale(0));
            CHECK(coloured.bounced[i].g ==
                  doctest::Approx(0.4 * static_cast<double>(coloured.bounced[i].r)).epsilon(1e-4).scale(0));
            mean += static_cast<double>(coloured.bounced[i].r * bounce->patches.area[i]) / 24;
        }
        // In a closed room of one grey the mean of what is thrown back is direct rho / (1 - rho).
        double direct = 0;
        for (std::size_t i = 0; i < all.size(); ++i)
            direct += static_cast<double>(all[i].r * bounce->patches.area[i]) / 24;
        const double rho = static_cast<double>(grey);
        CHECK(mean == doctest::Approx(direct * rho / (1 - rho)).epsilon(0.01).scale(0));
        means.push_back(mean);
    }
    CHECK(means[0] < means[1]);
    CHECK(means[1] < means[2]);
}

TEST_CASE("solve: light goes from one place to another as it comes back") {
    // Helmholtz: a lumen that falls on a patch gives another as many lux for each of the first's reflectance
    // as a lumen there gives back, for each of the other's.
    StageMaker maker;
    const auto bounce = trace_bounce(finish_room(maker, {0.2f, 0.4f, 0.5f, 0.6f, 0.7f, 0.3f}),
                                     {.patches = {.size = 0.5}, .rays = 4096});
    const Patches& patches = bounce->patches;
    const auto count = static_cast<std::uint32_t>(patches.size());
    const auto send = [&](std::uint32_t from) {
        std::vector<PatchLight> direct(count);
        direct[from] = white(1 / patches.area[from]);
        return solve_bounce(*bounce, direct, 0);
    };
    Random random(9);
    for (int trial = 0; trial < 12; ++trial) {
        const auto a = static_cast<std::uint32_t>(random.uniform(0, count)),
                   b = static_cast<std::uint32_t>(random.uniform(0, count));
        if (a == b)
            continue;
        const double there = luminance(send(a).bounced[b]) / static_cast<double>(patches.reflectance[a].g);
        const double back = luminance(send(b).bounced[a]) / static_cast<double>(patches.reflectance[b].g);
        CAPTURE(a);
        CAPTURE(b);
        CHECK(there == doctest::Approx(back).epsilon(0.04).scale(0));
    }
}

TEST_CASE("solve: light is found anywhere on a face as between its patches") {
    // In an evenly grey closed room with a lamp in its middle: rho / (1 - rho) of the mean direct light.
    StageMaker maker;
    const Stage& stage = finish_room(maker, {0.5f, 0.5f, 0.5f, 0.5f, 0.5f, 0.5f});
    const std::vector<LitFixture> fixtures{make_bulb(glm::vec3(0), 100)};
    const BounceSetup setup = set_up_bounce(stage, fixtures, 0);
    const BouncedLight at = find_bounced_light(setup, fixtures);
    Lighting lighting;
    lighting.fixtures = fixtures;
    add_bounce(setup, lighting);
    Random random(4);
    double mean = 0;
    for (int i = 0; i < 200; ++i) {
        const glm::vec3 way(random.direction());
        const Hit hit = stage.kernel->find_hit(glm::vec3(0), way, 0, 10);
        REQUIRE(hit);
        const glm::vec3 place = hit.distance * way;
        const glm::dvec3 lux = at(hit, place, hit.normal);
        CHECK(lux == lighting.bounced_at(hit, place, hit.normal));
        CHECK(at(hit, place, -hit.normal) == glm::dvec3(0)); // there is nothing behind a wall
        mean += luminance_of(lux) / 200;
    }
    CHECK(mean == doctest::Approx(4 * pi * 100 / 24).epsilon(0.03).scale(0));
    CHECK(at(Hit{}, glm::vec3(0), {0, 0, 1}) == glm::dvec3(0));
}

TEST_CASE("solve: of fixtures only those that are turned or changed are worked out again") {
    StageMaker maker;
    const Stage& stage = finish_room(maker, {0.5f, 0.4f, 0.3f, 0.2f, 0.6f, 0.7f});
    std::vector<LitFixture> fixtures{make_bulb({0.2f, 0, 0.1f}, 100), make_bulb({-0.3f, 0.2f, 0}, 50),
                                     make_bulb({0, -0.2f, 0.3f}, 70)};
    for (LitFixture& fixture : fixtures) { // a beam, so that turning tells
        fixture.table = IntensityTable(
            make_distribution({.centre_candela = 300, .beam_angle = radians_from_degrees(40)}), Shield{});
        fixture.lumens = measure_leaving_lumens(fixture);
    }
    BounceSetup setup = set_up_bounce(stage, fixtures, 0.1);
    const std::vector<BounceSetup::Arrived> before = setup.arrived;
    REQUIRE(before.size() == 3);
    fixtures[1].aim.tilt += 0.3;
    fixtures[2].scale *= 0.5;
    fixtures[2].lumens *= 0.5;
    const auto check_fresh = [&] {
        const BouncedState found = solve_bounce(setup, fixtures),
                           fresh = solve_bounce(set_up_bounce(stage, fixtures, 0.1), fixtures);
        REQUIRE(found.bounced.size() == fresh.bounced.size());
        for (std::size_t i = 0; i < found.bounced.size(); ++i)
            CHECK(found.bounced[i].rgb() == fresh.bounced[i].rgb());
        CHECK(found.energy.sky == fresh.energy.sky);
        CHECK(found.energy.absorbed == fresh.energy.absorbed);
    };
    check_fresh(); // not told of the change
    update_bounce(stage, fixtures, 0.1, setup);
    CHECK(setup.arrived[0].arrival == before[0].arrival);
    CHECK(setup.arrived[1].arrival != before[1].arrival);
    CHECK(setup.arrived[2].arrival != before[2].arrival);
    check_fresh();
    std::swap(fixtures[0], fixtures[1]); // in another order
    update_bounce(stage, fixtures, 0.1, setup);
    CHECK(setup.arrived[1].arrival == before[0].arrival);
    check_fresh();
}

TEST_CASE("solve: a lens that comes back to where it was is not traced again") {
    StageMaker maker; // a floor and a wall
    const std::uint16_t grey = maker.material(glm::vec3(0.5f));
    StageMaker::add_quad(maker.stage->opaque, StageMaker::level(2, 0), grey, true);
    StageMaker::add_quad(maker.stage->opaque, {glm::vec3(-2, 1, 0), {2, 1, 0}, {2, 1, 2}, {-2, 1, 2}}, grey,
                         true);
    maker.add_sensors(6, {-2, -2, 0}, {4, 0, 0}, {0, 3, 0}, {0, 0, 1});
    maker.finish();
    Stage* stage = maker.stage.get();
    const LitFixture here = make_bulb({1, -0.5f, 0.2f}, 100), there = make_bulb({2, -0.8f, 0.4f}, 100);
    BounceSetup setup = set_up_bounce(*stage, {here}, 0.2);
    update_bounce(*stage, {there}, 0.2, setup);
    CHECK(setup.spare.size() == 1);
    {
        const WithoutRays without(*stage);
        update_bounce(*stage, {here}, 0.2, setup);
    }
    const auto read = [&](const BounceSetup& from) {
        Lighting lighting;
        lighting.fixtures = {here};
        add_bounce(from, lighting);
        return lighting.bounced_lx;
    };
    CHECK(read(setup) == read(set_up_bounce(*stage, {here}, 0.2)));
    // Another sky is what a fresh start gives, to the bit.
    update_bounce(*stage, {here}, 0.5, setup);
    CHECK(read(setup) == read(set_up_bounce(*stage, {here}, 0.5)));
    CHECK(read(setup) != read(set_up_bounce(*stage, {here}, 0.2)));
    // No more than 64 are kept, the latest.
    const auto lens_at = [](int place) { return Lens{.centre = {0.1f * static_cast<float>(place), -9, 1}}; };
    for (int i = 0; i < 70; ++i) {
        LensTransport old;
        old.sight.lens = lens_at(i);
        setup.spare.push_back(std::make_shared<const LensTransport>(old));
    }
    update_bounce(*stage, {here}, 0.5, setup);
    CHECK(setup.spare.size() == 64);
    CHECK(setup.transports.size() == 1);
    const auto is_kept = [&](const Lens& lens) {
        return std::any_of(setup.spare.begin(), setup.spare.end(),
                           [&](const auto& one) { return one->sight.lens == lens; });
    };
    CHECK(!is_kept(there.lens));
    CHECK(!is_kept(lens_at(5)));
    CHECK(is_kept(lens_at(6)));
    CHECK(is_kept(lens_at(69)));
}

TEST_CASE("solve: very many sensors without a grid are read off between patches") {
    StageMaker maker;
    const Stage& room = finish_room(maker, {0.6f, 0.6f, 0.6f, 0.6f, 0.6f, 0.6f});
    for (int i = 0; i < 6; ++i) {
        glm::vec3 normal(0);
        normal[i / 2] = i % 2 ? 1.0f : -1.0f;
        const glm::vec3 along(normal.z, normal.x, normal.y), across = glm::cross(normal, along);
        maker.add_sensors(32, -normal - along - across, 2.0f * along, 2.0f * across, normal);
    }
    maker.finish();
    REQUIRE(room.sensors.size() == 6144); // more than 5,000
    const auto bounce = trace_bounce(room, {.patches = {.size = 0.2}});
    CHECK(bounce->from_flat_parts.sensor.empty());
    CHECK(!bounce->linked_patch.empty());
    const std::vector<double> lux = bounced_on_sensors(
        *bounce, solve_bounce(*bounce, std::vector<PatchLight>(bounce->patches.size(), white(100)), 0));
    double mean = 0, worst = 0;
    for (const double one : lux) {
        mean += one / static_cast<double>(lux.size());
        worst = std::max(worst, std::abs(one / 150 - 1)); // 100 rho / (1 - rho)
    }
    CHECK(mean == doctest::Approx(150).epsilon(0.003).scale(0));
    CHECK(worst < 0.02);
}
