// A photo laid on a wall, against a checker that a homography written down by hand puts on the picture.

#include <array>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/colour.hpp"
#include "duskcast/photo/rectify_photo.hpp"
#include "photo_test.hpp"

using namespace duskcast;

namespace {

constexpr glm::ivec2 checked_size{900, 600};
constexpr double check_focal = 640, check_side = 0.5; // pixels, metres

/// Of the wall y = 0: dark and bright squares half a metre wide, from the origin on.
bool is_bright_check(double x, double z) {
    return (static_cast<int>(std::floor(x / check_side)) + static_cast<int>(std::floor(z / check_side))) %
               2 ==
           0;
}

/// The picture of that wall from (-3, -7, 1.5), looking 20 degrees east of north and level. A pinhole's pixel
/// (i, j) sees right : down : ahead = (i - w/2) / f : (j - h/2) / f : 1; ahead is (sin 20, cos 20, 0), right
/// (cos 20, -sin 20, 0) (Hartley and Zisserman 2004, 6.1). Where that ray meets y = 0 is a homography of it.
PhotoPixels make_check_photo() {
    const double sine = std::sin(radians_from_degrees(20)), cosine = std::cos(radians_from_degrees(20));
    PhotoPixels photo{.size = checked_size};
    constexpr int fine = 4; // samples a pixel's side
    for (int j = 0; j < checked_size.y; ++j)
        for (int i = 0; i < checked_size.x; ++i) {
            int bright = 0;
            for (int k = 0; k < fine * fine; ++k) {
                const double right = (i + (k % fine + 0.5) / fine - checked_size.x / 2.0) / check_focal,
                             down = (j + (k / fine + 0.5) / fine - checked_size.y / 2.0) / check_focal;
                const double share = 7 / (cosine - sine * right);
                const double x = -3 + share * (sine + cosine * right), z = 1.5 - share * down;
                bright += is_bright_check(x, z) ? 1 : 0;
            }
            const auto value = static_cast<std::uint8_t>(
                std::lround(255 * encode_srgb(0.05 + 0.9 * bright / (fine * fine))));
            photo.rgb.insert(photo.rgb.end(), 3, value);
        }
    return photo;
}

} // namespace

TEST_CASE("the corners of a checker land within a pixel of where the wall has them") {
    const PhotoPixels photo = make_check_photo();
    const Camera camera = test::take_photo(checked_size, {-3, -7, 1.5}, 20, 0, 0, check_focal);
    constexpr double step = 0.012; // metres a pixel of the plate: about one of the photo
    const auto value_at = [&](double x, double z) {
        const auto found = find_on_plane(photo, camera, {.middle = {x, 0, z}, .side = step});
        REQUIRE(found);
        return static_cast<double>(found->y);
    };
    int corners = 0;
    for (int i = -2; i <= 6; ++i)
        for (int j = 1; j <= 5; ++j) {
            const double x = check_side * i, z = check_side * j;
            CAPTURE(x);
            CAPTURE(z);
            // A pixel off the corner to all four sides lie the squares that the definition says.
            for (const double right : {-1.0, 1.0})
                for (const double above : {-1.0, 1.0}) {
                    const double at_x = x + right * step, at_z = z + above * step;
                    CHECK((value_at(at_x, at_z) > 0.5) == is_bright_check(at_x, at_z));
                }
            // And each edge that leaves the corner crosses the middle grey within a pixel of its line.
            for (const double away : {-0.4 * check_side, 0.4 * check_side}) {
                const double left = value_at(x - step, z + away), right = value_at(x + step, z + away);
                CHECK((left - 0.5) * (right - 0.5) < 0);
                const double below = value_at(x + away, z - step), above = value_at(x + away, z + step);
                CHECK((below - 0.5) * (above - 0.5) < 0);
            }
            ++corners;
        }
    CHECK(corners == 45);
    // Beside the picture there is nothing, and a square's middle has its own brightness.
    CHECK_FALSE(find_on_plane(photo, camera, {.middle = {30, 0, 1}, .side = step}));
    CHECK_FALSE(find_on_plane(photo, camera, {.middle = {-3, -20, 1}, .side = step}));
    CHECK(value_at(0.25, 1.25) == doctest::Approx(is_bright_check(0.25, 1.25) ? 0.95 : 0.05).epsilon(0.02));
}

TEST_CASE("a spot of many pixels has their mean") {
    // Two by two squares of a checker: half bright, half dark.
    const PhotoPixels photo = make_check_photo();
    const Camera camera = test::take_photo(checked_size, {-3, -7, 1.5}, 20, 0, 0, check_focal);
    const auto found = find_on_plane(photo, camera, {.middle = {1, 0, 1.5}, .side = 2 * check_side});
    REQUIRE(found);
    CHECK(static_cast<double>(found->y) == doctest::Approx(0.5).epsilon(0.03));
}
