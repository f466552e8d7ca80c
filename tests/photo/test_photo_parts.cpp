// Which pixel shows what: masks against a point-in-polygon test, sky in pictures painted by hand.

#include <algorithm>
#include <array>
#include <cmath>
#include <doctest/doctest.h>

#include "../../src/photo/photo_parts.hpp"
#include "duskcast/base/random.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

PhotoMask make_mask(MaskKind kind, std::vector<double> outline) {
    return {.kind = kind, .plant = kind == MaskKind::plant ? "maple" : "", .outline = std::move(outline)};
}

/// Whether a place is inside by the turns that the outline makes round it (even turns are outside).
bool is_wound_round(const std::vector<double>& outline, const glm::dvec2& place) {
    double turns = 0;
    const std::size_t corners = outline.size() / 2;
    for (std::size_t i = 0; i < corners; ++i) {
        const std::size_t j = (i + 1) % corners;
        const glm::dvec2 a = glm::dvec2(outline[2 * i], outline[2 * i + 1]) - place,
                         b = glm::dvec2(outline[2 * j], outline[2 * j + 1]) - place;
        turns += std::atan2(a.x * b.y - a.y * b.x, glm::dot(a, b)) / (2 * pi);
    }
    return std::lround(turns) % 2 != 0;
}

/// A picture of one colour, to paint on.
class Painting {
public:
    Painting(glm::ivec2 size, const glm::ivec3& colour) : size_(size) {
        pixels.size = size;
        for (int i = 0; i < size.x * size.y; ++i)
            for (int channel = 0; channel < 3; ++channel)
                pixels.rgb.push_back(static_cast<std::uint8_t>(colour[channel]));
        look.face.assign(static_cast<std::size_t>(size.x * size.y), no_face);
    }
    std::size_t at(int x, int y) const { return static_cast<std::size_t>(y * size_.x + x); }

    /// The site's face, where it has one, and the colour of columns x0..x1 and rows y0..y1, ends excluded.
    void paint(glm::ivec2 from, glm::ivec2 to, const glm::ivec3& colour, std::optional<FaceKey> face = {}) {
        for (int y = from.y; y < to.y; ++y)
            for (int x = from.x; x < to.x; ++x) {
                for (int channel = 0; channel < 3; ++channel)
                    pixels.rgb[3 * at(x, y) + static_cast<std::size_t>(channel)] =
                        static_cast<std::uint8_t>(colour[channel]);
                if (face)
                    look.face[at(x, y)] = *face;
            }
    }
    std::vector<bool> sky(const std::vector<PhotoMask>& masks = {}, int slack = 0) {
        SkyLook found;
        return find_sky(pixels, look.face, fill_masks(masks, size_), masks, slack, found);
    }

    PhotoPixels pixels;
    CameraLook look;

private:
    glm::ivec2 size_;
};

constexpr glm::ivec3 blue{150, 190, 235}, white{225, 222, 218}, brick{140, 70, 55}, green{60, 90, 40};
constexpr FaceKey wall_face = 5u << 15;

long count(const std::vector<bool>& flags) {
    return std::count(flags.begin(), flags.end(), true);
}

} // namespace

TEST_CASE("a mask takes the pixels whose middles its outline winds round") {
    Random random(31);
    constexpr glm::ivec2 size{64, 48};
    for (int trial = 0; trial < 40; ++trial) {
        // Corners at random, also beside the picture: outlines that cross themselves and leave the picture.
        std::vector<double> outline;
        const int corners = 3 + trial % 6;
        for (int i = 0; i < corners; ++i) {
            outline.push_back(random.uniform(-15, 80));
            outline.push_back(random.uniform(-10, 60));
        }
        const std::vector<std::uint16_t> filled =
            fill_masks(std::vector{make_mask(MaskKind::sky, outline)}, size);
        int wrong = 0;
        for (int y = 0; y < size.y; ++y)
            for (int x = 0; x < size.x; ++x)
                wrong += (filled[static_cast<std::size_t>(y * size.x + x)] == 1) !=
                         is_wound_round(outline, {x + 0.5, y + 0.5});
        CAPTURE(trial);
        CHECK(wrong == 0);
    }
}

TEST_CASE("a mask drawn later lies on top, and two that share an edge leave no gap") {
    const std::vector<PhotoMask> masks{make_mask(MaskKind::sky, {0, 0, 20, 0, 20, 10, 0, 10}),
                                       make_mask(MaskKind::unlit, {5, 2, 9, 2, 9, 6, 5, 6}),
                                       make_mask(MaskKind::plant, {0, 10, 20, 10, 20, 20, 0, 20})};
    const std::vector<std::uint16_t> filled = fill_masks(masks, {20, 20});
    std::array<int, 4> counts{};
    for (const std::uint16_t value : filled)
        ++counts.at(value);
    CHECK(counts == std::array<int, 4>{0, 200 - 16, 16, 200});
    CHECK(filled[3 * 20 + 6] == 2);
    CHECK(fill_masks({}, {4, 4}) == std::vector<std::uint16_t>(16, 0));
}

TEST_CASE("sky is what looks like the upper edge and is joined to it where the site has nothing") {
    Painting painting({80, 60}, blue);
    painting.paint({0, 40}, {80, 60}, brick, wall_face);
    painting.paint({10, 20}, {20, 40}, green);           // a tree that the site does not have
    painting.paint({50, 25}, {60, 35}, blue, wall_face); // a pane that mirrors the sky
    painting.paint({30, 45}, {34, 50}, blue, wall_face);
    const std::vector<bool> sky = painting.sky();
    CHECK(count(sky) == 80 * 40 - 10 * 20 - 10 * 10);
    CHECK(sky[painting.at(5, 5)]);
    CHECK(sky[painting.at(49, 30)]);
    CHECK(!sky[painting.at(15, 30)]);
    CHECK(!sky[painting.at(55, 30)]);
    CHECK(!sky[painting.at(32, 47)]);
    // What is enclosed, such as the sky between a tree's boughs, is not joined: it stays as it is.
    painting.paint({20, 10}, {40, 30}, green);
    painting.paint({25, 15}, {35, 25}, blue);
    CHECK(!painting.sky()[painting.at(30, 20)]);
    CHECK(painting.sky()[painting.at(45, 20)]);
}

TEST_CASE("a mask says what is sky and what is not, whatever it looks like") {
    Painting painting({80, 60}, blue);
    painting.paint({0, 40}, {80, 60}, brick, wall_face);
    painting.paint({20, 0}, {30, 12}, green);
    // The gap under a pergola, without a way to the upper edge.
    painting.paint({70, 45}, {80, 55}, blue);
    for (int y = 45; y < 55; ++y)
        for (int x = 70; x < 80; ++x)
            painting.look.face[painting.at(x, y)] = no_face;
    CHECK(!painting.sky()[painting.at(75, 50)]);
    const PhotoMask gap = make_mask(MaskKind::sky, {70, 45, 80, 45, 80, 55, 70, 55});
    const PhotoMask cloud = make_mask(MaskKind::sky, {20, 0, 30, 0, 30, 12, 20, 12});
    const PhotoMask van = make_mask(MaskKind::unlit, {0, 0, 10, 0, 10, 40, 0, 40});
    const std::vector<bool> sky = painting.sky({gap, cloud, van});
    CHECK(sky[painting.at(75, 50)]);
    CHECK(sky[painting.at(25, 6)]); // dark as a thundercloud, but said to be sky
    CHECK(!sky[painting.at(5, 20)]);
    CHECK(sky[painting.at(15, 20)]);
    CHECK(count(sky) == 80 * 40 - 10 * 40 + 10 * 10);
}

TEST_CASE("sky enters the site's edges by no more than the camera may be off, and white trim stays") {
    Painting painting({80, 60}, blue);
    painting.paint({0, 40}, {40, 60}, blue, wall_face); // the site says wall: the camera is off
    painting.paint({40, 40}, {80, 60}, white, wall_face);
    for (const int slack : {0, 2, 5}) {
        CAPTURE(slack);
        CHECK(count(painting.sky({}, slack)) == 80 * 40 + 40 * slack);
    }
    painting.paint({40, 40}, {80, 60}, {165, 200, 240}, wall_face); // no darker than the sky: one with it
    CHECK(count(painting.sky({}, 2)) == 80 * 40 + 80 * 2);
}

TEST_CASE("a picture that the site fills has no sky") {
    Painting painting({80, 60}, blue);
    painting.paint({0, 0}, {80, 60}, brick, wall_face);
    CHECK(count(painting.sky()) == 0);
    CHECK(!SkyLook{}.is_like({1, 1, 1}));
}

TEST_CASE("what is like sky is nearly as bright and of nearly its colour") {
    SkyLook sky;
    sky.luminance = 0.5;
    sky.share = glm::dvec3(0.25, 0.33, 0.42);
    // Luminance by the weights of ITU-R BT.709: 0.2126, 0.7152, 0.0722.
    const auto coloured = [](double luminance, const glm::dvec3& share) {
        return glm::vec3(share * luminance / glm::dot(share, glm::dvec3(0.2126, 0.7152, 0.0722)));
    };
    CHECK(sky.is_like(coloured(0.5, sky.share)));
    CHECK(sky.is_like(coloured(0.36, sky.share)));
    CHECK(!sky.is_like(coloured(0.34, sky.share)));
    CHECK(sky.is_like(coloured(1, sky.share)));
    CHECK(sky.is_like(coloured(0.5, glm::dvec3(1.0 / 3))) == false); // 0.09 off in blue
    CHECK(sky.is_like(coloured(0.5, {0.28, 0.33, 0.39})));
    CHECK(!sky.is_like(glm::vec3(0)));
}

TEST_CASE("a camera's rays meet the wall where its pinhole shows it") {
    Site site;
    site.sensor_spacing = site.ground_spacing = 2; // nothing here asks for sensors
    site.ground.margin = 1;
    site.walls = {Wall{.id = "front", .path = {{-2, 0}, {2, 0}}, .height = 3, .finish = {}}};
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const RayKernel& seen = *stage->kernel;
    const Camera camera = take_photo({240, 160}, {0, -8, 1.45}, 0, 0, 0, 200);
    const CameraLook look = look_at_stage(*stage, seen, camera);
    const int front = stage->find_surface("front");
    std::size_t of_wall = 0;
    for (std::size_t pixel = 0; pixel < look.face.size(); ++pixel) {
        if (surface_of(look.face[pixel]) != front)
            continue;
        ++of_wall;
        const glm::dvec3 way = camera.direction_at(
            {static_cast<double>(pixel % 240) + 0.5, static_cast<double>(pixel / 240) + 0.5});
        CHECK(static_cast<double>(look.distance[pixel]) == doctest::Approx(8 / way.y).epsilon(1e-4));
    }
    // 4 m by 3 m at 8 m: 100 by 75 pixels.
    CHECK(of_wall == 100 * 75);
    CHECK(look.face[0] == no_face);
    CHECK(std::isinf(look.distance[0]));
    CHECK(surface_of(no_face) == -1);
    // Faces of one surface that look elsewhere are told apart.
    site.walls[0].path = {{-2, 0}, {0, -1}, {2, 0}};
    const std::unique_ptr<Stage> bent = build_stage(site, {});
    const CameraLook at_bend = look_at_stage(*bent, *bent->kernel, camera);
    const std::size_t middle_row = 80 * 240;
    const FaceKey left = at_bend.face[middle_row + 100], right = at_bend.face[middle_row + 140];
    CHECK(surface_of(left) == surface_of(right));
    CHECK(left != right);
}
