#pragma once
// What studies say to people: figures with their units, tables and sentences.

#include <string>
#include <vector>

#include "duskcast/study/compare.hpp"
#include "duskcast/study/contribution.hpp"
#include "duskcast/study/design_search.hpp"
#include "duskcast/study/sweep.hpp"
#include "duskcast/study/tolerance.hpp"

namespace duskcast {

/// "13 ft 6 in", "61.0 %", "1.8 : 1". `is_signed`: as a difference, with + or -.
std::string print_quantity(const Site& site, Quantity quantity, double value, bool is_signed = false);

/// What the figure is called on charts, its unit included: "reach, ft".
std::string title_of(const Site& site, Quantity quantity);
/// The value in that unit.
double shown_value(const Site& site, Quantity quantity, double value);

/// One row a variant.
std::string print_comparison(const VariantComparison& comparison);
/// What each variant lifts, covers, costs and spares against the first.
std::vector<std::string> print_verdict(const VariantComparison& comparison);
std::vector<std::string> print_verdict(const VariantComparison& comparison, const ComparedVariant& variant);

/// One row a variant; of many variants evenly chosen ones.
std::string print_sweep_table(const Site& site, const Sweep& sweep);
/// What is best where, how flat, and what changes from the site as drawn.
std::vector<std::string> print_findings(const Site& site, const Sweep& sweep);

/// The designs found, what is missing where none meets everything, and what the trade's rules are worth here.
std::vector<std::string> print_search(const Site& site, const Freedom& freedom, const Wish& wish,
                                      const DesignSearch& search);

std::vector<std::string> print_contributions(const Site& site, const Contributions& contributions);

std::vector<std::string> print_tolerance(const Site& site, const ToleranceReport& report);

/// How far installations were off, in a sentence or two.
std::string print_tolerances(const Site& site, const Tolerances& tolerances);

} // namespace duskcast
