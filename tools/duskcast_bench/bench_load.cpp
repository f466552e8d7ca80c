// The circuit of a large property, and runs proposed for it.

#include <fmt/format.h>

#include "bench.hpp"
#include "duskcast/power/load.hpp"
#include "duskcast/power/route.hpp"

using namespace duskcast;

namespace {

/// 200 lamps of 3 W on ten runs of 20, 1 m apart.
Site make_property() {
    Site site;
    site.lamps = {{.id = "led",
                   .figures = {.lumens = 400, .beam_angle = radians_from_degrees(36)},
                   .watts = 3,
                   .power_factor = 0.75}};
    Network& network = site.network.emplace();
    network.transformers = {{.id = "T1", .rating = 1200, .taps = {12, 13, 14, 15}}};
    for (int r = 0; r < 10; ++r) {
        network.runs.push_back({.id = fmt::format("r{}", r)});
        for (int i = 0; i < 20; ++i) {
            Fixture fixture{.id = fmt::format("F{}", 20 * r + i), .lamp = "led"};
            fixture.at = glm::dvec2(1.0 * (i + 1), 1.5 * r);
            network.runs.back().fixtures.push_back(fixture.id);
            site.fixtures.push_back(fixture);
        }
    }
    return site;
}

} // namespace

void measure_loads() {
    const Site site = make_property();
    std::size_t found = 0;
    const double solve = best_seconds(5, [&] {
        found = 0;
        for (const RunLoad& run : measure_load(site, ".", {}).runs)
            found += run.is_found ? 1 : 0;
    });
    print_row(fmt::format("Circuit of 200 fixtures on 10 runs, {} with an operating point", found),
              fmt::format("{:.1f} ms", 1e3 * solve), "under 10 ms", solve < 0.01);
    const double route = best_seconds(1, [&] { propose_network(site, ".", {}); });
    print_row("Runs proposed for 200 fixtures", fmt::format("{:.2f} s", route), "under 2 s", route < 2);
}
