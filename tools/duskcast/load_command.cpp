// duskcast load SITE

#include <filesystem>
#include <fmt/format.h>
#include <memory>

#include "command.hpp"
#include "duskcast/measure/output.hpp"
#include "duskcast/picture/load_picture.hpp"
#include "duskcast/power/print_load.hpp"
#include "duskcast/power/route.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

namespace {

struct LoadOptions {
    std::string site;
    std::string units;
    std::string wire_table = "iec";
    double soil = WireChoice{}.soil_celsius;
    double tap = 0; ///< volts; 0: each run's own
    std::string out;
    bool route = false;
    bool json = false;
};

void print_lines(const std::vector<std::string>& lines) {
    for (const std::string& line : lines)
        fmt::print("{}\n", line);
}

void print_report(const Site& site, const LoadReport& report, const std::vector<Advice>& advice) {
    fmt::print("{}   {}\n", site.name, print_wire_choice(report.choice.wire));
    print_lines(print_load_table(report, site.units));
    fmt::print("\n");
    print_lines(print_load_verdict(report, site.units));
    if (!advice.empty()) {
        fmt::print("\nIn order of cost:\n");
        print_lines(print_advice(advice));
    }
    fmt::print("\n");
    print_lines(load_cautions(site.units));
}

/// load.json, the pictures, and with --route the network, to be put into the site file.
void write_outputs(const Site& site, const LoadReport& report, const std::vector<Advice>& advice,
                   const LoadOptions& options) {
    const std::filesystem::path folder(options.out);
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error)
        throw InputError(Problem{.place = {.file = options.out},
                                 .what = fmt::format("cannot be written to ({})", error.message()),
                                 .remedy = "choose another folder with --out"});
    write_text_file(folder / "load.json", print_load_json(site, report, advice));
    if (options.route)
        write_text_file(folder / "network.json", print_network(site.network.value(), site.units));
    for (const auto& [format, ending] :
         {std::pair(PictureFormat::png, ".png"), std::pair(PictureFormat::svg, ".svg")}) {
        write_text_file(folder / (std::string("cable-plan") + ending), draw_cable_plan(site, report, format));
        write_text_file(folder / (std::string("one-line") + ending), draw_one_line(site, report, format));
    }
}

int run_load(const LoadOptions& options) {
    SiteFile site_file = read_site_file(options.site);
    Site& site = site_file.site;
    if (!options.units.empty())
        site.units = options.units == "ft" ? LengthUnit::foot : LengthUnit::metre;
    LoadChoice choice;
    choice.wire = {.table = options.wire_table == "nec" ? WireTable::nec : WireTable::iec,
                   .soil_celsius = options.soil};
    if (options.tap > 0)
        choice.tap = options.tap;
    locate_errors(site_file, [&] {
        if (options.route)
            site.network = propose_network(site, site_file.folder(), choice);
        const LoadReport report = measure_load(site, site_file.folder(), choice);
        const std::vector<Advice> advice = find_advice(site, site_file.folder(), report);
        print_problems(site_file.warnings);
        if (!options.out.empty())
            write_outputs(site, report, advice, options);
        if (options.json)
            fmt::print("{}", print_load_json(site, report, advice));
        else
            print_report(site, report, advice);
        if (options.route && !options.json && options.out.empty())
            fmt::print("\nProposed, to be put into the site file:\n{}",
                       print_network(*site.network, site.units));
    });
    return status_done;
}

} // namespace

void add_load_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "load", "Work out cable, transformer and the voltage at every lamp, and what to do about it");
    auto options = std::make_shared<LoadOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json) with \"network\", unless --route")
        ->required();
    command->add_option(
        "--out", options->out,
        "folder for load.json, cable-plan and one-line as PNG and SVG, and with --route network.json");
    command->add_flag("--route", options->route,
                      "propose transformer and runs: along beds and edges, not through house or water");
    command->add_option("--units", options->units, "ft or m; default the site's")
        ->check(CLI::IsMember({"ft", "m"}));
    command
        ->add_option("--tap", options->tap, "volts of the tap that feeds every run; default each run's own")
        ->check(CLI::PositiveNumber);
    auto* soil =
        command
            ->add_option("--soil", options->soil,
                         "temperature of the soil in degrees C, -30 to 60, which copper's resistance "
                         "follows")
            ->capture_default_str()
            ->check(CLI::Range(-30.0, 60.0));
    command
        ->add_option("--wire-table", options->wire_table,
                     "iec: AWG and IEC 60028 copper at the soil's temperature; nec: NEC chapter 9 table 8, "
                     "75 C, which gives more drop")
        ->capture_default_str()
        ->check(CLI::IsMember({"iec", "nec"}));
    command->add_flag("--json", options->json, "print the figures as JSON");
    command->callback([options, soil, &run] {
        if (options->wire_table == "nec" && soil->count() > 0)
            throw CLI::ValidationError("--soil", "table 8 of the NEC is for 75 C only");
        run = [options] { return run_load(*options); };
    });
}

} // namespace duskcast
