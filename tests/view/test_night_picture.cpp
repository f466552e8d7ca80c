// The night picture's tone, colours, glare and backdrop against closed forms: Reinhard et al. 2002, eq. 4 and
// its inverse; Spencer et al. 1995 (from memory); the solid angles of disks.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/backdrop.hpp"
#include "duskcast/view/quick_tone.hpp"
#include "duskcast/view/tone.hpp"
#include "plain_image.hpp"

using namespace duskcast;
using test::make_image;

namespace {

double solid_angle_at(const ViewImage& image, int x, int y) {
    return image.camera.solid_angle_at({x + 0.5, y + 0.5});
}

/// An image of open sky above and of ground that many metres away below; its eye is 1.6 m up, looking level.
ViewImage make_open_image(float distance, float open_share) {
    ViewImage image = make_image(60, 40, 60, glm::vec3(0));
    image.camera = make_camera({"test", {0, 0, 1.6}, {0, 9, 1.6}, radians_from_degrees(60)}, 60, 40);
    image.open_share.assign(image.luminance.size(), open_share);
    image.distance.assign(image.luminance.size(), distance);
    return image;
}

} // namespace

TEST_CASE("tone: the luminance that a tone stands for, from the quadratic formula") {
    // s^2 / w^2 + (1 - t) s - t = 0, whose positive root s is what a tone t stands for, and from that
    // L^2 + toe L = (s / 0.18)^2 A (A + toe) at the adaptation A.
    const double adapted = night_adaptation * (night_adaptation + night_toe);
    const double white = 0.18 * std::sqrt(night_white * (night_white + night_toe) / adapted);
    for (double tone = 0.001; tone < 1; tone += 0.013) {
        const double a = 1 / (white * white), b = 1 - tone;
        const double s = (-b + std::sqrt(b * b + 4 * a * tone)) / (2 * a);
        const double product = s / 0.18 * s / 0.18 * adapted;
        const double luminance = (-night_toe + std::sqrt(night_toe * night_toe + 4 * product)) / 2;
        CHECK(night_tone(luminance) == doctest::Approx(tone).epsilon(1e-9).scale(0));
        CHECK(night_tone(luminance / 8, 3) == doctest::Approx(tone).epsilon(1e-9).scale(0));
    }
    // In the dark it goes with the square root of the light.
    CHECK(night_tone(4e-9) == doctest::Approx(2 * night_tone(1e-9)).epsilon(1e-5).scale(0));
}

TEST_CASE(
    "tone: the colour that the eye takes for white is grey, and 2700 K and daylight lie on either side") {
    // Adapted to 66 % in dark surroundings: CIE 159:2004, from memory.
    const glm::dvec3 white = glm::mix(glm::dvec3(1), light_colour(2700), 0.66);
    for (const double luminance : {1.0, 3.0, 20.0, 90.0}) {
        const Colour grey = night_colour(luminance * white / luminance_of(white));
        CHECK(grey[0] == doctest::Approx(grey[1]).epsilon(1e-9));
        CHECK(grey[2] == doctest::Approx(grey[1]).epsilon(1e-9));
        CHECK(decode_srgb(grey[1]) == doctest::Approx(night_tone(luminance)).epsilon(1e-6));
        const Colour lamp = night_colour(luminance * light_colour(2700)),
                     of_day = night_colour(luminance * light_colour(6500));
        CHECK(lamp[0] > lamp[2]);
        CHECK(of_day[2] > of_day[0]);
    }
}

TEST_CASE("tone: of any colour, more light lowers no channel, and the brightest is white") {
    Random random(4);
    for (int i = 0; i < 200; ++i) {
        glm::dvec3 light(random.uniform(0, 1), random.uniform(0, 1), random.uniform(0, 1));
        light /= luminance_of(light);
        CAPTURE(light.r);
        CAPTURE(light.b);
        Colour before{0, 0, 0};
        for (double luminance = 1; luminance < 3000; luminance *= 1.25) {
            const Colour now = night_colour(luminance * light);
            for (std::size_t channel = 0; channel < 3; ++channel) {
                CHECK(now[channel] >= before[channel] - 1e-9);
                CHECK(now[channel] <= 1 + 1e-9);
            }
            before = now;
        }
        CHECK(*std::max_element(before.begin(), before.end()) == doctest::Approx(1).epsilon(1e-6));
        // In the dark the rods see no colour.
        const Colour dark = night_colour(0.002 * light), grey = night_colour(glm::dvec3(0.002));
        for (std::size_t channel = 0; channel < 3; ++channel)
            CHECK(dark[channel] == doctest::Approx(grey[channel]).epsilon(1e-9));
    }
}

TEST_CASE("tone: by tables it is within a step of 255 of what it is by formula") {
    const QuickNightTone quick;
    Random random(11);
    for (int i = 0; i < 20000; ++i) {
        const double luminance = std::exp(random.uniform(std::log(1e-6), std::log(1000)));
        glm::dvec3 light(random.uniform(0, 1), random.uniform(0, 1), random.uniform(0, 1));
        light *= luminance / luminance_of(light);
        const Colour exact = night_colour(light);
        const std::array<std::uint8_t, 3> found = quick.at(glm::vec3(light));
        for (std::size_t channel = 0; channel < 3; ++channel) {
            CAPTURE(luminance);
            CHECK(std::abs(found[channel] - 255 * exact[channel]) < 1);
        }
    }
    CHECK(quick.at(glm::vec3(0)) == std::array<std::uint8_t, 3>{0, 0, 0});
}

TEST_CASE("glare: off the lens it falls as Spencer's functions do, tapered to nothing at four degrees") {
    ViewImage image = make_image(801, 801, 12, glm::vec3(0));
    image.lenses.push_back({0, {400.5, 400.5}, 0.1, {0.02, 0.02, 0.02}, {}});
    const std::vector<glm::vec3> glare = make_glare(image);
    const double degree = radians_from_degrees(1) * image.camera.pixels_per_tangent;
    const auto law = [](double theta) {
        const double off = theta + 0.02;
        return (0.478 * 20.91 / (off * off * off) + 0.154 * 72.37 / (off * off)) * (1 - theta / 4);
    };
    const auto light_at = [&](int x, int y) { // per pixel, so that solid angles drop out
        return static_cast<double>(glare[image.pixel_at(x, y)].g) * solid_angle_at(image, x, y);
    };
    const double unit = light_at(440, 400) / law(40 / degree);
    for (const int off : {5, 15, 80, 150, 230}) {
        CAPTURE(off);
        CHECK(light_at(400 + off, 400) == doctest::Approx(unit * law(off / degree)).epsilon(1e-3).scale(0));
        CHECK(light_at(400, 400 - off) == doctest::Approx(light_at(400 + off, 400)).epsilon(1e-3).scale(0));
    }
    const int end = static_cast<int>(4 * degree) + 2;
    CHECK(glare[image.pixel_at(400 + end, 400)] == glm::vec3(0));
}

TEST_CASE("glare: a lens is a disk of even luminance, E over its solid angle") {
    for (const double radius : {4.0, 9.0, 15.0}) {
        ViewImage image = make_image(101, 101, 8, glm::vec3(0));
        image.lenses.push_back({0, {50.5, 50.5}, radius, {0.03, 0.03, 0.03}, {}});
        const std::vector<glm::vec3> lenses = luminance_with_lenses(image);
        const double disk = pi * radius * radius * solid_angle_at(image, 50, 50);
        CHECK(lenses[image.pixel_at(50, 50)].g == doctest::Approx(0.03 / disk).epsilon(0.01));
        const int inside = static_cast<int>(radius) - 2;
        CHECK(lenses[image.pixel_at(50 + inside, 50)].g == doctest::Approx(0.03 / disk).epsilon(0.01));
        CHECK(lenses[image.pixel_at(50 + static_cast<int>(radius) + 2, 50)].g == 0);
    }
}

TEST_CASE("tone: places on the luminance scale are as far apart as their logarithms") {
    for (double luminance = luminance_low; luminance <= luminance_high * 0.999; luminance *= 1.7)
        CHECK(luminance_low * std::pow(luminance_high / luminance_low, luminance_place(luminance)) ==
              doctest::Approx(luminance).epsilon(1e-9));
    CHECK(luminance_place(NAN) == 0);
    CHECK(luminance_place(-1) == 0);
}

TEST_CASE("backdrop: later hours are darker in every direction, and dusk is warm low down") {
    const Backdrop late(NightSky::late), blue(NightSky::blue_hour), dusk(NightSky::dusk);
    for (double azimuth = 0; azimuth < 2 * pi; azimuth += 0.37)
        for (const double up : {0.0, 0.05, 0.15, 0.5, 1.0, 1.5}) {
            const glm::dvec3 way(std::cos(up) * std::sin(azimuth), std::cos(up) * std::cos(azimuth),
                                 std::sin(up));
            CHECK(luminance_of(late.light_from(way)) < luminance_of(blue.light_from(way)));
            CHECK(luminance_of(blue.light_from(way)) < luminance_of(dusk.light_from(way)));
            // The sky is bluer the higher one looks.
            if (up >= 0.15 && up < 1.5)
                for (const Backdrop* one : {&late, &blue, &dusk}) {
                    const glm::dvec3 here = one->light_from(way), zenith = one->light_from({0, 0, 1});
                    CHECK(here.r / here.b > zenith.r / zenith.b);
                }
        }
    CHECK(late.fill_lx() < blue.fill_lx());
    CHECK(blue.fill_lx() < dusk.fill_lx());
    // All light together is never less than the hour's.
    for (const double ambient : {0.0, 0.1, 0.3, 2.0})
        CHECK(Backdrop(NightSky::late, ambient).fill_lx() + ambient >=
              doctest::Approx(late.fill_lx()).epsilon(1e-12));
}

TEST_CASE("backdrop: a pixel has it on the share of it that is open") {
    const Backdrop backdrop(NightSky::blue_hour, 0.2);
    for (const float share : {0.0f, 0.25f, 0.5f, 1.0f}) {
        const ViewImage image = make_open_image(5, share);
        const std::size_t above = image.pixel_at(12, 3);
        const glm::dvec3 behind = backdrop.light_from(image.camera.direction_at({12.5, 3.5}));
        const glm::dvec3 found = backdrop.light_on(image, above);
        for (int channel = 0; channel < 3; ++channel)
            CHECK(found[channel] ==
                  doctest::Approx(static_cast<double>(share) * behind[channel]).epsilon(1e-6).scale(1e-3));
    }
}

TEST_CASE("backdrop: far ground fades towards the trees by 1 - exp(-((d - 20) / 55)^2)") {
    const Backdrop backdrop(NightSky::late);
    const auto veil = [&](float distance) {
        const ViewImage image = make_open_image(distance, 0);
        // The lowest row: at these distances the ray would end under the ground, which the eye is above.
        return luminance_of(backdrop.light_on(image, image.pixel_at(30, 39)));
    };
    const double whole = veil(2000);
    CHECK(whole > 0);
    for (const float distance : {25.0f, 40.0f, 75.0f, 130.0f}) {
        const double off = (static_cast<double>(distance) - 20) / 55;
        CHECK(veil(distance) == doctest::Approx(whole * (1 - std::exp(-off * off))).epsilon(1e-5).scale(0));
    }
    CHECK(veil(19) == 0);
    // What stands above the ground is not veiled however far it is.
    ViewImage wall = make_open_image(60, 0);
    wall.camera.eye.z = 60;
    CHECK(luminance_of(backdrop.light_on(wall, wall.pixel_at(30, 39))) == 0);
}

TEST_CASE("backdrop: open light is what an open sky gives, and never more than the pixel has") {
    ViewImage image = make_open_image(5, 0.5f);
    const glm::vec3 whole = open_sky_return();
    CHECK(luminance_of(glm::dvec3(whole)) ==
          doctest::Approx(1 / pi).epsilon(1e-6)); // a uniform sky: E = pi L
    image.sky_return.assign(image.luminance.size(), 0.5f * whole);
    OpenLight open = find_open_light(image, 0.4, 7);
    CHECK(luminance_of(open.sky_return) == doctest::Approx(0.5 / pi).epsilon(1e-6));
    CHECK(luminance_of(open.luminance) == doctest::Approx(0.2 / pi).epsilon(1e-6));
    image.sky_return.assign(image.luminance.size(), 0.125f * whole); // dark ground beyond the stage
    open = find_open_light(image, 0.4, 7);
    CHECK(luminance_of(open.sky_return) == doctest::Approx(0.125 / pi).epsilon(1e-6));
    image.open_share.assign(image.luminance.size(), 0);
    CHECK(luminance_of(find_open_light(image, 0.4, 7).sky_return) == 0);
}
