// How fixtures' bodies are lit by what glows and by what stands round about, against closed forms: a matt
// sphere sends lumens / 4 pi cd every way; in surroundings of even luminance L a face has rho L.

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/fixture_bodies.hpp"
#include "duskcast/view/see.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

/// An upright can 0.1 m wide at the lens, 6 m before a black wall.
Site make_can_site() {
    Site site{.is_as_new = true};
    site.walls = {{.id = "wall", .path = {{-4, 0}, {4, 0}}, .height = 5, .finish = {"", glm::dvec3(0)}}};
    site.fixtures = {{.id = "up",
                      .kind = FixtureKind::bullet,
                      .at = glm::dvec2(0, -6),
                      .lens_height = 0.3,
                      .lens_diameter = 0.1}};
    site.sensor_spacing = 1;
    site.ground_spacing = 2;
    return site;
}

/// Two metres before it, at half its height; its middle is the image's.
Camera make_can_camera() {
    return make_camera({"eye", {0, -8, 0.22}, {0, -6, 0.22}, radians_from_degrees(20)}, 101, 81);
}

glm::dvec3 middle_of(const ViewImage& image, const std::vector<glm::vec3>& pixels) {
    return glm::dvec3(pixels[image.pixel_at(50, 40)]);
}

} // namespace

TEST_CASE("bodies: a lantern lights the side towards it by E = lumens / 4 pi d^2") {
    Site site = make_can_site();
    for (const double away : {2.5, 4.0}) {
        CAPTURE(away);
        Lantern lantern{.id = "lantern", .at = glm::dvec3(0, -6 - 0.0625 - away, 0.22), .width = 0.05};
        lantern.glow.lumens = 800;
        site.lanterns = {lantern};
        const auto stage = build_stage(site, ".");
        const Camera camera = make_can_camera();
        const FixtureBodies bodies = build_fixture_bodies(site);
        const ViewImage shown = show_bodies(bodies, *stage, {}, 0, {}, trace_view(*stage, {}, camera, 0));
        const double lux = 800 / (4 * pi * away * away);
        const glm::dvec3 wanted =
            glm::dvec3(bodies.parts->materials[0].reflectance) * lux / pi * light_colour(2700);
        const glm::dvec3 found = middle_of(shown, shown.luminance);
        CHECK(luminance_of(found) == doctest::Approx(luminance_of(wanted)).epsilon(0.03).scale(0));
        CHECK(found.r / found.b ==
              doctest::Approx(wanted.r / wanted.b).epsilon(0.01).scale(0)); // its own colour
        // Something in the way leaves nothing of it.
        Site hidden = site;
        hidden.walls.push_back(
            {.id = "screen", .path = {{-1, -6.5}, {1, -6.5}}, .height = 1, .finish = {"", glm::dvec3(0)}});
        hidden.sensor_spacing = 0.5;
        const auto dark = build_stage(hidden, ".");
        const Camera over =
            make_camera({"eye", {0, -6.4, 0.22}, {0, -6, 0.22}, radians_from_degrees(20)}, 101, 81);
        const ViewImage unlit = show_bodies(bodies, *dark, {}, 0, {}, trace_view(*dark, {}, over, 0));
        CHECK(luminance_of(middle_of(unlit, unlit.luminance)) < 1e-6);
    }
}

TEST_CASE("bodies: within even surroundings a body has rho L, and half of that over lit ground alone") {
    // A court 40 m wide with walls 120 m high, seen from inside: no ray round about leads to the sky.
    Site site = make_can_site();
    Wall court{.id = "court", .path = {{-20, -26}, {-20, 14}, {20, 14}, {20, -26}}, .closed = true};
    court.height = 120;
    court.finish = {"", glm::dvec3(0.4)};
    site.walls = {court};
    site.sensor_spacing = 4;
    site.ground.margin = 1;
    const auto stage = build_stage(site, ".");
    const Camera camera = make_can_camera();
    const FixtureBodies bodies = build_fixture_bodies(site);
    const glm::dvec3 reflectance(bodies.parts->materials[0].reflectance);
    const auto body_in = [&](const std::function<double(const glm::vec3&)>& luminance) {
        const BouncedLight bounced = [&](const Hit& hit, const glm::vec3& at, const glm::vec3&) {
            return luminance(at) * pi / glm::dvec3(stage->reflectance_at(hit, at));
        };
        const ViewImage image = trace_view(*stage, {}, camera, 0, bounced);
        const ViewImage shown = show_bodies(bodies, *stage, {}, 0, bounced, image);
        return middle_of(shown, shown.luminance);
    };
    const glm::dvec3 even = body_in([](const glm::vec3&) { return 3.0; });
    for (int channel = 0; channel < 3; ++channel)
        CHECK(even[channel] == doctest::Approx(3 * reflectance[channel]).epsilon(1e-4).scale(0));
    // Eight rays: a half to within one of them.
    const glm::dvec3 below = body_in([](const glm::vec3& at) { return at.z < 0.01f ? 3.0 : 0.0; });
    CHECK(std::abs(below.g / even.g - 0.5) <= 0.126);
    const glm::dvec3 above = body_in([](const glm::vec3& at) { return at.z < 0.01f ? 0.0 : 3.0; });
    for (int channel = 0; channel < 3; ++channel)
        CHECK(below[channel] + above[channel] == doctest::Approx(even[channel]).epsilon(1e-4).scale(0));
}

TEST_CASE("bodies: under the open sky the upper half of a body's surroundings is the sky's") {
    Site site = make_can_site();
    site.walls.clear();
    site.ground.margin = 60;
    site.ground_spacing = 10;
    const auto stage = build_stage(site, ".");
    const FixtureBodies bodies = build_fixture_bodies(site);
    constexpr double ambient = 4;
    const BouncedLight black = [](const Hit&, const glm::vec3&, const glm::vec3&) { return glm::dvec3(0); };
    const ViewImage image = trace_view(*stage, {}, make_can_camera(), ambient, black);
    const ViewImage shown = show_bodies(bodies, *stage, {}, ambient, black, image);
    const glm::dvec3 found = middle_of(shown, shown.luminance);
    const glm::dvec3 whole = glm::dvec3(bodies.parts->materials[0].reflectance) * ambient *
                             glm::dvec3(open_sky_return()); // rho L of the whole sky
    for (int channel = 0; channel < 3; ++channel)
        CHECK(std::abs(found[channel] / whole[channel] - 0.5) <= 0.126);
}

TEST_CASE("bodies: they stand in the fine picture as in the plain one") {
    Site site = make_can_site();
    site.walls[0].cladding = Cladding::brick;
    site.walls[0].finish = {"", glm::dvec3(0.3)};
    const auto stage = build_stage(site, ".");
    const LitFixture lamp = test::make_point("lamp", {0, -9, 0.22});
    const ViewImage image = trace_view(*stage, {lamp}, make_can_camera(), 0.2, {}, {}, nullptr, Detail::fine);
    REQUIRE_FALSE(image.fine.luminance.empty());
    const ViewImage shown = show_bodies(build_fixture_bodies(site), *stage, {lamp}, 0.2, {}, image);
    const glm::dvec3 body = middle_of(shown, shown.luminance);
    CHECK(luminance_of(body) > 0);
    CHECK(middle_of(shown, shown.fine.luminance) == body);
    CHECK(middle_of(shown, shown.fine.sky_return) == middle_of(shown, shown.sky_return));
    CHECK(middle_of(shown, shown.fine.sun_return) == middle_of(shown, shown.sun_return));
    const std::size_t corner = shown.pixel_at(0, 0); // the wall, as it was
    CHECK(shown.fine.luminance[corner] == image.fine.luminance[corner]);
}

TEST_CASE("a report with views holds what each of its parts says") {
    Site site = make_can_site();
    site.targets = {{.id = "front", .on = "wall"}};
    site.views = {{.id = "lawn", .eye = {0, -15, 1.6}, .look_at = {0, 0, 2}}};
    Lamp lamp{.id = "spot", .watts = 5};
    lamp.figures.lumens = 400;
    lamp.figures.beam_angle = radians_from_degrees(40);
    site.lamps = {lamp};
    site.fixtures[0].lamp = "spot";
    site.fixtures[0].tilt = radians_from_degrees(60);
    const auto stage = build_stage(site, ".");
    const Lighting lighting = trace_lighting(*stage, FixtureMaker(".").make_all(site));
    const Report report = measure_with_views(site, ".", *stage, lighting, {}, 0.25);
    CHECK(report.lit_luminance == 0.25);
    const std::vector<SeenFeature> seen =
        look_from_views(site, *stage, site.views, lighting.fixtures, lighting.bounced_at, 0.25);
    REQUIRE(report.seen.size() == seen.size());
    REQUIRE(seen.size() == 1);
    CHECK(report.seen[0].feature == "front");
    CHECK(report.seen[0].luminance == seen[0].luminance);
    CHECK(report.seen[0].from.view == "lawn");
}
