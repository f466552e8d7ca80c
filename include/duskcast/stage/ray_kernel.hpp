#pragma once
// Rays against the stage. The only place that knows Embree.

#include <cstdint>
#include <glm/glm.hpp>
#include <memory>
#include <span>
#include <vector>

#include "duskcast/stage/geometry.hpp"

namespace duskcast {

/// A shadow ray. The memory layout is the ray kernel's own (checked at compile time in ray_kernel.cpp).
struct alignas(16) Ray {
    glm::vec3 origin{0};
    float near_end = 0;
    glm::vec3 direction{0, 0, 1}; ///< need not be unit; ends count in its lengths
    float time = 0;
    float far_end = 0; ///< minus infinity after find_occluded when something was in the way
    std::uint32_t mask = 0xffffffffu;
    std::uint32_t id = 0;
    std::uint32_t flags = 0;

    bool is_occluded() const { return far_end < 0; }
};

enum class FacetKind : std::uint8_t { none, opaque, cutout, leaf };

/// The nearest thing along a ray.
struct Hit {
    FacetKind kind = FacetKind::none;
    std::uint32_t facet = 0; ///< index into the opaque or cut-out triangles, or into the leaves
    float distance = 0;      ///< in lengths of the direction given
    float u = 0;             ///< barycentric weights of the second and third corner (triangles)
    float v = 0;
    glm::vec3 normal{0, 0, 1}; ///< geometric, unit, as the facet is wound (not turned to the ray)

    explicit operator bool() const { return kind != FacetKind::none; }
};

/// Whether neighbouring rays run alike (a wall's sensors to one lamp) or not (leaves).
enum class Coherence { coherent, incoherent };

class RayKernel {
public:
    /// Builds the search tree; the geometry must outlive the kernel and stay where it is.
    /// Throws InputError when there is not enough memory.
    RayKernel(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
              const std::vector<Material>& materials, const std::vector<Texture>& textures);
    ~RayKernel();
    RayKernel(const RayKernel&) = delete;
    RayKernel& operator=(const RayKernel&) = delete;

    /// Marks the rays that meet anything between their ends. Cut-outs of alpha below one half let light
    /// through. Thread-safe.
    void find_occluded(std::span<Ray> rays, Coherence coherence) const;

    /// The nearest hit between near_end and far_end. Thread-safe.
    Hit find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end, float far_end) const;

private:
    struct Scene;
    std::unique_ptr<Scene> scene_;
};

} // namespace duskcast
