#include "spot_lighter.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <utility>

namespace duskcast {

namespace {

/// Lux from what glows, nothing in the way, below which the edges of its shadows do not matter.
constexpr double faint_glow = 0.3;

} // namespace

SpotLighter::SpotLighter(const Stage& stage, const std::vector<LitFixture>& fixtures,
                         const BouncedLight& bounced, const glm::vec3& sun, bool has_sun)
    : stage_(stage), bounced_(bounced), sun_(sun), has_sun_(has_sun), glow_lights_(make_glow_lights(stage)) {
    for (const LitFixture& fixture : fixtures)
        if (!fixture.table.values().empty() && fixture.scale > 0)
            sources_.push_back({&fixture, FixtureCandela(fixture)});
}

void SpotLighter::light(std::vector<ShadingPoint>& spots, std::vector<Arrival>& arrivals) const {
    for (const Source& source : sources_)
        add_source(source, spots, arrivals);
    const SoftGlow soft = find_soft_glow(spots);
    for (std::size_t g = 0; g < glow_lights_.size(); ++g)
        add_glow(g, soft, spots, arrivals);
    if (has_sun_)
        add_sun(spots);
}

void SpotLighter::add_source(const Source& source, std::vector<ShadingPoint>& spots,
                             std::vector<Arrival>& arrivals) const {
    std::vector<std::pair<std::uint32_t, glm::vec3>> waiting;
    std::vector<SpotSensor> sensors;
    std::vector<glm::vec3> ways; // from each to the spot on the lens
    const LitFixture& fixture = *source.fixture;
    const Lens& lens = fixture.lens;
    const float near_range = Sight::near_range * lens.diameter;
    bool has_leaves = false;
    for (std::size_t i = 0; i < spots.size(); ++i) {
        const ShadingPoint& spot = spots[i];
        const bool is_leaf = spot.hit.kind == FacetKind::leaf;
        glm::vec3 way = lens.centre - spot.position;
        if (!is_leaf && glm::dot(way, spot.facing) <= -lens.diameter)
            continue;
        const glm::vec3 end = lens.diameter > 0 ? lens_spot(lens, spot.position, spot.sample) : lens.centre;
        // As in evaluate_layer: close by, each spot of the lens has its own direction and distance.
        if (glm::dot(way, way) < near_range * near_range)
            way = end - spot.position;
        const float square = glm::dot(way, way);
        if (square < 4 * surface_offset * surface_offset)
            continue;
        const float distance = std::sqrt(square);
        const float cosine = glm::dot(way, spot.facing) / distance;
        if (is_leaf ? cosine == 0 : !(cosine > 0))
            continue;
        const double lux = source.candela.towards(-way / distance) * std::abs(cosine) / square;
        if (!(lux > 1e-7)) // a hundred-thousandth of starlight
            continue;
        const glm::vec3 origin = step_off(spot.position, cosine > 0 ? spot.facing : -spot.facing);
        ways.push_back(end - origin);
        sensors.push_back({origin, end_before(glm::length(ways.back()))});
        waiting.emplace_back(static_cast<std::uint32_t>(2 * i + (cosine > 0 ? 0 : 1)),
                             glm::vec3(lux * fixture.colour));
        has_leaves = has_leaves || is_leaf;
    }
    const SpotPlan one_spot{.coherence = has_leaves ? Coherence::incoherent : Coherence::coherent};
    const auto make_spots = [&](std::size_t sensor, int, int, float* x, float* y, float* z) {
        *x = ways[sensor].x, *y = ways[sensor].y, *z = ways[sensor].z;
    };
    std::vector<SpotsSeen> seen(sensors.size());
    stage_.kernel->find_visible(spot_bounds(lens), one_spot, make_spots, sensors, seen);
    for (std::size_t r = 0; r < seen.size(); ++r)
        if (seen[r].visible != 0) {
            ShadingPoint& spot = spots[waiting[r].first / 2];
            (waiting[r].first % 2 == 0 ? spot.before : spot.behind) += waiting[r].second;
            if (spot.close_up >= 0)
                arrivals.push_back({static_cast<std::uint32_t>(spot.close_up), waiting[r].second, ways[r]});
        }
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
                           std::vector<Arrival>& arrivals) const {
    const GlowLight& light = glow_lights_[source];
    const double luminance = luminance_of(light.luminance());
    const glm::vec3 colour(light.luminance() / luminance);
    struct Waiting {
        glm::vec3* to;
        int close_up;
        glm::vec3 lux;
    };
    std::vector<Ray> rays;
    std::vector<Waiting> waiting;
    for (std::size_t i = 0; i < spots.size(); ++i)
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
            const std::optional<glm::vec3> end = light.find_spot(spot.position, facing, spot.sample);
            if (!end)
                continue;
            rays.push_back(make_shadow_ray(step_off(spot.position, facing), *end));
            waiting.push_back({is_before ? &spot.before : &spot.behind, spot.close_up, glm::vec3(lux)});
        }
    stage_.kernel->find_occluded(rays, Coherence::incoherent);
    for (std::size_t r = 0; r < rays.size(); ++r)
        if (!rays[r].is_occluded()) {
            *waiting[r].to += waiting[r].lux;
            if (waiting[r].close_up >= 0)
                arrivals.push_back(
                    {static_cast<std::uint32_t>(waiting[r].close_up), waiting[r].lux, rays[r].direction});
        }
}

void SpotLighter::add_sun(std::vector<ShadingPoint>& spots) const {
    std::vector<Ray> rays;
    std::vector<std::pair<std::uint32_t, glm::vec3>> waiting;
    for (std::size_t i = 0; i < spots.size(); ++i) {
        const ShadingPoint& spot = spots[i];
        const float cosine = glm::dot(sun_, spot.facing);
        const glm::vec3 returned = cosine > 0 ? spot.reflectance : spot.transmittance;
        if (returned == glm::vec3(0))
            continue;
        Ray ray;
        ray.origin = step_off(spot.position, cosine > 0 ? spot.facing : -spot.facing);
        ray.direction = sun_;
        ray.far_end = far_away;
        rays.push_back(ray);
        waiting.emplace_back(static_cast<std::uint32_t>(i), returned * std::abs(cosine));
    }
    stage_.kernel->find_occluded(rays, Coherence::incoherent);
    for (std::size_t r = 0; r < rays.size(); ++r)
        if (!rays[r].is_occluded())
            spots[waiting[r].first].sun = waiting[r].second;
}

} // namespace duskcast
