// Trees and shrubs: wood, leaves, sensors on leaves.

#include <algorithm>
#include <cstdint>

#include "builder.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/stage/foliage.hpp"
#include "duskcast/stage/named_plant.hpp"
#include "duskcast/stage/trunk.hpp"

namespace duskcast {

namespace {

/// Sensors on both sides of every n-th leaf, so that they stay in Morton order.
void place_leaf_sensors(Stage& stage, std::uint16_t surface_index, std::size_t first_leaf,
                        std::size_t leaf_count, int wanted) {
    Surface& surface = stage.surfaces[surface_index];
    surface.first = static_cast<std::uint32_t>(stage.sensors.size());
    const std::size_t carriers =
        std::min<std::size_t>(leaf_count, static_cast<std::size_t>(std::max(wanted, 1)));
    double leaf_area_sum = 0;
    for (std::size_t leaf = first_leaf; leaf < first_leaf + leaf_count; ++leaf)
        leaf_area_sum += stage.leaves.area(leaf);
    const auto area = carriers ? static_cast<float>(leaf_area_sum / static_cast<double>(carriers)) : 0.0f;
    const std::uint64_t seed = hash_of(surface.id);
    for (std::size_t i = 0; i < carriers; ++i) {
        const std::size_t number = count_in_first(2 * i + 1, 2 * carriers, leaf_count);
        const std::size_t leaf = first_leaf + number;
        const glm::vec3 normal = stage.leaves.normal(leaf);
        for (const float side : {1.0f, -1.0f}) {
            stage.sensors.add(stage.leaves.centre(leaf), side * normal, area);
            stage.sensor_seed.push_back(join_seeds(join_seeds(seed, number), side > 0 ? 0 : 1));
            stage.leaf_of_sensor.push_back(static_cast<std::uint32_t>(leaf));
        }
    }
    surface.count = static_cast<std::uint32_t>(stage.sensors.size()) - surface.first;
    surface.area = 2 * leaf_area_sum;
}

std::uint16_t add_leaf_material(StageBuilder& builder, LeafKind kind) {
    const LeafColour& colour = leaf_colour(kind);
    return builder.add_material(Material{.name = "leaf " + name_of(kind),
                                         .reflectance = glm::vec3(colour.reflectance),
                                         .transmittance = glm::vec3(colour.transmittance)});
}

PlantMaterials add_plant_materials(StageBuilder& builder, const std::string& plant, const Foliage& foliage) {
    const PlantWords words = read_plant(plant);
    PlantMaterials made;
    made.bark = builder.add_material(make_finish(std::string(words.kind->bark)));
    made.leaf = add_leaf_material(builder, foliage.leaf);
    const std::optional<LeafKind> blossom = words.blossom ? words.blossom : words.kind->blossom;
    made.blossom =
        words.state == PlantState::in_bloom && blossom ? add_leaf_material(builder, *blossom) : made.leaf;
    return made;
}

/// Adds a plant's facets by `build`, and the job that lays the sensors on its leaves.
template <class Build>
void add_plant(StageBuilder& builder, const std::string& id, SurfaceKind kind, double foot, Build build) {
    const std::uint16_t surface = builder.add_surface(id, kind, id);
    builder.stage.surfaces[surface].foot = foot;
    const std::size_t first = builder.stage.leaves.size();
    build(surface);
    builder.leaf_sensor_jobs.emplace_back(
        [&builder, surface, first, count = builder.stage.leaves.size() - first] {
            place_leaf_sensors(builder.stage, surface, first, count, builder.site.leaf_sensors);
        });
}

} // namespace

void StageBuilder::build_plants() {
    std::uint32_t salt = 1; // two plants of one seed still differ
    const std::uint16_t bark = add_material(make_finish("bark"));
    const auto fill = [&](const LeafSpace& space, const Foliage& foliage, std::uint16_t surface) {
        fill_leaves(space, foliage, salt, add_leaf_material(*this, foliage.leaf), surface, stage.leaves);
    };
    for (const Tree& tree : site.trees) {
        add_plant(*this, tree.id, SurfaceKind::tree, tree.foot, [&](std::uint16_t surface) {
            if (!tree.plant.empty())
                return build_named_tree(tree, salt, add_plant_materials(*this, tree.plant, tree.foliage),
                                        surface, stage.opaque, stage.leaves);
            build_trunk(tree, salt, bark, surface, stage.opaque);
            fill(make_leaf_space(tree), tree.foliage, surface);
        });
        ++salt;
    }
    for (const Shrub& shrub : site.shrubs) {
        add_plant(*this, shrub.id, SurfaceKind::shrub, shrub.foot, [&](std::uint16_t surface) {
            if (!shrub.plant.empty())
                return build_named_shrub(shrub, salt, add_plant_materials(*this, shrub.plant, shrub.foliage),
                                         surface, stage.opaque, stage.leaves);
            fill(make_leaf_space(shrub), shrub.foliage, surface);
        });
        ++salt;
    }
}

} // namespace duskcast
