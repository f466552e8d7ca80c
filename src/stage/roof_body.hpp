#pragma once
// What roofs are made of: bodies over pieces of the plan, and the courses of their covering.

#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// z over the plan: `height` at `origin`, rising by `gradient`.
struct HeightPlane {
    glm::dvec2 origin{0};
    double height = 0;
    glm::dvec2 gradient{0};

    double at(const glm::dvec2& point) const { return height + glm::dot(gradient, point - origin); }
};

/// Of what a body is, and how its covering lies.
struct BodyLook {
    std::uint16_t top = 0, sides = 0, bottom = 0; ///< materials
    glm::dvec2 across{1, 0};                      ///< unit: along the courses, the slope rising on its left
    glm::dvec2 course_size{1};                    ///< metres of one repeat of the covering, across and up
};

struct BodyMaker {
    Triangles& triangles;
    std::uint16_t top_surface = 0, side_surface = 0;
    double covered = 0; ///< m2 of tops
};

/// A closed body over a convex polygon, counter-clockwise, between two planes. Nothing where there is no
/// room.
void add_body(BodyMaker& maker, const std::vector<glm::dvec2>& polygon, const HeightPlane& lower,
              const HeightPlane& upper, const BodyLook& look);

/// A closed frustum round an upright axis; its first corner lies at the angle `turn` from east.
void add_shaft(Triangles& triangles, const glm::dvec3& foot, const glm::dvec3& head, double foot_radius,
               double head_radius, int sides, double turn, std::uint16_t material, std::uint16_t surface);

/// How large one repeat of a covering's courses is, metres.
glm::dvec2 course_size(RoofCover cover);

/// The mean of the linear albedo of a picture's texels.
glm::dvec3 mean_albedo(const Texture& texture);

/// The covering with its courses; their mean is the finish's reflectance. Adds the texture to the stage.
Material cover_material(Stage& stage, const Roof& roof);

} // namespace duskcast
