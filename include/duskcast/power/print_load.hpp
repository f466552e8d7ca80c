#pragma once
// A load for people and for machines.

#include <string>
#include <vector>

#include "duskcast/power/advice.hpp"

namespace duskcast {

/// Cable is bought by the whole foot or tenth of a metre: "142 ft", "43.3 m".
std::string print_cable_length(double metres, LengthUnit unit);

/// Fixtures, runs and transformers as columns.
std::vector<std::string> print_load_table(const LoadReport& report, LengthUnit unit);

/// What it comes to, one sentence a line; the first is the answer.
std::vector<std::string> print_load_verdict(const LoadReport& report, LengthUnit unit);

/// One line an advice with its figures.
std::vector<std::string> print_advice(const std::vector<Advice>& advice);

/// "22 of 22 lamps within their windows, 10.42 to 11.93 V".
std::string print_load_figures(const LoadReport& report);

/// What has to be minded, with no claim that anything is met.
std::vector<std::string> load_cautions(LengthUnit unit);

/// JSON text of the load, advice and cautions; SI units and volts, amps, watts, ohms.
std::string print_load_json(const Site& site, const LoadReport& report, const std::vector<Advice>& advice);

} // namespace duskcast
