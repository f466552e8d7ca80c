// Walls with gables, openings, projections and eaves.

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <optional>

#include "builder.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/terraces.hpp"
#include "duskcast/site/wall_foot.hpp"
#include "duskcast/stage/triangulate.hpp"

namespace duskcast {

namespace {

/// How far faces that meet the ground go into it, so that no light passes under them.
constexpr double below_ground = 0.3;

/// The lower end, above the wall's foot, of a face that meets the ground. A foot above the level ground is
/// built as it is given, as what stands below it is another wall's, unless it stands on ground that is lower
/// elsewhere along it: there the wall goes down to that.
double buried_end(const Wall& wall, const Ground& ground) {
    if (!(wall.foot > 0))
        return -below_ground;
    const std::optional<double> lowest = find_lower_ground(wall, ground);
    return lowest ? *lowest - wall.foot - below_ground : 0;
}

/// How far a slab reaches into the wall it hangs on, so that no light passes between.
constexpr double into_wall = 0.05;

std::vector<double> gable_breaks(const Wall& wall) {
    struct Slope {
        double u0, v0, u1, v1;
    };
    std::vector<Slope> slopes;
    std::vector<double> breaks;
    for (const Gable& gable : wall.gables) {
        const double middle = gable.from + gable.width / 2;
        slopes.push_back({gable.from, wall.height, middle, gable.peak});
        slopes.push_back({middle, gable.peak, gable.from + gable.width, wall.height});
        breaks.insert(breaks.end(), {gable.from, middle, gable.from + gable.width});
    }
    // Where the slopes of two gables cross, the upper edge bends as well.
    for (std::size_t i = 0; i < slopes.size(); ++i)
        for (std::size_t j = i + 1; j < slopes.size(); ++j) {
            const Slope& a = slopes[i];
            const Slope& b = slopes[j];
            const double rise_a = (a.v1 - a.v0) / (a.u1 - a.u0);
            const double rise_b = (b.v1 - b.v0) / (b.u1 - b.u0);
            if (std::abs(rise_a - rise_b) < 1e-9)
                continue;
            const double u = (b.v0 - a.v0 + rise_a * a.u0 - rise_b * b.u0) / (rise_a - rise_b);
            if (u > std::max(a.u0, b.u0) && u < std::min(a.u1, b.u1))
                breaks.push_back(u);
        }
    return breaks;
}

FaceRectangle rectangle_of(const Opening& opening) {
    return {opening.from, opening.from + opening.width, opening.sill, opening.sill + opening.height};
}

OutlineShape rectangle(const FaceRectangle& area, OutlineShape::Role role, const std::string& id) {
    return {role, id, {{area.u0, area.v0}, {area.u1, area.v0}, {area.u1, area.v1}, {area.u0, area.v1}}, true};
}

/// The face's own edge: along the foot, then back along the upper edge.
OutlineShape edge_of(const UprightFace& face) {
    const RunSegment& last = face.run.back();
    const double length = last.along + last.length;
    std::vector<double> bends{0, length};
    bends.insert(bends.end(), face.breaks.begin(), face.breaks.end());
    std::sort(bends.begin(), bends.end(), std::greater<>());
    const double low = std::max(face.low, 0.0);
    OutlineShape shape{OutlineShape::Role::edge, "", {{0, low}, {length, low}}, true};
    if (face.bottom) {
        shape.points.clear();
        for (auto u = bends.rbegin(); u != bends.rend(); ++u)
            shape.points.emplace_back(*u, std::max(face.bottom(*u), 0.0));
    }
    for (const double u : bends)
        shape.points.emplace_back(u, face.top(u));
    return shape;
}

void add_quad(const std::array<glm::dvec3, 4>& corners, std::uint16_t material, std::uint16_t surface,
              bool is_solid, Triangles& triangles) {
    const auto first = static_cast<unsigned>(triangles.vertices.size());
    for (const glm::dvec3& corner : corners)
        triangles.vertices.emplace_back(corner);
    triangles.add({first, first + 1, first + 2}, material, surface, is_solid);
    triangles.add({first, first + 2, first + 3}, material, surface, is_solid);
}

/// The pane of an opening and the hole in the wall's face before it.
struct Pane {
    std::vector<GlowFace> faces{};
    std::vector<glm::dvec3> hole;
    RunSegment run; ///< along its lower edge
    double foot = 0;
};

/// How far before a roof's bodies an eave ends, metres: of two faces in one place the last bit would decide
/// which of them a ray meets.
constexpr double clearance = 1e-4;

/// Jambs, sill, head and pane of an opening, set back from the face; seen from within the opening.
Pane build_opening(const UprightFace& face, const FaceRectangle& hole, double reveal,
                   std::uint16_t wall_material, std::uint16_t pane_material, std::uint16_t surface,
                   Triangles& triangles) {
    const RunSegment& segment = segment_at(face.run, (hole.u0 + hole.u1) / 2);
    const auto index = static_cast<std::size_t>(&segment - face.run.data());
    const glm::dvec3 back(-reveal * segment.outward, 0);
    std::vector<double> lines{hole.u0};
    for (const double u : upright_lines(face, index)) // the face around has vertices there
        if (u > hole.u0 && u < hole.u1)
            lines.push_back(u);
    lines.push_back(hole.u1);
    std::vector<glm::dvec3> sill;
    std::vector<glm::dvec3> head;
    for (const double u : lines) {
        sill.emplace_back(point_on(face, index, u), face.foot + hole.v0);
        head.emplace_back(point_on(face, index, u), face.foot + hole.v1);
    }
    const glm::dvec2 left(sill.front() + back), right(sill.back() + back);
    Pane pane{.hole = {sill.front(), sill.back(), head.back(), head.front()},
              .run = {left, segment.direction, segment.outward, 0, glm::distance(left, right)},
              .foot = sill.front().z};
    const auto add_reveal = [&](const glm::dvec3& from, const glm::dvec3& to) {
        if (reveal > 0)
            add_quad({from, to, to + back, from + back}, wall_material, surface, false, triangles);
    };
    for (std::size_t i = 0; i + 1 < lines.size(); ++i) {
        add_reveal(sill[i], sill[i + 1]);
        add_reveal(head[i + 1], head[i]);
        const std::array<glm::dvec3, 4> corners{sill[i] + back, sill[i + 1] + back, head[i + 1] + back,
                                                head[i] + back};
        add_quad(corners, pane_material, surface, false, triangles);
        pane.faces.emplace_back(std::vector(corners.begin(), corners.end()));
    }
    add_reveal(sill.back(), head.back());
    add_reveal(head.front(), sill.front());
    return pane;
}

/// A stretch of a segment over which the eave is level.
struct EaveStretch {
    std::size_t segment = 0;
    double from = 0;
    double to = 0;
    double trim_from = 0; ///< how much later it starts, per metre out, because of an inner corner
    double trim_to = 0;
};

std::vector<EaveStretch> eave_stretches(const Wall& wall, const std::vector<RunSegment>& run) {
    std::vector<EaveStretch> stretches;
    for (std::size_t i = 0; i < run.size(); ++i) {
        const double end = run[i].along + run[i].length;
        std::vector<std::array<double, 2>> gaps;
        for (const Gable& gable : wall.gables)
            gaps.push_back({gable.from, gable.from + gable.width});
        std::sort(gaps.begin(), gaps.end());
        double from = run[i].along;
        for (const auto& [gap_from, gap_to] : gaps) {
            if (gap_to <= run[i].along || gap_from >= end)
                continue;
            if (gap_from > from + 1e-6)
                stretches.push_back({i, from, gap_from});
            from = std::max(from, gap_to);
        }
        if (end > from + 1e-6)
            stretches.push_back({i, from, end});
    }
    return stretches;
}

class EaveBuilder {
public:
    EaveBuilder(StageBuilder& builder, const Wall& wall, const UprightFace& face)
        : builder_(builder), wall_(wall), eave_(*wall.eave), face_(face),
          material_(builder.add_material(wall.eave->soffit)),
          surface_(builder.add_surface(wall.id + ".soffit", SurfaceKind::soffit, wall.id)),
          has_roof_(std::any_of(builder.site.roofs.begin(), builder.site.roofs.end(),
                                [&](const Roof& roof) { return roof.wall == wall.id; })) {}

    void build() {
        std::vector<EaveStretch> stretches = eave_stretches(wall_, face_.run);
        if (eave_.depth > 0)
            for (EaveStretch& stretch : stretches)
                build_level(stretch);
        if (eave_.rake_depth > 0)
            build_rakes();
        if (eave_.depth > 0)
            builder_.sensor_jobs.emplace_back([&builder = builder_, stretches, face = face_, eave = eave_,
                                               height = wall_.height, surface = surface_] {
                place_soffit_sensors(builder, stretches, face, eave, height, surface);
            });
    }

private:
    /// The run that goes on round a corner there, or null.
    const RunSegment* neighbour_at(std::size_t index, double u, bool at_end) const {
        const RunSegment& segment = face_.run[index];
        const bool is_joint = at_end ? u > segment.along + segment.length - 1e-6 : u < segment.along + 1e-6;
        const std::size_t count = face_.run.size();
        const bool has_next = face_.closed || (at_end ? index + 1 < count : index > 0);
        return is_joint && has_next ? &face_.run[(index + (at_end ? 1 : count - 1)) % count] : nullptr;
    }

    /// A point of the eave's edge at u, `depth` before the wall: mitred where the eave goes on round a corner
    /// of the run.
    glm::dvec2 edge_point(std::size_t index, double u, const RunSegment* neighbour, double depth) const {
        const RunSegment& segment = face_.run[index];
        const glm::dvec2 plan = point_on(face_, index, u);
        if (neighbour != nullptr)
            if (const double scale = 1 + glm::dot(segment.outward, neighbour->outward); scale > 0.2)
                return plan + (segment.outward + neighbour->outward) * (depth / scale);
        return plan + segment.outward * depth;
    }

    glm::dvec2 outer_point(std::size_t index, double u, bool at_end) const {
        return edge_point(index, u, neighbour_at(index, u, at_end), eave_.depth);
    }

    /// Within the wall slabs overlap round an outer corner. Into an inner one they are mitred as before it,
    /// or light would get up between them.
    glm::dvec2 inner_point(std::size_t index, double u, bool at_end) const {
        const RunSegment* neighbour = neighbour_at(index, u, at_end);
        if (neighbour != nullptr) {
            const RunSegment &first = at_end ? face_.run[index] : *neighbour,
                             &second = at_end ? *neighbour : face_.run[index];
            if (!(glm::dot(second.direction, first.outward) > 1e-9))
                neighbour = nullptr;
        }
        return edge_point(index, u, neighbour, -into_wall);
    }

    void build_level(EaveStretch& stretch) {
        const RunSegment& segment = face_.run[stretch.segment];
        glm::dvec2 outer_from = outer_point(stretch.segment, stretch.from, false);
        glm::dvec2 outer_to = outer_point(stretch.segment, stretch.to, true);
        if (glm::dot(outer_to - outer_from, segment.direction) < 0) // mitres meet before the outer edge
            outer_from = outer_to = 0.5 * (outer_from + outer_to);
        const auto along = [&](const glm::dvec2& plan) {
            return segment.along + glm::dot(plan - segment.start, segment.direction);
        };
        stretch.trim_from = std::max(0.0, along(outer_from) - stretch.from) / eave_.depth;
        stretch.trim_to = std::max(0.0, stretch.to - along(outer_to)) / eave_.depth;
        const double low = face_.foot + wall_.height;
        const double high = low + eave_.thickness;
        const auto end_inset = [&](double u, bool at_end) {
            return has_roof_ && neighbour_at(stretch.segment, u, at_end) == nullptr
                       ? clearance * segment.direction
                       : glm::dvec2(0);
        };
        const glm::dvec2 after = end_inset(stretch.from, false), before = -end_inset(stretch.to, true);
        const std::array<glm::dvec2, 4> plan{outer_from + after, outer_to + before,
                                             inner_point(stretch.segment, stretch.to, true) + before,
                                             inner_point(stretch.segment, stretch.from, false) + after};
        std::array<glm::dvec3, 8> corners;
        for (std::size_t i = 0; i < 4; ++i) {
            corners[i] = {plan[i], low};
            corners[i + 4] = {plan[i], high};
        }
        add_box(corners, material_, surface_, builder_.stage.opaque);
    }

    /// Along the upper edge wherever a gable makes it.
    void build_rakes() {
        std::vector<double> bends = face_.breaks;
        std::sort(bends.begin(), bends.end());
        for (std::size_t i = 0; i + 1 < bends.size(); ++i) {
            const double u0 = bends[i];
            const double u1 = bends[i + 1];
            if (u1 > u0 + 1e-6 && face_.top((u0 + u1) / 2) > wall_.height)
                build_rake(u0, face_.top(u0), u1, face_.top(u1));
        }
    }

    void build_rake(double u0, double v0, double u1, double v1) {
        const RunSegment& segment = segment_at(face_.run, (u0 + u1) / 2);
        const auto index = static_cast<std::size_t>(&segment - face_.run.data());
        const glm::dvec2 outer = segment.outward * eave_.rake_depth;
        const glm::dvec2 inner = -into_wall * segment.outward;
        const glm::dvec2 left = point_on(face_, index, u0);
        const glm::dvec2 right = point_on(face_, index, u1);
        const double low_left = face_.foot + v0;
        const double low_right = face_.foot + v1;
        const std::array<glm::dvec3, 4> lower{
            glm::dvec3(left + outer, low_left), glm::dvec3(right + outer, low_right),
            glm::dvec3(right + inner, low_right), glm::dvec3(left + inner, low_left)};
        std::array<glm::dvec3, 8> corners;
        for (std::size_t i = 0; i < 4; ++i) {
            corners[i] = lower[i];
            corners[i + 4] = lower[i] + glm::dvec3(0, 0, eave_.thickness);
        }
        add_box(corners, material_, surface_, builder_.stage.opaque);
    }

    /// The squares that mitres add at outer corners carry no sensors: they belong to no place on the run.
    static void place_soffit_sensors(StageBuilder& builder, const std::vector<EaveStretch>& stretches,
                                     const UprightFace& face, const Eave& eave, double height,
                                     std::uint16_t surface) {
        const double step = builder.site.sensor_spacing;
        const RunSegment& last = face.run.back();
        const SensorGrid grid = make_grid(last.along + last.length, eave.depth, step);
        std::vector<SensorSpot> spots;
        for (const EaveStretch& stretch : stretches) {
            const RunSegment& segment = face.run[stretch.segment];
            const PlaneFrame frame{{segment.start - segment.along * segment.direction, face.foot + height},
                                   {segment.direction, 0},
                                   {segment.outward, 0}}; // its normal points down
            const FacetLines lines(builder.stage.opaque, builder.stage.cutouts, frame, {stretch.from, 0},
                                   {stretch.to, eave.depth});
            const PlaneLine start{{stretch.from + eave.depth * stretch.trim_from, eave.depth},
                                  {stretch.from, 0}};
            const PlaneLine end{{stretch.to, 0}, {stretch.to - eave.depth * stretch.trim_to, eave.depth}};
            for (int row = 0; row < grid.rows; ++row)
                for (int column = 0; column < grid.columns; ++column) {
                    const double from = column * step, to = (column + 1) * step;
                    const double out_from = row * step, out_to = std::min(eave.depth, (row + 1) * step);
                    const KeptCell kept = find_kept(
                        {keep_left(keep_left({{from, out_from}, {to, out_from}, {to, out_to}, {from, out_to}},
                                             start),
                                   end)},
                        lines);
                    if (kept.area < 1e-10 * step * step) // what rounding leaves at an edge
                        continue;
                    spots.push_back(
                        {column, row, frame.at(kept.spot), glm::dvec3(0, 0, -1), kept.area, kept.is_narrow});
                }
        }
        builder.stage.surfaces[surface].grid = grid;
        builder.add_sensors(builder.stage.surfaces[surface], spots);
    }

    StageBuilder& builder_;
    const Wall& wall_;
    const Eave& eave_;
    const UprightFace& face_;
    std::uint16_t material_;
    std::uint16_t surface_;
    bool has_roof_; ///< on this wall
};

/// Fills in what wall and projection have in common: openings, triangles, outline, sensors.
void build_face(StageBuilder& builder, UprightFace face, const std::vector<Opening>& openings,
                const Finish& finish, const std::optional<Cladding>& cladding, std::uint16_t surface,
                bool is_solid) {
    Stage& stage = builder.stage;
    const std::string id = stage.surfaces[surface].id;
    const std::uint16_t material = builder.add_material(finish);
    stage.surfaces[surface].outline.insert(stage.surfaces[surface].outline.begin(), edge_of(face));
    for (const RunSegment& segment : face.run)
        if (segment.along > 0) {
            OutlineShape corner{OutlineShape::Role::corner, "", {}, false};
            corner.points = {{segment.along, std::max(face.bottom_at(segment.along), 0.0)},
                             {segment.along, face.top(segment.along)}};
            stage.surfaces[surface].outline.push_back(corner);
        }
    for (const Opening& opening : openings) {
        face.holes.push_back(rectangle_of(opening));
        stage.surfaces[surface].outline.push_back(
            rectangle(face.holes.back(), OutlineShape::Role::opening, opening.id));
    }
    snap_holes(face);
    build_upright(face, material, surface, is_solid, stage.opaque);
    if (cladding)
        builder.add_cladding(surface, face, *cladding, finish);
    for (std::size_t i = 0; i < openings.size(); ++i) {
        const std::uint16_t pane_surface = builder.add_surface(
            id + "." + openings[i].id, SurfaceKind::opening, stage.surfaces[surface].part_of);
        const FaceRectangle& hole = face.holes[i];
        const std::uint16_t pane_material = builder.add_material(openings[i].finish, glow_of(openings[i]),
                                                                 (hole.u1 - hole.u0) * (hole.v1 - hole.v0));
        Pane pane = build_opening(face, hole, openings[i].reveal, material, pane_material, pane_surface,
                                  stage.opaque);
        if (openings[i].style || cladding)
            builder.add_opening_relief(pane_surface, openings[i], pane.run, pane.foot);
        builder.add_glow_source(pane_surface, pane_material, std::move(pane.faces), {}, std::move(pane.hole));
    }
    stage.surfaces[surface].run = face.run;
    stage.surfaces[surface].foot = face.foot;
    builder.sensor_jobs.emplace_back([&builder, face, surface] {
        SensorGrid grid;
        const std::vector<SensorSpot> spots =
            place_face_sensors(face, builder.site.sensor_spacing, builder.stage, grid);
        builder.stage.surfaces[surface].grid = std::move(grid);
        builder.add_sensors(builder.stage.surfaces[surface], spots);
    });
}

void build_projection(StageBuilder& builder, const Wall& wall, const Projection& projection) {
    UprightFace face;
    face.run = run_of(wall, projection);
    face.foot = wall.foot;
    face.low = projection.bottom > 0 ? projection.bottom : buried_end(wall, builder.site.ground);
    face.top = [top = projection.height](double) { return top; };
    const std::uint16_t surface =
        builder.add_surface(wall.id + "." + projection.id, SurfaceKind::projection, wall.id);
    const Finish& finish = projection.finish ? *projection.finish : wall.finish;
    // Closed at the back, above and (where it hangs) below: a body that hides what it stands before.
    const RunSegment& flank = face.run.front();
    const RunSegment& far_flank = face.run.back();
    const std::array<glm::dvec2, 4> plan{flank.start, face.run[1].start, far_flank.start,
                                         far_flank.start + far_flank.length * far_flank.direction};
    const auto at = [&](std::size_t corner, double v) { return glm::dvec3(plan[corner], wall.foot + v); };
    const std::uint16_t material = builder.add_material(finish);
    const double low = face.low;
    const double high = projection.height;
    Triangles& triangles = builder.stage.opaque;
    add_quad({at(3, low), at(0, low), at(0, high), at(3, high)}, material, surface, true, triangles);
    add_quad({at(0, high), at(1, high), at(2, high), at(3, high)}, material, surface, true, triangles);
    add_quad({at(3, low), at(2, low), at(1, low), at(0, low)}, material, surface, true, triangles);
    build_face(builder, face, projection.openings, finish,
               projection.cladding ? projection.cladding : wall.cladding, surface, true);
    builder.add_trim(surface, face, projection.openings, nullptr);
}

/// The heights of a plane along a face that stands all round it.
std::function<double(double)> follow(const GroundPlane& plane, const UprightFace& face) {
    if (plane.is_level())
        return [height = plane.height](double) { return height; };
    return [plane, face](double u) {
        const auto index = static_cast<std::size_t>(&segment_at(face.run, u) - face.run.data());
        return plane.height_at(point_on(face, index, u));
    };
}

} // namespace

void add_box(const std::array<glm::dvec3, 8>& corners, std::uint16_t material, std::uint16_t surface,
             Triangles& triangles) {
    constexpr std::array<std::array<int, 4>, 6> faces{
        {{0, 3, 2, 1}, {4, 5, 6, 7}, {0, 1, 5, 4}, {1, 2, 6, 5}, {2, 3, 7, 6}, {3, 0, 4, 7}}};
    const std::size_t first = triangles.size();
    for (const std::array<int, 4>& face : faces)
        add_quad({corners[face[0]], corners[face[1]], corners[face[2]], corners[face[3]]}, material, surface,
                 true, triangles);
    triangles.close_body(first);
}

void StageBuilder::build_walls() {
    for (const Wall& wall : site.walls) {
        const std::uint16_t surface = add_surface(wall.id, SurfaceKind::wall, wall.id);
        UprightFace face;
        face.run = run_of(wall);
        face.closed = wall.closed;
        face.foot = wall.foot;
        face.low = buried_end(wall, site.ground);
        face.top = [&wall](double u) { return top_of(wall, u); };
        face.breaks = gable_breaks(wall);
        for (const Gable& gable : wall.gables) {
            OutlineShape shape{OutlineShape::Role::gable, gable.id, {}, false};
            shape.points = {{gable.from, wall.height},
                            {gable.from + gable.width / 2, gable.peak},
                            {gable.from + gable.width, wall.height}};
            stage.surfaces[surface].outline.push_back(shape);
        }
        for (const Projection& projection : wall.projections) {
            const FaceRectangle front{projection.from, projection.from + projection.width, projection.bottom,
                                      projection.height};
            face.covered.push_back(front);
            stage.surfaces[surface].outline.push_back(
                rectangle(front, OutlineShape::Role::projection, projection.id));
        }
        build_face(*this, face, wall.openings, wall.finish, wall.cladding, surface, false);
        for (const Gable& gable : wall.gables)
            if (gable.cladding)
                add_cladding(surface, face, *gable.cladding, wall.finish,
                             {{gable.from, wall.height},
                              {gable.from + gable.width, wall.height},
                              {gable.from + gable.width / 2, gable.peak}});
        add_trim(surface, face, wall.openings, &wall);
        for (const Projection& projection : wall.projections)
            build_projection(*this, wall, projection);
        if (wall.eave)
            EaveBuilder(*this, wall, face).build();
    }
}

void StageBuilder::build_terrace(const GroundArea& area, std::uint16_t surface, std::uint16_t material) {
    std::vector<glm::dvec2> outline = area.outline;
    if (signed_area(outline) < 0)
        std::reverse(outline.begin(), outline.end());
    const RetainingWall retaining =
        area.retaining ? *area.retaining : RetainingWall{.finish = make_finish("sandstone")};
    UprightFace face;
    face.run = run_of(outline, true);
    face.closed = true;
    // Upon another terrace it begins there: their faces may be flush.
    const GroundPlane top = plane_of(site.ground, area);
    GroundPlane below = plane_below(site.ground, area);
    if (below.is_level()) {
        if (!(below.height > 0))
            below.height = -below_ground;
        face.low = below.height;
    } else {
        face.bottom = follow(below, face);
        face.low = below.height_at(outline.front());
        for (const glm::dvec2& point : outline)
            face.low = std::min(face.low, below.height_at(point));
    }
    if (!top.is_level() || !below.is_level())
        for (std::size_t i = 1; i < face.run.size(); ++i)
            face.breaks.push_back(face.run[i].along);
    face.top = follow(top, face);
    build_face(*this, face, {}, retaining.finish, retaining.cladding,
               add_surface(area.id + ".wall", SurfaceKind::wall, area.id), true);
    const auto add_plane = [&](const GroundPlane& plane, bool is_upwards) {
        for (const std::array<glm::dvec2, 3>& plan : cut_into_triangles(outline)) {
            const auto first = static_cast<unsigned>(stage.opaque.vertices.size());
            for (const glm::dvec2& point : plan)
                stage.opaque.vertices.emplace_back(glm::dvec3(point, plane.height_at(point)));
            stage.opaque.add(is_upwards ? glm::uvec3(first, first + 1, first + 2)
                                        : glm::uvec3(first, first + 2, first + 1),
                             material, surface, true);
        }
    };
    add_plane(top, true);
    add_plane(below, false); // closed, so that it is known what lies within
}

} // namespace duskcast
