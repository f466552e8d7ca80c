// The ray kernel once more, by Embree. A program that is linked with this file traces all its rays with
// Embree and takes nothing of the room's own ray_kernel.cpp, which stands in the library by itself.

#include "duskcast/stage/ray_kernel.hpp"

#include "duskcast/base/parallel.hpp"
#include "embree_scene.hpp"

namespace duskcast {

struct RayKernel::Scene : EmbreeScene {
    using EmbreeScene::EmbreeScene;
};

RayKernel::RayKernel(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
                     const std::vector<Material>& materials, const std::vector<Texture>& textures)
    : scene_(std::make_unique<Scene>(opaque, cutouts, leaves, materials, textures)) {}

RayKernel::~RayKernel() = default;

void RayKernel::find_occluded(std::span<Ray> rays, Coherence coherence) const {
    scene_->find_occluded(rays, coherence);
}

Hit RayKernel::find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end,
                        float far_end) const {
    return scene_->find_hit(origin, direction, near_end, far_end);
}

void RayKernel::find_hits(const glm::vec3& origin, const DirectionGrid& directions, float near_end,
                          float far_end, std::span<Hit> hits) const {
    parallel_for(hits.size(), [&](std::size_t place) {
        hits[place] = scene_->find_hit(origin, directions.direction(place), near_end, far_end);
    });
}

void RayKernel::find_visible(const SpotBounds&, std::span<const SpotPlan> plans, const MakeSpots& make_spots,
                             std::span<const SpotSensor> sensors, std::span<SpotsSeen> seen) const {
    scene_->find_visible(plans, make_spots, sensors, seen);
}

} // namespace duskcast
