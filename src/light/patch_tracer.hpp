#pragma once
// Rays from patches and sensors, counted by the patches they meet.

#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/light/patches.hpp"
#include "duskcast/stage/solid_bodies.hpp"

namespace duskcast {

struct PatchCount {
    std::uint32_t patch;
    std::uint32_t count;
};

/// What a patch's rays met.
struct Gathered {
    std::vector<PatchCount> counts; ///< by ascending patch
    std::uint32_t rays = 0;
    std::uint32_t sky = 0;
    std::uint32_t lost = 0;
    float harmonic = 0;         ///< mean of 1 / distance of what is met, 1/m
    float rest_nearness = 0;    ///< the same of leaves and small facets
    float slender_nearness = 0; ///< the same of narrow flat parts, such as those of a trunk
    std::uint32_t inside = 0;   ///< of `lost`: rays that met a body from within
    float open = 0;             ///< share of its area that light can come to
    float solid = 1;            ///< share that is no hole of a cut-out
    glm::vec3 reflectance{0};
    std::vector<glm::vec3> open_spots; ///< of a flat patch: on it, where light can come to
};

/// Traces cosine-weighted rays, so that each carries the same share of what a patch sends and receives.
class PatchTracer {
public:
    PatchTracer(const Stage& stage, const Patches& patches)
        : stage_(stage), patches_(patches), bodies_(stage.opaque) {}

    /// From spots over the patch's area, some rays from each.
    Gathered trace(std::uint32_t patch, int rays) const;

    /// The own rays of a sensor, with random numbers by `seed`; its counts by patch.
    Gathered gather(const glm::vec3& position, const glm::vec3& normal, std::uint64_t seed, int rays) const;

private:
    struct RayCounts {
        std::uint32_t sky = 0, lost = 0, inside = 0, on_rest = 0, on_slender = 0;
        float harmonic = 0, rest_nearness = 0, slender_nearness = 0; ///< sums of 1 / distance
    };

    /// Adds to `met` a patch for each ray that met one.
    RayCounts cast_rays(const glm::vec3& origin, const glm::vec3& normal, int first, int rays, float shift_a,
                        float shift_b, std::vector<std::uint32_t>& met) const;

    /// Finds the reflectance by a short ray back onto the patch; false where a cut-out leaves a hole.
    bool find_reflectance(const PatchPoint& point, const glm::vec3& origin, glm::vec3& reflectance) const;

    const Stage& stage_;
    const Patches& patches_;
    SolidBodies bodies_;
};

} // namespace duskcast
