// Alone in its object, so that a test program can be linked with another kernel in its place.

#include "duskcast/stage/ray_kernel.hpp"

#include "duskcast/stage/facet_tree.hpp"

namespace duskcast {

struct RayKernel::Scene : FacetTree {
    using FacetTree::FacetTree;
};

RayKernel::RayKernel(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
                     const std::vector<Material>& materials, const std::vector<Texture>& textures)
    : scene_(std::make_unique<Scene>(opaque, cutouts, leaves, materials, textures)) {}

RayKernel::RayKernel(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
                     const std::vector<Material>& materials, const std::vector<Texture>& textures,
                     Instructions instructions)
    : scene_(std::make_unique<Scene>(opaque, cutouts, leaves, materials, textures, instructions)) {}

RayKernel::~RayKernel() = default;

void RayKernel::find_occluded(std::span<Ray> rays, Coherence) const {
    scene_->find_occluded(rays);
}

Hit RayKernel::find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end,
                        float far_end) const {
    return scene_->find_hit(origin, direction, near_end, far_end);
}

void RayKernel::find_hits(const glm::vec3& origin, const DirectionGrid& directions, float near_end,
                          float far_end, std::span<Hit> hits) const {
    scene_->find_hits(origin, directions, near_end, far_end, hits);
}

void RayKernel::find_visible(const SpotBounds& bounds, std::span<const SpotPlan> plans,
                             const MakeSpots& make_spots, std::span<const SpotSensor> sensors,
                             std::span<SpotsSeen> seen) const {
    scene_->find_visible(bounds, plans, make_spots, sensors, seen);
}

} // namespace duskcast
