#pragma once
// The figures as sentences.

#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/report.hpp"

namespace duskcast {

/// Sentences in the site's units, the most asked first: fixture lines, targets, trees, spill.
std::vector<std::string> print_answers(const Site& site, const Report& report);

/// What is taken off the light of new lamps behind clean lenses, by fixture.
std::string print_light_loss(const std::vector<LitFixture>& fixtures);

} // namespace duskcast
