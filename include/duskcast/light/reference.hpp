#pragma once
// Direct and bounced light by tracing paths: slow, without systematic error, to check faster ways against.

#include <cstdint>
#include <glm/glm.hpp>
#include <span>
#include <vector>

#include "duskcast/light/lighting.hpp"

namespace duskcast {

struct ReferenceOptions {
    int paths = 256; ///< a sensor; below 2 the standard error is not known
    std::uint32_t seed = 1;
    /// Ends paths that nothing absorbs; others end by chance long before. What this cuts off is below
    /// reflectance^most_bounces of the light.
    int most_bounces = 64;
    /// Lux on level open ground from a sky of the same luminance everywhere above the horizon. A ray that
    /// goes down past the end of the ground meets no light.
    double ambient = 0;
};

/// What reaches a sensor. Standard errors are of the mean over its paths, which are independent of each
/// other and of the other sensors' paths. They come from the same paths as the mean: where a small bright
/// patch sends most of the light, few paths may miss it and its part of the error (of a façade's and a tree's
/// sensors at 256 paths, 0.6 and 0.9 % are more than three errors off instead of 0.3 %).
struct ReferenceLight {
    std::uint32_t sensor = 0;
    double direct_lx = 0;         ///< straight from the fixtures
    double bounced_lx = 0;        ///< by way of other surfaces, and from the ambient sky
    glm::dvec3 bounced{0};        ///< the same per channel, linear sRGB
    double standard_error_lx = 0; ///< of direct_lx + bounced_lx
    double bounced_error_lx = 0;  ///< standard error of bounced_lx
};

/// Unidirectional path tracing with the lamps sampled at every hit (Kajiya 1986; Russian roulette after Arvo
/// and Kirk 1990). The physics are those of trace_sight and evaluate_layer: E = scale I(direction) cos / d^2
/// from a spot anywhere on the lens; facets are Lambertian, leaves reflect and transmit so, one-sided
/// facets (Stage::is_two_sided) absorb what meets them from behind. Rays start surface_offset above the
/// facet, so that things closer together than that do not see each other. One entry for each of `sensors` in
/// their order; empty: for all of the stage. A sensor's figures depend on the seed and the sensor's own: the
/// same bytes for any number of threads and whatever else is asked for.
std::vector<ReferenceLight> trace_reference(const Stage& stage, const std::vector<LitFixture>& fixtures,
                                            const ReferenceOptions& options,
                                            std::span<const std::uint32_t> sensors = {},
                                            const Progress& progress = {});

} // namespace duskcast
