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

/// Calls visit(corners, kind, facet) with the three or four corners of each facet.
template <class Visit>
void for_each_facet(const Stage& stage, const std::vector<char>& belongs, const Visit& visit) {
    std::array<glm::vec3, 3> corners;
    for (const FacetKind kind : {FacetKind::opaque, FacetKind::cutout}) {
        const Triangles& triangles = kind == FacetKind::opaque ? stage.opaque : stage.cutouts;
        for (std::size_t i = 0; i < triangles.size(); ++i)
            if (belongs[triangles.surface[i]]) {
                for (int corner = 0; corner < 3; ++corner)
                    corners[corner] = triangles.vertices[triangles.corners[i][corner]];
                visit(std::span<const glm::vec3>(corners), kind, i);
            }
    }
    for (std::size_t i = 0; i < stage.leaves.size(); ++i)
        if (belongs[stage.leaves.surface[i]])
            visit(std::span(stage.leaves.corners).subspan(4 * i, 4), FacetKind::leaf, i);
}

template <class Visit>
void for_each_corner(const Stage& stage, const std::vector<char>& belongs, const Visit& visit) {
    for_each_facet(stage, belongs, [&](std::span<const glm::vec3> corners, FacetKind, std::size_t) {
        for (const glm::vec3& corner : corners)
            visit(glm::dvec3(corner));
    });
}

/// The body's first facet along a ray, whatever stands before it.
Hit find_body_hit(const Stage& stage, const std::vector<char>& belongs, const glm::vec3& origin,
                  const glm::vec3& direction, float near_end, float far_end) {
    constexpr int most_facets = 2000; // on one ray; more cannot be a picture of anything
    constexpr float beyond = 1e-4f;   // metres past a facet before the next is looked for
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

/// Where rays go through a pixel, counted from its upper left corner: each row and each column of a grid of
/// four by four at most once.
constexpr std::array<glm::dvec2, 4> pixel_spots = {
    {{0.375, 0.125}, {0.875, 0.375}, {0.125, 0.625}, {0.625, 0.875}}};

/// Where a picture looks from.
struct Outlook {
    glm::dvec3 middle;  ///< of the body
    glm::dvec3 right;   ///< of the picture
    glm::dvec3 towards; ///< the viewer
    double before;      ///< metres from the middle to where its rays start
};

/// What of the body each spot of a picture shows, and how far away it is. All rays run alike, so each facet
/// is put down on the spots that it covers, the foremost first.
class BodyDepths {
public:
    BodyDepths(const Stage& stage, const std::vector<char>& belongs, const Elevation& picture,
               const Outlook& from)
        : picture_(picture), spots_(picture.lux.size() * pixel_spots.size()) {
        for (std::size_t i = 0; i < stage.cutouts.size() && !has_holes_; ++i)
            has_holes_ = belongs[stage.cutouts.surface[i]] != 0;
        std::vector<PixelFacet> facets;
        for_each_facet(
            stage, belongs, [&](std::span<const glm::vec3> corners, FacetKind kind, std::size_t i) {
                PixelFacet facet{.count = static_cast<int>(corners.size()),
                                 .hit = {.kind = kind, .facet = static_cast<std::uint32_t>(i)}};
                const glm::dvec3 normal = glm::cross(glm::dvec3(corners[1]) - glm::dvec3(corners[0]),
                                                     glm::dvec3(corners[2]) - glm::dvec3(corners[0]));
                if (normal != glm::dvec3(0))
                    facet.hit.normal = glm::vec3(glm::normalize(normal));
                for (std::size_t k = 0; k < corners.size(); ++k) {
                    const glm::dvec3 way = glm::dvec3(corners[k]) - from.middle;
                    const double up = static_cast<double>(corners[k].z) - picture.v0;
                    facet.corners[k] = {(glm::dot(way, from.right) - picture.u0) / picture.step,
                                        picture.height - up / picture.step,
                                        from.before - glm::dot(way, from.towards)};
                    facet.nearest = std::min(facet.nearest, facet.corners[k].z);
                }
                facets.push_back(facet);
            });
        std::sort(facets.begin(), facets.end(),
                  [](const PixelFacet& a, const PixelFacet& b) { return a.nearest < b.nearest; });
        for (std::size_t i = 0; i < facets.size(); ++i)
            put(facets[i], static_cast<std::uint32_t>(i));
        for (const PixelFacet& facet : facets)
            hits_.push_back(facet.hit);
    }

    /// Metres from the ray's start; infinity where it misses the body.
    double at(std::size_t pixel, std::size_t spot) const {
        return spots_[pixel * pixel_spots.size() + spot].metres;
    }
    /// What the ray through a spot meets, of a body without holes and where it does not miss it.
    Hit hit_at(std::size_t pixel, std::size_t spot) const {
        const Spot& shown = spots_[pixel * pixel_spots.size() + spot];
        Hit hit = hits_[shown.facet];
        hit.distance = static_cast<float>(shown.metres);
        return hit;
    }
    /// Whether parts of the body are see-through, so that only a ray can tell what it meets.
    bool has_holes() const { return has_holes_; }

private:
    struct PixelFacet {
        int count = 0;
        Hit hit;                             ///< of a ray that meets it, but for the distance
        double nearest = infinity;           ///< metres
        std::array<glm::dvec3, 4> corners{}; ///< pixels from the left and from the top, metres away
    };
    struct Spot {
        double metres = infinity;
        std::uint32_t facet = 0; ///< in the order that they are put down in
    };

    void put(const PixelFacet& facet, std::uint32_t index) {
        glm::dvec3 low = facet.corners[0], high = facet.corners[0];
        for (int k = 1; k < facet.count; ++k) {
            low = glm::min(low, facet.corners[k]);
            high = glm::max(high, facet.corners[k]);
        }
        const auto pixel_at = [](double place, int count) {
            return std::clamp(static_cast<int>(std::floor(place)), 0, count - 1);
        };
        const int right = pixel_at(high.x, picture_.width), bottom = pixel_at(high.y, picture_.height);
        // Twice its area in the picture, and how its distance grows along the picture's two ways.
        const glm::dvec3 one = facet.corners[1] - facet.corners[0],
                         other = facet.corners[2] - facet.corners[0];
        const glm::dvec3 normal = glm::cross(one, other);
        if (!has_holes_ && normal.z == 0)
            return;
        for (int row = pixel_at(low.y, picture_.height); row <= bottom; ++row)
            for (int column = pixel_at(low.x, picture_.width); column <= right; ++column)
                for (std::size_t s = 0; s < pixel_spots.size(); ++s) {
                    Spot& spot = spots_[(static_cast<std::size_t>(row) * picture_.width + column) *
                                            pixel_spots.size() +
                                        s];
                    if (has_holes_)
                        spot.metres = 0;
                    if (!(facet.nearest < spot.metres))
                        continue;
                    const glm::dvec2 at = glm::dvec2(column, row) + pixel_spots[s];
                    const glm::dvec2 way = at - glm::dvec2(facet.corners[0]);
                    const double here = facet.corners[0].z - (normal.x * way.x + normal.y * way.y) / normal.z;
                    if (here < spot.metres && is_on(facet, at, normal.z))
                        spot = {here, index};
                }
    }

    static bool is_on(const PixelFacet& facet, const glm::dvec2& at, double turn) {
        for (int k = 0; k < facet.count; ++k) {
            const glm::dvec2 from(facet.corners[k]), to(facet.corners[k + 1 < facet.count ? k + 1 : 0]);
            const glm::dvec2 edge = to - from, way = at - from;
            if ((edge.x * way.y - edge.y * way.x) * turn < 0)
                return false;
        }
        return true;
    }

    const Elevation& picture_;
    bool has_holes_ = false;
    std::vector<Spot> spots_; ///< by pixels, then spots
    std::vector<Hit> hits_;   ///< one a facet
};

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

    // Four spots of a pixel say how much of it the body fills; the first that meets it carries the sensor.
    Sensors sensors;
    std::vector<double> sum;                            // one a sensor
    std::vector<float> glow(stage.glow_sources.size()); // lux at one of them
    std::vector<std::size_t> pixel_of;
    std::size_t pixel = 0;
    const BodyDepths depths(stage, belongs, elevation, {middle, right, towards, before});
    for (int row = 0; row < elevation.height; ++row)
        for (int column = 0; column < elevation.width; ++column, ++pixel)
            for (std::size_t s = 0; s < pixel_spots.size(); ++s) {
                if (depths.at(pixel, s) == infinity)
                    continue;
                if (elevation.cover[pixel] == 0 || depths.has_holes()) {
                    const double u = elevation.u0 + (column + pixel_spots[s].x) * elevation.step;
                    const double z =
                        elevation.v0 + (elevation.height - row - pixel_spots[s].y) * elevation.step;
                    const glm::vec3 origin(glm::dvec3(middle.x, middle.y, z) + u * right + before * towards);
                    const glm::vec3 direction(-towards);
                    const Hit hit = depths.has_holes() ? find_body_hit(stage, belongs, origin, direction, 0,
                                                                       static_cast<float>(2 * before))
                                                       : depths.hit_at(pixel, s);
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
                }
                elevation.cover[pixel] += 1.0f / pixel_spots.size();
            }

    constexpr double least_shown = 1e-4; // of one fixture; no plate shows as little
    for (const LitFixture& fixture : lighting.fixtures)
        add_direct_light(stage, fixture, sensors, least_shown, sum);
    for (std::size_t i = 0; i < sum.size(); ++i)
        elevation.lux[pixel_of[i]] = static_cast<float>(sum[i]);
    return elevation;
}

} // namespace duskcast
