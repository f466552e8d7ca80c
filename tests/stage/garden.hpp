#pragma once
// A garden of all kinds of facets, without a site.

#include "facet_referee.hpp"

namespace duskcast::test {

/// A crown of leaves over a level ground with a wall and a fence of cut-outs, about 50 m off the origin.
inline FacetSoup make_garden(int leaves) {
    FacetSoup soup;
    soup.add_chequered_material();
    Dice dice(5);
    for (int i = 0; i < leaves; ++i) {
        const glm::dvec3 along = dice.direction();
        const glm::dvec3 across = glm::normalize(glm::cross(along, dice.direction()));
        soup.add_leaf(glm::vec3(glm::dvec3(50, -30, 5) + 3 * std::cbrt(dice.uniform()) * dice.direction()),
                      glm::vec3(0.1 * along), glm::vec3(0.06 * across));
    }
    const auto add_sheet = [&](glm::vec3 at, glm::vec3 along, glm::vec3 up, bool is_cutout) {
        const auto add = [&](glm::vec3 a, glm::vec3 b, glm::vec3 c) {
            is_cutout ? soup.add_cutout(a, b, c) : soup.add_triangle(a, b, c);
        };
        add(at, at + along, at + along + up);
        add(at, at + along + up, at + up);
    };
    add_sheet({-700, -700, 0}, {1500, 0, 0}, {0, 1500, 0}, false);
    for (int i = 0; i < 6; ++i)
        for (int j = 0; j < 3; ++j)
            add_sheet({44.13f + 2 * i, -24.7f + 0.1f * i, 1.0f * j}, {2, 0.1f, 0}, {0, 0, 1}, false);
    add_sheet({46, -33, 0}, {8, 0, 0}, {0, 0, 2}, true);
    for (int i = 0; i < 12; ++i) { // a trunk
        const auto rim = [](int k, float z) {
            return glm::vec3(50 + 0.3 * std::cos(k * pi / 6), -30 + 0.3 * std::sin(k * pi / 6), z);
        };
        soup.add_triangle(rim(i, 0), rim(i + 1, 0), rim(i + 1, 5));
        soup.add_triangle(rim(i, 0), rim(i + 1, 5), rim(i, 5));
    }
    return soup;
}

} // namespace duskcast::test
