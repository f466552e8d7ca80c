#pragma once
// From the planes a type C file lists to the full turn.

#include <cstdint>
#include <vector>

#include "duskcast/photometry/distribution.hpp"

namespace duskcast {

/// Angles (degrees) and candela as the file lists them.
struct Lm63Grid {
    std::vector<double> vertical;
    std::vector<double> horizontal;
    std::vector<double> candela; ///< horizontal.size() rows of vertical.size() values
};

/// Degrees in whole millionths: what the six decimals of the writer hold.
std::int64_t count_millionths(double angle_deg);

/// Planes nearer than a thousandth of a degree are one.
bool is_same_plane(double a_deg, double b_deg);

/// How the horizontal angles of a type C file stand for the full turn, by first and last of them.
enum class Lm63Symmetry { axial, quadrant, about_0_180, about_90_270, none, unknown };

Lm63Symmetry find_symmetry(const std::vector<double>& horizontal_deg);

/// `grid` must have a known symmetry and, when about 90-270 or none, at least two planes.
Distribution unfold(const Lm63Grid& grid);

} // namespace duskcast
