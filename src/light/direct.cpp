#include "duskcast/light/direct.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include "layer_kernel.hpp"

namespace duskcast {

namespace {

constexpr int pilot_samples = 4;
constexpr std::size_t block_size = 128; // sensors: their rays fill the kernel's stream without leaving the cache

/// Spots on the unit disk, golden-angle spiral (Vogel 1979): equal areas, no rows. The pilots come first:
/// three round the rim and one near the middle, so that an edge across the disk parts them.
const std::array<glm::vec2, Sight::lens_samples>& disk_spots() {
    static const std::array<glm::vec2, Sight::lens_samples> spots = [] {
        constexpr std::array<int, Sight::lens_samples> order{15, 14, 13, 1, 0, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12};
        std::array<glm::vec2, Sight::lens_samples> made;
        for (int i = 0; i < Sight::lens_samples; ++i) {
            const double radius = std::sqrt((order[i] + 0.5) / Sight::lens_samples);
            const double angle = 2.399963229728653 * order[i];
            made[i] = {static_cast<float>(radius * std::cos(angle)), static_cast<float>(radius * std::sin(angle))};
        }
        return made;
    }();
    return spots;
}

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
        const glm::vec2& at = disk_spots()[index];
        glm::vec3 point = centre + at.x * across + at.y * along;
        point.z = std::max(point.z, lowest);
        return point;
    }
};

/// A block of sensors with the rays under way for them.
class SightBlock {
public:
    SightBlock(const Stage& stage, const Sensors& sensors, Coherence coherence, Sight& sight)
        : stage_(stage), sensors_(sensors), coherence_(coherence), sight_(sight) {}

    void trace(std::size_t from, std::size_t to) {
        lit_.clear();
        for (std::size_t i = from; i < to; ++i)
            if (is_facing(i))
                lit_.push_back(static_cast<std::uint32_t>(i));
        const int samples = sight_.lens.diameter > 0 ? pilot_samples : 1;
        visible_.assign(lit_.size(), 0);
        all_.resize(lit_.size());
        for (std::size_t k = 0; k < lit_.size(); ++k)
            all_[k] = static_cast<std::uint32_t>(k);
        cast(all_, 0, samples);
        mixed_.clear();
        for (std::size_t k = 0; k < lit_.size(); ++k) {
            const int seen = visible_[k];
            if (seen > 0 && seen < samples)
                mixed_.push_back(static_cast<std::uint32_t>(k));
        }
        for (std::size_t k = 0; k < lit_.size(); ++k)
            store(k, samples);
        if (!mixed_.empty()) {
            cast(mixed_, samples, Sight::lens_samples);
            for (const std::uint32_t k : mixed_)
                store(k, Sight::lens_samples);
        }
    }

    std::uint64_t rays() const { return rays_; }

private:
    bool is_facing(std::size_t i) const {
        const glm::vec3 way = sight_.lens.centre - sensors_.position(i);
        const float distance = glm::length(way);
        // Near sensors are dealt with spot by spot.
        return distance >= Sight::near_range * sight_.lens.diameter && distance > 2 * surface_offset &&
               glm::dot(way, sensors_.normal(i)) > 0;
    }

    void cast(const std::vector<std::uint32_t>& which, int first, int last) {
        rays_of_block_.clear();
        for (const std::uint32_t k : which) {
            const std::size_t i = lit_[k];
            const glm::vec3 origin = sensors_.position(i) + surface_offset * sensors_.normal(i);
            const LensDisk disk(sight_.lens, origin);
            for (int spot = first; spot < last; ++spot)
                rays_of_block_.push_back(make_ray(origin, last == 1 ? sight_.lens.centre : disk.spot(spot)));
        }
        rays_ += rays_of_block_.size();
        stage_.kernel->find_occluded(rays_of_block_, coherence_);
        auto ray = rays_of_block_.begin();
        for (const std::uint32_t k : which)
            for (int spot = first; spot < last; ++spot)
                visible_[k] += (ray++)->is_occluded() ? 0 : 1;
    }

    void store(std::size_t k, int samples) {
        const std::size_t i = lit_[k];
        const glm::vec3 way = sight_.lens.centre - sensors_.position(i);
        const float square = glm::dot(way, way);
        const float cosine = glm::dot(way, sensors_.normal(i)) / std::sqrt(square);
        sight_.transfer[i] = static_cast<float>(visible_[k]) / static_cast<float>(samples) * cosine / square;
    }

public:
    static Ray make_ray(const glm::vec3& origin, const glm::vec3& end) {
        Ray ray;
        ray.origin = origin;
        ray.direction = end - origin;
        const float length = glm::length(ray.direction);
        // The end stays an absolute distance before the lens: a share of the way would skip leaves.
        ray.far_end = std::max(0.0f, 1.0f - surface_offset / length);
        return ray;
    }

private:
    const Stage& stage_;
    const Sensors& sensors_;
    Coherence coherence_;
    Sight& sight_;
    std::vector<std::uint32_t> lit_;
    std::vector<std::uint32_t> all_;
    std::vector<std::uint32_t> mixed_;
    std::vector<int> visible_;
    std::vector<Ray> rays_of_block_;
    std::uint64_t rays_ = 0;
};

void trace_range(const Stage& stage, const Sensors& sensors, std::size_t from, std::size_t to, Coherence coherence,
                 Sight& sight, std::atomic<std::uint64_t>& rays) {
    const std::size_t blocks = (to - from + block_size - 1) / block_size;
    tbb::parallel_for(tbb::blocked_range<std::size_t>(0, blocks, 8), [&](const tbb::blocked_range<std::size_t>& range) {
        SightBlock block(stage, sensors, coherence, sight);
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
    sight.near_transfer.assign(sight.near_sensor.size() * Sight::lens_samples, 0.0f);
    tbb::parallel_for(std::size_t{0}, sight.near_sensor.size(), [&](std::size_t k) {
        const std::size_t i = sight.near_sensor[k];
        const glm::vec3 position = sensors.position(i);
        const glm::vec3 normal = sensors.normal(i);
        const LensDisk disk(sight.lens, position + surface_offset * normal);
        std::array<Ray, Sight::lens_samples> cast;
        std::array<int, Sight::lens_samples> spot_of;
        std::size_t count = 0;
        for (int spot = 0; spot < Sight::lens_samples; ++spot) {
            const glm::vec3 end = disk.spot(spot);
            const glm::vec3 to_spot = end - position;
            const float square = glm::dot(to_spot, to_spot);
            const float cosine = glm::dot(to_spot, normal) / std::sqrt(square);
            if (!(cosine > 0) || square < 4 * surface_offset * surface_offset)
                continue;
            sight.near_transfer[k * Sight::lens_samples + spot] = cosine / square / Sight::lens_samples;
            spot_of[count] = spot;
            cast[count++] = SightBlock::make_ray(position + surface_offset * normal, end);
        }
        rays.fetch_add(count, std::memory_order_relaxed);
        stage.kernel->find_occluded(std::span(cast).first(count), Coherence::coherent);
        for (std::size_t r = 0; r < count; ++r)
            if (cast[r].is_occluded())
                sight.near_transfer[k * Sight::lens_samples + spot_of[r]] = 0;
    });
}

} // namespace

Sight trace_sight(const Stage& stage, const Sensors& sensors, std::uint32_t first_leaf_sensor, const Lens& lens) {
    Sight sight;
    sight.lens = lens;
    sight.transfer.assign(sensors.size(), 0.0f);
    std::atomic<std::uint64_t> rays{0};
    if (lens.diameter > 0)
        trace_near(stage, sensors, sight, rays);
    const std::size_t leaves_from = std::min<std::size_t>(first_leaf_sensor, sensors.size());
    trace_range(stage, sensors, 0, leaves_from, Coherence::coherent, sight, rays);
    trace_range(stage, sensors, leaves_from, sensors.size(), Coherence::incoherent, sight, rays);
    sight.rays = rays;
    return sight;
}

Sight trace_sight(const Stage& stage, const Lens& lens) {
    return trace_sight(stage, stage.sensors, stage.first_leaf_sensor, lens);
}

glm::vec3 lens_spot(const Lens& lens, const glm::vec3& sensor, int index) {
    return LensDisk(lens, sensor).spot(index);
}

void evaluate_layer(const Sight& sight, const Sensors& sensors, const Aim& aim, const IntensityTable& table,
                    double scale, std::span<float> out) {
    const glm::dmat3 world_from_lamp = world_from_fixture(aim);
    LayerInput input;
    input.x = sensors.x.data();
    input.y = sensors.y.data();
    input.z = sensors.z.data();
    input.transfer = sight.transfer.data();
    input.count = out.size();
    input.lens = sight.lens.centre;
    input.c0 = world_from_lamp[0];
    input.c90 = world_from_lamp[1];
    input.zenith = world_from_lamp[2];
    input.table = table.values().data();
    input.rows = table.rows();
    input.columns = table.columns();
    input.scale = static_cast<float>(scale);
    if (table.is_symmetric())
        evaluate_symmetric(input, out.data());
    else
        evaluate_table(input, out.data());

    const glm::mat3 lamp_from_world(glm::transpose(world_from_lamp));
    for (std::size_t k = 0; k < sight.near_sensor.size(); ++k) {
        const std::size_t i = sight.near_sensor[k];
        const glm::vec3 position = sensors.position(i);
        const LensDisk disk(sight.lens, position + surface_offset * sensors.normal(i));
        const float* transfer = sight.near_transfer.data() + k * Sight::lens_samples;
        float sum = 0;
        for (int spot = 0; spot < Sight::lens_samples; ++spot)
            if (transfer[spot] > 0)
                sum += transfer[spot] * table.candela(lamp_from_world * glm::normalize(position - disk.spot(spot)));
        out[i] = sum * static_cast<float>(scale);
    }
}

} // namespace duskcast
