#pragma once
// Luminous intensity of a lamp by direction, in the lamp's own C-gamma coordinates
// (CIE 121: gamma = 0 is the beam axis here, C turns about it).

#include <glm/glm.hpp>
#include <vector>

namespace duskcast {

/// The unit vector of (c, gamma) in the frame they are counted in: (sin g cos c, sin g sin c, -cos g).
glm::dvec3 direction_at(double c, double gamma);

/// Candela on a grid of planes c and angles gamma (radians, both ascending) about the grid's own axis.
/// Untilted (the rule, LM-63 type C) that axis is the beam's: c and gamma are C and gamma of the lamp, one
/// plane means rotational symmetry, and otherwise planes cover the full turn: c.front() == 0 and
/// c.back() == 2 pi (last plane equal to the first).
/// Tilted (LM-63 types A and B) the planes share an axis square to the beam; there are at least two, and
/// outside c.front()..c.back() the intensity is 0.
/// gamma starts at or above 0 and ends at or below pi; outside its range the intensity is 0.
struct Distribution {
    std::vector<double> c;
    std::vector<double> gamma;
    std::vector<double> candela; ///< c.size() rows of gamma.size() values
    /// A rotation; direction_at(c, gamma) is in the grid's frame.
    glm::dmat3 lamp_from_grid{1};

    bool is_symmetric() const { return c.size() == 1; }
    bool is_tilted() const { return lamp_from_grid != glm::dmat3(1); }

    /// Bilinear on the grid; exact at the nodes, continuous, never outside what the nodes round it hold; any
    /// real c (periodic). Candela.
    /// A beam of half angle h tabulated every `step` of gamma comes out too dark in its middle, by up to
    /// ln 2 / 4 (step / h)^2 of the maximum, and too bright in its tails; its lumens come out too high by
    /// ln 2 / 6 (step / h)^2 (Gaussian, steps small beside h). Measured of beams of 12 and 24 degrees:
    /// every 5 degrees 7.9 and 2.7 % of the maximum, 7.6 and 2.0 % of the lumens; every 2.5 degrees 2.7 and
    /// 0.7 %, 2.0 and 0.5 %; every degree 0.5 and 0.1 %, 0.3 and 0.1 %.
    double candela_at(double c_angle, double gamma_angle) const;

    /// Candela towards a direction in the lamp's frame (aim.hpp: the beam is -z); any length but 0.
    double candela_towards(const glm::dvec3& direction) const;

    bool operator==(const Distribution&) const = default;
};

/// The same intensity on a grid about the beam: an untilted distribution as it is, a tilted one resampled
/// every 2.5 degrees of C and 0.25 degrees of gamma.
Distribution make_untilted(const Distribution& distribution);

/// On the axis of the grid all planes meet in one direction: each end of gamma at 0 or pi takes the mean
/// over the planes.
void join_poles(Distribution& distribution);

/// Lumens: the integral of the piecewise-(bi)linear intensity over the sphere, exact in gamma
/// (integral of (a + b g) sin g), trapezoidal over c. Lumens = int I sin g dg dc. On the grid's own nodes.
double measure_lumens(const Distribution& distribution);

/// Lumens between two gamma angles about the beam (radians).
double measure_zonal_lumens(const Distribution& distribution, double gamma_from, double gamma_to);

/// Lumens where the intensity is at least `candela`.
double measure_lumens_above(const Distribution& distribution, double candela);

double measure_max_candela(const Distribution& distribution);

/// Candela along the beam's axis; mean over C where the planes differ there.
double measure_centre_candela(const Distribution& distribution);

/// Full angle (radians) between the directions at `share` of the maximum intensity, mean over the planes;
/// share 0.5 is the beam angle, 0.1 the field angle (IES definitions).
/// The outermost crossing counts; where the intensity never falls that low, the last angle of the grid.
double measure_full_angle(const Distribution& distribution, double share);

} // namespace duskcast
