#pragma once
// Which fixtures share a run, and in which order its cable passes them.

#include <vector>

#include "trench_grid.hpp"

namespace duskcast {

// What a metre of cable costs beside a metre of trench through lawn, dug, filled and tidied by hand; and the
// ends of one run: wire strippers, lugs, a tap of the transformer, its own timer line (common practice, no
// source).
double cable_price(int gauge);
inline constexpr double connection_cost = 3;
/// What thicker cable than 12 AWG costs a run besides: it fits few lugs, and is one more roll on the truck.
inline constexpr double thick_cost = 30;

/// The transformer, stop 0, and the fixtures, and the cheapest ways between them.
struct Stops {
    std::vector<double> volt_amperes;                      ///< of each; 0 of the transformer
    std::vector<std::vector<std::vector<TrenchStep>>> way; ///< from each to each
    int columns = 1;                                       ///< of the grid of the ways' cells
};

/// What a run can take.
struct RunLimits {
    double most_volt_amperes = 0;
    double volts = 12;        ///< that feed it, at the lowest tap
    double volts_to_lose = 1; ///< on the way to its last lamp, at the highest
    double ohms = 0.01;       ///< of a metre of 12 AWG, out and back
};

class RunSharing {
public:
    RunSharing(const Stops& stops, const RunLimits& limits);

    /// So many runs: each the stops that it feeds, in order. They cost little in trench, which runs share
    /// where they lie together, and in cable of the gauge that the drop asks for. Empty: no such runs. A
    /// search from a round through all stops, so not always the best there is; with more than 60 stops the
    /// round's stretches as they are.
    std::vector<std::vector<std::size_t>> share_out(std::size_t count);

private:
    using Runs = std::vector<std::vector<std::size_t>>;

    double cost_of(std::size_t a, std::size_t b) const { return cost_[a][b]; }
    std::vector<std::size_t> find_order(const std::vector<std::size_t>& stops, bool is_round) const;
    Runs cut_round(const std::vector<std::size_t>& round, std::size_t count) const;
    int gauge_for(double drop) const;
    double price(const Runs& runs);
    bool improve(Runs& runs, double& least);
    bool is_near(std::size_t stop, std::size_t other) const;

    const Stops& stops_;
    const RunLimits limits_;
    std::vector<std::vector<double>> cost_, metres_; ///< between stops
    std::vector<std::vector<std::size_t>> near_;     ///< of each stop: the nearest others, sorted by index
    std::vector<std::uint32_t> dug_;                 ///< by cell: in which pricing a cable was laid there
    std::vector<std::uint32_t> dug_by_;              ///< and by which leg of it
    std::uint32_t pricing_ = 0;
};

} // namespace duskcast
