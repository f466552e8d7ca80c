// Bounced light: the operator, lighting again, and the path tracer at equal error; views; a large site.

#include <cmath>
#include <filesystem>
#include <tbb/global_control.h>
#include <vector>
#ifdef __linux__
#include <sys/resource.h>
#endif

#include "bench.hpp"
#include "duskcast/light/reference.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/view/view_trace.hpp"

using namespace duskcast;

namespace {

/// Greatest memory of the process so far; 0 where the system is not asked.
double peak_gigabytes() {
#ifdef __linux__
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_maxrss) / 1e6; // counted in kB
#else
    return 0;
#endif
}

struct Scene {
    SiteFile file;
    std::unique_ptr<Stage> stage;
    std::vector<LitFixture> fixtures;
};

Scene read_scene(const std::string& name) {
    Scene scene;
    scene.file =
        read_site_file(std::string(DUSKCAST_SOURCE_DIR) + "/scenes/" + name + "/" + name + ".site.json");
    scene.stage = build_stage(scene.file.site, scene.file.folder());
    scene.fixtures = make_fixtures(scene.file.site, scene.file.folder());
    return scene;
}

void measure_operator(const Scene& scene) {
    const BounceOptions options{.patches = {.size = 0.105, .most_flat = 33000}};
    std::unique_ptr<Bounce> bounce;
    const double trace = best_seconds(2, [&] { bounce = trace_bounce(*scene.stage, options); });
    print_row(fmt::format("Bounce operator of two-gables, {} patches", bounce->patches.size()),
              fmt::format("{:.1f} s", trace), "under 4 s", trace < 4);
    const double megabytes = static_cast<double>(bounce->bytes()) / 1e6;
    print_row("  its memory", fmt::format("{:.1f} MB", megabytes), "under 15 MB", megabytes < 15);
    LensTransports transports;
    for (const LitFixture& fixture : scene.fixtures)
        transports.push_back(
            std::make_shared<LensTransport>(trace_transport(*scene.stage, *bounce, fixture.lens)));
    const std::vector<PatchLight> direct = solve_bounce(*bounce, scene.fixtures, transports, 0).direct;
    const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
    int bounces = 0;
    const double solve = best_seconds(5, [&] { bounces = solve_bounce(*bounce, direct, 0).bounces; });
    // What a solution costs without a single bounce: smoothing, the balance of lumens.
    const std::vector<PatchLight> dark(direct.size());
    const double rest = best_seconds(5, [&] { solve_bounce(*bounce, dark, 0); });
    const double each = 1e3 * (solve - rest) / bounces;
    print_row(fmt::format("  one bounce on one thread, of {}", bounces), fmt::format("{:.1f} ms", each),
              "under 3 ms", each < 3);
}

void measure_lighting_again() {
    const auto stage = build_stage(make_site(200e3, 0, 100), {});
    LitFixture fixture;
    fixture.lens = {.centre = {20, -0.4f, 0.15f}, .diameter = 0.05f};
    fixture.table = IntensityTable(
        make_distribution({.centre_candela = 1200, .beam_angle = radians_from_degrees(24)}), Shield{});
    fixture.lumens = measure_leaving_lumens(fixture);
    Lighting lighting = trace_lighting(*stage, {fixture});
    const BounceSetup setup = set_up_bounce(*stage, lighting.fixtures, 0);
    double tilt = 0;
    const double seconds = best_seconds(20, [&] {
        change_aim(lighting, 0, Aim{.tilt = tilt += 0.01});
        add_bounce(setup, lighting);
    });
    print_row(fmt::format("Direct and bounced light of a new aim, {}k sensors", stage->sensors.size() / 1000),
              fmt::format("{:.0f} ms", 1e3 * seconds), "under 25 ms", seconds < 0.025);
}

/// Root mean square over wall sensors against a long reference, whose own error is taken off.
double rms_error(const std::vector<double>& bounced, const std::vector<ReferenceLight>& reference,
                 const std::vector<ReferenceLight>* paths) {
    double sum = 0;
    for (std::size_t i = 0; i < reference.size(); ++i) {
        const double found = paths ? (*paths)[i].bounced_lx : bounced[reference[i].sensor];
        sum += std::pow(found - reference[i].bounced_lx, 2) - std::pow(reference[i].bounced_error_lx, 2);
    }
    return std::sqrt(std::max(0.0, sum / static_cast<double>(reference.size())));
}

void compare_with_paths(const Scene& scene) {
    const Surface& wall = scene.stage->surfaces[scene.stage->find_surface("front")];
    std::vector<std::uint32_t> sensors;
    for (std::uint32_t i = 0; i < wall.count; i += 8)
        sensors.push_back(wall.first + i);
    const auto reference =
        trace_reference(*scene.stage, scene.fixtures, {.paths = 20000, .seed = 7}, sensors);
    Lighting lighting = trace_lighting(*scene.stage, scene.fixtures);
    BounceSetup setup;
    const double first = best_seconds(1, [&] {
        setup = set_up_bounce(*scene.stage, lighting.fixtures, 0);
        add_bounce(setup, lighting);
    });
    const double error = rms_error(lighting.bounced_lx, reference, nullptr);
    const double again = best_seconds(5, [&] {
        for (LitFixture& fixture : lighting.fixtures) // what is not turned is known already
            fixture.aim.tilt += 1e-3;
        add_bounce(setup, lighting);
    });
    constexpr int paths = 64;
    std::vector<ReferenceLight> traced;
    const double seconds = best_seconds(1, [&] {
        traced = trace_reference(*scene.stage, scene.fixtures, {.paths = paths, .seed = 3}, sensors);
    });
    // The error of paths falls as the root of their number; the operator answers for every sensor.
    const double equal = seconds * std::pow(rms_error({}, reference, &traced) / error, 2) *
                         static_cast<double>(scene.stage->sensors.size()) /
                         static_cast<double>(sensors.size());
    print_row(fmt::format("Bounce against paths of equal error ({:.2f} lx), first state", error),
              fmt::format("{:.0f} x sooner", equal / first), "at least 20 x", equal / first >= 20);
    print_row("  each further state", fmt::format("{:.0f} x sooner", equal / again), "at least 1,000 x",
              equal / again >= 1000);
}

} // namespace

void measure_bounce() {
    const Scene scene = read_scene("two-gables");
    measure_operator(scene);
    measure_lighting_again();
    compare_with_paths(scene);
}

void measure_views() {
    for (const auto& [name, allowed] : {std::pair("two-gables", 15.0), std::pair("broad-oak", 30.0)}) {
        Scene scene = read_scene(name);
        while (scene.fixtures.size() < 8)
            scene.fixtures.push_back(scene.fixtures[scene.fixtures.size() % 2]);
        const Camera camera = make_camera(scene.file.site.views.at(0), 1600, 1000);
        const double seconds = best_seconds(1, [&] {
            const BouncedLight bounced =
                find_bounced_light(set_up_bounce(*scene.stage, scene.fixtures, 0), scene.fixtures);
            trace_view(*scene.stage, scene.fixtures, camera, 0, bounced);
        });
        print_row(fmt::format("View of {}, 1600 x 1000, {} fixtures", name, scene.fixtures.size()),
                  fmt::format("{:.1f} s", seconds), fmt::format("under {:.0f} s", allowed),
                  seconds < allowed);
    }
}

void measure_large_site() {
    const double seconds = best_seconds(1, [] {
        Site site = make_site(20e3, 200e3, 2000);
        for (int i = 0; i < 4; ++i) {
            Tree tree = site.trees[i % 2];
            tree.id = fmt::format("more{}", i);
            tree.at = {20.0 * (i % 2) + 10, -40.0 - 18 * (i / 2)};
            site.trees.push_back(tree);
        }
        const auto stage = build_stage(site, {});
        std::vector<LitFixture> fixtures(60);
        for (int i = 0; i < 60; ++i) {
            fixtures[i].lens = {
                .centre = {0.5f + 0.65f * static_cast<float>(i), i % 2 ? -0.4f : -16.0f, 0.15f},
                .diameter = 0.05f};
            fixtures[i].table = IntensityTable(
                make_distribution({.centre_candela = 1200, .beam_angle = radians_from_degrees(24)}),
                Shield{});
            fixtures[i].lumens = measure_leaving_lumens(fixtures[i]);
        }
        Lighting lighting = trace_lighting(*stage, fixtures);
        add_bounce(set_up_bounce(*stage, lighting.fixtures, 0.1), lighting);
    });
    const double gigabytes = peak_gigabytes();
    print_row("60 fixtures, six trees of 100k leaves: direct and bounced light",
              fmt::format("{:.0f} s, {:.2f} GB", seconds, gigabytes), "60 s, 2 GB",
              seconds < 60 && gigabytes < 2);
}
