#include "spot_lighter.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <utility>

#include "duskcast/base/random.hpp"
#include "duskcast/photometry/aim.hpp"

namespace duskcast {

namespace {

/// Lux from what glows, nothing in the way, below which the edges of its shadows do not matter.
constexpr double faint_glow = 0.3;

/// The same as the facet lies, where one square to the light would get less than `most_soft_glow`: beyond
/// that light changes too fast for what is known between patches.
constexpr double faintest_glow = 0.02, most_soft_glow = 1;

constexpr double least_lamp_lux = 1e-6; ///< a thousandth of starlight

/// Lux, nothing in the way, below which one look does for all rays of a spot: the edges of such shadows need
/// no steps within a pixel.
constexpr double one_look_lux = 0.05;

/// Calls act(first, count, chosen) for runs of a spot's rays, and the one that looks for its run: another one
/// from source to source and from pixel to pixel.
template <class Act>
void for_each_look(const ShadingPoint& spot, std::uint32_t look_count, std::uint64_t source, const Act& act) {
    for (std::uint32_t look = 0; look < look_count; ++look) {
        const std::uint32_t from = spot.ray_count * look / look_count,
                            count = spot.ray_count * (look + 1) / look_count - from,
                            first = spot.first_ray + from;
        const std::uint64_t chosen = count > 1 ? join_seeds(spot.pixel, source + look) % count : 0;
        act(first, count, first + static_cast<std::uint32_t>(chosen));
    }
}

/// The cosine off the beam's axis beyond which less than the least lux comes from as far as where a lamp
/// counts as a point.
float find_dark_cosine(const LitFixture& fixture) {
    const IntensityTable& table = fixture.table;
    const auto rows = static_cast<std::size_t>(table.rows()), line = rows + 1;
    const double near_range = static_cast<double>(Sight::near_range * fixture.lens.diameter);
    const double least = least_lamp_lux * near_range * near_range / fixture.scale;
    std::size_t lit = 0; // rows up to the last that counts, and the one after it that it runs to
    for (std::size_t i = 0; i < table.values().size(); ++i) {
        const std::size_t row = i % line;
        if (row<rows&& static_cast<double>(table.values()[i])> least)
            lit = std::max(lit, row + 2);
    }
    const double s = static_cast<double>(lit) / static_cast<double>(rows - 1); // sine of half the angle
    return s >= 1 ? -2.0f : static_cast<float>(1 - 2 * s * s);
}

} // namespace

SpotLighter::SpotLighter(const Stage& stage, const std::vector<LitFixture>& fixtures,
                         const BouncedLight& bounced, const glm::vec3& sun, bool has_sun)
    : stage_(stage), bounced_(bounced), sun_(sun), has_sun_(has_sun) {
    for (const LitFixture& fixture : fixtures)
        if (!fixture.table.values().empty() && fixture.scale > 0)
            sources_.push_back({&fixture, FixtureCandela(fixture),
                                world_from_fixture(fixture.aim) * glm::vec3(0, 0, -1),
                                find_dark_cosine(fixture)});
    for (const GlowLight& light : make_glow_lights(stage)) {
        const double luminance = luminance_of(light.luminance());
        const auto square_of = [&](double lux) {
            const double reach = light.reach_of(lux / luminance);
            return reach * reach;
        };
        glowers_.push_back({light, luminance, square_of(faint_glow), square_of(most_soft_glow)});
    }
}

void SpotLighter::light(std::vector<ShadingPoint>& spots, std::span<SpotRay> rays,
                        std::vector<Arrival>& arrivals) const {
    for (std::size_t i = 0; i < sources_.size(); ++i)
        add_source(i, spots, rays, arrivals);
    const SoftGlow soft = find_soft_glow(spots);
    for (std::size_t g = 0; g < glowers_.size(); ++g)
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
            seen += share * static_cast<float>(one.ray_count) * one.lux;
            for (const SpotRay& ray : rays.subspan(one.first_ray, one.ray_count))
                if (ray.close_up >= 0)
                    arrivals.push_back({static_cast<std::uint32_t>(ray.close_up), one.lux, one.way});
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

void SpotLighter::add_source(std::uint64_t number, std::vector<ShadingPoint>& spots,
                             std::span<const SpotRay> rays, std::vector<Arrival>& arrivals) const {
    std::vector<Waiting> waiting;
    std::vector<SpotSensor> sensors;
    const Source& source = sources_[number];
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
        // As in evaluate_layer: close by, each spot of the lens has its own direction and distance.
        const float middle_square = glm::dot(middle_way, middle_way);
        const bool is_near = middle_square < near_range * near_range;
        if (!is_near && -glm::dot(middle_way, source.axis) < source.dark_cosine * std::sqrt(middle_square))
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
        double lux = is_near ? 0 : find_lux(middle_way);
        if (!is_near && !(lux > least_lamp_lux))
            continue;
        const std::uint32_t look_count = !is_near && lux < one_look_lux ? 1 : spot.ray_count;
        for_each_look(
            spot, look_count, number, [&](std::uint32_t first, std::uint32_t count, std::uint32_t r) {
                const glm::vec3& position = rays[r].position;
                const glm::vec3 end =
                    lens.diameter > 0 ? lens_spot(lens, position, rays[r].sample) : lens.centre;
                if (is_near)
                    lux = find_lux(end - position);
                if (!(lux > least_lamp_lux))
                    return;
                const bool is_before = cosine > 0;
                const glm::vec3 origin = step_off(position, is_before ? spot.facing : -spot.facing);
                const glm::vec3 way = end - origin;
                sensors.push_back({origin, end_before(glm::length(way))});
                waiting.push_back({i, first, count, is_before, glm::vec3(lux * fixture.colour), way});
                has_leaves = has_leaves || is_leaf;
            });
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
    const std::size_t count = glowers_.size();
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
    const Glower& glower = glowers_[source];
    const GlowLight& light = glower.light;
    const glm::vec3 colour(light.luminance() / glower.luminance);
    // A fountain's water lies all round what it lights, so that a few rays to it say little.
    const bool is_round_about =
        bounced_ && stage_.surfaces[stage_.glow_sources[source].surface].kind == SurfaceKind::water;
    std::vector<Ray> shadow_rays;
    std::vector<Waiting> waiting;
    for (std::uint32_t i = 0; i < spots.size(); ++i)
        for (const bool is_before : {true, false}) {
            ShadingPoint& spot = spots[i];
            const bool is_leaf = spot.hit.kind == FacetKind::leaf;
            if (!is_before && !is_leaf)
                continue;
            const float known = soft[(2 * i + (is_before ? 0 : 1)) * glowers_.size() + source];
            const glm::vec3 facing = is_before ? spot.facing : -spot.facing;
            const glm::dvec3 off = light.middle() - glm::dvec3(spot.position);
            const double square = glm::dot(off, off);
            // Of leaves those of one patch look all ways, so that it says less of a single one.
            const bool may_be_soft =
                known >= 0 && square > (is_leaf ? glower.faint_square : glower.soft_square);
            const glm::dvec3 position(spot.position), normal(facing);
            if (may_be_soft && (square > glower.faint_square ||
                                light.most_lux(position, normal) * glower.luminance < faintest_glow)) {
                (is_before ? spot.soft_before : spot.soft_behind) += known * colour;
                continue;
            }
            const glm::dvec3 open = light.open_lux(position, normal) * light.luminance();
            const double lux = luminance_of(open);
            if (!(lux > 1e-6))
                continue;
            if (may_be_soft && lux < faintest_glow) {
                (is_before ? spot.soft_before : spot.soft_behind) += known * colour;
                continue;
            }
            if (is_round_about && lux > faint_glow) {
                (is_before ? spot.soft_before : spot.soft_behind) +=
                    glm::vec3(open * light.measure_share(spot.position, facing, lux));
                continue;
            }
            const std::uint32_t look_count = lux < one_look_lux ? 1 : spot.ray_count;
            for_each_look(
                spot, look_count, source, [&](std::uint32_t first, std::uint32_t count, std::uint32_t r) {
                    const std::optional<glm::vec3> end =
                        light.find_spot(rays[r].position, facing, rays[r].sample);
                    if (!end)
                        return;
                    shadow_rays.push_back(make_shadow_ray(step_off(rays[r].position, facing), *end));
                    waiting.push_back(
                        {i, first, count, is_before, glm::vec3(open), shadow_rays.back().direction});
                });
        }
    stage_.kernel->find_occluded(shadow_rays, Coherence::incoherent);
    add_seen(
        waiting, [&](std::size_t i) { return !shadow_rays[i].is_occluded(); }, spots, rays, arrivals);
}

void SpotLighter::add_sun(std::vector<ShadingPoint>& spots, std::span<SpotRay> rays) const {
    struct WaitingForSun {
        std::uint32_t spot, first_ray, ray_count;
        glm::vec3 returned; ///< by each ray
    };
    std::vector<Ray> shadow_rays;
    std::vector<WaitingForSun> waiting;
    for (std::uint32_t i = 0; i < spots.size(); ++i) {
        const ShadingPoint& spot = spots[i];
        const float cosine = glm::dot(sun_, spot.facing);
        const glm::vec3 returned = cosine > 0 ? spot.reflectance : spot.transmittance;
        if (returned == glm::vec3(0))
            continue;
        const auto share = std::abs(cosine) / static_cast<float>(spot.ray_count);
        // Leaves show no lines of shadow by day, so that one ray looks for two.
        const std::uint32_t look_count =
            spot.hit.kind == FacetKind::leaf ? (spot.ray_count + 1) / 2 : spot.ray_count;
        for_each_look(spot, look_count, sources_.size(),
                      [&](std::uint32_t first, std::uint32_t count, std::uint32_t r) {
                          Ray ray;
                          ray.origin = step_off(rays[r].position, cosine > 0 ? spot.facing : -spot.facing);
                          ray.direction = sun_;
                          ray.far_end = far_away;
                          shadow_rays.push_back(ray);
                          waiting.push_back({i, first, count, returned * share});
                      });
    }
    stage_.kernel->find_occluded(shadow_rays, Coherence::incoherent);
    for (std::size_t k = 0; k < shadow_rays.size(); ++k) {
        if (shadow_rays[k].is_occluded())
            continue;
        const WaitingForSun& one = waiting[k];
        spots[one.spot].sun += static_cast<float>(one.ray_count) * one.returned;
        for (SpotRay& ray : rays.subspan(one.first_ray, one.ray_count))
            ray.is_sunlit = true;
    }
}

} // namespace duskcast
