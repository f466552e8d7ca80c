#pragma once
// What is worth knowing of a lamp, in figures.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/photometry/distribution.hpp"

namespace duskcast {

/// A lamp with what is known of it besides its light.
struct LampDescription {
    std::string id;
    std::string name; ///< what people call it; the id when empty
    double watts = 0; ///< 0: unknown
    std::optional<double> volt_amperes;
    std::optional<double> cct;          ///< kelvin
    double lens_diameter = 0;           ///< metres; the emitting face's equal-area disk; 0: unknown
    double light_loss_factor = 1;       ///< tolerance x depreciation, not yet in `distribution`
    std::optional<double> tolerance;    ///< share of the lumens that a bad sample may lack, 0..1
    std::optional<double> depreciation; ///< share of the first lumens that is left at the end of use, 0..1
    Distribution distribution;          ///< new lamp, before any loss
};

/// Full angles in the two main planes, radians. Equal where the beam is round.
struct BeamSpread {
    double along = 0;  ///< C0-C180
    double across = 0; ///< C90-C270
    double mean = 0;   ///< over all planes
};

/// A circle of light square to the axis at a distance.
struct BeamSpot {
    double distance = 0;     ///< metres
    double along = 0;        ///< width of the 50 % spot (of the centre) in C0-C180, metres
    double across = 0;       ///< in C90-C270
    double centre_lux = 0;   ///< I0 / d^2
    double greatest_lux = 0; ///< anywhere on the plane square to the axis
};

/// Light of the lamp alone on a large wall, the lens level with the ground line given.
struct WallSpread {
    double setback = 0;      ///< metres
    double tilt = 0;         ///< radians from straight up, towards the wall
    double level = 0;        ///< lux
    bool is_reached = false; ///< whether any of the wall gets the level; what follows is 0 otherwise
    double from = 0, to = 0; ///< heights above the lens between which the line over the fixture has the level
    double width = 0, width_at = 0; ///< widest stretch at the level, and its height above the lens
    double brightest_lux = 0, brightest_at = 0; ///< on the line over the fixture
};

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
    std::string designation;                  ///< MR16 style: "NSP", "FL"; empty where none fits
    std::vector<BeamSpot> spots;              ///< at 5, 10, 15, 20, 30, 40 ft
    std::vector<WallSpread> wall;             ///< setbacks 12, 15, 18 in by levels
    double trusted_from = 0; ///< metres from which the far-field candela may be trusted; 0: size unknown
};

/// `levels` in lux for the wall; `tilt` of the fixture there, radians.
LampSheet make_lamp_sheet(const LampDescription& lamp, const std::vector<double>& levels, double tilt);

} // namespace duskcast
