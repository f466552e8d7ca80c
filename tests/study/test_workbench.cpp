// A workbench gives what single runs give, and traces no more than it must.

#include <doctest/doctest.h>

#include "../measure/measure_test.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/study/sweep.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A gabled front with two uplights, a tree with one, a target on each.
Site make_garden() {
    Site site =
        read_site(R"({ "duskcast": 1, "units": "m", "light": "lx", "sensor_spacing": 0.25, "ambient": 0.1,
        "leaf_sensors": 300,
        "walls": [{ "id": "front", "path": [[0, 0], [8, 0]], "height": 3, "finish": "brick red common",
                    "gables": [{ "id": "peak", "from": 2, "width": 4, "peak": 6 }], "eave": { "depth": 0.4 } }],
        "trees": [{ "id": "oak", "at": [4, -8], "height": 6, "base": 2, "width": 4, "leaf_area_density": 0.8,
                    "leaf_size": 0.2 }],
        "lamps": [{ "id": "a", "watts": 4, "lumens": 280, "beam": 36 }, { "id": "b", "watts": 5, "lumens": 400, "beam": 24 },
                  { "id": "c", "watts": 3, "lumens": 200, "beam": [60, 30], "field": [90, 50] }],
        "fixtures": [
          { "id": "U1", "kind": "uplight", "lamp": "a", "wall": "front", "along": 4, "setback": 0.4, "tilt": 8 },
          { "id": "U2", "kind": "uplight", "lamp": "c", "wall": "front", "along": 6.5, "setback": 0.4, "tilt": 20 },
          { "id": "T1", "kind": "uplight", "lamp": "b", "tree": "oak", "bearing": 180, "setback": 1, "tilt": 15 }],
        "targets": [{ "id": "gable", "on": "front", "gable": "peak", "level": "10 lx", "share": 0.5 },
                    { "id": "crown", "on": "oak", "level": "2 lx", "share": 0.3 },
                    { "id": "lawn", "on": "ground", "level": "1 lx", "share": 0.1 }] })",
                  "garden.site.json")
            .site;
    return site;
}

Figures run_singly(const Site& site, bool is_direct_only) {
    const std::unique_ptr<Stage> stage = build_stage(site, ".");
    Lighting lighting = trace_lighting(*stage, make_fixtures(site, "."));
    if (!is_direct_only)
        add_bounce(set_up_bounce(*stage, lighting.fixtures, site.ambient), lighting);
    return figures_of(site, measure_report(site, *stage, lighting), lighting);
}

std::vector<Site> make_variants(const Site& site) {
    std::vector<Site> variants;
    for (const char* text :
         {"a: U1 tilt=4", "b: U1 lamp=b tilt=12; T1 dimming=0.5", "c: U2 setback=0.6 turn=10",
          "d: without U2", "e: U1,U2 spacing=3", "f: T1 bearing=90 beam=40", "g: season=bare"})
        variants.push_back(make_variant(site, read_variant(text, site), "."));
    return variants;
}

} // namespace

TEST_CASE("figures of many variants are those of single runs to the last bit") {
    const std::vector<Site> variants = make_variants(make_garden());
    for (const bool is_direct_only : {true, false}) {
        Workbench bench(".", {.is_direct_only = is_direct_only});
        const std::vector<Figures> figures = bench.measure(variants);
        for (std::size_t i = 0; i < variants.size(); ++i) {
            CAPTURE(i);
            CAPTURE(is_direct_only);
            const Figures single = run_singly(variants[i], is_direct_only);
            for (std::size_t t = 0; t < single.targets.size(); ++t) {
                CAPTURE(single.targets[t].id);
                CHECK(figures[i].targets[t].mean_lx == single.targets[t].mean_lx);
                CHECK(figures[i].targets[t].share == single.targets[t].share);
                CHECK(figures[i].targets[t].hot_lx == single.targets[t].hot_lx);
                CHECK(figures[i].targets[t] == single.targets[t]);
            }
            CHECK(figures[i].reaches == single.reaches);
            CHECK(figures[i].watts == single.watts);
            CHECK(figures[i].spill.emitted_lm == single.spill.emitted_lm);
            CHECK(figures[i].spill.target_lm == single.spill.target_lm);
            CHECK(figures[i].spill.sky_lm == single.spill.sky_lm);
            CHECK(figures[i].spill.sky_bounced_lm == single.spill.sky_bounced_lm);
        }
    }
}

TEST_CASE("other aims and lamps and dimming trace no ray but another place does") {
    const Site site = make_garden();
    Workbench bench(".", {.is_direct_only = true});
    bench.measure({&site, 1});
    const std::uint64_t once = bench.rays();
    CHECK(once > 0);
    std::vector<Site> aims;
    for (int tilt = 0; tilt < 46; ++tilt)
        for (const std::string lamp : {"a", "b", "c"}) {
            const std::string text = "x: all lamp=" + lamp + " tilt=" + std::to_string(tilt) + " dimming=0.7";
            aims.push_back(make_variant(site, read_variant(text, site), "."));
        }
    bench.measure(aims);
    CHECK(bench.rays() == once);
    const Site moved = make_variant(site, read_variant("x: U1 setback=0.5", site), ".");
    bench.measure({&moved, 1});
    CHECK(bench.rays() > once);
    CHECK(bench.rays() < 2 * once); // only the one that moved
}
