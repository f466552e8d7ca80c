#pragma once
// What things are drawn in on plans of line and wash.

#include "duskcast/draw/canvas.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

inline constexpr Ink plan_paper_ink{{1, 1, 1}, 1};
inline constexpr Ink plan_house_ink{{0.80, 0.79, 0.77}, 1};
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

} // namespace duskcast
