// Sights and bounce against the path-traced reference on the demo scenes. Both know the scene and the lamps;
// they share no estimator. The maple of front-walk falls short of 95 %: a lamp hangs 3 cm from one of its
// leaves, a light so small and bright that 2000 paths seldom find it. So does the oak of broad-oak: most of
// its leaves see neither lamp nor sky, and what little they get is found by few rays.

#include <algorithm>
#include <array>
#include <cmath>
#include <doctest/doctest.h>
#include <functional>
#include <string>

#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/measure/stats.hpp"

using namespace duskcast;

namespace {

/// How far the mean light on a crown's leaves is off in bands of its height, as a share: root mean square
/// over the bands, the reference's own errors taken off.
double off_by_bands(const Stage& stage, const Surface& crown, const std::vector<double>& total,
                    const std::vector<ReferenceLight>& reference) {
    constexpr int bands = 4;
    float low = 1e9f, high = -1e9f;
    for (std::uint32_t i = crown.first; i < crown.first + crown.count; ++i) {
        low = std::min(low, stage.sensors.position(i).z);
        high = std::max(high, stage.sensors.position(i).z);
    }
    std::array<double, bands> ours{}, theirs{}, variance{};
    for (const ReferenceLight& light : reference) {
        if (light.sensor < crown.first || light.sensor >= crown.first + crown.count)
            continue;
        const float up = (stage.sensors.position(light.sensor).z - low) / (high - low);
        const int band = std::min(bands - 1, static_cast<int>(bands * up));
        const auto area = static_cast<double>(stage.sensors.area[light.sensor]);
        ours[band] += area * total[light.sensor];
        theirs[band] += area * (light.direct_lx + light.bounced_lx);
        variance[band] += std::pow(area * light.standard_error_lx, 2);
    }
    double sum = 0;
    for (int band = 0; band < bands; ++band) {
        REQUIRE(theirs[band] > 0);
        sum += (std::pow(ours[band] - theirs[band], 2) - variance[band]) / std::pow(theirs[band], 2);
    }
    return std::sqrt(std::max(0.0, sum / bands));
}

} // namespace

TEST_CASE("the demo scenes agree with the reference") {
    struct Scene {
        std::string name;
        std::uint32_t every; ///< so many sensors
        int paths;           ///< a sensor
        double agreeing;     ///< share that must; 0.95 is aimed at
    };
    // Behind the house of two-gables spots on the underside of its roof light the ground with some 0.01 lx.
    // Few paths find them, and where none does the standard error does not tell.
    for (const Scene& scene : {Scene{"two-gables", 13, 8000, 0.95}, Scene{"broad-oak", 19, 2000, 0.93},
                               Scene{"front-walk", 17, 2000, 0.91}, Scene{"cottage", 151, 2000, 0.94}}) {
        const SiteFile file = read_site_file(std::string(DUSKCAST_SOURCE_DIR) + "/scenes/" + scene.name +
                                             "/" + scene.name + ".site.json");
        const auto stage = build_stage(file.site, file.folder());
        Lighting lighting = trace_lighting(*stage, make_fixtures(file.site, file.folder()));
        constexpr double ambient = 0.05; // a little, so that the sky is compared as well
        add_bounce(set_up_bounce(*stage, lighting.fixtures, ambient), lighting);
        CHECK(std::none_of(lighting.bounced_lx.begin(), lighting.bounced_lx.end(),
                           [](double lux) { return lux < 0; }));
        std::vector<double> total = lighting.direct_lx;
        std::transform(total.begin(), total.end(), lighting.bounced_lx.begin(), total.begin(), std::plus<>());
        std::vector<std::uint32_t> sensors;
        for (std::uint32_t i = scene.every / 2; i < stage->sensors.size(); i += scene.every)
            sensors.push_back(i);
        const auto reference =
            trace_reference(*stage, lighting.fixtures, {.paths = scene.paths, .ambient = ambient}, sensors);
        double ours = 0, theirs = 0, agreeing = 0;
        for (const ReferenceLight& light : reference) {
            ours += total[light.sensor] * static_cast<double>(stage->sensors.area[light.sensor]);
            theirs +=
                (light.direct_lx + light.bounced_lx) * static_cast<double>(stage->sensors.area[light.sensor]);
        }
        MESSAGE(scene.name, ": ", sensors.size(), " sensors, area mean off by ", 100 * (ours / theirs - 1),
                " %");
        CHECK(std::abs(ours / theirs - 1) < 0.01);
        for (const Agreement& row : compare_with_reference(*stage, total, reference)) {
            const Surface& surface = stage->surfaces[row.surface];
            MESSAGE("  ", surface.id, ": ", row.sensors, " sensors, ", row.total_lx, " lx by ours, ",
                    row.reference_lx, " +- ", row.standard_error_lx, " by paths, ", 100 * row.agreeing,
                    " % agree");
            agreeing += row.agreeing * static_cast<double>(row.sensors);
            if (row.sensors < 30)
                continue;
            CAPTURE(surface.id);
            if (surface.first >= stage->first_leaf_sensor) {
                const double off = off_by_bands(*stage, surface, total, reference);
                MESSAGE("  ", surface.id, " by bands of its height: ", 100 * off, " % rms");
                CHECK(off < 0.05);
            }
            // Two errors that know nothing of each other: ours, of which 1 % is allowed, and the reference's.
            // The bed under the oak is lit by the parts of leaves that the lamps see, and a patch of leaves
            // is taken to be lit evenly: over all of its sensors it gets 3 % too little.
            const double own_error = surface.id == "oak-bed" ? 0.03 : 0.01;
            CHECK(std::abs(row.total_lx - row.reference_lx) <
                  std::hypot(own_error * row.reference_lx, 3 * row.standard_error_lx));
            CHECK(row.agreeing >= (surface.id == "maple" ? 0.8 : surface.id == "oak" ? 0.85 : 0.9));
        }
        agreeing /= static_cast<double>(sensors.size());
        MESSAGE("  all: ", 100 * agreeing, " % agree");
        CHECK(agreeing >= scene.agreeing);
        CHECK(lighting.energy.absorbed + lighting.energy.sky + lighting.energy.lost ==
              doctest::Approx(lighting.energy.emitted).epsilon(5e-3));
    }
}
