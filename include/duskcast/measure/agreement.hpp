#pragma once
// The fast way to the light beside the path-traced reference.

#include <span>
#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/light/reference.hpp"

namespace duskcast {

/// On one surface, over the sensors that the reference was traced for.
struct Agreement {
    int surface = 0; ///< index into Stage::surfaces
    std::size_t sensors = 0;
    double total_lx = 0;          ///< area-weighted mean by sights and bounce
    double reference_lx = 0;      ///< by the reference
    double standard_error_lx = 0; ///< of reference_lx
    double agreeing = 0;          ///< share of the sensors within 5 %, three standard errors or 0.001 lx
};

/// A hundredth of the light of a full moon: where both ways find less, as inside a closed body, they agree.
inline constexpr double dark_lx = 1e-3;

/// One for each surface with sensors in `reference`, in the stage's order.
std::vector<Agreement> compare_with_reference(const Stage& stage, const std::vector<double>& total_lx,
                                              std::span<const ReferenceLight> reference);

} // namespace duskcast
