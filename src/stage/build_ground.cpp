// The level ground and the areas on it.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "builder.hpp"
#include "duskcast/site/finish.hpp"

namespace duskcast {

namespace {

/// How far the ground goes on beyond everything built; light that comes down farther off is counted as
/// ground all the same.
constexpr double ground_beyond = 60;

constexpr std::int64_t most_ground_cells = 4'000'000;

/// What one area has of one cell.
struct CellShare {
    int count = 0;
    glm::dvec2 sum{0};
};

class GroundSensors {
public:
    GroundSensors(StageBuilder& builder, std::uint16_t base, std::uint16_t first_area)
        : builder_(builder), base_(base), first_area_(first_area) {}

    void place() {
        const double step = builder_.site.ground_spacing;
        const double margin = builder_.site.ground.margin;
        const glm::dvec2 low = glm::floor((builder_.low - margin) / step) * step;
        const glm::dvec2 high = glm::ceil((builder_.high + margin) / step) * step;
        const auto columns = static_cast<std::int64_t>(std::llround((high.x - low.x) / step));
        const auto rows = static_cast<std::int64_t>(std::llround((high.y - low.y) / step));
        if (columns * rows > most_ground_cells)
            throw InputError(Problem{
                .place = {.path = "ground_spacing"},
                .what = fmt::format("the ground needs {} cells at this spacing; at most {} are handled",
                                    columns * rows, most_ground_cells),
                .remedy = "give a larger ground_spacing or a smaller ground margin"});
        const std::size_t surfaces = builder_.site.ground.areas.size() + 1;
        std::vector<std::vector<SensorSpot>> spots(surfaces);
        std::vector<CellShare> shares(surfaces);
        for (int row = 0; row < rows; ++row)
            for (int column = 0; column < columns; ++column) {
                const glm::dvec2 corner = low + step * glm::dvec2(column, row);
                share_cell(corner, step, shares);
                for (std::size_t i = 0; i < surfaces; ++i)
                    if (shares[i].count > 0)
                        spots[i].push_back(make_spot(column, row, corner, step, i, shares[i]));
            }
        for (std::size_t i = 0; i < surfaces; ++i) {
            const auto surface = static_cast<std::uint16_t>(i == 0 ? base_ : first_area_ + i - 1);
            SensorGrid& grid = builder_.stage.surfaces[surface].grid;
            grid = SensorGrid{.u0 = low.x, .v0 = low.y, .step = step};
            grid.columns = static_cast<int>(columns);
            grid.rows = static_cast<int>(rows);
            grid.sensor.assign(static_cast<std::size_t>(columns * rows), -1);
            builder_.add_sensors(surface, spots[i]);
        }
    }

private:
    static constexpr int parts = 8;

    /// 0 for the base, i + 1 for area i, -1 under a house.
    int owner_at(const glm::dvec2& point) const {
        for (const Wall& wall : builder_.site.walls)
            if (wall.closed && is_inside(wall.path, point))
                return -1;
        const std::vector<GroundArea>& areas = builder_.site.ground.areas;
        for (std::size_t i = areas.size(); i-- > 0;)
            if (is_inside(areas[i].outline, point))
                return static_cast<int>(i) + 1;
        return 0;
    }

    void share_cell(const glm::dvec2& corner, double step, std::vector<CellShare>& shares) const {
        std::fill(shares.begin(), shares.end(), CellShare{});
        for (int j = 0; j < parts; ++j)
            for (int i = 0; i < parts; ++i) {
                const glm::dvec2 point = corner + step / parts * glm::dvec2(i + 0.5, j + 0.5);
                const int owner = owner_at(point);
                if (owner < 0)
                    continue;
                shares[owner].count += 1;
                shares[owner].sum += point;
            }
    }

    SensorSpot make_spot(int column, int row, const glm::dvec2& corner, double step, std::size_t surface,
                         const CellShare& share) const {
        const glm::dvec2 centre = corner + step / 2;
        const glm::dvec2 middle = share.sum / static_cast<double>(share.count);
        const bool is_centre = owner_at(centre) == static_cast<int>(surface);
        const glm::dvec2 plan = is_centre ? centre : middle;
        return {column, row, glm::dvec3(plan, 0), glm::dvec3(0, 0, 1),
                share.count * step * step / (parts * parts)};
    }

    StageBuilder& builder_;
    std::uint16_t base_;
    std::uint16_t first_area_;
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
