#include "duskcast/sheets/fixture_words.hpp"

#include <fmt/format.h>

namespace duskcast {

FixtureText describe_fixture(const Site& site, const Fixture& fixture, std::optional<double> setback,
                             double height) {
    FixtureText text;
    text.id = fixture.id;
    text.lamp = fixture.lamp;
    if (const Lamp* lamp = find_lamp(site, fixture.lamp)) {
        if (!lamp->name.empty())
            text.lamp = lamp->name;
        if (lamp->watts > 0 && text.lamp.find(" W") == std::string::npos)
            text.lamp += fmt::format(", {} W", print_number(lamp->watts));
    }
    if (height > hung_height)
        text.placed = print_length(height, site.units) + " up, ";
    else if (setback)
        text.placed = print_setback(*setback, site.units) + " back, ";
    const bool is_plumb = fixture.kind == FixtureKind::path && pi - fixture.tilt < radians_from_degrees(0.25);
    text.placed += fixture.dimming == 0 ? "off" : is_plumb ? "plumb" : "tilt " + print_angle(fixture.tilt);
    return text;
}

std::string print_carry(const Reach& reach, LengthUnit unit) {
    if (!reach.height)
        return "reaches nowhere";
    // Also where what is missing rounds to nothing.
    const bool is_to_top =
        reach.is_to_top || print_length(*reach.height, unit) == print_length(reach.wall_height, unit);
    return "reaches " + (is_to_top ? "all the way up" : print_height(*reach.height, unit));
}

} // namespace duskcast
