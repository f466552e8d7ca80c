// The level ground and the areas on it.

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <numeric>

#include "builder.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/steps_plan.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {

namespace {

/// How far the ground goes on beyond everything built; light that comes down farther off is counted as
/// ground all the same.
constexpr double ground_beyond = 60;

/// Somewhat more than the check of the site allows: it does not know meshes and rounds nothing up.
constexpr double most_ground_cells = 6e6;

/// An outline in the plan and who has the ground within it.
struct Footprint {
    std::vector<glm::dvec2> outline;
    int owner = 0; ///< i + 1: area i; -1: nobody, for a house, a bay or a trunk stands there
    glm::dvec2 low{0};
    glm::dvec2 high{0};

    Footprint(std::vector<glm::dvec2> points, int owned_by)
        : outline(std::move(points)), owner(owned_by), low(outline.front()), high(outline.front()) {
        for (const glm::dvec2& point : outline) {
            low = glm::min(low, point);
            high = glm::max(high, point);
        }
    }

    /// Adds the edges that may pass through the rectangle.
    void add_edges(const glm::dvec2& from, const glm::dvec2& to, std::vector<PlaneLine>& edges) const {
        for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++)
            if (glm::all(glm::lessThan(glm::min(outline[i], outline[j]), to)) &&
                glm::all(glm::greaterThan(glm::max(outline[i], outline[j]), from)))
                edges.push_back({outline[j], outline[i]});
    }
};

/// What hides what comes first.
std::vector<Footprint> find_footprints(const Site& site) {
    std::vector<Footprint> footprints;
    for (const Wall& wall : site.walls) {
        if (wall.closed && signed_area(wall.path) > 0) // clockwise: a courtyard, seen from inside
            footprints.emplace_back(wall.path, -1);
        for (const Projection& projection : wall.projections) {
            if (projection.bottom > 0)
                continue;
            footprints.emplace_back(outline_of(wall, projection), -1);
        }
    }
    for (const Steps& steps : site.steps)
        if (!(steps.foot > 0))
            for (const Tread& tread : plan_steps(site, steps).treads)
                footprints.emplace_back(tread.outline, -1);
    for (const Tree& tree : site.trees) {
        constexpr int sides = 12; // as the trunk is built
        std::vector<glm::dvec2> outline;
        for (int side = 0; side < sides; ++side) {
            const double angle = 2 * pi * side / sides;
            outline.push_back(tree.at +
                              trunk_diameter(tree) / 2 * glm::dvec2(std::cos(angle), std::sin(angle)));
        }
        footprints.emplace_back(outline, -1);
    }
    for (std::size_t i = site.ground.areas.size(); i-- > 0;) // later ones lie on top
        footprints.emplace_back(site.ground.areas[i].outline, static_cast<int>(i) + 1);
    return footprints;
}

class GroundSensors {
public:
    GroundSensors(StageBuilder& builder, std::uint16_t base, std::uint16_t first_area)
        : builder_(builder), base_(base), first_area_(first_area), step_(builder.site.ground_spacing),
          footprints_(find_footprints(builder.site)) {}

    void place() {
        const double margin = builder_.site.ground.margin;
        first_ = glm::floor((builder_.low - margin) / step_);
        const glm::dvec2 cells = glm::ceil((builder_.high + margin) / step_) - first_;
        const glm::dvec2 low = first_ * step_, high = (first_ + cells) * step_;
        if (cells.x * cells.y > most_ground_cells)
            throw InputError(Problem{
                .place = {.path = "ground_spacing"},
                .what = fmt::format("the ground needs {:.1f} million cells at this spacing; at most {:.0f} "
                                    "million are handled",
                                    cells.x * cells.y / 1e6, most_ground_cells / 1e6),
                .remedy = "give a larger ground_spacing or a smaller ground margin"});
        const int columns = static_cast<int>(cells.x);
        const int rows = static_cast<int>(cells.y);
        for (int owner = 0; owner <= static_cast<int>(builder_.site.ground.areas.size()); ++owner)
            if (const GroundPlane& plane = plane_of_owner(owner); !lines_.contains(key_of(plane)))
                lines_.emplace(key_of(plane),
                               FacetLines(builder_.stage.opaque, builder_.stage.cutouts, plane, low, high));
        std::vector<std::vector<OwnedSpot>> owned(rows);
        parallel_for(rows, [&](int row) {
            for (int column = 0; column < columns; ++column)
                share_cell(column, row, owned[row]);
        });
        std::vector<std::vector<SensorSpot>> spots(builder_.site.ground.areas.size() + 1);
        for (const std::vector<OwnedSpot>& row : owned)
            for (const OwnedSpot& spot : row)
                spots[spot.owner].push_back(spot.spot);
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const auto surface = static_cast<std::uint16_t>(i == 0 ? base_ : first_area_ + i - 1);
            SensorGrid& grid = builder_.stage.surfaces[surface].grid;
            grid.u0 = low.x;
            grid.v0 = low.y;
            grid.step = step_;
            grid.columns = columns;
            grid.rows = rows;
            grid.sensor.assign(static_cast<std::size_t>(columns) * rows, -1);
            builder_.add_sensors(builder_.stage.surfaces[surface], spots[i]);
        }
    }

private:
    struct OwnedSpot {
        int owner = 0;
        SensorSpot spot;
    };

    using PlaneKey = std::array<double, 3>;

    static PlaneKey key_of(const GroundPlane& plane) { return {plane.height, plane.rise.x, plane.rise.y}; }

    /// Of the base ground and of each area.
    const GroundPlane& plane_of_owner(int owner) const {
        const int surface = owner == 0 ? base_ : first_area_ + owner - 1;
        return builder_.stage.surfaces[static_cast<std::size_t>(surface)].plane;
    }

    static int owner_at(const std::vector<const Footprint*>& footprints, const glm::dvec2& point) {
        for (const Footprint* footprint : footprints)
            if (is_inside(footprint->outline, point))
                return footprint->owner;
        return 0;
    }

    /// A spot for each owner of a part of the cell.
    void share_cell(int column, int row, std::vector<OwnedSpot>& owned) const {
        const glm::dvec2 cell = first_ + glm::dvec2(column, row);
        const glm::dvec2 from = step_ * cell, to = step_ * (cell + 1.0);
        std::vector<const Footprint*> near_by;
        std::vector<PlaneLine> edges;
        for (const Footprint& footprint : footprints_)
            if (glm::all(glm::lessThanEqual(footprint.low, to)) &&
                glm::all(glm::greaterThanEqual(footprint.high, from))) {
                near_by.push_back(&footprint);
                footprint.add_edges(from, to, edges);
            }
        std::map<int, std::vector<ConvexPart>> parts;
        for (ConvexPart& part : cut_rectangle(from, to, edges)) {
            const glm::dvec2 middle =
                std::accumulate(part.begin(), part.end(), glm::dvec2(0)) / static_cast<double>(part.size());
            parts[owner_at(near_by, middle)].push_back(std::move(part));
        }
        for (auto& [owner, own] : parts) {
            if (owner < 0)
                continue;
            const GroundPlane& plane = plane_of_owner(owner);
            const KeptCell kept = find_kept(std::move(own), lines_.at(key_of(plane)));
            const glm::dvec3 normal = plane.normal();
            if (kept.area >= 1e-10 * step_ * step_) // what rounding leaves at an edge
                owned.push_back({owner,
                                 {column, row, glm::dvec3(kept.spot, plane.height_at(kept.spot)), normal,
                                  kept.area / normal.z, kept.is_narrow}});
        }
    }

    StageBuilder& builder_;
    std::uint16_t base_;
    std::uint16_t first_area_;
    double step_;
    std::vector<Footprint> footprints_;
    std::map<PlaneKey, FacetLines> lines_;
    glm::dvec2 first_{0}; ///< the lowest cell, counted from the site's origin
};

} // namespace

void StageBuilder::build_ground() {
    const std::uint16_t base = add_surface("ground", SurfaceKind::ground, "ground");
    stage.base_ground = base;
    const std::uint16_t material = add_material(finish_of(site.ground.base));
    const glm::dvec2 near_corner = low - site.ground.margin - ground_beyond;
    const glm::dvec2 far_corner = high + site.ground.margin + ground_beyond;
    Triangles& triangles = stage.opaque;
    const auto first = static_cast<unsigned>(triangles.vertices.size());
    triangles.vertices.emplace_back(near_corner.x, near_corner.y, 0);
    triangles.vertices.emplace_back(far_corner.x, near_corner.y, 0);
    triangles.vertices.emplace_back(far_corner.x, far_corner.y, 0);
    triangles.vertices.emplace_back(near_corner.x, far_corner.y, 0);
    triangles.add({first, first + 1, first + 2}, material, base, false);
    triangles.add({first, first + 2, first + 3}, material, base, false);
    // Areas have no facets of their own: the material and the surface of the rectangle, or of the terrace
    // that they lie on, are looked up by plan point.
    const auto first_area = static_cast<std::uint16_t>(stage.surfaces.size());
    for (const GroundArea& area : site.ground.areas) {
        const std::uint16_t surface = add_surface(area.id, SurfaceKind::ground, area.id);
        const GroundPlane plane = plane_of(site.ground, area);
        stage.surfaces[surface].plane = plane;
        glm::dvec2 lower = area.outline.front(), upper = lower;
        double lowest = plane.height_at(lower);
        for (const glm::dvec2& point : area.outline) {
            lower = glm::min(lower, point), upper = glm::max(upper, point);
            lowest = std::min(lowest, plane.height_at(point));
        }
        stage.surfaces[surface].foot = lowest;
        stage.surfaces[surface].outline.push_back({OutlineShape::Role::area, area.id, area.outline, true});
        const std::uint16_t cover = add_material(area.finish ? *area.finish : finish_of(area.kind), area.glow,
                                                 std::abs(signed_area(area.outline)) / plane.normal().z);
        stage.ground_areas.push_back({surface, cover, area.outline, area.kind, lower, upper});
        std::vector<glm::dvec3> corners;
        for (const glm::dvec2& point : area.outline)
            corners.emplace_back(point, plane.height_at(point));
        if (signed_area(area.outline) < 0)
            std::reverse(corners.begin(), corners.end());
        add_glow_source(surface, cover, {GlowFace(std::move(corners))});
    }
    for (std::size_t i = 0; i < site.ground.areas.size(); ++i)
        if (site.ground.areas[i].height)
            build_terrace(site.ground.areas[i], static_cast<std::uint16_t>(first_area + i),
                          static_cast<std::uint16_t>(stage.ground_areas[i].material));
    sensor_jobs.emplace_back([this, base, first_area] { GroundSensors(*this, base, first_area).place(); });
}

} // namespace duskcast
