#include "duskcast/light/patches.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>

#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

/// Facets whose plane differs by less are one flat part.
constexpr double same_normal = 1e-3;
constexpr double same_plane = 2e-3;

/// How much wider than the last each patch of the ground is, away from what is built.
constexpr double ground_growth = 1.35;
constexpr double near_ground = 3; ///< metres round what is built where the ground's patches are even

constexpr double least_leaf_cell = 0.15; ///< metres
constexpr double largest_growth = 100;   ///< of patches and cells, where there are too many

/// Faces at least this large are looked at for where they stand on others, m2.
constexpr double least_barrier = 0.5;

struct Corners {
    glm::dvec3 a, b, c;
    glm::dvec3 normal() const { return glm::cross(b - a, c - a); } ///< as long as twice the area
};

Corners corners_of(const Triangles& triangles, std::size_t i) {
    const glm::uvec3& corner = triangles.corners[i];
    return {glm::dvec3(triangles.vertices[corner.x]), glm::dvec3(triangles.vertices[corner.y]),
            glm::dvec3(triangles.vertices[corner.z])};
}

/// Which of six ways a direction points most: 2 axis + (1 when against it).
std::uint32_t way_of(const glm::vec3& direction) {
    const glm::vec3 size = glm::abs(direction);
    const int axis = size.x >= size.y && size.x >= size.z ? 0 : size.y >= size.z ? 1 : 2;
    return static_cast<std::uint32_t>(2 * axis + (direction[axis] < 0 ? 1 : 0));
}

/// The way a leaf faces, in thirds of a cube's sides, without its sign: 27 ways and their opposites. Coarser
/// ways lose light: a leaf turned to the lamp is also the one that sends most back (six ways lose 20 %).
std::uint32_t leaf_way_of(const glm::vec3& normal) {
    const std::uint32_t axis = way_of(normal) / 2;
    const auto third = [&](std::uint32_t other) {
        const float at = normal[static_cast<int>(other % 3)] / normal[static_cast<int>(axis)];
        return at < -1.0f / 3 ? 0u : at > 1.0f / 3 ? 2u : 1u;
    };
    return axis * 9 + third(axis + 1) * 3 + third(axis + 2);
}

std::vector<float> even_edges(double low, double high, double size) {
    const int count = std::max(1, static_cast<int>(std::ceil((high - low) / size - 1e-6)));
    std::vector<float> edges;
    for (int i = 0; i <= count; ++i)
        edges.push_back(static_cast<float>(low + (high - low) * i / count));
    return edges;
}

/// Even edges between `near`, ever wider ones out to `low` and `high`.
std::vector<float> graded_edges(double low, double high, const std::array<double, 2>& near, double size) {
    std::vector<double> edges;
    const double from = std::max(low, near[0]);
    const double to = std::min(high, near[1]);
    const int count = std::max(1, static_cast<int>(std::ceil((to - from) / size)));
    for (int i = 0; i <= count; ++i)
        edges.push_back(from + (to - from) * i / count);
    for (double step = size * ground_growth; from - step / 2 > low && edges.front() - step > low;
         step *= ground_growth)
        edges.insert(edges.begin(), edges.front() - step);
    if (edges.front() > low)
        edges.insert(edges.begin(), low);
    for (double step = size * ground_growth; edges.back() + step < high; step *= ground_growth)
        edges.push_back(edges.back() + step);
    if (edges.back() < high)
        edges.push_back(high);
    return {edges.begin(), edges.end()};
}

std::size_t cell_at(const std::vector<float>& edges, double x) {
    const auto after = std::upper_bound(edges.begin(), edges.end(), static_cast<float>(x));
    const auto index = static_cast<std::ptrdiff_t>(after - edges.begin()) - 1;
    return static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(index, 0, static_cast<std::ptrdiff_t>(edges.size()) - 2));
}

} // namespace

class Patches::Builder {
public:
    Builder(Patches& patches, const PatchOptions& options)
        : patches_(patches), stage_(patches.stage_), options_(options) {}

    void build() {
        group_triangles();
        find_built();
        for (std::size_t f = 0; f < plans_.size(); ++f)
            find_standings(f);
        for (double size = options_.size;; size *= 1.1) {
            size_ = size;
            for (std::size_t f = 0; f < plans_.size(); ++f)
                lay_edges(f);
            // A mesh of many parts has one patch at least on each.
            if (count_cells() <= options_.most_flat || size > largest_growth * options_.size)
                break;
        }
        for (std::size_t f = 0; f < plans_.size(); ++f)
            cut_face(f);
        gather_triangles();
        gather_leaves();
        sort_pieces();
    }

private:
    /// A line on which another face stands: at u (axis 0) or v, over a stretch of the other.
    struct Standing {
        int axis;
        double at, from, to;
    };

    /// What is known of a flat part before its grid is laid.
    struct Plan {
        std::vector<std::size_t> facets;
        glm::dvec2 low{1e30};
        glm::dvec2 high{-1e30};
        double area = 0;
        bool is_ground = false;
        bool has_back = false;
        std::vector<Standing> standings;
    };

    const Triangles& triangles_of(std::size_t facet) const {
        return facet < stage_.opaque.size() ? stage_.opaque : stage_.cutouts;
    }
    std::size_t index_of(std::size_t facet) const {
        return facet < stage_.opaque.size() ? facet : facet - stage_.opaque.size();
    }
    bool is_ground(std::size_t facet) const {
        return stage_.surfaces[triangles_of(facet).surface[index_of(facet)]].kind == SurfaceKind::ground;
    }

    bool has_back(std::size_t facet) const {
        return stage_.is_two_sided(facet < stage_.opaque.size() ? FacetKind::opaque : FacetKind::cutout,
                                   static_cast<std::uint32_t>(index_of(facet)));
    }

    void group_triangles() {
        const std::size_t count = stage_.opaque.size() + stage_.cutouts.size();
        patches_.face_of_.assign(count, -1);
        patches_.sides_of_.assign(count, {});
        using Key = std::tuple<int, int, bool, long, long, long, long>;
        std::map<Key, std::vector<std::size_t>> groups;
        for (std::size_t facet = 0; facet < count; ++facet) {
            const Corners corners = corners_of(triangles_of(facet), index_of(facet));
            const glm::dvec3 doubled = corners.normal();
            if (!(glm::length(doubled) > 0))
                continue;
            const glm::dvec3 normal = glm::normalize(doubled);
            const glm::dvec3 rounded = glm::round(normal / same_normal);
            const Triangles& triangles = triangles_of(facet);
            const std::size_t i = index_of(facet);
            groups[{triangles.surface[i], triangles.material[i], has_back(facet),
                    static_cast<long>(rounded.x), static_cast<long>(rounded.y), static_cast<long>(rounded.z),
                    std::lround(glm::dot(normal, corners.a) / same_plane)}]
                .push_back(facet);
        }
        for (auto& [key, facets] : groups)
            plan_face(facets);
    }

    /// Lays a frame into the plane; too small a part is left to be gathered with others.
    void plan_face(std::vector<std::size_t>& facets) {
        Plan plan;
        Face face;
        face.normal =
            glm::normalize(corners_of(triangles_of(facets.front()), index_of(facets.front())).normal());
        const bool is_level = std::abs(face.normal.z) > 0.999;
        face.across =
            is_level ? glm::dvec3(1, 0, 0) : glm::normalize(glm::cross(glm::dvec3(0, 0, 1), face.normal));
        face.upward = glm::cross(face.normal, face.across);
        face.origin = corners_of(triangles_of(facets.front()), index_of(facets.front())).a;
        for (const std::size_t facet : facets) {
            const Corners corners = corners_of(triangles_of(facet), index_of(facet));
            plan.area += glm::length(corners.normal()) / 2;
            for (const glm::dvec3& corner : {corners.a, corners.b, corners.c}) {
                const glm::dvec2 at(glm::dot(corner - face.origin, face.across),
                                    glm::dot(corner - face.origin, face.upward));
                plan.low = glm::min(plan.low, at);
                plan.high = glm::max(plan.high, at);
            }
        }
        if (plan.area < 0.5 * options_.size * options_.size)
            return;
        plan.is_ground = is_ground(facets.front());
        plan.has_back = has_back(facets.front());
        for (const std::size_t facet : facets)
            patches_.face_of_[facet] = static_cast<std::int32_t>(plans_.size());
        plan.facets = std::move(facets);
        plans_.push_back(std::move(plan));
        patches_.faces_.push_back(std::move(face));
    }

    void lay_edges(std::size_t index) {
        const Plan& plan = plans_[index];
        Face& face = patches_.faces_[index];
        if (plan.is_ground) {
            const glm::dvec2 origin(glm::dot(face.origin, face.across), glm::dot(face.origin, face.upward));
            const auto lay = [&](int axis) {
                return graded_edges(plan.low[axis], plan.high[axis],
                                    {built_low_[axis] - origin[axis] - near_ground,
                                     built_high_[axis] - origin[axis] + near_ground},
                                    size_);
            };
            face.u = lay(0);
            face.v = lay(1);
        } else {
            face.u = even_edges(plan.low.x, plan.high.x, size_);
            face.v = even_edges(plan.low.y, plan.high.y, size_);
        }
        for (const Standing& standing : plan.standings)
            put_edge(standing.axis == 0 ? face.u : face.v, static_cast<float>(standing.at));
        face.barriers.clear();
        for (const Standing& standing : plan.standings) {
            const std::vector<float>& edges = standing.axis == 0 ? face.u : face.v;
            const auto edge = std::lower_bound(edges.begin(), edges.end(), standing.at - 2e-3);
            face.barriers.push_back(
                {standing.axis, static_cast<std::size_t>(edge - edges.begin()), standing.from, standing.to});
        }
    }

    static void put_edge(std::vector<float>& edges, float at) {
        const auto after = std::lower_bound(edges.begin(), edges.end(), at - 1e-3f);
        if (after == edges.end() || *after > at + 1e-3f)
            edges.insert(after, at);
    }

    /// Where something stands on the ground.
    void find_built() {
        const auto grow = [&](const glm::dvec3& point) {
            built_low_ = glm::min(built_low_, glm::dvec2(point));
            built_high_ = glm::max(built_high_, glm::dvec2(point));
        };
        for (std::size_t facet = 0; facet < patches_.face_of_.size(); ++facet) {
            if (is_ground(facet))
                continue;
            const Corners corners = corners_of(triangles_of(facet), index_of(facet));
            for (const glm::dvec3& corner : {corners.a, corners.b, corners.c})
                grow(corner);
        }
        for (std::size_t leaf = 0; leaf < stage_.leaves.size(); ++leaf)
            grow(glm::dvec3(stage_.leaves.centre(leaf)));
        for (const GroundCover& cover : stage_.ground_areas)
            for (const glm::dvec2& point : cover.outline)
                grow(glm::dvec3(point, 0));
        if (!(built_low_.x <= built_high_.x))
            built_low_ = built_high_ = glm::dvec2(0);
    }

    /// The lines on which large faces meet this one, where they run along its grid.
    void find_standings(std::size_t index) {
        Plan& plan = plans_[index];
        const Face& face = patches_.faces_[index];
        for (std::size_t other = 0; other < plans_.size(); ++other) {
            if (other == index || std::min(plan.area, plans_[other].area) < least_barrier ||
                plans_[other].is_ground)
                continue;
            const Face& wall = patches_.faces_[other];
            if (std::abs(glm::dot(wall.normal, face.normal)) > 0.9)
                continue;
            const glm::dvec3 line = glm::normalize(glm::cross(wall.normal, face.normal));
            const int axis = std::abs(glm::dot(line, face.upward)) > 0.9999   ? 0
                             : std::abs(glm::dot(line, face.across)) > 0.9999 ? 1
                                                                              : -1;
            if (axis < 0)
                continue;
            const glm::dvec3& step = axis == 0 ? face.across : face.upward;
            const double at = glm::dot(wall.origin - face.origin, wall.normal) / glm::dot(step, wall.normal);
            if (at < plan.low[axis] + 1e-3 || at > plan.high[axis] - 1e-3)
                continue;
            // Over which stretch, and whether it stands on this face or passes by it.
            double from = 1e30, to = -1e30, lowest = 1e30, highest = -1e30;
            for (const std::size_t facet : plans_[other].facets) {
                const Corners corners = corners_of(triangles_of(facet), index_of(facet));
                for (const glm::dvec3& corner : {corners.a, corners.b, corners.c}) {
                    const glm::dvec3 way = corner - face.origin;
                    const double height = glm::dot(way, face.normal);
                    lowest = std::min(lowest, height);
                    highest = std::max(highest, height);
                    const double along = glm::dot(way, axis == 0 ? face.upward : face.across);
                    from = std::min(from, along);
                    to = std::max(to, along);
                }
            }
            if (lowest > 0.05 || highest < 0.05)
                continue;
            plan.standings.push_back({axis, at, from, to});
        }
    }

    std::size_t count_cells() const {
        std::size_t count = 0;
        for (std::size_t f = 0; f < plans_.size(); ++f) {
            const Face& face = patches_.faces_[f];
            // A slender triangle fills little of its rectangle.
            const glm::dvec2 size = plans_[f].high - plans_[f].low;
            const double filled = std::min(1.0, plans_[f].area / std::max(1e-9, size.x * size.y));
            const double cells = static_cast<double>(face.columns() * face.rows());
            count += static_cast<std::size_t>(cells * filled) * (plans_[f].has_back ? 2 : 1);
        }
        return count;
    }

    std::uint32_t add_patch() {
        const auto patch = static_cast<std::uint32_t>(patches_.size());
        patches_.area.push_back(0);
        patches_.reflectance.emplace_back(0);
        patches_.transmittance.emplace_back(0);
        patches_.behind.push_back(none);
        patches_.right.push_back(none);
        patches_.above.push_back(none);
        patches_.width.push_back(0);
        return patch;
    }

    void add_piece(std::uint32_t patch, const Piece& piece) {
        patches_.area[patch] += piece.area;
        owned_.emplace_back(patch, piece);
    }

    /// Cuts every triangle of the part by the grid; what lies in a cell is the cell's patch.
    void cut_face(std::size_t index) {
        const Plan& plan = plans_[index];
        Face& face = patches_.faces_[index];
        face.front.assign(face.columns() * face.rows(), none);
        if (plan.has_back)
            face.back.assign(face.front.size(), none);
        for (const std::size_t facet : plan.facets) {
            const Corners corners = corners_of(triangles_of(facet), index_of(facet));
            std::vector<glm::dvec2> triangle;
            for (const glm::dvec3& corner : {corners.a, corners.b, corners.c})
                triangle.emplace_back(glm::dot(corner - face.origin, face.across),
                                      glm::dot(corner - face.origin, face.upward));
            const auto [low_u, high_u] = std::minmax({triangle[0].x, triangle[1].x, triangle[2].x});
            for (std::size_t column = cell_at(face.u, low_u); column < face.columns(); ++column) {
                if (face.u[column] >= high_u)
                    break;
                const std::vector<glm::dvec2> strip =
                    clip(clip(triangle, 0, face.u[column], -1), 0, face.u[column + 1], 1);
                if (strip.size() < 3)
                    continue;
                const auto by_height = [](const glm::dvec2& a, const glm::dvec2& b) { return a.y < b.y; };
                const auto [low_v, high_v] = std::minmax_element(strip.begin(), strip.end(), by_height);
                for (std::size_t row = cell_at(face.v, low_v->y); row < face.rows(); ++row) {
                    if (face.v[row] >= high_v->y)
                        break;
                    const std::vector<glm::dvec2> part =
                        clip(clip(strip, 1, face.v[row], -1), 1, face.v[row + 1], 1);
                    if (part.size() >= 3)
                        add_part(face, row * face.columns() + column, part);
                }
            }
        }
        link(face, face.front);
        link(face, face.back);
    }

    void add_part(Face& face, std::size_t cell, const std::vector<glm::dvec2>& part) {
        const auto at = [&](const glm::dvec2& point) {
            return face.origin + point.x * face.across + point.y * face.upward;
        };
        for (std::size_t i = 1; i + 1 < part.size(); ++i) {
            const double piece = std::abs(signed_area({part[0], part[i], part[i + 1]}));
            if (piece < 1e-9)
                continue;
            const auto add = [&](std::vector<std::uint32_t>& grid, double side) {
                if (grid.empty())
                    return;
                if (grid[cell] == none)
                    grid[cell] = add_patch();
                add_piece(grid[cell], {glm::vec3(at(part[0])), glm::vec3(at(part[i]) - at(part[0])),
                                       glm::vec3(at(part[i + 1]) - at(part[0])),
                                       glm::vec3(side * face.normal), static_cast<float>(piece), false});
            };
            add(face.front, 1);
            add(face.back, -1);
        }
    }

    void link(const Face& face, const std::vector<std::uint32_t>& grid) {
        if (grid.empty())
            return;
        for (std::size_t row = 0; row < face.rows(); ++row)
            for (std::size_t column = 0; column < face.columns(); ++column) {
                const std::size_t cell = row * face.columns() + column;
                const std::uint32_t patch = grid[cell];
                if (patch == none)
                    continue;
                const double u = 0.5 * (face.u[column] + face.u[column + 1]);
                const double v = 0.5 * (face.v[row] + face.v[row + 1]);
                if (column + 1 < face.columns() && !face.is_barred(0, column + 1, v))
                    patches_.right[patch] = grid[cell + 1];
                if (row + 1 < face.rows() && !face.is_barred(1, row + 1, u))
                    patches_.above[patch] = grid[cell + face.columns()];
                patches_.width[patch] =
                    std::min(face.u[column + 1] - face.u[column], face.v[row + 1] - face.v[row]);
            }
    }

    /// Small facets share a patch with those of the same surface, place and way they face.
    void gather_triangles() {
        using Key = std::tuple<int, long, long, long, std::uint32_t>;
        std::map<Key, std::uint32_t> known;
        for (std::size_t facet = 0; facet < patches_.face_of_.size(); ++facet) {
            if (patches_.face_of_[facet] >= 0)
                continue;
            const Corners corners = corners_of(triangles_of(facet), index_of(facet));
            const double own = glm::length(corners.normal()) / 2;
            if (!(own > 0))
                continue;
            const glm::dvec3 normal = glm::normalize(corners.normal());
            const glm::dvec3 cell = glm::floor((corners.a + corners.b + corners.c) / (3 * size_));
            const int surface = triangles_of(facet).surface[index_of(facet)];
            const auto gather = [&](double side) {
                const glm::vec3 facing(side * normal);
                const auto [entry, is_new] =
                    known.try_emplace({surface, static_cast<long>(cell.x), static_cast<long>(cell.y),
                                       static_cast<long>(cell.z), way_of(facing)},
                                      0);
                if (is_new)
                    entry->second = add_patch();
                add_piece(entry->second,
                          {glm::vec3(corners.a), glm::vec3(corners.b - corners.a),
                           glm::vec3(corners.c - corners.a), facing, static_cast<float>(own), false});
                return entry->second;
            };
            patches_.sides_of_[facet].front = gather(1);
            if (has_back(facet))
                patches_.sides_of_[facet].back = gather(-1);
        }
    }

    /// Leaves share a patch pair (front and back) with those of the same plant, cell and way they face.
    void gather_leaves() {
        const Leaves& leaves = stage_.leaves;
        using Key = std::tuple<int, long, long, long, std::uint32_t>;
        const auto key_of = [&](std::uint32_t leaf, double size) -> Key {
            const glm::dvec3 cell = glm::floor(glm::dvec3(leaves.centre(leaf)) / size);
            return {leaves.surface[leaf], static_cast<long>(cell.x), static_cast<long>(cell.y),
                    static_cast<long>(cell.z), leaf_way_of(leaves.normal(leaf))};
        };
        const auto count = static_cast<std::uint32_t>(leaves.size());
        patches_.leaf_patch_.resize(count);
        std::map<Key, std::uint32_t> pairs;
        for (double size = least_leaf_cell;; size *= 1.25) {
            const auto has_too_many = [&] {
                return 2 * pairs.size() > options_.most_leaf && size < largest_growth * least_leaf_cell;
            };
            pairs.clear();
            for (std::uint32_t leaf = 0; leaf < count && !has_too_many(); ++leaf)
                pairs.try_emplace(key_of(leaf, size), none);
            if (has_too_many())
                continue;
            for (std::uint32_t leaf = 0; leaf < count; ++leaf)
                add_leaf(leaf, pairs.at(key_of(leaf, size)));
            return;
        }
    }

    void add_leaf(std::uint32_t leaf, std::uint32_t& pair) {
        if (pair == none) {
            pair = add_patch();
            patches_.behind[pair] = add_patch();
            patches_.behind[pair + 1] = pair;
        }
        const glm::vec3* corner = stage_.leaves.corners.data() + 4 * static_cast<std::size_t>(leaf);
        const glm::vec3 normal = stage_.leaves.normal(leaf);
        const std::uint32_t front = pair + (way_of(normal) & 1u);
        patches_.leaf_patch_[leaf] = front;
        const float own = stage_.leaves.area(leaf);
        const Material& material = stage_.materials[stage_.leaves.material[leaf]];
        for (const float side : {1.0f, -1.0f}) {
            const std::uint32_t patch = side > 0 ? front : patches_.behind[front];
            patches_.reflectance[patch] = material.reflectance;
            patches_.transmittance[patch] = material.transmittance;
            add_piece(patch,
                      {corner[0], corner[1] - corner[0], corner[3] - corner[0], side * normal, own, true});
        }
    }

    void sort_pieces() {
        std::stable_sort(owned_.begin(), owned_.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        patches_.first_piece_.assign(patches_.size() + 1, 0);
        for (const auto& [patch, piece] : owned_) {
            ++patches_.first_piece_[patch + 1];
            patches_.pieces_.push_back(piece);
        }
        for (std::size_t i = 0; i < patches_.size(); ++i)
            patches_.first_piece_[i + 1] += patches_.first_piece_[i];
    }

    Patches& patches_;
    const Stage& stage_;
    const PatchOptions& options_;
    double size_ = 0;
    std::vector<Plan> plans_;
    std::vector<std::pair<std::uint32_t, Piece>> owned_;
    glm::dvec2 built_low_{1e30};
    glm::dvec2 built_high_{-1e30};
};

Patches::Patches(const Stage& stage, const PatchOptions& options) : stage_(stage) {
    Builder(*this, options).build();
}

void Patches::drop_pieces() {
    pieces_ = {};
    first_piece_ = {};
}

PatchPoint Patches::point_on(std::uint32_t patch, float choice, float a, float b) const {
    float left = choice * area[patch];
    std::uint32_t index = first_piece_[patch];
    const std::uint32_t last = first_piece_[patch + 1] - 1;
    for (; index < last && left >= pieces_[index].area; ++index)
        left -= pieces_[index].area;
    const Piece& piece = pieces_[index];
    if (piece.is_leaf)
        return {piece.corner + a * piece.first + b * piece.second, piece.normal};
    const float root = std::sqrt(a); // uniform on a triangle (Turk 1990)
    return {piece.corner + root * ((1 - b) * piece.first + b * piece.second), piece.normal};
}

std::size_t Patches::facet_of(const Hit& hit) const {
    return hit.kind == FacetKind::cutout ? stage_.opaque.size() + hit.facet : hit.facet;
}

std::uint32_t Patches::patch_at(const Hit& hit, const glm::vec3& position, const glm::vec3& direction) const {
    if (!hit)
        return none;
    const bool is_front = glm::dot(hit.normal, direction) < 0;
    if (hit.kind == FacetKind::leaf)
        return is_front ? leaf_patch_[hit.facet] : behind[leaf_patch_[hit.facet]];
    const std::size_t facet = facet_of(hit);
    if (face_of_[facet] < 0)
        return is_front ? sides_of_[facet].front : sides_of_[facet].back;
    const Face& face = faces_[face_of_[facet]];
    const std::vector<std::uint32_t>& grid = is_front ? face.front : face.back;
    if (grid.empty())
        return none;
    const glm::dvec3 at = glm::dvec3(position) - face.origin;
    return grid[cell_at(face.v, glm::dot(at, face.upward)) * face.columns() +
                cell_at(face.u, glm::dot(at, face.across))];
}

bool Patches::Face::is_barred(int axis, std::size_t edge, double along) const {
    return std::any_of(barriers.begin(), barriers.end(), [&](const Barrier& barrier) {
        return barrier.axis == axis && barrier.edge == edge && along > barrier.from && along < barrier.to;
    });
}

PatchBlend Patches::blend_on(const Face& face, const std::vector<std::uint32_t>& grid,
                             const glm::dvec3& position) const {
    const glm::dvec3 at = position - face.origin;
    /// The two cells between whose centres x lies, and the share of the second.
    struct Pair {
        std::size_t first, second;
        double share;
    };
    const double across = glm::dot(at, face.across), upward = glm::dot(at, face.upward);
    const auto between = [&](int axis, double x, double along) -> Pair {
        const std::vector<float>& edges = axis == 0 ? face.u : face.v;
        const std::size_t cell = cell_at(edges, x);
        const double centre = 0.5 * (edges[cell] + edges[cell + 1]);
        if (x < centre && cell > 0 && !face.is_barred(axis, cell, along)) {
            const double before = 0.5 * (edges[cell - 1] + edges[cell]);
            return {cell - 1, cell, (x - before) / (centre - before)};
        }
        if (x > centre && cell + 2 < edges.size() && !face.is_barred(axis, cell + 1, along)) {
            const double after = 0.5 * (edges[cell + 1] + edges[cell + 2]);
            return {cell, cell + 1, (x - centre) / (after - centre)};
        }
        return {cell, cell, 0};
    };
    const Pair u = between(0, across, upward);
    const Pair v = between(1, upward, across);
    PatchBlend blend;
    double sum = 0;
    for (int i = 0; i < PatchBlend::spots; ++i) {
        const std::size_t column = i % 2 ? u.second : u.first;
        const std::size_t row = i / 2 ? v.second : v.first;
        const double weight = (i % 2 ? u.share : 1 - u.share) * (i / 2 ? v.share : 1 - v.share);
        const std::uint32_t patch = grid[row * face.columns() + column];
        if (patch == none || !(weight > 0) || !(area[patch] > 0))
            continue;
        blend.patch[i] = patch;
        blend.weight[i] = static_cast<float>(weight);
        sum += weight;
    }
    for (float& weight : blend.weight)
        weight = sum > 0 ? static_cast<float>(weight / sum) : 0.0f;
    return blend;
}

PatchBlend Patches::blend_at(const Hit& hit, const glm::vec3& position, const glm::vec3& facing) const {
    PatchBlend blend;
    if (!hit)
        return blend;
    const std::size_t facet = facet_of(hit);
    if (hit.kind != FacetKind::leaf && face_of_[facet] >= 0) {
        const bool is_front = glm::dot(hit.normal, facing) > 0;
        const Face& face = faces_[face_of_[facet]];
        const std::vector<std::uint32_t>& grid = is_front ? face.front : face.back;
        return grid.empty() ? blend : blend_on(face, grid, glm::dvec3(position));
    }
    const std::uint32_t patch = patch_at(hit, position, -facing);
    if (patch != none && area[patch] > 0) {
        blend.patch[0] = patch;
        blend.weight[0] = 1;
    }
    return blend;
}

} // namespace duskcast
