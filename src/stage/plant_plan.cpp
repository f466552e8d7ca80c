#include "plant_plan.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/frame.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/stage/foliage.hpp"

namespace duskcast {

bool PlantBody::is_in_bloom() const {
    return words.state == PlantState::in_bloom && tree.foliage.leaf != LeafKind::twigs;
}

LeafLayer::LeafLayer(const PlantBody& body, Random& random, PlantPlan& plan)
    : body_(body), random_(random), plan_(plan), ratio_(spheroid_ratio(body.tree.foliage.leaf_angle_index)) {
    plan_.leaves.reserve(body.leaves);
}

glm::dvec3 LeafLayer::draw_in(glm::dvec3 centre) const {
    const Tree& tree = body_.tree;
    centre.z = std::clamp(centre.z, tree.base + 1e-3 * body_.crown(), tree.height - 1e-3 * body_.crown());
    for (int i = 0; i < 24 && !body_.contains(centre); ++i) {
        centre.x *= 0.92;
        centre.y *= 0.92;
        centre.z += 0.04 * (tree.base + 0.45 * body_.crown() - centre.z);
    }
    return centre;
}

void LeafLayer::add(const glm::dvec3& centre, const glm::dvec3& outward, bool is_blossom) {
    if (is_full())
        return;
    const glm::dvec3 normal = draw_leaf_normal(ratio_, random_);
    glm::dvec3 axis = outward - glm::dot(outward, normal) * normal;
    if (glm::length(axis) < 1e-6)
        axis = TangentFrame<double>(normal).first;
    plan_.leaves.push_back({draw_in(centre), glm::normalize(axis), normal, is_blossom});
}

void LeafLayer::add_along(const glm::dvec3& centre, const glm::dvec3& axis, double flatness,
                          bool is_blossom) {
    if (is_full())
        return;
    const glm::dvec3 along = glm::normalize(axis);
    const TangentFrame<double> frame(along); // `first` is level
    const double roll = random_.uniform(-pi / 2, pi / 2) * (1 - flatness);
    const glm::dvec3 normal = std::cos(roll) * frame.second + std::sin(roll) * frame.first;
    plan_.leaves.push_back({draw_in(centre), along, normal, is_blossom});
}

void LeafLayer::add_shoot(const glm::dvec3& from, const glm::dvec3& axis, int leaves, bool is_blossom) {
    const double size = body_.tree.foliage.leaf_size;
    const double truss = body_.kind().truss;
    if (is_blossom && truss > 0) {
        for (int i = 0; i < leaves; ++i) {
            const glm::dvec3 way = random_.direction();
            if (!is_full()) // petals are the skin of the ball
                plan_.leaves.push_back(
                    {draw_in(from + truss * way), TangentFrame<double>(way).first, way, true});
        }
        return;
    }
    const glm::dvec3 along = glm::normalize(axis);
    const TangentFrame<double> frame(along);
    const double length = 0.22 * size * leaves;
    const double turn = random_.uniform(0, 2 * pi);
    for (int i = 0; i < leaves; ++i) {
        const double angle = turn + golden_angle * i;
        const glm::dvec3 aside = std::cos(angle) * frame.first + std::sin(angle) * frame.second;
        const glm::dvec3 out = aside + 0.6 * along - glm::dvec3(0, 0, 0.35);
        const double reach = size * random_.uniform(0.45, 0.8);
        add(from + (length * (i + 0.5) / leaves) * along + reach * glm::normalize(out), out, is_blossom);
    }
}

glm::dvec3 find_place(const PlantBody& body, Random& random) {
    const Tree& tree = body.tree;
    for (int attempt = 0; attempt < 1000; ++attempt) {
        const glm::dvec3 place{random.uniform(-tree.width / 2, tree.width / 2),
                               random.uniform(-tree.width / 2, tree.width / 2),
                               random.uniform(tree.base, tree.height)};
        if (body.contains(place))
            return place;
    }
    return {0, 0, tree.base + body.crown() / 2};
}

PlantPlan plan_plant(const PlantBody& body, Random& random) {
    switch (habit_of(body.words)) {
    case PlantHabit::forked:
    case PlantHabit::leading:
    case PlantHabit::stems:
    case PlantHabit::hanging:
        return plan_branched(body, random);
    case PlantHabit::tiered:
    case PlantHabit::tufted:
    case PlantHabit::upright:
        return plan_conifer(body, random);
    case PlantHabit::fronds:
    case PlantHabit::blades:
    case PlantHabit::rosette:
    case PlantHabit::wands:
        return plan_tuft(body, random);
    }
    return {};
}

} // namespace duskcast
