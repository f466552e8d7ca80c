// The map of light: sensors found for spots that have none, and tiles packed, each against trying all.

#include <doctest/doctest.h>
#include <set>

#include "../../src/app/atlas_packer.hpp"
#include "../../src/app/sensor_finder.hpp"
#include "duskcast/base/random.hpp"

using namespace duskcast;

namespace {

/// Sensors at random in a box, looking to all sides.
Sensors scatter(Random& random, std::size_t count, const glm::dvec3& size) {
    Sensors sensors;
    for (std::size_t i = 0; i < count; ++i)
        sensors.add(
            glm::vec3(random.uniform(0, size.x), random.uniform(0, size.y), random.uniform(0, size.z)),
            glm::vec3(random.direction()), 1);
    return sensors;
}

AtlasTile make_tile(int width, int height, std::int32_t first) {
    AtlasTile tile{.width = width, .height = height};
    for (int i = 0; i < width * height; ++i)
        tile.sensor.push_back(first + i);
    return tile;
}

} // namespace

TEST_CASE("the sensor found is the nearest that faces about the same way, as trying all finds it") {
    Random random(17);
    // A cloud, a wall of no depth, a line, and few sensors far apart.
    struct Row {
        std::size_t count;
        glm::dvec3 size;
        float farthest;
    };
    for (const Row& row : {Row{400, {4, 3, 2}, 1}, Row{300, {6, 0, 3}, 0.8f}, Row{60, {20, 0, 0}, 3},
                           Row{5, {50, 50, 50}, 60}}) {
        const Sensors sensors = scatter(random, row.count, row.size);
        std::vector<std::uint32_t> indices; // every third is of something else
        for (std::uint32_t i = 0; i < row.count; ++i)
            if (i % 3 != 0)
                indices.push_back(i);
        const SensorFinder finder(sensors, indices);
        int found = 0;
        for (int trial = 0; trial < 300; ++trial) {
            // Spots within the box and beside it.
            const glm::vec3 spot(random.uniform(-1, row.size.x + 1), random.uniform(-1, row.size.y + 1),
                                 random.uniform(-1, row.size.z + 1));
            const glm::vec3 normal(random.direction());
            float least = row.farthest;
            std::int32_t nearest = -1;
            for (const std::uint32_t i : indices) {
                const float distance = glm::distance(sensors.position(i), spot);
                if (distance < least && glm::dot(sensors.normal(i), normal) > 0.34f) { // cos 70 degrees
                    least = distance;
                    nearest = static_cast<std::int32_t>(i);
                }
            }
            const std::int32_t made = finder.find(spot, normal, row.farthest);
            found += made >= 0 ? 1 : 0;
            if (made == nearest)
                continue;
            // The last bit of a square root may tell two at the same distance apart.
            REQUIRE((made >= 0 && nearest >= 0));
            CHECK(glm::distance(sensors.position(static_cast<std::uint32_t>(made)), spot) ==
                  doctest::Approx(least).epsilon(1e-5));
        }
        CHECK(found > 20);
    }
    const Sensors none;
    CHECK(SensorFinder(none, {}).find({0, 0, 0}, {0, 0, 1}, 1e6f) == -1);
}

TEST_CASE("a packed atlas holds every texel of every tile once, and no tile lies on another") {
    Random random(8);
    for (int trial = 0; trial < 10; ++trial) {
        std::vector<AtlasTile> tiles;
        std::int32_t next = 0;
        for (int i = 0; i < 30; ++i) {
            const int width = 1 + static_cast<int>(random.uniform(0, trial == 0 ? 300 : 40)),
                      height = 1 + static_cast<int>(random.uniform(0, 25));
            tiles.push_back(make_tile(width, height, next));
            next += width * height;
        }
        const LightAtlas atlas = pack_atlas(tiles);
        REQUIRE(atlas.sensor.size() == static_cast<std::size_t>(atlas.width) * atlas.height);
        std::vector<int> times(static_cast<std::size_t>(next), 0);
        for (const std::int32_t sensor : atlas.sensor)
            if (sensor >= 0)
                ++times[static_cast<std::size_t>(sensor)];
        CHECK(std::count(times.begin(), times.end(), 1) == next);
        int wrong = 0;
        for (AtlasTile& tile : tiles)
            for (int row = 0; row < tile.height; ++row)
                for (int column = 0; column < tile.width; ++column)
                    wrong += atlas.sensor[static_cast<std::size_t>(tile.low + row) * atlas.width + tile.left +
                                          column] != tile.at(column, row);
        CHECK(wrong == 0);
        // Textures of a page are at most a few thousand texels wide; shelves waste less than half of it.
        CHECK(static_cast<double>(next) > 0.4 * atlas.width * atlas.height);
    }
    std::vector<AtlasTile> nothing;
    CHECK(pack_atlas(nothing).sensor.empty());
}

TEST_CASE("an empty texel takes a sensor that is as few steps away as any") {
    Random random(5);
    for (int trial = 0; trial < 20; ++trial) {
        AtlasTile tile{.width = 9, .height = 7};
        tile.sensor.assign(63, -1);
        for (std::int32_t i = 0; i < 5; ++i)
            tile.sensor[static_cast<std::size_t>(random.uniform(0, 63))] = i;
        const AtlasTile before = tile;
        fill_gaps(tile);
        const auto steps_to = [&](int at, std::int32_t sensor) { // -1: to any
            int least = 1000;
            for (int i = 0; i < 63; ++i)
                if (const std::int32_t there = before.sensor[static_cast<std::size_t>(i)];
                    there >= 0 && (sensor < 0 || there == sensor))
                    least = std::min(least, std::abs(at % 9 - i % 9) + std::abs(at / 9 - i / 9));
            return least;
        };
        for (int at = 0; at < 63; ++at)
            CHECK(steps_to(at, tile.sensor[static_cast<std::size_t>(at)]) == steps_to(at, -1));
    }
    AtlasTile empty{.width = 2, .height = 2};
    empty.sensor.assign(4, -1);
    fill_gaps(empty);
    CHECK(empty.sensor == std::vector<std::int32_t>(4, -1));
}
