#pragma once
// Lamps and fixtures: those of a site, and those a catalogue offers.

#include <array>
#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/photometry/lamp_figures.hpp"
#include "duskcast/photometry/shield.hpp"

namespace duskcast {

/// What a lamp's watts do as its voltage changes: stay the same (a regulated driver), follow the voltage at
/// constant current, or its square at constant resistance, or a halogen filament's law.
enum class Draw { power, current, resistance, halogen };

/// A lamp: from the figures on its box, or from an LM-63 file.
struct Lamp {
    std::string id;
    std::string name; ///< what people call it; the id when empty
    std::string file; ///< LM-63, relative to the site file; empty when by figures
    LampFigures figures;
    double watts = 0;
    std::optional<double> volt_amperes; ///< apparent power
    std::optional<double> power_factor; ///< watts / volt-amperes; one of the two at most
    double cct = 2700;                  ///< kelvin
    std::string socket;                 ///< what it plugs into, as fixtures name it; empty: not said
    bool is_regulated = false;          ///< gives the same light over its range of voltages
    /// Share of the rated lumens that a poor sample gives at least, 0..1; absent: the usual (site.hpp).
    std::optional<double> tolerance;
    /// Share of the first lumens left when the lamp is due to be changed, 0..1; absent: the usual.
    std::optional<double> depreciation;
    std::optional<double> price;

    Draw draw = Draw::power;
    double rated_volts = 12;              ///< at which it takes its watts
    std::optional<double> measured_watts; ///< what one really takes, where that is not `watts`
    std::optional<std::array<double, 2>> operating_volts; ///< absent: operating_volts_of's
    std::optional<double> max_volts;                      ///< that it bears; absent: max_volts_of's

    bool operator==(const Lamp&) const = default;
};

/// Volts between which the lamp works well: its own, or 10.8 to 12 V for halogen and constant resistance,
/// 9 to 15 V else (usual, from memory).
std::array<double, 2> operating_volts_of(const Lamp& lamp);

/// The most volts that a tap may offer the lamp: its own figure, or 15 V, the highest tap in common use, or
/// the end of its operating volts where that is higher. A lamp on a long run sees less than the tap.
double max_volts_of(const Lamp& lamp);

/// Whether its light follows its voltage: a filament or a resistance without a regulated driver.
bool is_dimmed_by_voltage(const Lamp& lamp);

/// Watts over volt-amperes: its own figure, or that of its volt-amperes, or 1.
double power_factor_of(const Lamp& lamp);

/// `bullet`: an uplight whose lamp is exchanged by hand.
enum class FixtureKind { uplight, bullet, in_ground, wash, path, downlight };
enum class Mount { spike, surface, tree, wall };
std::string name_of(FixtureKind kind); ///< its word in the site file
std::string name_of(Mount mount);

/// Whether it is meant to throw light upwards from near the ground.
bool is_uplight(FixtureKind kind);

/// What a fixture's body looks like. It is seen in pictures only.
enum class BodyFinish { bronze, black, brass, copper };

inline constexpr double usual_lens_diameter = 0.05; ///< metres

struct Fixture {
    std::string id;
    std::string model; ///< of the catalogue; empty: none
    FixtureKind kind = FixtureKind::uplight;
    std::string lamp;

    // Where: exactly one of wall, tree, at.
    std::string wall;
    double along = 0; ///< along the wall's run
    std::string tree;
    double bearing = 0; ///< from the trunk, clockwise from north
    std::optional<glm::dvec2> at;
    std::optional<double> setback; ///< plan distance from wall face or trunk face to the lens centre

    double lens_height = 0.15;           ///< lens centre above the ground there
    std::optional<double> lens_diameter; ///< the lamp's luminous opening when absent, or else the usual
    double shroud_length = 0;            ///< Shield
    double hood_length = 0;
    Rim rim; ///< of a hat; over an in-ground lens the edge of the well, which stays level
    Louvre louvre;

    double tilt = 0;
    std::optional<double> azimuth; ///< default: square to the wall, or at the trunk; north for `at`
    double turn = 0;               ///< clockwise from that default direction; not together with azimuth
    double spin = 0;

    Mount mount = Mount::spike;
    BodyFinish finish = BodyFinish::bronze;
    double light_loss_factor = 1;
    double dimming = 1; ///< 0 off, 1 full

    bool operator==(const Fixture&) const = default;
};

/// `opening_diameter` of its lamp: metres, 0 where not known.
double lens_diameter_of(const Fixture& fixture, double opening_diameter);

/// A fixture as it is sold.
struct FixtureModel {
    std::string id;
    std::string name; ///< the id when empty
    Fixture usual;    ///< kind, lens, shielding, tilt and mount of one that says no more
    std::string socket;
    std::vector<std::string> lamps; ///< ids of those that fit; empty: every lamp of its socket
    double least_tilt = 0;          ///< radians
    double greatest_tilt = 0;
    std::optional<double> dirt; ///< share of the light a lens lets through before it is cleaned, 0..1;
                                ///< absent: the usual
    std::optional<double> price;

    bool operator==(const FixtureModel&) const = default;
};

struct Catalogue {
    std::string name;
    std::string currency; ///< of the prices
    std::vector<Lamp> lamps;
    std::vector<FixtureModel> fixtures;

    bool operator==(const Catalogue&) const = default;
};

/// Whether the lamp can be put into the fixture.
bool is_fitting(const FixtureModel& model, const Lamp& lamp);

} // namespace duskcast
