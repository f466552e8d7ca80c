#pragma once
// Ground that is held up by walls, how high the ground is, and how it falls.

#include <glm/glm.hpp>
#include <optional>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// What ground lies in: level where it rises nowhere.
struct GroundPlane {
    double height = 0;  ///< z at the plan's origin
    glm::dvec2 rise{0}; ///< metres up per metre eastwards and northwards

    bool is_level() const { return rise == glm::dvec2(0); }
    double height_at(const glm::dvec2& point) const { return height + glm::dot(rise, point); }
    glm::dvec3 normal() const { return glm::normalize(glm::dvec3(-rise, 1)); }
    /// Metres down per metre of plan, straight down the fall.
    double slope() const { return glm::length(rise); }

    bool operator==(const GroundPlane&) const = default;
};

/// z of the ground there: of the last terrace that covers the point, else 0.
double ground_height_at(const Ground& ground, const glm::dvec2& point);

/// The plane that the ground lies in there.
GroundPlane ground_plane_at(const Ground& ground, const glm::dvec2& point);

/// The plane of the ground that a ray meets first. None where it meets no ground within `farthest` metres, or
/// before it the upright side of a terrace. `above`: metres over the ground that count as met.
std::optional<GroundPlane> find_ground_met(const Ground& ground, const glm::dvec3& start,
                                           const glm::dvec3& way, double farthest, double above = 0);

/// What lies along a line of the plan on the ground.
struct GroundWay {
    double length = 0; ///< metres of ground
    double climb = 0;  ///< metres up and down upright sides of terraces
};
GroundWay measure_way(const Ground& ground, const std::vector<glm::dvec2>& line);

/// What an area lies on.
GroundPlane plane_below(const Ground& ground, const GroundArea& area);

/// The plane of an area: its own, or that of what it lies on.
GroundPlane plane_of(const Ground& ground, const GroundArea& area);

/// Where a bed's or a hedge's foot is.
glm::dvec2 footing_of(const Shrub& shrub);

/// z that the shrubs there stand on.
double foot_at(const Shrub& shrub, const glm::dvec2& point);

/// Gives the plants that stand on the ground its height there as their foot, and shrubs its fall.
void stand_on_ground(Site& site);

/// Plan distance from the high edge of an outline to its low one, for ground that falls towards a bearing.
double fall_length(const std::vector<glm::dvec2>& outline, double towards);

/// Where an arrow down a fall may be drawn, in the plan.
struct FallLine {
    glm::dvec2 high{0}, low{0};
};

/// Down the middle of a terrace that falls, off its edges; none of any other area.
std::optional<FallLine> find_fall_line(const GroundArea& area);

/// A place within the outline, half a centimetre or more from its edge where there is room for that.
glm::dvec2 find_inner_place(const std::vector<glm::dvec2>& outline);

} // namespace duskcast
