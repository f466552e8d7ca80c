#include "duskcast/site/fountain_plan.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

// Proportions, common practice, no source.
constexpr std::array<double, most_bowls> bowl_widths{0.52, 0.32, 0.19}; ///< of the basin's
constexpr double wall_thickness = 6 * metres_per_inch, thickest_share = 0.2;
constexpr double water_below_rim = 2.5 * metres_per_inch, deepest_share = 0.4;
constexpr double bowl_depth = 0.42, pedestal = 0.3; ///< of the bowl's radius
constexpr double room_for_bowl = 8 * metres_per_inch;
constexpr double jet_radius = 0.02, jet_spread = 0.07; ///< metres, and of its height
constexpr double into_ground = 0.3;

} // namespace

double least_height(const Fountain& fountain) {
    return fountain.rim + fountain.bowls * room_for_bowl;
}

double height_of(const Fountain& fountain) {
    return fountain.height.value_or(
        std::max(least_height(fountain), (0.45 + 0.15 * fountain.bowls) * fountain.width));
}

FountainProfile plan_fountain(const Site& site, const Fountain& fountain) {
    const double foot = fountain.foot.value_or(ground_height_at(site.ground, fountain.at));
    const double basin = fountain.width / 2, rim = foot + fountain.rim;
    const double wall = std::min(wall_thickness, thickest_share * basin);
    const auto water_at = [&](double edge, double depth) {
        return edge - std::min(water_below_rim, deepest_share * depth);
    };
    FountainProfile plan{.foot = foot};
    double water = water_at(rim, fountain.rim);
    plan.points = {{0, foot - into_ground}, {basin, foot - into_ground},
                   {basin, foot},           {basin, rim},
                   {basin - wall, rim},     {basin - wall, water, FountainPart::basin_water}};
    plan.rims = {basin};
    const double rise = (height_of(fountain) - fountain.rim) / std::max(1, fountain.bowls);
    for (int i = 0; i < fountain.bowls; ++i) {
        const double radius = bowl_widths[static_cast<std::size_t>(i)] * basin, edge = rim + (i + 1) * rise;
        const double depth = std::min(bowl_depth * radius, 0.6 * rise), waist = pedestal * radius;
        const double below = edge - depth;
        plan.points.insert(plan.points.end(), {{1.5 * waist, water},
                                               {1.1 * waist, water + 0.2 * (below - water)},
                                               {0.75 * waist, water + 0.6 * (below - water)},
                                               {1.2 * waist, below},
                                               {0.7 * radius, below + 0.3 * depth},
                                               {0.92 * radius, below + 0.65 * depth},
                                               {radius, edge},
                                               {0.93 * radius, edge}});
        water = water_at(edge, depth);
        plan.points.push_back({0.88 * radius, water, FountainPart::bowl_water});
        plan.rims.push_back(radius);
    }
    if (fountain.jet > 0) {
        // Water full of air: widest where it falls back.
        const double radius = jet_radius + jet_spread * fountain.jet;
        constexpr std::array<glm::dvec2, 4> shape{{{1, 0}, {0.62, 0.3}, {0.5, 0.75}, {0.34, 0.95}}};
        for (const glm::dvec2& point : shape)
            plan.points.push_back({point.x * radius, water + point.y * fountain.jet, FountainPart::jet});
        plan.points.push_back({0, water + fountain.jet});
    } else {
        plan.points.push_back({0, water});
    }
    return plan;
}

std::vector<glm::dvec2> circle_round(const glm::dvec2& middle, double radius, int sides) {
    std::vector<glm::dvec2> circle;
    for (int i = 0; i < sides; ++i) {
        const double angle = 2 * pi * i / sides;
        circle.push_back(middle + radius * glm::dvec2(std::cos(angle), std::sin(angle)));
    }
    return circle;
}

std::vector<Water> list_waters(const Site& site) {
    std::vector<Water> waters;
    for (const GroundArea& area : site.ground.areas)
        if (area.kind == GroundKind::water)
            waters.push_back({area.id, area.outline});
    for (const Fountain& fountain : site.fountains)
        waters.push_back({fountain.id, circle_round(fountain.at, fountain.width / 2)});
    return waters;
}

} // namespace duskcast
