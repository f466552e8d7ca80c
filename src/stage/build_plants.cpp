// Trees and shrubs: wood, leaves, sensors on leaves.

#include <algorithm>
#include <cstdint>
#include <functional>
#include <utility>

#include "builder.hpp"
#include "duskcast/base/parallel.hpp"
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

struct PlantFacets {
    Triangles wood;
    Leaves leaves;
};

/// Plants grow side by side, each into facets of its own, and are added in their order.
class PlantGrower {
public:
    explicit PlantGrower(StageBuilder& builder)
        : builder_(builder), bark_(builder.add_material(make_finish("bark"))) {}

    void add(const Tree& tree) {
        const std::uint16_t surface = add_surface(tree.id, SurfaceKind::tree, tree.foot);
        if (tree.plant.empty())
            plants_.push_back(
                {surface, [&tree, surface, bark = bark_, salt = salt_,
                           leaf = add_leaf_material(builder_, tree.foliage.leaf)](PlantFacets& grown) {
                     build_trunk(tree, salt, bark, surface, grown.wood);
                     fill_leaves(make_leaf_space(tree), tree.foliage, salt, leaf, surface, grown.leaves);
                 }});
        else
            plants_.push_back({surface, [&tree, surface, salt = salt_,
                                         materials = add_plant_materials(builder_, tree.plant, tree.foliage)](
                                            PlantFacets& grown) {
                                   build_named_tree(tree, salt, materials, surface, grown.wood, grown.leaves);
                               }});
        ++salt_;
    }

    void add(const Shrub& shrub) {
        const std::uint16_t surface = add_surface(shrub.id, SurfaceKind::shrub, shrub.foot);
        if (shrub.plant.empty())
            plants_.push_back(
                {surface, [&shrub, surface, salt = salt_,
                           leaf = add_leaf_material(builder_, shrub.foliage.leaf)](PlantFacets& grown) {
                     fill_leaves(make_leaf_space(shrub), shrub.foliage, salt, leaf, surface, grown.leaves);
                 }});
        else
            plants_.push_back(
                {surface,
                 [&shrub, surface, salt = salt_,
                  materials = add_plant_materials(builder_, shrub.plant, shrub.foliage)](PlantFacets& grown) {
                     build_named_shrub(shrub, salt, materials, surface, grown.wood, grown.leaves);
                 }});
        ++salt_;
    }

    void grow() {
        // On one thread nothing is kept twice.
        const std::size_t at_once = count_workers() > 1 ? std::max<std::size_t>(1, plants_.size()) : 1;
        for (std::size_t first = 0; first < plants_.size(); first += at_once) {
            std::vector<PlantFacets> grown(std::min(at_once, plants_.size() - first));
            parallel_for(grown.size(), [&](std::size_t i) { plants_[first + i].grow(grown[i]); });
            for (std::size_t i = 0; i < grown.size(); ++i)
                take(plants_[first + i].surface, std::exchange(grown[i], {}));
        }
    }

private:
    struct Plant {
        std::uint16_t surface;
        std::function<void(PlantFacets&)> grow;
    };

    std::uint16_t add_surface(const std::string& id, SurfaceKind kind, double foot) {
        const std::uint16_t surface = builder_.add_surface(id, kind, id);
        builder_.stage.surfaces[surface].foot = foot;
        return surface;
    }

    void take(std::uint16_t surface, const PlantFacets& grown) {
        Stage& stage = builder_.stage;
        const std::size_t first = stage.leaves.size();
        stage.opaque.append(grown.wood);
        stage.leaves.append(grown.leaves);
        builder_.leaf_sensor_jobs.emplace_back(
            [&builder = builder_, surface, first, count = grown.leaves.size()] {
                place_leaf_sensors(builder.stage, surface, first, count, builder.site.leaf_sensors);
            });
    }

    StageBuilder& builder_;
    std::uint16_t bark_;
    std::uint32_t salt_ = 1; ///< two plants of one seed still differ
    std::vector<Plant> plants_;
};

} // namespace

void StageBuilder::build_plants() {
    PlantGrower grower(*this);
    for (const Tree& tree : site.trees)
        grower.add(tree);
    for (const Shrub& shrub : site.shrubs)
        grower.add(shrub);
    grower.grow();
}

} // namespace duskcast
