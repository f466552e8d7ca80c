#pragma once
// What a view shows, in figures: its luminances, how its targets stand out, which lenses it shows.

#include <string>
#include <vector>

#include "duskcast/measure/region.hpp"
#include "duskcast/view/view_trace.hpp"

namespace duskcast {

/// Focal : background luminance ratios (after the IES Lighting Handbook, by way of a university course).
inline constexpr double recognisable_contrast = 3;
inline constexpr double focal_contrast = 10;

/// A target as a view shows it. Surroundings: what lies around it within a quarter of its own
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

/// A fixture's lens that the view shows.
struct VisibleLens {
    std::string fixture;
    double luminance = 0; ///< cd/m2
    double eye_lx = 0;    ///< at the eye, square to the line of sight
};

struct ViewReport {
    std::string view;
    int width = 0, height = 0; ///< pixels
    double mean = 0, max = 0;  ///< cd/m2 of what is seen, lenses left out
    std::vector<SeenTarget> targets;
    std::vector<VisibleLens> lenses;
};

/// `fixtures`: those that the image was traced with.
ViewReport measure_view(const std::string& view, const ViewImage& image,
                        const std::vector<LitFixture>& fixtures, const std::vector<Region>& regions);

} // namespace duskcast
