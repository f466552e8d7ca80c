// From luminance to what the eye makes of it, and to files of figures.

#include <cmath>
#include <cstring>
#include <doctest/doctest.h>
#include <sstream>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/tone.hpp"
#include "plain_image.hpp"

using namespace duskcast;
using test::make_image;

TEST_CASE("tone: the tone curve rises and keeps its fixed points") {
    // Reinhard et al. 2002, eq. 4, by hand.
    CHECK(night_tone(0) == 0);
    CHECK(night_tone(night_white) == doctest::Approx(1));
    const double white = 0.18 * std::sqrt(night_white * (night_white + night_toe) /
                                          (night_adaptation * (night_adaptation + night_toe)));
    CHECK(night_tone(night_adaptation) == doctest::Approx(0.18 * (1 + 0.18 / (white * white)) / 1.18));
    double before = -1;
    for (double luminance = 1e-4; luminance < night_white; luminance *= 1.1) {
        CHECK(night_tone(luminance) > before);
        before = night_tone(luminance);
    }
    CHECK(night_tone(0.1, 2) ==
          doctest::Approx(night_tone(0.4) * 1.0).epsilon(1e-3)); // two stops: four times
}

TEST_CASE(
    "tone: far below the toe, tones go with the square root of luminance, far above it with luminance") {
    // De Vries and Rose: a hundredth of the light shows a tenth of the tone.
    CHECK(night_tone(1e-6) / night_tone(1e-4) == doctest::Approx(0.1).epsilon(0.001));
    const auto linear = [](double luminance) { // Reinhard's s, undone where s / w2 is next to nothing
        return night_tone(luminance) / (1 - night_tone(luminance));
    };
    CHECK(linear(2.0) / linear(1.0) == doctest::Approx(2).epsilon(0.03));
    // A roof that returns a tenth of the sky's light is a third as bright on the screen as that sky, not a
    // tenth: seen, and dark beside it.
    const double roof = night_tone(0.005) / night_tone(0.05);
    CHECK(roof > 0.2);
    CHECK(roof < 0.4);
}

TEST_CASE("tone: an exposure of n stops is a light 2^n times as bright, up to the white") {
    // Definition of the stop; brighter than the white all is white.
    for (const double luminance : {1e-3, 0.05, 0.7, 4.0})
        for (const double stops : {-2.0, -0.5, 1.0, 2.0})
            CHECK(night_tone(luminance, stops) ==
                  doctest::Approx(night_tone(luminance * std::exp2(stops))).epsilon(1e-12));
    CHECK(night_tone(3 * night_white) == 1);
    CHECK(night_tone(-1) == 0);
}

TEST_CASE("tone: lamps' colour and the dark") {
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

TEST_CASE("tone: a grey of one luminance becomes no darker with more light") {
    double before = -1;
    for (double luminance = 1e-3; luminance < 300; luminance *= 1.2) {
        const Colour colour = night_colour(luminance * light_colour(4000));
        const double sum = colour[0] + colour[1] + colour[2];
        CHECK(sum >= before);
        before = sum;
        for (const double channel : colour) {
            CHECK(channel >= 0);
            CHECK(channel <= 1 + 1e-12);
        }
    }
    CHECK(before > 2.9); // white at last
}

TEST_CASE("tone: glare keeps the light of the lens") {
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
        CHECK(sum.x == doctest::Approx(0.02).epsilon(1e-4).scale(0));
        CHECK(sum.z == doctest::Approx(0.005).epsilon(1e-4).scale(0));
        CHECK(disk.y == doctest::Approx(0.01).epsilon(1e-4).scale(0));
        CHECK(glare[image.pixel_at(230, 200)].x < glare[image.pixel_at(210, 200)].x);
    }
}

TEST_CASE("tone: a lens at the edge of the image keeps its share outside it") {
    // By symmetry half of the light of a lens whose middle lies on the edge falls beside the image.
    ViewImage image = make_image(401, 401, 10, glm::vec3(0));
    image.lenses.push_back({0, {0, 200.5}, 4.0, {0.02, 0.02, 0.02}, {}});
    double glare_sum = 0, lens_sum = 0;
    const std::vector<glm::vec3> glare = make_glare(image), lenses = luminance_with_lenses(image);
    for (int y = 0; y < 401; ++y)
        for (int x = 0; x < 401; ++x) {
            const double omega = image.camera.solid_angle_at({x + 0.5, y + 0.5});
            glare_sum += omega * static_cast<double>(glare[image.pixel_at(x, y)].x);
            lens_sum += omega * static_cast<double>(lenses[image.pixel_at(x, y)].x);
        }
    CHECK(glare_sum == doctest::Approx(0.01).epsilon(0.01).scale(0));
    CHECK(lens_sum == doctest::Approx(0.01).epsilon(1e-4));
}

TEST_CASE("tone: the light of several lenses adds up, on top of the surfaces") {
    ViewImage both = make_image(61, 61, 10, glm::vec3(0.5f));
    ViewImage first = both, second = both;
    first.lenses.push_back({0, {20, 30}, 1.5, {0.01, 0.02, 0.03}, {}});
    second.lenses.push_back({1, {45, 12}, 0.2, {0.005, 0.001, 0}, {}});
    both.lenses = {first.lenses[0], second.lenses[0]};
    const auto a = make_glare(first), b = make_glare(second), sum = make_glare(both);
    const auto c = luminance_with_lenses(first), d = luminance_with_lenses(second);
    const auto all = luminance_with_lenses(both);
    double worst = 0;
    for (std::size_t i = 0; i < sum.size(); ++i)
        for (int channel = 0; channel < 3; ++channel) {
            worst = std::max(worst, std::abs(double(sum[i][channel] - a[i][channel] - b[i][channel])) /
                                        (1 + double(sum[i][channel])));
            worst = std::max(worst, std::abs(double(all[i][channel] - c[i][channel] - d[i][channel]) + 0.5) /
                                        (1 + double(all[i][channel])));
        }
    CHECK(worst < 1e-5);
}

TEST_CASE("tone: the luminance scale") {
    // 0.01 to 100 is four decades; 1 lies in their middle.
    CHECK(luminance_place(0.01) == 0);
    CHECK(luminance_place(1) == doctest::Approx(0.5));
    CHECK(luminance_place(10) == doctest::Approx(0.75));
    CHECK(luminance_place(1e4) == 1);
    CHECK(luminance_place(0) == 0);
}

TEST_CASE("tone: PFM there and back") {
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
    // Row by row, the lowest first, it is the same file.
    CHECK(print_pfm_head(3, 2) + print_pfm_rows(3, {pixels.begin() + 3, pixels.end()}) +
              print_pfm_rows(3, {pixels.begin(), pixels.begin() + 3}) ==
          text);
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
