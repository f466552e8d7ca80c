#include "duskcast/picture/elevation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "body.hpp"

namespace duskcast {
namespace {

std::vector<char> surfaces_of(const Stage& stage, const std::string& part_of) {
    std::vector<char> belongs;
    for (const Surface& surface : stage.surfaces)
        belongs.push_back(surface.part_of == part_of);
    return belongs;
}

std::string name_side(double azimuth) {
    static constexpr std::array names = {"north", "north-east", "east", "south-east",
                                         "south", "south-west", "west", "north-west"};
    const long eighth = std::lround(azimuth / (pi / 4)) % 8;
    return std::string("from the ") + names[static_cast<std::size_t>(eighth < 0 ? eighth + 8 : eighth)];
}

/// The body's first facet along a ray, whatever stands before it.
Hit find_body_hit(const Stage& stage, const std::vector<char>& belongs, const glm::vec3& origin,
                  const glm::vec3& direction, float far_end) {
    constexpr int most_facets = 2000;    // on one ray; more cannot be a picture of anything
    constexpr float beyond = 1e-4f;      // metres past a facet before the next is looked for
    float near_end = 0;
    for (int i = 0; i < most_facets; ++i) {
        const Hit hit = stage.kernel->find_hit(origin, direction, near_end, far_end);
        if (!hit)
            break;
        const int surface = stage.surface_of(hit, origin + hit.distance * direction);
        if (surface >= 0 && belongs[static_cast<std::size_t>(surface)])
            return hit;
        near_end = hit.distance + beyond;
    }
    return {};
}

} // namespace

BodyBounds find_body_bounds(const Stage& stage, const std::string& part_of) {
    const std::vector<char> belongs = surfaces_of(stage, part_of);
    const double infinity = std::numeric_limits<double>::infinity();
    BodyBounds bounds{glm::dvec3(infinity), glm::dvec3(-infinity)};
    const auto include = [&](const glm::vec3& point) {
        bounds.low = glm::min(bounds.low, glm::dvec3(point));
        bounds.high = glm::max(bounds.high, glm::dvec3(point));
    };
    for (const Triangles* triangles : {&stage.opaque, &stage.cutouts})
        for (std::size_t i = 0; i < triangles->size(); ++i)
            if (belongs[triangles->surface[i]])
                for (int corner = 0; corner < 3; ++corner)
                    include(triangles->vertices[triangles->corners[i][corner]]);
    for (std::size_t i = 0; i < stage.leaves.size(); ++i)
        if (belongs[stage.leaves.surface[i]])
            for (std::size_t corner = 4 * i; corner < 4 * i + 4; ++corner)
                include(stage.leaves.corners[corner]);
    return bounds.low.x > bounds.high.x ? BodyBounds{} : bounds;
}

Elevation trace_elevation(const Stage& stage, const Lighting& lighting, const std::string& part_of,
                          double azimuth, int pixels) {
    Elevation elevation;
    elevation.from = name_side(azimuth);
    elevation.azimuth = azimuth;
    const BodyBounds bounds = find_body_bounds(stage, part_of);
    if (bounds.is_empty() || pixels <= 0)
        return elevation;

    const glm::dvec3 towards(std::sin(azimuth), std::cos(azimuth), 0);
    const glm::dvec3 right(-towards.y, towards.x, 0);
    const glm::dvec3 middle = bounds.middle();
    // The rectangle's corners, seen square-on.
    const glm::dvec3 half = (bounds.high - bounds.low) / 2.0;
    const double half_width = std::abs(right.x) * half.x + std::abs(right.y) * half.y;
    const double half_depth = std::abs(towards.x) * half.x + std::abs(towards.y) * half.y;
    elevation.v0 = std::max(bounds.low.z, 0.0); // what is below ground is not seen
    elevation.step = std::max(bounds.high.z - elevation.v0, 1e-3) / pixels;
    elevation.height = pixels;
    elevation.width = std::max(1, static_cast<int>(std::ceil(2 * half_width / elevation.step)));
    elevation.u0 = -elevation.width * elevation.step / 2;
    elevation.lux.assign(static_cast<std::size_t>(elevation.width) * elevation.height, -1.0f);

    const std::vector<char> belongs = surfaces_of(stage, part_of);
    const double before = half_depth + 1;
    Sensors sensors;
    std::vector<std::size_t> pixel_of;
    for (int row = 0; row < elevation.height; ++row)
        for (int column = 0; column < elevation.width; ++column) {
            const double u = elevation.u0 + (column + 0.5) * elevation.step;
            const double z = elevation.v0 + (elevation.height - row - 0.5) * elevation.step;
            const glm::vec3 origin(glm::dvec3(middle.x, middle.y, z) + u * right + before * towards);
            const glm::vec3 direction(-towards);
            const Hit hit = find_body_hit(stage, belongs, origin, direction, static_cast<float>(2 * before));
            if (!hit)
                continue;
            const float side = glm::dot(hit.normal, glm::vec3(towards)) < 0 ? -1.0f : 1.0f;
            sensors.add(origin + hit.distance * direction, side * hit.normal,
                        static_cast<float>(elevation.step * elevation.step));
            pixel_of.push_back(static_cast<std::size_t>(row) * elevation.width + column);
        }

    std::vector<double> sum(sensors.size(), 0.0);
    std::vector<float> layer(sensors.size());
    for (const LitFixture& fixture : lighting.fixtures) {
        const Sight sight = trace_sight(stage, sensors, 0, fixture.lens);
        evaluate_layer(sight, sensors, fixture.aim, fixture.table, fixture.scale, layer);
        for (std::size_t i = 0; i < sum.size(); ++i)
            sum[i] += layer[i];
    }
    for (std::size_t i = 0; i < sum.size(); ++i)
        elevation.lux[pixel_of[i]] = static_cast<float>(sum[i]);
    return elevation;
}

} // namespace duskcast
