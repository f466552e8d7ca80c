// Rays of our own beside bare Embree's, the same rays on one thread within one run.

#include <cmath>
#include <tbb/global_control.h>
#include <vector>

#include "bare_scene.hpp"
#include "bench.hpp"
#include "duskcast/light/first_hits.hpp"
#include "duskcast/stage/facet_tree.hpp"

using namespace duskcast;

namespace {

const char* name_of(Instructions instructions) {
    return instructions == Instructions::avx2   ? "AVX2"
           : instructions == Instructions::base ? "SSE2"
                                                : "scalar";
}

FacetTree make_tree(const Stage& stage, Instructions instructions) {
    return FacetTree(stage.opaque, stage.cutouts, stage.leaves, stage.materials, stage.textures,
                     instructions);
}

double best_milliseconds(int repeats, const std::function<void()>& work) {
    return 1e3 * best_seconds(repeats, work, processor_seconds);
}

/// What Sights look at, with fine shadows.
constexpr SpotPlan flat_plan{4, 16, 80, true, Coherence::coherent};
constexpr SpotPlan leaf_plan{16, 16, 80, true, Coherence::incoherent};

MakeSpots make_spots_of(const Lens& lens, const std::vector<SpotSensor>& sensors) {
    return [lens, &sensors](std::size_t sensor, int from, int to, float* x, float* y, float* z) {
        for (int i = from; i < to; ++i) {
            const glm::vec3& origin = sensors[sensor].origin;
            const glm::vec3 way = lens_spot(lens, origin, i) - origin;
            x[i - from] = way.x, y[i - from] = way.y, z[i - from] = way.z;
        }
    };
}

/// Sensors first..last-1 that face the lens and are not close to it.
std::vector<SpotSensor> find_facing(const Sensors& sensors, std::size_t first, std::size_t last,
                                    const Lens& lens) {
    std::vector<SpotSensor> facing;
    for (std::size_t i = first; i < last; ++i) {
        const glm::vec3 way = lens.centre - sensors.position(i);
        const float distance = glm::length(way);
        if (glm::dot(way, sensors.normal(i)) > 0 && distance > Sight::near_range * lens.diameter)
            facing.push_back({step_off(sensors.position(i), sensors.normal(i)), end_before(distance)});
    }
    return facing;
}

struct SensorLook {
    SpotPlan plan;
    std::vector<SpotSensor> sensors;
    std::vector<SpotsSeen> seen;
};

/// Milliseconds for all looks by our own kernel.
double trace_own(const FacetTree& tree, const Lens& lens, std::vector<SensorLook>& looks) {
    const SpotBounds bounds = spot_bounds(lens);
    for (SensorLook& look : looks)
        look.seen.resize(look.sensors.size());
    return best_milliseconds(7, [&] {
        for (SensorLook& look : looks)
            tree.find_visible(bounds, {&look.plan, 1}, make_spots_of(lens, look.sensors), look.sensors,
                              look.seen);
    });
}

/// Milliseconds for the same rays by Embree's streams.
double trace_bare(const BareScene& bare, const Lens& lens, const std::vector<SensorLook>& looks) {
    double sum = 0;
    for (const SensorLook& look : looks) {
        std::vector<Ray> rays;
        const auto add = [&](const SpotSensor& sensor, int from, int to) {
            for (int i = from; i < to; ++i)
                rays.push_back(make_ray(sensor.origin, lens_spot(lens, sensor.origin, i), sensor.far_end));
        };
        for (const SpotSensor& sensor : look.sensors)
            add(sensor, 0, look.plan.pilots);
        const std::size_t pilots = rays.size();
        for (std::size_t i = 0; i < look.sensors.size(); ++i)
            if (look.seen[i].samples != look.plan.pilots)
                add(look.sensors[i], look.plan.from, look.plan.to);
        const std::vector<Ray> more(rays.begin() + static_cast<std::ptrdiff_t>(pilots), rays.end());
        rays.resize(pilots);
        const bool is_coherent = look.plan.coherence == Coherence::coherent;
        sum += bare.trace(rays, 256, is_coherent, processor_seconds) +
               bare.trace(more, 256, is_coherent, processor_seconds);
    }
    return 1e3 * sum;
}

struct Asked {
    double own_ms[2]; ///< SSE2, AVX2; 0: not asked for
    double gain[2];   ///< over bare Embree, likewise
};

void print_asked(const std::string& what, double own, double bare, double allowed, double gain) {
    const double ratio = bare / own;
    std::string wanted;
    if (allowed > 0)
        wanted = fmt::format("{:.0f} ms", allowed);
    if (gain > 0)
        wanted += fmt::format("{}{:.0f} x", wanted.empty() ? "" : ", ", gain);
    print_row(what, fmt::format("{:.2f} ms, {:.1f} x", own, ratio), wanted,
              (allowed == 0 || own <= allowed) && ratio >= gain);
}

void compare_sensors(const std::string& what, const Stage& stage, const BareScene& bare, const Lens& lens,
                     std::vector<SensorLook> looks, const Asked& asked) {
    double bare_ms = 0;
    for (const Instructions instructions : find_instructions()) {
        if (instructions == Instructions::scalar)
            continue;
        const FacetTree tree = make_tree(stage, instructions);
        const double own = trace_own(tree, lens, looks);
        if (bare_ms == 0)
            bare_ms = trace_bare(bare, lens, looks);
        const int which = instructions == Instructions::avx2 ? 1 : 0;
        print_asked(fmt::format("{}, {}", what, name_of(instructions)), own, bare_ms, asked.own_ms[which],
                    asked.gain[which]);
    }
}

std::vector<SensorLook> look_at_all(const Stage& stage, const Lens& lens) {
    return {{flat_plan, find_facing(stage.sensors, 0, stage.first_leaf_sensor, lens), {}},
            {leaf_plan, find_facing(stage.sensors, stage.first_leaf_sensor, stage.sensors.size(), lens), {}}};
}

void compare_landing(const std::string& what, const Stage& stage, const BareScene& bare,
                     const std::vector<Lens>& lenses) {
    const std::vector<glm::vec3> directions(lens_directions().begin(), lens_directions().end());
    const DirectionGrid grid(directions);
    double bare_ms = 0;
    for (const Lens& lens : lenses)
        bare_ms +=
            1e3 * bare.trace_hits(first_hit_origin(lens), directions) / static_cast<double>(lenses.size());
    std::vector<Hit> hits(directions.size());
    for (const Instructions instructions : find_instructions()) {
        if (instructions == Instructions::scalar)
            continue;
        const FacetTree tree = make_tree(stage, instructions);
        double own = 0;
        for (const Lens& lens : lenses)
            own += best_milliseconds(
                       5, [&] { tree.find_hits(first_hit_origin(lens), grid, surface_offset, 1e5f, hits); }) /
                   static_cast<double>(lenses.size());
        print_asked(fmt::format("Landing rays, {}, {}", what, name_of(instructions)), own, bare_ms, 0, 3);
    }
}

std::vector<Lens> lenses_of(const Site& site, const std::filesystem::path& folder) {
    std::vector<Lens> lenses;
    for (const LitFixture& fixture : make_fixtures(site, folder))
        lenses.push_back(fixture.lens);
    return lenses;
}

} // namespace

void measure_rays() {
    const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
    fmt::print(
        "One lens, one thread; beside it bare Embree on the same rays (sensors: streams of 256; landing "
        "rays: single)\n");
    for (const char* name : {"two-gables", "broad-oak", "front-walk"}) {
        const SiteFile file =
            read_site_file(std::string(DUSKCAST_SOURCE_DIR) + "/scenes/" + name + "/" + name + ".site.json");
        const auto stage = build_stage(file.site, file.folder());
        const BareScene bare(*stage);
        const std::vector<Lens> lenses = lenses_of(file.site, file.folder());
        compare_landing(name, *stage, bare, lenses);
        compare_sensors(fmt::format("All sensors of {}", name), *stage, bare, lenses[0],
                        look_at_all(*stage, lenses[0]),
                        name == std::string("broad-oak") ? Asked{{5, 3}, {0, 0}} : Asked{});
    }
    const auto stage = build_stage(make_site(200e3, 100e3, 25'000), {});
    const BareScene bare(*stage);
    const Lens before{.centre = {20, -0.4f, 0.15f}, .diameter = 0.05f};
    const auto on = [&](const Lens& lens, std::size_t first, std::size_t last, const SpotPlan& plan) {
        return std::vector<SensorLook>{{plan, find_facing(stage->sensors, first, last, lens), {}}};
    };
    const std::size_t flat = stage->first_leaf_sensor, all = stage->sensors.size();
    compare_landing("200k leaves and a front", *stage, bare, {before});
    compare_sensors(fmt::format("{}k sensors on walls and ground", flat / 1000), *stage, bare, before,
                    on(before, 0, flat, flat_plan), {{0, 4}, {1, 1}});
    Lens at_face = before;
    at_face.centre = {20, -0.026f, 2.5f};
    compare_sensors("  the lens at the face of the wall", *stage, bare, at_face,
                    on(at_face, 0, flat, flat_plan), {{0, 0}, {1, 1}});
    Lens among = before;
    among.centre = {14, -14, 0.15f};
    compare_sensors(
        fmt::format("{}k leaf sensors among {}k leaves", (all - flat) / 1000, stage->leaves.size() / 1000),
        *stage, bare, among, on(among, flat, all, leaf_plan), {{60, 40}, {8, 12}});
    Lens inside = before;
    inside.centre = {8.5f, -18.3f, 12};
    compare_sensors("  the lens in a crown", *stage, bare, inside, on(inside, flat, all, leaf_plan),
                    {{0, 0}, {0, 8}});
}
