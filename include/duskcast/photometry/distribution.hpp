#pragma once
// Luminous intensity of a lamp by direction, in the lamp's own C-gamma coordinates
// (CIE 121: gamma = 0 is the beam axis here, C turns about it).

#include <vector>

namespace duskcast {

/// Candela on a grid of C-planes and gamma angles (radians, both ascending).
/// One C-plane means rotational symmetry. Otherwise planes cover the full turn:
/// c.front() == 0 and c.back() == 2 pi (last plane equal to the first).
/// gamma starts at or above 0 and ends at or below pi; outside its range the intensity is 0.
struct Distribution {
    std::vector<double> c;
    std::vector<double> gamma;
    std::vector<double> candela; ///< c.size() rows of gamma.size() values

    bool is_symmetric() const { return c.size() == 1; }

    /// Bilinear in C and gamma; exact at the nodes; any real C (periodic). Candela.
    double candela_at(double c_angle, double gamma_angle) const;

    bool operator==(const Distribution&) const = default;
};

/// Lumens: the integral of the piecewise-(bi)linear intensity over the sphere, exact in gamma
/// (integral of (a + b g) sin g), trapezoidal over C. Lumens = int I sin g dg dC.
double measure_lumens(const Distribution& distribution);

/// Lumens between two gamma angles (radians).
double measure_zonal_lumens(const Distribution& distribution, double gamma_from, double gamma_to);

double measure_max_candela(const Distribution& distribution);

/// Mean over C of the candela at gamma = 0.
double measure_centre_candela(const Distribution& distribution);

/// Full angle (radians) between the directions at `share` of the maximum intensity, mean over the planes;
/// share 0.5 is the beam angle, 0.1 the field angle (IES definitions).
/// The outermost crossing counts. 2 pi when the intensity never falls that low.
double measure_full_angle(const Distribution& distribution, double share);

} // namespace duskcast
