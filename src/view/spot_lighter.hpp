#pragma once
// Light straight from lamps, from what glows and from the sun on what the rays of a picture meet.

#include <vector>

#include "duskcast/light/glow.hpp"
#include "duskcast/light/lighting.hpp"
#include "view_spots.hpp"

namespace duskcast {

class SpotLighter {
public:
    /// `sun`: the way to it. `has_sun`: it is wanted. All that is referred to must outlive it.
    SpotLighter(const Stage& stage, const std::vector<LitFixture>& fixtures, const BouncedLight& bounced,
                const glm::vec3& sun, bool has_sun);

    /// Adds what comes to each spot by `rays`, and to `arrivals` what of it comes to close-ups.
    void light(std::vector<ShadingPoint>& spots, std::span<SpotRay> rays,
               std::vector<Arrival>& arrivals) const;

private:
    /// A lamp ready for look-ups.
    struct Source {
        const LitFixture* fixture;
        FixtureCandela candela;
        glm::vec3 axis;    ///< of its beam
        float dark_cosine; ///< ways farther off the axis than this get too little to count
    };

    /// A thing that glows, and the squares of how far off its light becomes faint, and soft enough for
    /// what is known between patches.
    struct Glower {
        GlowLight light;
        double luminance, faint_square, soft_square;
    };

    /// Lux from each source that glows on a point and, after those, on its other side; below 0: not known.
    using SoftGlow = std::vector<float>;

    /// Lux of one source that waits for a look whether something is in the way.
    struct Waiting {
        std::uint32_t spot;
        std::uint32_t first_ray, ray_count; ///< of the block: those that the look is for
        bool is_before;
        glm::vec3 lux; ///< nothing in the way
        glm::vec3 way; ///< to the source
    };

    /// Adds what is seen of each ray's lux.
    template <class IsSeen>
    static void add_seen(const std::vector<Waiting>& waiting, const IsSeen& is_seen,
                         std::vector<ShadingPoint>& spots, std::span<const SpotRay> rays,
                         std::vector<Arrival>& arrivals);
    /// The lux of one lamp where nothing is in the way, then a look whether something is. `number`: its own.
    void add_source(std::uint64_t number, std::vector<ShadingPoint>& spots, std::span<const SpotRay> rays,
                    std::vector<Arrival>& arrivals) const;
    SoftGlow find_soft_glow(const std::vector<ShadingPoint>& spots) const;
    /// The same of something that glows, on both sides of a leaf. Where it is faint its shadows are soft.
    void add_glow(std::size_t source, const SoftGlow& soft, std::vector<ShadingPoint>& spots,
                  std::span<const SpotRay> rays, std::vector<Arrival>& arrivals) const;
    void add_sun(std::vector<ShadingPoint>& spots, std::span<SpotRay> rays) const;

    const Stage& stage_;
    const BouncedLight& bounced_;
    glm::vec3 sun_;
    bool has_sun_;
    std::vector<Glower> glowers_;
    std::vector<Source> sources_;
};

} // namespace duskcast
