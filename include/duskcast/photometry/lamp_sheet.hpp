#pragma once
// What is worth knowing of a lamp, in figures.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "duskcast/photometry/distribution.hpp"

namespace duskcast {

/// A lamp with what is known of it besides its light.
struct LampDescription {
    std::string id;
    std::string name;         ///< what people call it; the id when empty
    double watts = 0;         ///< 0: unknown
    double volt_amperes = 0;  ///< 0: unknown
    double cct = 0;           ///< kelvin; 0: unknown
    double lens_diameter = 0; ///< of the emitting face's equal-area disk, metres; 0: unknown
    double tolerance = 1;     ///< light-loss factors, each 0..1, not yet in `distribution`
    double depreciation = 1;
    Distribution distribution; ///< of a new lamp, before any loss
};

/// Candela in a plane through the axis, by angle off the axis: positive towards C, negative towards C + 180
/// degrees.
struct PlaneCurve {
    std::vector<double> angle; ///< radians, ascending
    std::vector<double> candela;
};

/// The angles between which all of the curve's light at or above a level lies; none where there is none.
std::optional<std::pair<double, double>> find_edges(const PlaneCurve& curve, double candela);

/// Full angles in the two main planes, radians. Equal where the beam is round.
struct BeamSpread {
    double along = 0;  ///< C0-C180
    double across = 0; ///< C90-C270
    double mean = 0;   ///< over all planes
};

/// The patch of light on a screen square to the axis, light loss taken off.
struct BeamSpot {
    double distance = 0;   ///< metres
    double along = 0;      ///< between the directions of half the maximum in C0-C180, metres; 0: none meet it
    double across = 0;     ///< in C90-C270
    double centre_lux = 0; ///< I0 / d^2
    double greatest_lux = 0; ///< anywhere on the screen: I cos^3 / d^2
};

/// Light of the lamp alone on an endless wall that it stands in front of, light loss taken off. Heights count
/// from the lens.
struct WallSpread {
    double setback = 0; ///< metres
    double level = 0;   ///< lux
    bool is_reached =
        false; ///< whether the line over the fixture gets the level; from..width_at are 0 if not
    double from = 0, to = 0;        ///< the stretch of that line round its brightest place that has the level
    double width = 0, width_at = 0; ///< widest level stretch within those heights
    double brightest_lux = 0, brightest_at = 0; ///< on the line over the fixture
};

/// From where intensity by direction alone may be trusted, metres. A lens of diameter D counts as a point
/// within 1 % from 5 D (IES definition 9.1.1, for an evenly diffuse face). A beam of angle b has formed where
/// its rays from opposite edges of the lens differ by less than a tenth of b: D / d <= b / 10.
double find_trusted_distance(double lens_diameter, double beam_angle);

/// The MR16 designation of a beam angle (radians): the one whose range holds it or lies nearest.
/// Ranges: VNSP under 8, NSP 8-15, SP 15-20, NFL 24-30, FL 35-40, WFL 55-60, VWFL above (encyclopaedia, after
/// NEMA; NSP and SP overlap there, NSP first).
std::string find_designation(double beam_angle);

struct ZoneLumens {
    double from = 0, to = 0; ///< gamma, radians
    double lumens = 0;
};

struct LampSheet {
    double lumens = 0;
    double centre_candela = 0;
    double max_candela = 0, max_c = 0, max_gamma = 0;
    /// 50 % and 10 % of the maximum (IES) and of the centre beam (CIE, ANSI C78.379). The centre's are 0
    /// where there is no light on the axis.
    BeamSpread beam_of_max, beam_of_centre, field_of_max, field_of_centre;
    double beam_lumens = 0, field_lumens = 0; ///< where the intensity is at least 50 %, 10 % of the maximum
    std::vector<ZoneLumens> zones;            ///< 10-degree zones of gamma that hold light
    std::optional<double> efficacy;           ///< lumens per watt
    std::string designation; ///< as MR16 lamps are, such as "NFL"; "" unless round, on the axis, none behind
    std::vector<BeamSpot> spots;  ///< one a distance
    std::vector<WallSpread> wall; ///< by setback, then by level
    double light_loss = 1;        ///< tolerance x depreciation
    double trusted_from = 0; ///< metres; nearer the candela mislead (find_trusted_distance); 0: not known
};

/// What the sheet shows of walls and screens; SI units.
struct SheetOptions {
    std::vector<double> distances; ///< of the screens
    std::vector<double> setbacks;  ///< from the wall
    double tilt = 0;               ///< in front of the wall, from straight up towards it
    std::vector<double> levels;    ///< lux on the wall, ascending
};

LampSheet make_lamp_sheet(const LampDescription& lamp, const SheetOptions& options);

/// Lux on the wall of WallSpread at a height above the lens and a distance aside: I cos / d^2.
double wall_lux(const Distribution& distribution, double setback, double tilt, double height, double aside);

} // namespace duskcast
