// Light on reliefs, in glass and on water, as pictures show it.

#include <cmath>
#include <doctest/doctest.h>

#include "../../src/view/close_up.hpp"
#include "../../src/view/mirror.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/view/view_trace.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

Site make_clad_site(const Cladding cladding, const glm::dvec3& reflectance) {
    Site site{.is_as_new = true};
    Wall wall;
    wall.id = "wall";
    wall.path = {{0, 0}, {4, 0}};
    wall.height = 4;
    wall.finish = {"", reflectance};
    wall.cladding = cladding;
    site.walls = {wall};
    site.sensor_spacing = 1;
    site.ground_spacing = 2;
    return site;
}

View make_close_view(const glm::dvec3& eye, const glm::dvec3& look_at, double field_deg) {
    return {"test", eye, look_at, radians_from_degrees(field_deg)};
}

glm::dvec3 mean_of(const std::vector<glm::vec3>& pixels) {
    glm::dvec3 sum(0);
    for (const glm::vec3& pixel : pixels)
        sum += glm::dvec3(pixel) / static_cast<double>(pixels.size());
    return sum;
}

/// The same height field as triangles of a millimetre, over a rectangle of the wall y = 0.
Triangles make_field(const Relief& relief, const glm::dvec2& low, const glm::dvec2& high) {
    constexpr double step = 0.001;
    const auto columns = static_cast<unsigned>(std::lround((high.x - low.x) / step));
    const auto rows = static_cast<unsigned>(std::lround((high.y - low.y) / step));
    Triangles field;
    for (unsigned row = 0; row <= rows; ++row)
        for (unsigned column = 0; column <= columns; ++column) {
            const glm::vec2 at(low + step * glm::dvec2(column, row));
            field.vertices.emplace_back(at.x, -relief.height(at), at.y);
        }
    for (unsigned row = 0; row < rows; ++row)
        for (unsigned column = 0; column < columns; ++column) {
            const unsigned first = row * (columns + 1) + column, above = first + columns + 1;
            field.add({first, first + 1, above + 1}, 0, 0, false);
            field.add({first, above + 1, above}, 0, 0, false);
        }
    return field;
}

/// What an eye straight before sees of it, as a mean of reflectance x lux / pi: rays to the triangles and on
/// to the lamp of 100 cd, and with `reflects` on to the triangles once more and from there to the lamp.
double trace_field(const Relief& relief, const glm::dvec3& lamp, const glm::dvec2& low,
                   const glm::dvec2& high, bool reflects) {
    const double margin = 0.06;
    // Shadows come from the lamp's side.
    const glm::dvec2 to_lamp = glm::dvec2(lamp.x, lamp.z) - 0.5 * (low + high);
    const double reach = std::min(1.0, 1.2 * relief.depth() * glm::length(to_lamp) / -lamp.y);
    const glm::dvec2 way = glm::length(to_lamp) > 0.1 ? glm::normalize(to_lamp) : glm::dvec2(0);
    const Triangles field = make_field(relief, low - margin + glm::min(glm::dvec2(0), reach * way),
                                       high + margin + glm::max(glm::dvec2(0), reach * way));
    const Triangles none;
    const Leaves leaves;
    const std::vector<Material> materials(1);
    const RayKernel kernel(field, none, leaves, materials, {});
    const auto lux_at = [&](const glm::vec3& position, const glm::vec3& normal) {
        const glm::vec3 to = glm::vec3(lamp) - position;
        const double cosine = static_cast<double>(glm::dot(normal, glm::normalize(to)));
        if (cosine <= 0)
            return 0.0;
        std::vector<Ray> ray{make_ray(position + 2e-5f * normal, glm::vec3(lamp), 1)};
        kernel.find_occluded(ray, Coherence::incoherent);
        return ray[0].is_occluded() ? 0.0 : 100 * cosine / static_cast<double>(glm::dot(to, to));
    };
    const auto reflectance_at = [&](const glm::vec3& position) {
        return static_cast<double>(relief.spot({position.x, position.z}).reflectance.g);
    };
    Random random(7);
    constexpr int side = 220;
    double sum = 0;
    for (int y = 0; y < side; ++y)
        for (int x = 0; x < side; ++x) {
            const glm::dvec2 at = low + (glm::dvec2(x, y) + 0.5) / double(side) * (high - low);
            const Hit hit = kernel.find_hit({at.x, -1, at.y}, {0, 1, 0}, 0, 2);
            REQUIRE(hit);
            const glm::vec3 normal = hit.normal.y > 0 ? -hit.normal : hit.normal;
            const glm::vec3 position(at.x, -1 + hit.distance, at.y);
            double lux = lux_at(position, normal);
            if (reflects) { // one ray, as dense as its cosine
                const glm::vec3 onward = glm::normalize(normal + 0.9999f * glm::vec3(random.direction()));
                if (const Hit other = kernel.find_hit(position + 2e-5f * normal, onward, 1e-5f, 1)) {
                    const glm::vec3 there = position + 2e-5f * normal + other.distance * onward;
                    lux += reflectance_at(there) *
                           lux_at(there, glm::dot(other.normal, onward) > 0 ? -other.normal : other.normal);
                }
            }
            sum += reflectance_at(position) * lux / pi;
        }
    return sum / (side * side);
}

} // namespace

TEST_CASE("close-up: a block of a relief is as bright as its height field, traced as triangles") {
    // Brute force: triangles through the ray kernel. Masonry throws light into its joints, once; boards have
    // none, and light reflected within them is in neither.
    const glm::dvec2 low(1.02, 2.31), high(1.32, 2.58);
    const glm::dvec2 middle = 0.5 * (low + high);
    for (const Cladding cladding : {Cladding::brick, Cladding::stone_rubble, Cladding::lap_siding,
                                    Cladding::shingle, Cladding::stucco, Cladding::board_and_batten}) {
        const auto stage =
            build_stage(make_clad_site(cladding, make_finish("brick buff light").reflectance), ".");
        const Relief& relief = *stage->reliefs.at(0).relief;
        // From straight before; as uplights 15 in from the wall, 2 ft and 8 ft below; and from the side.
        for (const glm::dvec3& lamp :
             {glm::dvec3(middle.x, -6, middle.y), glm::dvec3(middle.x, -0.38, middle.y - 0.6),
              glm::dvec3(middle.x + 0.1, -0.38, 0.1), glm::dvec3(2.6, -0.4, middle.y)}) {
            const double wide = high.x - low.x, high_up = high.y - low.y, away = 20;
            const Camera camera =
                make_camera(make_close_view({middle.x, -away, middle.y}, {middle.x, 0, middle.y},
                                            degrees_from_radians(2 * std::atan(wide / 2 / away))),
                            100, static_cast<int>(std::lround(100 * high_up / wide)));
            const ViewImage image = trace_view(*stage, {test::make_point("L", glm::vec3(lamp))}, camera, 0,
                                               {}, {}, nullptr, Detail::fine);
            const double traced = trace_field(relief, lamp, low, high, relief.joint() > 0),
                         shown = mean_of(image.fine.luminance).g;
            const double flat = mean_of(image.luminance).g;
            INFO("cladding ", static_cast<int>(cladding), ", lamp ", -lamp.y, " m out: even wall ", flat);
            CHECK(shown == doctest::Approx(traced).epsilon(lamp.y < -1 ? 0.01 : 0.02).scale(0));
        }
    }
}

TEST_CASE("close-up: even light and the sky's on what is aslant and under a ledge") {
    // Of a uniform sky a plane gets (1 + cos of its tilt) / 2, of light from all sides before a wall the same
    // of its slant to the wall. An endless ledge that stands r out at d above hides the sky beyond the angle
    // whose sine is d / sqrt(d^2 + r^2); the integral of the cosine over what is left is that sine.
    struct Shape final : Relief {
        Shape(float rise, float ledge) : Relief(0.05f, 0), rise_(rise), ledge_(ledge) {}
        float height(const glm::vec2& at) const override {
            return -0.04f + rise_ * at.y + (at.y > 0 ? ledge_ : 0);
        }
        ReliefSpot spot(const glm::vec2&) const override { return {}; }
        float rise_, ledge_;
    };
    for (const double rise : {-1.5, -0.2, 0.0, 0.6}) {
        const Shape slope(static_cast<float>(rise), 0);
        const ReliefLight light(slope);
        const ReliefLight::Openness open = light.openness(light.point({0, 0.004f}));
        const double length = std::sqrt(1 + rise * rise), before = 1 / length, up = -rise / length;
        CHECK(open.round_about == doctest::Approx((1 + before) / 2).epsilon(0.002).scale(0));
        CHECK(open.sky == doctest::Approx(1 + up).epsilon(0.002).scale(0)); // the wall itself: a half
    }
    for (const double ledge : {0.002, 0.008, 0.02}) {
        const Shape shape(0, static_cast<float>(ledge));
        const ReliefLight light(shape);
        const double below = 0.0048, sine = below / std::hypot(below, ledge);
        const ReliefLight::Openness open = light.openness(light.point({0, -static_cast<float>(below)}));
        CHECK(open.sky == doctest::Approx(sine).epsilon(0.05).scale(0));
        CHECK(open.round_about == doctest::Approx((1 + sine) / 2).epsilon(0.05).scale(0));
        CHECK(light.openness(light.point({0, -0.02f})).sky == doctest::Approx(1));
    }
}

TEST_CASE("close-up: claddings show in the sky's light, and are as bright as the even wall") {
    for (const Cladding cladding : {Cladding::lap_siding, Cladding::shingle, Cladding::brick_painted}) {
        const auto stage = build_stage(make_clad_site(cladding, glm::dvec3(0.5)), ".");
        const Camera camera = make_camera(make_close_view({2, -6, 2}, {2, 0, 2}, 10), 200, 125);
        const ViewImage image = trace_view(*stage, {}, camera, 1, {}, {}, nullptr, Detail::fine);
        CHECK(mean_of(image.fine.luminance).g ==
              doctest::Approx(mean_of(image.luminance).g).epsilon(0.02).scale(0));
        float darkest = 1;
        for (const glm::vec3& pixel : image.fine.luminance)
            darkest = std::min(darkest, pixel.g);
        CHECK(static_cast<double>(darkest) < 0.85 * mean_of(image.luminance).g);
    }
}

TEST_CASE("close-up: from afar a relief is as bright as it is close by") {
    // Where a pixel is wider than a course the mean is shown; that of many pixels close by says what it is.
    for (const Cladding cladding : {Cladding::brick, Cladding::shingle, Cladding::stone_coursed}) {
        const auto stage = build_stage(make_clad_site(cladding, make_finish("sandstone").reflectance), ".");
        const LitFixture lamp = test::make_point("L", {1.0f, -0.6f, 0.1f});
        const auto look = [&](int width) {
            const Camera camera =
                make_camera(make_close_view({2, -30, 2.2}, {2, 0, 2.2}, 6), width, width / 2);
            return trace_view(*stage, {lamp}, camera, 0, {}, {}, nullptr, Detail::fine);
        };
        const ViewImage fine = look(400), coarse = look(10);
        for (int channel = 0; channel < 3; ++channel)
            CHECK(mean_of(coarse.fine.luminance)[channel] ==
                  doctest::Approx(mean_of(fine.fine.luminance)[channel]).epsilon(0.03).scale(0));
        // And none of the courses is left.
        const ViewImage middle = look(30);
        for (const glm::vec3& pixel : middle.fine.luminance)
            CHECK(pixel.g < 3 * middle.luminance[&pixel - middle.fine.luminance.data()].g);
    }
}

TEST_CASE("close-up: figures are of the even wall, bit for bit") {
    Site site = make_clad_site(Cladding::brick, make_finish("brick red common").reflectance);
    site.walls[0].openings = {{.id = "pane", .from = 1, .width = 1, .sill = 1, .height = 1.2}};
    const auto clad = build_stage(site, ".");
    site.walls[0].cladding.reset();
    const auto even = build_stage(site, ".");
    const LitFixture lamp = test::make_point("L", {1.0f, -0.4f, 0.1f});
    const Camera camera = make_camera(make_close_view({2, -6, 1.6}, {2, 0, 1.6}, 40), 80, 50);
    const ViewImage with = trace_view(*clad, {lamp}, camera, 0.1, {}, {}, nullptr, Detail::fine);
    const ViewImage without = trace_view(*even, {lamp}, camera, 0.1, {}, {}, nullptr, Detail::fine);
    CHECK(with.luminance == without.luminance);
    CHECK(with.sky_return == without.sky_return);
    CHECK(with.fine.luminance != with.luminance);
    CHECK(&with.drawn_sky() == &with.fine.sky_return);
    const ViewImage plain = trace_view(*clad, {lamp}, camera, 0.1); // nobody asked
    CHECK(plain.fine.luminance.empty());
    CHECK(&plain.drawn_luminance() == &plain.luminance);
}

TEST_CASE("close-up: a pane reflects the sky by Fresnel's formulas, and what it reflects it does not show") {
    // Dusk of luminance 1 / pi and a dark room: L = R(angle) / pi and a little of the room. Lit from inside,
    // the pane loses just what it reflects.
    Site site = make_clad_site(Cladding::stucco, glm::dvec3(0));
    site.walls[0].openings = {{.id = "pane",
                               .from = 0.5,
                               .width = 3,
                               .sill = 0.5,
                               .height = 3,
                               .reveal = 0,
                               .finish = make_finish("glass"),
                               .room = Room::dark}};
    const auto dark = build_stage(site, ".");
    site.walls[0].openings[0].room = Room::lit;
    const auto lit = build_stage(site, ".");
    for (const double degrees : {20.0, 75.0}) {
        const double angle = radians_from_degrees(degrees);
        const glm::dvec3 eye(2 + 8 * std::sin(angle), -8 * std::cos(angle), 1.0); // looks up: sees sky
        const Camera camera = make_camera(make_close_view(eye, {2, 0, 2.5}, 0.2), 3, 3);
        const glm::dvec3 way = camera.direction_at({1.5, 1.5});
        const double reflected = pane_reflection(std::abs(way.y), glass_index);
        const ViewImage image = trace_view(*dark, {}, camera, 1, {}, {}, nullptr, Detail::fine);
        const double sky = 1 / pi, shown = luminance_of(glm::dvec3(image.fine.luminance[4]));
        CHECK(shown > reflected * sky);
        CHECK(shown < reflected * sky + 0.04 * 0.5 * sky); // half the sky on what reflects 4 % at most
        CHECK(luminance_of(glm::dvec3(image.fine.sky_return[4])) ==
              doctest::Approx(shown).epsilon(1e-4).scale(0));
        // Light from inside: the same factor of the pane's even luminance as (1 - R) / (1 - R square-on).
        const ViewImage inside = trace_view(*lit, {}, camera, 0, {}, {}, nullptr, Detail::fine);
        const Relief* relief = nullptr;
        for (const ReliefArea& area : lit->reliefs)
            if (lit->surfaces[area.surface].kind == SurfaceKind::opening)
                relief = area.relief.get();
        REQUIRE(relief);
        const double glow = relief->spot({1.5f, 2.0f}).glow;
        CHECK(luminance_of(glm::dvec3(inside.fine.luminance[4])) ==
              doctest::Approx(8 * glow * (1 - reflected) / (1 - pane_reflection(1, glass_index)))
                  .epsilon(0.02)
                  .scale(0));
    }
}

TEST_CASE("close-up: still water reflects the sky by Fresnel's formulas at two angles") {
    // From so far that ripples are finer than a pixel; black water otherwise.
    Site site{.is_as_new = true};
    site.ground.areas = {{.id = "pond",
                          .kind = GroundKind::water,
                          .outline = {{-400, -400}, {400, -400}, {400, 400}, {-400, 400}},
                          .finish = Finish{"", glm::dvec3(0)}}};
    site.ground_spacing = 10;
    const auto stage = build_stage(site, ".");
    for (const double degrees : {0.5, 60.0, 80.0}) {
        const double angle = radians_from_degrees(degrees);
        const Camera camera = make_camera(
            make_close_view({100 * std::sin(angle), 0, 100 * std::cos(angle)}, glm::dvec3(0), 2), 3, 3);
        const ViewImage image = trace_view(*stage, {}, camera, 1, {}, {}, nullptr, Detail::fine);
        CHECK(luminance_of(glm::dvec3(image.fine.luminance[4])) ==
              doctest::Approx(face_reflection(std::cos(angle), water_index) / pi).epsilon(0.02).scale(0));
        CHECK(luminance_of(glm::dvec3(image.luminance[4])) == 0);
    }
}

TEST_CASE("close-up: a fountain's water reflects the sky by Fresnel's formulas") {
    Site site{.is_as_new = true};
    site.fountains = {
        {.id = "basin", .width = 29, .rim = 0.5, .bowls = 0, .finish = Finish{"", glm::dvec3(0)}}};
    site.ground_spacing = 10;
    const auto stage = build_stage(site, ".");
    const double angle = radians_from_degrees(60), water = 0.5 - 2.5 * metres_per_inch;
    const Camera camera =
        make_camera(make_close_view({100 * std::sin(angle), 0, water + 100 * std::cos(angle)},
                                    glm::dvec3(0, 0, water), 2),
                    3, 3);
    const ViewImage image = trace_view(*stage, {}, camera, 1, {}, {}, nullptr, Detail::fine);
    // Below its mirror it returns four hundredths of what enters it.
    const double reflected = face_reflection(std::cos(angle), water_index);
    const double own = 0.04 * (1 - reflected) / (1 - face_reflection(1, water_index));
    CHECK(luminance_of(glm::dvec3(image.fine.luminance[4])) ==
          doctest::Approx((reflected + own) / pi).epsilon(0.02).scale(0));
}

TEST_CASE("close-up: water shows what stands beyond it upside down") {
    // A glowing wall: its foot is seen at the water's edge, and where the mirrored ray passes over it, sky.
    Site site = make_clad_site(Cladding::stucco, glm::dvec3(0));
    site.walls[0].cladding.reset();
    site.walls[0].openings = {{.id = "pane",
                               .from = 0,
                               .width = 4,
                               .sill = 0,
                               .height = 4,
                               .reveal = 0,
                               .finish = {"", glm::dvec3(0)},
                               .glow = Glow{.luminance = 50}}};
    site.ground.areas = {{.id = "pond",
                          .kind = GroundKind::water,
                          .outline = {{-40, -40}, {40, -40}, {40, -1}, {-40, -1}},
                          .finish = Finish{"", glm::dvec3(0)}}};
    const auto stage = build_stage(site, ".");
    const auto look = [&](double y) {
        const glm::dvec3 eye(2, -20, 3);
        const Camera camera = make_camera(make_close_view(eye, {2, y, 0}, 0.02), 3, 3);
        const double seen = luminance_of(
            glm::dvec3(trace_view(*stage, {}, camera, 0, {}, {}, nullptr, Detail::fine).fine.luminance[4]));
        return std::pair(seen, 50 * face_reflection(3 / std::hypot(3, y + 20), water_index));
    };
    const auto [seen, wanted] = look(-2);                          // the mirrored ray meets the wall at 1/3 m
    CHECK(seen == doctest::Approx(wanted).epsilon(0.25).scale(0)); // ripples turn it a little
    CHECK(look(-18).first < 0.01 * wanted);                        // it passes over the wall
}
