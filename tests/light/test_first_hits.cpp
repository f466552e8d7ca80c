// What the light of a lens meets first, and how its lumens are shared among the directions.

#include <cmath>
#include <numeric>

#include "../thread_limit.hpp"
#include "duskcast/light/first_hits.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

LitFixture make_lit(const Distribution& distribution, const Aim& aim, double scale = 1) {
    LitFixture fixture;
    fixture.lens.centre = {0, 0, 0.5f};
    fixture.aim = aim;
    fixture.table = IntensityTable(distribution, {});
    fixture.scale = scale;
    fixture.lumens = measure_leaving_lumens(fixture);
    return fixture;
}

/// Lumens of the directions that `is_wanted`.
template <class IsWanted> double lumens_where(const LitFixture& fixture, IsWanted is_wanted) {
    const std::vector<double> lumens = share_lumens(fixture);
    double sum = 0;
    for (std::size_t i = 0; i < lumens.size(); ++i)
        sum += is_wanted(lens_directions()[i]) ? lumens[i] : 0;
    return sum;
}

} // namespace

TEST_CASE("first hits: the lumens of all directions are the fixture's") {
    for (const Aim& aim : {Aim{}, Aim{.tilt = 0.4, .azimuth = 1.1}, Aim{.tilt = 2.5}})
        for (const Distribution& lamp : {make_cosine(12, 3000), make_cosine(60, 500), make_oval_beam()}) {
            const LitFixture fixture = make_lit(lamp, aim, 0.7);
            const std::vector<double> lumens = share_lumens(fixture);
            CHECK(std::accumulate(lumens.begin(), lumens.end(), 0.0) ==
                  doctest::Approx(0.7 * measure_lumens(lamp)).epsilon(1e-3));
        }
    LitFixture dark;
    dark.lumens = 100;
    CHECK(lumens_where(dark, [](const glm::vec3&) { return true; }) == 0); // no distribution, no light
}

TEST_CASE("first hits: the flux of a cosine power within a cone") {
    // Integral over the sphere: of I = I0 cos^n the share 1 - cos(h)^(n + 1) lies within the half-angle h.
    const double beam = 36, n = std::log(0.5) / std::log(std::cos(radians_from_degrees(beam / 2)));
    const LitFixture fixture = make_lit(make_cosine(beam, 1000), {.tilt = 0.6, .azimuth = 2});
    const glm::vec3 axis(beam_axis(fixture.aim));
    for (const double half_deg : {10.0, 18.0, 30.0, 50.0}) {
        const double cosine = std::cos(radians_from_degrees(half_deg));
        const double inside = lumens_where(
            fixture, [&](const glm::vec3& way) { return static_cast<double>(glm::dot(way, axis)) > cosine; });
        CHECK(inside / fixture.lumens == doctest::Approx(1 - std::pow(cosine, n + 1)).epsilon(5e-3));
    }
}

TEST_CASE("first hits: a narrow beam's own directions hold its light") {
    // As above, for I = I0 cos^n the share 1 - cos(h)^(n + 1) lies within the half-angle h, and by symmetry
    // half of a round beam lies on either side of a plane through its axis. Of an oval beam the mean of the
    // directions, weighted by lumens, is on its axis, and its lumens in a sector are those of a fine sum.
    const Aim aim{.tilt = 0.6, .azimuth = 2};
    const glm::dvec3 axis(beam_axis(aim));
    for (const double beam : {1.0, 2.0, 4.0, 12.0, 60.0}) {
        CAPTURE(beam);
        const double n = std::log(0.5) / std::log(std::cos(radians_from_degrees(beam / 2)));
        const LitFixture fixture = make_lit(make_cosine(beam, 1000), aim, 0.7);
        CHECK(is_narrow(share_lumens(fixture)) == (beam < 11));
        const BeamRays rays = make_beam_rays(fixture);
        REQUIRE(rays.directions.size() == rays.lumens.size());
        const auto part_of = [&](auto is_wanted) {
            double sum = 0;
            for (std::size_t i = 0; i < rays.lumens.size(); ++i)
                sum += is_wanted(glm::dvec3(rays.directions[i])) ? rays.lumens[i] : 0;
            return sum / fixture.lumens;
        };
        CHECK(part_of([](const glm::dvec3&) { return true; }) == doctest::Approx(1).epsilon(1e-9));
        for (const double share : {0.3, 0.7, 1.2}) {
            const double half = radians_from_degrees(beam * share);
            const double inside = part_of([&](const glm::dvec3& way) {
                return glm::length(way - axis) < 2 * std::sin(half / 2); // the chord keeps its digits
            });
            CHECK(inside == doctest::Approx(1 - std::pow(std::cos(half), n + 1)).epsilon(2e-3));
        }
        double worst = 0;
        for (int turn = 0; turn < 64; ++turn) {
            const glm::dvec3 side = glm::dmat3(world_from_fixture(aim)) *
                                    glm::dvec3(std::cos(pi * turn / 64), std::sin(pi * turn / 64), 0);
            worst = std::max(
                worst,
                std::abs(part_of([&](const glm::dvec3& way) { return glm::dot(way, side) > 0; }) - 0.5));
        }
        MESSAGE("beam ", beam, " degrees: half is off by at most ", worst);
        CHECK(worst < 0.001);
    }
    const LitFixture oval = make_lit(make_oval_beam(), aim);
    const BeamRays rays = make_beam_rays(oval);
    const glm::dmat3 lamp_from_world = glm::transpose(glm::dmat3(world_from_fixture(aim)));
    double wide = 0;
    for (std::size_t i = 0; i < rays.lumens.size(); ++i) {
        const glm::dvec3 way = lamp_from_world * glm::dvec3(rays.directions[i]);
        wide += std::abs(way.x) > std::abs(way.y) ? rays.lumens[i] : 0;
    }
    double sum = 0, all = 0;
    for (int i = 0; i < 500; ++i)
        for (int j = 0; j < 400; ++j) {
            const double cosine = 1 - 2 * (i + 0.5) / 500, turn = 2 * pi * (j + 0.5) / 400;
            const double across = std::sqrt(1 - cosine * cosine);
            const auto candela = static_cast<double>(
                oval.table.candela(glm::vec3(across * std::cos(turn), across * std::sin(turn), -cosine)));
            all += candela;
            sum += std::abs(std::cos(turn)) > std::abs(std::sin(turn)) ? candela : 0;
        }
    CHECK(wide / oval.lumens == doctest::Approx(sum / all).epsilon(2e-3));
    LitFixture dark;
    CHECK(make_beam_rays(dark).directions.empty());
}

TEST_CASE("first hits: a plane above takes the solid angle it fills") {
    // Solid angle of a rectangle seen from above its middle: 4 atan(a b / (d sqrt(a^2 + b^2 + d^2))), half
    // sides a and b (integral of cos / r^2).
    StageMaker maker;
    const float a = 1.5f, d = 2;
    StageMaker::add_quad(maker.stage->opaque, StageMaker::level(a, d + 0.5f),
                         maker.material(glm::vec3(0.5f)));
    const Stage& stage = maker.finish();
    const std::vector<Hit> hits = trace_first_hits(stage, {.centre = {0, 0, 0.5f}});
    REQUIRE(hits.size() == static_cast<std::size_t>(lens_direction_count));
    const auto met = std::count_if(hits.begin(), hits.end(), [](const Hit& hit) { return bool(hit); });
    const double filled = 4 * std::atan(a * a / (d * std::sqrt(2.0 * a * a + d * d))) / (4 * pi);
    CHECK(static_cast<double>(met) / lens_direction_count == doctest::Approx(filled).epsilon(2e-3));
    for (std::size_t i = 0; i < hits.size(); i += 97)
        if (hits[i])
            CHECK(hits[i].distance * lens_direction_grid().direction(i).z ==
                  doctest::Approx(d).epsilon(1e-5));
    // A lens let into the ground looks out above it; any other from its middle.
    CHECK(first_hit_origin({.centre = {1, 2, -0.05f}}).z > 0);
    CHECK(first_hit_origin({.centre = {1, 2, 0.4f}}) == glm::vec3(1, 2, 0.4f));
}

TEST_CASE("first hits: what a level cover keeps back is missing from the right directions") {
    // A cover that stays level takes nothing straight up, and all below where its rim hides the whole lens:
    // a lens of diameter D, a rim of diameter D at a distance D, is hidden from zenith angles over atan(1) =
    // 45 degrees.
    LitFixture fixture = make_lit(make_isotropic(), {});
    fixture.lens.diameter = 0.1f;
    fixture.lens.is_flush = true;
    fixture.lens.rim = {.diameter = 0.1, .distance = 0.1};
    fixture.lumens = measure_leaving_lumens(fixture);
    const FixtureCandela candela(fixture);
    CHECK(candela.towards({0, 0, 1}) == doctest::Approx(1000));
    CHECK(candela.towards(glm::normalize(glm::dvec3(1.02, 0, 1))) == 0);
    CHECK(lumens_where(fixture, [](const glm::vec3& way) { return way.z < 0.7f; }) == 0);
    CHECK(lumens_where(fixture, [](const glm::vec3& way) { return way.z > 0.7f; }) ==
          doctest::Approx(fixture.lumens).epsilon(1e-6));
    // Visible share of two circles shifted by t D: (2 / pi) (acos t - t sqrt(1 - t^2)), t = tan of the zenith
    // angle (plane geometry).
    for (const double t : {0.2, 0.5, 0.8})
        CHECK(candela.towards(glm::normalize(glm::dvec3(t, 0, 1))) ==
              doctest::Approx(2000 / pi * (std::acos(t) - t * std::sqrt(1 - t * t))).epsilon(1e-4));
}

TEST_CASE("first hits: candela in space turn with the fixture") {
    // Frame-free: candela depend on the angle off the beam alone for a round lamp.
    const double n = std::log(0.5) / std::log(std::cos(radians_from_degrees(15)));
    for (const Aim& aim : {Aim{.tilt = 0.3, .azimuth = 0.8}, Aim{.tilt = 1.4, .azimuth = 4}}) {
        const LitFixture fixture = make_lit(make_cosine(30, 800), aim, 0.5);
        const FixtureCandela candela(fixture);
        for (int i = 0; i < 200; ++i) {
            const glm::dvec3 way(lens_directions()[static_cast<std::size_t>(i) * 600]);
            const double cosine = std::max(0.0, glm::dot(way, beam_axis(aim)));
            CHECK(candela.towards(way) == doctest::Approx(400 * std::pow(cosine, n)).epsilon(2e-3).scale(1));
        }
    }
}

TEST_CASE("transport: in a closed box every direction lands, and lumens on the patches are the lamp's") {
    StageMaker maker;
    const std::uint16_t grey = maker.material(glm::vec3(0.4f));
    Triangles& triangles = maker.stage->opaque;
    maker.add_box(glm::vec3(1.5f), grey, false);
    for (glm::uvec3& corner : triangles.corners) // facing inwards
        std::swap(corner.y, corner.z);
    const Stage& stage = maker.finish();
    const auto bounce = trace_bounce(stage, {.patches = {.size = 0.3}, .rays = 128});
    LitFixture fixture = make_lit(make_cosine(40, 900), {.tilt = 0.5});
    fixture.lens.centre = {0.2f, 0.1f, -0.3f};
    const LensTransport transport = trace_transport(stage, *bounce, fixture.lens);
    CHECK(std::all_of(transport.patch.begin(), transport.patch.end(),
                      [&](std::uint32_t patch) { return patch < bounce->patches.size(); }));
    const BouncedState state =
        solve_bounce(*bounce, {fixture}, {std::make_shared<const LensTransport>(transport)}, 0);
    double landed = 0, area = 0;
    for (std::size_t i = 0; i < bounce->patches.size(); ++i) {
        landed += static_cast<double>(bounce->patches.area[i] * state.direct[i].g);
        area += static_cast<double>(bounce->patches.area[i]);
    }
    CHECK(landed == doctest::Approx(fixture.lumens).epsilon(1e-3));
    CHECK(area == doctest::Approx(2 * 6 * 9).epsilon(1e-3)); // sheets: both sides
    // Energy balance: what is emitted is absorbed, nothing leaves.
    CHECK(state.energy.absorbed == doctest::Approx(state.energy.emitted).epsilon(2e-3));
    CHECK(state.energy.sky + state.energy.lost < 2e-3 * state.energy.emitted);
}

TEST_CASE("patches: areas are the facets', a point on a patch lies on it, and blends sum to one") {
    Site site = make_wall_site(4, 3, 0.5);
    site.walls[0].openings.push_back({.id = "door", .from = 1, .width = 1, .sill = 0.5, .height = 1.5});
    const auto stage = build_stage(site, {});
    const Patches patches(*stage, {.size = 0.4});
    double facet_area = 0, patch_area = 0;
    for (const glm::uvec3& corner : stage->opaque.corners) {
        const glm::dvec3 a(stage->opaque.vertices[corner.x]), b(stage->opaque.vertices[corner.y]),
            c(stage->opaque.vertices[corner.z]);
        facet_area += glm::length(glm::cross(b - a, c - a)) / 2;
    }
    for (std::uint32_t i = 0; i < patches.size(); ++i) {
        patch_area += static_cast<double>(patches.area[i]);
        if (i % 5 != 0)
            continue;
        const PatchPoint point = patches.point_on(i, 0.3f, 0.6f, 0.7f);
        const Hit hit = stage->kernel->find_hit(step_off(point.position, point.normal), -point.normal, 0,
                                                2 * surface_offset);
        REQUIRE(hit);
        CHECK(patches.patch_at(hit, point.position, -point.normal) == i);
        const PatchBlend blend = patches.blend_at(hit, point.position, point.normal);
        CHECK(std::accumulate(blend.weight.begin(), blend.weight.end(), 0.0f) == doctest::Approx(1));
    }
    CHECK(patch_area == doctest::Approx(facet_area).epsilon(1e-4)); // one side of every face of a body
}

TEST_CASE("direct light: a Sight has the same bytes on one thread and on four") {
    Site site = make_wall_site(6, 4, 0.1);
    site.walls[0].eave = Eave{};
    const auto stage = build_stage(site, {});
    const Lens lens{.centre = {3, -0.3f, 0.2f}, .diameter = 0.05f};
    std::vector<Sight> sights;
    for (const int threads : {1, 4}) {
        const ThreadLimit limit(threads);
        sights.push_back(trace_sight(*stage, lens));
    }
    CHECK(sights[0].transfer == sights[1].transfer);
    CHECK(sights[0].near_transfer == sights[1].near_transfer);
    CHECK(sights[0].rays == sights[1].rays);
}
