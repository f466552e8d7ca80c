// From luminance to pictures.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "plain_image.hpp"
#include "scene.hpp"

using namespace duskcast;
using test::make_image;

TEST_CASE("view picture: sRGB encoding") {
    // IEC 61966-2-1; values from memory.
    CHECK(encode_srgb(0) == 0);
    CHECK(encode_srgb(0.0031308) == doctest::Approx(0.04045).epsilon(1e-4));
    CHECK(encode_srgb(0.18) == doctest::Approx(0.461356).epsilon(1e-6));
    CHECK(encode_srgb(0.5) == doctest::Approx(0.735357).epsilon(1e-6));
    CHECK(encode_srgb(1) == doctest::Approx(1));
    CHECK(encode_srgb(7) == doctest::Approx(1));
}

PIXEL_TEST_CASE("view picture: the luminance scale") {
    // 10 cd/m2 lies three quarters up the four decades.
    const test::Pixels page = test::read_pixels(
        draw_luminance_plate(make_image(160, 100, 50, glm::vec3(10)), {}, "Title", "Detail"));
    CHECK(page.width == 1600);
    CHECK(test::find_colour(page, dusk_colour(0.75)).count > 1'200'000); // 1488 x 930 pixels
}

PIXEL_TEST_CASE("view picture: night and exposure") {
    const test::Pixels dark =
        test::read_pixels(draw_night_picture(make_image(40, 30, 50, glm::vec3(0.2f)), {}));
    const test::Pixels bright =
        test::read_pixels(draw_night_picture(make_image(40, 30, 50, glm::vec3(0.2f)), {.stops = 2}));
    CHECK(dark.width == 40);
    CHECK(bright.rgba[0] > dark.rgba[0] + 30);
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

PIXEL_TEST_CASE("view picture: a photo drawn in strips is the picture drawn at once") {
    ViewImage image = make_image(120, 100, 50, glm::vec3(0.2f));
    for (std::size_t i = 0; i < image.luminance.size(); ++i)
        image.luminance[i] *= 1 + 0.01f * static_cast<float>(i % 97);
    image.lenses = {{.fixture = 0, .place = {60, 39.5}, .radius = 3, .eye_lx = glm::dvec3(0.2)}};
    const LitFixture middle = test::make_point("F", {0, 5, 1}), hidden = test::make_point("G", {4, 50, 2});
    const ViewLook look{.stops = 1, .ambient_lx = 0.1, .marks = {middle, hidden}};
    NightPicture picture(image.camera, look);
    for (const glm::ivec2 rows : {glm::ivec2(70, 100), glm::ivec2(37, 70), glm::ivec2(0, 37)}) {
        ViewImage strip{.camera = crop_rows(image.camera, rows.x, rows.y)};
        const auto cut = [&](const auto& from, auto& to) {
            to.assign(from.begin() + 120 * rows.x, from.begin() + 120 * rows.y);
        };
        cut(image.luminance, strip.luminance);
        cut(image.sky_return, strip.sky_return);
        cut(image.distance, strip.distance);
        cut(image.surface, strip.surface);
        strip.lenses = image.lenses;
        strip.lenses[0].place.y -= rows.x;
        picture.add(strip, rows.x);
    }
    CHECK(picture.finish() == draw_night_picture(image, look));
}

PIXEL_TEST_CASE("view picture: exposure brightens light and not the sky") {
    ViewImage image = make_image(40, 30, 50, glm::vec3(0.2f));
    image.open_share.assign(image.luminance.size(), 0.0f);
    for (int y = 0; y < 15; ++y)
        for (int x = 0; x < 40; ++x) { // above: sky, with the ambient light of 0.1 lx in it
            const std::size_t pixel = image.pixel_at(x, y);
            image.open_share[pixel] = 1;
            image.sky_return[pixel] = open_sky_return();
            image.luminance[pixel] = 0.1f * open_sky_return();
        }
    const auto draw = [&](double stops, NightSky sky) {
        return make_night_raster(image, {.stops = stops, .ambient_lx = 0.1, .sky = sky}).colour;
    };
    const auto plain = draw(0, NightSky::late), brighter = draw(2, NightSky::late),
               dusk = draw(0, NightSky::dusk);
    const std::size_t sky = image.pixel_at(20, 2), wall = image.pixel_at(20, 28);
    for (int channel = 0; channel < 3; ++channel) {
        CHECK(brighter[sky][channel] == doctest::Approx(plain[sky][channel]).epsilon(1e-6));
        CHECK(brighter[wall][channel] > plain[wall][channel] + 0.1);
        CHECK(dusk[sky][channel] > plain[sky][channel] + 0.15);
        CHECK(dusk[wall][channel] == plain[wall][channel]); // which returns no skylight here
    }
}

PIXEL_TEST_CASE("view picture: the day's light") {
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

PIXEL_TEST_CASE("view picture: names of fixtures at the image's edge are not cut off") {
    // As many pixels of the mark's colour for a lens close to any edge as for one in the middle.
    const Colour ring{1.0, 0.87, 0.62};
    const ViewImage image = make_image(200, 160, 50, glm::vec3(0.01f));
    const auto count = [&](const glm::dvec2& place) {
        LitFixture fixture =
            test::make_point("Gate", glm::vec3(image.camera.eye + 5.0 * image.camera.direction_at(place)));
        const test::Pixels page = test::read_pixels(draw_night_picture(image, {.marks = {fixture}}));
        return static_cast<double>(test::find_colour(page, ring, 20).count);
    };
    const double middle = count({100, 80});
    REQUIRE(middle > 100);
    for (const glm::dvec2& place :
         {glm::dvec2(100, 148), {100, 12}, {12, 80}, {188, 80}, {12, 148}, {188, 12}}) {
        CAPTURE(place.x);
        CAPTURE(place.y);
        CHECK(count(place) == doctest::Approx(middle).epsilon(0.1));
    }
}

PIXEL_TEST_CASE("view picture: the ring of one fixture does not lie on the name of another") {
    // As many pixels of the mark's colour for two as for each by itself, wherever the second stands.
    const ViewImage image = make_image(200, 160, 50, glm::vec3(0.01f));
    const auto count = [&](const std::vector<glm::dvec2>& places) {
        std::vector<LitFixture> marks;
        for (const glm::dvec2& place : places)
            marks.push_back(
                test::make_point("P1", glm::vec3(image.camera.eye + 5.0 * image.camera.direction_at(place))));
        const test::Pixels page = test::read_pixels(draw_night_picture(image, {.marks = marks}));
        return static_cast<double>(test::find_colour(page, {1.0, 0.87, 0.62}, 20).count);
    };
    for (const glm::dvec2& place : {glm::dvec2(102, 83), {108, 80}, {100, 38}, {80, 60}, {124, 64}}) {
        CAPTURE(place.x);
        CHECK(count({{100, 60}, place}) ==
              doctest::Approx(count({{100, 60}}) + count({place})).epsilon(0.03));
    }
}

PIXEL_TEST_CASE("view picture: a lens is in the plate of luminance, as bright as it is") {
    // One that sends 0.2 lx from a disk of 3 pixels: over their solid angle far more than 100 cd/m2.
    ViewImage image = make_image(80, 50, 20, glm::vec3(0.1f));
    const auto brightest = [&] {
        const test::Pixels page = test::read_pixels(draw_luminance_plate(image, {}, "Title", "Detail"));
        test::Pixels picture = page; // without the scale, which has all colours
        picture.rgba.resize(picture.rgba.size() * 3 / 4);
        picture.height = picture.height * 3 / 4;
        return test::find_colour(picture, dusk_colour(1)).count;
    };
    CHECK(brightest() == 0);
    SeenLens lens;
    lens.place = {40, 25};
    lens.radius = 3;
    lens.eye_lx = glm::dvec3(0.2);
    image.lenses = {lens};
    CHECK(brightest() > 100); // 28 pixels of the image, drawn 18.6 times as large
}
