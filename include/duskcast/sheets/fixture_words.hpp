#pragma once
// What is said of a single fixture: where it stands, what it holds, how high it carries.

#include <optional>
#include <string>

#include "duskcast/measure/reach.hpp"

namespace duskcast {

/// A lens above that hangs on something, metres; one below stands in the ground.
inline constexpr double hung_height = 1;

/// Radians by which nobody turns a head.
inline constexpr double straight_aim = radians_from_degrees(2);

/// What is said of a fixture.
struct FixtureText {
    std::string id;
    std::string lamp;        ///< "4 W spot"
    std::string placed;      ///< "15 in back, tilt 8°"
    std::string from_corner; ///< "9 ft from left corner"; empty: not asked for
};

/// `setback`: none where it stands free. `height`: of the lens above the ground there, metres.
FixtureText describe_fixture(const Site& site, const Fixture& fixture, std::optional<double> setback,
                             double height);

/// Where to stand it, from what a tape can be laid to: "9 ft from the left corner of the south face of
/// house".
std::string print_fixture_place(const Site& site, const Fixture& fixture);

/// Hangs or stands plumb, so that neither tilt nor direction can be set.
bool shines_straight_down(const Site& site, const Fixture& fixture);

/// Whether it leans one way: a light that shines straight up or down has no direction.
bool has_way(const Site& site, const Fixture& fixture);

/// Which way it leans: "square to the wall (north, 0\u00b0)"; empty: straight up or down.
std::string print_fixture_way(const Site& site, const Fixture& fixture);

/// "reaches 13 ft", "reaches all the way up", "reaches nowhere".
std::string print_carry(const Reach& reach, LengthUnit unit);

} // namespace duskcast
