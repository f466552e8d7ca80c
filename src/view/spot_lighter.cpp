#include "spot_lighter.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <utility>

namespace duskcast {

namespace {

/// Lux from what glows, nothing in the way, below which the edges of its shadows do not matter.
constexpr double faint_glow = 0.3;

constexpr double least_lamp_lux = 1e-7; ///< a hundred-thousandth of starlight

} // namespace

SpotLighter::SpotLighter(const Stage& stage, const std::vector<LitFixture>& fixtures,
                         const BouncedLight& bounced, const glm::vec3& sun, bool has_sun)
    : stage_(stage), bounced_(bounced), sun_(sun), has_sun_(has_sun), glow_lights_(make_glow_lights(stage)) {
    for (const LitFixture& fixture : fixtures)
        if (!fixture.table.values().empty() && fixture.scale > 0)
            sources_.push_back({&fixture, FixtureCandela(fixture)});
}

void SpotLighter::light(std::vector<ShadingPoint>& spots, std::span<SpotRay> rays,
                        std::vector<Arrival>& arrivals) const {
    for (const Source& source : sources_)
        add_source(source, spots, rays, arrivals);
    const SoftGlow soft = find_soft_glow(spots);
    for (std::size_t g = 0; g < glow_lights_.size(); ++g)
        add_glow(g, soft, spots, rays, arrivals);
    if (has_sun_)
        add_sun(spots, rays);
}

template <class IsSeen>
void SpotLighter::add_seen(const std::vector<Waiting>& waiting, const IsSeen& is_seen,
                           std::vector<ShadingPoint>& spots, std::span<const SpotRay> rays,
                           std::vector<Arrival>& arrivals) {
    for (std::size_t first = 0, last = 0; first < waiting.size(); first = last) {
        const bool is_before = waiting[first].is_before;
        ShadingPoint& spot = spots[waiting[first].spot];
        const auto share = 1 / static_cast<float>(spot.ray_count);
        glm::vec3 seen(0), most(0);
        for (; last < waiting.size() && waiting[last].spot == waiting[first].spot &&
               waiting[last].is_before == is_before;
             ++last) {
            const Waiting& one = waiting[last];
            most = glm::max(most, one.lux);
            if (!is_seen(last))
                continue;
            seen += share * one.lux;
            if (const int close_up = rays[one.ray].close_up; close_up >= 0)
                arrivals.push_back({static_cast<std::uint32_t>(close_up), one.lux, one.way});
        }
        (is_before ? spot.before : spot.behind) += seen;
        if (spot.ray_count > 1 && seen != glm::vec3(0)) {
            const glm::dvec3 returned = by_pi * (is_before ? spot.reflectance : spot.transmittance);
            spot.above_mean += static_cast<float>(luminance_of(returned * glm::dvec3(most - seen)));
            if (spot.above_mean > 0)
                spot.below_mean += static_cast<float>(luminance_of(returned * glm::dvec3(seen)));
        }
    }
}

void SpotLighter::add_source(const Source& source, std::vector<ShadingPoint>& spots,
                             std::span<const SpotRay> rays, std::vector<Arrival>& arrivals) const {
    std::vector<Waiting> waiting;
    std::vector<SpotSensor> sensors;
    const LitFixture& fixture = *source.fixture;
    const Lens& lens = fixture.lens;
    const float near_range = Sight::near_range * lens.diameter;
    bool has_leaves = false;
    for (std::uint32_t i = 0; i < spots.size(); ++i) {
        const ShadingPoint& spot = spots[i];
        const bool is_leaf = spot.hit.kind == FacetKind::leaf;
        const glm::vec3 middle_way = lens.centre - spot.position;
        if (!is_leaf && glm::dot(middle_way, spot.facing) <= -lens.diameter)
            continue;
        float cosine = 0;
        const auto find_lux = [&](const glm::vec3& way) {
            const float square = glm::dot(way, way);
            if (square < 4 * surface_offset * surface_offset)
                return 0.0;
            const float distance = std::sqrt(square);
            cosine = glm::dot(way, spot.facing) / distance;
            if (is_leaf ? cosine == 0 : !(cosine > 0))
                return 0.0;
            return source.candela.towards(-way / distance) * static_cast<double>(std::abs(cosine) / square);
        };
        // As in evaluate_layer: close by, each spot of the lens has its own direction and distance.
        const bool is_near = glm::dot(middle_way, middle_way) < near_range * near_range;
        double lux = is_near ? 0 : find_lux(middle_way);
        if (!is_near && !(lux > least_lamp_lux))
            continue;
        for (std::uint32_t r = spot.first_ray; r < spot.first_ray + spot.ray_count; ++r) {
            const glm::vec3& position = rays[r].position;
            const glm::vec3 end = lens.diameter > 0 ? lens_spot(lens, position, rays[r].sample) : lens.centre;
            if (is_near)
                lux = find_lux(end - position);
            if (!(lux > least_lamp_lux))
                continue;
            const bool is_before = cosine > 0;
            const glm::vec3 origin = step_off(position, is_before ? spot.facing : -spot.facing);
            const glm::vec3 way = end - origin;
            sensors.push_back({origin, end_before(glm::length(way))});
            waiting.push_back({i, r, is_before, glm::vec3(lux * fixture.colour), way});
            has_leaves = has_leaves || is_leaf;
        }
    }
    const std::array one_spot{
        SpotPlan{.coherence = has_leaves ? Coherence::incoherent : Coherence::coherent}};
    const auto make_spots = [&](std::size_t sensor, int, int, float* x, float* y, float* z) {
        const glm::vec3& way = waiting[sensor].way;
        *x = way.x, *y = way.y, *z = way.z;
    };
    std::vector<SpotsSeen> seen(sensors.size());
    stage_.kernel->find_visible(spot_bounds(lens), one_spot, make_spots, sensors, seen);
    add_seen(
        waiting, [&](std::size_t i) { return seen[i].visible != 0; }, spots, rays, arrivals);
}

SpotLighter::SoftGlow SpotLighter::find_soft_glow(const std::vector<ShadingPoint>& spots) const {
    const std::size_t count = glow_lights_.size();
    SoftGlow soft(2 * count * spots.size(), -1.0f);
    if (count == 0 || !bounced_.glow())
        return soft;
    for (std::size_t i = 0; i < spots.size(); ++i) {
        const ShadingPoint& spot = spots[i];
        const auto put = [&](bool is_before) {
            const std::span<float> lux =
                std::span(soft).subspan((2 * i + (is_before ? 0 : 1)) * count, count);
            if (!bounced_.glow()(spot.hit, spot.position, is_before ? spot.facing : -spot.facing, lux))
                std::fill(lux.begin(), lux.end(), -1.0f);
        };
        put(true);
        if (spot.hit.kind == FacetKind::leaf)
            put(false);
    }
    return soft;
}

void SpotLighter::add_glow(std::size_t source, const SoftGlow& soft, std::vector<ShadingPoint>& spots,
                           std::span<const SpotRay> rays, std::vector<Arrival>& arrivals) const {
    const GlowLight& light = glow_lights_[source];
    const double luminance = luminance_of(light.luminance());
    const glm::vec3 colour(light.luminance() / luminance);
    // A fountain's water lies all round what it lights, so that a few rays to it say little.
    const bool is_round_about =
        bounced_ && stage_.surfaces[stage_.glow_sources[source].surface].kind == SurfaceKind::water;
    std::vector<Ray> shadow_rays;
    std::vector<Waiting> waiting;
    for (std::uint32_t i = 0; i < spots.size(); ++i)
        for (const bool is_before : {true, false}) {
            ShadingPoint& spot = spots[i];
            if (!is_before && spot.hit.kind != FacetKind::leaf)
                continue;
            const float known = soft[(2 * i + (is_before ? 0 : 1)) * glow_lights_.size() + source];
            if (known >= 0 && light.most_lux(glm::dvec3(spot.position)) * luminance < faint_glow) {
                (is_before ? spot.soft_before : spot.soft_behind) += known * colour;
                continue;
            }
            const glm::vec3 facing = is_before ? spot.facing : -spot.facing;
            const glm::dvec3 lux =
                light.open_lux(glm::dvec3(spot.position), glm::dvec3(facing)) * light.luminance();
            if (!(luminance_of(lux) > 1e-6))
                continue;
            if (is_round_about && luminance_of(lux) > faint_glow) {
                (is_before ? spot.soft_before : spot.soft_behind) +=
                    glm::vec3(lux * light.measure_share(spot.position, facing, luminance_of(lux)));
                continue;
            }
            for (std::uint32_t r = spot.first_ray; r < spot.first_ray + spot.ray_count; ++r) {
                const std::optional<glm::vec3> end =
                    light.find_spot(rays[r].position, facing, rays[r].sample);
                if (!end)
                    continue;
                shadow_rays.push_back(make_shadow_ray(step_off(rays[r].position, facing), *end));
                waiting.push_back({i, r, is_before, glm::vec3(lux), shadow_rays.back().direction});
            }
        }
    stage_.kernel->find_occluded(shadow_rays, Coherence::incoherent);
    add_seen(
        waiting, [&](std::size_t i) { return !shadow_rays[i].is_occluded(); }, spots, rays, arrivals);
}

void SpotLighter::add_sun(std::vector<ShadingPoint>& spots, std::span<SpotRay> rays) const {
    struct WaitingForSun {
        std::uint32_t spot, ray;
        glm::vec3 returned;
    };
    std::vector<Ray> shadow_rays;
    std::vector<WaitingForSun> waiting;
    for (std::uint32_t i = 0; i < spots.size(); ++i) {
        const ShadingPoint& spot = spots[i];
        const float cosine = glm::dot(sun_, spot.facing);
        const glm::vec3 returned = cosine > 0 ? spot.reflectance : spot.transmittance;
        if (returned == glm::vec3(0))
            continue;
        for (std::uint32_t r = spot.first_ray; r < spot.first_ray + spot.ray_count; ++r) {
            Ray ray;
            ray.origin = step_off(rays[r].position, cosine > 0 ? spot.facing : -spot.facing);
            ray.direction = sun_;
            ray.far_end = far_away;
            shadow_rays.push_back(ray);
            waiting.push_back({i, r, returned * std::abs(cosine) / static_cast<float>(spot.ray_count)});
        }
    }
    stage_.kernel->find_occluded(shadow_rays, Coherence::incoherent);
    for (std::size_t r = 0; r < shadow_rays.size(); ++r)
        if (!shadow_rays[r].is_occluded()) {
            spots[waiting[r].spot].sun += waiting[r].returned;
            rays[waiting[r].ray].is_sunlit = true;
        }
}

} // namespace duskcast
