#pragma once
// A distribution resampled for speed: one look-up per direction, no trigonometric calls.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/photometry/distribution.hpp"

namespace duskcast {

/// A tube round the lens: light that leaves the lens off axis is cut where the tube hides it.
/// The visible part of a disk of diameter D through an equal opening a length L in front, seen at
/// gamma, is that of two circles shifted by L tan gamma. The tube's inside is taken as black.
struct Shroud {
    double length = 0;        ///< metres; 0: none
    double lens_diameter = 0; ///< metres

    bool operator==(const Shroud&) const = default;
};

/// Share of the lens visible at gamma through the shroud: 1 on axis, 0 beyond atan(D/L). Dimensionless.
double visible_lens_share(const Shroud& shroud, double gamma);

/// Candela over a grid uniform in s = sin(gamma / 2) and, where not symmetric, uniform in C.
/// s is half the chord between the unit direction and the axis, so finding it takes one square root
/// and loses no digits in narrow beams. Linear in s, linear in C; there are as many samples as keep the
/// residue against the distribution's own interpolation under 0.02 % of the maximum, save in the last
/// degree before the light ends and beyond 170 degrees, and at most 32,768 x 1 or 8,192 x 360.
class IntensityTable {
public:
    IntensityTable() = default;
    IntensityTable(const Distribution& distribution, const Shroud& shroud);

    /// Candela towards a unit direction given in the fixture's frame (aim.hpp: the beam is -z).
    float candela(const glm::vec3& direction_fixture) const;

    bool is_symmetric() const { return columns_ == 1; }
    int rows() const { return rows_; }       ///< samples in s, from 0 to 1 inclusive
    int columns() const { return columns_; } ///< samples in C, the full turn without repetition
    /// columns() + 1 rows (first repeated) of rows() + 1 values (last repeated) when not symmetric,
    /// one such row when symmetric: a look-up never reads past the end.
    const std::vector<float>& values() const { return values_; }

    /// Lumens that leave the shroud.
    double lumens() const { return lumens_; }

private:
    void fill_from_planes(const Distribution& distribution, const Shroud& shroud);
    void fill_from_directions(const Distribution& distribution, const Shroud& shroud);

    int rows_ = 0;
    int columns_ = 0;
    std::vector<float> values_;
    double lumens_ = 0;
};

} // namespace duskcast
