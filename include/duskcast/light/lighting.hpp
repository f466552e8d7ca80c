#pragma once
// All fixtures of a site over all sensors of its stage.

#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "duskcast/light/direct.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// A fixture as light sees it.
struct LitFixture {
    std::string id;
    Lens lens;
    Aim aim;
    IntensityTable table; ///< what turns with the lens included
    double scale = 1;     ///< light loss x dimming
    double lumens = 0;    ///< leaving the fixture
    double watts = 0;     ///< taken, dimming included; 0: unknown
    glm::dvec3 colour{1}; ///< linear sRGB of its light, luminance 1 (light_colour)
    LightLoss loss;       ///< of which `scale` consists
};

/// The candela of a fixture as it is aimed, in directions of space.
class FixtureCandela {
public:
    /// The fixture must outlive it.
    explicit FixtureCandela(const LitFixture& fixture)
        : fixture_(fixture), lamp_from_world_(glm::transpose(world_from_fixture(fixture.aim))) {}

    /// `direction` is a unit vector from the lens. I = table x scale x what the level cover lets out.
    double towards(const glm::dvec3& direction) const {
        return static_cast<double>(fixture_.table.candela(lamp_from_world_ * glm::vec3(direction))) *
               fixture_.scale * fixture_.lens.open_share(direction.z);
    }

private:
    const LitFixture& fixture_;
    glm::mat3 lamp_from_world_;
};

/// Lumens that leave a fixture as it is aimed: the table's, less what its level cover keeps, x scale.
double measure_leaving_lumens(const LitFixture& fixture);

/// Called with the share done, 0..1, from any thread; may be empty.
using Progress = std::function<void(double)>;

/// Lumens by where they end (luminance of the channels).
struct EnergyBalance {
    double emitted = 0;    ///< by fixtures, what glows (what the stage gets of it) and the ambient sky
    double absorbed = 0;   ///< by what they fall on
    double sky = 0;        ///< leave for the sky
    double sky_direct = 0; ///< the part of `sky` that comes straight from fixtures
    double sky_steady = 0; ///< the part of `sky` that is light of the ambient sky and what glows, thrown back
    double lost = 0;       ///< end on ground beyond the stage
};

/// Lux per channel (linear sRGB) at a point on the facet that was hit, reflected by other surfaces or from
/// the ambient sky; light straight from a fixture or from what glows is not in it. `facing` is the facet's
/// unit normal on the side that is asked for. Thread-safe.
class BouncedLight {
public:
    using At = std::function<glm::dvec3(const Hit& hit, const glm::vec3& position, const glm::vec3& facing)>;
    /// Lux there straight from each source that glows, in the stage's order, as it is known between patches:
    /// with soft shadows, and no ray. False where it is not known.
    using GlowAt = std::function<bool(const Hit& hit, const glm::vec3& position, const glm::vec3& facing,
                                      std::span<float> lux)>;

    BouncedLight() = default;
    template <class Function>
    requires std::is_invocable_r_v<glm::dvec3, const Function&, const Hit&, const glm::vec3&,
                                   const glm::vec3&>
    BouncedLight(Function at, GlowAt glow = {}) : at_(std::move(at)), glow_(std::move(glow)) {}

    explicit operator bool() const { return static_cast<bool>(at_); }
    glm::dvec3 operator()(const Hit& hit, const glm::vec3& position, const glm::vec3& facing) const {
        return at_(hit, position, facing);
    }
    const GlowAt& glow() const { return glow_; }

private:
    At at_;
    GlowAt glow_;
};

/// Light adds up: a fixture's layer is its Sight weighted by its lamp and aim. Layers are not stored
/// beside the Sights, since making one again takes under a millisecond per 200,000 sensors and gives the
/// same bits; so a fixture and sensor cost 4 bytes.
struct Lighting {
    const Stage* stage = nullptr; ///< that is lit; must outlive the lighting
    std::vector<LitFixture> fixtures;
    std::vector<Sight> sights;     ///< one a fixture
    std::vector<double> direct_lx; ///< sum over the fixtures in their order and what glows, one a sensor
    std::vector<double> glow_lx;   ///< the part of it that comes from what glows; empty when nothing does

    // By way of other surfaces and from the ambient sky; empty until add_bounce (solve_bounce.hpp).
    std::vector<double> bounced_lx; ///< luminance of the channels, one a sensor
    BouncedLight bounced_at;        ///< the same anywhere, by channel
    /// On planes in space, of the fixtures' light alone, without that of the sky and of what glows. Traces
    /// rays.
    std::function<std::vector<double>(const Sensors&)> bounced_on_planes;
    EnergyBalance energy;
};

/// Makes fixtures ready for light. Lamps and shields met before are not worked out again: their tables are
/// shared, so that hundreds of variants of a site cost little more than one.
class FixtureMaker {
public:
    explicit FixtureMaker(std::filesystem::path folder) : folder_(std::move(folder)) {}

    /// Throws InputError when the site has no such lamp, wall or tree, and as make_lamp_light.
    LitFixture make(const Site& site, const Fixture& description);
    /// The same but for its lumens, which are left 0: those of a covered lens take a while to add up.
    LitFixture make_without_lumens(const Site& site, const Fixture& description);
    std::vector<LitFixture> make_all(const Site& site);

private:
    struct KnownTable {
        Shield shield;
        IntensityTable table;
    };
    struct KnownLamp {
        Lamp lamp;
        LampLight light;
        std::vector<KnownTable> tables;
    };
    KnownLamp& find(const Lamp& lamp);

    std::filesystem::path folder_;
    std::vector<KnownLamp> known_;
};

std::vector<LitFixture> make_fixtures(const Site& site, const std::filesystem::path& folder);

/// `known`: Sights of lenses on the same stage, which are not traced again.
Lighting trace_lighting(const Stage& stage, std::vector<LitFixture> fixtures, const Progress& progress = {},
                        std::span<const Sight> known = {});

/// One fixture's lux per sensor.
std::vector<float> fixture_layer(const Lighting& lighting, std::size_t fixture);

/// Adds one fixture's lux to `sums`, one a sensor of any sensors on the stage. Those to which it would give
/// less than `least` lux with nothing in the way are passed over.
void add_direct_light(const Stage& stage, const LitFixture& fixture, const Sensors& sensors, double least,
                      std::span<double> sums);

/// Turns a fixture: direct_lx is updated by new - old. Traces no ray.
void change_aim(Lighting& lighting, std::size_t fixture, const Aim& aim);

} // namespace duskcast
