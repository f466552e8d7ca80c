#include "patch_builder.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <unordered_map>

#include "duskcast/base/random.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/layout.hpp"
#include "grid_edges.hpp"

namespace duskcast {

namespace {

constexpr double least_leaf_cell = 0.15; ///< metres
constexpr double largest_leaf_cell = 100 * least_leaf_cell;

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

/// A surface, a cell of space and a way to face there.
using CellKey = std::tuple<int, long, long, long, std::uint32_t>;

struct CellHash {
    std::size_t operator()(const CellKey& key) const {
        const auto& [surface, x, y, z, way] = key;
        std::uint64_t hash = join_seeds(static_cast<std::uint64_t>(surface), way);
        for (const long part : {x, y, z})
            hash = join_seeds(hash, static_cast<std::uint64_t>(part));
        return static_cast<std::size_t>(hash);
    }
};
using CellMap = std::unordered_map<CellKey, std::uint32_t, CellHash>;

/// By the surface's id, as its number depends on what else is on the site.
std::uint64_t seed_of(const std::string& surface, const CellKey& key) {
    const auto& [number, x, y, z, way] = key;
    std::uint64_t seed = hash_of(surface);
    for (const long part : {x, y, z})
        seed = join_seeds(seed, static_cast<std::uint64_t>(part));
    return join_seeds(seed, 64 + way); // apart from flat parts
}

} // namespace

void Patches::Builder::build() {
    planner_.plan();
    for (std::size_t f = 0; f < planner_.plans().size(); ++f)
        cut_face(f);
    gather_triangles();
    gather_leaves();
    sort_pieces();
}

std::uint32_t Patches::Builder::add_patch(std::uint64_t seed) {
    const auto patch = static_cast<std::uint32_t>(patches_.size());
    patches_.area.push_back(0);
    patches_.random_seed.push_back(seed);
    patches_.reflectance.emplace_back(0);
    patches_.right.push_back(none);
    patches_.above.push_back(none);
    patches_.width.push_back(0);
    return patch;
}

void Patches::Builder::add_piece(std::uint32_t patch, const Piece& piece) {
    patches_.area[patch] += piece.area;
    owned_.emplace_back(patch, piece);
}

void Patches::Builder::cut_face(std::size_t index) {
    const Planner::Plan& plan = planner_.plans()[index];
    Face& face = patches_.faces_[index];
    face.front.assign(face.columns() * face.rows(), none);
    if (plan.has_back)
        face.back.assign(face.front.size(), none);
    for (const std::size_t facet : plan.facets) {
        const FacetCorners corners = facets_.corners(facet);
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
                    add_part(face, column, row, part);
            }
        }
    }
    link(face, face.front);
    link(face, face.back);
}

void Patches::Builder::add_part(Face& face, std::size_t column, std::size_t row,
                                const std::vector<glm::dvec2>& part) {
    // What rounding leaves between an edge of the grid and one of the face is no patch: its rays would begin
    // on that edge.
    constexpr double least_width = 1e-5; // metres
    glm::dvec2 low = part[0], high = part[0];
    for (const glm::dvec2& point : part) {
        low = glm::min(low, point);
        high = glm::max(high, point);
    }
    if (std::abs(signed_area(part)) < least_width * glm::distance(low, high))
        return;
    const std::size_t cell = row * face.columns() + column;
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
                grid[cell] =
                    add_patch(join_seeds(join_seeds(join_seeds(face.seed, row), column), side > 0 ? 0 : 1));
            add_piece(grid[cell], {glm::vec3(at(part[0])), glm::vec3(at(part[i]) - at(part[0])),
                                   glm::vec3(at(part[i + 1]) - at(part[0])), glm::vec3(side * face.normal),
                                   static_cast<float>(piece), false});
        };
        add(face.front, 1);
        add(face.back, -1);
    }
}

void Patches::Builder::link(const Face& face, const std::vector<std::uint32_t>& grid) {
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

void Patches::Builder::gather_triangles() {
    CellMap known;
    for (std::size_t facet = 0; facet < patches_.face_of_.size(); ++facet) {
        if (patches_.face_of_[facet] >= 0)
            continue;
        const FacetCorners corners = facets_.corners(facet);
        const double own = glm::length(corners.normal()) / 2;
        if (!(own > 0))
            continue;
        const glm::dvec3 normal = glm::normalize(corners.normal());
        const glm::dvec3 cell = glm::floor((corners.a + corners.b + corners.c) / (3 * planner_.size()));
        const int surface = facets_.triangles(facet).surface[facets_.index(facet)];
        const auto gather = [&](double side) {
            const glm::vec3 facing(side * normal);
            const CellKey key{surface, static_cast<long>(cell.x), static_cast<long>(cell.y),
                              static_cast<long>(cell.z), way_of(facing)};
            const auto [entry, is_new] = known.try_emplace(key, 0);
            if (is_new)
                entry->second = add_patch(seed_of(stage_.surfaces[surface].id, key));
            add_piece(entry->second,
                      {glm::vec3(corners.a), glm::vec3(corners.b - corners.a),
                       glm::vec3(corners.c - corners.a), facing, static_cast<float>(own), false});
            return entry->second;
        };
        patches_.sides_of_[facet].front = gather(1);
        if (facets_.has_back(facet))
            patches_.sides_of_[facet].back = gather(-1);
    }
}

void Patches::Builder::gather_leaves() {
    const Leaves& leaves = stage_.leaves;
    const auto key_of = [&](std::uint32_t leaf, double size) -> CellKey {
        const glm::dvec3 cell = glm::floor(glm::dvec3(leaves.centre(leaf)) / size);
        return {leaves.surface[leaf], static_cast<long>(cell.x), static_cast<long>(cell.y),
                static_cast<long>(cell.z), leaf_way_of(leaves.normal(leaf))};
    };
    const auto count = static_cast<std::uint32_t>(leaves.size());
    patches_.leaf_patch_.resize(count);
    patches_.first_leaf = static_cast<std::uint32_t>(patches_.size());
    CellMap known;
    std::vector<std::uint32_t> cell_of(count); // numbered as they come
    const auto find_cells = [&](double size) {
        known.clear();
        const auto has_too_many = [&] {
            return 2 * known.size() > options_.most_leaf && size < largest_leaf_cell;
        };
        for (std::uint32_t leaf = 0; leaf < count && !has_too_many(); ++leaf) {
            const auto number = static_cast<std::uint32_t>(known.size());
            cell_of[leaf] = known.try_emplace(key_of(leaf, size), number).first->second;
        }
        return !has_too_many();
    };
    double size = least_leaf_cell;
    while (!find_cells(size))
        size *= 1.25;
    for (std::uint32_t leaf = 0, begun = 0; leaf < count; ++leaf) {
        if (cell_of[leaf] == begun) {
            ++begun;
            const std::uint64_t seed = seed_of(stage_.surfaces[leaves.surface[leaf]].id, key_of(leaf, size));
            add_patch(join_seeds(seed, 0));
            add_patch(join_seeds(seed, 1));
            patches_.leaf_transmittance.resize(patches_.size() - patches_.first_leaf);
        }
        add_leaf(leaf, patches_.first_leaf + 2 * cell_of[leaf]);
    }
}

void Patches::Builder::add_leaf(std::uint32_t leaf, std::uint32_t pair) {
    const glm::vec3* corner = stage_.leaves.corners.data() + 4 * static_cast<std::size_t>(leaf);
    const glm::vec3 normal = stage_.leaves.normal(leaf);
    const std::uint32_t front = pair + (way_of(normal) & 1u);
    patches_.leaf_patch_[leaf] = front;
    const float own = stage_.leaves.area(leaf);
    const Material& material = stage_.materials[stage_.leaves.material[leaf]];
    for (const float side : {1.0f, -1.0f}) {
        const std::uint32_t patch = side > 0 ? front : patches_.behind(front);
        patches_.reflectance[patch] = material.reflectance;
        patches_.leaf_transmittance[patch - patches_.first_leaf] = material.transmittance;
        add_piece(patch, {corner[0], corner[1] - corner[0], corner[3] - corner[0], side * normal, own, true});
    }
}

void Patches::Builder::sort_pieces() {
    patches_.first_piece_.assign(patches_.size() + 1, 0);
    for (const auto& [patch, piece] : owned_)
        ++patches_.first_piece_[patch + 1];
    for (std::size_t i = 0; i < patches_.size(); ++i)
        patches_.first_piece_[i + 1] += patches_.first_piece_[i];
    std::vector<std::uint32_t> place(patches_.first_piece_.begin(), patches_.first_piece_.end());
    patches_.pieces_.resize(owned_.size());
    for (const auto& [patch, piece] : owned_)
        patches_.pieces_[place[patch]++] = piece;
}

} // namespace duskcast
