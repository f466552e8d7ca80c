#pragma once
// How sure the figures are when what is installed differs from what is drawn.

#include <filesystem>
#include <string>
#include <vector>

#include "duskcast/study/workbench.hpp"

namespace duskcast {

/// Each uniform between minus and plus the figure, for each fixture by itself; voltage and leaves for the
/// whole site. Working figures, no source; the installer's own may be set.
struct Tolerances {
    double tilt = radians_from_degrees(3);
    double azimuth = radians_from_degrees(5);
    double setback = 2 * metres_per_inch;
    double lumens = 0.10;
    double voltage = 0.05;      ///< share of the rated voltage; moves lamps whose light follows it
    double dirt = 0.05;         ///< of a clean lens's light, about what the site's factor for dirt takes
    double leaf_density = 0.20; ///< in five steps, because each needs crowns of its own
};

/// What one tolerance does to a figure.
struct Influence {
    std::string of;    ///< "tilt", "lumens"...
    double share = 0;  ///< of the figure's variance that goes straight along with it; one at most in all
    double chance = 0; ///< standard error of that share where it has no influence
};

struct FigureTolerance {
    Quantity quantity = Quantity::coverage;
    std::string target;
    double nominal = 0;
    double low = 0; ///< 10th percentile
    double median = 0;
    double high = 0;                   ///< 90th percentile
    double deviation = 0;              ///< standard
    std::vector<Influence> influences; ///< strongest first
};

struct ToleranceReport {
    std::size_t samples = 0;
    bool is_direct_only = false;
    std::vector<FigureTolerance> figures; ///< coverage and mean of every target, reach where there is one
    std::size_t targets = 0;
    std::size_t met_as_drawn = 0;
    double reached_share = 0;     ///< of the samples in which every target that is met as drawn is still met
    double any_reached_share = 0; ///< of those in which one or more are met
};

/// Latin hypercube of `samples` (McKay, Beckman and Conover 1979), seeded. Bounced light is that of the
/// design as drawn and goes with the lumens, unless left out. Same bytes for any number of threads.
ToleranceReport measure_tolerance(const Site& site, const std::filesystem::path& folder, const Focus& focus,
                                  const Tolerances& tolerances, std::size_t samples, std::uint64_t seed,
                                  bool is_direct_only, const Progress& progress = {});

/// The share-th quantile by linear interpolation between order statistics (Hyndman and Fan 1996, type 7).
double quantile(std::vector<double> values, double share);

} // namespace duskcast
