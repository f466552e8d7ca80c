#pragma once
// Stages put together by hand, for closed forms.

#include <array>
#include <cmath>

#include "duskcast/base/random.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "make_stage.hpp"

namespace duskcast {

/// A stage by hand.
struct StageMaker {
    std::unique_ptr<Stage> stage = std::make_unique<Stage>();

    StageMaker() { stage->surfaces.push_back({.id = "all", .kind = SurfaceKind::mesh, .part_of = "all"}); }

    std::uint16_t material(const glm::vec3& reflectance, const glm::vec3& transmittance = glm::vec3(0),
                           int texture = -1) {
        stage->materials.push_back(
            {.reflectance = reflectance, .transmittance = transmittance, .texture = texture});
        return static_cast<std::uint16_t>(stage->materials.size() - 1);
    }

    /// Faces the side from which its corners run counter-clockwise; uv 0..1 over it.
    static void add_quad(Triangles& triangles, const std::array<glm::vec3, 4>& corners, std::uint16_t of,
                         bool is_solid = false) {
        const auto first = static_cast<unsigned>(triangles.vertices.size());
        triangles.vertices.insert(triangles.vertices.end(), corners.begin(), corners.end());
        triangles.uv.insert(triangles.uv.end(), {{0, 0}, {1, 0}, {1, 1}, {0, 1}});
        triangles.add({first, first + 1, first + 2}, of, 0, is_solid);
        triangles.add({first, first + 2, first + 3}, of, 0, is_solid);
    }

    /// Level, facing up.
    static std::array<glm::vec3, 4> level(float half, float z) {
        return {glm::vec3(-half, -half, z), {half, -half, z}, {half, half, z}, {-half, half, z}};
    }

    /// A box about the origin, facing outwards.
    void add_box(const glm::vec3& half, std::uint16_t of, bool is_solid) {
        constexpr std::array<std::array<int, 4>, 6> faces{
            {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}}};
        for (const auto& face : faces) {
            std::array<glm::vec3, 4> corners;
            for (int i = 0; i < 4; ++i)
                corners[i] =
                    half * glm::vec3(face[i] & 1 ? 1 : -1, face[i] & 2 ? 1 : -1, face[i] & 4 ? 1 : -1);
            add_quad(stage->opaque, corners, of, is_solid);
        }
    }

    void add_leaf(const std::array<glm::vec3, 4>& corners, std::uint16_t of) {
        stage->leaves.corners.insert(stage->leaves.corners.end(), corners.begin(), corners.end());
        stage->leaves.material.push_back(of);
        stage->leaves.surface.push_back(0);
    }

    void add_sensor(const glm::vec3& position, const glm::vec3& normal) {
        stage->sensor_seed.push_back(join_seeds(0, stage->sensors.size()));
        stage->sensors.add(position, normal, 1);
    }

    /// A closed sphere of radius 1 about the origin, of 96 x 48 facets; returns their area. One facet in so
    /// many of a ring and a turn carries a sensor that faces inwards.
    double add_sphere(std::uint16_t of, int every_ring, int every_turn) {
        constexpr int turns = 96, rings = 48;
        const auto at = [](int ring, int turn) {
            const double g = pi * ring / rings, c = 2 * pi * turn / turns;
            return glm::dvec3(std::sin(g) * std::cos(c), std::sin(g) * std::sin(c), std::cos(g));
        };
        double area = 0;
        for (int ring = 0; ring < rings; ++ring)
            for (int turn = 0; turn < turns; ++turn) {
                const std::array<glm::dvec3, 4> corner{at(ring, turn), at(ring, turn + 1),
                                                       at(ring + 1, turn + 1), at(ring + 1, turn)};
                area += glm::length(glm::cross(corner[2] - corner[0], corner[3] - corner[1])) / 2;
                add_quad(
                    stage->opaque,
                    {glm::vec3(corner[0]), glm::vec3(corner[1]), glm::vec3(corner[2]), glm::vec3(corner[3])},
                    of);
                if (ring % every_ring != every_ring / 2 || turn % every_turn != every_turn / 2)
                    continue;
                const glm::dvec3 middle = 0.25 * (corner[0] + corner[1] + corner[2] + corner[3]);
                add_sensor(glm::vec3(middle), glm::vec3(-glm::normalize(middle)));
            }
        return area;
    }

    /// A square of side by side sensors from `corner` along two edges.
    void add_sensors(int side, const glm::vec3& corner, const glm::vec3& along, const glm::vec3& across,
                     const glm::vec3& normal) {
        for (int row = 0; row < side; ++row)
            for (int column = 0; column < side; ++column)
                add_sensor(corner + (static_cast<float>(column) + 0.5f) / static_cast<float>(side) * along +
                               (static_cast<float>(row) + 0.5f) / static_cast<float>(side) * across,
                           normal);
    }

    const Stage& finish() {
        stage->first_leaf_sensor = static_cast<std::uint32_t>(stage->sensors.size());
        stage->surfaces[0].count = stage->first_leaf_sensor;
        stage->kernel = std::make_unique<RayKernel>(stage->opaque, stage->cutouts, stage->leaves,
                                                    stage->materials, stage->textures);
        return *stage;
    }
};

/// `candela` everywhere.
inline LitFixture make_source(const glm::vec3& at, double candela) {
    LitFixture fixture;
    fixture.lens = {.centre = at};
    fixture.table = IntensityTable(make_isotropic(), {});
    fixture.scale = candela / 1000;
    return fixture;
}

/// The same with its lumens, as bounced light wants them.
inline LitFixture make_bulb(const glm::vec3& at, double candela) {
    LitFixture bulb = make_source(at, candela);
    bulb.lumens = 4 * pi * candela;
    return bulb;
}

/// What comes from one fixture and the sky by way of other surfaces; direct light is left out.
inline Lighting bounce_light(const Stage& stage, const LitFixture& fixture, double ambient = 0) {
    Lighting lighting;
    lighting.fixtures = {fixture};
    add_bounce(set_up_bounce(stage, lighting.fixtures, ambient), lighting);
    return lighting;
}

/// A kilometre over the origin: at z = 0 within 10 m of the axis its light is even to 1.5e-4.
inline LitFixture make_sun(double lux) {
    return make_source({0, 0, 1000}, lux * 1e6);
}

} // namespace duskcast
