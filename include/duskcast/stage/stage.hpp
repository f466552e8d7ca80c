#pragma once
// The site made ready for light: facets, materials, named surfaces, sensors, ray kernel.

#include <algorithm>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "duskcast/site/site_file.hpp"
#include "duskcast/stage/geometry.hpp"
#include "duskcast/stage/glow_source.hpp"
#include "duskcast/stage/ray_kernel.hpp"
#include "duskcast/stage/relief.hpp"
#include "duskcast/stage/surface.hpp"

namespace duskcast {

/// How far a ray starts from the surface it belongs to, metres. Well above the float resolution at
/// 500 m (3e-5) and below anything a site describes.
inline constexpr float surface_offset = 1e-3f;

/// Where a ray starts that leaves a surface on the side of `normal`.
inline glm::vec3 step_off(const glm::vec3& position, const glm::vec3& normal) {
    return position + surface_offset * normal;
}

/// A ray from `origin` as far as the share `far_end` of the way to `end`.
inline Ray make_ray(const glm::vec3& origin, const glm::vec3& end, float far_end) {
    Ray ray;
    ray.origin = origin;
    ray.direction = end - origin;
    ray.far_end = far_end;
    return ray;
}

/// The share of a way of `distance` metres that ends surface_offset before a lens. An absolute distance: a
/// fixed share of a long way would pass over leaves near the lens.
inline float end_before(float distance) {
    return std::max(0.0f, 1 - surface_offset / distance);
}

/// A shadow ray from `origin` to just before `end`.
inline Ray make_shadow_ray(const glm::vec3& origin, const glm::vec3& end) {
    return make_ray(origin, end, end_before(glm::length(end - origin)));
}

/// A bed, a path, a pond: part of the ground with a surface and a material of its own.
struct GroundCover {
    int surface = 0;
    int material = 0;
    std::vector<glm::dvec2> outline;
    GroundKind kind = GroundKind::lawn;
    glm::dvec2 low{-1e9}, high{1e9}; ///< a box about the outline
};

struct Stage {
    std::vector<Material> materials;
    std::vector<Texture> textures;
    Triangles opaque;  ///< includes the ground as a rectangle of `ground_reach`
    Triangles cutouts; ///< triangles whose texture has see-through parts
    Leaves leaves;
    std::vector<Surface> surfaces;
    Sensors sensors;
    std::vector<std::uint64_t> sensor_seed; ///< one a sensor, for its random numbers: by its surface and its
                                            ///< cell or leaf there, whatever else is on the site
    std::vector<std::uint32_t> leaf_of_sensor; ///< for sensors from first_leaf_sensor on: the leaf
    std::uint32_t first_leaf_sensor = 0;       ///< sensors of trees and shrubs come last
    std::uint32_t body_sensors = 0;            ///< how many come right before those: of `bodies`
    std::vector<Surface> bodies; ///< what no figure is of (BodySensors), named by the surface of the facets
    std::vector<GroundCover> ground_areas; ///< later ones on top
    int base_ground = -1;                  ///< surface of the ground that no area covers; -1: there is none
    std::vector<GlowSource> glow_sources;  ///< what gives light of its own
    std::vector<ReliefArea> reliefs;       ///< what pictures show beyond facets; the last of a place counts
    std::unique_ptr<RayKernel> kernel;
    std::vector<Problem> warnings; ///< what was repaired in meshes

    std::uint32_t first_body_sensor() const { return first_leaf_sensor - body_sensors; }

    /// Index of a surface by id, or -1.
    int find_surface(const std::string& id) const;

    /// The surface that a hit lies on (for the ground: the topmost area there).
    int surface_of(const Hit& hit, const glm::vec3& position) const;

    /// Whether light comes to both sides of a facet: leaves, and sheets of a mesh. The others are faces of
    /// something solid, behind which is no light.
    bool is_two_sided(FacetKind kind, std::uint32_t facet) const;

    /// Linear sRGB reflectance there, texture and ground area included.
    glm::vec3 reflectance_at(const Hit& hit, const glm::vec3& position) const;

    /// Light of its own that is sent there towards where a ray in `direction` came from: cd/m2 per channel.
    glm::vec3 luminance_at(const Hit& hit, const glm::vec3& position, const glm::vec3& direction) const;

    /// The ground area's surface at a plan point.
    int ground_surface_at(const glm::dvec2& point) const;

    /// The topmost area there; null: the base ground.
    const GroundCover* ground_cover_at(const glm::dvec2& point) const;

private:
    /// What a triangle is made of there, ground area included.
    const Material& material_at(const Hit& hit, const glm::vec3& position) const;
};

/// Whether there are sensors on what no figure is of, in `Stage::bodies`: trunks and limbs, roofs, steps,
/// railings. Whoever shows the stage wants their light. No other sensor's light depends on them.
enum class BodySensors { none, shown };

/// Builds facets, sensors and the ray kernel. Seeded and reproducible whatever the number of threads.
/// Throws InputError on faulty meshes and on sites beyond the stated limits.
std::unique_ptr<Stage> build_stage(const Site& site, const std::filesystem::path& folder,
                                   BodySensors bodies = BodySensors::none);

} // namespace duskcast
