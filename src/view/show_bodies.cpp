// How the bodies of fixtures are seen and lit.

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/fixture_bodies.hpp"
#include "view_spots.hpp"

namespace duskcast {
namespace {

constexpr int spots_across = 4; ///< of a pixel that may show a body, both ways
constexpr int looks = 8;        ///< of a place on a body round about
constexpr float least_lux = 1e-5f;

/// A body's place and what it sends to the eye.
struct BodyLight {
    glm::vec3 luminance{0}, sky{0}, sun{0};
};

class BodyLighter {
public:
    BodyLighter(const Stage& stage, const std::vector<LitFixture>& fixtures, double ambient_lx,
                const BouncedLight& bounced, const glm::dvec3& sun)
        : stage_(stage), ambient_(static_cast<float>(ambient_lx)), bounced_(bounced), sun_(sun),
          glow_lights_(make_glow_lights(stage)) {
        for (const LitFixture& fixture : fixtures)
            if (!fixture.table.values().empty() && fixture.scale > 0)
                sources_.push_back({&fixture, FixtureCandela(fixture)});
    }

    BodyLight light_at(const glm::vec3& position, const glm::vec3& facing,
                       const glm::vec3& reflectance) const {
        BodyLight light;
        light.sky = reflectance * (0.5f * (1 + facing.z)) * open_sky_return();
        glm::vec3 lux = direct_at(position, facing);
        if (bounced_)
            lux += round_about(position, facing);
        else
            light.luminance = ambient_ * light.sky;
        light.luminance += by_pi * reflectance * lux;
        if (const float cosine = glm::dot(sun_, facing); cosine > 0) {
            Ray ray = make_ray(step_off(position, facing), position + sun_, far_away);
            stage_.kernel->find_occluded({&ray, 1}, Coherence::incoherent);
            if (!ray.is_occluded())
                light.sun = by_pi * cosine * reflectance;
        }
        return light;
    }

private:
    struct Source {
        const LitFixture* fixture;
        FixtureCandela candela;
    };

    /// Lux per channel straight from fixtures and from what glows.
    glm::vec3 direct_at(const glm::vec3& position, const glm::vec3& facing) const {
        glm::vec3 lux(0);
        const glm::vec3 origin = step_off(position, facing);
        for (const Source& source : sources_) {
            const Lens& lens = source.fixture->lens;
            constexpr int spots = 4; // of the lens
            for (int spot = 0; spot < spots; ++spot) {
                const glm::vec3 end = lens.diameter > 0
                                          ? lens_spot(lens, position, spot * Sight::lens_samples / spots)
                                          : lens.centre;
                const glm::vec3 way = end - position;
                const float square = glm::dot(way, way), distance = std::sqrt(square);
                const float cosine = glm::dot(way, facing) / distance;
                if (!(cosine > 0) || square < 1e-6f)
                    continue;
                const auto part =
                    static_cast<float>(source.candela.towards(-way / distance)) * cosine / (square * spots);
                if (part < least_lux)
                    continue;
                Ray ray = make_shadow_ray(origin, end);
                stage_.kernel->find_occluded({&ray, 1}, Coherence::incoherent);
                if (!ray.is_occluded())
                    lux += part * glm::vec3(source.fixture->colour);
            }
        }
        for (const GlowLight& light : glow_lights_) {
            const glm::dvec3 open =
                light.open_lux(glm::dvec3(position), glm::dvec3(facing)) * light.luminance();
            if (glm::dot(open, glm::dvec3(1)) > static_cast<double>(least_lux))
                lux += glm::vec3(open) *
                       static_cast<float>(light.measure_share(position, facing, luminance_of(open)));
        }
        return lux;
    }

    /// Lux per channel from the stage and the sky before a body's face, by rays as dense as their cosine.
    glm::vec3 round_about(const glm::vec3& position, const glm::vec3& facing) const {
        const glm::vec3 across = glm::normalize(
            glm::cross(facing, std::abs(facing.z) < 0.9f ? glm::vec3(0, 0, 1) : glm::vec3(1, 0, 0)));
        const glm::vec3 other = glm::cross(facing, across);
        const glm::vec3 origin = step_off(position, facing);
        glm::vec3 sum(0);
        for (int i = 0; i < looks; ++i) {
            const float square = (static_cast<float>(i) + 0.5f) / looks, out = std::sqrt(square);
            const auto angle = static_cast<float>(i * 2.39996323); // the golden angle
            const glm::vec3 way =
                out * (std::cos(angle) * across + std::sin(angle) * other) + std::sqrt(1 - square) * facing;
            const Hit hit = stage_.kernel->find_hit(origin, way, 0, far_away);
            if (!hit) {
                if (way.z > 0)
                    sum += ambient_ * open_sky_return() * static_cast<float>(pi);
                continue;
            }
            const glm::vec3 met = origin + hit.distance * way;
            const glm::vec3 towards = glm::dot(hit.normal, way) > 0 ? -hit.normal : hit.normal;
            const glm::vec3 lux = direct_at(met, towards) + glm::vec3(bounced_(hit, met, towards));
            sum += stage_.reflectance_at(hit, met) * lux +
                   static_cast<float>(pi) * stage_.luminance_at(hit, met, way);
        }
        return sum / static_cast<float>(looks);
    }

    const Stage& stage_;
    float ambient_;
    const BouncedLight& bounced_;
    glm::vec3 sun_;
    std::vector<GlowLight> glow_lights_;
    std::vector<Source> sources_;
};

/// Pixels in whose rectangle a fixture's facets fall: none where all of them are behind the eye.
struct PixelBox {
    int left = 0, top = 0, right = -1, bottom = -1;
};

PixelBox find_box(const FixtureBodies& bodies, std::size_t fixture, const Camera& camera) {
    glm::dvec2 low(1e9), high(-1e9);
    for (std::uint32_t i = bodies.first[fixture]; i < bodies.first[fixture + 1]; ++i) {
        int behind = 0;
        for (int corner = 0; corner < 3; ++corner) {
            const auto place = camera.project(
                glm::dvec3(bodies.parts->opaque.vertices[bodies.parts->opaque.corners[i][corner]]));
            if (place)
                low = glm::min(low, *place), high = glm::max(high, *place);
            else
                ++behind;
        }
        if (behind == 1 || behind == 2) // it may be seen anywhere
            return {0, 0, camera.width - 1, camera.height - 1};
    }
    if (low.x > high.x)
        return {};
    const auto clamped = [](double value, int most) {
        return static_cast<int>(std::clamp(std::floor(value), -1.0, static_cast<double>(most)));
    };
    return {std::max(0, clamped(low.x, camera.width)), std::max(0, clamped(low.y, camera.height)),
            std::min(camera.width - 1, clamped(high.x, camera.width)),
            std::min(camera.height - 1, clamped(high.y, camera.height))};
}

} // namespace

ViewImage show_bodies(const FixtureBodies& bodies, const Stage& stage,
                      const std::vector<LitFixture>& fixtures, double ambient_lx, const BouncedLight& bounced,
                      ViewImage image) {
    if (bodies.parts->opaque.size() == 0)
        return image;
    const Camera& camera = image.camera;
    const BodyLighter lighter(stage, fixtures, ambient_lx, bounced, sun_direction(camera));
    std::vector<std::uint8_t> is_near(image.luminance.size());
    for (std::size_t i = 0; i + 1 < bodies.first.size(); ++i) {
        const PixelBox box = find_box(bodies, i, camera);
        for (int y = box.top; y <= box.bottom; ++y)
            for (int x = box.left; x <= box.right; ++x)
                is_near[image.pixel_at(x, y)] = 1;
    }
    const glm::vec3 eye(camera.eye);
    const auto show = [&](int x, int y) {
        struct Seen {
            glm::vec3 position, facing, reflectance;
        };
        std::vector<Seen> seen;
        for (int j = 0; j < spots_across; ++j)
            for (int i = 0; i < spots_across; ++i) {
                const glm::vec3 direction(
                    camera.direction_at({x + (i + 0.5) / spots_across, y + (j + 0.5) / spots_across}));
                const Hit hit = bodies.parts->kernel->find_hit(eye, direction, 1e-3f, far_away);
                if (!hit)
                    continue;
                Ray ray = make_ray(eye, eye + direction, hit.distance - surface_offset);
                stage.kernel->find_occluded({&ray, 1}, Coherence::incoherent);
                if (ray.is_occluded())
                    continue;
                seen.push_back(
                    {eye + hit.distance * direction,
                     glm::dot(hit.normal, direction) > 0 ? -hit.normal : hit.normal,
                     bodies.parts->materials[bodies.parts->opaque.material[hit.facet]].reflectance});
            }
        if (seen.empty())
            return;
        // Light is found at some of the places: it changes slowly on a body.
        const std::size_t step = std::max<std::size_t>(1, seen.size() / 3);
        BodyLight sum;
        int count = 0;
        for (std::size_t i = step / 2; i < seen.size(); i += step, ++count) {
            const BodyLight one = lighter.light_at(seen[i].position, seen[i].facing, seen[i].reflectance);
            sum.luminance += one.luminance, sum.sky += one.sky, sum.sun += one.sun;
        }
        const float share = static_cast<float>(seen.size()) / (spots_across * spots_across);
        const auto blend = [&](glm::vec3& pixel, const glm::vec3& body) {
            pixel = glm::mix(pixel, body / static_cast<float>(count), share);
        };
        const std::size_t pixel = image.pixel_at(x, y);
        blend(image.luminance[pixel], sum.luminance);
        blend(image.sky_return[pixel], sum.sky);
        if (!image.fine.luminance.empty()) {
            blend(image.fine.luminance[pixel], sum.luminance);
            blend(image.fine.sky_return[pixel], sum.sky);
        }
        for (std::vector<glm::vec3>* sun : {&image.sun_return, &image.fine.sun_return})
            if (!sun->empty())
                blend((*sun)[pixel], sum.sun);
        if (!image.open_share.empty())
            image.open_share[pixel] *= 1 - share;
    };
    parallel_for(camera.height, [&](int y) {
        for (int x = 0; x < camera.width; ++x)
            if (is_near[image.pixel_at(x, y)])
                show(x, y);
    });
    return image;
}

} // namespace duskcast
