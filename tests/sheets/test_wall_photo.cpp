// What a photo shows of a wall: where it counts, where it does not.

#include <doctest/doctest.h>

#include "../photo/photo_test.hpp"
#include "duskcast/sheets/plate.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

constexpr glm::ivec2 wall_photo_size{600, 400};

/// A wall 8 m long and 3 m high with a low one a metre before its left end, from 10 m off.
Site make_photographed_site() {
    Site site;
    site.walls = {{.id = "front", .path = {{-4, 0}, {4, 0}}, .height = 3},
                  {.id = "low", .path = {{-4, -1}, {-2, -1}}, .height = 1}};
    return site;
}

/// Even grey; 400 pixels a tangent, so that the picture holds 7.5 m to either side of the middle. A mask lies
/// over the pixels 340 to 380 across.
std::vector<CameraPhoto> make_grey_photo() {
    CameraPhoto photo{.id = "street",
                      .camera = test::take_photo(wall_photo_size, {0, -10, 1.5}, 0, 0, 0, 400),
                      .pixels = {.size = wall_photo_size},
                      .masks = {{.kind = MaskKind::unlit, .outline = {340, 0, 380, 0, 380, 400, 340, 400}}}};
    photo.pixels.rgb.assign(3 * 600 * 400, 188); // half of the light of 255 (IEC 61966-2-1)
    return {photo};
}

} // namespace

TEST_CASE("a photo counts where nothing stands before the wall, it is not masked and the picture holds it") {
    const Site site = make_photographed_site();
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const std::vector<CameraPhoto> photos = make_grey_photo();
    const Surface& front = stage->surfaces[static_cast<std::size_t>(stage->find_surface("front"))];
    const WallPhoto shown(*stage, front, photos);
    REQUIRE(shown.is_any());
    CHECK(shown.id() == "street");
    // u counts from the left end, x = u - 4; 10 m off, a metre is 40 pixels. The mask holds x = 1 to 2.
    CHECK(shown.is_seen({4, 1.5}));
    CHECK(shown.is_seen({4.9, 1.5}));
    CHECK_FALSE(shown.is_seen({5.1, 1.5}));
    CHECK_FALSE(shown.is_seen({5.9, 1.5}));
    CHECK(shown.is_seen({6.1, 1.5}));
    // From the eye at 1.5 m past the low wall's top, 1 m at 9 m, to the wall at 10 m: 1.5 - 0.5 x 10 / 9.
    CHECK_FALSE(shown.is_seen({1, 0.90}));
    CHECK(shown.is_seen({1, 0.99}));
    CHECK(static_cast<double>(shown.linear_at({4, 1.5}, 0.02)->y) == doctest::Approx(0.5).epsilon(0.02));
    CHECK_FALSE(shown.linear_at({5.5, 1.5}, 0.02));
    // From behind, and with its middle off the picture, it is no photo of that wall.
    std::vector<CameraPhoto> other = photos;
    other[0].camera = test::take_photo(wall_photo_size, {0, 10, 1.5}, 180, 0, 0, 400);
    CHECK_FALSE(WallPhoto(*stage, front, other).is_any());
    other[0].camera = test::take_photo(wall_photo_size, {30, -10, 1.5}, 0, 0, 0, 400);
    CHECK_FALSE(WallPhoto(*stage, front, other).is_any());
    // Of two, the one that shows more of it.
    other.push_back(photos[0]);
    other[1].id = "near";
    CHECK(WallPhoto(*stage, front, other).id() == "near");
}

PIXEL_TEST_CASE("a wall's plate on its photo shows the photo, dimmed") {
    test::PlainWall plain = test::make_plain_wall();
    plain.stage = build_stage(make_photographed_site(), {});
    plain.report.total_lx.assign(plain.stage->sensors.size(), 10);
    const std::vector<CameraPhoto> photos = make_grey_photo();
    PlateSource source = plain.source();
    CHECK(list_photo_plates(source).empty());
    source.photos = &photos;
    const std::vector<Plate> plates = list_photo_plates(source);
    REQUIRE(!plates.empty());
    CHECK(plates[0].id == "front.photo");
    const test::Pixels page = test::read_pixels(draw_plate(source, plates[0], PictureFormat::png));
    // 188 of 255, dimmed to 0.62 of that: most of the wall, which is 1,400 pixels wide.
    const double grey = 0.62 * 188 / 255;
    CHECK(test::find_colour(page, {grey, grey, grey}).count > 300'000);
}
