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

/// Without loads. `lens_heights` of the fixtures in the run's order, metres.
RunCircuit make_run_circuit(const CableRun& run, const CableCourse& course, double volts,
                            const WireChoice& wire, const std::vector<double>& lens_heights);

} // namespace duskcast
