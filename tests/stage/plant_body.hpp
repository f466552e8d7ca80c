#pragma once
// The body that a plant in words is to fill.

#include <cmath>
#include <string>

#include "../../src/stage/plant_plan.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/stage/named_plant.hpp"

namespace duskcast::test {

inline PlantBody make_body(const std::string& plant, std::size_t leaves) {
    PlantBody body;
    body.tree = make_usual_tree(plant);
    body.words = read_plant(plant);
    body.contains = [tree = body.tree](const glm::dvec3& place) {
        return std::hypot(place.x, place.y) <= crown_radius(tree, place.z);
    };
    body.leaves = leaves;
    return body;
}

} // namespace duskcast::test
