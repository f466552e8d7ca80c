#pragma once
// What things are drawn in on plans of line and wash, and what more than one plan draws.

#include "duskcast/draw/canvas.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/steps_plan.hpp"

namespace duskcast {

inline constexpr Ink plan_paper_ink{{1, 1, 1}, 1};
inline constexpr Ink plan_house_ink{{0.80, 0.79, 0.77}, 1};
inline constexpr Ink plan_floor_ink{{0.86, 0.85, 0.84}, 1};
inline constexpr Ink plan_wall_ink{{0.30, 0.30, 0.33}, 1};
inline constexpr Ink crown_ink{{0.35, 0.50, 0.33}, 0.8};

inline Ink ground_ink(GroundKind kind) {
    switch (kind) {
    case GroundKind::lawn:
        return {{0.925, 0.945, 0.90}, 1};
    case GroundKind::bed:
        return {{0.89, 0.90, 0.82}, 1};
    case GroundKind::paving:
        return {{0.90, 0.90, 0.91}, 1};
    case GroundKind::mulch:
        return {{0.925, 0.89, 0.84}, 1};
    case GroundKind::water:
        return {{0.80, 0.88, 0.94}, 1};
    }
    return plan_paper_ink;
}

/// What stands out from walls, such as porch floors and bays, and steps; `place`: from the plan to the page.
template <class Place> void draw_plan_bodies(Canvas& canvas, const Site& site, const Place& place) {
    const auto draw = [&](const std::vector<glm::dvec2>& outline) {
        const std::vector<glm::dvec2> placed = place(outline);
        canvas.fill(placed, plan_floor_ink);
        canvas.line(placed, true, 1, plan_wall_ink);
    };
    for (const Wall& wall : site.walls)
        for (const Projection& projection : wall.projections)
            draw(outline_of(wall, projection));
    for (const Steps& steps : site.steps)
        for (const Tread& tread : plan_steps(site, steps).treads)
            draw(tread.outline);
}

/// Its basin, and the rims of the bowls over it; `at`: its axis on the page, `scale`: pixels a metre.
inline void draw_plan_fountain(Canvas& canvas, const Site& site, const Fountain& fountain,
                               const glm::dvec2& at, double scale) {
    canvas.fill_disk(at, fountain.width / 2 * scale, ground_ink(GroundKind::water));
    for (const double rim : plan_fountain(site, fountain).rims)
        canvas.circle(at, rim * scale, 1.2, plan_wall_ink);
}

} // namespace duskcast
