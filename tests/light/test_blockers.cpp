// What follows for light from its laws alone, whatever the site: a thing in the way takes light and adds
// none, the order of things changes nothing, lenses are even disks.

#include <algorithm>
#include <cmath>

#include "stage_maker.hpp"

using namespace duskcast;

namespace {

/// Sensors on level ground and on a plane that faces south.
Sensors make_sensors() {
    Sensors sensors;
    for (int i = 0; i < 24; ++i)
        for (int k = 0; k < 24; ++k) {
            const float u = 0.2f * static_cast<float>(i) - 2.3f, v = 0.2f * static_cast<float>(k);
            sensors.add({u, v - 4, 0}, {0, 0, 1}, 0.04f);
            sensors.add({u, 1, v}, {0, -1, 0}, 0.04f);
        }
    return sensors;
}

/// Boxes, leaves and sheets with holes at random between lamp and sensors; the first `count` of them.
Stage& fill(StageMaker& maker, int count) {
    Texture holes{4, 4, {}};
    for (int i = 0; i < 16; ++i)
        holes.rgba.insert(holes.rgba.end(), {255, 255, 255, static_cast<std::uint8_t>(i % 3 ? 255 : 0)});
    maker.stage->textures.push_back(holes);
    const std::uint16_t grey = maker.material(glm::vec3(0.5f)),
                        board = maker.material(glm::vec3(0.5f), glm::vec3(0), 0);
    Random random(17);
    for (int i = 0; i < count; ++i) {
        const glm::vec3 at(random.uniform(-2, 2), random.uniform(-2, 0.5), random.uniform(0.3, 2.5));
        const glm::vec3 along = 0.4f * glm::vec3(random.direction());
        const glm::vec3 across = 0.3f * glm::normalize(glm::cross(along, glm::vec3(random.direction())));
        const std::array<glm::vec3, 4> corners{at + along, at + across, at - along, at - across};
        if (i % 3 == 0)
            maker.add_leaf(corners, grey);
        else
            StageMaker::add_quad(i % 3 == 1 ? maker.stage->opaque : maker.stage->cutouts, corners,
                                 i % 3 == 1 ? grey : board);
    }
    maker.finish();
    return *maker.stage;
}

Sight look(const Stage& stage, const Sensors& sensors, const Lens& lens) {
    return trace_sight(stage, sensors, static_cast<std::uint32_t>(sensors.size()), lens, Shadows::fine);
}

/// Of a sensor, near the lens or not.
std::vector<double> all_transfer(const Sight& sight) {
    std::vector<double> transfer(sight.transfer.begin(), sight.transfer.end());
    for (std::size_t k = 0; k < sight.near_sensor.size(); ++k)
        for (int spot = 0; spot < Sight::lens_samples; ++spot)
            transfer[sight.near_sensor[k]] += static_cast<double>(
                sight.near_transfer[k * Sight::lens_samples + static_cast<std::size_t>(spot)]);
    return transfer;
}

} // namespace

TEST_CASE("one thing more in the way never adds direct light") {
    const Sensors sensors = make_sensors();
    for (const float diameter : {0.0f, 0.05f, 0.3f}) {
        const Lens lens{.centre = {0.3f, -3, 2.2f}, .diameter = diameter};
        std::vector<double> before(sensors.size(), 1e9);
        double sum_before = 1e9;
        for (const int count : {0, 3, 9, 30}) {
            StageMaker maker;
            const std::vector<double> transfer = all_transfer(look(fill(maker, count), sensors, lens));
            double sum = 0;
            int more = 0;
            for (std::size_t i = 0; i < transfer.size(); ++i) {
                more += transfer[i] > before[i] * (1 + 1e-6) ? 1 : 0;
                sum += transfer[i];
            }
            CAPTURE(diameter);
            CAPTURE(count);
            CHECK(more == 0);
            CHECK(sum < sum_before);
            before = transfer;
            sum_before = sum;
        }
        CHECK(sum_before > 0);
    }
}

TEST_CASE("what two things hide together is at least what either hides, and at most both") {
    // 1 - V of a union: max(a, b) <= hidden <= a + b, of points exactly, of lenses by their spots.
    const Sensors sensors = make_sensors();
    const Lens lens{.centre = {0.3f, -3, 2.2f}};
    const auto trace = [&](bool has_first, bool has_second) {
        StageMaker maker;
        const std::uint16_t grey = maker.material(glm::vec3(0.5f));
        if (has_first)
            StageMaker::add_quad(maker.stage->opaque,
                                 {glm::vec3(-1, -1, 0), {1, -1, 0}, {1, -1, 1}, {-1, -1, 1}}, grey);
        if (has_second)
            StageMaker::add_quad(
                maker.stage->opaque,
                {glm::vec3(0, -1.5f, 0.5f), {1.5f, -1.5f, 0.5f}, {1.5f, -1.5f, 2}, {0, -1.5f, 2}}, grey);
        return look(maker.finish(), sensors, lens).transfer;
    };
    const std::vector<float> open = trace(false, false), one = trace(true, false), other = trace(false, true),
                             both = trace(true, true);
    int hidden_by_one = 0, hidden_by_both = 0;
    for (std::size_t i = 0; i < open.size(); ++i) {
        CHECK(both[i] == std::min(one[i], other[i]));
        hidden_by_one += one[i] < open[i] ? 1 : 0;
        hidden_by_both += one[i] < open[i] && other[i] < open[i] ? 1 : 0;
    }
    CHECK(hidden_by_one > 20);
    CHECK(hidden_by_both > 5);
}

TEST_CASE("the share of a point's light that boards of holes let through is that of their holes") {
    // Of every third texel light comes through: one of three, on average over the sensors behind.
    StageMaker maker;
    Texture holes{24, 24, {}};
    for (int i = 0; i < 24 * 24; ++i)
        holes.rgba.insert(holes.rgba.end(),
                          {255, 255, 255, static_cast<std::uint8_t>((i + i / 24) % 3 ? 255 : 0)});
    maker.stage->textures.push_back(holes);
    StageMaker::add_quad(maker.stage->cutouts, StageMaker::level(3, 1),
                         maker.material(glm::vec3(0.5f), glm::vec3(0), 0));
    maker.add_sensors(90, {-1, -1, 0}, {2, 0, 0}, {0, 2, 0}, {0, 0, 1});
    const Stage& stage = maker.finish();
    const Sight sight = trace_sight(stage, {.centre = {0.02f, 0.03f, 8}});
    const StageMaker nothing;
    double through = 0, all = 0;
    for (std::size_t i = 0; i < stage.sensors.size(); ++i) {
        const glm::dvec3 way = glm::dvec3(0.02, 0.03, 8) - glm::dvec3(stage.sensors.position(i));
        through += static_cast<double>(sight.transfer[i]);
        all += way.z / std::pow(glm::length(way), 3);
    }
    CHECK(through / all == doctest::Approx(1 / 3.0).epsilon(0.03).scale(0));
}

TEST_CASE("the spots of a lens are those of an even disk") {
    // Of a disk of radius one: mean 0, mean square 1/2, mean of the fourth powers of the radius 1/3, and of
    // x^2 as of y^2 a quarter.
    const Lens lens{.centre = {1, 2, 3}, .diameter = 2};
    for (const glm::vec3& sensor : {glm::vec3(1, -20, 3), glm::vec3(12, 9, -4), glm::vec3(1, 2, 40)}) {
        glm::dvec3 mean(0);
        double square = 0, fourth = 0;
        const glm::dvec3 way = glm::normalize(glm::dvec3(sensor) - glm::dvec3(lens.centre));
        glm::dmat3 spread(0);
        for (int i = 0; i < Sight::lens_samples; ++i) {
            const glm::dvec3 off = glm::dvec3(lens_spot(lens, sensor, i)) - glm::dvec3(lens.centre);
            CHECK(std::abs(glm::dot(off, way)) < 1e-5); // square to the line to the sensor
            CHECK(glm::length(off) <= 1 + 1e-6);
            mean += off / double(Sight::lens_samples);
            square += glm::dot(off, off) / Sight::lens_samples;
            fourth += std::pow(glm::dot(off, off), 2) / Sight::lens_samples;
            spread += glm::outerProduct(off, off) / double(Sight::lens_samples);
        }
        CHECK(glm::length(mean) < 1e-5);
        CHECK(square == doctest::Approx(0.5).epsilon(2e-3).scale(0));
        CHECK(fourth == doctest::Approx(1 / 3.0).epsilon(2e-3).scale(0));
        // The same whichever way across: the spread is a quarter of the plane's own.
        for (int i = 0; i < 3; ++i)
            for (int k = 0; k < 3; ++k)
                CHECK(spread[i][k] ==
                      doctest::Approx(0.25 * ((i == k ? 1 : 0) - way[i] * way[k])).epsilon(5e-3).scale(0.25));
    }
    // Bounds hold all of the spots, whoever looks.
    for (const float height : {0.02f, 0.4f, 3.0f})
        for (const bool is_flush : {false, true}) {
            const Lens low{.centre = {0, 0, height}, .diameter = 0.5f, .is_flush = is_flush};
            const SpotBounds bounds = spot_bounds(low);
            Random random(2);
            for (int i = 0; i < 300; ++i) {
                const glm::vec3 sensor(10.0 * random.direction());
                const glm::vec3 spot = lens_spot(low, sensor, i % Sight::lens_samples);
                CHECK(glm::distance(spot, bounds.centre) <= bounds.radius * 1.00001f);
                CHECK(bounds.centre.z - spot.z <= bounds.below + 1e-5f);
                CHECK(spot.z - bounds.centre.z <= bounds.above + 1e-5f);
                CHECK(spot.z > 0); // nothing of a lens is in the ground
            }
        }
}

TEST_CASE("fixtures in another order give the same light, and variants side by side what single ones do") {
    const auto stage = build_stage(make_wall_site(4, 3, 0.2), {});
    std::vector<LitFixture> fixtures;
    for (int i = 0; i < 5; ++i) {
        LitFixture fixture;
        fixture.lens = {.centre = {0.8f * static_cast<float>(i), -0.3f - 0.1f * static_cast<float>(i), 0.2f},
                        .diameter = 0.06f};
        fixture.aim = {.tilt = 0.15 * i, .azimuth = 0.3 * i};
        fixture.table = IntensityTable(i % 2 ? make_oval_beam() : make_cosine(40, 600), {});
        fixture.scale = 0.5 + 0.1 * i;
        fixtures.push_back(fixture);
    }
    const Lighting once = trace_lighting(*stage, fixtures);
    std::vector<LitFixture> turned(fixtures.rbegin(), fixtures.rend());
    const Lighting again = trace_lighting(*stage, turned);
    // Twice the same lens is looked at once; what is known is not traced again.
    const Lighting known = trace_lighting(*stage, fixtures, {}, once.sights);
    std::vector<double> sums(stage->sensors.size());
    for (std::size_t f = 0; f < fixtures.size(); ++f)
        add_layer(once.sights[f], stage->sensors, fixtures[f].aim, fixtures[f].table, fixtures[f].scale,
                  sums);
    double most = 0;
    for (std::size_t i = 0; i < sums.size(); ++i) {
        CHECK(again.direct_lx[i] == doctest::Approx(once.direct_lx[i]).epsilon(1e-9));
        CHECK(sums[i] == once.direct_lx[i]); // to the bit
        CHECK(known.direct_lx[i] == once.direct_lx[i]);
        most = std::max(most, sums[i]);
    }
    CHECK(most > 10);
    {
        const WithoutRays without(*stage);
        CHECK(trace_lighting(*stage, turned, {}, once.sights).direct_lx == again.direct_lx);
    }
    double last = 0;
    int calls = 0;
    trace_lighting(*stage, fixtures, [&](double done) {
        CHECK(done > last);
        last = done;
        ++calls;
    });
    CHECK(last == 1);
    CHECK(calls == 5);
}
