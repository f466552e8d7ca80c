// The nearest hits in many directions from one point, by passing every facet over the directions it covers.

#include <algorithm>
#include <array>
#include <cmath>

#include "direction_cells.hpp"
#include "duskcast/base/parallel.hpp"
#include "facet_tree_data.hpp"

namespace duskcast {

namespace {

constexpr std::uint32_t task_directions = 8192; // what is found about them stays in the cache

/// Facets seen from one point, those met last.
class KnownFacets {
public:
    KnownFacets(const TreeView& view, const glm::vec3& origin) : view_(view), origin_(origin) {
        facet_.fill(no_facets);
    }

    void describe(std::uint32_t facet, const glm::vec3& direction, Hit& hit) {
        const std::size_t place = facet % count;
        if (facet_[place] != facet) {
            facet_[place] = facet;
            see_facet(corners_of_facet(view_, facet), facet & leaf_bit ? 4 : 3, &origin_.x, seen_[place]);
            normal_[place] = normal_of(view_, facet);
        }
        name_facet(view_, facet, hit);
        find_meeting(seen_[place], &direction.x, hit.distance, hit.u, hit.v);
        hit.normal = normal_[place];
    }

private:
    static constexpr std::size_t count = 64;
    const TreeView& view_;
    glm::vec3 origin_;
    std::array<std::uint32_t, count> facet_;
    std::array<SeenFacet, count> seen_;
    std::array<glm::vec3, count> normal_;
};

} // namespace

DirectionGrid::DirectionGrid(std::span<const glm::vec3> directions)
    : sorted_(std::make_unique<Sorted>(Sorted{sort_into_cells(directions), {}, 0})) {
    Sorted& sorted = *sorted_;
    float square = 0;
    for (const glm::vec3& way : directions)
        square = std::max(square, glm::dot(way, way));
    sorted.length = std::sqrt(square) * (1 + 0x1p-20f);
    for (int side = 0; side < 6; ++side) {
        const CellFace& face = sorted.faces[side];
        if (face.count == 0)
            continue;
        const auto begin_of = [&](int row) {
            return sorted.start[face.first + static_cast<std::uint32_t>(row * face.cells)];
        };
        for (int first = 0, row = 0; row < face.cells; ++row) {
            const std::uint32_t count = begin_of(row + 1) - begin_of(first);
            if (count < task_directions && row + 1 < face.cells)
                continue;
            if (count > 0)
                sorted.rows.push_back({side, first, row, begin_of(first), count});
            first = row + 1;
        }
    }
}

DirectionGrid::~DirectionGrid() = default;

std::span<const std::uint32_t> DirectionGrid::order() const {
    return sorted_->order;
}

glm::vec3 DirectionGrid::direction(std::size_t place) const {
    return {sorted_->x[place], sorted_->y[place], sorted_->z[place]};
}

void FacetTree::find_hits(const glm::vec3& origin, const DirectionGrid& directions, float near_end,
                          float far_end, std::span<Hit> hits) const {
    const TreeView& view = tree_->view;
    const DirectionGrid::Sorted& sorted = directions.sorted();
    parallel_for(sorted.rows.size(), [&](std::size_t task) {
        const DirectionRows& rows = sorted.rows[task];
        const CellFace& face = sorted.faces[rows.side];
        std::vector<std::uint32_t> facet(rows.count + facet_lanes, no_facets);
        std::vector<float> low(rows.count + facet_lanes, far_end), high(low);
        // Places count from the first of these rows.
        std::vector<std::uint32_t> start(
            static_cast<std::size_t>((rows.last_row + 1 - rows.first_row) * face.cells) + 1);
        const std::size_t first_cell = face.first + static_cast<std::size_t>(rows.first_row * face.cells);
        for (std::size_t cell = 0; cell < start.size(); ++cell)
            start[cell] = sorted.start[first_cell + cell] - rows.first;
        const DirectionView part{&face,
                                 rows.side,
                                 rows.first_row,
                                 rows.last_row,
                                 start.data(),
                                 sorted.x.data() + rows.first,
                                 sorted.y.data() + rows.first,
                                 sorted.z.data() + rows.first,
                                 sorted.length};
        tree_->kernels.find_nearest_facets(view, part, &origin.x, near_end, far_end,
                                           {facet.data(), low.data(), high.data()});
        KnownFacets known(view, origin);
        for (std::uint32_t i = 0; i < rows.count; ++i) {
            Hit& hit = hits[rows.first + i];
            if (facet[i] == no_facets)
                hit = {};
            else
                known.describe(facet[i], {part.x[i], part.y[i], part.z[i]}, hit);
        }
    });
}

} // namespace duskcast
