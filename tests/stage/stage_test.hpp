#pragma once
// What several tests of the room need.

#include <algorithm>
#include <array>
#include <cmath>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <map>
#include <memory>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include "duskcast/site/site_file.hpp"
#include "duskcast/stage/stage.hpp"
#include "folder.hpp"

namespace duskcast::test {

/// Every NAME.site.json of the scenes, in order of its name.
inline std::vector<std::filesystem::path> scene_files() {
    std::vector<std::filesystem::path> files;
    const std::filesystem::path scenes = std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes";
    for (const auto& entry : std::filesystem::recursive_directory_iterator(scenes))
        if (entry.path().string().ends_with(".site.json"))
            files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    return files;
}

/// Seeded numbers, the same on every machine (unlike the standard library's distributions).
class Dice {
public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}
    double uniform(double low = 0, double high = 1) {
        return low + (high - low) * static_cast<double>(engine_() >> 11) * 0x1.0p-53;
    }
    glm::dvec3 direction() {
        while (true) {
            const glm::dvec3 spot{uniform(-1, 1), uniform(-1, 1), uniform(-1, 1)};
            const double length = glm::length(spot);
            if (length > 0.1 && length <= 1)
                return spot / length;
        }
    }

private:
    std::mt19937_64 engine_;
};

inline Opening make_opening(const std::string& id, double from, double width, double sill, double height) {
    Opening opening;
    opening.id = id;
    opening.from = from;
    opening.width = width;
    opening.sill = sill;
    opening.height = height;
    return opening;
}

inline Projection make_projection(const std::string& id, double from, double width, double depth,
                                  double bottom, double height) {
    Projection projection;
    projection.id = id;
    projection.from = from;
    projection.width = width;
    projection.depth = depth;
    projection.bottom = bottom;
    projection.height = height;
    return projection;
}

inline Site make_wall_site(std::vector<glm::dvec2> path, bool is_closed, double height) {
    Site site;
    Wall wall;
    wall.id = "house";
    wall.path = std::move(path);
    wall.closed = is_closed;
    wall.height = height;
    site.walls = {wall};
    return site;
}

/// Triangles of the surfaces that a test asks for, by corner positions.
template <class IsWanted>
std::vector<std::array<glm::vec3, 3>> pick_triangles(const Stage& stage, IsWanted is_wanted) {
    std::vector<std::array<glm::vec3, 3>> picked;
    for (std::size_t i = 0; i < stage.opaque.size(); ++i)
        if (is_wanted(stage.surfaces[stage.opaque.surface[i]])) {
            const glm::uvec3& corner = stage.opaque.corners[i];
            picked.push_back({stage.opaque.vertices[corner.x], stage.opaque.vertices[corner.y],
                              stage.opaque.vertices[corner.z]});
        }
    return picked;
}

using Key = std::tuple<float, float, float>;
inline Key key_of(const glm::vec3& point) {
    return {point.x + 0.0f, point.y + 0.0f, point.z + 0.0f};
}

/// How often each directed edge is walked; equal floats are one vertex.
inline std::map<std::pair<Key, Key>, int>
count_edges(const std::vector<std::array<glm::vec3, 3>>& triangles) {
    std::map<std::pair<Key, Key>, int> edges;
    for (const std::array<glm::vec3, 3>& corner : triangles)
        for (int i = 0; i < 3; ++i)
            ++edges[{key_of(corner[i]), key_of(corner[(i + 1) % 3])}];
    return edges;
}

/// Sum of a surface's sensor areas.
inline double sensor_area(const Stage& stage, const Surface& surface) {
    double sum = 0;
    for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i)
        sum += stage.sensors.area[i];
    return sum;
}

inline const Surface& surface_named(const Stage& stage, const std::string& id) {
    const int index = stage.find_surface(id);
    REQUIRE_MESSAGE(index >= 0, "no surface " << id);
    return stage.surfaces[index];
}

/// The text of the problems that the call throws, one a line; "" when it throws none.
template <class Call> std::string problems_of(Call call) {
    try {
        call();
    } catch (const InputError& error) {
        std::string text;
        for (const Problem& problem : error.problems())
            text += (text.empty() ? "" : "\n") + print_problem(problem);
        return text;
    }
    return "";
}

} // namespace duskcast::test
