// duskcast lamp FILE|ID...

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <nlohmann/json.hpp>

#include "command.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/photometry/lm63.hpp"
#include "duskcast/sheets/lamp_chart.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

namespace {

namespace fs = std::filesystem;

struct LampOptions {
    std::vector<std::string> names;
    std::string from;
    std::string out;
    std::string units = "ft";
    std::string as_lm63;
    std::vector<std::string> levels;
    double tilt_deg = 0;
    bool json = false;
    bool svg = false;
};

/// The lamps that ids may name, with the folder their files are relative to.
struct Shelf {
    std::vector<Lamp> lamps;
    fs::path folder;
};

Shelf read_shelf(const fs::path& file) {
    if (file.empty())
        return {};
    if (file.string().ends_with(".catalogue.json")) {
        CatalogueFile read = read_catalogue_file(file);
        print_problems(read.warnings);
        return {read.catalogue.lamps, file.parent_path()};
    }
    const SiteFile read = read_site_file(file);
    Shelf shelf{read.site.lamps, read.folder()};
    shelf.lamps.insert(shelf.lamps.end(), read.site.catalogue.lamps.begin(), read.site.catalogue.lamps.end());
    return shelf;
}

LampDescription describe(const Lamp& lamp, const fs::path& folder) {
    LampLight light = make_lamp_light(lamp, folder);
    print_problems(light.warnings);
    LampDescription made;
    made.id = lamp.id;
    made.name = lamp.name;
    made.watts = light.watts;
    if (lamp.volt_amperes)
        made.volt_amperes = *lamp.volt_amperes;
    else if (lamp.power_factor)
        made.volt_amperes = light.watts / *lamp.power_factor;
    made.cct = lamp.cct;
    made.lens_diameter = light.opening_diameter > 0 ? light.opening_diameter : usual_lens_diameter;
    made.tolerance = lamp.tolerance;
    made.depreciation = lamp.depreciation;
    made.distribution = std::move(light.distribution);
    return made;
}

/// An LM-63 file by its name, or a lamp of the shelf by its id.
LampDescription find_description(const std::string& name, const Shelf& shelf) {
    for (const Lamp& lamp : shelf.lamps)
        if (lamp.id == name)
            return describe(lamp, shelf.folder);
    std::error_code ignored;
    const fs::path file(name);
    if (fs::is_regular_file(file, ignored)) {
        Lamp lamp;
        lamp.id = file.stem().string();
        lamp.file = file.filename().string();
        LampDescription made = describe(lamp, file.parent_path());
        made.cct = 0; // such files do not say it
        return made;
    }
    std::string known;
    for (const Lamp& lamp : shelf.lamps)
        known += (known.empty() ? "" : ", ") + lamp.id;
    throw InputError(Problem{
        .place = {.path = name},
        .what = "there is no such LM-63 file and no lamp of this id",
        .remedy = known.empty() ? "give an LM-63 file, or say with --from which site or catalogue file "
                                  "holds the lamp"
                                : "known are " + known});
}

SheetOptions make_options(const LampOptions& options, LengthUnit length, LightUnit light) {
    SheetOptions made;
    const bool is_feet = length == LengthUnit::foot;
    for (const double distance :
         is_feet ? std::vector<double>{5, 10, 15, 20, 30, 40} : std::vector<double>{1.5, 3, 4.5, 6, 9, 12})
        made.distances.push_back(distance * metres_per(length));
    for (const double setback : {12.0, 15.0, 18.0}) // usual; common practice, no source
        made.setbacks.push_back(is_feet ? setback * metres_per_inch : setback / 40);
    made.tilt = radians_from_degrees(options.tilt_deg);
    made.levels = read_levels(options.levels, light);
    if (made.levels.empty())
        for (const double footcandles : {0.5, 1.0, 2.0})
            made.levels.push_back(is_feet ? footcandles * lux_per_footcandle : footcandles * 10);
    std::sort(made.levels.begin(), made.levels.end());
    return made;
}

std::string print_both_ways(const BeamSpread& spread) {
    const std::string along = print_angle(spread.along), across = print_angle(spread.across);
    return along == across ? along : fmt::format("{} side to side, {} up and down", across, along);
}

/// Told of the maximum, and of the centre too where that makes a difference.
void print_spread(const char* name, const BeamSpread& of_max, const BeamSpread& of_centre, double share) {
    const std::string of = print_both_ways(of_max), at_centre = print_both_ways(of_centre);
    if (of == at_centre)
        fmt::print("{} {} (at {} of the maximum)\n", name, of, print_share(share));
    else
        fmt::print("{} {} (at {} of the maximum); {} (at {} of the centre beam)\n", name, of,
                   print_share(share), at_centre, print_share(share));
}

void print_sheet(const LampEntry& entry, const SheetOptions& options, LengthUnit length, LightUnit light) {
    const LampDescription& lamp = entry.lamp;
    const LampSheet& sheet = entry.sheet;
    fmt::print("{}\n",
               lamp.name.empty() || lamp.name == lamp.id ? lamp.id : lamp.name + " (" + lamp.id + ")");
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
    fmt::print("{}\n", power);
    fmt::print("centre beam {} cd; maximum {} cd at {} from the axis\n", print_number(sheet.centre_candela),
               print_number(sheet.max_candela), print_angle(sheet.max_gamma));
    print_spread("beam", sheet.beam_of_max, sheet.beam_of_centre, 0.5);
    print_spread("field", sheet.field_of_max, sheet.field_of_centre, 0.1);
    fmt::print("{} lm inside the beam, {} lm inside the field\n", print_number(sheet.beam_lumens),
               print_number(sheet.field_lumens));
    std::string zones = "lumens by zone:";
    for (const ZoneLumens& zone : sheet.zones)
        if (zone.lumens >= 0.0005 * sheet.lumens)
            zones += fmt::format("{} {:.0f}-{:.0f}° {}", &zone == sheet.zones.data() ? "" : ",",
                                 degrees_from_radians(zone.from), degrees_from_radians(zone.to),
                                 print_number(zone.lumens));
    fmt::print("{}\n", zones);
    if (sheet.light_loss == 1)
        fmt::print("no light loss is taken off below: a new lamp behind a clean lens\n");
    else
        fmt::print("light loss taken off below: {} (tolerance {}, depreciation {})\n",
                   print_number(sheet.light_loss), print_number(lamp.tolerance),
                   print_number(lamp.depreciation));
    fmt::print("\n{:>10}{:>16}{:>16}{:>16}\n", "distance", "side to side", "up and down", "at the centre");
    for (const BeamSpot& spot : sheet.spots) {
        const auto width = [&](double metres) { return metres > 0 ? print_length(metres, length) : "-"; };
        fmt::print("{:>10}{:>16}{:>16}{:>16}\n", print_length(spot.distance, length), width(spot.across),
                   width(spot.along), print_illuminance(spot.centre_lux, light));
    }
    fmt::print("\non a wall, tilt {}, heights from the lens\n", print_angle(options.tilt));
    fmt::print("{:>10}{:>10}{:>16}{:>16}{:>16}\n", "setback", "level", "from", "up to", "widest");
    for (const WallSpread& row : sheet.wall) {
        const auto shown = [&](double metres) {
            return row.is_reached ? print_length(metres, length) : std::string("-");
        };
        fmt::print("{:>10}{:>10}{:>16}{:>16}{:>16}\n", print_setback(row.setback, length),
                   print_illuminance(row.level, light), shown(row.from), shown(row.to), shown(row.width));
    }
    if (sheet.trusted_from > 0)
        fmt::print("\nnearer than {} these figures mislead: the lens is no point there\n",
                   print_length(sheet.trusted_from, length));
}

nlohmann::ordered_json print_spread(const BeamSpread& spread) {
    return {{"along_deg", degrees_from_radians(spread.along)},
            {"across_deg", degrees_from_radians(spread.across)},
            {"mean_deg", degrees_from_radians(spread.mean)}};
}

/// SI throughout.
nlohmann::ordered_json print_json(const LampEntry& entry) {
    using Json = nlohmann::ordered_json;
    const LampSheet& sheet = entry.sheet;
    Json zones = Json::array(), spots = Json::array(), wall = Json::array();
    for (const ZoneLumens& zone : sheet.zones)
        zones.push_back({{"from_deg", degrees_from_radians(zone.from)},
                         {"to_deg", degrees_from_radians(zone.to)},
                         {"lumens", zone.lumens}});
    for (const BeamSpot& spot : sheet.spots)
        spots.push_back({{"distance_m", spot.distance},
                         {"along_m", spot.along},
                         {"across_m", spot.across},
                         {"centre_lx", spot.centre_lux}});
    for (const WallSpread& row : sheet.wall)
        wall.push_back({{"setback_m", row.setback},
                        {"level_lx", row.level},
                        {"reached", row.is_reached},
                        {"from_m", row.from},
                        {"to_m", row.to},
                        {"width_m", row.width},
                        {"width_at_m", row.width_at},
                        {"brightest_lx", row.brightest_lux},
                        {"brightest_at_m", row.brightest_at}});
    return {{"id", entry.lamp.id},
            {"watts", entry.lamp.watts},
            {"volt_amperes", entry.lamp.volt_amperes},
            {"lumens", sheet.lumens},
            {"lumens_per_watt", sheet.efficacy ? Json(*sheet.efficacy) : Json()},
            {"centre_cd", sheet.centre_candela},
            {"max_cd", sheet.max_candela},
            {"beam_of_max", print_spread(sheet.beam_of_max)},
            {"beam_of_centre", print_spread(sheet.beam_of_centre)},
            {"field_of_max", print_spread(sheet.field_of_max)},
            {"field_of_centre", print_spread(sheet.field_of_centre)},
            {"beam_lm", sheet.beam_lumens},
            {"field_lm", sheet.field_lumens},
            {"zones", zones},
            {"light_loss", sheet.light_loss},
            {"spots", spots},
            {"wall", wall},
            {"trusted_from_m", sheet.trusted_from}};
}

void write_lm63(const LampDescription& lamp, const fs::path& file) {
    Lm63 made;
    made.keywords = {{"LUMCAT", lamp.id}, {"LUMINAIRE", lamp.name.empty() ? lamp.id : lamp.name}};
    made.input_watts = lamp.watts;
    made.opening_width = made.opening_length = lamp.lens_diameter;
    made.opening_is_round = true;
    made.distribution = lamp.distribution;
    write_text_file(file, print_lm63(made));
}

int run_lamp(const LampOptions& options) {
    const LengthUnit length = options.units == "ft" ? LengthUnit::foot : LengthUnit::metre;
    const LightUnit light = options.units == "ft" ? LightUnit::footcandle : LightUnit::lux;
    const SheetOptions sheet_options = make_options(options, length, light);
    const Shelf shelf = read_shelf(options.from);
    std::vector<LampEntry> entries;
    const auto add = [&](LampDescription lamp) {
        LampSheet sheet = make_lamp_sheet(lamp, sheet_options);
        entries.push_back({std::move(lamp), std::move(sheet)});
    };
    for (const std::string& name : options.names)
        add(find_description(name, shelf));
    if (options.names.empty())
        for (const Lamp& lamp : shelf.lamps)
            add(describe(lamp, shelf.folder));
    if (entries.empty())
        throw InputError(Problem{.what = "no lamp is named",
                                 .remedy = "give an LM-63 file, or a site or catalogue file with --from"});
    if (!options.as_lm63.empty()) {
        if (entries.size() != 1)
            throw InputError(Problem{.place = {.path = "--as-lm63"},
                                     .what = fmt::format("{} lamps do not go into one file", entries.size()),
                                     .remedy = "name one lamp"});
        write_lm63(entries.front().lamp, options.as_lm63);
    }
    std::vector<fs::path> written;
    if (!options.out.empty()) {
        OutputFolder folder(options.out, "lamp");
        const auto draw = [&](const std::vector<LampEntry>& lamps, const std::string& name) {
            folder.write(name + ".png",
                         draw_lamp_chart(lamps, sheet_options, length, light, PictureFormat::png));
            if (options.svg)
                folder.write(name + ".svg",
                             draw_lamp_chart(lamps, sheet_options, length, light, PictureFormat::svg));
        };
        for (const LampEntry& entry : entries)
            draw({entry}, entry.lamp.id);
        if (entries.size() > 1 && !options.names.empty())
            draw(entries, "together");
        folder.finish();
        written = folder.files();
    }
    if (options.json) {
        nlohmann::ordered_json all = nlohmann::ordered_json::array();
        for (const LampEntry& entry : entries)
            all.push_back(print_json(entry));
        fmt::print("{}\n", all.dump(2));
    } else {
        for (const LampEntry& entry : entries) {
            print_sheet(entry, sheet_options, length, light);
            fmt::print("\n");
        }
        for (const fs::path& file : written)
            fmt::print("wrote {}\n", file.string());
        if (!options.as_lm63.empty())
            fmt::print("wrote {}\n", options.as_lm63);
    }
    return status_done;
}

} // namespace

void add_lamp_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand("lamp", "Show what a lamp gives: its sheet, or several compared");
    auto options = std::make_shared<LampOptions>();
    command->add_option("LAMP", options->names,
                        "LM-63 files, or ids of lamps in the file given with --from; without any, all of it");
    command->add_option("--from", options->from, "site file or catalogue file (NAME.catalogue.json)");
    command->add_option("--out", options->out, "folder for a picture a lamp, and together.png of several");
    command->add_option("--units", options->units, "ft (feet, foot-candles) or m (metres, lux)")
        ->check(CLI::IsMember({"ft", "m"}))
        ->capture_default_str();
    command->add_option("--levels", options->levels, "levels on the wall, comma between")->delimiter(',');
    command->add_option("--tilt", options->tilt_deg, "degrees from upright in front of the wall")
        ->check(CLI::Range(0.0, 180.0))
        ->capture_default_str();
    command->add_option("--as-lm63", options->as_lm63, "write the lamp as an LM-63-2019 file");
    command->add_flag("--json", options->json, "print figures for a machine, in SI units");
    command->add_flag("--svg", options->svg, "write every picture as SVG too");
    command->callback([options, &run] { run = [options] { return run_lamp(*options); }; });
}

} // namespace duskcast
