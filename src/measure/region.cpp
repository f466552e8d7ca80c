#include "duskcast/measure/region.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace duskcast {

namespace {

const Gable* find_gable(const Wall* wall, const Target& target) {
    if (wall)
        for (const Gable& gable : wall->gables)
            if (gable.id == target.gable)
                return &gable;
    return nullptr;
}

/// Whether the surface is one of the planes "MESH.PART.1", "MESH.PART.2"... of a mesh's part.
bool is_plane_of(const Surface& surface, const std::string& part) {
    return surface.id.starts_with(part + ".") && surface.id != surface.part_of &&
           part.starts_with(surface.part_of + ".") &&
           surface.id.find_first_not_of("0123456789", part.size() + 1) == std::string::npos;
}

/// A target on a wall as a whole includes what stands out from it; a stretch or a gable is the wall's own. Of
/// a terrace it is the top, without the wall that holds it up.
bool belongs(const Site& site, const Surface& surface, const Target& target) {
    if (surface.id == target.on || is_plane_of(surface, target.on))
        return true;
    if (surface.part_of != target.on || !target.gable.empty() || target.along)
        return false;
    if (surface.kind == SurfaceKind::wall) // a plane of a mesh counts with the mesh
        return std::none_of(site.ground.areas.begin(), site.ground.areas.end(),
                            [&](const GroundArea& area) { return area.id == target.on; });
    return surface.kind != SurfaceKind::soffit && surface.kind != SurfaceKind::opening;
}

std::vector<std::string> list_targetable(const Stage& stage) {
    std::vector<std::string> ids;
    for (const Surface& surface : stage.surfaces) {
        if (surface.count == 0)
            continue;
        ids.push_back(surface.id);
        const std::string part = surface.id.substr(0, surface.id.rfind('.'));
        if (is_plane_of(surface, part))
            ids.push_back(part);
    }
    return ids;
}

std::string path_of(const Site& site, const Target& target) {
    for (std::size_t i = 0; i < site.targets.size(); ++i)
        if (site.targets[i].id == target.id)
            return fmt::format("targets[{}].on", i);
    return "target " + target.id;
}

/// Indices into Stage::surfaces of what the target is on.
std::vector<int> find_surfaces(const Site& site, const Stage& stage, const Target& target) {
    std::vector<int> surfaces;
    for (std::size_t i = 0; i < stage.surfaces.size(); ++i)
        if (belongs(site, stage.surfaces[i], target))
            surfaces.push_back(static_cast<int>(i));
    if (surfaces.empty()) {
        const std::string nearest = find_nearest_word(target.on, list_targetable(stage));
        throw InputError(Problem{.place = {.path = path_of(site, target)},
                                 .what = "there is no surface \"" + target.on + "\"",
                                 .remedy = nearest.empty()
                                               ? "name a wall, plant, ground area or mesh of the site, or a "
                                                 "part of one such as \"house.roof\""
                                               : "did you mean \"" + nearest + "\"?"});
    }
    return surfaces;
}

/// What is thrown about single targets is thrown together.
template <class Look> void for_all_targets(const Site& site, const Look& look) {
    std::vector<Problem> problems;
    for (const Target& target : site.targets) {
        try {
            look(target);
        } catch (const InputError& error) {
            problems.insert(problems.end(), error.problems().begin(), error.problems().end());
        }
    }
    if (!problems.empty())
        throw InputError(std::move(problems));
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
            return gable && unfolded.x >= gable->from && unfolded.x <= gable->from + gable->width &&
                   unfolded.y >= wall->height;
        }
    }
    return true;
}

std::optional<double> Region::top_on_line(int surface_index, double along, double upper_edge) const {
    if (std::find(surfaces.begin(), surfaces.end(), surface_index) == surfaces.end() ||
        (target->along && (along < (*target->along)[0] || along > (*target->along)[1])) ||
        (target->between && (*target->between)[0] >= upper_edge))
        return std::nullopt;
    if (!target->gable.empty()) {
        if (!gable || along < gable->from || along > gable->from + gable->width || upper_edge <= wall->height)
            return std::nullopt;
    }
    return target->between ? std::min((*target->between)[1], upper_edge) : upper_edge;
}

Region find_region(const Site& site, const Stage& stage, const Target& target) {
    Region region{
        .surfaces = find_surfaces(site, stage, target), .site = &site, .target = &target, .stage = &stage};
    if (!target.gable.empty()) {
        region.wall = find_wall(site, target.on);
        region.gable = find_gable(region.wall, target);
    }
    for (const int index : region.surfaces) {
        const Surface& surface = stage.surfaces[index];
        for (std::uint32_t sensor = surface.first; sensor < surface.first + surface.count; ++sensor)
            if (region.contains(index, glm::dvec3(stage.sensors.position(sensor))))
                region.sensors.push_back(sensor);
    }
    std::sort(region.sensors.begin(), region.sensors.end());
    return region;
}

std::vector<Region> find_regions(const Site& site, const Stage& stage) {
    std::vector<Region> regions;
    for_all_targets(site, [&](const Target& target) { regions.push_back(find_region(site, stage, target)); });
    return regions;
}

void check_targets(const Site& site, const Stage& stage) {
    for_all_targets(site, [&](const Target& target) { find_surfaces(site, stage, target); });
}

TargetReport measure_target(const Region& region, const std::vector<double>& total_lx,
                            const std::vector<double>& direct_lx, const std::vector<double>& levels_lx) {
    const Target& target = *region.target;
    const std::vector<Sample> samples = collect_samples(*region.stage, total_lx, region.sensors);
    const std::vector<Sample> direct = collect_samples(*region.stage, direct_lx, region.sensors);
    TargetReport report{
        .id = target.id, .on = target.on, .level_lx = target.level, .wanted_share = target.share};
    report.stats = measure_stats(*region.stage, samples, levels_lx);
    report.share = measure_share(samples, target.level);
    report.direct_lx = measure_stats(*region.stage, direct, {}).mean_lx;
    report.direct_share = measure_share(direct, target.level);
    report.is_reached = !samples.empty() && report.share >= target.share;
    return report;
}

} // namespace duskcast
