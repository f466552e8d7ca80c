#include "mesh_sensors.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "duskcast/base/random.hpp"

namespace duskcast {

namespace {

constexpr std::size_t most_strewn = 200'000; // sensors on the rest of one mesh

/// What the facets of a plane cover of one cell.
struct CellCover {
    double area = 0;
    double largest = 0;   ///< area of the largest part
    glm::dvec2 middle{0}; ///< of that part
    bool has_centre = false;
};

/// Adds what a triangle covers to the cells, and raises the columns' tops to it.
void cover_cells(const std::array<glm::dvec2, 3>& corner, SensorGrid& grid, std::vector<CellCover>& cover) {
    const glm::dvec2 origin(grid.u0, grid.v0);
    const glm::dvec2 low = (glm::min(corner[0], glm::min(corner[1], corner[2])) - origin) / grid.step;
    const glm::dvec2 high = (glm::max(corner[0], glm::max(corner[1], corner[2])) - origin) / grid.step;
    const std::vector<glm::dvec2> triangle(corner.begin(), corner.end());
    const int last_column = std::min(grid.columns - 1, static_cast<int>(high.x));
    const int last_row = std::min(grid.rows - 1, static_cast<int>(high.y));
    for (int column = std::max(0, static_cast<int>(low.x)); column <= last_column; ++column) {
        const double u = grid.u_of(column);
        for (int i = 0; i < 3; ++i) {
            const glm::dvec2& a = corner[i];
            const glm::dvec2& b = corner[(i + 1) % 3];
            if (u >= std::min(a.x, b.x) && u <= std::max(a.x, b.x) && a.x != b.x)
                grid.top[column] = std::max(grid.top[column], a.y + (u - a.x) / (b.x - a.x) * (b.y - a.y));
        }
        const std::vector<glm::dvec2> strip =
            clip(clip(triangle, 0, u - grid.step / 2, -1), 0, u + grid.step / 2, 1);
        for (int row = std::max(0, static_cast<int>(low.y)); row <= last_row; ++row) {
            const double v = grid.v_of(row);
            const std::vector<glm::dvec2> part =
                clip(clip(strip, 1, v - grid.step / 2, -1), 1, v + grid.step / 2, 1);
            if (part.size() < 3)
                continue;
            CellCover& cell = cover[static_cast<std::size_t>(row) * grid.columns + column];
            const double area = std::abs(signed_area(part));
            cell.area += area;
            cell.has_centre = cell.has_centre || is_inside(triangle, {u, v});
            if (area > cell.largest) {
                cell.largest = area;
                cell.middle = std::accumulate(part.begin(), part.end(), glm::dvec2(0)) /
                              static_cast<double>(part.size());
            }
        }
    }
}

} // namespace

void place_plane_sensors(StageBuilder& builder, std::uint16_t index, const std::vector<MeshFacet>& facets,
                         const glm::dvec3& normal, double offset, double low, double high) {
    Surface& surface = builder.stage.surfaces[index];
    const RunSegment& segment = surface.run.front();
    const glm::dvec3 outward(segment.outward, 0);
    const double step = builder.site.sensor_spacing;
    SensorGrid grid = make_grid(segment.length, high - low, step);
    grid.v0 = low;
    grid.top.assign(grid.columns, low);
    std::vector<CellCover> cover(grid.sensor.size());
    for (const MeshFacet& facet : facets)
        cover_cells({surface.unfold(facet.corner[0]), surface.unfold(facet.corner[1]),
                     surface.unfold(facet.corner[2])},
                    grid, cover);
    std::vector<SensorSpot> spots;
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column) {
            const CellCover& cell = cover[static_cast<std::size_t>(row) * grid.columns + column];
            if (cell.area < 1e-6 * step * step)
                continue;
            const glm::dvec2 spot =
                cell.has_centre ? glm::dvec2(grid.u_of(column), grid.v_of(row)) : cell.middle;
            glm::dvec3 position(segment.start + spot.x * segment.direction, spot.y);
            // Onto the plane, which may lean a little.
            position += (offset - glm::dot(normal, position)) / glm::dot(normal, outward) * outward;
            spots.push_back({column, row, position, outward, std::min(cell.area, step * step)});
        }
    surface.grid = std::move(grid);
    builder.add_sensors(index, spots);
}

void strew_sensors(StageBuilder& builder, std::uint16_t index, const std::vector<MeshFacet>& facets) {
    double total = 0;
    for (const MeshFacet& facet : facets)
        total += facet.area;
    const double per_sensor =
        std::max(builder.site.sensor_spacing * builder.site.sensor_spacing, total / most_strewn);
    Random random(index);
    std::vector<SensorSpot> spots;
    double next = per_sensor / 2;
    double passed = 0;
    for (const MeshFacet& facet : facets) {
        for (; next < passed + facet.area; next += per_sensor) {
            const double root = std::sqrt(random.uniform());
            const double share = random.uniform();
            const double w0 = 1 - root;
            const double w1 = root * (1 - share);
            const double w2 = root * share;
            const glm::dvec3 spot = w0 * facet.corner[0] + w1 * facet.corner[1] + w2 * facet.corner[2];
            if (facet.is_cutout) {
                const glm::vec2 uv = static_cast<float>(w0) * facet.uv[0] +
                                     static_cast<float>(w1) * facet.uv[1] +
                                     static_cast<float>(w2) * facet.uv[2];
                if (builder.stage.textures[facet.texture].alpha(uv.x, uv.y) < 0.5f)
                    continue;
                spots.push_back({0, 0, spot, -facet.normal, per_sensor});
            }
            spots.push_back({0, 0, spot, facet.normal, per_sensor});
        }
        passed += facet.area;
    }
    builder.add_sensors(index, spots);
}

} // namespace duskcast
