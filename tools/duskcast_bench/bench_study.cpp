// Studies: what hundreds of answers cost beside one.

#include <cmath>
#include <fmt/format.h>

#include "bench.hpp"
#include "duskcast/study/compare.hpp"
#include "duskcast/study/design_search.hpp"
#include "duskcast/study/sweep.hpp"
#include "duskcast/study/tolerance.hpp"

using namespace duskcast;

namespace {

constexpr double degree = pi / 180;

Lamp make_lamp(int index) {
    return {.id = fmt::format("lamp{}", index),
            .figures = {.lumens = 250.0 + 40 * index, .beam_angle = radians_from_degrees(15 + 6 * index)},
            .watts = 3.0 + 0.5 * index};
}

std::vector<Site> make_grid(const Site& site) {
    std::vector<Site> variants;
    for (int tilt = 0; tilt < 46; ++tilt)
        for (int lamp = 0; lamp < 6; ++lamp) {
            variants.push_back(site);
            variants.back().fixtures[0].tilt = tilt * degree;
            variants.back().fixtures[0].lamp = make_lamp(lamp).id;
        }
    return variants;
}

/// An uplight before the bench's façade, which is its only target.
Site make_sweep_site() {
    Site site = make_site(200e3, 2000, 100);
    site.trees.clear();
    Fixture fixture{.id = "U1", .lamp = "lamp0", .wall = "front"};
    fixture.along = 30;
    fixture.setback = 0.4;
    site.fixtures.push_back(fixture);
    site.targets.push_back({.id = "all", .on = "front", .level = 10, .share = 0.1});
    return site;
}

/// `afresh`: what the whole sweep is compared with.
void measure_sweep(const std::string& name, Site site, const std::filesystem::path& folder, double most,
                   const std::string& against, const std::function<void(const Site& site)>& afresh) {
    for (int i = 0; i < 6; ++i)
        site.lamps.push_back(make_lamp(i));
    site.variants.clear();
    const std::vector<Site> variants = make_grid(site);
    Workbench bench(folder, {.is_direct_only = true, .is_quick = true});
    bench.measure({variants.data(), 1});
    const std::uint64_t rays = bench.rays();
    bench.measure(variants); // the lamps' tables are made
    const double sweep = best_seconds(3, [&] { bench.measure(variants); });
    const double once = best_seconds(5, [&] { afresh(variants.front()); });
    print_row(fmt::format("46 tilts x 6 lamps, {}, against {}", name, against),
              fmt::format("{:.1f} x ({:.0f} : {:.0f} ms)", sweep / once, 1e3 * sweep, 1e3 * once),
              fmt::format("at most {:.0f} x", most), sweep / once <= most);
    print_row("  rays traced by all of them after the first", fmt::format("{}", bench.rays() - rays), "none",
              bench.rays() == rays);
}

void measure_sweeps() {
    const SiteFile file =
        read_site_file(std::string(DUSKCAST_SOURCE_DIR) + "/scenes/two-gables/two-gables.site.json");
    measure_sweep("two-gables", file.site, file.folder(), 1, "one run", [&](const Site& site) {
        const auto stage = build_stage(site, file.folder());
        measure_report(site, *stage, trace_lighting(*stage, make_fixtures(site, file.folder())));
    });
    const auto stage = build_stage(make_sweep_site(), {});
    measure_sweep(fmt::format("{}k sensors", stage->sensors.size() / 1000), make_sweep_site(), ".", 30,
                  "tracing one Sight",
                  [&](const Site& site) { trace_sight(*stage, make_fixtures(site, ".").front().lens); });
}

void measure_search() {
    const SiteFile file =
        read_site_file(std::string(DUSKCAST_SOURCE_DIR) + "/scenes/two-gables/two-gables.site.json");
    Site site = file.site;
    site.targets.erase(site.targets.begin() + 2); // those that a search over one gable can do something about
    for (Target& target : site.targets)
        target.share = 0;
    Freedom freedom{
        .fixtures = {"U4", "U5", "U6"},
        .knobs = {{Knob::tilt, 0, 30 * degree}, {Knob::setback, 0.25, 0.6}, {Knob::spacing, 1.2, 2.8}}};
    for (int i = 0; i < 8; ++i) {
        site.lamps.push_back(make_lamp(i));
        freedom.lamps.push_back(site.lamps.back().id);
    }
    const Wish wish{.focus = {"right-peak", {}}};
    DesignSearch found;
    const double seconds = best_seconds(
        1, [&] { found = search_designs(site, file.folder(), freedom, wish, {.is_direct_only = true}); });
    // Exhaustive, on a grid: the same designs as the search makes them.
    double best = 0;
    std::vector<Site> grid;
    for (const std::string& lamp : freedom.lamps)
        for (int tilt = 0; tilt <= 30; tilt += 3)
            for (const double setback : {0.25, 0.35, 0.45, 0.6})
                for (double spacing = 1.2; spacing < 2.81; spacing += 0.2) {
                    Site made = site;
                    const std::vector<std::size_t> row = find_fixtures(made, freedom.fixtures);
                    apply_setting(made, row, {Knob::lamp, 0, lamp}, file.folder());
                    apply_setting(made, row, {Knob::tilt, tilt * degree, ""}, file.folder());
                    apply_setting(made, row, {Knob::setback, setback, ""}, file.folder());
                    apply_setting(made, row, {Knob::spacing, spacing, ""}, file.folder());
                    grid.push_back(std::move(made));
                }
    Workbench bench(file.folder(), {.is_direct_only = true, .is_quick = true});
    for (const Figures& figures : bench.measure(grid))
        best = std::max(best, value_of(figures, Quantity::coverage, wish.focus).value_or(0));
    const double reached = value_of(found.best.figures, Quantity::coverage, wish.focus).value_or(0);
    print_row(
        fmt::format("Search for three fixtures, 8 lamps, tilt, setback, spacing ({} tried)", found.tried),
        fmt::format("{:.1f} s", seconds), "under 20 s", seconds < 20);
    print_row(fmt::format("  its coverage against the best of {} on a grid", grid.size()),
              fmt::format("{:.3f}", reached / best), "at least 0.99", reached >= 0.99 * best);
}

void measure_tolerance() {
    const SiteFile file =
        read_site_file(std::string(DUSKCAST_SOURCE_DIR) + "/scenes/two-gables/two-gables.site.json");
    Site site = file.site;
    for (int i = 0; i < 4; ++i) {
        site.fixtures.push_back(site.fixtures[static_cast<std::size_t>(i)]);
        site.fixtures.back().id = fmt::format("more{}", i);
        site.fixtures.back().along += 0.5;
    }
    const double seconds = best_seconds(1, [&] {
        measure_tolerance(site, file.folder(), {"right-peak", {}}, {}, 256, 1, false);
    });
    print_row(fmt::format("256 tolerance samples, {} fixtures", site.fixtures.size()),
              fmt::format("{:.1f} s", seconds), "under 30 s", seconds < 30);
}

} // namespace

void measure_studies() {
    measure_sweeps();
    measure_search();
    measure_tolerance();
}
