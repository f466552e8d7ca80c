#pragma once
// How a target reads from a view: its luminance against that of its surroundings.

#include <string>
#include <vector>

#include "duskcast/measure/region.hpp"
#include "duskcast/view/view_image.hpp"

namespace duskcast {

/// Focal : background luminance ratios (after the IES Lighting Handbook, by way of a university course).
inline constexpr double recognisable_contrast = 3;
inline constexpr double focal_contrast = 10;

/// A target as a view shows it. Surroundings: what lies round it within a quarter of its own
/// width and height each way, sky included.
struct SeenTarget {
    std::string target;
    std::size_t pixels = 0;  ///< 0: the view does not show it
    double luminance = 0;    ///< mean, cd/m2
    double surroundings = 0; ///< mean, cd/m2
    double contrast = 0;     ///< luminance : surroundings, at most 1,000

    bool is_recognisable() const { return contrast >= recognisable_contrast; }
    bool is_focal() const { return contrast >= focal_contrast; }
};

/// One a region, in their order. Lenses are not counted: they are glare, not target.
std::vector<SeenTarget> measure_seen_targets(const ViewImage& image, const std::vector<Region>& regions);

/// "0.43 cd/m2, 12 : 1 against its surroundings: a focal point".
std::string describe_seen_target(const SeenTarget& seen);

} // namespace duskcast
