#include "duskcast/stage/stage.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <glm/vector_relational.hpp>
#include <limits>
#include <map>
#include <tuple>

#include "builder.hpp"
#include "duskcast/base/frame.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

/// Two faces nearer than this are taken as glued together: no light gets between them.
constexpr float glued = 5e-3f;

// Both are counted in 16 bits.
constexpr std::size_t most_surfaces = 65000;
constexpr std::size_t most_materials = 65000;

/// Morton order of the grid's cells: the row and column whose highest bit differs first decides (Chan 2002).
bool is_before(const SensorSpot& a, const SensorSpot& b) {
    const auto rows = static_cast<unsigned>(a.row ^ b.row);
    const auto columns = static_cast<unsigned>(a.column ^ b.column);
    const bool is_by_column = rows < columns && rows < (rows ^ columns);
    return is_by_column ? a.column < b.column : a.row < b.row;
}

/// One a thing that has triangles which bound a body.
std::vector<SolidBox> find_solids(const Stage& stage) {
    std::map<std::string, SolidBox> boxes;
    const Triangles& triangles = stage.opaque;
    for (std::size_t i = 0; i < triangles.size(); ++i) {
        if (!triangles.solid[i])
            continue;
        const glm::vec3 first = triangles.vertices[triangles.corners[i].x];
        SolidBox& box =
            boxes.try_emplace(stage.surfaces[triangles.surface[i]].part_of, SolidBox{first, first, {}})
                .first->second;
        box.facets.push_back(static_cast<std::uint32_t>(i));
        for (int corner = 0; corner < 3; ++corner) {
            const glm::vec3& vertex = triangles.vertices[triangles.corners[i][corner]];
            box.low = glm::min(box.low, vertex);
            box.high = glm::max(box.high, vertex);
        }
    }
    std::vector<SolidBox> solids;
    for (auto& [id, box] : boxes) {
        box.low -= 2 * surface_offset;
        box.high += 2 * surface_offset;
        solids.push_back(std::move(box));
    }
    return solids;
}

/// How often bodies of a thing are round a point: the solid angles of their facets over 4 pi (van Oosterom
/// and Strackee 1983). Faces that touch make up for each other, of which a ray meets the first alone.
double count_bodies_round(const Triangles& triangles, const SolidBox& thing, const glm::dvec3& point) {
    double sum = 0;
    for (const std::uint32_t facet : thing.facets) {
        const glm::uvec3& corner = triangles.corners[facet];
        const glm::dvec3 a = glm::dvec3(triangles.vertices[corner.x]) - point,
                         b = glm::dvec3(triangles.vertices[corner.y]) - point,
                         c = glm::dvec3(triangles.vertices[corner.z]) - point;
        const double x = glm::length(a), y = glm::length(b), z = glm::length(c);
        sum += 2 * std::atan2(glm::dot(a, glm::cross(b, c)),
                              x * y * z + glm::dot(a, b) * z + glm::dot(b, c) * x + glm::dot(c, a) * y);
    }
    return sum / (4 * pi);
}

/// Along a face's normal, but slightly aslant, so as not to run along edges that lie on the sensors' lattice.
glm::vec3 direction_off(const glm::vec3& normal) {
    return glm::normalize(normal + glm::vec3(0.0073f, 0.0111f, 0.0057f));
}

struct WayOut {
    int bodies_left = 0; ///< more than are entered; of faces that touch one is met for both
    bool has_bodies = false;
};

WayOut follow_way_out(const Stage& stage, const glm::vec3& origin, const glm::vec3& direction) {
    constexpr int most_hits = 1000;
    WayOut way;
    float from = 0;
    for (int i = 0; i < most_hits; ++i) {
        const Hit hit = stage.kernel->find_hit(origin, direction, from, 1e4f);
        if (!hit)
            break;
        if (hit.kind == FacetKind::opaque && stage.opaque.solid[hit.facet]) {
            way.bodies_left += glm::dot(hit.normal, direction) > 0 ? 1 : -1;
            way.has_bodies = true;
        }
        from = hit.distance * (1 + 1e-6f) + 1e-5f;
    }
    return way;
}

/// Whether the origin is inside a solid body, which all ways out should tell. Where bodies touch on some of
/// them, their facets do.
bool is_inside_body(const Stage& stage, const std::vector<SolidBox>& solids, const glm::vec3& origin,
                    const glm::vec3& normal) {
    std::vector<const SolidBox*> things;
    for (const SolidBox& box : solids)
        if (glm::all(glm::greaterThanEqual(origin, box.low)) &&
            glm::all(glm::lessThanEqual(origin, box.high)))
            things.push_back(&box);
    if (things.empty())
        return false;
    const WayOut straight = follow_way_out(stage, origin, direction_off(normal));
    if (!straight.has_bodies)
        return false;
    const TangentFrame<float> frame(normal);
    constexpr std::array<float, 3> turns{0.4f, 2.5f, 4.6f};
    const auto is_same = [&](float turn) {
        const glm::vec2 to_side = circle_point(turn);
        const glm::vec3 aside = to_side.x * frame.first + to_side.y * frame.second;
        const WayOut flat = follow_way_out(stage, origin, glm::normalize(0.3f * normal + aside));
        return (flat.bodies_left > 0) == (straight.bodies_left > 0);
    };
    if (std::all_of(turns.begin(), turns.end(), is_same))
        return straight.bodies_left > 0;
    return std::any_of(things.begin(), things.end(), [&](const SolidBox* thing) {
        return count_bodies_round(stage.opaque, *thing, glm::dvec3(origin)) > 0.25; // a pane may be missing
    });
}

/// Whether the spot is inside a solid body or covered by a face glued to its own.
bool is_hidden(const Stage& stage, const std::vector<SolidBox>& solids, const SensorSpot& spot) {
    const glm::vec3 normal(spot.normal);
    const glm::vec3 origin = step_off(glm::vec3(spot.position), normal);
    const glm::vec3 direction = direction_off(normal);
    float from = 0;
    while (const Hit hit = stage.kernel->find_hit(origin, direction, from, glued)) {
        if (hit.kind == FacetKind::opaque && std::abs(glm::dot(hit.normal, normal)) > 0.5f)
            return true;
        from = hit.distance * (1 + 1e-6f) + 1e-5f;
    }
    return is_inside_body(stage, solids, origin, normal);
}

/// Gives the area of each narrow spot to the largest of the cells at its sides, or else at its corners, and
/// drops the spot. One without a neighbour stays.
void merge_narrow(const SensorGrid& grid, std::vector<SensorSpot>& spots) {
    if (std::none_of(spots.begin(), spots.end(), [](const SensorSpot& spot) { return spot.is_narrow; }))
        return;
    std::vector<std::int32_t> at(grid.sensor.size(), -1);
    for (std::size_t i = 0; i < spots.size(); ++i)
        if (!spots[i].is_narrow)
            at[static_cast<std::size_t>(spots[i].row) * grid.columns + spots[i].column] =
                static_cast<std::int32_t>(i);
    std::vector<double> own_area; // before any was given more: else the first to grow would take all
    for (const SensorSpot& spot : spots)
        own_area.push_back(spot.area);
    constexpr std::size_t sides = 4; // of the ways
    constexpr std::array<std::array<int, 2>, 8> ways{
        {{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}};
    const auto is_merged = [&](const SensorSpot& spot) {
        std::int32_t largest = -1;
        for (std::size_t way = 0; way < ways.size() && !(way == sides && largest >= 0); ++way) {
            const auto& [columns, rows] = ways[way];
            const int column = spot.column + columns, row = spot.row + rows;
            if (!spot.is_narrow || column < 0 || row < 0 || column >= grid.columns || row >= grid.rows)
                continue;
            const std::int32_t beside = at[static_cast<std::size_t>(row) * grid.columns + column];
            if (beside >= 0 && (largest < 0 || own_area[beside] > own_area[largest]))
                largest = beside;
        }
        if (largest < 0)
            return false;
        spots[largest].area += spot.area;
        return true;
    };
    std::vector<std::uint8_t> is_gone(spots.size());
    for (std::size_t i = 0; i < spots.size(); ++i)
        is_gone[i] = is_merged(spots[i]) ? 1 : 0;
    std::size_t kept = 0;
    for (std::size_t i = 0; i < spots.size(); ++i)
        if (!is_gone[i])
            spots[kept++] = spots[i];
    spots.resize(kept);
}

} // namespace

std::uint16_t StageBuilder::add_material(const Material& material) {
    const auto known = std::find(stage.materials.begin(), stage.materials.end(), material);
    if (known != stage.materials.end())
        return static_cast<std::uint16_t>(known - stage.materials.begin());
    if (stage.materials.size() >= most_materials)
        throw InputError(
            Problem{.what = "the site has more than " + std::to_string(most_materials) + " materials",
                    .remedy = "merge materials of the meshes"});
    stage.materials.push_back(material);
    return static_cast<std::uint16_t>(stage.materials.size() - 1);
}

std::uint16_t StageBuilder::add_material(const Finish& finish) {
    return add_material(Material{.name = finish.name, .reflectance = glm::vec3(finish.reflectance)});
}

std::uint16_t StageBuilder::add_surface(const std::string& id, SurfaceKind kind, const std::string& part_of) {
    if (stage.surfaces.size() >= most_surfaces)
        throw InputError(
            Problem{.what = "the site has more than " + std::to_string(most_surfaces) + " surfaces",
                    .remedy = "leave out parts that carry no light"});
    stage.surfaces.push_back(Surface{.id = id, .kind = kind, .part_of = part_of});
    return static_cast<std::uint16_t>(stage.surfaces.size() - 1);
}

void StageBuilder::add_sensors(Surface& surface, std::vector<SensorSpot> spots) {
    if (surface.has_grid()) {
        merge_narrow(surface.grid, spots);
        std::sort(spots.begin(), spots.end(), is_before); // the rays of neighbours meet the same facets
    }
    // Cells count from the plane's origin: the ground's grid begins where the site does.
    const SensorGrid& grid = surface.grid;
    const long long first_column = surface.has_grid() ? std::llround(grid.u0 / grid.step) : 0;
    const long long first_row = surface.has_grid() ? std::llround(grid.v0 / grid.step) : 0;
    const std::uint64_t seed = hash_of(surface.id);
    surface.first = static_cast<std::uint32_t>(stage.sensors.size());
    std::vector<std::uint8_t> hidden(spots.size());
    parallel_for(spots.size(),
                 [&](std::size_t i) { hidden[i] = is_hidden(stage, solids, spots[i]) ? 1 : 0; });
    for (std::size_t i = 0; i < spots.size(); ++i) {
        if (hidden[i])
            continue;
        const SensorSpot& spot = spots[i];
        if (surface.has_grid())
            surface.grid.sensor[static_cast<std::size_t>(spot.row) * surface.grid.columns + spot.column] =
                static_cast<std::int32_t>(stage.sensors.size());
        stage.sensors.add(glm::vec3(spot.position), glm::vec3(spot.normal), static_cast<float>(spot.area));
        stage.sensor_seed.push_back(
            join_seeds(join_seeds(seed, first_row + spot.row), first_column + spot.column));
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

const GroundCover* Stage::ground_cover_at(const glm::dvec2& point) const {
    for (std::size_t i = ground_areas.size(); i-- > 0;) {
        const GroundCover& area = ground_areas[i];
        if (point.x >= area.low.x && point.y >= area.low.y && point.x <= area.high.x &&
            point.y <= area.high.y && is_inside(area.outline, point))
            return &area;
    }
    return nullptr;
}

int Stage::ground_surface_at(const glm::dvec2& point) const {
    const GroundCover* cover = ground_cover_at(point);
    return cover != nullptr ? cover->surface : base_ground;
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

bool Stage::is_two_sided(FacetKind kind, std::uint32_t facet) const {
    if (kind == FacetKind::leaf)
        return true;
    const Triangles& triangles = kind == FacetKind::cutout ? cutouts : opaque;
    return !triangles.solid[facet] && surfaces[triangles.surface[facet]].kind == SurfaceKind::mesh;
}

const Material& Stage::material_at(const Hit& hit, const glm::vec3& position) const {
    const Triangles& triangles = hit.kind == FacetKind::cutout ? cutouts : opaque;
    if (surfaces[triangles.surface[hit.facet]].kind == SurfaceKind::ground)
        if (const GroundCover* cover = ground_cover_at(glm::dvec2(position)))
            return materials[cover->material];
    return materials[triangles.material[hit.facet]];
}

glm::vec3 Stage::luminance_at(const Hit& hit, const glm::vec3& position, const glm::vec3& direction) const {
    if (glow_sources.empty() || hit.kind == FacetKind::none || hit.kind == FacetKind::leaf ||
        glm::dot(hit.normal, direction) >= 0)
        return glm::vec3(0);
    return material_at(hit, position).luminance;
}

glm::vec3 Stage::reflectance_at(const Hit& hit, const glm::vec3& position) const {
    if (hit.kind == FacetKind::none)
        return glm::vec3(0);
    if (hit.kind == FacetKind::leaf)
        return materials[leaves.material[hit.facet]].reflectance;
    const Triangles& triangles = hit.kind == FacetKind::cutout ? cutouts : opaque;
    const Material& material = material_at(hit, position);
    if (material.texture < 0 || triangles.uv.empty())
        return material.reflectance;
    const glm::uvec3& corner = triangles.corners[hit.facet];
    const glm::vec2 uv = (1 - hit.u - hit.v) * triangles.uv[corner.x] + hit.u * triangles.uv[corner.y] +
                         hit.v * triangles.uv[corner.z];
    return material.reflectance * textures[material.texture].albedo(uv.x, uv.y);
}

std::unique_ptr<Stage> build_stage(const Site& site, const std::filesystem::path& folder,
                                   BodySensors bodies) {
    auto stage = std::make_unique<Stage>();
    StageBuilder builder{.site = site, .folder = folder, .stage = *stage};
    std::tie(builder.low, builder.high) = plan_bounds(site);
    if (site.walls.empty() && site.trees.empty() && site.shrubs.empty() && site.fixtures.empty() &&
        site.ground.areas.empty() && site.lanterns.empty() && !site.meshes.empty() && site.roofs.empty() &&
        site.steps.empty() && site.railings.empty() && site.fountains.empty()) {
        builder.low = glm::dvec2(std::numeric_limits<double>::max());
        builder.high = -builder.low;
    }
    builder.build_walls();
    builder.build_roofs();
    builder.build_steps();
    builder.build_fountains();
    builder.build_meshes();
    builder.build_plants();
    builder.build_lanterns();
    builder.build_ground();        // last: its size follows from all the rest
    if (!stage->opaque.uv.empty()) // meshes give them, the rest does not
        stage->opaque.uv.resize(stage->opaque.vertices.size(), glm::vec2(0));
    stage->kernel = std::make_unique<RayKernel>(stage->opaque, stage->cutouts, stage->leaves,
                                                stage->materials, stage->textures);
    builder.solids = find_solids(*stage);
    for (const std::function<void()>& job : builder.sensor_jobs)
        job();
    const std::size_t first_body_sensor = stage->sensors.size();
    if (bodies == BodySensors::shown)
        builder.place_body_sensors();
    stage->first_leaf_sensor = static_cast<std::uint32_t>(stage->sensors.size());
    stage->body_sensors = static_cast<std::uint32_t>(stage->sensors.size() - first_body_sensor);
    for (const std::function<void()>& job : builder.leaf_sensor_jobs)
        job();
    return stage;
}

} // namespace duskcast
