#include "duskcast/light/direct.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <numeric>
#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include "duskcast/base/random.hpp"
#include "layer_kernel.hpp"

namespace duskcast {

namespace {

constexpr int pilot_samples = 4;
constexpr int fine_samples = 64;
constexpr std::size_t block_size =
    128; // sensors: their rays fill the kernel's stream without leaving the cache

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

/// A block of sensors with the rays under way for them.
class SightBlock {
public:
    SightBlock(const Stage& stage, const Sensors& sensors, Coherence coherence, Shadows shadows, Sight& sight)
        : stage_(stage), sensors_(sensors), coherence_(coherence), shadows_(shadows), sight_(sight) {}

    void trace(std::size_t from, std::size_t to) {
        find_lit(from, to);
        const bool is_fine = shadows_ == Shadows::fine;
        const int pilots =
            is_fine && coherence_ == Coherence::incoherent ? Sight::lens_samples : pilot_samples;
        const int samples = sight_.lens.diameter > 0 ? pilots : 1;
        cast(lit_, 0, samples);
        mixed_.clear();
        for (LitSensor& lit : lit_)
            if (lit.visible > 0 && lit.visible < samples)
                mixed_.push_back(lit);
            else
                store(lit, samples);
        if (is_fine) {
            for (LitSensor& lit : mixed_)
                lit.visible = 0;
            cast(mixed_, Sight::lens_samples, Sight::lens_samples + fine_samples);
        } else {
            cast(mixed_, samples, Sight::lens_samples);
        }
        for (const LitSensor& lit : mixed_)
            store(lit, is_fine ? fine_samples : Sight::lens_samples);
    }

    std::uint64_t rays() const { return rays_; }

private:
    /// A sensor that faces the lens, and how much of the lens it is known to see.
    struct LitSensor {
        std::uint32_t index;
        float transfer; ///< cos / d^2 with nothing in the way
        float far_end;
        int visible;
    };

    /// Near sensors are left to trace_near.
    void find_lit(std::size_t from, std::size_t to) {
        lit_.clear();
        const glm::vec3 centre = sight_.lens.centre;
        const float near_distance = std::max(Sight::near_range * sight_.lens.diameter, 2 * surface_offset);
        for (std::size_t i = from; i < to; ++i) {
            const glm::vec3 way = centre - sensors_.position(i);
            const float square = glm::dot(way, way);
            const float along_normal = glm::dot(way, sensors_.normal(i));
            if (along_normal <= 0 || square < near_distance * near_distance)
                continue;
            const float distance = std::sqrt(square);
            const auto open = static_cast<float>(sight_.lens.open_share(-way.z / distance));
            if (open > 0)
                lit_.push_back({static_cast<std::uint32_t>(i), open * along_normal / (distance * square),
                                end_before(distance), 0});
        }
    }

    void cast(std::vector<LitSensor>& sensors, int first, int last) {
        const auto count = static_cast<std::size_t>(last - first);
        cast_.resize(sensors.size() * count);
        Ray* ray = cast_.data();
        for (const LitSensor& lit : sensors) {
            const glm::vec3 origin = step_off(sensors_.position(lit.index), sensors_.normal(lit.index));
            if (last == 1) {
                *ray++ = make_ray(origin, sight_.lens.centre, lit.far_end);
                continue;
            }
            const LensDisk disk(sight_.lens, origin);
            for (int spot = first; spot < last; ++spot)
                *ray++ = make_ray(origin, disk.spot(spot), lit.far_end);
        }
        rays_ += cast_.size();
        stage_.kernel->find_occluded(cast_, coherence_);
        ray = cast_.data();
        for (LitSensor& lit : sensors)
            for (std::size_t k = 0; k < count; ++k)
                lit.visible += (ray++)->is_occluded() ? 0 : 1;
    }

    void store(const LitSensor& lit, int samples) {
        sight_.transfer[lit.index] =
            lit.transfer * static_cast<float>(lit.visible) / static_cast<float>(samples);
    }

    const Stage& stage_;
    const Sensors& sensors_;
    Coherence coherence_;
    Shadows shadows_;
    Sight& sight_;
    std::vector<LitSensor> lit_;
    std::vector<LitSensor> mixed_;
    std::vector<Ray> cast_;
    std::uint64_t rays_ = 0;
};

void trace_range(const Stage& stage, const Sensors& sensors, std::size_t from, std::size_t to,
                 Coherence coherence, Shadows shadows, Sight& sight, std::atomic<std::uint64_t>& rays) {
    const std::size_t blocks = (to - from + block_size - 1) / block_size;
    tbb::parallel_for(tbb::blocked_range<std::size_t>(0, blocks, 8),
                      [&](const tbb::blocked_range<std::size_t>& range) {
                          SightBlock block(stage, sensors, coherence, shadows, sight);
                          for (std::size_t b = range.begin(); b < range.end(); ++b)
                              block.trace(from + b * block_size, std::min(to, from + (b + 1) * block_size));
                          rays.fetch_add(block.rays(), std::memory_order_relaxed);
                      });
}

/// The few sensors close to the lens: every spot has its own distance, cosine and shadow.
void trace_near(const Stage& stage, const Sensors& sensors, Sight& sight, std::atomic<std::uint64_t>& rays) {
    const float range = Sight::near_range * sight.lens.diameter;
    for (std::size_t i = 0; i < sensors.size(); ++i) {
        const glm::vec3 way = sight.lens.centre - sensors.position(i);
        if (glm::dot(way, way) < range * range)
            sight.near_sensor.push_back(static_cast<std::uint32_t>(i));
    }
    const std::size_t spots = sight.near_sensor.size() * Sight::lens_samples;
    for (std::vector<float>* values : {&sight.near_x, &sight.near_y, &sight.near_z, &sight.near_transfer})
        values->assign(spots, 0.0f);
    tbb::parallel_for(std::size_t{0}, sight.near_sensor.size(), [&](std::size_t k) {
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
}

} // namespace

double Lens::open_share(double up) const {
    if (!is_covered())
        return 1;
    const double zenith = std::acos(std::clamp(up, -1.0, 1.0));
    return visible_share(rim, diameter, zenith) * visible_share(louvre, zenith);
}

Sight trace_sight(const Stage& stage, const Sensors& sensors, std::uint32_t first_leaf_sensor,
                  const Lens& lens, Shadows shadows) {
    Sight sight;
    sight.lens = lens;
    sight.transfer.assign(sensors.size(), 0.0f);
    std::atomic<std::uint64_t> rays{0};
    if (lens.diameter > 0)
        trace_near(stage, sensors, sight, rays);
    const std::size_t leaves_from = std::min<std::size_t>(first_leaf_sensor, sensors.size());
    trace_range(stage, sensors, 0, leaves_from, Coherence::coherent, shadows, sight, rays);
    trace_range(stage, sensors, leaves_from, sensors.size(), Coherence::incoherent, shadows, sight, rays);
    sight.rays = rays;
    return sight;
}

Sight trace_sight(const Stage& stage, const Lens& lens) {
    return trace_sight(stage, stage.sensors, stage.first_leaf_sensor, lens, Shadows::fine);
}

glm::vec3 lens_spot(const Lens& lens, const glm::vec3& sensor, int index) {
    return LensDisk(lens, sensor).spot(index);
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
    tbb::parallel_for(tbb::blocked_range<std::size_t>(0, out.size(), 16384), [&](const auto& range) {
        LayerInput part = input;
        part.x += range.begin();
        part.y += range.begin();
        part.z += range.begin();
        part.transfer += range.begin();
        part.count = range.size();
        evaluate(part, out.data() + range.begin());
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
