#pragma once
// Every operation of base/simd.hpp on eight pairs of floats, as each set of instructions does it.

#include <array>

namespace duskcast::test {

using Eight = std::array<float, 8>;

/// In the order of `lane_operations` in test_lanes.cpp; masks as bits.
struct LaneResults {
    std::array<Eight, 12> figures{};
    std::array<unsigned, 4> masks{};
};

void run_own_lanes(const Eight& a, const Eight& b, const Eight& c, LaneResults& results);
void run_scalar_lanes(const Eight& a, const Eight& b, const Eight& c, LaneResults& results);
/// False where they were not compiled or this processor has none.
bool run_avx2_lanes(const Eight& a, const Eight& b, const Eight& c, LaneResults& results);

} // namespace duskcast::test
