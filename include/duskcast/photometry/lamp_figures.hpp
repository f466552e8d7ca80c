#pragma once
// From the three figures on a lamp's box to a full intensity distribution.

#include <optional>

#include "duskcast/photometry/distribution.hpp"

namespace duskcast {

/// The family of the beam's fall-off. With half beam angle h and f = gamma:
/// cosine: I = I0 exp(-ln 2 (ln cos f / ln cos h)^q), 0 from 90 degrees on; q = 1 gives I0 cos^n f with
/// n = ln 0.5 / ln cos h
/// gaussian: I = I0 exp(-ln 2 (f / h)^p); p = 2 gives the Gaussian in angle; 0 beyond 90 degrees for beams
/// under 120 degrees (a reflector lamp throws nothing behind it)
/// The exponent q or p leaves its plain value only when a field angle, or lumens together with
/// candela, demand it.
enum class Profile { cosine, gaussian };

struct LampFigures {
    std::optional<double> lumens;
    /// Centre-beam intensity (CBCP); of a ring its greatest intensity.
    std::optional<double> centre_candela;
    double beam_angle = 0;             ///< full angle at 50 % of the maximum, radians
    std::optional<double> field_angle; ///< full angle at 10 %, radians
    Profile profile = Profile::cosine;

    /// An elliptical beam: the beam angle in the plane C90-C270 (side to side), `beam_angle` being that in
    /// C0-C180 (up and down). Together with `field_angle` a field angle of its own is needed.
    std::optional<double> beam_angle_across;
    std::optional<double> field_angle_across;
    /// An asymmetric beam: its middle lies this far off the lens's axis, towards C0, 0 to 60 degrees. From 84
    /// degrees off the lens's axis it fades, to nothing at 87.
    double peak_angle = 0;
    /// A ring round the axis, as under a hat: the greatest intensity lies at this angle from the axis in
    /// every C-plane, `beam_angle` is the ring's full width at 50 %, `field_angle` that at 10 %. Gaussian
    /// whatever the profile says; nothing goes beyond 90 degrees.
    std::optional<double> ring_angle;

    bool operator==(const LampFigures&) const = default;
};

/// The distribution that has these figures (gamma grid fine enough that lumens hold to 0.05 % and beam and
/// field angle to 0.01 degree; planes every 2 degrees where the beam is not symmetric; tilted where it has a
/// peak). Of four figures that agree within 10 % it keeps lumens, beam
/// and field.
/// Throws InputError (place.path = the figure's key: "lumens", "candela", "beam", "field", "peak", "ring")
/// naming the figures that cannot go together and what would: no lumens and no candela; field not wider than
/// beam; angles outside 1..170 degrees; a field angle, or lumens and candela, that no fall-off within the
/// family joins (exponent outside 0.5..8); all four given and more than 10 % apart; one beam angle with two
/// field angles or the other way round; a ring with a second beam angle or a peak.
Distribution make_distribution(const LampFigures& figures);

} // namespace duskcast
