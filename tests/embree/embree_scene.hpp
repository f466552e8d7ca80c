#pragma once
// A stage's facets in Embree: a second opinion on the search tree of our own.

#include <memory>
#include <span>
#include <vector>

#include "duskcast/stage/ray_kernel.hpp"

namespace duskcast {

class EmbreeScene {
public:
    /// The geometry must outlive the scene and stay where it is. Throws InputError when there is not enough
    /// memory.
    EmbreeScene(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
                const std::vector<Material>& materials, const std::vector<Texture>& textures);
    ~EmbreeScene();
    EmbreeScene(const EmbreeScene&) = delete;
    EmbreeScene& operator=(const EmbreeScene&) = delete;

    /// As those of RayKernel, every ray traced by itself.
    void find_occluded(std::span<Ray> rays, Coherence coherence) const;
    Hit find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end, float far_end) const;
    void find_visible(std::span<const SpotPlan> plans, const MakeSpots& make_spots,
                      std::span<const SpotSensor> sensors, std::span<SpotsSeen> seen) const;

private:
    struct Scene;
    std::unique_ptr<Scene> scene_;
};

} // namespace duskcast
