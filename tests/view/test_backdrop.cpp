// What night pictures show behind a property.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/backdrop.hpp"
#include "folder.hpp"

using namespace duskcast;

namespace {

double luminance_up(const Backdrop& backdrop, double degrees) {
    const double up = radians_from_degrees(degrees);
    return luminance_of(backdrop.light_from({0, std::cos(up), std::sin(up)}));
}

} // namespace

TEST_CASE("backdrop: the sky is brightest low down and falls without a step up to the zenith") {
    for (const NightSky sky : {NightSky::late, NightSky::blue_hour, NightSky::dusk}) {
        const Backdrop backdrop(sky);
        double before = luminance_up(backdrop, 10);
        for (double up = 10.1; up <= 90; up += 0.1) {
            const double now = luminance_up(backdrop, up);
            CHECK(now < before);
            CHECK(before - now < 0.02 * before); // a tenth of a degree: less than a step of eight bits
            before = now;
        }
    }
    CHECK(luminance_up(Backdrop(NightSky::blue_hour), 40) > 4 * luminance_up(Backdrop(NightSky::late), 40));
    CHECK(luminance_up(Backdrop(NightSky::dusk), 40) > 2 * luminance_up(Backdrop(NightSky::blue_hour), 40));
}

TEST_CASE("backdrop: far trees stand dark before the sky, and not black") {
    const Backdrop backdrop(NightSky::late);
    double lowest = 1, highest = 0;
    for (int i = 0; i < 3600; ++i) {
        const double azimuth = 2 * pi * i / 3600, top = far_trees_height(azimuth);
        lowest = std::min(lowest, top), highest = std::max(highest, top);
        const glm::dvec2 way(std::sin(azimuth), std::cos(azimuth));
        const auto at = [&](double height) {
            return luminance_of(backdrop.light_from({std::cos(height) * way, std::sin(height)}));
        };
        CHECK(at(top - 0.01) < 0.4 * at(top + 0.01));
        CHECK(at(0.002) > 0.1 * at(top + 0.01));
    }
    CHECK(lowest > radians_from_degrees(1));
    CHECK(highest < radians_from_degrees(6));
    CHECK(highest > 1.8 * lowest);
    CHECK(far_trees_height(-pi + 1e-9) ==
          doctest::Approx(far_trees_height(pi - 1e-9)).epsilon(0.01).scale(0));
}

TEST_CASE("backdrop: what lies under a sky is lit by that sky") {
    // E = integral of L cos over the upper hemisphere, summed by brute force. Far trees hide a little of it.
    for (const NightSky sky : {NightSky::late, NightSky::blue_hour, NightSky::dusk}) {
        const Backdrop backdrop(sky);
        constexpr int rises = 400, turns = 90;
        double lux = 0;
        for (int i = 0; i < rises; ++i)
            for (int j = 0; j < turns; ++j) {
                // Bands of equal sine have equal solid angles.
                const double sine = (i + 0.5) / rises, level = std::sqrt(1 - sine * sine);
                const double azimuth = 2 * pi * (j + 0.5) / turns;
                const glm::dvec3 way(level * std::sin(azimuth), level * std::cos(azimuth), sine);
                lux += 2 * pi / (rises * turns) * sine * luminance_of(backdrop.light_from(way));
            }
        CHECK(lux < backdrop.fill_lx());
        CHECK(lux > 0.97 * backdrop.fill_lx());
    }
    // Half an hour after sunset a clear sky gives a lux or two, late there are tenths (from memory).
    CHECK(Backdrop(NightSky::late).fill_lx() == doctest::Approx(0.15).epsilon(0.1));
    CHECK(Backdrop(NightSky::dusk).fill_lx() == doctest::Approx(1.7).epsilon(0.1));
}

TEST_CASE("backdrop: where a site is brighter than the hour, its sky is brighter in proportion") {
    const Backdrop dark(NightSky::late, 0.05), bright(NightSky::late, 0.6);
    const double hour = Backdrop(NightSky::late).fill_lx();
    CHECK(dark.fill_lx() == doctest::Approx(hour - 0.05));
    CHECK(bright.fill_lx() == 0);
    CHECK(luminance_up(bright, 50) == doctest::Approx(0.6 / hour * luminance_up(dark, 50)));
}

TEST_CASE("backdrop: it takes the place of the open sky, leaves walls alone and fades far ground") {
    Site site;
    site.walls = {{.id = "wall", .path = {{-2, 0}, {2, 0}}, .height = 3, .finish = {"", glm::dvec3(0.5)}}};
    site.ground.margin = 2;
    site.sensor_spacing = 1;
    site.ground_spacing = 2;
    const auto stage = build_stage(site, ".");
    const Camera camera = make_camera({"eye", {0, -10, 1.5}, {0, 0, 1.5}, radians_from_degrees(80)}, 120, 80);
    constexpr double ambient = 0.3;
    const ViewImage image = trace_view(*stage, {}, camera, ambient);
    const Backdrop backdrop(NightSky::late, ambient);
    const auto at = [&](int x, int y) { return image.pixel_at(x, y); };
    // The open share of a pixel is sky; what is left without it is nothing.
    const std::size_t sky = at(5, 2), wall = at(60, 39), far_ground = at(2, 41), near_ground = at(60, 79);
    CHECK(image.open_share[sky] == 1);
    const OpenLight open = find_open_light(image, ambient, sky);
    for (int channel = 0; channel < 3; ++channel)
        CHECK(open.luminance[channel] == doctest::Approx(image.luminance[sky][channel]));
    CHECK(luminance_of(open.sky_return) == doctest::Approx(1 / pi)); // a uniform sky: E = pi L
    CHECK(backdrop.light_on(image, sky) == backdrop.light_from(camera.direction_at({5.5, 2.5})));
    CHECK(image.open_share[wall] == 0);
    CHECK(backdrop.light_on(image, wall) == glm::dvec3(0));
    CHECK(luminance_of(find_open_light(image, ambient, wall).luminance) == 0);
    CHECK(luminance_of(backdrop.light_on(image, near_ground)) < 1e-4);
    CHECK(luminance_of(backdrop.light_on(image, far_ground)) > 0.005);
    // At the horizon there is no black strip: the darkest of a column beside the wall is not far below the
    // trees.
    double darkest = 1;
    for (int y = 30; y < 42; ++y)
        darkest = std::min(darkest, luminance_of(backdrop.light_on(image, at(2, y))));
    CHECK(darkest > 0.5 * luminance_of(backdrop.light_from({0, 1, 0})));
    // A picture of something else than a traced site has no backdrop.
    ViewImage plain = image;
    plain.open_share.clear();
    CHECK(backdrop.light_on(plain, sky) == glm::dvec3(0));
    CHECK(find_open_light(plain, ambient, sky).luminance == glm::dvec3(0));
}
