#pragma once
// The figures of views in words and as JSON.

#include <string>
#include <vector>

#include "duskcast/view/view_report.hpp"

namespace duskcast {

/// A view's figures with the pictures made of it.
struct ViewResult {
    ViewReport report;
    double stops = 0;               ///< exposure of the night picture
    std::vector<std::string> files; ///< as they are named to people
};

/// "0.43 cd/m2, 12 : 1 against its surroundings: a focal point".
std::string print_seen_target(const SeenTarget& seen);

/// Lines: each view with its targets, bright lenses and files; with several views also from which of them
/// each target stands out. All results have the same targets, in one order.
std::vector<std::string> print_views(const std::vector<ViewResult>& results);

/// The JSON text of `view --json`.
std::string print_views_json(const std::vector<ViewResult>& results);

} // namespace duskcast
