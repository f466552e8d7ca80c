#include "seen_part.hpp"

namespace duskcast {
namespace {

/// Triangles that are left out shrink to a point, which no ray meets.
void leave_out(const Stage& stage, bool of_plants, Triangles& triangles) {
    for (std::size_t i = 0; i < triangles.size(); ++i)
        if (is_plant(stage.surfaces[triangles.surface[i]]) == of_plants)
            triangles.corners[i] = glm::uvec3(triangles.corners[i].x);
}

} // namespace

bool is_plant(const Surface& surface) {
    return surface.kind == SurfaceKind::tree || surface.kind == SurfaceKind::shrub;
}

SeenPart::SeenPart(const Stage& stage, Keep keep) : opaque_(stage.opaque), cutouts_(stage.cutouts) {
    const bool plants_go = keep == Keep::all_but_plants;
    leave_out(stage, plants_go, opaque_);
    leave_out(stage, plants_go, cutouts_);
    kernel_ = std::make_unique<RayKernel>(opaque_, cutouts_, plants_go ? no_leaves_ : stage.leaves,
                                          stage.materials, stage.textures);
}

} // namespace duskcast
