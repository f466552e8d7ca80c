// Upright faces over a run: triangles and sensor grids.

#include <algorithm>
#include <cmath>

#include "builder.hpp"

namespace duskcast {

namespace {

constexpr double same = 1e-6; // metres: breaks nearer than this are one

void sort_unique(std::vector<double>& values) {
    std::sort(values.begin(), values.end());
    values.erase(std::unique(values.begin(), values.end(), [](double a, double b) { return b - a < same; }),
                 values.end());
}

/// All heights at which the face bends on the upright line at u.
std::vector<double> heights_at(const UprightFace& face, double u) {
    const double top = face.top(u);
    std::vector<double> heights{face.low, top};
    for (const Patch& hole : face.holes)
        if (u > hole.u0 - same && u < hole.u1 + same)
            for (const double height : {hole.v0, hole.v1})
                if (height > face.low && height < top)
                    heights.push_back(height);
    sort_unique(heights);
    return heights;
}

/// The heights of a line between two ends, ends included.
std::vector<double> cut_chain(const std::vector<double>& heights, double from, double to) {
    std::vector<double> chain{from};
    for (const double height : heights)
        if (height > from + same && height < to - same)
            chain.push_back(height);
    if (to > from + same)
        chain.push_back(to);
    return chain;
}

class FaceBuilder {
public:
    FaceBuilder(const UprightFace& face, std::uint16_t material, std::uint16_t surface, bool is_solid,
                Triangles& triangles)
        : face_(face), material_(material), surface_(surface), is_solid_(is_solid), triangles_(triangles) {}

    void build_segment(std::size_t index) {
        const RunSegment& segment = face_.run[index];
        const double end = segment.along + segment.length;
        std::vector<double> lines{segment.along, end};
        const auto add_line = [&](double u) {
            if (u > segment.along + same && u < end - same)
                lines.push_back(u);
        };
        for (const double u : face_.breaks)
            add_line(u);
        for (const Patch& hole : face_.holes) {
            add_line(hole.u0);
            add_line(hole.u1);
        }
        sort_unique(lines);
        for (std::size_t i = 0; i + 1 < lines.size(); ++i)
            build_strip(index, lines[i], lines[i + 1]);
    }

private:
    void build_strip(std::size_t index, double left, double right) {
        std::vector<Patch> holes;
        for (const Patch& hole : face_.holes)
            if (hole.u0 < left + same && hole.u1 > right - same)
                holes.push_back(hole);
        std::sort(holes.begin(), holes.end(), [](const Patch& a, const Patch& b) { return a.v0 < b.v0; });
        const std::vector<double> left_heights = heights_at(face_, left);
        const std::vector<double> right_heights = heights_at(face_, right);
        double from = face_.low;
        for (const Patch& hole : holes) {
            zip(index, left, cut_chain(left_heights, from, hole.v0), right,
                cut_chain(right_heights, from, hole.v0));
            from = hole.v1;
        }
        zip(index, left, cut_chain(left_heights, from, std::max(from, face_.top(left))), right,
            cut_chain(right_heights, from, std::max(from, face_.top(right))));
    }

    unsigned add_vertex(std::size_t index, double u, double v) {
        triangles_.vertices.emplace_back(glm::dvec3(point_on(face_, index, u), face_.foot + v));
        return static_cast<unsigned>(triangles_.vertices.size() - 1);
    }

    /// Joins two upright chains with triangles that use every one of their points.
    void zip(std::size_t index, double left, const std::vector<double>& left_chain, double right,
             const std::vector<double>& right_chain) {
        if (left_chain.size() < 2 && right_chain.size() < 2)
            return;
        std::vector<unsigned> a;
        std::vector<unsigned> b;
        for (const double v : left_chain)
            a.push_back(add_vertex(index, left, v));
        for (const double v : right_chain)
            b.push_back(add_vertex(index, right, v));
        std::size_t i = 0;
        std::size_t j = 0;
        while (i + 1 < a.size() || j + 1 < b.size()) {
            const bool climb_left =
                j + 1 == b.size() || (i + 1 < a.size() && left_chain[i + 1] <= right_chain[j + 1]);
            if (climb_left) {
                triangles_.add({a[i], b[j], a[i + 1]}, material_, surface_, is_solid_);
                ++i;
            } else {
                triangles_.add({a[i], b[j], b[j + 1]}, material_, surface_, is_solid_);
                ++j;
            }
        }
    }

    const UprightFace& face_;
    std::uint16_t material_;
    std::uint16_t surface_;
    bool is_solid_;
    Triangles& triangles_;
};

double overlap(double a0, double a1, double b0, double b1) {
    return std::max(0.0, std::min(a1, b1) - std::max(a0, b0));
}

/// Integral over a unit step of clamp(t, 0, h), t running straight from t0 to t1.
double clamped_mean(double t0, double t1, double h) {
    if (t0 > t1)
        std::swap(t0, t1);
    // Antiderivative of clamp(t, 0, h): 0, t^2/2, then h t - h^2/2.
    const auto antiderivative = [h](double t) { return t <= 0 ? 0 : t < h ? t * t / 2 : h * t - h * h / 2; };
    if (t1 - t0 < 1e-12)
        return std::clamp(t0, 0.0, h);
    return (antiderivative(t1) - antiderivative(t0)) / (t1 - t0);
}

bool is_lit_part(const UprightFace& face, double u, double v) {
    const auto hides = [&](const Patch& patch) { return patch.contains(u, v); };
    return v >= std::max(face.low, 0.0) && v <= face.top(u) &&
           std::none_of(face.holes.begin(), face.holes.end(), hides) &&
           std::none_of(face.covered.begin(), face.covered.end(), hides);
}

/// The cell's centre where it is on the face, else the spot on the face nearest to the middle of what
/// is left of the cell.
std::optional<glm::dvec2> find_spot(const UprightFace& face, const Patch& cell) {
    const glm::dvec2 centre((cell.u0 + cell.u1) / 2, (cell.v0 + cell.v1) / 2);
    if (is_lit_part(face, centre.x, centre.y))
        return centre;
    constexpr int parts = 16;
    std::vector<glm::dvec2> inside;
    glm::dvec2 sum(0);
    for (int row = 0; row < parts; ++row)
        for (int column = 0; column < parts; ++column) {
            const glm::dvec2 spot(cell.u0 + (column + 0.5) / parts * (cell.u1 - cell.u0),
                                  cell.v0 + (row + 0.5) / parts * (cell.v1 - cell.v0));
            if (is_lit_part(face, spot.x, spot.y)) {
                inside.push_back(spot);
                sum += spot;
            }
        }
    if (inside.empty())
        return std::nullopt;
    const glm::dvec2 middle = sum / static_cast<double>(inside.size());
    return *std::min_element(inside.begin(), inside.end(), [&](const glm::dvec2& a, const glm::dvec2& b) {
        return glm::dot(a - middle, a - middle) < glm::dot(b - middle, b - middle);
    });
}

} // namespace

glm::dvec2 point_on(const UprightFace& face, std::size_t index, double u) {
    const RunSegment& segment = face.run[index];
    if (u > segment.along + segment.length - same) {
        if (index + 1 < face.run.size())
            return face.run[index + 1].start;
        if (face.closed)
            return face.run.front().start;
    }
    return segment.start + (u - segment.along) * segment.direction;
}

void build_upright(const UprightFace& face, std::uint16_t material, std::uint16_t surface, bool is_solid,
                   Triangles& triangles) {
    FaceBuilder builder(face, material, surface, is_solid, triangles);
    for (std::size_t index = 0; index < face.run.size(); ++index)
        builder.build_segment(index);
}

double measure_face_area(const UprightFace& face, const Patch& patch) {
    const double v0 = std::max({patch.v0, face.low, 0.0});
    const double h = patch.v1 - v0;
    if (h <= 0)
        return 0;
    std::vector<double> lines{patch.u0, patch.u1};
    for (const double u : face.breaks)
        if (u > patch.u0 && u < patch.u1)
            lines.push_back(u);
    std::sort(lines.begin(), lines.end());
    double area = 0;
    for (std::size_t i = 0; i + 1 < lines.size(); ++i)
        area +=
            (lines[i + 1] - lines[i]) * clamped_mean(face.top(lines[i]) - v0, face.top(lines[i + 1]) - v0, h);
    for (const std::vector<Patch>* hidden : {&face.holes, &face.covered})
        for (const Patch& part : *hidden)
            area -= overlap(part.u0, part.u1, patch.u0, patch.u1) * overlap(part.v0, part.v1, v0, patch.v1);
    return std::max(area, 0.0);
}

std::vector<SensorSpot> place_face_sensors(const UprightFace& face, double spacing, SensorGrid& grid) {
    const RunSegment& last = face.run.back();
    const double length = last.along + last.length;
    double highest = 0;
    std::vector<double> bends{0, length};
    bends.insert(bends.end(), face.breaks.begin(), face.breaks.end());
    for (const double u : bends)
        highest = std::max(highest, face.top(u));
    grid = SensorGrid{.u0 = 0, .v0 = std::max(face.low, 0.0), .step = spacing};
    grid.columns = std::max(1, static_cast<int>(std::ceil(length / spacing - 1e-6)));
    grid.rows = std::max(1, static_cast<int>(std::ceil((highest - grid.v0) / spacing - 1e-6)));
    grid.sensor.assign(static_cast<std::size_t>(grid.columns) * grid.rows, -1);
    for (int column = 0; column < grid.columns; ++column)
        grid.top.push_back(face.top(std::min(grid.u_of(column), length)));
    std::vector<SensorSpot> spots;
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column) {
            const Patch cell{grid.u0 + column * spacing, std::min(grid.u0 + (column + 1) * spacing, length),
                             grid.v0 + row * spacing, grid.v0 + (row + 1) * spacing};
            const double area = measure_face_area(face, cell);
            if (area < 1e-6 * spacing * spacing)
                continue;
            const std::optional<glm::dvec2> spot = find_spot(face, cell);
            if (!spot)
                continue;
            const RunSegment& segment = segment_at(face.run, spot->x);
            const glm::dvec2 plan = segment.start + (spot->x - segment.along) * segment.direction;
            spots.push_back(
                {column, row, glm::dvec3(plan, face.foot + spot->y), glm::dvec3(segment.outward, 0), area});
        }
    return spots;
}

} // namespace duskcast
