// duskcast lamp FILE|ID...

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <memory>

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
    if (text_of(file).ends_with(".catalogue.json")) {
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
    made.tolerance = lamp.tolerance.value_or(1);
    made.depreciation = lamp.depreciation.value_or(1);
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
        lamp.id = text_of(file.stem());
        lamp.file = text_of(file.filename());
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
            for (const PictureFormat format : picture_formats(options.svg))
                folder.write(fmt::format("{}{}", name, ending_of(format)),
                             draw_lamp_chart(lamps, sheet_options, length, light, format));
        };
        for (const LampEntry& entry : entries)
            draw({entry}, entry.lamp.id);
        if (entries.size() > 1 && !options.names.empty())
            draw(entries, "together");
        folder.finish();
        written = folder.files();
    }
    if (options.json) {
        fmt::print("{}", print_lamp_json(entries));
    } else {
        for (const LampEntry& entry : entries) {
            for (const std::string& line : print_lamp_sheet(entry, sheet_options, length, light))
                fmt::print("{}\n", line);
            fmt::print("\n");
        }
        for (const fs::path& file : written)
            fmt::print("wrote {}\n", text_of(file));
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
        ->check(in_range(0, 180))
        ->capture_default_str();
    command->add_option("--as-lm63", options->as_lm63, "write the lamp as an LM-63-2019 file");
    command->add_flag("--json", options->json, "print figures for a machine, in SI units");
    command->add_flag("--svg", options->svg, "write every picture as SVG too");
    command->callback([options, &run] { run = [options] { return run_lamp(*options); }; });
}

} // namespace duskcast
