#pragma once
// The rectangles that a point receives light from, and how much of each it sees.

#include <cstdint>
#include <vector>

#include "duskcast/light/point_links.hpp"

namespace duskcast {

/// A rectangle that a point may receive light from.
struct Candidate {
    PlaneRectangle place;
    std::uint32_t plane; ///< of the tree
    std::uint32_t node;
    bool is_part;      ///< of a cell: its light is blended between cells
    FactorTrend share; ///< as if nothing were in the way, without what is of bands farther away
    double distance;   ///< metres
    double band;       ///< DistanceBands::place
    int rays = 0, seen = 0;
};

struct Candidates {
    std::vector<Candidate> list; ///< by planes, neighbours beside each other
    float nearest_edge_on = 0; ///< metres to the nearest plane whose side another point next to this one may
                               ///< see, in quarters
};

/// `is_leafy`: leaves stand before what is seen, so that a rectangle's neighbours tell little about it.
Candidates find_candidates(const Patches& patches, const SourceTree& tree, const LinkedPoint& point,
                           bool is_leafy);

} // namespace duskcast
