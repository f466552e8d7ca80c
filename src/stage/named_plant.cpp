#include "duskcast/stage/named_plant.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"
#include "duskcast/stage/foliage.hpp"
#include "plant_plan.hpp"

namespace duskcast {
namespace {

Random make_random(const Foliage& foliage, std::uint32_t salt) {
    return Random(join_seeds(static_cast<std::uint32_t>(foliage.seed), salt));
}

template <class Plant> std::size_t count_leaves(const Plant& plant, double volume) {
    return static_cast<std::size_t>(std::llround(leaf_area_density(plant) * volume / leaf_area(plant)));
}

/// Sorts the leaves and makes facets of them; `centres` in the places' order, in the site's frame.
class LeafWriter {
public:
    LeafWriter(const Foliage& foliage, double ratio, const PlantMaterials& materials, std::uint16_t surface,
               Leaves& leaves)
        : half_length_(foliage.leaf_size / 2), half_width_(foliage.leaf_size * ratio / 2),
          materials_(materials), surface_(surface), leaves_(leaves) {}

    void add(const PlantPlan& plan, const glm::dvec3& foot) {
        for (LeafPlace place : plan.leaves) {
            place.centre += foot;
            places_.push_back(place);
        }
    }

    void write() const {
        std::vector<glm::dvec3> centres;
        glm::dvec3 low(1e9), high(-1e9);
        for (const LeafPlace& place : places_) {
            centres.push_back(place.centre);
            low = glm::min(low, place.centre);
            high = glm::max(high, place.centre);
        }
        leaves_.corners.reserve(leaves_.corners.size() + 4 * places_.size());
        for (const std::uint32_t index : morton_order(centres, low, high)) {
            const LeafPlace& place = places_[index];
            const glm::dvec3 along = half_length_ * place.axis;
            const glm::dvec3 across = half_width_ * glm::cross(place.normal, place.axis);
            for (const glm::dvec3& corner : {along, across, -along, -across})
                leaves_.corners.emplace_back(place.centre + corner);
            leaves_.material.push_back(place.is_blossom ? materials_.blossom : materials_.leaf);
            leaves_.surface.push_back(surface_);
        }
    }

private:
    double half_length_, half_width_;
    PlantMaterials materials_;
    std::uint16_t surface_;
    Leaves& leaves_;
    std::vector<LeafPlace> places_;
};

Region crown_of(const Tree& tree) {
    return [tree](const glm::dvec3& place) {
        const double radius = crown_radius(tree, place.z);
        return place.x * place.x + place.y * place.y <= radius * radius;
    };
}

/// Where the single plants of a bed or of a row stand: on a triangular lattice shaken a little, or along the
/// line.
std::vector<glm::dvec2> find_stands(const Shrub& shrub, double spacing, Random& random) {
    std::vector<glm::dvec2> stands;
    if (shrub.outline.empty()) {
        for (const RunSegment& segment : run_of(shrub.path, false)) {
            const int count = std::max(1, static_cast<int>(std::lround(segment.length / spacing)));
            for (int i = 0; i < count; ++i)
                stands.push_back(segment.start + segment.length * (i + 0.5) / count * segment.direction);
        }
        return stands;
    }
    glm::dvec2 low(1e9), high(-1e9);
    for (const glm::dvec2& point : shrub.outline) {
        low = glm::min(low, point);
        high = glm::max(high, point);
    }
    const double row_step = spacing * std::sqrt(0.75);
    const glm::dvec2 extent = high - low;
    const int rows = std::max(1, static_cast<int>(std::lround(extent.y / row_step)));
    const int columns = std::max(1, static_cast<int>(std::lround(extent.x / spacing)));
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            const double shift = rows > 1 && row % 2 == 1 ? 0.25 : rows > 1 ? -0.25 : 0.0;
            const double shake_x = random.uniform(-0.12, 0.12), shake_y = random.uniform(-0.12, 0.12);
            const glm::dvec2 share((column + 0.5 + shift + shake_x) / columns, (row + 0.5 + shake_y) / rows);
            const glm::dvec2 stand = low + share * extent;
            if (is_inside(shrub.outline, stand))
                stands.push_back(stand);
        }
    if (stands.empty()) {
        glm::dvec2 middle(0);
        for (const glm::dvec2& point : shrub.outline)
            middle += point / static_cast<double>(shrub.outline.size());
        stands.push_back(middle);
    }
    return stands;
}

/// One plant of a bed or row.
Tree make_single(const Shrub& shrub, double width) {
    Tree tree = make_usual_tree(shrub.plant, shrub.height);
    tree.foliage = shrub.foliage;
    tree.width = width;
    return tree;
}

/// A clipped hedge, in pieces that are each planned by themselves along their own middle line.
class HedgeBuilder {
public:
    HedgeBuilder(const Shrub& shrub, const PlantWords& words) : shrub_(shrub), words_(words) {}

    /// One piece of a segment as a body of its own, `length` long along x.
    PlantBody make_piece(double length, std::size_t leaves) const {
        PlantBody body;
        body.words = words_;
        body.tree = make_usual_tree(shrub_.plant, shrub_.height);
        body.tree.foliage = shrub_.foliage;
        body.tree.base = 0;
        body.tree.form = CrownForm::column;
        body.tree.width = std::max(length, shrub_.width);
        body.leaves = leaves;
        const glm::dvec3 half(length / 2, shrub_.width / 2, 0);
        body.contains = [half, height = shrub_.height](const glm::dvec3& place) {
            return std::abs(place.x) <= half.x && std::abs(place.y) <= half.y && place.z >= 0 &&
                   place.z <= height;
        };
        return body;
    }

private:
    const Shrub& shrub_;
    const PlantWords& words_;
};

} // namespace

void build_named_tree(const Tree& tree, std::uint32_t salt, const PlantMaterials& materials,
                      std::uint16_t surface, Triangles& triangles, Leaves& leaves) {
    Random random = make_random(tree.foliage, salt);
    PlantBody body{tree, read_plant(tree.plant), crown_of(tree), count_leaves(tree, crown_volume(tree))};
    const PlantPlan plan = plan_plant(body, random);
    const glm::dvec3 foot(tree.at, tree.foot);
    build_wood(plan.wood, foot, body.kind().furrow, most_wood_facets, materials.bark, surface, triangles);
    LeafWriter writer(tree.foliage, body.kind().leaf_ratio, materials, surface, leaves);
    writer.add(plan, foot);
    writer.write();
}

void build_named_shrub(const Shrub& shrub, std::uint32_t salt, const PlantMaterials& materials,
                       std::uint16_t surface, Triangles& triangles, Leaves& leaves) {
    Random random = make_random(shrub.foliage, salt);
    const PlantWords words = read_plant(shrub.plant);
    const std::size_t count = count_leaves(shrub, shrub_volume(shrub));
    LeafWriter writer(shrub.foliage, words.kind->leaf_ratio, materials, surface, leaves);
    const PlantHabit habit = habit_of(words);
    const bool is_clipped =
        shrub.outline.empty() &&
        (habit == PlantHabit::stems || habit == PlantHabit::forked || habit == PlantHabit::leading);
    if (is_clipped) {
        const HedgeBuilder hedge(shrub, words);
        const std::vector<RunSegment> run = run_of(shrub.path, false);
        const double whole = run.empty() ? 1 : run.back().along + run.back().length;
        const double longest = std::max(1.2, 1.5 * shrub.width);
        std::vector<std::pair<glm::dvec2, const RunSegment*>> pieces;
        std::vector<double> lengths;
        for (const RunSegment& segment : run) {
            const int parts = std::max(1, static_cast<int>(std::lround(segment.length / longest)));
            for (int i = 0; i < parts; ++i) {
                pieces.emplace_back(segment.start + segment.length * (i + 0.5) / parts * segment.direction,
                                    &segment);
                lengths.push_back(segment.length / parts);
            }
        }
        double done = 0;
        std::size_t given = 0;
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            done += lengths[i];
            const auto until =
                static_cast<std::size_t>(std::llround(done / whole * static_cast<double>(count)));
            const PlantBody body = hedge.make_piece(lengths[i], until - given);
            given = until;
            PlantPlan plan = plan_plant(body, random);
            const RunSegment& segment = *pieces[i].second;
            const glm::dvec3 along(segment.direction, 0),
                across(-segment.direction.y, segment.direction.x, 0);
            const auto turn = [&](glm::dvec3& way) {
                way = way.x * along + way.y * across + glm::dvec3(0, 0, way.z);
            };
            for (WoodNode& node : plan.wood)
                turn(node.at);
            for (LeafPlace& place : plan.leaves) {
                turn(place.centre);
                turn(place.axis);
                turn(place.normal);
            }
            const glm::dvec3 foot(pieces[i].first, foot_at(shrub, pieces[i].first));
            build_wood(plan.wood, foot, 0, most_wood_facets / pieces.size(), materials.bark, surface,
                       triangles);
            writer.add(plan, foot);
        }
        writer.write();
        return;
    }
    const Tree usual = make_usual_tree(shrub.plant, shrub.height);
    const double width = shrub.outline.empty() ? std::min(shrub.width, usual.width) : usual.width;
    const std::vector<glm::dvec2> stands = find_stands(shrub, 0.85 * width, random);
    std::size_t given = 0;
    for (std::size_t i = 0; i < stands.size(); ++i) {
        const std::size_t until = count_in_first(i + 1, stands.size(), count);
        PlantBody body{make_single(shrub, width), words, {}, until - given};
        given = until;
        const glm::dvec2 stand = stands[i];
        const Region crown = crown_of(body.tree);
        body.contains = [&shrub, crown, stand](const glm::dvec3& place) {
            return crown(place) &&
                   (shrub.outline.empty() || is_inside(shrub.outline, stand + glm::dvec2(place.x, place.y)));
        };
        const PlantPlan plan = plan_plant(body, random);
        const glm::dvec3 foot(stand, foot_at(shrub, stand));
        build_wood(plan.wood, foot, 0, most_wood_facets / stands.size(), materials.bark, surface, triangles);
        writer.add(plan, foot);
    }
    writer.write();
}

} // namespace duskcast
