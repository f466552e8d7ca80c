#include "duskcast/app/stage_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <optional>

#include "atlas_packer.hpp"
#include "duskcast/stage/convex_part.hpp"
#include "duskcast/stage/solid_bodies.hpp"
#include "duskcast/stage/triangulate.hpp"
#include "sensor_finder.hpp"

namespace duskcast {
namespace {

constexpr float least_facing = 0.7f; ///< cosine of a facet with the side that a grid's sensors look to
constexpr float texel = 0.15f;       ///< metres, of facets without a grid
constexpr int most_texels = 32;      ///< along a side of such a facet
constexpr float farthest_facet = 3;  ///< metres from a facet to the sensor that stands for it
constexpr float mix_reach = 1.6f;    ///< of a body's sensors, in their distance from one to the next
constexpr float farthest_leaf = 5;   ///< the same of a leaf
constexpr float area_lift = 0.003f;  ///< metres from one area of the ground to the next above it
constexpr double part_lift = 0.002;  ///< the same of parts of a face
constexpr float facing_out = 0.7f;   ///< cosine with the outside from which on a facet is the face
constexpr std::size_t no_tile = static_cast<std::size_t>(-1);

using Corners = std::array<glm::vec3, 3>;

/// Where a surface's grid lies in its tile.
struct GridTile {
    std::size_t tile = no_tile;
    int first_column = 0;
    int first_row = 0;
};

const RunSegment& nearest_segment(const std::vector<RunSegment>& run, const glm::dvec2& plan) {
    const auto distance = [&](const RunSegment& segment) {
        const double on = std::clamp(glm::dot(plan - segment.start, segment.direction), 0.0, segment.length);
        return glm::distance(plan, segment.start + on * segment.direction);
    };
    return *std::min_element(run.begin(), run.end(), [&](const RunSegment& a, const RunSegment& b) {
        return distance(a) < distance(b);
    });
}

class MeshMaker {
public:
    explicit MeshMaker(const Stage& stage)
        : stage_(stage), bodies_(stage.opaque), grid_of_(stage.surfaces.size()),
          reliefs_of_(stage.surfaces.size()), finder_of_(stage.surfaces.size()) {
        for (std::size_t i = 0; i < stage.reliefs.size(); ++i)
            reliefs_of_[static_cast<std::size_t>(stage.reliefs[i].surface)].push_back(i);
    }

    StageMesh make() {
        for (std::size_t i = 0; i < stage_.surfaces.size(); ++i)
            add_grid_tile(i);
        std::vector<bool> is_body(stage_.opaque.size());
        for (const glm::uvec2& range : stage_.opaque.bodies)
            std::fill(is_body.begin() + range.x, is_body.begin() + range.y, true);
        for (std::size_t i = 0; i < stage_.opaque.size(); ++i)
            if (stage_.surfaces[stage_.opaque.surface[i]].kind != SurfaceKind::ground &&
                !(is_body[i] && is_buried(stage_.opaque, i)))
                add_facet(stage_.opaque, i, false);
        for (std::size_t i = 0; i < stage_.cutouts.size(); ++i)
            add_facet(stage_.cutouts, i, true);
        add_ground();
        mesh_.atlas = pack_atlas(tiles_);
        place_in_atlas();
        find_leaf_sensors();
        if (std::none_of(stage_.materials.begin(), stage_.materials.end(),
                         [](const Material& material) { return material.texture >= 0; }))
            mesh_.texture_uv.clear();
        return std::move(mesh_);
    }

private:
    /// What is kept of the grid, one texel more on every side.
    void add_grid_tile(std::size_t index) {
        const Surface& surface = stage_.surfaces[index];
        const SensorGrid& grid = surface.grid;
        int left = grid.columns, right = -1, low = grid.rows, high = -1;
        for (int row = 0; row < grid.rows; ++row)
            for (int column = 0; column < grid.columns; ++column)
                if (grid.at(column, row) >= 0) {
                    left = std::min(left, column);
                    right = std::max(right, column);
                    low = std::min(low, row);
                    high = std::max(high, row);
                }
        if (right < 0)
            return;
        AtlasTile tile{.width = right - left + 3, .height = high - low + 3};
        tile.sensor.assign(static_cast<std::size_t>(tile.width) * static_cast<std::size_t>(tile.height), -1);
        for (int row = low; row <= high; ++row)
            for (int column = left; column <= right; ++column)
                tile.at(column - left + 1, row - low + 1) = grid.at(column, row);
        fill_gaps(tile);
        grid_of_[index] = {tiles_.size(), left - 1, low - 1};
        tiles_.push_back(std::move(tile));
    }

    /// Texels in the surface's tile, for a place on its grid.
    glm::vec2 texel_at(std::size_t surface, const glm::dvec2& place) const {
        const SensorGrid& grid = stage_.surfaces[surface].grid;
        const GridTile& at = grid_of_[surface];
        const AtlasTile& tile = tiles_[at.tile];
        const glm::dvec2 cell =
            (place - glm::dvec2(grid.u0, grid.v0)) / grid.step - glm::dvec2(at.first_column, at.first_row);
        return glm::vec2(glm::clamp(cell, glm::dvec2(0.5), glm::dvec2(tile.width, tile.height) - 0.5));
    }

    /// The wall that a soffit belongs to.
    const Surface* find_wall_of(const Surface& soffit) const {
        for (const Surface& surface : stage_.surfaces)
            if (surface.id == soffit.part_of && surface.is_upright())
                return &surface;
        return nullptr;
    }

    /// The corners' places on the surface's grid; none where the facet is not a part of what the grid is of.
    std::optional<std::array<glm::dvec2, 3>> places_on_grid(std::size_t index, const Corners& corners,
                                                            const glm::vec3& normal) const {
        const Surface& surface = stage_.surfaces[index];
        if (grid_of_[index].tile == no_tile)
            return std::nullopt;
        const bool is_soffit = surface.kind == SurfaceKind::soffit;
        const Surface* upright = is_soffit ? find_wall_of(surface) : &surface;
        if (upright == nullptr || !upright->is_upright())
            return std::nullopt;
        const glm::dvec2 middle(glm::dvec3(corners[0] + corners[1] + corners[2]) / 3.0);
        const RunSegment& segment = nearest_segment(upright->run, middle);
        const float facing = is_soffit ? -normal.z : glm::dot(glm::vec2(normal), glm::vec2(segment.outward));
        if (facing < least_facing)
            return std::nullopt;
        std::array<glm::dvec2, 3> places;
        for (std::size_t i = 0; i < 3; ++i) {
            const glm::dvec2 offset = glm::dvec2(corners[i]) - segment.start;
            places[i] = {segment.along + glm::dot(offset, segment.direction),
                         is_soffit ? glm::dot(offset, segment.outward)
                                   : static_cast<double>(corners[i].z) - upright->foot};
        }
        return places;
    }

    /// Of the body's sensors where the facets' surface has some, else of the surface's own, or where it has
    /// none of those of the thing that it is part of.
    const SensorFinder& finder_of(std::size_t index) {
        if (finder_of_[index] != nullptr)
            return *finder_of_[index];
        const Surface& surface = stage_.surfaces[index];
        if (const Surface* body = body_of(index)) {
            finder_of_[index] = &find_finder("body " + surface.id, {body});
        } else if (surface.count > 0) {
            finder_of_[index] = &own_finder(surface);
        } else {
            std::vector<const Surface*> parts;
            for (const Surface& other : stage_.surfaces)
                if (other.part_of == surface.part_of)
                    parts.push_back(&other);
            finder_of_[index] = &find_finder(surface.part_of, parts);
        }
        return *finder_of_[index];
    }

    const Surface* body_of(std::size_t index) const {
        const auto found = std::find_if(stage_.bodies.begin(), stage_.bodies.end(), [&](const Surface& body) {
            return body.id == stage_.surfaces[index].id;
        });
        return found == stage_.bodies.end() ? nullptr : &*found;
    }

    const SensorFinder& own_finder(const Surface& surface) {
        return find_finder("=" + surface.id, {&surface});
    }

    const SensorFinder& find_finder(const std::string& key, const std::vector<const Surface*>& of) {
        auto known = finders_.find(key);
        if (known == finders_.end())
            known = finders_.try_emplace(key, stage_.sensors, sensors_of(of)).first;
        return known->second;
    }

    static std::vector<std::uint32_t> sensors_of(const std::vector<const Surface*>& surfaces) {
        std::vector<std::uint32_t> sensors;
        for (const Surface* surface : surfaces)
            for (std::uint32_t i = 0; i < surface->count; ++i)
                sensors.push_back(surface->first + i);
        return sensors;
    }

    /// A square of texels whose lower left half is the facet.
    void add_facet_tile(std::size_t surface, const Corners& corners, const glm::vec3& normal) {
        // From the corner opposite the longest side: along the legs of half a pane texels lie square, and the
        // edge of a shadow shows no streaks.
        std::size_t start = 0;
        float longest = 0;
        for (std::size_t i = 0; i < 3; ++i)
            if (const float side = glm::distance(corners[(i + 1) % 3], corners[(i + 2) % 3]); side > longest)
                longest = side, start = i;
        const std::size_t next = (start + 1) % 3, last = (start + 2) % 3;
        const glm::vec3 first = corners[next] - corners[start], second = corners[last] - corners[start];
        const float leg = std::max(glm::length(first), glm::length(second));
        // Where the surface has no light of its own, what its corners borrow is spread evenly.
        const Surface* body = body_of(surface);
        const bool is_lit = body != nullptr || stage_.surfaces[surface].count > 0;
        // Between texels as far apart as sensors light runs evenly; between nearer ones it would go in steps.
        const float apart =
            body != nullptr ? static_cast<float>(std::sqrt(body->area / body->count)) : 0.0f;
        const float size = std::max(texel, apart);
        const int side = is_lit ? std::clamp(static_cast<int>(std::ceil(leg / size)) + 1, 2, most_texels) : 2;
        AtlasTile tile{.width = side, .height = side};
        const SensorFinder& finder = finder_of(surface);
        const float step = 1.0f / static_cast<float>(side - 1);
        for (int row = 0; row < side; ++row)
            for (int column = 0; column < side; ++column) {
                // Beyond the facet's long side its middle line: a filter there sees what lies beside it.
                glm::vec2 share(step * static_cast<float>(column), step * static_cast<float>(row));
                if (const float sum = share.x + share.y; sum > 1)
                    share -= (sum - 1) / 2;
                const glm::vec3 spot = corners[start] + share.x * first + share.y * second;
                tile.sensor.push_back(body != nullptr ? find_mixed(finder, spot, normal, mix_reach * apart)
                                                      : finder.find(spot, normal, farthest_facet));
            }
        fill_gaps(tile);
        const float end = static_cast<float>(side) - 0.5f;
        std::array<glm::vec2, 3> texels;
        texels[start] = {0.5f, 0.5f}, texels[next] = {end, 0.5f}, texels[last] = {0.5f, end};
        add_texels(tiles_.size(), texels);
        tiles_.push_back(std::move(tile));
    }

    /// A body's sensors are strewn: the nearest one's light would show as patches at the edge of a shadow.
    std::int32_t find_mixed(const SensorFinder& finder, const glm::vec3& spot, const glm::vec3& normal,
                            float reach) {
        const std::vector<SensorFinder::Share> mixed = finder.mix(spot, normal, reach);
        if (mixed.empty())
            return finder.find(spot, normal, farthest_facet);
        for (const auto& [sensor, share] : mixed) {
            mesh_.mixes.sensor.push_back(static_cast<std::int32_t>(sensor));
            mesh_.mixes.share.push_back(share);
        }
        mesh_.mixes.end.push_back(static_cast<std::int32_t>(mesh_.mixes.sensor.size()));
        return static_cast<std::int32_t>(stage_.sensors.size() + mesh_.mixes.size() - 1);
    }

    void add_texels(std::size_t tile, const std::array<glm::vec2, 3>& texels) {
        tile_of_.push_back(tile);
        for (const glm::vec2& place : texels)
            mesh_.light_uv.insert(mesh_.light_uv.end(), {place.x, place.y});
    }

    void add_triangle(const Corners& corners, const glm::vec3& normal, std::uint16_t surface,
                      std::uint16_t material, bool is_solid, bool is_cutout) {
        for (const glm::vec3& corner : corners)
            mesh_.position.insert(mesh_.position.end(), {corner.x, corner.y, corner.z});
        mesh_.normal.insert(mesh_.normal.end(), {normal.x, normal.y, normal.z});
        mesh_.surface.push_back(surface);
        mesh_.material.push_back(material);
        mesh_.relief.push_back(-1);
        mesh_.solid.push_back(is_solid ? 1 : 0);
        mesh_.cutout.push_back(is_cutout ? 1 : 0);
    }

    /// Whether a facet of a body lies within other bodies, as where two parts of a roof touch. Nobody sees it
    /// but through the hair between them, where it would gleam.
    bool is_buried(const Triangles& triangles, std::size_t index) const {
        const glm::uvec3& corner = triangles.corners[index];
        const Corners corners{triangles.vertices[corner.x], triangles.vertices[corner.y],
                              triangles.vertices[corner.z]};
        const glm::vec3 out = glm::cross(corners[1] - corners[0], corners[2] - corners[0]);
        if (!(glm::length(out) > 0))
            return false;
        constexpr float off = 1e-4f; // metres
        const glm::vec3 middle = (corners[0] + corners[1] + corners[2]) / 3.0f + off * glm::normalize(out);
        return bodies_.contain(middle) && std::all_of(corners.begin(), corners.end(), [&](const auto& at) {
                   return bodies_.contain(glm::mix(at + off * glm::normalize(out), middle, 0.01f));
               });
    }

    void add_facet(const Triangles& triangles, std::size_t index, bool is_cutout) {
        const glm::uvec3 corner = triangles.corners[index];
        const Corners corners{triangles.vertices[corner.x], triangles.vertices[corner.y],
                              triangles.vertices[corner.z]};
        const glm::vec3 square = glm::cross(corners[1] - corners[0], corners[2] - corners[0]);
        if (!(glm::length(square) > 0))
            return;
        const glm::vec3 normal = glm::normalize(square);
        const std::uint16_t surface = triangles.surface[index];
        add_triangle(corners, normal, surface, triangles.material[index], triangles.solid[index] != 0,
                     is_cutout);
        for (int i = 0; i < 3; ++i) {
            const glm::vec2 uv = triangles.uv.empty() ? glm::vec2(0) : triangles.uv[corner[i]];
            mesh_.texture_uv.insert(mesh_.texture_uv.end(), {uv.x, uv.y});
        }
        light_facet(surface, corners, normal);
        if (!reliefs_of_[surface].empty())
            add_reliefs(corners, normal, surface, triangles.material[index], triangles.solid[index] != 0);
    }

    void light_facet(std::size_t surface, const Corners& corners, const glm::vec3& normal) {
        if (const auto places = places_on_grid(surface, corners, normal))
            add_texels(grid_of_[surface].tile,
                       {texel_at(surface, (*places)[0]), texel_at(surface, (*places)[1]),
                        texel_at(surface, (*places)[2])});
        else
            add_facet_tile(surface, corners, normal);
    }

    /// Of the triangle added last: the relief that is on all of it, and what others are on before it.
    void add_reliefs(const Corners& corners, const glm::vec3& normal, std::uint16_t surface,
                     std::uint16_t material, bool is_solid) {
        const std::vector<std::size_t>& reliefs = reliefs_of_[surface];
        const glm::dvec3 middle(glm::dvec3(corners[0] + corners[1] + corners[2]) / 3.0);
        const RunSegment& segment = nearest_segment(stage_.reliefs[reliefs[0]].run, glm::dvec2(middle));
        if (glm::dot(glm::vec2(normal), glm::vec2(segment.outward)) < facing_out)
            return;
        const double foot = stage_.reliefs[reliefs[0]].foot;
        ConvexPart whole;
        for (const glm::vec3& corner : corners)
            whole.emplace_back(segment.along +
                                   glm::dot(glm::dvec2(corner) - segment.start, segment.direction),
                               static_cast<double>(corner.z) - foot);
        const std::size_t base = mesh_.size() - 1;
        double lift = 0;
        for (const std::size_t index : reliefs) {
            const std::vector<glm::dvec2>& outline = stage_.reliefs[index].outline;
            if (outline.empty()) {
                mesh_.relief[base] = static_cast<std::int32_t>(index);
                continue;
            }
            lift += part_lift;
            for (const std::array<glm::dvec2, 3>& part : cut_into_triangles(outline)) {
                ConvexPart kept = whole;
                for (std::size_t i = 0; i < 3; ++i)
                    kept = keep_left(kept, {part[i], part[(i + 1) % 3]});
                const auto at = [&](std::size_t i) {
                    const glm::dvec2 plan = segment.start + (kept[i].x - segment.along) * segment.direction +
                                            lift * segment.outward;
                    return glm::vec3(glm::dvec3(plan, foot + kept[i].y));
                };
                for (std::size_t i = 1; i + 1 < kept.size(); ++i) {
                    const Corners piece{at(0), at(i), at(i + 1)};
                    if (!(glm::length(glm::cross(piece[1] - piece[0], piece[2] - piece[0])) > 1e-7f))
                        continue;
                    add_triangle(piece, normal, surface, material, is_solid, false);
                    mesh_.relief.back() = static_cast<std::int32_t>(index);
                    mesh_.texture_uv.insert(mesh_.texture_uv.end(), 6, 0.0f);
                    light_facet(surface, piece, normal);
                }
            }
        }
    }

    /// `lift`: metres above the ground there, so that areas upon each other are told apart.
    void add_ground_part(const std::array<glm::dvec2, 3>& plan, float lift, std::uint16_t surface,
                         std::uint16_t material, bool is_lit) {
        const GroundPlane& plane = stage_.surfaces[surface].plane;
        Corners corners;
        std::array<glm::vec2, 3> texels{};
        for (std::size_t i = 0; i < 3; ++i) {
            corners[i] = glm::vec3(plan[i], lift + static_cast<float>(plane.height_at(plan[i])));
            if (is_lit)
                texels[i] = texel_at(surface, plan[i]);
        }
        add_triangle(corners, glm::vec3(plane.normal()), surface, material, true, false);
        mesh_.texture_uv.insert(mesh_.texture_uv.end(), 6, 0.0f);
        add_texels(is_lit ? grid_of_[surface].tile : no_tile, texels);
    }

    /// The rectangle of the stage, cut where its sensors end, and the areas on it.
    void add_ground() {
        glm::dvec2 low(std::numeric_limits<double>::max()), high(std::numeric_limits<double>::lowest());
        std::uint16_t material = 0;
        for (std::size_t i = 0; i < stage_.opaque.size(); ++i)
            if (stage_.surfaces[stage_.opaque.surface[i]].id == "ground") {
                material = stage_.opaque.material[i];
                for (int corner = 0; corner < 3; ++corner) {
                    const glm::dvec2 plan(stage_.opaque.vertices[stage_.opaque.corners[i][corner]]);
                    low = glm::min(low, plan);
                    high = glm::max(high, plan);
                }
            }
        const int ground = stage_.base_ground;
        if (ground < 0 || !(low.x < high.x))
            return;
        const auto base = static_cast<std::uint16_t>(ground);
        const SensorGrid& grid = stage_.surfaces[base].grid;
        std::vector<double> x{low.x, high.x}, y{low.y, high.y};
        const bool is_lit = grid_of_[base].tile != no_tile;
        if (is_lit) {
            x.insert(x.end(), {grid.u0, grid.u0 + grid.columns * grid.step});
            y.insert(y.end(), {grid.v0, grid.v0 + grid.rows * grid.step});
            std::sort(x.begin(), x.end());
            std::sort(y.begin(), y.end());
        }
        for (std::size_t i = 0; i + 1 < x.size(); ++i)
            for (std::size_t j = 0; j + 1 < y.size(); ++j) {
                const bool is_middle = is_lit && i == 1 && j == 1;
                const glm::dvec2 a(x[i], y[j]), b(x[i + 1], y[j]), c(x[i + 1], y[j + 1]), d(x[i], y[j + 1]);
                add_ground_part({a, b, c}, 0, base, material, is_middle);
                add_ground_part({a, c, d}, 0, base, material, is_middle);
            }
        float lift = 0;
        for (const GroundCover& area : stage_.ground_areas) {
            lift += area_lift;
            const auto surface = static_cast<std::uint16_t>(area.surface);
            for (const std::array<glm::dvec2, 3>& triangle : cut_into_triangles(area.outline))
                add_ground_part(triangle, lift, surface, static_cast<std::uint16_t>(area.material),
                                grid_of_[surface].tile != no_tile);
        }
    }

    /// From texels of a tile to shares of the atlas. What has no tile lies outside of it.
    void place_in_atlas() {
        for (std::size_t i = 0; i < tile_of_.size(); ++i)
            for (std::size_t corner = 0; corner < 3; ++corner) {
                float* uv = mesh_.light_uv.data() + 6 * i + 2 * corner;
                const bool is_lit = tile_of_[i] != no_tile;
                uv[0] = is_lit ? (uv[0] + static_cast<float>(tiles_[tile_of_[i]].left)) /
                                     static_cast<float>(mesh_.atlas.width)
                               : -1;
                uv[1] = is_lit ? (uv[1] + static_cast<float>(tiles_[tile_of_[i]].low)) /
                                     static_cast<float>(mesh_.atlas.height)
                               : -1;
            }
    }

    void find_leaf_sensors() {
        const SensorFinder* finder = nullptr;
        for (std::size_t leaf = 0; leaf < stage_.leaves.size(); ++leaf) {
            const std::size_t surface = stage_.leaves.surface[leaf];
            if (leaf == 0 || surface != stage_.leaves.surface[leaf - 1])
                finder = &own_finder(stage_.surfaces[surface]);
            const glm::vec3 normal = stage_.leaves.normal(leaf);
            for (const float side : {1.0f, -1.0f})
                mesh_.leaf_sensor.push_back(
                    finder->find(stage_.leaves.centre(leaf), side * normal, farthest_leaf));
        }
    }

    const Stage& stage_;
    SolidBodies bodies_;
    StageMesh mesh_;
    std::vector<AtlasTile> tiles_;
    std::vector<GridTile> grid_of_;                    ///< one a surface
    std::vector<std::vector<std::size_t>> reliefs_of_; ///< one a surface, the later on top
    std::vector<std::size_t> tile_of_;                 ///< one a triangle
    std::map<std::string, SensorFinder> finders_;
    std::vector<const SensorFinder*> finder_of_; ///< one a surface; null: not made yet
};

} // namespace

StageMesh make_stage_mesh(const Stage& stage) {
    return MeshMaker(stage).make();
}

} // namespace duskcast
