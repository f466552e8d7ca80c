#pragma once
// What a hand-held meter should show at each fixture, and what its readings say of the fixtures.

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"

namespace duskcast {

/// How a meter is held: flat against the wall, or level and looking down at the lamp or up.
enum class MeterHold { against_wall, looking_down, looking_up };

/// A place within arm's reach where light is read.
struct MeterPoint {
    std::size_t fixture = 0; ///< index into the site's
    int number = 1;          ///< from 1, for each fixture
    MeterHold hold = MeterHold::against_wall;
    glm::dvec3 position{0};
    glm::dvec3 facing{0};
    double height = 0; ///< above the ground there, metres
    double ahead = 0;  ///< of the lens the way it points, metres; not against a wall
    double aside = 0;  ///< of the lens to the right of somebody behind it who looks the way it points, metres
    std::optional<double> bearing; ///< of it from a light that stands free and has no way that it points
};

/// Two or three for each fixture that is lit, fewer where an opening or leaves are in the way: left and right
/// of its line on the wall at 5 ft and on the line at 2 ft 6 in; of one that stands free above it at 5 ft; of
/// one that points down on the ground.
std::vector<MeterPoint> choose_meter_points(const Site& site, const Stage& stage,
                                            const std::vector<LitFixture>& fixtures);

/// How a fixture differs from what it was designed to be.
struct FixtureOffset {
    double tilt = 0;    ///< radians
    double azimuth = 0; ///< radians
    double output = 1;  ///< of its lumens

    bool operator==(const FixtureOffset&) const = default;
};

/// The light of all fixtures at the points as their aims and outputs change: no ray after it is made.
/// Bounced light is the design's and follows the output of the fixture whose point it is.
class MeterModel {
public:
    /// `lighting` must outlive it; with bounced light where that has been added.
    MeterModel(const Lighting& lighting, std::vector<MeterPoint> points);

    const std::vector<MeterPoint>& points() const { return points_; }
    /// Lux at every point; `offsets` has one entry a fixture.
    std::vector<double> find_lux(const std::vector<FixtureOffset>& offsets) const;
    /// Lux at every point straight from one fixture.
    std::vector<double> find_direct(std::size_t fixture, const FixtureOffset& offset) const;
    std::size_t fixture_count() const { return lighting_.fixtures.size(); }
    std::span<const double> bounced() const { return bounced_; }

private:
    const Lighting& lighting_;
    std::vector<MeterPoint> points_;
    Sensors sensors_;
    std::vector<Sight> sights_;
    std::vector<double> bounced_;
};

/// What one reading may be off by, and how far fixtures may differ from the design: nineteen of twenty spread
/// evenly between minus and plus the figure, and one in twenty further, normal with twice the figure as its
/// standard deviation: a head that was kicked, a lamp that fails (working figures, no source).
struct MeterTolerances {
    static constexpr double far_share = 0.05, widening = 2;

    double tilt = radians_from_degrees(6);
    double azimuth = radians_from_degrees(10);
    double output = 0.3;   ///< share
    double reading = 0.05; ///< standard deviation of a reading, share of it
};

struct MeterRange {
    double low = 0, high = 0;
};

/// Lux between which 80 % of the readings fall that fixtures within the usual tolerances of installing give:
/// 3 degrees of tilt, 5 of azimuth, 10 % of light. One a point; seeded, the same on every machine.
std::vector<MeterRange> find_usual_ranges(const MeterModel& model);

struct MeterReading {
    std::size_t point = 0; ///< index into the model's points
    double lux = 0;
};

/// A figure with the interval that holds it with a probability of 90 %.
struct Estimate {
    double value = 0, low = 0, high = 0;
    bool is_told = false; ///< the readings narrow it to less than 0.6 of what was possible beforehand
};

/// Why what was read at a fixture is not believed: more is left of it than the meter's error and the
/// tolerances of the fixture explain.
struct ReadingDoubt {
    double chi_square = 0;
    std::size_t readings = 0; ///< degrees of freedom
    double chance = 0;        ///< that good readings are off by as much
    /// Indices of the readings one of which looks wrong: without it the others agree. None: no single one.
    std::vector<std::size_t> suspects;
};

struct FixtureFit {
    std::size_t fixture = 0;
    std::size_t readings = 0;
    Estimate tilt, azimuth;            ///< radians beyond the design's
    Estimate output;                   ///< share of the design's lumens
    std::optional<ReadingDoubt> doubt; ///< where there is one, its readings are taken for none
};

/// One a fixture with readings at its own points, in the site's order. Estimates are means and quantiles of
/// what is probable given the readings and the tolerances, drawn with a fixed seed: light is far from linear
/// in tilt and even spreads are not normal, so that a normal interval about the best fit would hold too
/// little.
std::vector<FixtureFit> fit_fixtures(const MeterModel& model, const std::vector<MeterReading>& readings,
                                     const MeterTolerances& tolerances = {});

} // namespace duskcast
