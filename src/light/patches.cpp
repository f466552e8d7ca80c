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

constexpr double least_leaf_cell = 0.25; ///< metres

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

std::vector<float> even_edges(double low, double high, double size) {
    const int count = std::max(1, static_cast<int>(std::ceil((high - low) / size - 1e-6)));
    std::vector<float> edges;
    for (int i = 0; i <= count; ++i)
        edges.push_back(static_cast<float>(low + (high - low) * i / count));
    return edges;
}

/// Even edges between `near`, ever wider ones out to `low` and `high`; the edge nearest to each of `lines` is
/// moved onto it, so that no patch lies on both sides of a wall.
std::vector<float> graded_edges(double low, double high, const std::array<double, 2>& near, double size,
                                const std::vector<double>& lines) {
    std::vector<double> edges;
    const double from = std::max(low, near[0]);
    const double to = std::min(high, near[1]);
    const int count = std::max(1, static_cast<int>(std::ceil((to - from) / size)));
    for (int i = 0; i <= count; ++i)
        edges.push_back(from + (to - from) * i / count);
    for (const double line : lines) {
        const auto nearest = std::min_element(edges.begin(), edges.end(), [&](double a, double b) {
            return std::abs(a - line) < std::abs(b - line);
        });
        if (std::abs(*nearest - line) < size)
            *nearest = line;
    }
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
        for (double size = options_.size;; size *= 1.1) {
            size_ = size;
            for (std::size_t f = 0; f < plans_.size(); ++f)
                lay_edges(f);
            if (count_cells() <= options_.most_flat)
                break;
        }
        for (std::size_t f = 0; f < plans_.size(); ++f)
            cut_face(f);
        gather_triangles();
        gather_leaves();
        sort_pieces();
    }

private:
    /// What is known of a flat part before its grid is laid.
    struct Plan {
        std::vector<std::size_t> facets;
        glm::dvec2 low{1e30};
        glm::dvec2 high{-1e30};
        double area = 0;
        bool is_ground = false;
        bool has_back = false;
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

    /// Sheets of a mesh are seen from both sides; all else is a face of something solid.
    bool has_back(std::size_t facet) const {
        const Triangles& triangles = triangles_of(facet);
        const std::size_t i = index_of(facet);
        return !triangles.solid[i] && stage_.surfaces[triangles.surface[i]].kind == SurfaceKind::mesh;
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
        if (!plan.is_ground) {
            face.u = even_edges(plan.low.x, plan.high.x, size_);
            face.v = even_edges(plan.low.y, plan.high.y, size_);
            return;
        }
        if (!is_built_known_)
            find_built();
        const glm::dvec2 origin(glm::dot(face.origin, face.across), glm::dot(face.origin, face.upward));
        const auto lay = [&](int axis) {
            std::vector<double> lines;
            for (const double line : wall_lines_[axis])
                lines.push_back(line - origin[axis]);
            return graded_edges(plan.low[axis], plan.high[axis],
                                {built_low_[axis] - origin[axis] - near_ground,
                                 built_high_[axis] - origin[axis] + near_ground},
                                size_, lines);
        };
        face.u = lay(0);
        face.v = lay(1);
    }

    /// Where something stands on the ground, and the lines of upright faces that run along an axis.
    void find_built() {
        is_built_known_ = true;
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
            if (std::min({corners.a.z, corners.b.z, corners.c.z}) > 0.05)
                continue;
            const glm::dvec3 normal = glm::normalize(corners.normal());
            for (int axis = 0; axis < 2; ++axis)
                if (std::abs(normal[axis]) > 0.9999)
                    wall_lines_[axis].push_back(corners.a[axis]);
        }
        for (std::size_t leaf = 0; leaf < stage_.leaves.size(); ++leaf)
            grow(glm::dvec3(stage_.leaves.centre(leaf)));
        for (const GroundCover& area : stage_.ground_areas)
            for (const glm::dvec2& point : area.outline)
                grow(glm::dvec3(point, 0));
        for (std::vector<double>& lines : wall_lines_) {
            std::sort(lines.begin(), lines.end());
            lines.erase(std::unique(lines.begin(), lines.end(),
                                    [](double a, double b) { return std::abs(a - b) < 0.01; }),
                        lines.end());
        }
        if (!(built_low_.x <= built_high_.x))
            built_low_ = built_high_ = glm::dvec2(0);
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
            const double area = std::abs(signed_area({part[0], part[i], part[i + 1]}));
            if (area < 1e-9)
                continue;
            const auto add = [&](std::vector<std::uint32_t>& grid, double side) {
                if (grid.empty())
                    return;
                if (grid[cell] == none)
                    grid[cell] = add_patch();
                add_piece(grid[cell], {glm::vec3(at(part[0])), glm::vec3(at(part[i]) - at(part[0])),
                                       glm::vec3(at(part[i + 1]) - at(part[0])),
                                       glm::vec3(side * face.normal), static_cast<float>(area), false});
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
                if (column + 1 < face.columns())
                    patches_.right[patch] = grid[cell + 1];
                if (row + 1 < face.rows())
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
            const double area = glm::length(corners.normal()) / 2;
            if (!(area > 0))
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
                           glm::vec3(corners.c - corners.a), facing, static_cast<float>(area), false});
                return entry->second;
            };
            patches_.sides_of_[facet].front = gather(1);
            if (has_back(facet))
                patches_.sides_of_[facet].back = gather(-1);
        }
    }

    void gather_leaves() {
        const Leaves& leaves = stage_.leaves;
        patches_.leaf_cell_.assign(leaves.size(), none);
        std::map<int, std::vector<std::uint32_t>> plants;
        for (std::size_t leaf = 0; leaf < leaves.size(); ++leaf)
            plants[leaves.surface[leaf]].push_back(static_cast<std::uint32_t>(leaf));
        for (const auto& [surface, own] : plants) {
            using Key = std::tuple<long, long, long>;
            std::map<Key, std::uint32_t> cells;
            // The cell grows until the plant has no more of them than it may.
            for (double size = least_leaf_cell;; size *= 1.2) {
                cells.clear();
                for (const std::uint32_t leaf : own)
                    if (cells.size() <= options_.most_cells)
                        cells.try_emplace(cell_of(leaf, size), none);
                if (cells.size() > options_.most_cells)
                    continue;
                for (const std::uint32_t leaf : own)
                    add_leaf(leaf, cells.at(cell_of(leaf, size)));
                break;
            }
        }
    }

    std::tuple<long, long, long> cell_of(std::uint32_t leaf, double size) const {
        const glm::dvec3 cell = glm::floor(glm::dvec3(stage_.leaves.centre(leaf)) / size);
        return {static_cast<long>(cell.x), static_cast<long>(cell.y), static_cast<long>(cell.z)};
    }

    void add_leaf(std::uint32_t leaf, std::uint32_t& cell) {
        if (cell == none) {
            cell = add_patch();
            for (int i = 1; i < 6; ++i)
                add_patch();
            for (std::uint32_t i = 0; i < 6; ++i)
                patches_.behind[cell + i] = cell + (i ^ 1u);
        }
        patches_.leaf_cell_[leaf] = cell;
        const glm::vec3* corner = stage_.leaves.corners.data() + 4 * static_cast<std::size_t>(leaf);
        const glm::vec3 normal = stage_.leaves.normal(leaf);
        const float area = stage_.leaves.area(leaf);
        const Material& material = stage_.materials[stage_.leaves.material[leaf]];
        for (const float side : {1.0f, -1.0f}) {
            const std::uint32_t patch = cell + way_of(side * normal);
            patches_.reflectance[patch] = material.reflectance;
            patches_.transmittance[patch] = material.transmittance;
            add_piece(patch,
                      {corner[0], corner[1] - corner[0], corner[3] - corner[0], side * normal, area, true});
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
    bool is_built_known_ = false;
    glm::dvec2 built_low_{1e30};
    glm::dvec2 built_high_{-1e30};
    std::array<std::vector<double>, 2> wall_lines_;
};

Patches::Patches(const Stage& stage, const PatchOptions& options) : stage_(stage) {
    Builder(*this, options).build();
}

void Patches::drop_pieces() {
    pieces_ = {};
    first_piece_ = {};
}

Patches::Spot Patches::spot_on(std::uint32_t patch, float choice, float a, float b) const {
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
        return leaf_cell_[hit.facet] + way_of(is_front ? hit.normal : -hit.normal);
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

PatchBlend Patches::blend_on(const Face& face, const std::vector<std::uint32_t>& grid,
                             const glm::dvec3& position) const {
    const glm::dvec3 at = position - face.origin;
    /// The two cells between whose centres x lies, and the share of the second.
    struct Pair {
        std::size_t first, second;
        double share;
    };
    const auto between = [](const std::vector<float>& edges, double x) -> Pair {
        const std::size_t cell = cell_at(edges, x);
        const double centre = 0.5 * (edges[cell] + edges[cell + 1]);
        if (x < centre && cell > 0) {
            const double before = 0.5 * (edges[cell - 1] + edges[cell]);
            return {cell - 1, cell, (x - before) / (centre - before)};
        }
        if (x > centre && cell + 2 < edges.size()) {
            const double after = 0.5 * (edges[cell + 1] + edges[cell + 2]);
            return {cell, cell + 1, (x - centre) / (after - centre)};
        }
        return {cell, cell, 0};
    };
    const Pair u = between(face.u, glm::dot(at, face.across));
    const Pair v = between(face.v, glm::dot(at, face.upward));
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
    if (hit.kind == FacetKind::leaf) {
        const std::uint32_t cell = leaf_cell_[hit.facet];
        float sum = 0;
        for (int axis = 0; axis < 3; ++axis) {
            const std::uint32_t patch =
                cell + static_cast<std::uint32_t>(2 * axis + (facing[axis] < 0 ? 1 : 0));
            blend.patch[axis] = patch;
            blend.weight[axis] = area[patch] > 0 ? facing[axis] * facing[axis] : 0.0f;
            sum += blend.weight[axis];
        }
        for (float& weight : blend.weight)
            weight = sum > 0 ? weight / sum : 0.0f;
        return blend;
    }
    const std::size_t facet = facet_of(hit);
    const bool is_front = glm::dot(hit.normal, facing) > 0;
    if (face_of_[facet] >= 0) {
        const Face& face = faces_[face_of_[facet]];
        const std::vector<std::uint32_t>& grid = is_front ? face.front : face.back;
        return grid.empty() ? blend : blend_on(face, grid, glm::dvec3(position));
    }
    const std::uint32_t patch = is_front ? sides_of_[facet].front : sides_of_[facet].back;
    if (patch != none && area[patch] > 0) {
        blend.patch[0] = patch;
        blend.weight[0] = 1;
    }
    return blend;
}

} // namespace duskcast
