#pragma once
// Where things of a site are in the plan: runs, wall profiles, crowns, fixtures.

#include <glm/glm.hpp>
#include <optional>
#include <utility>
#include <vector>

#include "duskcast/photometry/aim.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

/// One straight segment of a run. `along` is where it starts on the run.
struct RunSegment {
    glm::dvec2 start{0};
    glm::dvec2 direction{1, 0}; ///< unit
    glm::dvec2 outward{0, -1};  ///< unit, on the right hand of `direction`
    double along = 0;
    double length = 0;
};

std::vector<RunSegment> run_of(const std::vector<glm::dvec2>& path, bool closed);
std::vector<RunSegment> run_of(const Wall& wall);

/// A projection's own run (left flank, front, right flank), for a wall.
std::vector<RunSegment> run_of(const Wall& wall, const Projection& projection);
/// What it covers in the plan: four corners, from the left one on the wall.
std::vector<glm::dvec2> outline_of(const Wall& wall, const Projection& projection);

/// The segment on which `along` falls (the nearer end's when outside the run).
const RunSegment& segment_at(const std::vector<RunSegment>& run, double along);

/// Height above the foot of the wall's upper edge at `along`: the eave line, or the gables' slopes.
double top_of(const Wall& wall, double along);

/// The stretch of its wall's run that a target takes, its own or its gable's; none: it is not kept to one.
std::optional<std::array<double, 2>> find_stretch(const Site& site, const Target& target);

/// Radius of the crown's outline at height z above the tree's foot; 0 outside base..height.
double crown_radius(const Tree& tree, double z);

double crown_volume(const Tree& tree);   ///< m3, by summing disks of crown_radius
double shrub_volume(const Shrub& shrub); ///< m3: plan area times height; a hedge's corners are not mitred

/// One-sided leaf area per volume, m2/m3: the plant's own figure, or what its word means for its size.
/// Through a tree's crown a share of the light behind it is seen: 0.42 light, 0.20 medium, 0.11 dense, as a
/// mean over the silhouette. Measured: honey locust 0.44 and coffee tree 0.40 (Gardner and Sydnor 1984);
/// horse chestnut and beech 0.19, lime 0.11 (Wilkinson 1992). A shrub has 2, 3.5 or 6 m2 of leaves before
/// each m2 of its height or, if that is less, of a hedge's width (common practice, no source); 20 m2/m3 at
/// most.
double leaf_area_density(const Tree& tree);
double leaf_area_density(const Shrub& shrub);

/// One-sided area of a leaf of the given length: a rhomb half as wide as long, length^2 / 4.
double leaf_area(double leaf_size);

/// The same of a facet of this plant, whose kind may have narrower or wider ones.
double leaf_area(const Tree& tree);
double leaf_area(const Shrub& shrub);

double trunk_diameter(const Tree& tree); ///< at breast height, with the default applied

bool is_inside(const std::vector<glm::dvec2>& outline, const glm::dvec2& point);

/// Metres to the nearest place on a line, or on a closed line's edge; infinite from a line without points.
double distance_to_line(const glm::dvec2& point, const std::vector<glm::dvec2>& line, bool is_closed);

/// What lies on top there.
GroundKind ground_kind_at(const Ground& ground, const glm::dvec2& point);

/// The polygon's part on the side where sign * (point[axis] - limit) <= 0 (Sutherland and Hodgman 1974).
std::vector<glm::dvec2> clip(const std::vector<glm::dvec2>& polygon, int axis, double limit, double sign);

/// Plan area, positive when counter-clockwise.
double signed_area(const std::vector<glm::dvec2>& outline);

/// Setback of a fixture that gives none: what hangs on a wall or trunk stands off by its own body; what
/// stands in the ground takes the middle of the usual 12 to 18 in (common practice, no source).
inline constexpr double hung_setback = 0.1;
inline constexpr double standing_setback = 15 * metres_per_inch;
double setback_of(const Fixture& fixture); ///< its own, else the usual one

/// A fixture resolved to coordinates.
struct PlacedFixture {
    glm::dvec3 position{0}; ///< centre of the lens face
    Aim aim;
};

/// Throws InputError when the wall or tree named does not exist.
PlacedFixture place_fixture(const Site& site, const Fixture& fixture);

/// The lantern's extent along the wall, out from it and upwards.
glm::dvec3 size_of(const Lantern& lantern);

/// From the wall's face to the lantern's middle: its own, or a bracket of 2 in beyond half its depth (common
/// practice, no source).
double setback_of(const Lantern& lantern);

struct PlacedLantern {
    glm::dvec3 position{0};  ///< its middle
    glm::dvec2 across{1, 0}; ///< unit: the way along the wall, turned
};

/// Throws InputError when the wall named does not exist.
PlacedLantern place_lantern(const Site& site, const Lantern& lantern);

/// The opening's light: its own, or that of a lit room behind it, 8 cd/m2 (common practice, no source).
std::optional<Glow> glow_of(const Opening& opening);

/// Plan rectangle round everything built, planted or lit: walls, projections, roofs, crowns, shrubs, ground
/// areas, lanterns and, to the next whole metre outwards, fixtures beyond them; not meshes and views. (0, 0)
/// twice when there is nothing.
std::pair<glm::dvec2, glm::dvec2> plan_bounds(const Site& site);

} // namespace duskcast
