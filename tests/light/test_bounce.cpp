// Bounced light against closed forms of enclosures, configuration factors and leaf layers.

#include <algorithm>
#include <cmath>
#include <functional>
#include <stdexcept>

#include "../thread_limit.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/finish.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

constexpr float grey(double rho) {
    return static_cast<float>(rho);
}

/// Lux of all channels alike on patches that `is_lit` picks.
std::vector<PatchLight> light_patches(const Bounce& bounce, float lux,
                                      const std::function<bool(std::uint32_t)>& is_lit) {
    std::vector<PatchLight> direct(bounce.patches.size());
    for (std::uint32_t i = 0; i < direct.size(); ++i)
        if (is_lit(i))
            direct[i] = {lux, lux, lux, 0};
    return direct;
}

double mean_of(const std::vector<double>& lux) {
    double sum = 0;
    for (const double one : lux)
        sum += one / static_cast<double>(lux.size());
    return sum;
}

void check_share(const std::string& what, double found, double exact, double share) {
    MESSAGE(what, ": ", found, ", exact ", exact, ", off by ", 100 * (found / exact - 1), " %");
    CHECK(std::abs(found / exact - 1) < share);
}

/// First-bounce mean lux on the sensors from a sheet of reflectance `rho` under 1000 lx; all else is black.
double light_from_sheet(StageMaker& maker, double rho, const BounceOptions& options) {
    const auto bounce = trace_bounce(maker.finish(), options);
    const auto is_sheet = [&](std::uint32_t i) { return bounce->patches.reflectance[i].x > 0; };
    const BouncedState state = solve_bounce(*bounce, light_patches(*bounce, 1000, is_sheet), 0);
    return mean_of(bounced_on_sensors(*bounce, state)) / (1000 * rho);
}

} // namespace

TEST_CASE("bounce: energy balance in a closed cube") {
    // Mean E of the faces = flux / (6 a^2 (1 - rho)) per channel (what goes in is absorbed); the same as the
    // closed diffuse box of CIE 171:2006, 5.8 (from memory).
    constexpr double flux = 4 * pi * 100, area = 24;
    for (const glm::dvec3& rho : {glm::dvec3(0.5), glm::dvec3(0.8), glm::dvec3(0.7, 0.4, 0.2)}) {
        StageMaker maker;
        maker.add_box(glm::vec3(1), maker.material(glm::vec3(rho)), false);
        maker.add_sensors(16, {-1, -1, -1}, {2, 0, 0}, {0, 2, 0}, {0, 0, 1});
        LitFixture bulb = make_bulb(glm::vec3(0), 100);
        bulb.colour = light_colour(2700);
        const Lighting lighting = bounce_light(maker.finish(), bulb);
        const glm::dvec3 exact = flux / area * light_colour(2700) * rho / (1.0 - rho);
        check_share("cube", mean_of(lighting.bounced_lx), luminance_of(exact), 5e-3);
        CHECK(lighting.energy.emitted == doctest::Approx(flux).epsilon(1e-5));
        CHECK(lighting.energy.absorbed == doctest::Approx(flux).epsilon(1e-3));
        CHECK(lighting.energy.sky == 0);
    }
}

TEST_CASE("bounce: white furnace") {
    // In an enclosure evenly lit, every spot gets E rho / (1 - rho) more, whatever its shape.
    for (const double rho : {0.5, 0.8}) {
        StageMaker maker;
        maker.add_box({2, 1, 0.5f}, maker.material(glm::vec3(grey(rho))), false);
        maker.add_sensors(16, {-2, -1, -0.5f}, {4, 0, 0}, {0, 2, 0}, {0, 0, 1});
        maker.add_sensors(16, {-2, -1, -0.5f}, {0, 2, 0}, {0, 0, 1}, {1, 0, 0});
        const auto bounce = trace_bounce(maker.finish());
        // The outside is in the open and goes dark at once.
        const auto is_inside = [&](std::uint32_t i) { return bounce->sky[i] + bounce->lost[i] < 0.5f; };
        const BouncedState state = solve_bounce(*bounce, light_patches(*bounce, 100, is_inside), 0);
        double worst = 0;
        for (const double lux : bounced_on_sensors(*bounce, state))
            worst = std::max(worst, std::abs(lux / (100 * rho / (1 - rho)) - 1));
        MESSAGE("rho ", rho, ": the worst sensor is off by ", 100 * worst, " %");
        CHECK(worst < 5e-3);
    }
}

TEST_CASE("bounce: an integrating sphere of small facets") {
    // E = flux M / A, M = rho / (1 - rho), A of the facets (sphere multiplier).
    for (const double rho : {0.5, 0.8}) {
        StageMaker maker;
        const std::uint16_t white = maker.material(glm::vec3(grey(rho)));
        const double area = maker.add_sphere(white, 1, 1);
        const Lighting lighting = bounce_light(maker.finish(), make_bulb({0.4f, 0.2f, 0.1f}, 100));
        double worst = 0;
        const double exact = 4 * pi * 100 / area * rho / (1 - rho);
        for (const double lux : lighting.bounced_lx)
            worst = std::max(worst, std::abs(lux / exact - 1));
        MESSAGE("the worst of ", lighting.bounced_lx.size(), " sensors is off by ", 100 * worst, " %");
        check_share("sphere", mean_of(lighting.bounced_lx), exact, 5e-3);
        CHECK(worst < 0.05);
    }
}

TEST_CASE("bounce: between unit squares") {
    // Howell, A Catalog of Radiation Heat Transfer Configuration Factors: C-11 parallel, one side apart,
    // 0.199825; C-14 square to each other with a common edge, 0.200044 (closed forms from memory).
    const BounceOptions options{.patches = {.size = 0.1}, .rays = 8192};
    for (const bool is_parallel : {true, false}) {
        StageMaker maker;
        StageMaker::add_quad(maker.stage->opaque, StageMaker::level(0.5f, 0),
                             maker.material(glm::vec3(0.6f)));
        const std::uint16_t black = maker.material(glm::vec3(0));
        if (is_parallel) {
            StageMaker::add_quad(maker.stage->opaque, StageMaker::level(0.5f, 1), black);
            maker.add_sensors(40, {-0.5f, -0.5f, 1}, {1, 0, 0}, {0, 1, 0}, {0, 0, -1});
        } else {
            StageMaker::add_quad(
                maker.stage->opaque,
                {glm::vec3(-0.5f, 0.5f, 0), {0.5f, 0.5f, 0}, {0.5f, 0.5f, 1}, {-0.5f, 0.5f, 1}}, black);
            maker.add_sensors(40, {-0.5f, 0.5f, 0}, {1, 0, 0}, {0, 0, 1}, {0, -1, 0});
        }
        check_share(is_parallel ? "parallel squares" : "squares at an edge",
                    light_from_sheet(maker, 0.6, options), is_parallel ? 0.199825 : 0.200044, 5e-3);
    }
}

TEST_CASE("bounce: from a rectangle on a small spot") {
    // Lambert's polygon formula: (1 / 2 pi) sum of edge angles times the cosine of their planes' normals.
    const BounceOptions options{.patches = {.size = 0.25}, .rays = 32768};
    const auto find = [&](const std::array<glm::vec3, 4>& sheet) {
        StageMaker maker;
        StageMaker::add_quad(maker.stage->opaque, sheet, maker.material(glm::vec3(0.6f)));
        StageMaker::add_quad(maker.stage->opaque, StageMaker::level(0.005f, 0), maker.material(glm::vec3(0)));
        maker.add_sensor(glm::vec3(0), {0, 0, 1});
        return light_from_sheet(maker, 0.6, options);
    };
    // Above one corner, 1 x 1 and 2 x 2 at a distance of 1; centred (Howell, B-4 from memory).
    check_share("corner 1 x 1", find({glm::vec3(0, 0, 1), {0, 1, 1}, {1, 1, 1}, {1, 0, 1}}), 0.138532, 5e-3);
    check_share("corner 2 x 2", find({glm::vec3(0, 0, 1), {0, 2, 1}, {2, 2, 1}, {2, 0, 1}}), 0.207757, 5e-3);
    check_share("centred 1 x 1", find(StageMaker::level(0.5f, 1)), 0.239456, 5e-3);
    check_share("centred 2 x 2", find(StageMaker::level(1, 1)), 0.554126, 5e-3);
    // A wall seen from the ground before its end: F = (1 / 2 pi)(atan(1/Y) - Y / sqrt(X^2 + Y^2)
    // atan(1 / sqrt(X^2 + Y^2))), X = height / width, Y = distance / width.
    check_share("wall 1 x 1", find({glm::vec3(1, 0, 0), {1, 0, 1}, {1, 1, 1}, {1, 1, 0}}), 0.055734, 5e-3);
    check_share("wall 2 high", find({glm::vec3(1, 0, 0), {1, 0, 2}, {1, 1, 2}, {1, 1, 0}}), 0.095068, 5e-3);
}

TEST_CASE("bounce: two wide planes") {
    // Between endless planes lit on one: the series 1 + r1 r2 + (r1 r2)^2 ... = 1 / (1 - r1 r2) on the lit
    // one, r1 / (1 - r1 r2) on the other.
    StageMaker maker;
    StageMaker::add_quad(maker.stage->opaque, StageMaker::level(30, 0), maker.material(glm::vec3(0.5f)));
    StageMaker::add_quad(maker.stage->opaque, StageMaker::level(30, 1), maker.material(glm::vec3(0.3f)));
    maker.add_sensors(16, {-1, -1, 0}, {2, 0, 0}, {0, 2, 0}, {0, 0, 1});
    maker.add_sensors(16, {-1, -1, 1}, {2, 0, 0}, {0, 2, 0}, {0, 0, -1});
    const auto bounce = trace_bounce(maker.finish(), {.patches = {.most_flat = 30000}});
    const auto is_floor = [&](std::uint32_t i) {
        return bounce->patches.reflectance[i].x > 0.4f && bounce->sky[i] < 0.5f;
    };
    const BouncedState state = solve_bounce(*bounce, light_patches(*bounce, 100, is_floor), 0);
    const std::vector<double> lux = bounced_on_sensors(*bounce, state);
    check_share("floor", mean_of({lux.begin(), lux.begin() + 256}) + 100, 117.647, 5e-3);
    check_share("ceiling", mean_of({lux.begin() + 256, lux.end()}), 50 * 1.17647, 5e-3);
}

TEST_CASE("bounce: the ambient sky") {
    // On open level ground its lux are what they are said to be; on an upright wall over black ground half.
    Site site = make_wall_site(6, 3, 0.5);
    site.ground.base = GroundKind::lawn;
    const auto stage = build_stage(site, {});
    Lighting lighting = trace_lighting(*stage, {});
    add_bounce(set_up_bounce(*stage, lighting.fixtures, 0.3), lighting);
    const Surface& ground = stage->surfaces[stage->find_surface("ground")];
    const Surface& wall = stage->surfaces[stage->find_surface("wall")];
    double most = 0, on_wall = 0;
    for (std::uint32_t i = ground.first; i < ground.first + ground.count; ++i)
        most = std::max(most, lighting.bounced_lx[i]);
    for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i)
        on_wall += lighting.bounced_lx[i] / wall.count;
    CHECK(most == doctest::Approx(0.3).epsilon(0.02));
    const double lawn = luminance_of(finish_of(GroundKind::lawn).reflectance);
    MESSAGE("wall ", on_wall, " lx: half the sky's, and the other half's share that the lawn gives back");
    CHECK(on_wall > 0.15);
    CHECK(on_wall < 0.15 * (1 + lawn));
    CHECK(lighting.energy.absorbed + lighting.energy.sky + lighting.energy.lost ==
          doctest::Approx(lighting.energy.emitted).epsilon(5e-3));
}

TEST_CASE("bounce: a slab of level leaves as two streams") {
    // Level leaves stop the same share dL of light from every direction, so that the two-stream equations
    // (Schuster 1905; for leaves Ross 1981, from memory) are exact: down' = -(1 - t) down + r up,
    // up' = (1 - t) up - r down over leaf area L. With k = sqrt((1-t)^2 - r^2) and a black floor:
    // T = k / (k cosh kL + (1-t) sinh kL), R = r sinh kL / (k cosh kL + (1-t) sinh kL).
    constexpr double r = 0.35, t = 0.25, drawn = 1.5, half = 6, thickness = 1.5, size = 0.1;
    StageMaker maker;
    const std::uint16_t leaf = maker.material(glm::vec3(grey(r)), glm::vec3(grey(t)));
    StageMaker::add_quad(maker.stage->opaque, StageMaker::level(20, -0.02f), maker.material(glm::vec3(0)));
    Random random(7);
    const int count = static_cast<int>(drawn * 4 * half * half / (size * size));
    for (int i = 0; i < count; ++i) {
        const glm::vec3 low(random.uniform(-half, half), random.uniform(-half, half),
                            random.uniform(0, thickness));
        const float side = grey(size);
        maker.add_leaf(
            {low, low + glm::vec3(side, 0, 0), low + glm::vec3(side, side, 0), low + glm::vec3(0, side, 0)},
            leaf);
    }
    const Stage& stage = maker.finish();
    const auto bounce = trace_bounce(stage, {});
    // Light from straight above on the middle, counted ray by ray.
    std::vector<PatchLight> direct(bounce->patches.size());
    constexpr int rays = 200'000;
    double through = 0;
    for (int i = 0; i < rays; ++i) {
        const glm::vec3 from(random.uniform(-2, 2), random.uniform(-2, 2), 5);
        const Hit hit = stage.kernel->find_hit(from, {0, 0, -1}, 0, 100);
        const std::uint32_t patch =
            bounce->patches.patch_at(hit, from - glm::vec3(0, 0, hit.distance), {0, 0, -1});
        if (patch == Patches::none)
            continue; // shows in the sums
        through += hit.kind == FacetKind::leaf ? 0.0 : 1.0 / rays;
        const float lux = 1.0f / rays / bounce->patches.area[patch];
        direct[patch].r += lux;
        direct[patch].g += lux;
        direct[patch].b += lux;
    }
    check_share("straight through", through, std::exp(-drawn), 0.1); // leaves are few: it scatters by 5 %
    const double leaf_area = -std::log(through);                     // as drawn over the lit part
    const BouncedState state = solve_bounce(*bounce, direct, 0);
    double on_floor = 0;
    for (std::uint32_t i = 0; i < bounce->patches.size(); ++i)
        if (!bounce->patches.is_leaf(i))
            on_floor +=
                static_cast<double>(bounce->patches.area[i] * (state.direct[i].g + state.bounced[i].g));
    const double k = std::sqrt((1 - t) * (1 - t) - r * r);
    const double below = k * std::cosh(k * leaf_area) + (1 - t) * std::sinh(k * leaf_area);
    check_share("transmitted", on_floor, k / below, 0.03);
    check_share("reflected", state.energy.sky, r * std::sinh(k * leaf_area) / below, 0.03);
    CHECK(state.energy.absorbed + state.energy.sky + state.energy.lost == doctest::Approx(1.0).epsilon(5e-3));
}

TEST_CASE("bounce: light through a cut-out sheet") {
    // Of a point source's I Omega lumens, Omega = 4 atan(a b / (d sqrt(a^2 + b^2 + d^2))), a sheet with half
    // of it cut out stops half; the other half comes to the wall behind. Far enough away that lumens are
    // found at spots, not counted.
    StageMaker maker;
    constexpr int texels = 8;
    Texture board{texels, texels, {}};
    for (int i = 0; i < texels * texels; ++i)
        board.rgba.insert(board.rgba.end(),
                          {255, 255, 255, static_cast<std::uint8_t>((i + i / texels) % 2 ? 255 : 0)});
    maker.stage->textures.push_back(board);
    const std::uint16_t sheet = maker.material(glm::vec3(0.3f), glm::vec3(0), 0);
    StageMaker::add_quad(maker.stage->cutouts, {glm::vec3(-1, 0, -1), {1, 0, -1}, {1, 0, 1}, {-1, 0, 1}},
                         sheet);
    StageMaker::add_quad(maker.stage->opaque, {glm::vec3(-2, 1, -2), {2, 1, -2}, {2, 1, 2}, {-2, 1, 2}},
                         maker.material(glm::vec3(0.6f)));
    const LitFixture source = make_bulb({0, -6, 0}, 100);
    const Stage& stage = maker.finish();
    const auto bounce = trace_bounce(stage);
    const BouncedState state =
        solve_bounce(*bounce, {source},
                     {std::make_shared<LensTransport>(trace_transport(stage, *bounce, source.lens))}, 0);
    double on_sheet = 0, on_wall = 0;
    for (std::uint32_t i = 0; i < bounce->patches.size(); ++i)
        (bounce->patches.reflectance[i].x > 0.4f ? on_wall : on_sheet) +=
            static_cast<double>(bounce->patches.area[i] * state.direct[i].g);
    const auto lumens = [](double half, double distance) {
        return 400 * std::atan(half * half / (distance * std::sqrt(2 * half * half + distance * distance)));
    };
    check_share("sheet", on_sheet, lumens(1, 6) / 2, 0.03);
    check_share("wall", on_wall, lumens(2, 7) - lumens(1, 6) / 2, 0.03);
}

TEST_CASE("bounce: on a window opposite a wall") {
    // A 6 x 4 m wall of 3 cd/m2 squarely opposite at 10 m gives pi L F = 0.66298 lx, F four times the factor
    // of a corner (Howell, element to parallel rectangle).
    StageMaker maker;
    StageMaker::add_quad(maker.stage->opaque, {glm::vec3(-3, 0, 0), {3, 0, 0}, {3, 0, 4}, {-3, 0, 4}},
                         maker.material(glm::vec3(0.6f)));
    const Stage& stage = maker.finish();
    const auto bounce = trace_bounce(stage);
    const auto lux = static_cast<float>(3 * pi / 0.6);
    const BouncedState state =
        solve_bounce(*bounce, light_patches(*bounce, lux, [](std::uint32_t) { return true; }), 0);
    Sensors windows;
    windows.add({0, -10, 2}, {0, 1, 0}, 1);
    windows.add({0, -10, 2}, {0, -1, 0}, 1);
    const std::vector<double> found = bounced_on_planes(*bounce, state, windows);
    check_share("window", found[0], 0.66298, 0.005);
    CHECK(found[1] == 0);
}

TEST_CASE("bounce: on planes that face all ways at one spot") {
    // The factor of a square 0.2 m wide from 1 m off, by quadrature: small, so that planes with rays of their
    // own would scatter, and the brightest of them with them.
    constexpr float half = 0.1f;
    StageMaker maker;
    StageMaker::add_quad(maker.stage->opaque,
                         {glm::vec3(-half, 0, -half), {half, 0, -half}, {half, 0, half}, {-half, 0, half}},
                         maker.material(glm::vec3(0.5f)));
    const auto bounce = trace_bounce(maker.finish());
    const BouncedState state =
        solve_bounce(*bounce, light_patches(*bounce, 1000, [](std::uint32_t) { return true; }), 0);
    Sensors planes;
    std::vector<double> exact;
    for (int i = 0; i < 72; ++i) {
        const double azimuth = 2 * pi * i / 72;
        planes.add({0, -1, 0}, {std::sin(azimuth), std::cos(azimuth), 0}, 0);
        constexpr int cells = 40;
        constexpr double size = 2.0 * half / cells;
        double factor = 0;
        for (int cell = 0; cell < cells * cells; ++cell) {
            const glm::dvec3 way((cell % cells + 0.5) * size - half, 1, (cell / cells + 0.5) * size - half);
            const double square = glm::dot(way, way);
            const double facing = way.x * std::sin(azimuth) + way.y * std::cos(azimuth);
            factor += std::max(0.0, facing) * way.y / (pi * square * square) * size * size;
        }
        exact.push_back(500 * factor);
    }
    const std::vector<double> found = bounced_on_planes(*bounce, state, planes);
    for (std::size_t i = 0; i < found.size(); ++i)
        CHECK(std::abs(found[i] - exact[i]) < 0.01 * exact[0]);
}

TEST_CASE("bounce: light on planes is the fixtures' alone") {
    // Light adds up: the ambient sky's part is taken off again.
    const auto stage = build_stage(make_wall_site(6, 4, 0.3), {});
    const LitFixture fixture = make_bulb({3, -0.5f, 0.2f}, 100);
    Sensors planes;
    planes.add({3, -8, 1.5f}, {0, 1, 0}, 1);
    std::vector<double> found;
    for (const double ambient : {0.0, 5.0}) {
        Lighting lighting = trace_lighting(*stage, {fixture});
        add_bounce(set_up_bounce(*stage, lighting.fixtures, ambient), lighting);
        found.push_back(lighting.bounced_on_planes(planes).at(0));
    }
    CHECK(found[0] > 0.01);
    CHECK(found[1] == doctest::Approx(found[0]).epsilon(2e-3)); // bounces end a little sooner or later
}

TEST_CASE("bounce: the same bytes from one thread and many") {
    const auto stage = build_stage(make_wall_site(6, 4, 0.3), {});
    std::vector<std::vector<double>> results;
    for (const int threads : {1, 4}) {
        const ThreadLimit limit(threads);
        Lighting lighting = trace_lighting(*stage, {make_bulb({3, -0.5f, 0.2f}, 100)});
        add_bounce(set_up_bounce(*stage, lighting.fixtures, 0.1), lighting);
        results.push_back(lighting.bounced_lx);
    }
    CHECK(results[0] == results[1]);
}

TEST_CASE("bounce: a new aim traces no ray and is what a fresh start gives") {
    const auto stage = build_stage(make_wall_site(6, 4, 0.3), {});
    LitFixture fixture = make_source({3, -0.5f, 0.2f}, 100);
    fixture.table = IntensityTable(make_cosine(24, 800), {});
    fixture.lumens = measure_leaving_lumens(fixture);
    Lighting lighting = trace_lighting(*stage, {fixture});
    const BounceSetup setup = set_up_bounce(*stage, lighting.fixtures, 0);
    add_bounce(setup, lighting);
    {
        const WithoutRays without(*stage);
        change_aim(lighting, 0, {.tilt = 0.3});
        add_bounce(setup, lighting);
    }
    Lighting fresh = trace_lighting(*stage, lighting.fixtures);
    add_bounce(set_up_bounce(*stage, fresh.fixtures, 0), fresh);
    CHECK(fresh.bounced_lx == lighting.bounced_lx);
}

// Fewer patches are read off by links, so that a single one may keep the scatter of its own rays.
TEST_CASE("bounce: rays for pictures alone give surfaces the same light, and sensors none") {
    Site site = make_wall_site(6, 4, 0.3);
    site.shrubs.push_back({.id = "hedge", .path = {{1, -1}, {3, -1}}, .width = 0.6, .height = 1});
    const auto stage = build_stage(site, {});
    REQUIRE(stage->leaves.size() > 0);
    const std::vector<LitFixture> fixtures{make_bulb({3, -0.5f, 0.2f}, 100)};
    const BounceSetup whole = set_up_bounce(*stage, fixtures, 0.1),
                      pictures = set_up_bounce(*stage, fixtures, 0.1, {}, BounceUse::pictures);
    const BouncedLight light = find_bounced_light(whole, fixtures),
                       same = find_bounced_light(pictures, fixtures);
    int lit = 0;
    double sum = 0, off = 0; // lux
    for (std::size_t i = 0; i < stage->sensors.size(); i += 7) {
        const glm::vec3 position = stage->sensors.position(i), normal = stage->sensors.normal(i);
        const Hit hit = stage->kernel->find_hit(step_off(position, normal), -normal, 0, 3 * surface_offset);
        const double lux = light(hit, position, normal).x, other = same(hit, position, normal).x;
        sum += lux;
        off += std::abs(other - lux);
        lit += lux > 0 ? 1 : 0;
    }
    CHECK(lit > 100);
    INFO("off by ", off, " of ", sum);
    CHECK(off < 0.002 * sum);
    Lighting lighting = trace_lighting(*stage, fixtures);
    CHECK_THROWS_AS(add_bounce(pictures, lighting), std::logic_error);
}
