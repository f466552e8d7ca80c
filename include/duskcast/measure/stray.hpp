#pragma once
// Light where it should not go: onto neighbours' windows and the property line, into eyes, up to the sky.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"

namespace duskcast {

struct Spill;

/// Where a limit's figure comes from: quoted by a secondary source, or remembered and not confirmed.
enum class LimitSource { quoted, remembered };

/// A figure to compare a result with. It does not say that a limit applies or is met.
struct StrayLimit {
    double value = 0;
    LimitSource source = LimitSource::quoted;
};

/// What CIE 150:2003 and EN 12193 say of a zone; absent where they give no figure. Late: after curfew.
struct ZoneLimits {
    std::optional<StrayLimit> vertical_lx; ///< on upright planes of properties
    std::optional<StrayLimit> late_vertical_lx;
    std::optional<StrayLimit> candela; ///< of a fixture in a direction that may disturb
    std::optional<StrayLimit> late_candela;
    std::optional<StrayLimit> upward_share; ///< of the lumens: what leaves the fixtures above the horizontal
};
ZoneLimits limits_of(Zone zone);

/// The upright planes at a site's watch points: one where the point says what it faces, otherwise one every
/// 5 degrees (the worst of them is at most 0.1 % short of the worst of all, where one fixture is lit).
struct WatchPlanes {
    Sensors sensors;                ///< their area stands for nothing
    std::vector<double> facing;     ///< azimuth, one a sensor
    std::vector<std::size_t> first; ///< first sensor of each watch point; one more closes the last
};
WatchPlanes make_watch_planes(const Site& site);

struct WatchReport {
    std::string id;
    WatchKind kind = WatchKind::window;
    glm::dvec3 position{0};
    double facing = 0;     ///< azimuth of the plane
    bool is_worst = false; ///< the brightest plane there, not one that was given
    double direct_lx = 0;  ///< straight from the fixtures
    double bounced_lx = 0; ///< of the fixtures' light
    double glow_lx = 0;    ///< straight from lit windows, lanterns and pools
    std::string most_from; ///< the fixture that gives most of the direct light; empty when none gives any
    double most_lx = 0;
};

/// A lens as an eye sees it.
struct FixtureInView {
    std::string eye; ///< of a view or an eye
    std::string fixture;
    double distance = 0;             ///< metres
    double visible_share = 0;        ///< of the lens, by 16 rays; 0 when it is hidden
    double candela = 0;              ///< towards the eye, of the part in sight
    std::optional<double> off_sight; ///< angle from the line of sight, radians; none where that is not said
};

struct StrayReport {
    std::optional<Zone> zone;
    ZoneLimits limits;
    std::vector<WatchReport> watch_points;       ///< in the site's order
    std::vector<FixtureInView> fixtures_in_view; ///< every eye (views first) with every fixture
    double upward_share = 0; ///< of the lumens: leave above the horizontal, whatever they meet
    double sky_share = 0;    ///< of the lumens: meet nothing on the way to the sky
};

/// Whether the site names a zone, watch points or eyes.
bool asks_for_stray(const Site& site);

/// `bounced_lx`: what other surfaces throw onto the planes of make_watch_planes, one a sensor; empty: not
/// counted. Candela are those of the lens as a point, however near the eye.
StrayReport measure_stray(const Site& site, const Stage& stage, const Lighting& lighting, const Spill& spill,
                          const std::vector<double>& bounced_lx = {});

} // namespace duskcast
