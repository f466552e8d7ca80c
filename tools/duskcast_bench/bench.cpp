// Speed and memory as ratios within one run. Every figure is the best of several repeats, so that a busy
// machine spoils none of them alone.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <string>
#include <vector>

#include "bare_scene.hpp"
#include "bench.hpp"
#include "duskcast/photometry/lm63.hpp"

using namespace duskcast;

namespace {

Foliage foliage_of(const Tree& tree, double leaves) {
    Foliage foliage;
    foliage.leaf_size = 0.2;
    foliage.leaf_area_density = leaves * leaf_area(foliage.leaf_size) / crown_volume(tree);
    return foliage;
}

/// A two-gable front with windows and eaves, and two 20 m crowns of `leaves` leaves each.
} // namespace

Site make_site(double wall_sensors, double leaves, int leaf_sensors) {
    Site site;
    site.name = "bench";
    site.ground_spacing = 2;
    site.leaf_sensors = leaf_sensors;
    Wall wall;
    wall.id = "front";
    wall.path = {{0, 0}, {40, 0}};
    wall.height = 6;
    wall.gables = {{"left", 2, 14, 12}, {"right", 22, 16, 13}};
    wall.eave = Eave{.depth = 0.5};
    for (int i = 0; i < 8; ++i)
        wall.openings.push_back(
            {.id = fmt::format("w{}", i), .from = 2.5 + 4.6 * i, .width = 1.2, .sill = 1, .height = 1.5});
    const double area = 40 * 6 + 14 * 6 / 2 + 16 * 7 / 2 - 8 * 1.8;
    site.sensor_spacing = std::sqrt(area / wall_sensors);
    site.walls = {wall};
    for (const double x : {8.0, 32.0}) {
        Tree tree;
        tree.id = fmt::format("tree{}", site.trees.size());
        tree.at = {x, -18};
        tree.height = 20;
        tree.base = 4;
        tree.width = 16;
        tree.foliage = foliage_of(tree, leaves);
        site.trees.push_back(tree);
    }
    return site;
}

namespace {

/// The sensors of some surfaces, on their own.
Sensors copy_sensors(const Stage& stage, std::uint32_t first, std::uint32_t count) {
    Sensors sensors;
    for (std::uint32_t i = first; i < first + count; ++i)
        sensors.add(stage.sensors.position(i), stage.sensors.normal(i), stage.sensors.area[i]);
    return sensors;
}

/// The rays that a Sight needs at the least: four a facing sensor.
std::vector<Ray> make_rays(const Sensors& sensors, const Lens& lens) {
    std::vector<Ray> rays;
    for (std::size_t i = 0; i < sensors.size(); ++i) {
        const glm::vec3 normal = sensors.normal(i);
        const glm::vec3 origin = step_off(sensors.position(i), normal);
        if (glm::dot(lens.centre - origin, normal) <= 0)
            continue;
        for (int spot = 0; spot < 4; ++spot)
            rays.push_back(make_shadow_ray(origin, lens_spot(lens, origin, spot)));
    }
    return rays;
}

IntensityTable make_symmetric() {
    return IntensityTable(make_distribution({.lumens = 300, .beam_angle = radians_from_degrees(36)}),
                          Shield{});
}

/// The same lamp as a full C-gamma table with planes that differ.
IntensityTable make_oval() {
    Distribution oval;
    const Distribution round = make_distribution({.lumens = 300, .beam_angle = radians_from_degrees(36)});
    oval.gamma = round.gamma;
    for (int plane = 0; plane <= 24; ++plane) {
        oval.c.push_back(2 * pi * plane / 24);
        for (const double candela : round.candela)
            oval.candela.push_back(candela * (1 + 0.3 * std::cos(2 * oval.c.back())));
    }
    return IntensityTable(oval, Shield{});
}

void compare_with_bare(const char* name, const Stage& stage, const Sensors& sensors, std::uint32_t first_leaf,
                       const Lens& lens) {
    const BareScene bare(stage);
    const std::vector<Ray> rays = make_rays(sensors, lens);
    const bool is_coherent = first_leaf > 0;
    const double single = static_cast<double>(rays.size()) / bare.trace(rays, 1, is_coherent);
    const double stream = static_cast<double>(rays.size()) / bare.trace(rays, 256, is_coherent);
    Sight sight;
    const double seconds = best_seconds(3, [&] { sight = trace_sight(stage, sensors, first_leaf, lens); });
    const double ours = static_cast<double>(sight.rays) / seconds;
    fmt::print(
        "{}: {} sensors, {} rays; Mrays/s: Sight {:.1f}, bare single-ray loop {:.1f}, bare streams {:.1f}\n",
        name, sensors.size(), sight.rays, ours / 1e6, single / 1e6, stream / 1e6);
    print_row(fmt::format("  Sight on the {} against the bare single-ray loop", name),
              fmt::format("{:.2f}", ours / single), "at least 0.60", ours >= 0.6 * single);
    print_row(fmt::format("  Sight on the {} against the bare stream loop", name),
              fmt::format("{:.2f}", ours / stream), "at least 0.60", ours >= 0.6 * stream);
}

void compare_aiming(const Stage& stage, const Sensors& sensors, const Lens& lens) {
    Sight sight;
    const double trace = best_seconds(
        3, [&] { sight = trace_sight(stage, sensors, static_cast<std::uint32_t>(sensors.size()), lens); });
    std::vector<float> layer(sensors.size());
    const auto seconds_for = [&](const IntensityTable& table) {
        return best_seconds(30, [&] { evaluate_layer(sight, sensors, Aim{.tilt = 0.1}, table, 1, layer); });
    };
    const double symmetric = seconds_for(make_symmetric());
    const double oval = seconds_for(make_oval());
    const double bytes = static_cast<double>(sight.transfer.size() * sizeof(float) +
                                             sight.near_sensor.size() * sizeof(std::uint32_t) +
                                             4 * sight.near_transfer.size() * sizeof(float)) /
                         static_cast<double>(sensors.size());
    print_row("Re-aiming against tracing the Sight, symmetric lamp",
              fmt::format("{:.0f} x", trace / symmetric), "at least 50 x", trace >= 50 * symmetric);
    print_row("Re-aiming against tracing the Sight, C-gamma table", fmt::format("{:.0f} x", trace / oval),
              "at least 30 x", trace >= 30 * oval);
    print_row("Memory a fixture and sensor", fmt::format("{:.2f} bytes", bytes), "under 8", bytes < 8);
}

/// A fixture turned to and fro, the sum of all light kept up to date.
void compare_tables(const Stage& stage, const Lens& lens) {
    const auto seconds_for = [&](const IntensityTable& table) {
        LitFixture fixture;
        fixture.lens = lens;
        fixture.table = table;
        Lighting lighting = trace_lighting(stage, {fixture});
        double tilt = 0;
        return best_seconds(30, [&] { change_aim(lighting, 0, Aim{.tilt = tilt += 0.01}); });
    };
    const double ratio = seconds_for(make_oval()) / seconds_for(make_symmetric());
    print_row("Re-aiming with a full C-gamma table against a symmetric one", fmt::format("{:.2f} x", ratio),
              "at most 2 x", ratio <= 2);
}

/// A type C file without symmetry, every degree of gamma and half degree of C: 1 MB.
std::string make_lm63_text() {
    std::string text =
        "IES:LM-63-2019\r\n[TEST] 1\r\n[TESTLAB] bench\r\n[ISSUEDATE] 01-JAN-2024\r\n"
        "[MANUFAC] Sample Works\r\nTILT=NONE\r\n1 20000 1 181 721 1 2 0 0 0\r\n1 1.00001 5\r\n";
    for (int gamma = 0; gamma <= 180; ++gamma)
        text += fmt::format("{}{}", gamma, gamma % 20 == 19 || gamma == 180 ? "\r\n" : " ");
    for (int half = 0; half <= 720; ++half)
        text += fmt::format("{}{}", half / 2.0, half % 20 == 19 || half == 720 ? "\r\n" : " ");
    for (int half = 0; half <= 720; ++half)
        for (int gamma = 0; gamma <= 180; ++gamma) {
            const double oval = 1 + 0.3 * std::sin(gamma * pi / 180) * std::cos(half * pi / 360);
            text += fmt::format("{:.3f}{}", 50 * oval * (181 - gamma) / 9,
                                gamma % 12 == 11 || gamma == 180 ? "\r\n" : " ");
        }
    return text;
}

void measure_lm63() {
    const std::string text = make_lm63_text();
    const double seconds = best_seconds(10, [&] { read_lm63(text, "bench.ies"); });
    print_row(fmt::format("Reading an LM-63 file of {:.2f} MB", static_cast<double>(text.size()) / 1e6),
              fmt::format("{:.1f} ms", 1e3 * seconds), "under 50 ms", seconds < 0.05);
}

/// Slope of log cost over log size, by least squares.
double exponent(const std::vector<double>& sizes, const std::vector<double>& costs) {
    double sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::size_t i = 0; i < sizes.size(); ++i) {
        const double x = std::log(sizes[i]);
        const double y = std::log(costs[i]);
        sx += x, sy += y, sxx += x * x, sxy += x * y;
    }
    const auto n = static_cast<double>(sizes.size());
    return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

void measure_growth(const Lens& lens) {
    std::vector<double> sizes, costs;
    for (const double sensors : {25e3, 100e3, 400e3}) {
        const auto stage = build_stage(make_site(sensors, 100e3, 100), {});
        const Surface& wall = stage->surfaces[stage->find_surface("front")];
        const Sensors own = copy_sensors(*stage, wall.first, wall.count);
        sizes.push_back(static_cast<double>(own.size()));
        costs.push_back(best_seconds(3, [&] { trace_sight(*stage, own, wall.count, lens); }));
    }
    const double by_sensors = exponent(sizes, costs);
    print_row("Cost against sensors (x 4, x 16): exponent", fmt::format("{:.2f}", by_sensors), "about 1",
              std::abs(by_sensors - 1) < 0.15);

    sizes.clear(), costs.clear();
    const auto stage = build_stage(make_site(50e3, 100e3, 100), {});
    for (const int count : {2, 8, 32}) {
        std::vector<LitFixture> fixtures(count);
        for (int i = 0; i < count; ++i) {
            fixtures[i].lens = lens;
            fixtures[i].lens.centre.x = 1.0f + 38.0f * static_cast<float>(i) / static_cast<float>(count);
            fixtures[i].table = make_symmetric();
        }
        sizes.push_back(count);
        costs.push_back(best_seconds(2, [&] { trace_lighting(*stage, fixtures); }));
    }
    const double by_fixtures = exponent(sizes, costs);
    print_row("Cost against fixtures (x 4, x 16): exponent", fmt::format("{:.2f}", by_fixtures), "about 1",
              std::abs(by_fixtures - 1) < 0.15);

    sizes.clear(), costs.clear();
    for (const double leaves : {5e3, 50e3, 500e3, 2e6}) {
        // The crowns keep their leaf area: more leaves are smaller ones.
        Site site = make_site(50e3, leaves, 5000);
        for (Tree& tree : site.trees) {
            tree.foliage.leaf_size = 0.2 * std::sqrt(100e3 / leaves);
            tree.foliage.leaf_area_density = leaves * leaf_area(tree.foliage.leaf_size) / crown_volume(tree);
        }
        const auto grown = build_stage(site, {});
        Lens away = lens; // among the trees, so that the light goes through leaves
        away.centre = {20, -18, 0.15f};
        sizes.push_back(static_cast<double>(grown->leaves.size()));
        costs.push_back(best_seconds(5, [&] { trace_sight(*grown, away); }));
    }
    const double by_facets = exponent(sizes, costs);
    print_row("Cost against facets (10k to 4M): exponent", fmt::format("{:.2f}", by_facets), "under 0.3",
              by_facets < 0.3);
}

} // namespace

int main(int argc, char** argv) {
    const std::string part = argc > 1 ? argv[1] : "";
    if (part == "rays") {
        measure_rays();
        return 0;
    }
    if (part == "studies") {
        measure_studies();
        measure_loads();
        return 0;
    }
    measure_large_site(); // first, while the process is small
    measure_bounce();
    measure_views();
    measure_lm63();
    const Lens lens{.centre = {20, -0.4f, 0.15f}, .diameter = 0.05f};
    {
        const auto stage = build_stage(make_site(200e3, 100e3, 50'000), {});
        const Surface& wall = stage->surfaces[stage->find_surface("front")];
        const Sensors on_wall = copy_sensors(*stage, wall.first, wall.count);
        compare_with_bare("wall", *stage, on_wall, wall.count, lens);
        const auto leaf_count = static_cast<std::uint32_t>(stage->sensors.size()) - stage->first_leaf_sensor;
        const Sensors on_leaves = copy_sensors(*stage, stage->first_leaf_sensor, leaf_count);
        Lens among = lens;
        among.centre = {14, -14, 0.15f};
        compare_with_bare("leaves", *stage, on_leaves, 0, among);
        compare_aiming(*stage, on_wall, lens);
        compare_tables(*stage, lens);
    }
    measure_growth(lens);
    measure_rays();
    measure_studies();
    measure_loads();
    return 0;
}
