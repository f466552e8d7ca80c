#pragma once
// From the planes that an LM-63 file of type A, B or C lists to a whole distribution.

#include <cstdint>
#include <vector>

#include "duskcast/photometry/lm63.hpp"

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

/// Adds the mirror images of one-sided angles, those that begin at 0; each list then runs from below 0.
Lm63Grid make_two_sided(const Lm63Grid& grid);

/// `grid` must be two-sided with at least two angles each way. In the lamp's frame (lm63.hpp) the direction
/// of (H, V) is
/// type A: (-sin V, cos V sin H, -cos V cos H): planes share the upright axis,
/// type B: (-cos H sin V, sin H, -cos H cos V): planes share the level axis across the beam.
Distribution turn_to_beam(const Lm63Grid& grid, Lm63Type type);

} // namespace duskcast
