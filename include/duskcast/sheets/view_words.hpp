#pragma once
// The figures of views in words and as JSON.

#include <string>
#include <vector>

#include "duskcast/view/see.hpp"
#include "duskcast/view/view_report.hpp"

namespace duskcast {

/// A view's figures with the pictures made of it.
struct ViewResult {
    ViewReport report;
    std::vector<SeenFeature> features; ///< the report's targets, then trees
    double stops = 0;                  ///< exposure of the night picture
    std::vector<std::string> files;    ///< as they are named to people
    std::string variant;               ///< of the site, by its id; empty: the site as it is
};

/// "lit; 0.43 cd/m2, 12 : 1 against its surroundings: a focal point". What is not lit stands out from
/// nothing.
std::string print_seen_target(const SeenTarget& seen, const SeenFeature& feature, LengthUnit unit);

/// Adds lines: how a view's targets and trees read, its bright lenses and its files.
void add_seen(const Site& site, const ViewResult& result, std::vector<std::string>& lines);

/// Lines: each view with its targets, trees, bright lenses and files; with several views also from which of
/// them each target stands out; and what counts as lit. All results have the same targets, in one order;
/// those of a variant follow one another.
std::vector<std::string> print_views(const Site& site, const std::vector<ViewResult>& results,
                                     double lit_luminance);

/// The JSON text of `view --json`.
std::string print_views_json(const Site& site, const std::vector<ViewResult>& results);

} // namespace duskcast
