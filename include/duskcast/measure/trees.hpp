#pragma once
// Crowns by height.

#include <string>
#include <vector>

#include "duskcast/measure/lit.hpp"
#include "duskcast/measure/reach.hpp"
#include "duskcast/measure/stats.hpp"

namespace duskcast {

/// A height band of a crown. Each leaf counts at its brighter side.
struct TreeBand {
    double from = 0; ///< above the foot
    double to = 0;
    double leaf_area = 0; ///< one side, m2
    double mean_lx = 0;
    std::vector<LevelShare> lit; ///< share of leaf area at or above each level
    std::size_t leaves = 0;
};

/// Who looks at a crown from the south and north where a site has no views.
inline constexpr double far_viewer = 50;     ///< metres off
inline constexpr double viewer_height = 1.6; ///< of the eye, metres

/// A crown as a whole, or as one eye sees it (only leaves it can see, on the side that faces it).
struct TreeReport {
    std::string tree;
    Viewpoint from;
    std::vector<TreeBand> bands;
    std::size_t leaves = 0; ///< that count; fewer than `least_samples`: as good as hidden
    /// One a level. Stretches are of bands without a gap between them that read as lit, that is, in which at
    /// least `reads_as_lit` of the leaf area is at or above the level; the height is the top of the stretch
    /// with the most leaf area in it, none when no band reads as lit.
    std::vector<Reach> lit_to;

    bool is_hidden() const { return leaves < least_samples; }
};

/// A crown's bands and how high it reads as lit, of samples on its leaves.
TreeReport measure_crown(const Site& site, const Stage& stage, const Tree& tree,
                         const std::vector<Sample>& samples, const std::vector<double>& levels_lx);

/// The crown as a whole, then as each view of the site sees it (without views: from the south and the
/// north).
std::vector<TreeReport> measure_trees(const Site& site, const Stage& stage, const std::vector<double>& lux,
                                      const std::vector<double>& levels_lx);

} // namespace duskcast
