// The light on a plant in a photo: smoothed ratios against the error function, sights against the pinhole.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <functional>
#include <map>
#include <set>

#include "../../src/photo/plant_light.hpp"
#include "../../src/photo/seen_part.hpp"
#include "duskcast/base/random.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr int width = 200, height = 40;

Camera small_camera() {
    return take_photo({width, height}, {0, 0, 1.5}, 0, 0, 0, 100);
}

/// All pixels of columns from..to, end excluded.
std::vector<std::uint32_t> columns(int from, int to) {
    std::vector<std::uint32_t> pixels;
    for (int y = 0; y < height; ++y)
        for (int x = from; x < to; ++x)
            pixels.push_back(static_cast<std::uint32_t>(y * width + x));
    return pixels;
}

std::vector<glm::vec3> picture(const std::function<float(int x, int y)>& value) {
    std::vector<glm::vec3> pixels;
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x)
            pixels.emplace_back(value(x, y));
    return pixels;
}

/// With few sensors, which nothing here asks for.
Site coarse(Site site) {
    site.sensor_spacing = site.ground_spacing = 2;
    site.leaf_sensors = 2;
    site.ground.margin = 1;
    return site;
}

struct Seen {
    Site site;
    std::unique_ptr<Stage> stage;
    Camera camera;
    CameraLook look;

    Seen(Site of, const Camera& from)
        : site(coarse(std::move(of))), stage(build_stage(site, {})), camera(from) {
        const SeenPart plants(*stage, SeenPart::Keep::plants);
        look = look_at_stage(*stage, plants.kernel(), camera);
    }
    PlantSight plant(const std::string& id) const { return find_plant(site, *stage, id, camera, look); }
    double height_at(std::uint32_t pixel) const {
        const auto across = static_cast<std::uint32_t>(camera.width);
        const glm::dvec3 way = camera.direction_at({pixel % across + 0.5, pixel / across + 0.5});
        return camera.eye.z + static_cast<double>(look.distance[pixel]) * way.z;
    }
};

Tree make_tree() {
    Tree tree{.id = "maple", .at = {0, 10}, .height = 6, .base = 2, .width = 4, .trunk_diameter = 0.4};
    tree.foliage.density = LeafDensity::dense;
    tree.foliage.leaf_size = 0.25;
    return tree;
}

} // namespace

TEST_CASE("where night is a share of day everywhere, that share is found, between leaves and beside them") {
    Random random(4);
    const std::vector<glm::vec3> day =
        picture([&](int, int) { return static_cast<float>(random.uniform(0.1, 1)); });
    std::vector<glm::vec3> night;
    for (const glm::vec3& value : day)
        night.push_back(value * glm::vec3(0.3f, 0.2f, 0.1f));
    // Every other pixel of the columns is of leaf.
    std::vector<std::uint32_t> pixels = columns(60, 120);
    std::erase_if(pixels, [&](std::uint32_t) { return random.uniform() < 0.5; });
    const PlantRatio ratio(small_camera(), pixels, 3, night, day);
    REQUIRE(ratio.is_known());
    for (const glm::dvec2& place : {glm::dvec2(90, 20), glm::dvec2(60.2, 0), glm::dvec2(55, 39),
                                    glm::dvec2(0, 0), glm::dvec2(199, 39)}) {
        const glm::vec3 found = ratio.at(place);
        CHECK(found.x == doctest::Approx(0.3).epsilon(1e-4));
        CHECK(found.y == doctest::Approx(0.2).epsilon(1e-4));
        CHECK(found.z == doctest::Approx(0.1).epsilon(1e-4));
    }
    CHECK(!PlantRatio(small_camera(), {}, 3, night, day).is_known());
}

TEST_CASE("an edge of light on a crown is as soft as a Gaussian makes it") {
    // A step from 1 to 3 at column 100: the mean of a normal distribution's two sides (error function).
    const std::vector<glm::vec3> day = picture([](int, int) { return 1.0f; });
    const std::vector<glm::vec3> night = picture([](int x, int) { return x < 100 ? 1.0f : 3.0f; });
    for (const double deviation : {2.0, 5.0}) {
        const PlantRatio ratio(small_camera(), columns(40, 160), deviation, night, day);
        for (double x = 85; x <= 115; x += 2.5) {
            CAPTURE(deviation);
            CAPTURE(x);
            const double wanted = 2 + std::erf((x - 100) / (deviation * std::sqrt(2.0)));
            CHECK(static_cast<double>(ratio.at({x, 20}).x) == doctest::Approx(wanted).epsilon(0.012));
        }
    }
}

TEST_CASE("far from every leaf a plant is as bright as its mean") {
    const std::vector<glm::vec3> day = picture([](int x, int) { return x < 100 ? 1.0f : 2.0f; });
    const std::vector<glm::vec3> night = picture([](int x, int) { return x < 100 ? 1.0f : 6.0f; });
    std::vector<std::uint32_t> pixels = columns(10, 20);
    const std::vector<std::uint32_t> right = columns(180, 190);
    pixels.insert(pixels.end(), right.begin(), right.end());
    const PlantRatio ratio(small_camera(), pixels, 2, night, day);
    CHECK(static_cast<double>(ratio.at({15, 20}).x) == doctest::Approx(1).epsilon(0.01));
    CHECK(static_cast<double>(ratio.at({185, 20}).x) == doctest::Approx(3).epsilon(0.01));
    CHECK(static_cast<double>(ratio.at({100, 20}).x) == doctest::Approx(7.0 / 3).epsilon(1e-4));
}

TEST_CASE("a tree is seen as trunk below its leaves and as crown above, as wide as the pinhole makes it") {
    Site site;
    site.trees = {make_tree()};
    const Seen seen(site, take_photo({300, 400}, {0, 0, 1.5}, 0, 10, 0, 300));
    const PlantSight plant = seen.plant("maple");
    CHECK(plant.at == glm::dvec2(0, 10));
    CHECK(plant.trunk_radius == doctest::Approx(0.2));
    REQUIRE(!plant.leaf_pixels.empty());
    REQUIRE(!plant.trunk_pixels.empty());
    std::map<std::uint32_t, int> trunk_by_row;
    for (const std::uint32_t pixel : plant.trunk_pixels) {
        CHECK(seen.height_at(pixel) < plant.trunk_top);
        ++trunk_by_row[pixel / 300];
    }
    std::uint32_t left = 300, right = 0;
    for (const std::uint32_t pixel : plant.leaf_pixels) {
        CHECK(seen.height_at(pixel) >= plant.trunk_top);
        left = std::min(left, pixel % 300);
        right = std::max(right, pixel % 300);
    }
    CHECK(plant.trunk_top > 2);
    CHECK(plant.trunk_top < 3);
    // 4 m at about 10 m: 120 pixels; its nearest leaves are at 8 m.
    CHECK(right - left > 105);
    CHECK(right - left < 150);
    // 0.4 m at 10 m: 12 pixels, of which a tapering trunk shows a little more or less.
    int rows = 0;
    for (const auto& [row, pixels] : trunk_by_row)
        rows += pixels >= 9 && pixels <= 17 ? 1 : 0;
    CHECK(rows >= 0.8 * static_cast<double>(trunk_by_row.size()));
    // Twice as far off the same metres of smoothing are half as many pixels.
    const Seen far(site, take_photo({300, 400}, {0, -10, 1.5}, 0, 10, 0, 300));
    CHECK(far.plant("maple").leaf_blur == doctest::Approx(plant.leaf_blur / 2));
    CHECK(far.plant("maple").trunk_blur == doctest::Approx(plant.trunk_blur / 2));
}

TEST_CASE("a trunk of which nothing is said is a fortieth of the tree's height") {
    Site site;
    Tree tree = make_tree();
    tree.trunk_diameter = 0;
    site.trees = {tree};
    const Seen seen(site, take_photo({60, 80}, {0, 0, 1.5}, 0, 10, 0, 60));
    CHECK(seen.plant("maple").trunk_radius == doctest::Approx(6.0 / 40 / 2));
}

TEST_CASE("a hedge has no trunk and stands at the middle of its line") {
    Site site;
    Shrub hedge{.id = "hedge", .path = {{-3, 6}, {3, 6}}, .width = 0.8, .height = 1.2};
    hedge.foliage.density = LeafDensity::dense;
    hedge.foliage.leaf_size = 0.2;
    site.shrubs = {hedge};
    site.trees = {make_tree()};
    const Seen seen(site, take_photo({300, 200}, {0, 0, 1.5}, 0, 0, 0, 200));
    const PlantSight plant = seen.plant("hedge");
    CHECK(plant.at == glm::dvec2(0, 6));
    CHECK(plant.trunk_radius == 0);
    CHECK(plant.trunk_pixels.empty());
    REQUIRE(!plant.leaf_pixels.empty());
    for (const std::uint32_t pixel : plant.leaf_pixels)
        CHECK(seen.height_at(pixel) < 1.35);
    // A plant that stands behind the camera is not seen.
    const Seen away(site, take_photo({300, 200}, {0, 0, 1.5}, 180, 0, 0, 200));
    CHECK(away.plant("hedge").leaf_pixels.empty());
    CHECK(away.plant("maple").leaf_pixels.empty());
}

TEST_CASE("a part of a stage holds its plants or all but its plants") {
    Site site;
    site.walls = {Wall{.id = "front", .path = {{-4, 14}, {4, 14}}, .height = 4, .finish = {}}};
    site.trees = {make_tree()};
    const std::unique_ptr<Stage> stage = build_stage(coarse(site), {});
    const Camera camera = take_photo({60, 80}, {0, 0, 1.5}, 0, 5, 0, 60);
    const auto surfaces_in = [&](SeenPart::Keep keep) {
        const SeenPart part(*stage, keep);
        std::set<std::string> seen;
        for (const FaceKey face : look_at_stage(*stage, part.kernel(), camera).face)
            if (face != no_face)
                seen.insert(stage->surfaces[static_cast<std::size_t>(surface_of(face))].id);
        return seen;
    };
    CHECK(surfaces_in(SeenPart::Keep::plants) == std::set<std::string>{"maple"});
    const std::set<std::string> rest = surfaces_in(SeenPart::Keep::all_but_plants);
    CHECK(rest.contains("front"));
    CHECK(!rest.contains("maple"));
}
