#include "duskcast/stage/stage.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "builder.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

/// Two faces nearer than this are taken as glued together: no light gets between them.
constexpr float glued = 5e-3f;

constexpr std::size_t most_surfaces = 65000;

bool is_hidden(const Stage& stage, const SensorSpot& spot) {
    const glm::vec3 normal(spot.normal);
    const Hit hit = stage.kernel->find_hit(glm::vec3(spot.position), normal, surface_offset, 1e4f);
    if (!hit || hit.kind != FacetKind::opaque)
        return false;
    const bool leaves_solid = stage.opaque.solid[hit.facet] && glm::dot(hit.normal, normal) > 0;
    return leaves_solid || hit.distance < glued;
}

} // namespace

std::uint16_t StageBuilder::add_material(const Material& material) {
    const auto known = std::find(stage.materials.begin(), stage.materials.end(), material);
    if (known != stage.materials.end())
        return static_cast<std::uint16_t>(known - stage.materials.begin());
    stage.materials.push_back(material);
    return static_cast<std::uint16_t>(stage.materials.size() - 1);
}

std::uint16_t StageBuilder::add_material(const Finish& finish) {
    return add_material(Material{.name = finish.name, .reflectance = glm::vec3(finish.reflectance)});
}

std::uint16_t StageBuilder::add_surface(const std::string& id, SurfaceKind kind, const std::string& part_of) {
    if (stage.surfaces.size() >= most_surfaces)
        throw InputError(Problem{.what = fmt::format("the site has more than {} surfaces", most_surfaces),
                                 .remedy = "leave out parts that carry no light"});
    stage.surfaces.push_back(Surface{.id = id, .kind = kind, .part_of = part_of});
    return static_cast<std::uint16_t>(stage.surfaces.size() - 1);
}

void StageBuilder::add_sensors(std::uint16_t surface_index, const std::vector<SensorSpot>& spots) {
    Surface& surface = stage.surfaces[surface_index];
    surface.first = static_cast<std::uint32_t>(stage.sensors.size());
    for (const SensorSpot& spot : spots) {
        if (is_hidden(stage, spot))
            continue;
        if (surface.has_grid())
            surface.grid.sensor[static_cast<std::size_t>(spot.row) * surface.grid.columns + spot.column] =
                static_cast<std::int32_t>(stage.sensors.size());
        stage.sensors.add(glm::vec3(spot.position), glm::vec3(spot.normal), static_cast<float>(spot.area));
        surface.area += spot.area;
    }
    surface.count = static_cast<std::uint32_t>(stage.sensors.size()) - surface.first;
}

int Stage::find_surface(const std::string& id) const {
    for (std::size_t i = 0; i < surfaces.size(); ++i)
        if (surfaces[i].id == id)
            return static_cast<int>(i);
    return -1;
}

int Stage::ground_surface_at(const glm::dvec2& point) const {
    for (std::size_t i = ground_areas.size(); i-- > 0;)
        if (is_inside(ground_areas[i].outline, point))
            return ground_areas[i].surface;
    return find_surface("ground");
}

int Stage::surface_of(const Hit& hit, const glm::vec3& position) const {
    switch (hit.kind) {
    case FacetKind::none:
        return -1;
    case FacetKind::leaf:
        return leaves.surface[hit.facet];
    case FacetKind::cutout:
        return cutouts.surface[hit.facet];
    case FacetKind::opaque:
        break;
    }
    const int surface = opaque.surface[hit.facet];
    return surfaces[surface].kind == SurfaceKind::ground ? ground_surface_at(glm::dvec2(position)) : surface;
}

std::unique_ptr<Stage> build_stage(const Site& site, const std::filesystem::path& folder) {
    auto stage = std::make_unique<Stage>();
    StageBuilder builder{.site = site, .folder = folder, .stage = *stage};
    std::tie(builder.low, builder.high) = plan_bounds(site);
    builder.build_walls();
    builder.build_meshes();
    builder.build_plants();
    builder.build_ground(); // last: its size follows from all the rest
    stage->kernel = std::make_unique<RayKernel>(stage->opaque, stage->cutouts, stage->leaves,
                                                stage->materials, stage->textures);
    for (const std::function<void()>& job : builder.sensor_jobs)
        job();
    stage->first_leaf_sensor = static_cast<std::uint32_t>(stage->sensors.size());
    for (const std::function<void()>& job : builder.leaf_sensor_jobs)
        job();
    return stage;
}

} // namespace duskcast
