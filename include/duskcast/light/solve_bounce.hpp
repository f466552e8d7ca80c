#pragma once
// Bounced light of given fixtures: their direct light on the patches, sent on by the operator.

#include <cstdint>
#include <memory>
#include <vector>

#include "duskcast/light/bounce.hpp"

namespace duskcast {

/// Transport of light from a lens to the patches. Near the lens, where light changes within a patch, lumens
/// are counted by rays from it; elsewhere direct light is found at the patches' spots and scaled so that the
/// lumens add up.
struct LensTransport {
    static constexpr std::uint32_t sky = Patches::none - 1;
    static constexpr std::uint32_t lost = Patches::none;
    std::vector<std::uint32_t> patch;   ///< that each of lens_directions() meets first, or sky, or lost
    std::vector<std::uint8_t> is_dense; ///< one a patch: 1 where enough of them met it
    Sight sight;                        ///< over PatchSpots::sensors
};
/// One a fixture.
using LensTransports = std::vector<std::shared_ptr<const LensTransport>>;
/// `on_sensors`: also to trace the lens against the stage's own sensors, which is sooner done together.
LensTransport trace_transport(const Stage& stage, const Bounce& bounce, const Lens& lens,
                              Sight* on_sensors = nullptr);

/// Where a fixture's lumens arrive, straight from its lens as it is aimed.
struct LensArrival {
    std::vector<float> lumens; ///< one a patch
    double sky = 0;
    double lost = 0;
};

/// Light on all patches for one state of the fixtures.
struct BouncedState {
    std::vector<PatchLight> direct;  ///< lux by channel, straight from the fixtures
    std::vector<PatchLight> bounced; ///< lux by channel by way of patches, and from the sky; smoothed
    std::vector<PatchLight> sent;    ///< luminous exitance by channel, lm/m2
    double ambient = 0;
    EnergyBalance energy;
    int bounces = 0; ///< computed
};

/// The residual at which bounces end: the share of light on patches that one more adds.
inline constexpr double bounce_residual = 1e-4;

/// `transports` has one entry a fixture. `ambient`: lux on open level ground from a uniform sky. `glow`: lux
/// by channel on each patch straight from what glows; empty: none.
BouncedState solve_bounce(const Bounce& bounce, const std::vector<LitFixture>& fixtures,
                          const LensTransports& transports, double ambient,
                          const std::vector<PatchLight>& glow = {});

/// The same from given direct light: lux by channel on each patch.
BouncedState solve_bounce(const Bounce& bounce, std::vector<PatchLight> direct, double ambient);

/// Luminance-weighted bounced lux, one a sensor. Throws std::logic_error where rays were traced for pictures
/// alone.
std::vector<double> bounced_on_sensors(const Bounce& bounce, const BouncedState& state);

/// What is traced once so that a lighting's bounced light can follow its fixtures' aims and lamps.
struct BounceSetup {
    struct Arrived {
        LitFixture fixture;
        std::shared_ptr<const LensTransport> transport;
        std::shared_ptr<const LensArrival> arrival;
    };

    std::shared_ptr<const Bounce> bounce;
    LensTransports transports;
    LensTransports spare;         ///< of lenses that were in use before, the latest last; not many
    std::vector<Arrived> arrived; ///< one a fixture: what is not turned is not worked out again
    BounceUse use = BounceUse::figures;
    double ambient = 0;           ///< lux on open level ground
    std::vector<PatchLight> glow; ///< straight from what glows, on each patch; empty: none
    std::shared_ptr<const std::vector<std::vector<float>>> glow_of; ///< the same in lux, one a source
    std::shared_ptr<const BouncedState>
        steady_alone; ///< light of the ambient sky and what glows without fixtures; null: there is none
};
BounceSetup set_up_bounce(const Stage& stage, const std::vector<LitFixture>& fixtures, double ambient,
                          const Progress& progress = {}, BounceUse use = BounceUse::figures);
/// Makes a setup on the same stage, which may be empty, what set_up_bounce gives for these fixtures and this
/// sky, to the last bit. Traces only what the setup does not hold.
void update_bounce(const Stage& stage, const std::vector<LitFixture>& fixtures, double ambient,
                   BounceSetup& setup, const Progress& progress = {});

/// Bounced light of fixtures. There must be as many as were set up, in the same places; their aims and lamps
/// may differ. Traces no ray.
BouncedState solve_bounce(const BounceSetup& setup, const std::vector<LitFixture>& fixtures);

/// Bounced light at any spot. There must be as many fixtures as were set up, in the same places; their aims
/// and lamps may differ. Traces no ray.
BouncedLight find_bounced_light(const BounceSetup& setup, const std::vector<LitFixture>& fixtures);

/// Computes the bounced light of a lighting as it now stands. Traces no ray.
void add_bounce(const BounceSetup& setup, Lighting& lighting);

/// Direct and bounced light, the same as by trace_lighting, update_bounce and add_bounce, but sooner: each
/// lens is traced for sensors and patches at once. `known`: as for trace_lighting.
Lighting trace_all_light(const Stage& stage, std::vector<LitFixture> fixtures, double ambient,
                         BounceSetup& setup, const Progress& progress = {},
                         std::span<const Sight> known = {});

} // namespace duskcast
