#include "duskcast/sheets/lamp_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>
#include <utility>

#include "duskcast/base/json_object.hpp"

namespace duskcast {
namespace {

using LampJson = nlohmann::ordered_json;

std::string print_both_ways(const BeamSpread& spread) {
    const std::string along = print_angle(spread.along), across = print_angle(spread.across);
    return along == across ? along : fmt::format("{} side to side, {} up and down", across, along);
}

/// By the maximum, and by the centre beam too where that makes a difference.
std::string describe_spread(const char* name, const BeamSpread& of_max, const BeamSpread& of_centre,
                            double share) {
    const std::string of = print_both_ways(of_max), at_centre = print_both_ways(of_centre);
    if (of == at_centre)
        return fmt::format("{} {} (at {} of the maximum)", name, of, print_share(share));
    return fmt::format("{} {} (at {} of the maximum); {} (at {} of the centre beam)", name, of,
                       print_share(share), at_centre, print_share(share));
}

LampJson make_spread_json(const BeamSpread& spread) {
    return json_object({{"along_deg", degrees_from_radians(spread.along)},
                        {"across_deg", degrees_from_radians(spread.across)},
                        {"mean_deg", degrees_from_radians(spread.mean)}});
}

LampJson make_lamp_json(const LampEntry& entry) {
    const LampSheet& sheet = entry.sheet;
    LampJson zones = LampJson::array(), spots = LampJson::array(), wall = LampJson::array();
    for (const ZoneLumens& zone : sheet.zones)
        zones.push_back(json_object({{"from_deg", degrees_from_radians(zone.from)},
                                     {"to_deg", degrees_from_radians(zone.to)},
                                     {"lumens", zone.lumens}}));
    for (const BeamSpot& spot : sheet.spots)
        spots.push_back(json_object({{"distance_m", spot.distance},
                                     {"along_m", spot.along},
                                     {"across_m", spot.across},
                                     {"centre_lx", spot.centre_lux}}));
    for (const WallSpread& row : sheet.wall)
        wall.push_back(json_object({{"setback_m", row.setback},
                                    {"level_lx", row.level},
                                    {"reached", row.is_reached},
                                    {"from_m", row.from},
                                    {"to_m", row.to},
                                    {"width_m", row.width},
                                    {"width_at_m", row.width_at},
                                    {"brightest_lx", row.brightest_lux},
                                    {"brightest_at_m", row.brightest_at}}));
    return json_object({{"id", entry.lamp.id},
                        {"watts", entry.lamp.watts},
                        {"volt_amperes", entry.lamp.volt_amperes},
                        {"lumens", sheet.lumens},
                        {"lumens_per_watt", sheet.efficacy ? LampJson(*sheet.efficacy) : LampJson()},
                        {"centre_cd", sheet.centre_candela},
                        {"max_cd", sheet.max_candela},
                        {"beam_of_max", make_spread_json(sheet.beam_of_max)},
                        {"beam_of_centre", make_spread_json(sheet.beam_of_centre)},
                        {"field_of_max", make_spread_json(sheet.field_of_max)},
                        {"field_of_centre", make_spread_json(sheet.field_of_centre)},
                        {"beam_lm", sheet.beam_lumens},
                        {"field_lm", sheet.field_lumens},
                        {"zones", zones},
                        {"light_loss", sheet.light_loss},
                        {"spots", spots},
                        {"wall", wall},
                        {"trusted_from_m", sheet.trusted_from}});
}

} // namespace

std::vector<std::string> print_lamp_sheet(const LampEntry& entry, const SheetOptions& options,
                                          LengthUnit length, LightUnit light) {
    std::vector<std::string> lines;
    const auto add = [&](std::string line) { lines.push_back(std::move(line)); };
    const LampDescription& lamp = entry.lamp;
    const LampSheet& sheet = entry.sheet;
    add(lamp.name.empty() || lamp.name == lamp.id ? lamp.id : lamp.name + " (" + lamp.id + ")");
    std::string power = fmt::format("{} lm", print_number(sheet.lumens));
    if (lamp.watts > 0)
        power += fmt::format(", {} W", print_number(lamp.watts));
    if (lamp.volt_amperes > 0)
        power += fmt::format(", {} VA", print_number(lamp.volt_amperes));
    if (sheet.efficacy)
        power += fmt::format(", {} lm/W", print_number(*sheet.efficacy));
    if (lamp.cct > 0)
        power += fmt::format(", {} K", print_number(lamp.cct));
    if (!sheet.designation.empty())
        power += ", among MR16 lamps: " + sheet.designation;
    add(power);
    add(fmt::format("centre beam {} cd; maximum {} cd at {} from the axis",
                    print_number(sheet.centre_candela), print_number(sheet.max_candela),
                    print_angle(sheet.max_gamma)));
    add(describe_spread("beam", sheet.beam_of_max, sheet.beam_of_centre, 0.5));
    add(describe_spread("field", sheet.field_of_max, sheet.field_of_centre, 0.1));
    add(fmt::format("{} lm inside the beam, {} lm inside the field", print_number(sheet.beam_lumens),
                    print_number(sheet.field_lumens)));
    std::vector<std::string> zones;
    for (const ZoneLumens& zone : sheet.zones)
        if (zone.lumens >= 0.0005 * sheet.lumens)
            zones.push_back(fmt::format("{:.0f}-{:.0f}° {}", degrees_from_radians(zone.from),
                                        degrees_from_radians(zone.to), print_number(zone.lumens)));
    add(fmt::format("lumens by zone: {}", fmt::join(zones, ", ")));
    if (sheet.light_loss == 1)
        add("no light loss is taken off below: a new lamp behind a clean lens");
    else
        add(fmt::format("light loss taken off below: {} (tolerance {}, depreciation {})",
                        print_number(sheet.light_loss), print_number(lamp.tolerance),
                        print_number(lamp.depreciation)));
    add("");
    add(fmt::format("{:>10}{:>16}{:>16}{:>16}", "distance", "side to side", "up and down", "at the centre"));
    for (const BeamSpot& spot : sheet.spots) {
        const auto width = [&](double metres) { return metres > 0 ? print_length(metres, length) : "-"; };
        add(fmt::format("{:>10}{:>16}{:>16}{:>16}", print_length(spot.distance, length), width(spot.across),
                        width(spot.along), print_illuminance(spot.centre_lux, light)));
    }
    add("");
    add(fmt::format("on a wall, tilt {}, heights from the lens", print_angle(options.tilt)));
    add(fmt::format("{:>10}{:>10}{:>16}{:>16}{:>16}", "setback", "level", "from", "up to", "widest"));
    for (const WallSpread& row : sheet.wall) {
        const auto shown = [&](double metres) {
            return row.is_reached ? print_length(metres, length) : std::string("-");
        };
        add(fmt::format("{:>10}{:>10}{:>16}{:>16}{:>16}", print_setback(row.setback, length),
                        print_illuminance(row.level, light), shown(row.from), shown(row.to),
                        shown(row.width)));
    }
    if (sheet.trusted_from > 0) {
        add("");
        add(fmt::format(
            "nearer than {} these figures mislead: the lens is too large to count as a point there",
            print_length(sheet.trusted_from, length)));
    }
    return lines;
}

std::string print_lamp_json(const std::vector<LampEntry>& entries) {
    LampJson all = LampJson::array();
    for (const LampEntry& entry : entries)
        all.push_back(make_lamp_json(entry));
    return all.dump(2) + "\n";
}

} // namespace duskcast
