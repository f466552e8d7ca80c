// Textures averaged over a pixel: against means in linear light worked out here.

#include <cmath>
#include <doctest/doctest.h>

#include "../../src/view/filtered_textures.hpp"
#include "duskcast/view/view_trace.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

Texture chessboard(int size) {
    Texture board{size, size, {}};
    for (int i = 0; i < size * size; ++i) {
        const auto code = static_cast<std::uint8_t>((i + i / size) % 2 ? 255 : 0);
        board.rgba.insert(board.rgba.end(), {code, code, code, 255});
    }
    return board;
}

} // namespace

TEST_CASE("filtered textures: bilinear between texels in linear light") {
    // Two texels, black and white: at their middles what they are, half way between them a half.
    const Texture pair{2, 1, {0, 0, 0, 255, 255, 255, 255, 255}};
    const TextureLevels levels(pair);
    CHECK(levels.albedo({0.25f, 0.5f}, 1).x == doctest::Approx(0));
    CHECK(levels.albedo({0.75f, 0.5f}, 1).x == doctest::Approx(1));
    CHECK(levels.albedo({0.5f, 0.5f}, 1).x == doctest::Approx(0.5));
    CHECK(levels.albedo({0.375f, 0.5f}, 1).x == doctest::Approx(0.25));
    CHECK(levels.albedo({1.0f, 0.5f}, 1).x == doctest::Approx(0.5)); // repeated beyond the edge
}

TEST_CASE("filtered textures: from afar a chessboard is grey") {
    // Half of the light of white, 0.5, not the half of its code (0.214); 8 bits leave 0.3 %.
    const Texture board = chessboard(64);
    const TextureLevels levels(board);
    for (const float texels : {4.0f, 30.0f, 4096.0f, 1e9f})
        for (const glm::vec2 uv : {glm::vec2(0.1f, 0.1f), {0.503f, 0.77f}, {0.999f, 0.001f}}) {
            CAPTURE(texels);
            CHECK(levels.albedo(uv, texels).y == doctest::Approx(0.5).epsilon(0.01));
        }
    // Between the first level and the second the contrast fades.
    const auto contrast = [&](float texels) {
        return levels.albedo({1.5f / 64, 0.5f / 64}, texels).y -
               levels.albedo({0.5f / 64, 0.5f / 64}, texels).y;
    };
    CHECK(contrast(1) == doctest::Approx(1));
    CHECK(contrast(2) == doctest::Approx(0.5).epsilon(0.02));
}

TEST_CASE("filtered textures: sizes that do not halve evenly keep their mean") {
    Texture odd{7, 5, {}};
    double sum = 0;
    for (int i = 0; i < 35; ++i) {
        const auto code = static_cast<std::uint8_t>((i * 71) % 256);
        odd.rgba.insert(odd.rgba.end(), {code, code, code, 255});
        sum += static_cast<double>(
                   odd.albedo((static_cast<float>(i % 7) + 0.5f) / 7, (static_cast<float>(i / 7) + 0.5f) / 5)
                       .x) /
               35;
    }
    // The last row and column weigh less where an odd one is left over.
    CHECK(TextureLevels(odd).albedo({0.3f, 0.3f}, 1e6f).x == doctest::Approx(sum).epsilon(0.02).scale(0));
}

TEST_CASE("filtered textures: what is cut out colours nothing") {
    Texture leaf{8, 8, {}};
    for (int i = 0; i < 64; ++i) {
        const bool is_seen = i % 5 == 0;
        leaf.rgba.insert(leaf.rgba.end(), {static_cast<std::uint8_t>(is_seen ? 0 : 255),
                                           static_cast<std::uint8_t>(is_seen ? 255 : 0), 0,
                                           static_cast<std::uint8_t>(is_seen ? 255 : 0)});
    }
    const TextureLevels levels(leaf);
    for (const float texels : {4.0f, 16.0f, 64.0f}) {
        CHECK(levels.albedo({0.4f, 0.6f}, texels).x == doctest::Approx(0));
        CHECK(levels.albedo({0.4f, 0.6f}, texels).y == doctest::Approx(1));
    }
}

TEST_CASE("filtered textures: a chequered wall does not sparkle from afar") {
    // 1000 squares each way on 10 m, 20 m away: a pixel holds several, each sees half of a white wall's
    // E / pi, E = I d / r^3.
    Stage stage;
    stage.textures.push_back(chessboard(1000));
    stage.materials.push_back({.name = "chequered", .reflectance = glm::vec3(1), .texture = 0});
    stage.opaque.vertices = {{-5, 0, 0}, {5, 0, 0}, {5, 0, 10}, {-5, 0, 10}};
    stage.opaque.uv = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    stage.opaque.add({0, 1, 2}, 0, 0, false);
    stage.opaque.add({0, 2, 3}, 0, 0, false);
    stage.surfaces.push_back({.id = "wall", .kind = SurfaceKind::mesh, .part_of = "wall"});
    stage.kernel = std::make_unique<RayKernel>(stage.opaque, stage.cutouts, stage.leaves, stage.materials,
                                               stage.textures);
    const Camera camera = make_camera({"test", {0, -20, 5}, {0, 0, 5}, radians_from_degrees(20)}, 120, 80);
    const ViewImage image = trace_view(stage, {test::make_point("L", {0, -20, 5})}, camera, 0);
    double worst = 0;
    for (int y = 0; y < 80; ++y)
        for (int x = 0; x < 120; ++x) {
            const glm::dvec3 way = camera.direction_at({x + 0.5, y + 0.5});
            const double exact = 0.5 * 100 * 20 * std::pow(way.y / 20, 3) / pi;
            const double found = static_cast<double>(image.luminance[image.pixel_at(x, y)].y);
            worst = std::max(worst, std::abs(found / exact - 1));
        }
    MESSAGE("the worst pixel is off by ", 100 * worst, " %");
    CHECK(worst < 0.03);
}
