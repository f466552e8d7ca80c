#pragma once
// Which rolls of cable to buy.

#include <cstdint>
#include <vector>

#include "duskcast/cost/money.hpp"

namespace duskcast {

/// A length in tenths of a millimetre, the nearest one: feet and metres are whole numbers of them.
std::int64_t count_length_ticks(double metres);

/// A roll as it is sold.
struct CableRoll {
    double length = 0; ///< metres; at least 0.1 mm, and told apart to 0.1 mm
    Cents price = 0;
};

/// How many of each roll, in the order given, cover `length` metres at the least price. Of equally cheap sets
/// it is the longest, and of those the one with the fewest rolls. Exact: an integer program (covering
/// knapsack), solved by walking through the sets from the cheapest on and leaving out each that is no longer
/// than a cheaper one. Only the sum counts: a run may be joined from two rolls. All 0 without a length; empty
/// without rolls. Lengths are whole tenths of a millimetre, the nearest ones.
std::vector<int> find_cheapest_rolls(double length, const std::vector<CableRoll>& rolls);

} // namespace duskcast
