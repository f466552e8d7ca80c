#include "patch_tracer.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/random.hpp"

namespace duskcast {

namespace {

constexpr int rays_a_spot = 8;
constexpr float slender_width = 0.1f; // metres: parts of trunks and posts are narrower

/// Directions of the cosine-weighted hemisphere about a normal: points of the disk, lifted (Malley 1988), one
/// after the other in an additive recurrence.
class CosineDirections {
public:
    /// Begins with number `first` of the recurrence that starts at `shift_a` and `shift_b`.
    CosineDirections(const glm::vec3& normal, float shift_a, float shift_b, int first)
        : normal_(normal), frame_(normal), square_(shift_a + first * plastic_step) {
        square_ -= std::floor(square_);
        const glm::vec2 way =
            circle_point(2 * static_cast<float>(pi) * wrap_unit(shift_b + first * other_plastic_step));
        cosine_ = way.x;
        sine_ = way.y;
    }

    glm::vec3 next() {
        const auto square = static_cast<float>(square_);
        const float radius = std::sqrt(square);
        const glm::vec3 direction = radius * static_cast<float>(cosine_) * frame_.first +
                                    radius * static_cast<float>(sine_) * frame_.second +
                                    std::sqrt(std::max(0.0f, 1 - square)) * normal_;
        square_ += plastic_step;
        square_ -= square_ < 1 ? 0 : 1;
        // Turned by one step: an angle's own cosine and sine would take as long as a short ray.
        const double cosine = cosine_;
        cosine_ = step_cosine * cosine - step_sine * sine_;
        sine_ = step_sine * cosine + step_cosine * sine_;
        return direction;
    }

private:
    // Of 2 pi other_plastic_step.
    static constexpr double step_cosine = -0.9052538583630299, step_sine = -0.4248711003573289;

    glm::vec3 normal_;
    TangentFrame<float> frame_;
    double square_; ///< of the point's distance from the disk's middle
    double cosine_, sine_;
};

std::vector<PatchCount> count_patches(std::vector<std::uint32_t>& met) {
    std::vector<PatchCount> counts;
    std::sort(met.begin(), met.end());
    for (const std::uint32_t other : met) {
        if (counts.empty() || counts.back().patch != other)
            counts.push_back({other, 0});
        ++counts.back().count;
    }
    return counts;
}

} // namespace

Gathered PatchTracer::trace(std::uint32_t patch, int rays) const {
    Gathered found;
    std::vector<std::uint32_t> met;
    met.reserve(static_cast<std::size_t>(rays));
    const bool is_leaf = patches_.is_leaf(patch);
    const int spots = std::max(1, rays / rays_a_spot);
    int open_spots = 0, holes = 0;
    std::size_t hits = 0, on_rest = 0, on_slender = 0;
    const std::uint64_t seed = patches_.random_seed[patch];
    const std::array<float, 5> shift{hash_to_unit(seed, 0), hash_to_unit(seed, 1), hash_to_unit(seed, 2),
                                     hash_to_unit(seed, 3), hash_to_unit(seed, 4)};
    for (int s = 0; s < spots; ++s) {
        const PatchPoint point = patches_.point_on(patch, wrap_unit(shift[0] + (s + 0.5) / spots),
                                                   wrap_unit(shift[1] + s * plastic_step),
                                                   wrap_unit(shift[2] + s * other_plastic_step));
        const glm::vec3 origin = step_off(point.position, point.normal);
        if (bodies_.contain(origin)) // no light comes here
            continue;
        glm::vec3 reflectance(0);
        if (!is_leaf && !find_reflectance(point, origin, reflectance)) {
            ++holes;
            continue;
        }
        const std::size_t known = met.size();
        const RayCounts counts =
            cast_rays(origin, point.normal, s * rays_a_spot, rays_a_spot, shift[3], shift[4], met);
        if (2 * counts.inside > rays_a_spot) { // within a body of a mesh
            met.resize(known);
            continue;
        }
        ++open_spots;
        found.reflectance += reflectance;
        found.rays += rays_a_spot;
        found.sky += counts.sky;
        found.lost += counts.lost + counts.inside;
        found.harmonic += counts.harmonic;
        found.rest_nearness += counts.rest_nearness;
        found.slender_nearness += counts.slender_nearness;
        found.inside += counts.inside;
        on_rest += counts.on_rest;
        on_slender += counts.on_slender;
        hits += met.size() - known + counts.inside;
        if (!is_leaf)
            found.open_spots.push_back(point.position);
    }
    found.open = static_cast<float>(open_spots) / static_cast<float>(spots);
    found.solid = 1 - static_cast<float>(holes) / static_cast<float>(spots);
    if (open_spots == 0)
        return found;
    found.reflectance /= static_cast<float>(open_spots);
    found.harmonic = hits > 0 ? found.harmonic / static_cast<float>(hits) : 0.0f;
    found.rest_nearness = on_rest > 0 ? found.rest_nearness / static_cast<float>(on_rest) : 0.0f;
    found.slender_nearness = on_slender > 0 ? found.slender_nearness / static_cast<float>(on_slender) : 0.0f;
    found.counts = count_patches(met);
    return found;
}

Gathered PatchTracer::gather(const glm::vec3& position, const glm::vec3& normal, std::uint64_t seed,
                             int rays) const {
    std::vector<std::uint32_t> met;
    met.reserve(static_cast<std::size_t>(rays));
    const RayCounts counts = cast_rays(step_off(position, normal), normal, 0, rays, hash_to_unit(seed, 0),
                                       hash_to_unit(seed, 1), met);
    return {.counts = count_patches(met),
            .rays = static_cast<std::uint32_t>(rays),
            .sky = counts.sky,
            .lost = counts.lost + counts.inside,
            .inside = counts.inside};
}

PatchTracer::RayCounts PatchTracer::cast_rays(const glm::vec3& origin, const glm::vec3& normal, int first,
                                              int rays, float shift_a, float shift_b,
                                              std::vector<std::uint32_t>& met) const {
    RayCounts counts;
    CosineDirections directions(normal, shift_a, shift_b, first);
    for (int i = 0; i < rays; ++i) {
        const glm::vec3 direction = directions.next();
        const Hit hit = stage_.kernel->find_hit(origin, direction, 0, 1e5f);
        if (!hit) {
            ++(direction.z > 0 ? counts.sky : counts.lost);
            continue;
        }
        const float nearness = 1 / std::max(hit.distance, surface_offset);
        counts.harmonic += nearness;
        if (!patches_.is_flat(hit)) {
            ++counts.on_rest;
            counts.rest_nearness += nearness;
        }
        const std::uint32_t other = patches_.patch_at(hit, origin + hit.distance * direction, direction);
        if (other == Patches::none) {
            ++counts.inside;
            continue;
        }
        met.push_back(other);
        if (patches_.width[other] > 0 && patches_.width[other] < slender_width) {
            ++counts.on_slender;
            counts.slender_nearness += nearness;
        }
    }
    return counts;
}

bool PatchTracer::find_reflectance(const PatchPoint& point, const glm::vec3& origin,
                                   glm::vec3& reflectance) const {
    const Hit hit = stage_.kernel->find_hit(origin, -point.normal, 0, 2 * surface_offset);
    if (!hit)
        return false;
    reflectance = stage_.reflectance_at(hit, point.position);
    return true;
}

} // namespace duskcast
