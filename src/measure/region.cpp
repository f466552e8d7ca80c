#include "duskcast/measure/region.hpp"

#include <algorithm>

namespace duskcast {

namespace {

const Gable* find_gable(const Site& site, const Target& target) {
    if (const Wall* wall = find_wall(site, target.on))
        for (const Gable& gable : wall->gables)
            if (gable.id == target.gable)
                return &gable;
    return nullptr;
}

/// A target on a wall as a whole includes what stands out from it; a stretch or a gable is the wall's own.
bool belongs(const Surface& surface, const Target& target) {
    if (surface.id == target.on)
        return true;
    if (surface.part_of != target.on || !target.gable.empty() || target.along)
        return false;
    return surface.kind != SurfaceKind::soffit && surface.kind != SurfaceKind::opening;
}

} // namespace

bool Region::contains(int surface_index, const glm::dvec3& point) const {
    if (std::find(surfaces.begin(), surfaces.end(), surface_index) == surfaces.end())
        return false;
    const Surface& surface = stage->surfaces[surface_index];
    const double height = point.z - surface.foot;
    if (target->between && (height < (*target->between)[0] || height > (*target->between)[1]))
        return false;
    if (!target->gable.empty() || target->along) {
        const glm::dvec2 unfolded = surface.unfold(point);
        if (target->along && (unfolded.x < (*target->along)[0] || unfolded.x > (*target->along)[1]))
            return false;
        if (!target->gable.empty()) {
            const Gable* gable = find_gable(*site, *target);
            const Wall* wall = find_wall(*site, target->on);
            return gable && unfolded.x >= gable->from && unfolded.x <= gable->from + gable->width &&
                   unfolded.y >= wall->height;
        }
    }
    return true;
}

Region find_region(const Site& site, const Stage& stage, const Target& target) {
    Region region{.site = &site, .target = &target, .stage = &stage};
    for (std::size_t i = 0; i < stage.surfaces.size(); ++i)
        if (belongs(stage.surfaces[i], target))
            region.surfaces.push_back(static_cast<int>(i));
    if (region.surfaces.empty()) {
        std::vector<std::string> known;
        for (const Surface& surface : stage.surfaces)
            if (surface.count > 0)
                known.push_back(surface.id);
        const std::string nearest = find_nearest_word(target.on, known);
        throw InputError(Problem{.place = {.path = "target " + target.id},
                                 .what = "there is no surface \"" + target.on + "\"",
                                 .remedy = nearest.empty()
                                               ? "name a wall, plant, ground area or mesh of the site"
                                               : "did you mean \"" + nearest + "\"?"});
    }
    for (const int index : region.surfaces) {
        const Surface& surface = stage.surfaces[index];
        for (std::uint32_t sensor = surface.first; sensor < surface.first + surface.count; ++sensor)
            if (region.contains(index, glm::dvec3(stage.sensors.position(sensor))))
                region.sensors.push_back(sensor);
    }
    return region;
}

} // namespace duskcast
