#pragma once
// Light straight from what glows: lit windows, lanterns, lit pools.

#include <cstdint>
#include <glm/glm.hpp>
#include <optional>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// Which of several equal parts of a source's spots.
struct GlowPart {
    std::uint32_t index = 0, count = 1;
};

/// A glowing thing ready for light. With nothing in the way the light is exact; the share of it that shadows
/// leave is found by rays to spots on the thing.
class GlowLight {
public:
    static constexpr int pilots = 16;     ///< spots looked at first
    static constexpr int most_spots = 64; ///< where the pilots disagree

    /// Stage and source must outlive it.
    GlowLight(const Stage& stage, const GlowSource& source);

    /// Lux on a facet there for a luminance of 1 cd/m2 with nothing in the way: Lambert's formula for
    /// polygons, E = L / 2 sum of angle x (direction square to an edge and the facet's normal), Howell's
    /// catalogue. What an opening cuts off of its pane is left out.
    double open_lux(const glm::dvec3& position, const glm::dvec3& normal) const;

    /// No facet there that looks along `normal` gets more lux than this for a luminance of 1 cd/m2.
    double most_lux(const glm::dvec3& position, const glm::dvec3& normal) const;
    /// Metres from `middle` from which on most_lux stays below `lux`.
    double reach_of(double lux) const;
    const glm::dvec3& middle() const { return centre_; }

    /// The share of that light that gets there, by as many spots as `lux` of it are worth. Traces rays. One
    /// of several facets that count together by their mean looks at its own part of the spots.
    double measure_share(const glm::vec3& position, const glm::vec3& normal, double lux,
                         GlowPart part = {}) const;

    /// Lux per channel on a facet there, shadows counted.
    glm::dvec3 trace(const glm::vec3& position, const glm::vec3& normal, GlowPart part = {}) const;

    /// Number `index` of the spots that give light to the facet, the last where there are fewer; none where
    /// it gets none from there.
    std::optional<glm::vec3> find_spot(const glm::vec3& position, const glm::vec3& normal, int index) const;

    const glm::dvec3& luminance() const { return source_.luminance; }

    /// Of the thing itself: evenly spread, each standing for as much of its area.
    struct Spot {
        glm::vec3 position;
        glm::vec3 normal;
        bool is_covered; ///< another ground area lies on top
    };
    const std::vector<Spot>& spots() const { return spots_; }

    /// What one of its rays meets. The rays leave as likely as their cosine, so each carries the same lumens.
    struct Landing {
        Hit hit;
        glm::vec3 from;
        glm::vec3 direction;

        glm::vec3 position() const { return from + hit.distance * direction; }
    };
    static constexpr int landing_count = 1 << 15;
    std::vector<Landing> trace_landings() const; ///< none where all of it is covered

    /// m2 that no other ground area covers.
    double open_area() const;

private:
    /// What a spot gives to a facet with nothing in the way, up to a factor; 0 where it does not face it.
    float weigh(const Spot& spot, const glm::vec3& position, const glm::vec3& normal) const;

    const Stage& stage_;
    const GlowSource& source_;
    std::vector<Spot> spots_;
    glm::dvec3 centre_{0}; ///< of a ball that holds all of it
    double radius_ = 0;
};

/// One a source of the stage, in their order.
std::vector<GlowLight> make_glow_lights(const Stage& stage);

/// Lux per channel on each sensor straight from all that glows; empty when nothing does. The same for a
/// sensor whatever the others are.
std::vector<glm::dvec3> trace_glow(const Stage& stage, const Sensors& sensors);

/// Luminance-weighted lux on each sensor straight from all that glows; empty when nothing does.
std::vector<double> glow_on_sensors(const Stage& stage, const Sensors& sensors);

} // namespace duskcast
