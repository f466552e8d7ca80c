#pragma once
// How the things that people ask about read from where they are looked at.

#include <filesystem>
#include <vector>

#include "duskcast/measure/report.hpp"
#include "duskcast/view/view_trace.hpp"

namespace duskcast {

/// Every target (in the regions' order), then every tree that is no target as a whole, as the image shows it.
/// A pixel reads as lit from the greater of `lit_luminance` (cd/m2) and the median of what lies round the
/// thing, within a quarter of its width and height, and belongs to another body.
std::vector<SeenFeature> see_features(const ViewImage& image, const Viewpoint& from, const Site& site,
                                      const Stage& stage, const std::vector<Region>& regions,
                                      double lit_luminance);

/// The same from each of the views, in small pictures of their own whose height is `shape` of their width; of
/// a site without views the trees alone, from the south and the north. One view after the other.
std::vector<SeenFeature> look_from_views(const Site& site, const Stage& stage, const std::vector<View>& views,
                                         const std::vector<LitFixture>& fixtures, const BouncedLight& bounced,
                                         double lit_luminance, double shape = 0.625);

/// Looks from the site's views and fills in `seen`, with which targets the report has as missed.
void look_for_report(const Site& site, const Stage& stage, const Lighting& lighting, double lit_luminance,
                     Report& report);

/// measure_report, with what other lamps would do (find_better_lamps) and how things read from the site's
/// views: all that a single run says. `folder`: of the site's files.
Report measure_with_views(const Site& site, const std::filesystem::path& folder, const Stage& stage,
                          const Lighting& lighting, std::vector<double> levels_lx = {},
                          double lit_luminance = usual_lit_luminance);

} // namespace duskcast
