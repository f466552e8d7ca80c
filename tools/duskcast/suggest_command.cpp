// duskcast suggest SITE

#include <fmt/format.h>
#include <memory>

#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/study_json.hpp"
#include "duskcast/sheets/study_pictures.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "study_command.hpp"

namespace duskcast {

namespace {

struct SuggestOptions : StudyOptions {
    std::string fixtures;
    std::vector<std::string> ranges;
    std::string lamps;
    std::string count;
    std::string prefer = "coverage";
    std::string rules = "all";
    std::optional<double> most_spill, most_watts, most_price, most_hot_spot, most_uniformity, most_candela;
    bool may_stand_in_lawn = false;
    bool each = false;
    int tolerance_samples = 0;
};

/// Every lamp that goes into each of the fixtures.
std::vector<std::string> find_fitting(const Site& site, const std::vector<std::size_t>& fixtures) {
    std::vector<std::string> fitting;
    for (const std::size_t index : fixtures) {
        std::vector<std::string> here;
        for (const Lamp* lamp : list_fitting_lamps(site, site.fixtures[index]))
            if (index == fixtures.front() ||
                std::find(fitting.begin(), fitting.end(), lamp->id) != fitting.end())
                here.push_back(lamp->id);
        fitting = std::move(here);
    }
    return fitting;
}

Freedom read_freedom(const SuggestOptions& options, const Site& site) {
    Freedom freedom;
    freedom.fixtures = read_ids(options.fixtures);
    const std::vector<std::size_t> fixtures =
        name_option("--fixtures", [&] { return find_fixtures(site, freedom.fixtures); });
    if (freedom.fixtures.empty())
        for (const Fixture& fixture : site.fixtures)
            freedom.fixtures.push_back(fixture.id);
    for (const std::string& text : options.ranges)
        freedom.knobs.push_back(name_option("--vary", [&] { return read_free_knob(text, site); }));
    for (std::size_t i = 0; i < freedom.knobs.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (freedom.knobs[i].knob == freedom.knobs[j].knob)
                throw InputError(
                    Problem{.place = {.path = "--vary"},
                            .what = fmt::format("{} is varied twice", name_of(freedom.knobs[i].knob)),
                            .remedy = "give one range of it"});
    freedom.lamps = options.lamps == "fitting" ? find_fitting(site, fixtures) : read_ids(options.lamps);
    name_option("--lamps", [&] {
        for (const std::string& lamp : freedom.lamps)
            require_lamp(site, lamp);
    });
    if (!options.count.empty())
        name_option("--count", [&] { read_count(options.count, freedom); });
    if (options.rules != "all")
        freedom.rules = options.rules == "none" ? std::vector<std::string>() : read_ids(options.rules);
    name_option("--rules", [&] { check_rules(freedom.rules); });
    freedom.may_stand_in_lawn = options.may_stand_in_lawn;
    freedom.is_each_by_itself = options.each;
    return freedom;
}

int run_suggest(const SuggestOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    StudySite study = read_study_site(options);
    locate_errors(study.file, [&] {
        const Freedom freedom = read_freedom(options, study.site);
        Wish wish;
        wish.focus = name_option("--target",
                                 [&] { return choose_focus(study.site, options.target, freedom.fixtures); });
        wish.focus.fixtures.clear(); // a search may add and leave out
        wish.prefer = name_option("--prefer", [&] { return read_quantity(options.prefer); });
        const auto share = [](const std::optional<double>& percent) {
            return percent ? std::optional(*percent / 100) : std::nullopt;
        };
        wish.most_spill = share(options.most_spill);
        wish.most_watts = options.most_watts;
        wish.most_price = options.most_price;
        wish.most_hot_spot = options.most_hot_spot;
        wish.most_uniformity = options.most_uniformity;
        wish.most_candela = options.most_candela;
        wish.tolerance_samples = static_cast<std::size_t>(options.tolerance_samples);
        const DesignSearch search = name_option("--vary", [&] {
            return search_designs(study.site, study.folder(), freedom, wish, study.bench,
                                  [&](double done) { progress.show("searching", done); });
        });
        const std::string json = print_search_json(study.site, freedom, wish, search);
        if (!options.out.empty()) {
            OutputFolder folder(options.out, "suggest");
            folder.write("suggest.json", json);
            for (std::size_t i = 0; i < search.front.size(); ++i) {
                Site design = moved_to(search.front[i].site, study.folder(),
                                       std::filesystem::path(options.out) / "designs");
                design.targets = study.file.site.targets;
                folder.write(fmt::format("designs/{}.site.json", i + 1), print_site(design));
            }
            progress.show("drawing", 0.98);
            Workbench bench(study.folder(), study.bench);
            draw_search(study.site, freedom, wish, search, bench, folder);
            folder.finish();
        }
        progress.clear();
        print_problems(study.file.warnings);
        if (options.json)
            fmt::print("{}", json);
        else {
            print_lines(print_search(study.site, freedom, wish, search));
            std::vector<NamedSite> designs{{"as drawn", &study.site}};
            for (const Design& design : search.front)
                designs.push_back({design.lamp, &design.site});
            fmt::print("{}\n", print_light_losses(designs));
        }
        if (!options.out.empty() && !options.json)
            fmt::print("Each design is a site file in {}/designs.\n", options.out);
    });
    return status_done;
}

} // namespace

void add_suggest_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "suggest",
        "Search for the lamp, tilt, setback, spacing and number of fixtures that meet the targets");
    auto options = std::make_shared<SuggestOptions>();
    add_study_options(
        *command, *options,
        "folder for suggest.json, designs/N.site.json, trade-off.png and plates/; without it only print");
    command->add_option("--fixtures", options->fixtures,
                        "ids of fixtures of one wall or tree, comma between; default all");
    command->add_option(
        "--vary", options->ranges,
        "tilt=0..30, setback=12in..24in, spacing=6..12; also turn, beam, bearing, lens_height, dimming; "
        "may be given several times");
    command->add_option("--lamps", options->lamps,
                        "ids to choose from, comma between, or fitting: all that fit");
    command->add_option("--count", options->count, "how many fixtures: 3, or 1..3; default as many as named");
    command
        ->add_option("--prefer", options->prefer,
                     "of designs that meet everything, best by reach, coverage, mean, uniformity, hot_spot, "
                     "spill, lumens, watts or price")
        ->capture_default_str();
    command
        ->add_option("--max-spill", options->most_spill, "per cent of the lumens that may miss the targets")
        ->check(in_range(0, 100));
    command->add_option("--max-watts", options->most_watts, "of the whole site")->check(in_range(0, 1000000));
    command
        ->add_option("--max-price", options->most_price, "of fixtures and lamps, in the catalogue's currency")
        ->check(in_range(0, 1000000000));
    command->add_option("--max-hot-spot", options->most_hot_spot, "max : mean on the target")
        ->check(in_range(1, 1000000));
    command
        ->add_option("--max-uniformity", options->most_uniformity, "mean : min on the lit part of the target")
        ->check(in_range(1, 1000000));
    command->add_option("--max-candela", options->most_candela, "towards the site's views and eyes")
        ->check(in_range(0, 1000000000));
    command
        ->add_option(
            "--rules", options->rules,
            "of the trade, to start from and to be judged: setback (12 to 18 in back), upright (10 "
            "degrees at most), brighter (over 20 ft the brighter lamp), two-sides (of a tree over 20 "
            "ft wide), comma between; or all, or none")
        ->capture_default_str();
    command->add_flag("--in-lawn", options->may_stand_in_lawn,
                      "let spiked fixtures stand in lawn, where mowers go, and not only in beds and mulch");
    command->add_flag("--each", options->each, "in the end tilt and turn each fixture by itself");
    command
        ->add_option(
            "--tolerance", options->tolerance_samples,
            "try each design found in this many installations that are a little off, and name the most "
            "robust (by coverage, mean or reach; 64 are enough for an estimate)")
        ->check(in_range(8, 10000));
    command->callback([options, &run] { run = [options] { return run_suggest(*options); }; });
}

} // namespace duskcast
