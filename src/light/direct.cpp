#include "duskcast/light/direct.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <numeric>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "layer_kernel.hpp"

namespace duskcast {

namespace {

constexpr int pilot_samples = 4;
constexpr int fine_samples = 64;
static_assert(fine_samples <= most_spots);

/// Spots on the unit disk: four squares, the pilots first. Radii and turns are chosen so that the spots have
/// the disk's mean r^2 = 1/2 and mean r^4 = 1/3 (close to the lens they are a quadrature) and, over straight
/// edges of any direction, the least error of the share seen: at most 0.14, 0.04 rms, most of it where the
/// four pilots agree and the edge cuts a corner off. Behind them those for fine shadows, on a sunflower's
/// spiral (Vogel 1979).
const std::array<glm::vec2, Sight::lens_samples + fine_samples> disk_spots = [] {
    struct Square {
        double radius, turn;
    };
    constexpr std::array<Square, 4> squares{
        {{0.8600, 0.0}, {0.3398, 0.3195}, {0.9027, -0.9226}, {0.5745, 1.0826}}};
    std::array<glm::vec2, Sight::lens_samples + fine_samples> made;
    for (int i = 0; i < Sight::lens_samples; ++i) {
        const auto& [radius, turn] = squares[i / 4];
        const double angle = turn + i % 4 * pi / 2;
        made[i] = {static_cast<float>(radius * std::cos(angle)),
                   static_cast<float>(radius * std::sin(angle))};
    }
    for (int i = 0; i < fine_samples; ++i) {
        const double radius = std::sqrt((i + 0.5) / fine_samples), angle = golden_angle * i;
        made[Sight::lens_samples + i] = {static_cast<float>(radius * std::cos(angle)),
                                         static_cast<float>(radius * std::sin(angle))};
    }
    return made;
}();

/// The lens disk as one sensor sees it.
struct LensDisk {
    glm::vec3 centre;
    glm::vec3 across;
    glm::vec3 along;
    float lowest; ///< spots of a lens above ground do not dip into it

    LensDisk(const Lens& lens, const glm::vec3& sensor) : centre(lens.centre), lowest(-1e30f) {
        const float radius = lens.diameter / 2;
        if (lens.is_flush) {
            across = {radius, 0, 0};
            along = {0, radius, 0};
            return;
        }
        const glm::vec3 way = lens.centre - sensor;
        const float level = std::sqrt(way.x * way.x + way.y * way.y);
        const float length = std::sqrt(level * level + way.z * way.z);
        if (level > 1e-6f * length) {
            across = glm::vec3(-way.y, way.x, 0) * (radius / level);
            along = glm::vec3(-way.z * way.x / level, -way.z * way.y / level, level) * (radius / length);
        } else {
            across = {radius, 0, 0};
            along = {0, radius, 0};
        }
        if (lens.centre.z > 0)
            lowest = std::min(2 * surface_offset, lens.centre.z);
    }

    glm::vec3 spot(int index) const {
        const glm::vec2& at = disk_spots[index];
        glm::vec3 point = centre + at.x * across + at.y * along;
        point.z = std::max(point.z, lowest);
        return point;
    }
};

/// A sensor that faces the lens.
struct LitSensor {
    std::uint32_t lot, index;
    float transfer; ///< cos / d^2 with nothing in the way
};

/// Sensors from..to-1 of a lot, by one plan.
struct LookerRange {
    std::uint32_t lot, plan;
    std::size_t from, to;
};

/// Those of the range that face the lens, in their order, and their rays' ends. Near sensors are left to
/// trace_near.
void find_lit(const Sensors& sensors, const LookerRange& range, const Lens& lens, std::vector<LitSensor>& lit,
              std::vector<SpotSensor>& ends) {
    const float near_distance = std::max(Sight::near_range * lens.diameter, 2 * surface_offset);
    for (std::size_t i = range.from; i < range.to; ++i) {
        const glm::vec3 normal = sensors.normal(i);
        const glm::vec3 way = lens.centre - sensors.position(i);
        const float square = glm::dot(way, way);
        const float along_normal = glm::dot(way, normal);
        if (along_normal <= 0 || square < near_distance * near_distance)
            continue;
        const float distance = std::sqrt(square);
        const auto open = static_cast<float>(lens.open_share(-way.z / distance));
        if (open > 0) {
            lit.push_back(
                {range.lot, static_cast<std::uint32_t>(i), open * along_normal / (distance * square)});
            ends.push_back({step_off(sensors.position(i), normal), end_before(distance), range.plan});
        }
    }
}

/// Two plans a lot: off leaves and on them.
std::vector<LookerRange> split_lots(std::span<const Lookers> lots) {
    constexpr std::size_t most = 8192;
    std::vector<LookerRange> ranges;
    for (std::uint32_t lot = 0; lot < lots.size(); ++lot) {
        const std::size_t end = lots[lot].sensors->size(),
                          leaves = std::min<std::size_t>(lots[lot].first_leaf_sensor, end);
        for (std::size_t from = 0, to = 0; from < end; from = to) {
            to = std::min(from < leaves ? leaves : end, from + most);
            ranges.push_back({lot, 2 * lot + (from < leaves ? 0 : 1), from, to});
        }
    }
    return ranges;
}

void trace_far(const Stage& stage, std::span<const Lookers> lots, const Lens& lens,
               std::span<const SpotPlan> plans, std::span<Sight> sights) {
    const std::vector<LookerRange> ranges = split_lots(lots);
    std::vector<std::vector<LitSensor>> lit_of(ranges.size());
    std::vector<std::vector<SpotSensor>> ends_of(ranges.size());
    parallel_for(ranges.size(), [&](std::size_t i) {
        find_lit(*lots[ranges[i].lot].sensors, ranges[i], lens, lit_of[i], ends_of[i]);
    });
    std::vector<LitSensor> lit;
    std::vector<SpotSensor> ends;
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        lit.insert(lit.end(), lit_of[i].begin(), lit_of[i].end());
        ends.insert(ends.end(), ends_of[i].begin(), ends_of[i].end());
    }
    const auto make_spots = [&lens, &ends](std::size_t sensor, int first, int last, float* x, float* y,
                                           float* z) {
        const glm::vec3& origin = ends[sensor].origin;
        const LensDisk disk(lens, origin);
        for (int i = 0; i < last - first; ++i) {
            const glm::vec3 offset = disk.spot(first + i) - origin;
            x[i] = offset.x;
            y[i] = offset.y;
            z[i] = offset.z;
        }
    };
    std::vector<SpotsSeen> seen(lit.size());
    stage.kernel->find_visible(spot_bounds(lens), plans, make_spots, ends, seen);
    for (std::size_t i = 0; i < lit.size(); ++i) {
        Sight& sight = sights[lit[i].lot];
        sight.transfer[lit[i].index] =
            lit[i].transfer * static_cast<float>(seen[i].visible) / static_cast<float>(seen[i].samples);
        sight.rays += static_cast<std::uint64_t>(count_rays(plans[ends[i].plan], seen[i]));
    }
}

/// What a sensor looks at: four spots, on leaves sixteen for fine shadows; where they disagree, more of them.
SpotPlan plan_of(const Lens& lens, Shadows shadows, bool is_on_leaves) {
    const Coherence coherence = is_on_leaves ? Coherence::incoherent : Coherence::coherent;
    if (!(lens.diameter > 0))
        return {1, 0, 0, false, coherence};
    if (shadows == Shadows::usual)
        return {pilot_samples, pilot_samples, Sight::lens_samples, false, coherence};
    return {is_on_leaves ? Sight::lens_samples : pilot_samples, Sight::lens_samples,
            Sight::lens_samples + fine_samples, true, coherence};
}

/// The few sensors close to the lens: every spot has its own distance, cosine and shadow.
void trace_near(const Stage& stage, const Sensors& sensors, Sight& sight) {
    std::atomic<std::uint64_t> rays{0};
    const float range = Sight::near_range * sight.lens.diameter;
    for (std::size_t i = 0; i < sensors.size(); ++i) {
        const glm::vec3 way = sight.lens.centre - sensors.position(i);
        if (glm::dot(way, way) < range * range)
            sight.near_sensor.push_back(static_cast<std::uint32_t>(i));
    }
    const std::size_t spots = sight.near_sensor.size() * Sight::lens_samples;
    for (std::vector<float>* values : {&sight.near_x, &sight.near_y, &sight.near_z, &sight.near_transfer})
        values->assign(spots, 0.0f);
    parallel_for(sight.near_sensor.size(), [&](std::size_t k) {
        const std::size_t i = sight.near_sensor[k];
        const glm::vec3 position = sensors.position(i);
        const glm::vec3 normal = sensors.normal(i);
        const glm::vec3 origin = step_off(position, normal);
        const LensDisk disk(sight.lens, origin);
        std::array<Ray, Sight::lens_samples> cast;
        std::array<std::size_t, Sight::lens_samples> entry_of;
        std::size_t count = 0;
        for (int spot = 0; spot < Sight::lens_samples; ++spot) {
            const glm::vec3 end = disk.spot(spot);
            const glm::vec3 to_spot = end - position;
            const std::size_t entry = k * Sight::lens_samples + spot;
            const glm::vec3 shifted = sight.lens.centre - to_spot;
            sight.near_x[entry] = shifted.x;
            sight.near_y[entry] = shifted.y;
            sight.near_z[entry] = shifted.z;
            const float square = glm::dot(to_spot, to_spot);
            const float distance = std::sqrt(square);
            const float cosine = glm::dot(to_spot, normal) / distance;
            if (!(cosine > 0) || square < 4 * surface_offset * surface_offset)
                continue;
            const auto open = static_cast<float>(sight.lens.open_share(-to_spot.z / distance));
            sight.near_transfer[entry] = open * cosine / square / Sight::lens_samples;
            entry_of[count] = entry;
            cast[count++] = make_ray(origin, end, end_before(distance));
        }
        rays.fetch_add(count, std::memory_order_relaxed);
        stage.kernel->find_occluded(std::span(cast).first(count), Coherence::coherent);
        for (std::size_t r = 0; r < count; ++r)
            if (cast[r].is_occluded())
                sight.near_transfer[entry_of[r]] = 0;
    });
    sight.rays += rays;
}

} // namespace

double Lens::open_share(double up) const {
    if (!is_covered())
        return 1;
    const double zenith = std::acos(std::clamp(up, -1.0, 1.0));
    return visible_share(rim, diameter, zenith) * visible_share(louvre, zenith);
}

std::vector<Sight> trace_sights(const Stage& stage, std::span<const Lookers> lots, const Lens& lens) {
    std::vector<Sight> sights(lots.size());
    std::vector<SpotPlan> plans;
    for (std::size_t i = 0; i < lots.size(); ++i) {
        sights[i].lens = lens;
        sights[i].transfer.assign(lots[i].sensors->size(), 0.0f);
        if (lens.diameter > 0)
            trace_near(stage, *lots[i].sensors, sights[i]);
        for (const bool is_on_leaves : {false, true})
            plans.push_back(plan_of(lens, lots[i].shadows, is_on_leaves));
    }
    trace_far(stage, lots, lens, plans, sights);
    return sights;
}

Sight trace_sight(const Stage& stage, const Sensors& sensors, std::uint32_t first_leaf_sensor,
                  const Lens& lens, Shadows shadows) {
    const Lookers lot{&sensors, first_leaf_sensor, shadows};
    return std::move(trace_sights(stage, {&lot, 1}, lens).front());
}

Lookers lookers_of(const Stage& stage) {
    return {&stage.sensors, stage.first_leaf_sensor, Shadows::fine};
}

Sight trace_sight(const Stage& stage, const Lens& lens) {
    const Lookers lot = lookers_of(stage);
    return std::move(trace_sights(stage, {&lot, 1}, lens).front());
}

glm::vec3 lens_spot(const Lens& lens, const glm::vec3& sensor, int index) {
    return LensDisk(lens, sensor).spot(index);
}

SpotBounds spot_bounds(const Lens& lens) {
    const float radius = lens.diameter / 2;
    if (lens.is_flush)
        return {lens.centre, radius, 0, 0};
    const LensDisk disk(lens, lens.centre);
    return {lens.centre, radius, std::min(radius, lens.centre.z - disk.lowest), radius};
}

namespace {

/// The sensors that have one value for the whole lens.
LayerInput far_input(const Sight& sight, const Sensors& sensors, const Aim& aim,
                     const IntensityTable& table) {
    LayerInput input = make_layer_input(aim, table);
    input.x = sensors.x.data();
    input.y = sensors.y.data();
    input.z = sensors.z.data();
    input.transfer = sight.transfer.data();
    input.lens = sight.lens.centre;
    input.count = sight.transfer.size();
    return input;
}

/// Seen from a spot off the centre is the same as seen from the centre with the sensor shifted back.
/// `put` takes a sensor near the lens and its lux.
template <class Put> void evaluate_near(const Sight& sight, LayerInput input, bool is_symmetric, Put put) {
    std::vector<float> near_lux(sight.near_transfer.size());
    input.x = sight.near_x.data();
    input.y = sight.near_y.data();
    input.z = sight.near_z.data();
    input.transfer = sight.near_transfer.data();
    input.count = near_lux.size();
    (is_symmetric ? evaluate_symmetric : evaluate_table)(input, near_lux.data());
    for (std::size_t k = 0; k < sight.near_sensor.size(); ++k) {
        const float* lux = near_lux.data() + k * Sight::lens_samples;
        put(sight.near_sensor[k], std::accumulate(lux, lux + Sight::lens_samples, 0.0f));
    }
}

} // namespace

void evaluate_layer(const Sight& sight, const Sensors& sensors, const Aim& aim, const IntensityTable& table,
                    double scale, std::span<float> out) {
    if (table.values().empty()) { // a lamp without a distribution gives no light
        std::fill(out.begin(), out.end(), 0.0f);
        return;
    }
    LayerInput input = far_input(sight, sensors, aim, table);
    input.scale = static_cast<float>(scale);
    const auto evaluate = table.is_symmetric() ? evaluate_symmetric : evaluate_table;
    // Element by element: the same bits however the range is split.
    parallel_ranges(out.size(), 16384, [&](std::size_t begin, std::size_t end) {
        LayerInput part = input;
        part.x += begin;
        part.y += begin;
        part.z += begin;
        part.transfer += begin;
        part.count = end - begin;
        evaluate(part, out.data() + begin);
    });
    evaluate_near(sight, input, table.is_symmetric(),
                  [&](std::uint32_t sensor, float lux) { out[sensor] = lux; });
}

void add_layer(const Sight& sight, const Sensors& sensors, const Aim& aim, const IntensityTable& table,
               double scale, std::span<double> sums) {
    if (table.values().empty())
        return;
    LayerInput input = far_input(sight, sensors, aim, table);
    input.scale = static_cast<float>(scale);
    const auto evaluate = table.is_symmetric() ? evaluate_symmetric : evaluate_table;
    constexpr std::size_t block = 256; // so that what is added is still in the nearest cache
    std::array<float, block> lux;
    for (std::size_t from = 0; from < sums.size(); from += block) {
        LayerInput part = input;
        part.x += from;
        part.y += from;
        part.z += from;
        part.transfer += from;
        part.count = std::min(block, sums.size() - from);
        if (std::all_of(part.transfer, part.transfer + part.count, [](float value) { return value == 0; }))
            continue; // in shadow
        evaluate(part, lux.data());
        add_values(lux.data(), part.count, sums.data() + from);
    }
    evaluate_near(sight, input, table.is_symmetric(), [&](std::uint32_t sensor, float near_lux) {
        sums[sensor] += static_cast<double>(near_lux);
    });
}

} // namespace duskcast
