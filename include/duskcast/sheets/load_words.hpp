#pragma once
// A load and what to do about it in words, and as JSON.

#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/power/advice.hpp"
#include "duskcast/power/route.hpp"
#include "duskcast/power/trench.hpp"

namespace duskcast {

/// Cable is bought by the whole foot or tenth of a metre: "142 ft", "43.3 m".
std::string print_cable_length(double metres, LengthUnit unit);

/// The metres that print_cable_length shows, so that sums of what is shown add up.
double round_cable_length(double metres, LengthUnit unit);

/// "stranded copper in soil at 25 C (AWG, IEC 60028)".
std::string print_wire_choice(const WireChoice& choice);

std::string name_of(VoltageState state); ///< "low", "good" or "high"

/// Fixtures, runs and transformers as columns.
std::vector<std::string> print_load_table(const LoadReport& report, LengthUnit unit);

/// What it comes to, one sentence a line; the first is the answer.
std::vector<std::string> print_load_verdict(const LoadReport& report, LengthUnit unit);

/// What is to be done: "Move run front from the 12 V tap to the 13 V tap".
std::string print_remedy(const Advice& advice, LengthUnit unit);

/// One line for each piece of advice, with its figures.
std::vector<std::string> print_advice(const std::vector<Advice>& advice, LengthUnit unit);

/// "22 of 22 lamps are within their operating range, 10.42 to 11.93 V".
std::string print_load_figures(const LoadReport& report);

/// Advice on safety and estimates, with no claim that any rule is met.
std::vector<std::string> print_load_cautions(LengthUnit unit);

/// Each with the run's place in the site file.
std::vector<Problem> make_crossing_warnings(const std::vector<Crossing>& crossings, const LoadReport& report,
                                            LengthUnit unit);

/// "Trench: 312 ft; in a sleeve 4 ft under walk."
std::string print_trench(const TrenchPlan& plan, LengthUnit unit);

/// Runs with lamps below their operating range or the customary volts, and runs without operating point.
std::vector<Problem> make_low_voltage_warnings(const LoadReport& report);

/// What find_wired_light cannot know, or a reader would miss: dark runs, lamps outside their operating range.
std::vector<Problem> make_wired_light_warnings(const LoadReport& report);

/// JSON text of the load, advice and cautions; SI units and volts, amps, watts, ohms.
std::string print_load_json(const Site& site, const LoadReport& report, const std::vector<Advice>& advice);

} // namespace duskcast
