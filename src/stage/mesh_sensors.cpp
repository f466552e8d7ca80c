#include "mesh_sensors.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "duskcast/base/random.hpp"
#include "duskcast/base/text.hpp"

namespace duskcast {

namespace {

constexpr std::size_t most_strewn = 200'000; // sensors on the rest of one mesh

/// Adds what a triangle covers to the parts of the cells, and raises the columns' tops to it.
void cover_cells(const std::array<glm::dvec2, 3>& corner, SensorGrid& grid,
                 std::vector<std::vector<ConvexPart>>& cells) {
    const glm::dvec2 origin(grid.u0, grid.v0);
    const glm::dvec2 low = (glm::min(corner[0], glm::min(corner[1], corner[2])) - origin) / grid.step;
    const glm::dvec2 high = (glm::max(corner[0], glm::max(corner[1], corner[2])) - origin) / grid.step;
    std::vector<glm::dvec2> triangle(corner.begin(), corner.end());
    if (signed_area(triangle) < 0)
        std::swap(triangle[1], triangle[2]);
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
            ConvexPart part = clip(clip(strip, 1, v - grid.step / 2, -1), 1, v + grid.step / 2, 1);
            if (part.size() >= 3)
                cells[static_cast<std::size_t>(row) * grid.columns + column].push_back(std::move(part));
        }
    }
}

/// A triangle without a rim along its edges: the corners moved towards the centre of the circle within it.
/// Weights of the old corners, one row a new one. Slender triangles keep half their size.
glm::dmat3 find_core(const std::array<glm::dvec3, 3>& corner, double area) {
    glm::dvec3 opposite;
    for (int i = 0; i < 3; ++i)
        opposite[i] = glm::distance(corner[(i + 1) % 3], corner[(i + 2) % 3]);
    const double perimeter = opposite.x + opposite.y + opposite.z;
    const double radius = 2 * area / perimeter;
    const double scale = std::max(0.5, 1 - sensor_clearance / radius);
    glm::dmat3 core(scale);
    for (int i = 0; i < 3; ++i)
        core[i] += (1 - scale) / perimeter * opposite;
    return core;
}

/// Whether a spot is clear of the edges between texels, where the last bit would decide on its texel.
bool is_in_texel(const Texture& texture, const glm::vec2& uv) {
    constexpr float seam = 1e-3f; // of a texel
    const glm::vec2 at = uv * glm::vec2(texture.width, texture.height);
    const glm::vec2 off = glm::abs(at - glm::round(at));
    return off.x > seam && off.y > seam;
}

} // namespace

MeshFacet make_facet(const std::array<glm::dvec3, 3>& corner) {
    const glm::dvec3 across = glm::cross(corner[1] - corner[0], corner[2] - corner[0]);
    const double twice = glm::length(across);
    return {.corner = corner, .normal = across / twice, .area = twice / 2};
}

double area_of(const std::vector<MeshFacet>& facets) {
    double sum = 0;
    for (const MeshFacet& facet : facets)
        sum += facet.area;
    return sum;
}

void place_plane_sensors(StageBuilder& builder, std::uint16_t index, const std::vector<MeshFacet>& facets,
                         const glm::dvec3& normal, double offset, double low, double high) {
    Surface& surface = builder.stage.surfaces[index];
    const RunSegment& segment = surface.run.front();
    const glm::dvec3 outward(segment.outward, 0);
    const double step = builder.site.sensor_spacing;
    SensorGrid grid = make_grid(segment.length, high - low, step);
    grid.v0 = low;
    grid.top.assign(grid.columns, low);
    std::vector<std::vector<ConvexPart>> cells(grid.sensor.size());
    for (const MeshFacet& facet : facets)
        cover_cells({surface.unfold(facet.corner[0]), surface.unfold(facet.corner[1]),
                     surface.unfold(facet.corner[2])},
                    grid, cells);
    // Facets of the plane itself meet the sensors' rays nowhere near their start, however the plane leans.
    const FacetLines lines(builder.stage.opaque, builder.stage.cutouts,
                           {{segment.start, 0}, {segment.direction, 0}, {0, 0, 1}}, {0, low},
                           {segment.length, high});
    std::vector<SensorSpot> spots;
    for (int row = 0; row < grid.rows; ++row)
        for (int column = 0; column < grid.columns; ++column) {
            const KeptCell kept =
                find_kept(std::move(cells[static_cast<std::size_t>(row) * grid.columns + column]), lines);
            if (kept.area < 1e-6 * step * step)
                continue;
            glm::dvec3 position(segment.start + kept.spot.x * segment.direction, kept.spot.y);
            // Onto the plane, which may lean a little.
            position += (offset - glm::dot(normal, position)) / glm::dot(normal, outward) * outward;
            spots.push_back(
                {column, row, position, outward, std::min(kept.area, step * step), kept.is_narrow});
        }
    surface.grid = std::move(grid);
    builder.add_sensors(surface, spots);
}

void strew_sensors(StageBuilder& builder, std::uint16_t index, const std::vector<MeshFacet>& facets) {
    const double per_sensor =
        std::max(builder.site.sensor_spacing * builder.site.sensor_spacing, area_of(facets) / most_strewn);
    Surface& surface = builder.stage.surfaces[index];
    builder.add_sensors(surface, strew_spots(builder.stage, surface.id, facets, per_sensor));
}

std::vector<SensorSpot> strew_spots(const Stage& stage, const std::string& id,
                                    const std::vector<MeshFacet>& facets, double per_sensor) {
    constexpr int most_draws = 16;
    const std::uint64_t seed = hash_of(id);
    std::vector<SensorSpot> spots;
    double next = per_sensor / 2;
    double passed = 0;
    int number = 0;
    for (const MeshFacet& facet : facets) {
        const glm::dmat3 core = find_core(facet.corner, facet.area);
        int count = 0;
        for (double at = next; at < passed + facet.area; at += per_sensor)
            ++count;
        double shift = 0;
        for (int step = 0; step < count; ++step, ++number, next += per_sensor) {
            Random random(join_seeds(seed, static_cast<std::uint64_t>(number)));
            glm::dvec2 at{0};
            at.y = random.uniform(); // not as two arguments: compilers differ on which is worked out first
            at.x = random.uniform();
            if (step == 0)
                shift = at.y;
            if (count > 1) // by chance the mean over a large facet would be off by that of its spots
                at = {(step + 0.5) / count, wrap_unit(shift + step * (golden_angle / (2 * pi)))};
            glm::dvec3 weight;
            bool is_solid = true;
            for (int draw = 0; draw < most_draws; ++draw) {
                const double root = std::sqrt(at.x);
                weight = core * glm::dvec3(1 - root, root * (1 - at.y), root * at.y);
                if (!facet.is_cutout)
                    break;
                const Texture& texture = stage.textures[facet.texture];
                const glm::vec2 uv = static_cast<float>(weight.x) * facet.uv[0] +
                                     static_cast<float>(weight.y) * facet.uv[1] +
                                     static_cast<float>(weight.z) * facet.uv[2];
                is_solid = texture.alpha(uv.x, uv.y) >= 0.5f;
                if (is_in_texel(texture, uv))
                    break;
                at.x = random.uniform();
                at.y = random.uniform();
            }
            if (!is_solid)
                continue;
            const glm::dvec3 spot =
                weight.x * facet.corner[0] + weight.y * facet.corner[1] + weight.z * facet.corner[2];
            spots.push_back({0, number, spot, facet.normal, per_sensor});
            if (facet.is_cutout)
                spots.push_back({1, number, spot, -facet.normal, per_sensor});
        }
        passed += facet.area;
    }
    return spots;
}

} // namespace duskcast
