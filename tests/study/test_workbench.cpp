// A workbench gives what single runs give, and traces no more than it must.

#include <doctest/doctest.h>

#include "duskcast/light/solve_bounce.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

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
