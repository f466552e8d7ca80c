#pragma once
// A run's cable as a circuit.

#include "duskcast/power/circuit.hpp"
#include "duskcast/power/load.hpp"

namespace duskcast {

struct RunCircuit {
    Circuit circuit;
    std::vector<CableLoad> cables;  ///< one a cable of the circuit, without its currents
    std::vector<std::size_t> lamps; ///< node of each fixture, in the run's order
};

/// Without loads. `lens_heights` of the fixtures in the run's order, metres. Cable is as long as the ground
/// it lies in, and as retaining walls are high where it goes up or down them.
RunCircuit make_run_circuit(const CableRun& run, const CableCourse& course, const Ground& ground,
                            double volts, const WireChoice& wire, const std::vector<double>& lens_heights);

/// Metres of cable along a line of the plan, without slack.
double cable_length_of(const Ground& ground, const std::vector<glm::dvec2>& line);

} // namespace duskcast
