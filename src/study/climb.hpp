#pragma once
// The highest place of a function of a few variables, without its slope.

#include <functional>
#include <vector>

namespace duskcast {

struct ClimbRange {
    double low = 0, high = 0;
    double step = 0; ///< of the first tries
};

/// A function to climb; it gets as many values as there are ranges.
using ClimbedFunction = std::function<double(const double* values)>;

/// Tries up to `most_steps` places within the ranges, from `start` upwards, with NLopt's Subplex method
/// (Rowan 1990) or, in a program built without NLopt, with `climb_by_simplex`. The highest place may be any
/// of those tried. What `value` throws ends the climb and comes out of it.
void climb_from(const std::vector<double>& start, const std::vector<ClimbRange>& ranges, int most_steps,
                const ClimbedFunction& value);

/// The same with a simplex (Nelder and Mead 1965) that is kept within the ranges, and made anew, smaller,
/// round its best corner when it has shrunk to nothing.
void climb_by_simplex(const std::vector<double>& start, const std::vector<ClimbRange>& ranges, int most_steps,
                      const ClimbedFunction& value);

} // namespace duskcast
