#pragma once
// Direct light with position, aim and lamp kept apart: rays depend on the position alone.

#include <cstdint>
#include <glm/glm.hpp>
#include <span>
#include <string>
#include <vector>

#include "duskcast/photometry/aim.hpp"
#include "duskcast/photometry/intensity_table.hpp"
#include "duskcast/photometry/shield.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// The lens as a light source: a disk of real size. `is_flush`: level with the ground whatever the aim
/// (in-ground fixtures); otherwise the disk is taken square to the line to the sensor, which is exact
/// along the beam and widens the penumbra by 1 / cos off it.
struct Lens {
    glm::vec3 centre{0};
    float diameter = 0; ///< metres; 0: a point
    bool is_flush = false;
    Rim rim; ///< with the louvre: what covers a flush lens and stays level whatever the aim
    Louvre louvre;

    bool is_covered() const { return rim != Rim{} || louvre != Louvre{}; }
    /// Share of the light that gets out in a direction whose cosine with straight up is given.
    double open_share(double up) const;

    bool operator==(const Lens&) const = default;
};

/// What the geometry does to light from one lens: per sensor V cos(theta) / d^2 (1/m2), V the visible
/// share of the lens, its cover included. A sensor nearer than `near_range` diameters keeps one value for
/// each of `lens_samples` spots on the lens instead, because the direction differs from spot to spot.
struct Sight {
    static constexpr int lens_samples = 16;
    static constexpr float near_range = 16.0f;

    Lens lens;
    std::vector<float> transfer;               ///< one a sensor; 0 for the near ones
    std::vector<std::uint32_t> near_sensor;    ///< ascending
    std::vector<float> near_transfer;          ///< lens_samples a near sensor, each already / lens_samples
    std::vector<float> near_x, near_y, near_z; ///< one each: the sensor shifted by centre - spot
    std::uint64_t rays = 0;                    ///< traced for it
};

/// How well penumbras are found. `usual`: four rays a sensor; where they disagree, sixteen. `fine`: four,
/// on leaves sixteen, and 64 where they disagree.
enum class Shadows { usual, fine };

/// Sensors that look at a lens; those from first_leaf_sensor on are on leaves.
struct Lookers {
    const Sensors* sensors;
    std::uint32_t first_leaf_sensor;
    Shadows shadows;
};

/// Traces a lens against several lots of sensors, which is sooner done together. One Sight a lot, the same as
/// that of the lot alone. Same bytes for any number of threads.
std::vector<Sight> trace_sights(const Stage& stage, std::span<const Lookers> lots, const Lens& lens);
/// Against one lot.
Sight trace_sight(const Stage& stage, const Sensors& sensors, std::uint32_t first_leaf_sensor,
                  const Lens& lens, Shadows shadows = Shadows::usual);
/// The stage's own sensors, with fine shadows: people read these one by one.
Lookers lookers_of(const Stage& stage);
/// Against those.
Sight trace_sight(const Stage& stage, const Lens& lens);

/// A spot on the lens as seen from `sensor`. `index` 0..lens_samples-1.
glm::vec3 lens_spot(const Lens& lens, const glm::vec3& sensor, int index);

/// Where the spots lie, whatever they are looked at from.
SpotBounds spot_bounds(const Lens& lens);

/// Lux per sensor: E = scale I(direction) V cos(theta) / d^2. Traces no ray.
/// `out` has one entry a sensor and is overwritten.
void evaluate_layer(const Sight& sight, const Sensors& sensors, const Aim& aim, const IntensityTable& table,
                    double scale, std::span<float> out);
/// Adds the same lux to `sums`, on the calling thread alone: for many variants side by side.
void add_layer(const Sight& sight, const Sensors& sensors, const Aim& aim, const IntensityTable& table,
               double scale, std::span<double> sums);

} // namespace duskcast
