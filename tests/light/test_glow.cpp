// What glows, against configuration factors, and against traced paths.

#include <cmath>

#include "duskcast/light/glow.hpp"
#include "duskcast/light/reference.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "make_stage.hpp"

using namespace duskcast;

namespace {

/// 1 cd/m2 in the open.
GlowSource make_source(std::vector<GlowFace> faces) {
    GlowSource source{.faces = std::move(faces), .luminance = glm::dvec3(1)};
    for (const GlowFace& face : source.faces)
        source.area += face.area;
    return source;
}

std::unique_ptr<Stage> make_stage_of(GlowSource source) {
    auto stage = make_empty_stage();
    stage->surfaces.push_back({.id = "glow", .kind = SurfaceKind::lantern, .part_of = "glow"});
    stage->glow_sources.push_back(std::move(source));
    return stage;
}

/// Configuration factor of a facet to the source: E / (pi L).
double factor_of(const GlowSource& source, const glm::dvec3& position, const glm::dvec3& normal) {
    const auto stage = make_stage_of(source);
    return GlowLight(*stage, stage->glow_sources[0]).open_lux(position, normal) / pi;
}

/// A disk of many sides at z = 0 that gives light upwards.
GlowSource make_disk(double radius) {
    constexpr int sides = 2000;
    std::vector<glm::dvec3> corners;
    for (int i = 0; i < sides; ++i)
        corners.emplace_back(radius * std::cos(2 * pi * i / sides), radius * std::sin(2 * pi * i / sides), 0);
    return make_source({GlowFace(corners)});
}

/// From the origin along x and y, at z = 0, upwards.
GlowSource make_rectangle(double a, double b) {
    return make_source({GlowFace({{0, 0, 0}, {a, 0, 0}, {a, b, 0}, {0, b, 0}})});
}

Site make_lantern_site(LanternForm form, const Glow& glow) {
    Site site;
    site.units = LengthUnit::metre;
    site.ground_spacing = 0.5;
    site.ground.margin = 1;
    site.lanterns = {{.id = "lantern",
                      .form = form,
                      .at = glm::dvec3(0, 0, 3),
                      .width = 0.2,
                      .height = 0.3,
                      .depth = 0.1,
                      .turn = 0.4,
                      .glow = glow}};
    return site;
}

/// A wall with a lit window behind a post, a lantern and a lit pool.
Site make_evening_site() {
    Site site = make_wall_site(5, 3, 0.4);
    site.ground_spacing = 0.5;
    site.ground.margin = 2;
    site.walls[0].openings = {{.id = "window",
                               .from = 1,
                               .width = 1.2,
                               .sill = 0.6,
                               .height = 1.5,
                               .finish = {.reflectance = glm::dvec3(0.08)},
                               .glow = Glow{.luminance = 80}}};
    Wall post;
    post.id = "post";
    post.path = {{1.8, -1}, {1.8, -1.3}, {2.1, -1.3}, {2.1, -1}};
    post.closed = true;
    post.height = 2;
    site.walls.push_back(post);
    site.lanterns = {{.id = "lantern",
                      .form = LanternForm::cylinder,
                      .wall = "wall",
                      .along = 4,
                      .up = 1.8,
                      .width = 0.12,
                      .height = 0.2,
                      .glow = {.lumens = 400, .cct = 2200}}};
    site.ground.areas = {{.id = "pool",
                          .kind = GroundKind::water,
                          .outline = {{0, -3}, {2, -3}, {2, -2}, {1, -2.5}, {0, -2}}, // not convex
                          .glow = Glow{.luminance = 15}}};
    return site;
}

} // namespace

TEST_CASE("a glowing disk has the configuration factors of Howell's catalogue") {
    // Element parallel to the disk on its axis r^2 / (r^2 + h^2); at a from the axis, with H = h / a, R = r /
    // a and Z = 1 + H^2 + R^2: (1 - (Z - 2 R^2) / sqrt(Z^2 - 4 R^2)) / 2; element square to the disk and
    // facing the axis: H (Z / sqrt(Z^2 - 4 R^2) - 1) / 2 (B-12 to B-16, from memory).
    for (const double radius : {0.05, 0.5, 3.0}) {
        const GlowSource disk = make_disk(radius);
        for (const double h : {0.2, 1.0, 4.0}) {
            CAPTURE(radius);
            CAPTURE(h);
            CHECK(factor_of(disk, {0, 0, h}, {0, 0, -1}) ==
                  doctest::Approx(radius * radius / (radius * radius + h * h)).epsilon(2e-4));
            for (const double a : {0.7, 2.5, 10.0}) {
                CAPTURE(a);
                const double bigH = h / a, bigR = radius / a, z = 1 + bigH * bigH + bigR * bigR;
                const double root = std::sqrt(z * z - 4 * bigR * bigR);
                CHECK(factor_of(disk, {a, 0, h}, {0, 0, -1}) ==
                      doctest::Approx((1 - (z - 2 * bigR * bigR) / root) / 2).epsilon(2e-4));
                if (a > radius) // the whole disk is before the element
                    CHECK(factor_of(disk, {a, 0, h}, {-1, 0, 0}) ==
                          doctest::Approx(bigH / 2 * (z / root - 1)).epsilon(2e-4));
            }
        }
    }
    CHECK(factor_of(make_disk(1), {0, 0, -1}, {0, 0, 1}) == 0);  // its dark side
    CHECK(factor_of(make_disk(1), {0, 0, 1}, {0, 0, 1}) == 0);   // the element's back
    CHECK(factor_of(make_disk(1), {0.5, 0, 0}, {0, 0, 1}) == 0); // in its plane
}

TEST_CASE("a glowing rectangle has the configuration factors of Howell's catalogue") {
    // Element at c before a corner of a x b: parallel, with A = a / c and B = b / c,
    // (A / sqrt(1 + A^2) atan(B / sqrt(1 + A^2)) + B / sqrt(1 + B^2) atan(A / sqrt(1 + B^2))) / 2 pi (B-3);
    // square to it and to the side b, facing along a: (atan(b / c) - c / sqrt(a^2 + c^2) atan(b / sqrt(a^2 +
    // c^2))) / 2 pi (B-4).
    for (const double a : {0.3, 1.2, 6.0})
        for (const double b : {0.5, 2.0})
            for (const double c : {0.1, 1.0, 8.0}) {
                const GlowSource rectangle = make_rectangle(a, b);
                const double A = a / c, B = b / c, rootA = std::sqrt(1 + A * A), rootB = std::sqrt(1 + B * B);
                const double parallel =
                    (A / rootA * std::atan(B / rootA) + B / rootB * std::atan(A / rootB)) / (2 * pi);
                const double far_edge = std::hypot(a, c);
                const double square = (std::atan(b / c) - c / far_edge * std::atan(b / far_edge)) / (2 * pi);
                CAPTURE(a);
                CAPTURE(b);
                CAPTURE(c);
                CHECK(factor_of(rectangle, {0, 0, c}, {0, 0, -1}) == doctest::Approx(parallel).epsilon(2e-4));
                CHECK(factor_of(rectangle, {0, 0, c}, {1, 0, 0}) == doctest::Approx(square).epsilon(2e-4));
                // In the middle the element's plane cuts a rectangle twice as wide in halves.
                const GlowSource wide =
                    make_source({GlowFace({{-a, 0, 0}, {a, 0, 0}, {a, b, 0}, {-a, b, 0}})});
                CHECK(factor_of(wide, {0, 0, c}, {1, 0, 0}) == doctest::Approx(square).epsilon(2e-4));
            }
}

TEST_CASE("an outline that is not convex gives what its parts give together") {
    const GlowSource notched =
        make_source({GlowFace({{0, 0, 0}, {2, 0, 0}, {2, 1, 0}, {1, 1, 0}, {1, 2, 0}, {0, 2, 0}})});
    const glm::dvec3 normal = glm::normalize(glm::dvec3(0.3, -0.2, -1));
    const GlowSource low = make_rectangle(2, 1);
    const GlowSource high = make_source({GlowFace({{0, 1, 0}, {1, 1, 0}, {1, 2, 0}, {0, 2, 0}})});
    CHECK(notched.area == doctest::Approx(3));
    for (const glm::dvec3 at : {glm::dvec3(0.5, 0.5, 0.4), glm::dvec3(1.7, 1.8, 1), glm::dvec3(-3, 5, 0.2)}) {
        const double parts = factor_of(low, at, normal) + factor_of(high, at, normal);
        CHECK(factor_of(notched, at, normal) == doctest::Approx(parts).epsilon(1e-9));
    }
}

TEST_CASE("lanterns give their lumens to a box round them") {
    // Definition of the lumen: flux is the integral of illuminance over any closed surface.
    const Sensors sensors = make_box_sensors({0, 0, 3}, 40);
    for (const LanternForm form : {LanternForm::sphere, LanternForm::cylinder, LanternForm::box}) {
        const auto stage = build_stage(make_lantern_site(form, {.lumens = 500}), {});
        double flux = 0;
        const std::vector<glm::dvec3> lux = trace_glow(*stage, sensors);
        for (std::size_t i = 0; i < lux.size(); ++i)
            flux += luminance_of(lux[i]) * static_cast<double>(sensors.area[i]);
        CAPTURE(static_cast<int>(form));
        CHECK(flux == doctest::Approx(500).epsilon(2e-3));
        CHECK(stage->glow_sources[0].lumens() == doctest::Approx(500).epsilon(1e-6));
    }
}

TEST_CASE("a street lamp gives what a small matt face does below it, and nothing above") {
    // E = lumens / pi cos^4 / h^2 on the level of a face that is small beside its height h (Lambert).
    Site site = make_lantern_site(LanternForm::box, {.lumens = 3000});
    site.lanterns[0].is_hooded = true;
    site.lanterns[0].at = glm::dvec3(0, 0, 5);
    site.lanterns[0].pole = Pole{.arm = 1.2};
    const auto stage = build_stage(site, {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    const double h = 5 - 0.15, luminance = luminance_of(stage->glow_sources[0].luminance);
    for (const double off : {0.0, 1.0, 3.0, 8.0}) {
        CAPTURE(off);
        const double cosine = h / std::sqrt(h * h + off * off);
        CHECK(luminance * light.open_lux({off, 0, 0}, {0, 0, 1}) ==
              doctest::Approx(3000 / pi * std::pow(cosine, 4) / (h * h)).epsilon(2e-3));
    }
    CHECK(light.open_lux({1, 0, 5}, {-1, 0, 0}) == 0);
    CHECK(light.open_lux({0, 0, 8}, {0, 0, -1}) == 0);
}

TEST_CASE("a glowing sphere has the factor of a sphere, also where the facet's plane cuts it") {
    // (r / d)^2 cos; at right angles (atan(1 / s) - s / H^2) / pi with H = d / r, s = sqrt(H^2 - 1) (Howell's
    // catalogue, sphere to element, from memory).
    const auto stage = build_stage(make_lantern_site(LanternForm::sphere, {.luminance = 1000}), {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    const double r = 0.1;
    for (const double d : {0.15, 0.3, 1.0, 5.0}) {
        const double big = d / r, s = std::sqrt(big * big - 1);
        CAPTURE(d);
        CHECK(light.open_lux({d, 0, 3}, {-1, 0, 0}) / pi == doctest::Approx(1 / (big * big)).epsilon(1e-6));
        CHECK(light.open_lux({d, 0, 3}, {0, 0, 1}) / pi ==
              doctest::Approx((std::atan(1 / s) - s / (big * big)) / pi).epsilon(0.02));
    }
}

TEST_CASE("a pane set back is seen through its opening alone") {
    // Brute force: the pane in small pieces, each seen where its line to the facet passes through the hole.
    // Their edges are off by half a piece, which counts where little is seen.
    Site site = make_wall_site(4, 3, 1);
    site.walls[0].openings = {{.id = "pane",
                               .from = 1,
                               .width = 1.2,
                               .sill = 0.6,
                               .height = 1.5,
                               .reveal = 0.1,
                               .glow = Glow{.luminance = 80}}};
    const auto stage = build_stage(site, {});
    Sensors sensors;
    for (const double x : {-1.5, 0.75, 1.75, 4.0})
        for (const double y : {-0.2, -0.75, -3.0}) {
            sensors.add({x, y, 0}, {0, 0, 1}, 1);
            sensors.add({x, y, 1.1}, {0, 1, 0}, 1);
        }
    const std::vector<glm::dvec3> lux = trace_glow(*stage, sensors);
    for (std::size_t s = 0; s < lux.size(); ++s) {
        const glm::dvec3 at(sensors.position(s)), normal(sensors.normal(s));
        constexpr int pieces = 400;
        double sum = 0;
        for (int i = 0; i < pieces; ++i)
            for (int k = 0; k < pieces; ++k) {
                const glm::dvec3 spot(1 + 1.2 * (i + 0.5) / pieces, 0.1, 0.6 + 1.5 * (k + 0.5) / pieces);
                const glm::dvec3 way = spot - at, hole = at - at.y / way.y * way;
                const bool is_seen = hole.x > 1 && hole.x < 2.2 && hole.z > 0.6 && hole.z < 2.1;
                const double square = glm::dot(way, way), above = glm::dot(way, normal);
                if (is_seen && above > 0)
                    sum += 80 * 1.8 / (pieces * pieces) * above * way.y / (square * square);
            }
        CAPTURE(at.x);
        CAPTURE(at.y);
        CAPTURE(at.z);
        CHECK(luminance_of(lux[s]) == doctest::Approx(sum).epsilon(0.01).scale(0.5));
    }
}

TEST_CASE("a screen before half of a lit pane takes half of its light away") {
    // Nothing but the part that is not covered gives light: the factor of half the rectangle.
    Site site = make_wall_site(4, 3, 1);
    site.walls[0].openings = {{.id = "pane",
                               .from = 1,
                               .width = 2,
                               .sill = 0.5,
                               .height = 2,
                               .reveal = 0,
                               .glow = Glow{.luminance = 100}}};
    Wall screen;
    screen.id = "screen";
    screen.path = {{2, -0.005}, {4, -0.005}};
    screen.height = 3;
    site.walls.push_back(screen);
    const auto stage = build_stage(site, {});
    const GlowSource open = make_source({GlowFace({{1, 0, 0.5}, {2, 0, 0.5}, {2, 0, 2.5}, {1, 0, 2.5}})});
    Sensors sensors;
    for (const double x : {-1.0, 0.5, 1.5, 2.5})
        for (const double y : {-0.7, -2.0, -6.0}) {
            sensors.add({x, y, 0.001}, {0, 0, 1}, 1);
            sensors.add({x, y, 1.5}, {0, 1, 0}, 1);
        }
    const std::vector<glm::dvec3> lux = trace_glow(*stage, sensors);
    double mean = 0, worst = 0;
    for (std::size_t i = 0; i < lux.size(); ++i) {
        const double exact =
            100 * pi * factor_of(open, glm::dvec3(sensors.position(i)), glm::dvec3(sensors.normal(i)));
        const double off = luminance_of(lux[i]) / exact - 1;
        mean += off / static_cast<double>(lux.size());
        worst = std::max(worst, std::abs(off));
    }
    MESSAGE("64 spots: mean error ", mean, ", worst ", worst);
    CHECK(std::abs(mean) < 0.02);
    CHECK(worst < 0.06);
}

TEST_CASE("what glows agrees with traced paths, direct and bounced") {
    // The paths meet glowing facets by chance and know nothing of spots or polygons. One thing at a time: a
    // path's direct light is then pi L or nothing, and of n paths has the standard error
    // sqrt(E (pi L - E) / n).
    const Site site = make_evening_site();
    constexpr int paths = 4000;
    for (const int kept : {0, 1, 2}) {
        Site single = site;
        if (kept != 0)
            single.walls[0].openings[0].glow.reset();
        if (kept != 1)
            single.lanterns[0].glow = {.luminance = 0};
        if (kept != 2)
            single.ground.areas[0].glow.reset();
        const auto stage = build_stage(single, {});
        REQUIRE(stage->glow_sources.size() == 1);
        const double most = pi * luminance_of(stage->glow_sources[0].luminance);
        Lighting lighting = trace_lighting(*stage, {});
        add_bounce(set_up_bounce(*stage, {}, 0), lighting);
        std::vector<std::uint32_t> sensors;
        for (std::uint32_t i = 3; i < stage->sensors.size(); i += 3)
            sensors.push_back(i);
        double off = 0, squares = 0, ours = 0, theirs = 0, ours_bounced = 0, theirs_bounced = 0;
        double direct_variance = 0, variance = 0;
        int count = 0;
        for (const ReferenceLight& light : trace_reference(*stage, {}, {.paths = paths}, sensors)) {
            const std::uint32_t i = light.sensor;
            const double area = static_cast<double>(stage->sensors.area[i]), lux = lighting.direct_lx[i];
            if (lux * paths > 10 * most) { // ten hits and more
                const double error = std::sqrt(lux * (most - lux) / paths);
                off += (lux - light.direct_lx) / error;
                squares += std::pow((lux - light.direct_lx) / error, 2);
                ++count;
            }
            ours += area * lux;
            theirs += area * light.direct_lx;
            ours_bounced += area * lighting.bounced_lx[i];
            theirs_bounced += area * light.bounced_lx;
            direct_variance += area * area * lux * (most - lux) / paths;
            variance += std::pow(area * light.bounced_error_lx, 2);
        }
        REQUIRE(count > 3);
        const double bounced_off = (ours_bounced - theirs_bounced) / theirs_bounced;
        CAPTURE(kept);
        MESSAGE(count, " sensors; direct off by ", off / count, " errors in the mean, ",
                std::sqrt(squares / count), " rms; sums ", ours / theirs, " direct, ", 1 + bounced_off,
                " bounced +- ", std::sqrt(variance) / theirs_bounced);
        CHECK(std::abs(off) < 4 * std::sqrt(count));
        CHECK(std::sqrt(squares / count) < 1.4);
        CHECK(std::abs(ours - theirs) < 0.02 * theirs + 3 * std::sqrt(direct_variance));
        CHECK(std::abs(bounced_off) < 0.04 + 3 * std::sqrt(variance) / theirs_bounced);
    }
}

TEST_CASE("what glows adds to the fixtures' light and is told apart") {
    Site site = make_evening_site();
    const auto stage = build_stage(site, {});
    LitFixture lamp;
    lamp.lens.centre = {2, -2, 1};
    lamp.table = IntensityTable(make_isotropic(), {});
    const Lighting both = trace_lighting(*stage, {lamp}), alone = trace_lighting(*stage, {});
    CHECK(alone.direct_lx == alone.glow_lx);
    const std::vector<float> layer = fixture_layer(both, 0);
    for (std::size_t i = 0; i < layer.size(); i += 11)
        CHECK(both.direct_lx[i] ==
              doctest::Approx(alone.direct_lx[i] + static_cast<double>(layer[i])).epsilon(1e-12));
    // The planes get the fixtures' bounced light without that of what glows.
    Sensors plane;
    plane.add({2, -4, 1.5}, {0, 1, 0}, 1);
    Lighting glowing = alone;
    add_bounce(set_up_bounce(*stage, {}, 0), glowing);
    CHECK(glowing.bounced_on_planes(plane)[0] == 0);
    CHECK(glowing.energy.sky == doctest::Approx(glowing.energy.sky_steady));
    // A site where nothing glows has none.
    site.lanterns.clear();
    site.ground.areas.clear();
    site.walls[0].openings[0].glow.reset();
    const auto dark = build_stage(site, {});
    CHECK(dark->glow_sources.empty());
    CHECK(trace_lighting(*dark, {}).glow_lx.empty());
}
