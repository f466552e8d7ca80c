#pragma once
// The electrical circuit by itself: one source, cable, lamps. Phasors: volts and amps are complex, effective
// values, the source's phase being 0.

#include <complex>
#include <cstddef>
#include <vector>

namespace duskcast {

/// A lamp, or several at one place. Its apparent power follows the size of its voltage:
/// S = watts x share x (|V| / rated_volts)^exponent, turned by its power factor.
struct CircuitLoad {
    std::size_t node = 0;
    double watts = 0;        ///< at the rated voltage
    double power_factor = 1; ///< lagging
    double rated_volts = 12;
    double exponent = 0; ///< 0 constant power, 1 constant current, 2 constant resistance
};

/// A stretch of cable: both conductors' resistance.
struct CircuitCable {
    std::size_t from = 0, to = 0;
    double ohms = 0; ///< above 0
};

/// Node 0 is the source, which holds its voltage.
struct Circuit {
    double volts = 12;
    std::size_t nodes = 1;
    std::vector<CircuitCable> cables;
    std::vector<CircuitLoad> loads;
};

struct OperatingPoint {
    /// All equations hold to `residual`, and the point is the one that continues the circuit without load.
    bool is_found = false;
    double residual = 0; ///< greatest current left over at any node, amps
    int steps = 0;       ///< of Newton
    /// Largest share of the loads' watts, all scaled alike, at which there is an operating point; 1 where
    /// there is one as they are (it may bear more).
    double bearable_share = 1;

    // Where none is found, at `bearable_share`.
    std::vector<std::complex<double>> volts;         ///< one a node
    std::vector<std::complex<double>> cable_amps;    ///< one a cable, from -> to
    std::vector<std::complex<double>> load_amps;     ///< one a load
    std::vector<std::complex<double>> load_apparent; ///< watts + j reactive volt-amperes, one a load
    std::complex<double> source_amps{0};             ///< out of node 0
};

/// Newton's method on the nodes' current balance, from the circuit without load downwards. A point counts
/// only when the Jacobian is positive definite there and on the way: with constant power that is the stable
/// one of the solutions, at the higher voltage. Where there is none, the share of the load that the circuit
/// bears comes from bisection; it is left at 0 where nobody asks for it. Throws std::invalid_argument for a
/// circuit that is not connected to its source or has figures out of range.
OperatingPoint solve_circuit(const Circuit& circuit, bool is_share_asked = true);

} // namespace duskcast
