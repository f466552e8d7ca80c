#pragma once
// The coverage pictures by themselves, for a proposal of the user's own making.

#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

struct CoverageImage {
    std::string id; ///< the plate's
    std::string png;
};

/// Every plate of the site as a PNG of 2400 by 1600 pixels, all on one scale. Each says in its text what it
/// shows, in which units, of which site file (with its hash) and by which version. Throws InputError as
/// lighting does, and in builds without cairo.
std::vector<CoverageImage> draw_coverage_images(const SiteFile& site_file, const Progress& progress = {});

} // namespace duskcast
