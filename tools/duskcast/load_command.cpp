// duskcast load SITE

#include <filesystem>
#include <fmt/format.h>
#include <memory>

#include "command.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/cost/energy.hpp"
#include "duskcast/power/route.hpp"
#include "duskcast/sheets/load_picture.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/sheets/take_off_words.hpp"
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
    std::string prices;
    double hours_a_night = 5;
    double nights = 365;
    double labour_hours = 0;
    bool route = false;
    bool json = false;
};

/// What the job takes and costs, where a price list is given.
struct Bill {
    TakeOff take_off;
    YearlyEnergy energy;
    std::string currency;
};

std::optional<Bill> make_bill(const Site& site, const LoadReport& report, const LoadOptions& options) {
    if (options.prices.empty())
        return std::nullopt;
    const PriceList prices = read_price_list_file(options.prices);
    TakeOffQuantities quantities = find_quantities(site, report);
    quantities.hours = options.labour_hours;
    return Bill{make_take_off(quantities, prices),
                find_yearly_energy({measure_drawn_watts(report), options.hours_a_night, options.nights},
                                   prices.energy_price),
                prices.currency};
}

void print_lines(const std::vector<std::string>& lines) {
    for (const std::string& line : lines)
        fmt::print("{}\n", line);
}

void print_report(const Site& site, const LoadReport& report, const std::vector<Advice>& advice,
                  const std::optional<Bill>& bill) {
    fmt::print("{}   {}\n", site.name, print_wire_choice(report.choice.wire));
    print_lines(print_load_table(report, site.units));
    fmt::print("\n");
    print_lines(print_load_verdict(report, site.units));
    fmt::print("{}\n", print_trench(measure_trench(site), site.units));
    if (!advice.empty()) {
        fmt::print("\nIn order of cost:\n");
        print_lines(print_advice(advice, site.units));
    }
    if (bill) {
        fmt::print("\n");
        print_lines(print_take_off(bill->take_off, site.units));
        fmt::print("{}\n", print_yearly_energy(bill->energy, bill->currency));
    }
    fmt::print("\n");
    print_lines(print_load_cautions(site.units));
}

/// load.json, the pictures, with --route the network, to be put into the site file, and with --prices the
/// take-off.
void write_outputs(const Site& site, const LoadReport& report, const std::vector<Advice>& advice,
                   const std::optional<Bill>& bill, const LoadOptions& options) {
    OutputFolder folder(options.out, "load");
    folder.write("load.json", print_load_json(site, report, advice));
    if (options.route)
        folder.write("network.json", print_network(site.network.value(), site.units));
    if (bill) {
        folder.write("take-off.csv", print_take_off_csv(bill->take_off, site.units));
        folder.write("take-off.json", print_take_off_json(bill->take_off));
    }
    for (const PictureFormat format : picture_formats(true)) {
        folder.write(fmt::format("cable-plan{}", ending_of(format)), draw_cable_plan(site, report, format));
        folder.write(fmt::format("one-line{}", ending_of(format)), draw_one_line(site, report, format));
    }
    folder.finish();
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
        const std::optional<Bill> bill = make_bill(site, report, options);
        if (!options.out.empty())
            write_outputs(site, report, advice, bill, options);
        print_problems(site_file.warnings);
        const std::vector<Problem> crossings =
            make_crossing_warnings(find_crossings(site, report), report, site.units);
        print_problems(options.route ? crossings : site_file.locate(crossings));
        if (options.json)
            fmt::print("{}", print_load_json(site, report, advice));
        else
            print_report(site, report, advice, bill);
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
        "folder for load.json, cable-plan and one-line as PNG and SVG, with --route network.json and with "
        "--prices take-off.csv and take-off.json");
    command->add_flag("--route", options->route,
                      "propose transformer and runs: along beds and edges, not through house or water");
    command->add_option("--units", options->units, "ft or m; default the site's")
        ->check(CLI::IsMember({"ft", "m"}));
    command
        ->add_option("--tap", options->tap, "volts of the tap that feeds every run; default each run's own")
        ->check(in_range(1, 50));
    auto* soil =
        command
            ->add_option("--soil", options->soil,
                         "temperature of the soil in degrees C, -30 to 60, which copper's resistance "
                         "follows")
            ->capture_default_str()
            ->check(in_range(-30, 60));
    command
        ->add_option("--wire-table", options->wire_table,
                     "iec: AWG and IEC 60028 copper at the soil's temperature; nec: NEC chapter 9 table 8, "
                     "75 C, which gives more drop")
        ->capture_default_str()
        ->check(CLI::IsMember({"iec", "nec"}));
    auto* prices = command->add_option("--prices", options->prices,
                                       "price list (CSV): adds the take-off, the price and a year's energy");
    command->add_option("--hours-a-night", options->hours_a_night, "hours the lights are on")
        ->capture_default_str()
        ->check(in_range(0, 24))
        ->needs(prices);
    command->add_option("--nights", options->nights, "nights a year")
        ->capture_default_str()
        ->check(in_range(0, 366))
        ->needs(prices);
    command
        ->add_option("--labour-hours", options->labour_hours,
                     "hours beyond those of the list's items: the walk round, aiming at night")
        ->check(in_range(0, 10000))
        ->needs(prices);
    command->add_flag("--json", options->json, "print the figures as JSON");
    command->callback([options, soil, &run] {
        if (options->wire_table == "nec" && soil->count() > 0)
            throw CLI::ValidationError("--soil", "table 8 of the NEC is for 75 C only");
        run = [options] { return run_load(*options); };
    });
}

} // namespace duskcast
