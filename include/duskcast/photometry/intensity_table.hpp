#pragma once
// A distribution resampled for speed: one look-up per direction, no trigonometric calls.

#include <glm/glm.hpp>
#include <memory>
#include <vector>

#include "duskcast/photometry/distribution.hpp"
#include "duskcast/photometry/shield.hpp"

namespace duskcast {

/// Candela over a grid uniform in s = sin(gamma / 2) and, where not symmetric, uniform in C.
/// s is half the chord between the unit direction and the axis, so finding it takes one square root
/// and loses no digits in narrow beams. Linear in s, linear in C; there are as many samples as keep the
/// residue against the distribution's own interpolation under 0.02 % of the maximum, save in the last
/// degree before the light ends and beyond 170 degrees, and at most 32,768 x 1 or 8,192 x 360. Of a tilted
/// grid as few rows as more would no longer help: its 360 columns leave 0.08 % of the maximum (measured of
/// types A and B).
class IntensityTable {
public:
    IntensityTable() = default;
    IntensityTable(const Distribution& distribution, const Shield& shield);

    /// Candela towards a unit direction given in the fixture's frame (aim.hpp: the beam is -z).
    float candela(const glm::vec3& direction_fixture) const;

    bool is_symmetric() const { return columns_ == 1; }
    int rows() const { return rows_; }       ///< samples in s, from 0 to 1 inclusive
    int columns() const { return columns_; } ///< samples in C, the full turn without repetition
    /// columns() + 1 rows (first repeated) of rows() + 1 values (last repeated) when not symmetric,
    /// one such row when symmetric: a look-up never reads past the end.
    const std::vector<float>& values() const { return *values_; }

    /// Lumens that leave the shield.
    double lumens() const { return lumens_; }

private:
    void fill_from_planes(const Distribution& distribution, const Shield& shield, std::vector<float>& values);
    void fill_from_directions(const Distribution& distribution, const Shield& shield,
                              std::vector<float>& values);

    int rows_ = 0;
    int columns_ = 0;
    /// Never changed once made: copies of a table share them.
    std::shared_ptr<const std::vector<float>> values_ = std::make_shared<const std::vector<float>>();
    double lumens_ = 0;
};

} // namespace duskcast
