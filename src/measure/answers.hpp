#pragma once
// The figures as sentences.

#include <string>
#include <vector>

#include "duskcast/measure/report.hpp"

namespace duskcast {

/// Sentences in the site's units, the most asked first: fixture lines, targets, trees, spill.
std::vector<std::string> print_answers(const Site& site, const Report& report);

} // namespace duskcast
