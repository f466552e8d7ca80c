#pragma once
// Where the lumens land.

#include <cstdint>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/region.hpp"

namespace duskcast {

/// Where every lumen lands first. The parts add up to what the fixtures emit.
struct Spill {
    double emitted_lm = 0;
    double target_lm = 0;
    double other_lm = 0;
    double ground_lm = 0;
    double sky_lm = 0;
    double sky_bounced_lm = 0; ///< of what landed, thrown back to the sky

    void add(const Spill& more);
};

enum class LandingPlace : std::uint8_t { sky, ground, other, target };

/// The light of something that glows, and where it lands first.
struct GlowReport {
    std::string id; ///< of its surface
    SurfaceKind kind = SurfaceKind::lantern;
    double area = 0;      ///< m2
    double luminance = 0; ///< cd/m2
    double lumens = 0;
    double target_lm = 0;
    double other_lm = 0;
    double ground_lm = 0;
    double sky_lm = 0;
};

/// One a source of the stage, in their order. Traces GlowLight::landing_count rays each.
std::vector<GlowReport> measure_glow(const Stage& stage, const std::vector<Region>& targets);

/// What is met first in each of lens_directions(). Depends on the position alone, like Sight.
using LandingPlaces = std::vector<LandingPlace>;

LandingPlaces find_places(const Stage& stage, const Lens& lens, const std::vector<Region>& targets);

/// Adds a fixture's lumens to the spill. `places` are those of its lens, and no ray is traced; of a beam too
/// narrow for them (is_narrow) its own directions are, 16,384 of them. What lands in a place is right to half
/// a percent of the fixture's lumens.
void add_spill(const Stage& stage, const std::vector<Region>& targets, const LandingPlaces& places,
               const LitFixture& fixture, Spill& spill);

} // namespace duskcast
