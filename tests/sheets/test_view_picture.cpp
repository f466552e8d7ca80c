// From luminance to pictures.

#include <cmath>
#include <cstring>
#include <doctest/doctest.h>
#include <sstream>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

ViewImage make_image(int width, int height, double field_deg, const glm::vec3& luminance) {
    ViewImage image{.camera = make_camera({"test", {0, 0, 1}, {0, 1, 1}, radians_from_degrees(field_deg)},
                                          width, height)};
    const std::size_t count = static_cast<std::size_t>(width) * height;
    image.luminance.assign(count, luminance);
    image.sky_return.assign(count, glm::vec3(0));
    image.sun_return.assign(count, glm::vec3(0));
    image.distance.assign(count, 10.0f);
    image.surface.assign(count, 0);
    return image;
}

} // namespace

TEST_CASE("view picture: sRGB encoding") {
    // IEC 61966-2-1; values from memory.
    CHECK(encode_srgb(0) == 0);
    CHECK(encode_srgb(0.0031308) == doctest::Approx(0.04045).epsilon(1e-4));
    CHECK(encode_srgb(0.18) == doctest::Approx(0.461356).epsilon(1e-6));
    CHECK(encode_srgb(0.5) == doctest::Approx(0.735357).epsilon(1e-6));
    CHECK(encode_srgb(1) == doctest::Approx(1));
    CHECK(encode_srgb(7) == doctest::Approx(1));
}

TEST_CASE("view picture: the tone curve rises and keeps its fixed points") {
    // Reinhard et al. 2002, eq. 4, by hand.
    CHECK(night_tone(0) == 0);
    CHECK(night_tone(night_white) == doctest::Approx(1));
    const double white = 0.18 * night_white / night_adaptation;
    CHECK(night_tone(night_adaptation) == doctest::Approx(0.18 * (1 + 0.18 / (white * white)) / 1.18));
    double before = -1;
    for (double luminance = 1e-4; luminance < night_white; luminance *= 1.1) {
        CHECK(night_tone(luminance) > before);
        before = night_tone(luminance);
    }
    CHECK(night_tone(0.1, 2) ==
          doctest::Approx(night_tone(0.4) * 1.0).epsilon(1e-3)); // two stops: four times
}

TEST_CASE("view picture: lamps' colour and the dark") {
    const Colour lamp = night_colour(4.0 * light_colour(2700));
    CHECK(lamp[0] > lamp[1]); // partly adapted: 2700 K stays warm
    CHECK(lamp[1] > lamp[2]);
    // Purple leaves under 2700 K stay redder than green.
    const Colour leaf = night_colour(glm::dvec3(0.13, 0.04, 0.05) * 3.0 * light_colour(2700));
    CHECK(leaf[0] > 1.3 * leaf[1]);
    // Below the mesopic range all is the same faint blue.
    const Colour red = night_colour({0.004, 0.001, 0.0}), blue = night_colour({0.0, 0.001, 0.004});
    CHECK(red[2] > red[0]);
    CHECK(red[0] / red[2] == doctest::Approx(blue[0] / blue[2]).epsilon(0.02));
    CHECK(night_colour(glm::dvec3(0)) == Colour{0, 0, 0});
}

TEST_CASE("view picture: glare keeps the light of the lens") {
    // Energy: the sum of cd/m2 x sr is the illuminance at the eye, square to the line of sight.
    for (const double radius : {0.1, 3.0}) {
        ViewImage image = make_image(401, 401, 10, glm::vec3(0));
        image.lenses.push_back({0, {200.3, 199.8}, radius, {0.02, 0.01, 0.005}, {}});
        glm::dvec3 sum(0), disk(0);
        const std::vector<glm::vec3> glare = make_glare(image), lenses = luminance_with_lenses(image);
        for (int y = 0; y < 401; ++y)
            for (int x = 0; x < 401; ++x) {
                const double omega = image.camera.solid_angle_at({x + 0.5, y + 0.5});
                sum += omega * glm::dvec3(glare[image.pixel_at(x, y)]);
                disk += omega * glm::dvec3(lenses[image.pixel_at(x, y)]);
            }
        CHECK(sum.x == doctest::Approx(0.02).epsilon(1e-4));
        CHECK(sum.z == doctest::Approx(0.005).epsilon(1e-4));
        CHECK(disk.y == doctest::Approx(0.01).epsilon(1e-4));
        CHECK(glare[image.pixel_at(230, 200)].x < glare[image.pixel_at(210, 200)].x);
    }
}

TEST_CASE("view picture: the luminance scale") {
    // 0.01 to 100 is four decades; 1 lies in their middle.
    CHECK(luminance_place(0.01) == 0);
    CHECK(luminance_place(1) == doctest::Approx(0.5));
    CHECK(luminance_place(10) == doctest::Approx(0.75));
    CHECK(luminance_place(1e4) == 1);
    CHECK(luminance_place(0) == 0);
    const test::Pixels page = test::read_pixels(
        draw_luminance_plate(make_image(160, 100, 50, glm::vec3(10)), {}, "Title", "Detail"));
    CHECK(page.width == 1600);
    CHECK(test::find_colour(page, dusk_colour(0.75)).count > 1'200'000); // 1488 x 930 pixels
}

TEST_CASE("view picture: night and exposure") {
    const test::Pixels dark =
        test::read_pixels(draw_night_picture(make_image(40, 30, 50, glm::vec3(0.2f)), {}));
    const test::Pixels bright =
        test::read_pixels(draw_night_picture(make_image(40, 30, 50, glm::vec3(0.2f)), {.stops = 2}));
    CHECK(dark.width == 40);
    CHECK(bright.rgba[0] > dark.rgba[0] + 40);
    // A mark where a fixture is; faint where it is hidden.
    LitFixture fixture = test::make_point("F", {0, 5, 1});
    const test::Pixels seen = test::read_pixels(
        draw_night_picture(make_image(200, 200, 50, glm::vec3(0.01f)), {.marks = {fixture}}));
    fixture.lens.centre = {0, 50, 1};
    const test::Pixels hidden = test::read_pixels(
        draw_night_picture(make_image(200, 200, 50, glm::vec3(0.01f)), {.marks = {fixture}}));
    const Colour ring{1.0, 0.87, 0.62};
    CHECK(test::find_colour(seen, ring).count > 40);
    CHECK(test::find_colour(hidden, ring).count == 0);
}

TEST_CASE("view picture: the day's light") {
    // 60,000 lx of sun square on a face and 15,000 lx of sky, over 17,000 cd/m2 that fill the screen: a grey
    // wall of 0.2 that gets half of either is 0.2 / pi x 37,500 / 17,000 = 0.1404 of it, code 0.411 x 255
    // (IEC 61966-2-1).
    ViewImage image = make_image(24, 24, 50, glm::vec3(0));
    const float back = static_cast<float>(0.2 / pi);
    image.sky_return.assign(image.sky_return.size(), glm::vec3(0.5f * back));
    image.sun_return.assign(image.sun_return.size(), glm::vec3(0.5f * back));
    const test::Pixels day = test::read_pixels(draw_day_picture(image, {}));
    CHECK(std::abs(day.rgba[1] - 255 * 0.411) < 3); // the sun's colour shifts green least
    CHECK(day.rgba[0] >= day.rgba[2]);              // 5500 K is a little warmer than the screen's white
    // In its shade a fifth of that is left.
    image.sun_return.assign(image.sun_return.size(), glm::vec3(0));
    const test::Pixels shade = test::read_pixels(draw_day_picture(image, {}));
    CHECK(std::abs(shade.rgba[1] - 255 * encode_srgb(0.2 / pi * 7'500 / 17'000)) < 2);
}

TEST_CASE("view picture: PFM there and back") {
    // "PF", width and height, a negative scale for little-endian, rows from the lowest (Debevec's PFM page,
    // from memory).
    const std::vector<glm::vec3> pixels = {{1, 2, 3},       {0.5f, 0, 1e-20f}, {-7, 8, 9},
                                           {10, 11, 1e20f}, {0, 0, 0},         {1, 1, 1.25f}};
    const std::string text = print_pfm(3, 2, pixels);
    std::istringstream file(text);
    std::string kind;
    int width = 0, height = 0;
    double scale = 0;
    file >> kind >> width >> height >> scale;
    CHECK(kind == "PF");
    CHECK(width == 3);
    CHECK(height == 2);
    CHECK(scale == -1);
    const std::size_t start = text.size() - 3 * 2 * 12;
    CHECK(text.substr(0, start) == "PF\n3 2\n-1.0\n");
    for (int y = 0; y < 2; ++y)
        for (int x = 0; x < 3; ++x)
            for (int channel = 0; channel < 3; ++channel) {
                std::uint32_t bits = 0;
                for (int byte = 3; byte >= 0; --byte)
                    bits = bits << 8 | static_cast<unsigned char>(
                                           text[start + 12 * (3 * (1 - y) + x) + 4 * channel + byte]);
                float value = 0;
                std::memcpy(&value, &bits, 4);
                CHECK(value == pixels[3 * y + x][channel]);
            }
}
