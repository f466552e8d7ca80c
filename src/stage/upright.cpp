// Upright faces over a run: triangles and sensor grids.

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <numeric>

#include "duskcast/base/sort_stably.hpp"

#include "builder.hpp"

namespace duskcast {

namespace {

constexpr double same = 1e-6; // metres: breaks nearer than this are one

constexpr double most_cells = 5e6; // of one surface's grid

void sort_unique(std::vector<double>& values) {
    std::sort(values.begin(), values.end());
    values.erase(std::unique(values.begin(), values.end(), [](double a, double b) { return b - a < same; }),
                 values.end());
}

double length_of(const UprightFace& face) {
    return face.run.back().along + face.run.back().length;
}

/// Whether a hole reaches the upright line at u. Both ends of a closed run are one line.
bool is_touching(const UprightFace& face, const FaceRectangle& hole, double u) {
    if (u > hole.u0 - same && u < hole.u1 + same)
        return true;
    const double length = length_of(face);
    return face.closed && ((u < same && hole.u1 > length - same) || (u > length - same && hole.u0 < same));
}

/// All heights at which the face bends on the upright line at u.
std::vector<double> heights_at(const UprightFace& face, double u) {
    const double top = face.top(u);
    const double low = face.bottom_at(u);
    std::vector<double> heights{low, top};
    for (const FaceRectangle& hole : face.holes)
        if (is_touching(face, hole, u))
            for (const double height : {hole.v0, hole.v1})
                if (height > low && height < top)
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
        const std::vector<double> lines = upright_lines(face_, index);
        for (std::size_t i = 0; i + 1 < lines.size(); ++i)
            build_strip(index, lines[i], lines[i + 1]);
    }

private:
    void build_strip(std::size_t index, double left, double right) {
        std::vector<FaceRectangle> holes;
        for (const FaceRectangle& hole : face_.holes)
            if (hole.u0 < left + same && hole.u1 > right - same)
                holes.push_back(hole);
        sort_stably(holes, [](const FaceRectangle& a, const FaceRectangle& b) { return a.v0 < b.v0; });
        const std::vector<double> left_heights = heights_at(face_, left);
        const std::vector<double> right_heights = heights_at(face_, right);
        double left_from = face_.bottom_at(left), right_from = face_.bottom_at(right);
        for (const FaceRectangle& hole : holes) {
            zip(index, left, cut_chain(left_heights, left_from, hole.v0), right,
                cut_chain(right_heights, right_from, hole.v0));
            left_from = right_from = hole.v1;
        }
        zip(index, left, cut_chain(left_heights, left_from, std::max(left_from, face_.top(left))), right,
            cut_chain(right_heights, right_from, std::max(right_from, face_.top(right))));
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

bool is_lit_part(const UprightFace& face, double u, double v) {
    const auto hides = [&](const FaceRectangle& part) { return part.contains(u, v); };
    return v >= std::max(face.bottom_at(u), 0.0) && v <= face.top(u) &&
           std::none_of(face.holes.begin(), face.holes.end(), hides) &&
           std::none_of(face.covered.begin(), face.covered.end(), hides);
}

/// The edges of what a face shows: of its holes and covered parts, its upper edge, a lower edge that slopes,
/// and the corners of its run.
std::vector<PlaneLine> list_edges(const UprightFace& face, double length) {
    std::vector<PlaneLine> edges;
    double highest = 0;
    std::vector<double> bends{0, length};
    for (const double u : face.breaks)
        if (u > 0 && u < length)
            bends.push_back(u);
    std::sort(bends.begin(), bends.end());
    for (std::size_t i = 0; i + 1 < bends.size(); ++i) {
        const double left = bends[i], right = bends[i + 1];
        highest = std::max({highest, face.top(left), face.top(right)});
        edges.push_back({{left, face.top(left)}, {right, face.top(right)}});
        if (face.bottom)
            edges.push_back({{left, face.bottom(left)}, {right, face.bottom(right)}});
    }
    for (const std::vector<FaceRectangle>* hidden : {&face.holes, &face.covered})
        for (const FaceRectangle& part : *hidden) {
            const std::array<glm::dvec2, 4> corner{
                {{part.u0, part.v0}, {part.u1, part.v0}, {part.u1, part.v1}, {part.u0, part.v1}}};
            for (std::size_t i = 0; i < corner.size(); ++i)
                edges.push_back({corner[i], corner[(i + 1) % corner.size()]});
        }
    for (const RunSegment& segment : face.run)
        if (segment.along > 0)
            edges.push_back({{segment.along, face.low}, {segment.along, highest}});
    return edges;
}

/// The lines of facets that stand against each segment of the face.
std::vector<FacetLines> find_facet_lines(const UprightFace& face, double highest, const Stage& stage) {
    std::vector<FacetLines> lines;
    for (const RunSegment& segment : face.run) {
        const PlaneFrame frame{{segment.start - segment.along * segment.direction, face.foot},
                               {segment.direction, 0},
                               {0, 0, 1}};
        lines.emplace_back(stage.opaque, stage.cutouts, frame, glm::dvec2(segment.along, face.low),
                           glm::dvec2(segment.along + segment.length, highest));
    }
    return lines;
}

/// What the face shows of a cell, by segment of the run. A sensor stands on the segment with most of it.
struct FaceCell {
    std::size_t segment = 0;
    KeptCell kept;
};

class FaceCells {
public:
    FaceCells(const UprightFace& face, double length, double highest, const Stage& stage)
        : face_(face), edges_(list_edges(face, length)), lines_(find_facet_lines(face, highest, stage)) {}

    FaceCell cut(const FaceRectangle& cell) const {
        const glm::dvec2 low(cell.u0, cell.v0), high(cell.u1, cell.v1);
        std::vector<PlaneLine> near_by;
        for (const PlaneLine& edge : edges_) {
            const glm::dvec2 from = glm::min(edge.from, edge.to), to = glm::max(edge.from, edge.to);
            if (glm::all(glm::lessThanEqual(from, high)) && glm::all(glm::greaterThanEqual(to, low)))
                near_by.push_back(edge);
        }
        std::map<std::size_t, std::vector<ConvexPart>> by_segment;
        for (ConvexPart& part : cut_rectangle(low, high, near_by)) {
            const glm::dvec2 middle =
                std::accumulate(part.begin(), part.end(), glm::dvec2(0)) / static_cast<double>(part.size());
            if (!is_lit_part(face_, middle.x, middle.y))
                continue;
            const auto segment =
                static_cast<std::size_t>(&segment_at(face_.run, middle.x) - face_.run.data());
            by_segment[segment].push_back(std::move(part));
        }
        FaceCell largest;
        double area = 0;
        for (auto& [segment, parts] : by_segment) {
            const KeptCell kept = find_kept(std::move(parts), lines_[segment]);
            area += kept.area;
            if (kept.area > largest.kept.area)
                largest = {segment, kept};
        }
        largest.kept.area = area;
        return largest;
    }

private:
    const UprightFace& face_;
    std::vector<PlaneLine> edges_;
    std::vector<FacetLines> lines_; ///< one a segment
};

} // namespace

glm::dvec2 point_on(const UprightFace& face, std::size_t index, double u) {
    const RunSegment& segment = face.run[index];
    if (u < segment.along + same)
        return segment.start;
    if (u > segment.along + segment.length - same) {
        if (index + 1 < face.run.size())
            return face.run[index + 1].start;
        if (face.closed)
            return face.run.front().start;
    }
    return segment.start + (u - segment.along) * segment.direction;
}

std::vector<double> upright_lines(const UprightFace& face, std::size_t index) {
    const RunSegment& segment = face.run[index];
    const double end = segment.along + segment.length;
    std::vector<double> lines{segment.along, end};
    const auto add_line = [&](double u) {
        if (u > segment.along + same && u < end - same)
            lines.push_back(u);
    };
    std::for_each(face.breaks.begin(), face.breaks.end(), add_line);
    for (const FaceRectangle& hole : face.holes) {
        add_line(hole.u0);
        add_line(hole.u1);
    }
    sort_unique(lines);
    return lines;
}

void snap_holes(UprightFace& face) {
    std::vector<double> known_u = face.breaks;
    for (const RunSegment& segment : face.run)
        known_u.insert(known_u.end(), {segment.along, segment.along + segment.length});
    std::vector<double> known_v{face.low};
    const auto snap = [](double& value, std::vector<double>& known) {
        for (const double other : known)
            if (std::abs(other - value) < same) {
                value = other;
                return;
            }
        known.push_back(value);
    };
    for (FaceRectangle& hole : face.holes) {
        snap(hole.u0, known_u);
        snap(hole.u1, known_u);
        snap(hole.v0, known_v);
        snap(hole.v1, known_v);
    }
}

void build_upright(const UprightFace& face, std::uint16_t material, std::uint16_t surface, bool is_solid,
                   Triangles& triangles) {
    FaceBuilder builder(face, material, surface, is_solid, triangles);
    for (std::size_t index = 0; index < face.run.size(); ++index)
        builder.build_segment(index);
}

SensorGrid make_grid(double length, double height, double step) {
    const double columns = std::max(1.0, std::ceil(length / step - 1e-6));
    const double rows = std::max(1.0, std::ceil(height / step - 1e-6));
    if (columns * rows > most_cells)
        throw InputError(Problem{
            .place = {.path = "sensor_spacing"},
            .what = fmt::format("a surface of {:.1f} m by {:.1f} m needs {:.1f} million sensors at this "
                                "spacing; at most {:.0f} million are handled",
                                length, height, columns * rows / 1e6, most_cells / 1e6),
            .remedy = "give a larger sensor_spacing"});
    SensorGrid grid;
    grid.step = step;
    grid.columns = static_cast<int>(columns);
    grid.rows = static_cast<int>(rows);
    grid.sensor.assign(static_cast<std::size_t>(grid.columns) * grid.rows, -1);
    return grid;
}

std::vector<SensorSpot> place_face_sensors(const UprightFace& face, double spacing, const Stage& stage,
                                           SensorGrid& grid) {
    const double length = length_of(face);
    const double low = std::max(face.low, 0.0);
    double highest = std::max(face.top(0), face.top(length));
    for (const double u : face.breaks)
        highest = std::max(highest, face.top(u));
    grid = make_grid(length, highest - low, spacing);
    grid.v0 = low;
    for (int column = 0; column < grid.columns; ++column)
        grid.top.push_back(face.top(std::min(grid.u_of(column), length)));
    const FaceCells cells(face, length, highest, stage);
    std::vector<SensorSpot> spots;
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column) {
            const auto [index, kept] = cells.cut({column * spacing, std::min((column + 1) * spacing, length),
                                                  low + row * spacing, low + (row + 1) * spacing});
            if (kept.area < 1e-10 * spacing * spacing) // what rounding leaves at an edge
                continue;
            const RunSegment& segment = face.run[index];
            const glm::dvec2 plan = segment.start + (kept.spot.x - segment.along) * segment.direction;
            spots.push_back({column, row, glm::dvec3(plan, face.foot + kept.spot.y),
                             glm::dvec3(segment.outward, 0), kept.area, kept.is_narrow});
        }
    return spots;
}

} // namespace duskcast
