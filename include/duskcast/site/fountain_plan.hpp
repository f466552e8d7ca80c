#pragma once
// What a fountain turns about its axis, and every water of a property.

#include <glm/glm.hpp>
#include <string>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

inline constexpr int most_bowls = 3;

enum class FountainPart { stone, basin_water, bowl_water, jet };

/// A fountain's outline from the axis below its foot out, up, and back to the axis at its top.
struct FountainProfile {
    struct Point {
        double radius = 0;
        double z = 0;
        FountainPart part = FountainPart::stone; ///< from here to the next point
    };
    std::vector<Point> points;
    double foot = 0;          ///< z of what it stands on
    std::vector<double> rims; ///< radii: of the basin, then of its bowls from below
};
FountainProfile plan_fountain(const Site& site, const Fountain& fountain);

/// Of the highest bowl's rim above the foot: its own, or what looks well over a basin so wide.
double height_of(const Fountain& fountain);

/// How high that is at least: a bowl needs room above what is below it.
double least_height(const Fountain& fountain);

/// The edge of a basin or a bowl in the plan, as a polygon, counter-clockwise.
std::vector<glm::dvec2> circle_round(const glm::dvec2& middle, double radius, int sides = 32);

/// A pond, a pool, a fountain's basin.
struct Water {
    std::string id;
    std::vector<glm::dvec2> outline;
};
std::vector<Water> list_waters(const Site& site);

} // namespace duskcast
