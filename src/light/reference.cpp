#include "duskcast/light/reference.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <numeric>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

/// About the normal, as likely as its cosine: points of the disk below, lifted to the hemisphere.
glm::vec3 draw_direction(const glm::vec3& facing, PathRandom& random) {
    const glm::dvec3 normal(facing);
    const TangentFrame<double> frame(normal);
    const glm::dvec2 flat = -random.on_disk();
    const double up = std::sqrt(std::max(1e-12, 1 - glm::dot(flat, flat)));
    return glm::vec3(flat.x * frame.first + flat.y * frame.second + up * normal);
}

/// A spot on the lens as seen from a point. Worked out anew, not by lens_spot, so that either is a check
/// on the other.
glm::vec3 draw_lens_spot(const Lens& lens, const glm::vec3& point, PathRandom& random) {
    if (!(lens.diameter > 0))
        return lens.centre;
    const glm::dvec3 centre(lens.centre);
    const glm::dvec2 at = static_cast<double>(lens.diameter) / 2 * random.on_disk();
    if (lens.is_flush)
        return glm::vec3(centre + glm::dvec3(at, 0));
    const TangentFrame<double> frame(glm::normalize(centre - glm::dvec3(point)));
    glm::dvec3 spot = centre - at.x * frame.first - at.y * frame.second;
    if (centre.z > 0) // a lens above ground does not dip into it
        spot.z = std::max(spot.z, std::min(2.0 * static_cast<double>(surface_offset), centre.z));
    return glm::vec3(spot);
}

/// What a facet does to light where a ray meets it.
struct PathVertex {
    glm::vec3 position;
    glm::vec3 facing; ///< unit normal on the ray's side
    glm::dvec3 reflectance{0};
    glm::dvec3 transmittance{0};
};

/// Mean and scatter in one pass (Welford 1962).
struct RunningMean {
    int count = 0;
    double mean = 0;
    double squares = 0;

    void add(double value) {
        const double off = value - mean;
        mean += off / ++count;
        squares += off * (value - mean);
    }

    double standard_error() const {
        return count < 2 ? std::numeric_limits<double>::infinity() : std::sqrt(squares / (count - 1) / count);
    }
};

/// Paths for one sensor after the other.
class PathTracer {
public:
    PathTracer(const Stage& stage, const std::vector<LitFixture>& fixtures, const ReferenceOptions& options)
        : stage_(stage), fixtures_(fixtures), options_(options) {
        for (const LitFixture& fixture : fixtures)
            candela_.emplace_back(fixture);
    }

    ReferenceLight trace(std::uint32_t sensor) const {
        PathRandom random(join_seeds(stage_.sensor_seed[sensor], options_.seed));
        const PathVertex start{.position = stage_.sensors.position(sensor),
                               .facing = stage_.sensors.normal(sensor),
                               .reflectance = glm::dvec3(1)};
        const int paths = std::max(1, options_.paths);
        RunningMean direct, bounced, both;
        glm::dvec3 colour(0);
        for (int path = 0; path < paths; ++path) {
            double straight = luminance_of(sample_lamps(start, random));
            glm::dvec3 glow(0);
            const glm::dvec3 rest = follow(start, random, glow);
            straight += luminance_of(glow);
            direct.add(straight);
            bounced.add(luminance_of(rest));
            both.add(straight + luminance_of(rest));
            colour += rest;
        }
        return {.sensor = sensor,
                .direct_lx = direct.mean,
                .bounced_lx = bounced.mean,
                .bounced = colour / static_cast<double>(paths),
                .standard_error_lx = both.standard_error(),
                .bounced_error_lx = bounced.standard_error()};
    }

private:
    /// What arrives along one path; `glow`: straight from something that glows. Directions are drawn as
    /// likely as their cosine, so that E = pi L.
    glm::dvec3 follow(const PathVertex& start, PathRandom& random, glm::dvec3& glow) const {
        glm::dvec3 light(0);
        glm::dvec3 carried(1);
        glm::vec3 origin = step_off(start.position, start.facing);
        glm::vec3 direction = draw_direction(start.facing, random);
        for (int bounce = 0; bounce < options_.most_bounces; ++bounce) {
            const Hit hit =
                stage_.kernel->find_hit(origin, direction, 0, std::numeric_limits<float>::infinity());
            if (!hit) {
                if (direction.z > 0)
                    light += options_.ambient * carried;
                break;
            }
            const PathVertex spot = find_vertex(hit, origin, direction);
            (bounce == 0 ? glow : light) +=
                carried * pi * glm::dvec3(stage_.luminance_at(hit, spot.position, direction));
            light += carried * sample_lamps(spot, random);

            // Through the leaf or back, as likely as either is bright.
            const double back = luminance_of(spot.reflectance), through = luminance_of(spot.transmittance);
            if (!(back + through > 0))
                break;
            const double share_back = back / (back + through);
            const bool is_back = random.uniform() < share_back;
            carried *= is_back ? spot.reflectance / share_back : spot.transmittance / (1 - share_back);

            const double survival = std::min(1.0, std::max({carried.x, carried.y, carried.z}));
            if (random.uniform() >= survival)
                break;
            carried /= survival;

            const glm::vec3 facing = is_back ? spot.facing : -spot.facing;
            origin = step_off(spot.position, facing);
            direction = draw_direction(facing, random);
        }
        return light;
    }

    PathVertex find_vertex(const Hit& hit, const glm::vec3& origin, const glm::vec3& direction) const {
        PathVertex spot;
        spot.position = origin + hit.distance * direction;
        const bool is_from_behind = glm::dot(hit.normal, direction) > 0;
        spot.facing = is_from_behind ? -hit.normal : hit.normal;
        if (hit.kind == FacetKind::leaf) {
            const Material& leaf = stage_.materials[stage_.leaves.material[hit.facet]];
            spot.reflectance = leaf.reflectance;
            spot.transmittance = leaf.transmittance;
            return spot;
        }
        if (is_from_behind && !stage_.is_two_sided(hit.kind, hit.facet))
            return spot; // nothing comes back
        spot.reflectance = stage_.reflectance_at(hit, spot.position);
        return spot;
    }

    /// Light of all lamps at a spot, times its reflectance on the facing side or else its transmittance.
    glm::dvec3 sample_lamps(const PathVertex& spot, PathRandom& random) const {
        glm::dvec3 light(0);
        for (std::size_t i = 0; i < fixtures_.size(); ++i) {
            const LitFixture& fixture = fixtures_[i];
            const glm::vec3 end = draw_lens_spot(fixture.lens, spot.position, random);
            const glm::dvec3 way(end - spot.position);
            // By the spot, not the lens centre: a large lens may reach over the facet's horizon.
            const bool is_facing = glm::dot(way, glm::dvec3(spot.facing)) > 0;
            const glm::dvec3& share = is_facing ? spot.reflectance : spot.transmittance;
            if (share == glm::dvec3(0))
                continue;
            const glm::vec3 side = is_facing ? spot.facing : -spot.facing;
            const double square = glm::dot(way, way);
            const double along = glm::dot(way, glm::dvec3(side));
            const double nearest = 2 * static_cast<double>(surface_offset);
            if (!(along > 0) || square < nearest * nearest)
                continue;
            const double distance = std::sqrt(square);
            const double lux = candela_[i].towards(-way / distance) * along / (distance * square);
            if (lux > 0 && is_open(step_off(spot.position, side), end))
                light += lux * share * fixture.colour;
        }
        return light;
    }

    bool is_open(const glm::vec3& origin, const glm::vec3& end) const {
        Ray ray = make_shadow_ray(origin, end);
        stage_.kernel->find_occluded({&ray, 1}, Coherence::incoherent);
        return !ray.is_occluded();
    }

    const Stage& stage_;
    const std::vector<LitFixture>& fixtures_;
    const ReferenceOptions& options_;
    std::vector<FixtureCandela> candela_;
};

} // namespace

std::vector<ReferenceLight> trace_reference(const Stage& stage, const std::vector<LitFixture>& fixtures,
                                            const ReferenceOptions& options,
                                            std::span<const std::uint32_t> sensors,
                                            const Progress& progress) {
    std::vector<std::uint32_t> all;
    if (sensors.empty()) {
        all.resize(stage.sensors.size());
        std::iota(all.begin(), all.end(), 0u);
        sensors = all;
    }
    std::vector<ReferenceLight> light(sensors.size());
    const PathTracer tracer(stage, fixtures, options);
    std::atomic<std::size_t> done{0};
    parallel_for(sensors.size(), [&](std::size_t i) {
        light[i] = tracer.trace(sensors[i]);
        const std::size_t count = done.fetch_add(1, std::memory_order_relaxed) + 1;
        if (progress)
            progress(static_cast<double>(count) / static_cast<double>(sensors.size()));
    });
    return light;
}

} // namespace duskcast
