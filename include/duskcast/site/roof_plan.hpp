#pragma once
// What a roof is over, and where its planes lie.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

inline constexpr double chimney_above_ridge = 24 * metres_per_inch; ///< usual by the codes; from memory

/// A side of a roof's footprint.
struct RoofSide {
    glm::dvec2 start{0};
    glm::dvec2 end{0};
    int segment = -1;        ///< of the wall's run that it is; -1: none
    bool is_sloping = false; ///< a plane rises from it; else it ends upright
    double overhang = 0;
    double edge = 0; ///< how high the covering's lower edge lies above the underside

    /// Distance of a plan point inwards from the side's line.
    double inside(const glm::dvec2& point) const;
};

/// A roof over a convex footprint: the lower envelope of the planes that rise from its sloping sides.
struct RoofPlan {
    std::vector<RoofSide> sides; ///< counter-clockwise, the front first
    double underside = 0;        ///< z
    double slope = 0;            ///< rise over run

    /// z of the plane of a sloping side there: from its edge, which overhangs, it rises inwards.
    double plane_at(const RoofSide& side, const glm::dvec2& point) const;
    /// z of the covering there.
    double top_at(const glm::dvec2& point) const;
    /// The part of a convex polygon over which the side's plane is the lowest.
    std::vector<glm::dvec2> part_below(const RoofSide& side, std::vector<glm::dvec2> polygon) const;
    /// The footprint, each side moved outwards by its overhang, or not.
    std::vector<glm::dvec2> outline(bool with_overhang) const;
    /// z of the highest place of the covering.
    double ridge() const;
};

/// The footprints of the houses that stand behind walls, as roofs over them tell it; a porch is none.
std::vector<std::vector<glm::dvec2>> list_house_footprints(const Site& site);

/// The wall must exist. Sides of the wall with an eave take its depth and thickness.
RoofPlan plan_roof(const Site& site, const Roof& roof);

/// The part of a convex polygon on the inner side of the line from `from` to `to`, which is on its left.
std::vector<glm::dvec2> keep_inside(const std::vector<glm::dvec2>& polygon, const glm::dvec2& from,
                                    const glm::dvec2& to);

} // namespace duskcast
