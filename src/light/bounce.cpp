#include "duskcast/light/bounce.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/light/first_hits.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "exchange.hpp"
#include "exchange_levels.hpp"
#include "link_sensors.hpp"
#include "patch_tracer.hpp"

namespace duskcast {

namespace {

constexpr std::size_t usual_rays = 6'000'000; // over all patches
constexpr std::size_t most_patches = std::size_t{1} << 20;

int share_rays(std::size_t among, int least, int most) {
    const std::size_t each = usual_rays / std::max<std::size_t>(1, among);
    // In steps, so that a few patches or sensors more leave the rays of the others as they are; rounded up,
    // or a third of the rays would be lost.
    constexpr std::size_t step = 32;
    return static_cast<int>(std::clamp<std::size_t>((each + step - 1) / step * step, least, most));
}

/// How far light is blurred: a share of the harmonic mean distance to what a patch sees, the scale on which
/// bounced light changes (Ward, Rubinstein and Clear 1988), so not at all across a corner's line; along it,
/// where one neighbour is as near to things as the other, by a patch, or noise would mottle the dark foot of
/// a wall.
void link_neighbours(const std::vector<Gathered>& found, Bounce& bounce) {
    constexpr float of_distance = 0.05f;
    constexpr float usual_size = 0.2f; // metres: wide patches have little noise and much to lose
    const Patches& patches = bounce.patches;
    std::vector<std::uint8_t> is_linked(patches.size()); // those have no noise to be blurred away
    for (const std::uint32_t patch : bounce.linked_patch)
        is_linked[patch] = 1;
    // `as_near`: ratio of the mean 1 / distance, itself noisy close to the ground's line.
    const auto put = [&](std::uint32_t a, std::uint32_t b, float as_near) {
        if (b == Patches::none || !(patches.area[a] > 0) || !(patches.area[b] > 0) || is_linked[a] ||
            is_linked[b])
            return;
        const float nearest = std::max(found[a].harmonic, found[b].harmonic);
        const float size = std::max(patches.width[a], patches.width[b]);
        float deviation = nearest > 0 ? of_distance / (nearest * size) : 10.0f; // in patches
        if (nearest < as_near * std::min(found[a].harmonic, found[b].harmonic) && size < usual_size)
            deviation = std::max(deviation, 1.0f);
        const float share = std::min(most_smoothing, deviation * deviation / (2 * smoothing_steps));
        if (share < least_smoothing)
            return;
        const float area = std::min(patches.area[a], patches.area[b]); // so that lumens are kept
        bounce.smoothing.push_back({a, b, share * area / patches.area[a], share * area / patches.area[b]});
    };
    for (std::uint32_t i = 0; i < patches.size(); ++i) {
        put(i, patches.right[i], 1.5f);
        put(i, patches.above[i], 1.25f);
    }
}

/// Called while areas still include what is buried. A leaf half in shadow needs several spots: sensors beside
/// it see no other.
void place_spots(const Stage& stage, std::size_t lenses, Bounce& bounce) {
    const Patches& patches = bounce.patches;
    PatchSpots& spots = bounce.spots;
    const auto count = static_cast<std::uint32_t>(patches.size());
    spots.flat_patches = patches.first_leaf;
    spots.on_leaf = bounce.count_leaf_spots(lenses);
    for (std::uint32_t i = 0; i < count; ++i) {
        const std::uint32_t own = i < spots.flat_patches ? PatchSpots::on_flat : spots.on_leaf;
        for (std::uint32_t k = 0; k < own; ++k) {
            // Stratified by the patch's pieces and in one of the two numbers on a piece.
            const float shift = hash_to_unit(patches.random_seed[i], 5);
            const PatchPoint point =
                patches.point_on(i, wrap_unit(shift + (k + 0.5) / own),
                                 wrap_unit(hash_to_unit(patches.random_seed[i], 6) + k * plastic_step),
                                 wrap_unit(hash_to_unit(patches.random_seed[i], 7) + k * other_plastic_step));
            // In the hole of a cut-out nothing is lit.
            const bool is_hole =
                i < spots.flat_patches && !stage.kernel->find_hit(step_off(point.position, point.normal),
                                                                  -point.normal, 0, 2 * surface_offset);
            spots.sensors.add(point.position, is_hole ? glm::vec3(0) : point.normal, patches.area[i]);
        }
        spots.weight.push_back(1.0f / own);
    }
}

/// The facet a sensor lies on, and from it the patches around.
std::vector<PatchBlend> blend_sensors(const Stage& stage, const Patches& patches) {
    const Sensors& sensors = stage.sensors;
    std::vector<PatchBlend> blends(sensors.size());
    parallel_for(sensors.size(), [&](std::size_t i) {
        Hit hit;
        const glm::vec3 normal = sensors.normal(i);
        if (i >= stage.first_leaf_sensor) {
            hit.kind = FacetKind::leaf;
            hit.facet = stage.leaf_of_sensor[i - stage.first_leaf_sensor];
        } else {
            hit =
                stage.kernel->find_hit(step_off(sensors.position(i), normal), -normal, 0, 3 * surface_offset);
        }
        blends[i] = patches.blend_at(hit, sensors.position(i), normal);
    });
    return blends;
}

} // namespace

std::unique_ptr<Bounce> trace_bounce(const Stage& stage, const BounceOptions& options,
                                     const Progress& progress) {
    auto bounce = std::make_unique<Bounce>(Bounce{.patches = Patches(stage, options.patches), .tree = {}});
    Patches& patches = bounce->patches;
    if (patches.size() > most_patches)
        throw InputError(Problem{.what = "the site is too large for bounced light: over a million patches",
                                 .remedy = "leave out meshes that carry no light"});
    const PatchTracer tracer(stage, patches);
    const int rays = options.rays > 0 ? options.rays : share_rays(patches.size(), 128, 1024);
    std::vector<Gathered> found(patches.size());
    std::atomic<std::size_t> done{0};
    parallel_for(found.size(), [&](std::size_t i) {
        const auto patch = static_cast<std::uint32_t>(i);
        const bool is_coarse = patches.width[i] > 2 * options.patches.size;
        // A leaf's own error is lost among the many leaves that anything sees.
        if (patches.area[i] > 0)
            found[i] = tracer.trace(patch, rays / (patches.is_leaf(patch) ? 8 : is_coarse ? 4 : 1));
        if (const std::size_t now = ++done; progress && now % 1024 == 0)
            progress(static_cast<double>(now) / static_cast<double>(found.size()));
    });
    for (std::uint32_t i = 0; i < patches.first_leaf; ++i)
        patches.reflectance[i] = found[i].reflectance;
    place_spots(stage, options.lenses, *bounce);
    link_sensors(found, options.rays, options.use, *bounce);
    for (std::size_t i = 0; i < found.size(); ++i) {
        patches.area[i] *= found[i].open;
        bounce->spots.weight[i] /= std::max(found[i].open, 1e-6f);
    }
    build_exchange(found, *bounce);
    link_neighbours(found, *bounce);
    patches.drop_tracing();
    bounce->tree.drop_tracing();
    if (options.use == BounceUse::figures)
        bounce->sensors = blend_sensors(stage, patches);
    return bounce;
}

std::vector<double> bounced_on_planes(const Bounce& bounce, const BouncedState& state,
                                      const Sensors& planes) {
    const DirectionGrid& rays = lens_direction_grid();
    std::vector<Hit> hits(lens_direction_count);
    std::vector<double> sent(hits.size()); // lm/m2 of what each direction meets
    std::vector<double> lux(planes.size());
    for (std::size_t first = 0, last = 0; first < planes.size(); first = last) {
        const glm::vec3 position = planes.position(first);
        while (last < planes.size() && planes.position(last) == position)
            ++last;
        bounce.patches.stage().kernel->find_hits(position, rays, surface_offset, 1e5f, hits);
        parallel_ranges(hits.size(), 4096, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) {
                const glm::vec3 ray = rays.direction(i);
                const std::uint32_t patch =
                    bounce.patches.patch_at(hits[i], position + hits[i].distance * ray, ray);
                sent[i] = !hits[i]                 ? (ray.z > 0 ? state.ambient : 0)
                          : patch != Patches::none ? luminance_of(state.sent[patch].rgb())
                                                   : 0;
            }
        });
        parallel_for(last - first, [&](std::size_t k) {
            const glm::vec3 normal = planes.normal(first + k);
            double sum = 0;
            for (std::size_t i = 0; i < sent.size(); ++i)
                sum += sent[i] * static_cast<double>(std::max(0.0f, glm::dot(normal, rays.direction(i))));
            lux[first + k] = 4 * sum / lens_direction_count; // all round are 4 pi, and M / pi is a luminance
        });
    }
    return lux;
}

std::uint32_t Bounce::count_leaf_spots(std::size_t lenses) const {
    constexpr std::uint64_t over_all_lenses = 4'000'000;
    const std::uint64_t traced =
        std::max<std::uint64_t>(1, std::uint64_t{lenses} * (patches.size() - spots.flat_patches));
    return static_cast<std::uint32_t>(
        std::clamp<std::uint64_t>(over_all_lenses / traced, 1, std::uint64_t{PatchSpots::on_flat}));
}

std::size_t LinkedSensors::bytes() const {
    return (sensor.size() + row.size()) * sizeof(sensor[0]) + links.bytes() +
           between.size() * sizeof(SensorBetween);
}

std::size_t Bounce::bytes() const {
    const auto bytes_of = [](const auto&... vectors) {
        return (... + (vectors.size() * sizeof(vectors[0])));
    };
    return bytes_of(link, row, balance, sky, lost, smoothing, linked_patch, spots.weight, patches.area,
                    patches.reflectance, patches.leaf_transmittance) +
           tree.bytes() + patch_links.bytes() + from_flat_parts.bytes() + from_rest.bytes();
}

} // namespace duskcast
