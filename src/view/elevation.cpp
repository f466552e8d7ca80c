#include "duskcast/view/elevation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <span>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

std::vector<char> surfaces_of(const Stage& stage, const std::string& part_of) {
    std::vector<char> belongs;
    for (const Surface& surface : stage.surfaces)
        belongs.push_back(surface.part_of == part_of);
    return belongs;
}

/// Calls visit(corners) with the three or four corners of each facet.
template <class Visit>
void for_each_facet(const Stage& stage, const std::vector<char>& belongs, const Visit& visit) {
    std::array<glm::vec3, 3> corners;
    for (const Triangles* triangles : {&stage.opaque, &stage.cutouts})
        for (std::size_t i = 0; i < triangles->size(); ++i)
            if (belongs[triangles->surface[i]]) {
                for (int corner = 0; corner < 3; ++corner)
                    corners[corner] = triangles->vertices[triangles->corners[i][corner]];
                visit(std::span<const glm::vec3>(corners));
            }
    for (std::size_t i = 0; i < stage.leaves.size(); ++i)
        if (belongs[stage.leaves.surface[i]])
            visit(std::span(stage.leaves.corners).subspan(4 * i, 4));
}

template <class Visit>
void for_each_corner(const Stage& stage, const std::vector<char>& belongs, const Visit& visit) {
    for_each_facet(stage, belongs, [&](std::span<const glm::vec3> corners) {
        for (const glm::vec3& corner : corners)
            visit(glm::dvec3(corner));
    });
}

/// The body's first facet along a ray, whatever stands before it.
Hit find_body_hit(const Stage& stage, const std::vector<char>& belongs, const glm::vec3& origin,
                  const glm::vec3& direction, float far_end) {
    constexpr int most_facets = 2000; // on one ray; more cannot be a picture of anything
    constexpr float beyond = 1e-4f;   // metres past a facet before the next is looked for
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

/// The pixels that a facet's rectangle covers, in rows. Rays through the others miss the body, and would only
/// pass all that stands beside it. `right`: of the picture, from `middle` on.
std::vector<char> find_covered(const Stage& stage, const std::vector<char>& belongs, const Elevation& picture,
                               const glm::dvec3& middle, const glm::dvec3& right) {
    constexpr double room = 1e-3; // metres: rays start at floats
    std::vector<char> is_covered(static_cast<std::size_t>(picture.width) * picture.height);
    const auto pixel_at = [&](double metres, int count) {
        return std::clamp(static_cast<int>(std::floor(metres / picture.step)), 0, count - 1);
    };
    for_each_facet(stage, belongs, [&](std::span<const glm::vec3> corners) {
        double left = infinity, last = -infinity, low = infinity, high = -infinity;
        for (const glm::vec3& corner : corners) {
            const double across = glm::dot(glm::dvec3(corner) - middle, right) - picture.u0;
            const double up = static_cast<double>(corner.z) - picture.v0;
            left = std::min(left, across), last = std::max(last, across);
            low = std::min(low, up), high = std::max(high, up);
        }
        const int first_column = pixel_at(left - room, picture.width);
        const int columns = pixel_at(last + room, picture.width) + 1 - first_column;
        const int top = picture.height - 1 - pixel_at(high + room, picture.height);
        const int bottom = picture.height - 1 - pixel_at(low - room, picture.height);
        for (int row = top; row <= bottom; ++row)
            std::fill_n(is_covered.begin() + static_cast<std::ptrdiff_t>(row) * picture.width + first_column,
                        columns, char{1});
    });
    return is_covered;
}

} // namespace

BodyBounds find_body_bounds(const Stage& stage, const std::string& part_of) {
    BodyBounds bounds{glm::dvec3(infinity), glm::dvec3(-infinity)};
    for_each_corner(stage, surfaces_of(stage, part_of), [&](const glm::dvec3& corner) {
        bounds.low = glm::min(bounds.low, corner);
        bounds.high = glm::max(bounds.high, corner);
    });
    return bounds.low.x > bounds.high.x ? BodyBounds{} : bounds;
}

std::vector<glm::dvec2> find_footprint(const Stage& stage, const std::string& part_of) {
    std::vector<glm::dvec2> points;
    for_each_corner(stage, surfaces_of(stage, part_of),
                    [&](const glm::dvec3& corner) { points.emplace_back(corner); });
    const auto is_before = [](const glm::dvec2& a, const glm::dvec2& b) {
        return a.x < b.x || (a.x == b.x && a.y < b.y);
    };
    std::sort(points.begin(), points.end(), is_before);
    // Andrew's monotone chain (1979): the lower side from left to right, then the upper one back.
    std::vector<glm::dvec2> hull;
    for (const bool is_lower : {true, false}) {
        const std::size_t first = hull.size();
        for (const glm::dvec2& point : points) {
            while (hull.size() > first + 1) {
                const glm::dvec2 a = hull.back() - hull[hull.size() - 2], b = point - hull.back();
                if (a.x * b.y - a.y * b.x > 0)
                    break;
                hull.pop_back();
            }
            hull.push_back(point);
        }
        if (!hull.empty())
            hull.pop_back(); // the other side begins with it
        if (is_lower)
            std::reverse(points.begin(), points.end());
    }
    return hull;
}

Elevation trace_elevation(const Stage& stage, const Lighting& lighting, const std::string& part_of,
                          double azimuth, int pixels, int most_columns) {
    Elevation elevation;
    elevation.from = "from the " + print_compass(azimuth, 8);
    elevation.azimuth = azimuth;
    const BodyBounds bounds = find_body_bounds(stage, part_of);
    if (bounds.is_empty() || pixels <= 0)
        return elevation;

    const std::vector<char> belongs = surfaces_of(stage, part_of);
    const glm::dvec3 towards(std::sin(azimuth), std::cos(azimuth), 0);
    const glm::dvec3 right(-towards.y, towards.x, 0);
    const glm::dvec3 middle = bounds.middle();
    double left_end = infinity, right_end = -infinity, before = 0;
    for_each_corner(stage, belongs, [&](const glm::dvec3& corner) {
        left_end = std::min(left_end, glm::dot(corner - middle, right));
        right_end = std::max(right_end, glm::dot(corner - middle, right));
        before = std::max(before, std::abs(glm::dot(corner - middle, towards)));
    });
    before += 1;
    elevation.v0 = std::max(bounds.low.z, 0.0); // what is below ground is not seen
    const double high = std::max(bounds.high.z - elevation.v0, 1e-3);
    const double wide = right_end - left_end;
    elevation.step = std::max(high / pixels, wide / most_columns);
    elevation.height = std::max(1, static_cast<int>(std::ceil(high / elevation.step - 1e-3)));
    elevation.width = std::max(1, static_cast<int>(std::ceil(wide / elevation.step - 1e-3)));
    elevation.u0 = (left_end + right_end - elevation.width * elevation.step) / 2;
    const std::size_t count = static_cast<std::size_t>(elevation.width) * elevation.height;
    elevation.lux.assign(count, -1.0f);
    elevation.cover.assign(count, 0.0f);

    // Four rays a pixel say how much of it the body fills; the first that meets it carries the sensor.
    constexpr std::array<glm::dvec2, 4> spots = {
        {{0.375, 0.125}, {0.875, 0.375}, {0.125, 0.625}, {0.625, 0.875}}};
    Sensors sensors;
    std::vector<double> sum;                            // one a sensor
    std::vector<float> glow(stage.glow_sources.size()); // lux at one of them
    std::vector<std::size_t> pixel_of;
    std::size_t pixel = 0;
    const std::vector<char> is_covered = find_covered(stage, belongs, elevation, middle, right);
    for (int row = 0; row < elevation.height; ++row)
        for (int column = 0; column < elevation.width; ++column, ++pixel)
            for (const glm::dvec2& spot : spots) {
                if (!is_covered[pixel])
                    break;
                const double u = elevation.u0 + (column + spot.x) * elevation.step;
                const double z = elevation.v0 + (elevation.height - row - spot.y) * elevation.step;
                const glm::vec3 origin(glm::dvec3(middle.x, middle.y, z) + u * right + before * towards);
                const glm::vec3 direction(-towards);
                const Hit hit =
                    find_body_hit(stage, belongs, origin, direction, static_cast<float>(2 * before));
                if (!hit)
                    continue;
                if (elevation.cover[pixel] == 0) {
                    const float side = glm::dot(hit.normal, glm::vec3(towards)) < 0 ? -1.0f : 1.0f;
                    const glm::vec3 position = origin + hit.distance * direction;
                    const glm::vec3 facing = side * hit.normal;
                    sensors.add(position, facing, static_cast<float>(elevation.step * elevation.step));
                    double lux = 0;
                    if (lighting.bounced_at) {
                        lux = luminance_of(lighting.bounced_at(hit, position, facing));
                        if (!glow.empty() && lighting.bounced_at.glow() &&
                            lighting.bounced_at.glow()(hit, position, facing, glow))
                            lux = std::accumulate(glow.begin(), glow.end(), lux);
                    }
                    sum.push_back(lux);
                    pixel_of.push_back(pixel);
                }
                elevation.cover[pixel] += 1.0f / spots.size();
            }

    constexpr double least_shown = 1e-4; // of one fixture; no plate shows as little
    for (const LitFixture& fixture : lighting.fixtures)
        add_direct_light(stage, fixture, sensors, least_shown, sum);
    for (std::size_t i = 0; i < sum.size(); ++i)
        elevation.lux[pixel_of[i]] = static_cast<float>(sum[i]);
    return elevation;
}

} // namespace duskcast
