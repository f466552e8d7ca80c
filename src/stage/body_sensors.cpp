// Sensors on what no figure is of.

#include <algorithm>
#include <vector>

#include "duskcast/site/terraces.hpp"
#include "mesh_sensors.hpp"

namespace duskcast {

namespace {

constexpr double least_area = 0.02;  ///< m2 a sensor: a few go round a trunk
constexpr double most_sensors = 800; ///< on one surface
constexpr double least_width = 0.25; ///< of a plant's widest facet: its twigs have the light of the limb

bool is_plant(const Surface& surface) {
    return surface.kind == SurfaceKind::tree || surface.kind == SurfaceKind::shrub;
}

bool wants_sensors(const Surface& surface) {
    return surface.kind != SurfaceKind::ground && (is_plant(surface) || surface.count == 0);
}

double width_of(const MeshFacet& facet) {
    const auto& [a, b, c] = facet.corner;
    return 2 * facet.area / std::max({glm::distance(a, b), glm::distance(b, c), glm::distance(c, a)});
}

void leave_out_twigs(std::vector<MeshFacet>& facets) {
    double widest = 0;
    for (const MeshFacet& facet : facets)
        widest = std::max(widest, width_of(facet));
    std::erase_if(facets, [&](const MeshFacet& facet) { return width_of(facet) < least_width * widest; });
}

} // namespace

void StageBuilder::place_body_sensors() {
    std::vector<std::vector<MeshFacet>> facets(stage.surfaces.size());
    for (std::size_t i = 0; i < stage.opaque.size(); ++i) {
        const std::uint16_t surface = stage.opaque.surface[i];
        if (!wants_sensors(stage.surfaces[surface]))
            continue;
        if (const MeshFacet facet = make_facet(stage.opaque.facet(i)); facet.area > 0)
            facets[surface].push_back(facet);
    }
    for (std::size_t i = 0; i < facets.size(); ++i) {
        const Surface& whole = stage.surfaces[i];
        if (is_plant(whole))
            leave_out_twigs(facets[i]);
        Surface body{.id = whole.id, .kind = whole.kind, .part_of = whole.part_of};
        const double per_sensor = std::max(least_area, area_of(facets[i]) / most_sensors);
        std::vector<SensorSpot> spots = strew_spots(stage, body.id, facets[i], per_sensor);
        std::erase_if(spots, [&](const SensorSpot& spot) { // trunks begin below ground
            return spot.position.z <
                   ground_height_at(site.ground, glm::dvec2(spot.position)) + sensor_clearance;
        });
        add_sensors(body, std::move(spots));
        if (body.count > 0)
            stage.bodies.push_back(std::move(body));
    }
}

} // namespace duskcast
