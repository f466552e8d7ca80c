#include "cell_part.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "duskcast/site/layout.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

namespace {

constexpr double no_area = 1e-14; // m2: what rounding leaves of a part

double cross_of(const glm::dvec2& a, const glm::dvec2& b) {
    return a.x * b.y - a.y * b.x;
}

glm::dvec2 centroid_of(const ConvexPart& part) {
    glm::dvec2 sum{0};
    double twice = 0;
    for (std::size_t i = 1; i + 1 < part.size(); ++i) { // from the first corner, to lose no digits
        const glm::dvec2 a = part[i] - part[0], b = part[i + 1] - part[0];
        sum += cross_of(a, b) * (a + b) / 3.0;
        twice += cross_of(a, b);
    }
    return part[0] + (twice > 0 ? sum / twice : glm::dvec2(0));
}

/// The point of the line's stretch that is nearest to `point`.
glm::dvec2 nearest_on(const PlaneLine& line, const glm::dvec2& point) {
    const glm::dvec2 way = line.to - line.from;
    const double square = glm::dot(way, way);
    const double share = square > 0 ? glm::dot(point - line.from, way) / square : 0;
    return line.from + std::clamp(share, 0.0, 1.0) * way;
}

/// What is at least `margin` inside of every edge; empty where nothing is.
ConvexPart inset(const ConvexPart& part, double margin) {
    ConvexPart inner = part;
    for (std::size_t i = 0; i < part.size() && inner.size() > 2; ++i) {
        const glm::dvec2& a = part[i];
        const glm::dvec2& b = part[(i + 1) % part.size()];
        const double length = glm::length(b - a);
        if (!(length > 0))
            continue;
        const glm::dvec2 inward = glm::dvec2(a.y - b.y, b.x - a.x) * (margin / length);
        inner = keep_left(inner, {a + inward, b + inward});
    }
    return inner.size() > 2 ? inner : ConvexPart{};
}

glm::dvec2 nearest_in(const ConvexPart& part, const glm::dvec2& point) {
    glm::dvec2 nearest = point;
    double distance = std::numeric_limits<double>::infinity();
    bool is_within = true;
    for (std::size_t i = 0; i < part.size(); ++i) {
        const PlaneLine edge{part[i], part[(i + 1) % part.size()]};
        is_within = is_within && cross_of(edge.to - edge.from, point - edge.from) >= 0;
        const glm::dvec2 on = nearest_on(edge, point);
        if (glm::distance(on, point) < distance) {
            distance = glm::distance(on, point);
            nearest = on;
        }
    }
    return is_within ? point : nearest;
}

/// Adds where a triangle passes through the plane to the lines.
void cut_triangle(const std::array<glm::dvec3, 3>& corner, std::vector<PlaneLine>& lines) {
    std::array<glm::dvec2, 3> ends;
    int count = 0;
    for (int i = 0; i < 3; ++i) {
        const glm::dvec3 &a = corner[i], &b = corner[(i + 1) % 3];
        if ((a.z < 0) != (b.z < 0))
            ends[count++] = glm::dvec2(a + a.z / (a.z - b.z) * (b - a));
    }
    if (count == 2)
        lines.push_back({ends[0], ends[1]});
}

} // namespace

ConvexPart keep_left(const ConvexPart& part, const PlaneLine& line) {
    ConvexPart kept;
    const glm::dvec2 way = line.to - line.from;
    for (std::size_t i = 0; i < part.size(); ++i) {
        const glm::dvec2 &a = part[i], &b = part[(i + 1) % part.size()];
        const double left_a = cross_of(way, a - line.from), left_b = cross_of(way, b - line.from);
        if (left_a >= 0)
            kept.push_back(a);
        if ((left_a > 0 && left_b < 0) || (left_a < 0 && left_b > 0))
            kept.push_back(a + left_a / (left_a - left_b) * (b - a));
    }
    return kept;
}

FacetLines::FacetLines(const Triangles& opaque, const Triangles& cutouts, const PlaneFrame& frame,
                       const glm::dvec2& low, const glm::dvec2& high) {
    gather(opaque, cutouts, frame.origin, frame.normal(), frame.u, frame.v, low, high);
}

FacetLines::FacetLines(const Triangles& opaque, const Triangles& cutouts, const GroundPlane& ground,
                       const glm::dvec2& low, const glm::dvec2& high) {
    gather(opaque, cutouts, {0, 0, ground.height}, ground.normal(), {1, 0, 0}, {0, 1, 0}, low, high);
}

void FacetLines::gather(const Triangles& opaque, const Triangles& cutouts, const glm::dvec3& on_plane,
                        const glm::dvec3& normal, const glm::dvec3& u, const glm::dvec3& v,
                        const glm::dvec2& low, const glm::dvec2& high) {
    constexpr double usual_band = 0.5;
    constexpr double most_bands = 4096;
    const glm::dvec3 origin = on_plane + static_cast<double>(surface_offset) * normal;
    std::vector<PlaneLine> lines;
    for (const Triangles* triangles : {&opaque, &cutouts}) {
        std::vector<float> height(triangles->vertices.size());
        for (std::size_t i = 0; i < height.size(); ++i)
            height[i] = static_cast<float>(glm::dot(glm::dvec3(triangles->vertices[i]) - origin, normal));
        for (const glm::uvec3& index : triangles->corners) {
            const bool is_below = height[index.x] < 0;
            if ((height[index.y] < 0) == is_below && (height[index.z] < 0) == is_below)
                continue;
            std::array<glm::dvec3, 3> corner;
            for (int i = 0; i < 3; ++i) {
                const glm::dvec3 way = glm::dvec3(triangles->vertices[index[i]]) - origin;
                corner[i] = {glm::dot(way, u), glm::dot(way, v), height[index[i]]};
            }
            cut_triangle(corner, lines);
        }
    }
    low_ = low.y;
    band_ = std::max(usual_band, (high.y - low.y) / most_bands);
    bands_.resize(static_cast<std::size_t>(std::max(0.0, (high.y - low.y) / band_)) + 1);
    for (const PlaneLine& line : lines) {
        const auto [left, right] = std::minmax(line.from.x, line.to.x);
        const auto [lower, upper] = std::minmax(line.from.y, line.to.y);
        if (right < low.x - sensor_clearance || left > high.x + sensor_clearance ||
            upper < low.y - sensor_clearance || lower > high.y + sensor_clearance)
            continue;
        for (int band = band_of(lower - sensor_clearance); band <= band_of(upper + sensor_clearance); ++band)
            bands_[band].push_back(line);
    }
}

int FacetLines::band_of(double v) const {
    return static_cast<int>(std::clamp((v - low_) / band_, 0.0, static_cast<double>(bands_.size() - 1)));
}

const PlaneLine* FacetLines::find_near(const glm::dvec2& point) const {
    if (bands_.empty())
        return nullptr;
    for (const PlaneLine& line : bands_[band_of(point.y)])
        if (glm::distance(nearest_on(line, point), point) < sensor_clearance * (1 - 1e-9))
            return &line;
    return nullptr;
}

KeptCell find_kept(std::vector<ConvexPart> parts, const FacetLines& lines) {
    constexpr int most_cuts = 16;
    KeptCell kept;
    glm::dvec2 middle{0};
    double largest = -1;
    for (const ConvexPart& part : parts) {
        const double area = signed_area(part);
        if (!(area > no_area))
            continue;
        const glm::dvec2 centroid = centroid_of(part);
        kept.area += area;
        middle += area * centroid;
        if (area > largest) {
            largest = area;
            kept.spot = centroid;
        }
    }
    kept.is_narrow = true;
    if (!(kept.area > 0))
        return kept;
    middle /= kept.area;
    for (int cut = 0; cut < most_cuts; ++cut) {
        double nearest = std::numeric_limits<double>::infinity();
        glm::dvec2 spot{0};
        for (const ConvexPart& part : parts) {
            const ConvexPart inner = inset(part, sensor_clearance);
            if (inner.empty())
                continue;
            const glm::dvec2 in_part = nearest_in(inner, middle);
            // Clearly nearer: parts on both sides of the middle are equals but for rounding.
            if (glm::distance(in_part, middle) < nearest - 1e-7) {
                nearest = glm::distance(in_part, middle);
                spot = in_part;
            }
        }
        if (!(nearest < std::numeric_limits<double>::infinity()))
            return kept;
        const PlaneLine* line = lines.find_near(spot);
        if (line == nullptr) {
            kept.spot = spot;
            kept.is_narrow = false;
            return kept;
        }
        std::vector<ConvexPart> both_sides;
        for (const ConvexPart& part : parts)
            for (const PlaneLine& side : {*line, PlaneLine{line->to, line->from}})
                if (ConvexPart half = keep_left(part, side); half.size() > 2)
                    both_sides.push_back(std::move(half));
        parts = std::move(both_sides);
    }
    return kept;
}

std::vector<ConvexPart> cut_rectangle(const glm::dvec2& low, const glm::dvec2& high,
                                      std::span<const PlaneLine> edges) {
    std::vector<double> lines{low.x, high.x};
    const auto add_line = [&](double x) {
        if (x > low.x && x < high.x)
            lines.push_back(x);
    };
    for (std::size_t i = 0; i < edges.size(); ++i) {
        add_line(edges[i].from.x);
        add_line(edges[i].to.x);
        const glm::dvec2 way = edges[i].to - edges[i].from;
        for (std::size_t j = 0; j < i; ++j) {
            const glm::dvec2 other = edges[j].to - edges[j].from;
            const double cross = cross_of(way, other);
            if (cross == 0)
                continue;
            const double share = cross_of(edges[j].from - edges[i].from, other) / cross;
            add_line(edges[i].from.x + share * way.x);
        }
        // Where it leaves the rectangle below and above.
        for (const double y : {low.y, high.y})
            if (way.y != 0)
                add_line(edges[i].from.x + (y - edges[i].from.y) / way.y * way.x);
    }
    std::sort(lines.begin(), lines.end());
    std::vector<ConvexPart> parts;
    for (std::size_t i = 0; i + 1 < lines.size(); ++i) {
        const double left = lines[i], right = lines[i + 1];
        if (!(right > left))
            continue;
        // Heights at both ends of all that spans the strip: nothing crosses within it.
        std::vector<std::array<double, 2>> heights{{low.y, low.y}, {high.y, high.y}};
        for (const PlaneLine& edge : edges) {
            const auto [first, last] = std::minmax(edge.from.x, edge.to.x);
            if (first > left || last < right || !(last > first))
                continue;
            const auto height_at = [&](double x) {
                const double y =
                    edge.from.y + (x - edge.from.x) / (edge.to.x - edge.from.x) * (edge.to.y - edge.from.y);
                return std::clamp(y, low.y, high.y);
            };
            heights.push_back({height_at(left), height_at(right)});
        }
        std::sort(heights.begin(), heights.end(),
                  [](const auto& a, const auto& b) { return a[0] + a[1] < b[0] + b[1]; });
        for (std::size_t k = 0; k + 1 < heights.size(); ++k) {
            const auto &below = heights[k], &above = heights[k + 1];
            ConvexPart part{{left, below[0]}, {right, below[1]}, {right, above[1]}, {left, above[0]}};
            if (signed_area(part) > no_area)
                parts.push_back(std::move(part));
        }
    }
    return parts;
}

} // namespace duskcast
