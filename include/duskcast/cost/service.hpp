#pragma once
// What a lighting asks for in the years after it is built.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/site/business_file.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

/// A tree that grows out of its aim.
struct TreeService {
    std::string tree;
    std::vector<std::string> fixtures; ///< that stand at it
    int years = 0;                     ///< until it has grown by a tenth (common practice, no source)
    double height = 0;                 ///< then, metres
};

struct ServicePlan {
    double lamp_life = 0; ///< hours they are rated for
    double hours_a_night = 0, nights = 0;
    std::optional<double> lamp_years; ///< until they are due; none: no life is given, or they are never on
    double clean_months = 12;
    double lost_to_dirt = 0; ///< share of the light, of the worst lens, by the time that it is cleaned
    std::vector<TreeService> trees;
};

/// By the business's figures and what the site says of its lenses and of how its trees grow, up to 20 years
/// on.
ServicePlan plan_service(const Site& site, const Business& business);

} // namespace duskcast
