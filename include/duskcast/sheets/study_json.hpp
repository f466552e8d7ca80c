#pragma once
// Studies as JSON: every figure in SI. The files of sweeps have a header of their own, sweep_file.hpp.

#include <string>

#include "duskcast/study/compare.hpp"
#include "duskcast/study/contribution.hpp"
#include "duskcast/study/design_search.hpp"
#include "duskcast/study/tolerance.hpp"

namespace duskcast {

std::string print_comparison_json(const VariantComparison& comparison, const std::string& site_name);
std::string print_search_json(const Site& site, const Freedom& freedom, const Wish& wish,
                              const DesignSearch& search);
std::string print_contributions_json(const Site& site, const Contributions& contributions);
std::string print_tolerance_json(const Site& site, const ToleranceReport& report);

} // namespace duskcast
