// Upright faces over a run: triangles and sensor grids.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

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
    std::vector<double> heights{face.low, top};
    for (const FaceRectangle& hole : face.holes)
        if (is_touching(face, hole, u))
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
        std::sort(holes.begin(), holes.end(),
                  [](const FaceRectangle& a, const FaceRectangle& b) { return a.v0 < b.v0; });
        const std::vector<double> left_heights = heights_at(face_, left);
        const std::vector<double> right_heights = heights_at(face_, right);
        double from = face_.low;
        for (const FaceRectangle& hole : holes) {
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
    const auto hides = [&](const FaceRectangle& part) { return part.contains(u, v); };
    return v >= std::max(face.low, 0.0) && v <= face.top(u) &&
           std::none_of(face.holes.begin(), face.holes.end(), hides) &&
           std::none_of(face.covered.begin(), face.covered.end(), hides);
}

/// A part of a cell over which the face's upper edge is straight and no hole begins or ends.
struct Piece {
    double area = 0;
    glm::dvec2 middle{0};
};

class CellCutter {
public:
    CellCutter(const UprightFace& face, const FaceRectangle& cell) : face_(face), cell_(cell) {}

    /// What holes, covered parts, the foot and the upper edge leave of the cell.
    std::vector<Piece> cut() {
        std::vector<double> lines{cell_.u0, cell_.u1};
        const auto add_line = [&](double u) {
            if (u > cell_.u0 && u < cell_.u1)
                lines.push_back(u);
        };
        std::for_each(face_.breaks.begin(), face_.breaks.end(), add_line);
        for (const std::vector<FaceRectangle>* hidden : {&face_.holes, &face_.covered})
            for (const FaceRectangle& part : *hidden) {
                add_line(part.u0);
                add_line(part.u1);
            }
        std::sort(lines.begin(), lines.end());
        for (std::size_t i = 0; i + 1 < lines.size(); ++i)
            cut_strip(lines[i], lines[i + 1]);
        return pieces_;
    }

private:
    void cut_strip(double left, double right) {
        const double middle = (left + right) / 2;
        std::vector<std::pair<double, double>> hidden_parts;
        for (const std::vector<FaceRectangle>* hidden : {&face_.holes, &face_.covered})
            for (const FaceRectangle& part : *hidden)
                if (part.u0 <= middle && part.u1 >= middle)
                    hidden_parts.emplace_back(part.v0, part.v1);
        std::sort(hidden_parts.begin(), hidden_parts.end());
        double from = std::max({cell_.v0, face_.low, 0.0});
        for (const auto& [low, high] : hidden_parts) {
            add_piece(left, right, from, std::min(low, cell_.v1));
            from = std::max(from, high);
        }
        add_piece(left, right, from, cell_.v1);
    }

    void add_piece(double left, double right, double low, double high) {
        if (high <= low)
            return;
        const double above_left = face_.top(left) - low;
        const double above_right = face_.top(right) - low;
        const double area = (right - left) * clamped_mean(above_left, above_right, high - low);
        if (!(area > 0))
            return;
        // The middle of that stretch over which the upper edge is above the piece's foot.
        const double crossing = left + (right - left) * above_left / (above_left - above_right);
        const double from = above_left < 0 ? crossing : left;
        const double to = above_right < 0 ? crossing : right;
        const double u = (from + to) / 2;
        pieces_.push_back({area, {u, (low + std::min(high, face_.top(u))) / 2}});
    }

    const UprightFace& face_;
    const FaceRectangle& cell_;
    std::vector<Piece> pieces_;
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

std::vector<SensorSpot> place_face_sensors(const UprightFace& face, double spacing, SensorGrid& grid) {
    const double length = length_of(face);
    const double low = std::max(face.low, 0.0);
    double highest = std::max(face.top(0), face.top(length));
    for (const double u : face.breaks)
        highest = std::max(highest, face.top(u));
    grid = make_grid(length, highest - low, spacing);
    grid.v0 = low;
    for (int column = 0; column < grid.columns; ++column)
        grid.top.push_back(face.top(std::min(grid.u_of(column), length)));
    std::vector<SensorSpot> spots;
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column) {
            const FaceRectangle cell{column * spacing, std::min((column + 1) * spacing, length),
                                     low + row * spacing, low + (row + 1) * spacing};
            const std::vector<Piece> pieces = CellCutter(face, cell).cut();
            double area = 0;
            for (const Piece& piece : pieces)
                area += piece.area;
            if (area < 1e-10 * spacing * spacing) // what rounding leaves at an edge
                continue;
            glm::dvec2 spot((cell.u0 + cell.u1) / 2, (cell.v0 + cell.v1) / 2);
            if (!is_lit_part(face, spot.x, spot.y))
                spot = std::max_element(pieces.begin(), pieces.end(), [](const Piece& a, const Piece& b) {
                           return a.area < b.area;
                       })->middle;
            const RunSegment& segment = segment_at(face.run, spot.x);
            const glm::dvec2 plan = segment.start + (spot.x - segment.along) * segment.direction;
            spots.push_back(
                {column, row, glm::dvec3(plan, face.foot + spot.y), glm::dvec3(segment.outward, 0), area});
        }
    return spots;
}

} // namespace duskcast
