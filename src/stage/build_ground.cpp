// The level ground and the areas on it.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <numeric>

#include "builder.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/site/finish.hpp"

namespace duskcast {

namespace {

/// How far the ground goes on beyond everything built; light that comes down farther off is counted as
/// ground all the same.
constexpr double ground_beyond = 60;

/// Somewhat more than the site's check lets pass, which knows no meshes and rounds nothing up.
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

    /// Whether an edge may pass through the disk.
    bool is_cutting(const glm::dvec2& centre, double radius) const {
        for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
            const glm::dvec2 edge = outline[i] - outline[j];
            const double square = glm::dot(edge, edge);
            const double on = square > 0 ? glm::dot(centre - outline[j], edge) / square : 0;
            const glm::dvec2 off = centre - outline[j] - std::clamp(on, 0.0, 1.0) * edge;
            if (glm::dot(off, off) <= radius * radius)
                return true;
        }
        return false;
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
            std::vector<glm::dvec2> outline;
            const std::vector<RunSegment> run = run_of(wall, projection);
            for (const RunSegment& segment : run)
                outline.push_back(segment.start);
            outline.push_back(run.back().start + run.back().length * run.back().direction);
            footprints.emplace_back(outline, -1);
        }
    }
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
        low_ = glm::floor((builder_.low - margin) / step_) * step_;
        const glm::dvec2 high = glm::ceil((builder_.high + margin) / step_) * step_;
        const glm::dvec2 cells = glm::round((high - low_) / step_);
        if (cells.x * cells.y > most_ground_cells)
            throw InputError(Problem{
                .place = {.path = "ground_spacing"},
                .what = fmt::format("the ground needs {:.1f} million cells at this spacing; at most {:.0f} "
                                    "million are handled",
                                    cells.x * cells.y / 1e6, most_ground_cells / 1e6),
                .remedy = "give a larger ground_spacing or a smaller ground margin"});
        const int columns = static_cast<int>(cells.x);
        const int rows = static_cast<int>(cells.y);
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
            grid.u0 = low_.x;
            grid.v0 = low_.y;
            grid.step = step_;
            grid.columns = columns;
            grid.rows = rows;
            grid.sensor.assign(static_cast<std::size_t>(columns) * rows, -1);
            builder_.add_sensors(surface, spots[i]);
        }
    }

private:
    struct OwnedSpot {
        int owner = 0;
        SensorSpot spot;
    };

    static int owner_at(const std::vector<const Footprint*>& footprints, const glm::dvec2& point) {
        for (const Footprint* footprint : footprints)
            if (is_inside(footprint->outline, point))
                return footprint->owner;
        return 0;
    }

    /// A spot for each owner of a part of the cell: the middle of the cell, or the point of its part
    /// nearest to the part's middle.
    void share_cell(int column, int row, std::vector<OwnedSpot>& owned) const {
        const glm::dvec2 corner = low_ + step_ * glm::dvec2(column, row);
        const glm::dvec2 centre = corner + step_ / 2;
        std::vector<const Footprint*> near_by;
        bool is_cut = false;
        for (const Footprint& footprint : footprints_)
            if (glm::all(glm::lessThanEqual(footprint.low, corner + step_)) &&
                glm::all(glm::greaterThanEqual(footprint.high, corner))) {
                near_by.push_back(&footprint);
                is_cut = is_cut || footprint.is_cutting(centre, step_ * 0.7072);
            }
        const int centre_owner = owner_at(near_by, centre);
        const auto add = [&](int owner, const glm::dvec2& plan, double area) {
            if (owner >= 0)
                owned.push_back({owner, {column, row, glm::dvec3(plan, 0), glm::dvec3(0, 0, 1), area}});
        };
        if (!is_cut)
            return add(centre_owner, centre, step_ * step_);
        constexpr int parts = 16;
        std::map<int, std::vector<glm::dvec2>> points;
        for (int j = 0; j < parts; ++j)
            for (int i = 0; i < parts; ++i) {
                const glm::dvec2 point = corner + step_ / parts * glm::dvec2(i + 0.5, j + 0.5);
                points[owner_at(near_by, point)].push_back(point);
            }
        for (const auto& [owner, own] : points) {
            const double count = static_cast<double>(own.size());
            const glm::dvec2 middle = std::accumulate(own.begin(), own.end(), glm::dvec2(0)) / count;
            const auto is_nearer = [&](const glm::dvec2& a, const glm::dvec2& b) {
                return glm::dot(a - middle, a - middle) < glm::dot(b - middle, b - middle);
            };
            add(owner, owner == centre_owner ? centre : *std::min_element(own.begin(), own.end(), is_nearer),
                count * step_ * step_ / (parts * parts));
        }
    }

    StageBuilder& builder_;
    std::uint16_t base_;
    std::uint16_t first_area_;
    double step_;
    std::vector<Footprint> footprints_;
    glm::dvec2 low_{0};
};

} // namespace

void StageBuilder::build_ground() {
    const std::uint16_t base = add_surface("ground", SurfaceKind::ground, "ground");
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
    // Areas have no facets of their own: the rectangle's material and surface are looked up by plan point.
    const auto first_area = static_cast<std::uint16_t>(stage.surfaces.size());
    for (const GroundArea& area : site.ground.areas) {
        const std::uint16_t surface = add_surface(area.id, SurfaceKind::ground, area.id);
        stage.surfaces[surface].outline.push_back({OutlineShape::Role::area, area.id, area.outline, true});
        stage.ground_areas.push_back(
            {surface, add_material(area.finish ? *area.finish : finish_of(area.kind)), area.outline});
    }
    sensor_jobs.emplace_back([this, base, first_area] { GroundSensors(*this, base, first_area).place(); });
}

} // namespace duskcast
