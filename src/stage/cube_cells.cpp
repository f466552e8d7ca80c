#include "cube_cells.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

namespace {

constexpr float crowd = 2; // a cell's side in ways
constexpr int most_cells = 512;

/// Where a way leads.
struct WayPlace {
    float a, b, depth; ///< slopes, along the side's axis
    int side;
};

WayPlace place_of(const glm::vec3& way) {
    const float x = std::abs(way.x), y = std::abs(way.y), z = std::abs(way.z);
    const auto on = [](float a, float b, float along, float depth, int axis) {
        const float by_depth = 1 / std::max(1e-20f, depth);
        return WayPlace{a * by_depth, b * by_depth, depth, 2 * axis + (along < 0 ? 1 : 0)};
    };
    if (x >= y && x >= z)
        return on(way.y, way.z, way.x, x, 0);
    if (y >= z && !(x >= y))
        return on(way.z, way.x, way.y, y, 1);
    return on(way.x, way.y, way.z, z, 2);
}

/// Lays a grid over the slopes that occur on each side; the number of cells.
std::uint32_t lay_grids(std::array<CellFace, 6>& faces) {
    std::uint32_t cells = 0;
    for (CellFace& face : faces) {
        face.first = cells;
        if (face.count == 0)
            continue;
        face.cells =
            std::clamp(static_cast<int>(std::sqrt(static_cast<float>(face.count)) / crowd), 4, most_cells);
        face.a_scale = (static_cast<float>(face.cells) - 0.01f) / (face.a1 - face.a0 + 1e-6f);
        face.b_scale = (static_cast<float>(face.cells) - 0.01f) / (face.b1 - face.b0 + 1e-6f);
        cells += static_cast<std::uint32_t>(face.cells * face.cells);
    }
    return cells;
}

} // namespace

CubeCells sort_into_cells(std::span<const glm::vec3> ways) {
    CubeCells made;
    std::vector<WayPlace> places(ways.size());
    for (std::size_t i = 0; i < ways.size(); ++i) {
        const WayPlace place = places[i] = place_of(ways[i]);
        CellFace& face = made.faces[place.side];
        face.a0 = face.count == 0 ? place.a : std::min(face.a0, place.a);
        face.a1 = face.count == 0 ? place.a : std::max(face.a1, place.a);
        face.b0 = face.count == 0 ? place.b : std::min(face.b0, place.b);
        face.b1 = face.count == 0 ? place.b : std::max(face.b1, place.b);
        face.far = std::max(face.far, place.depth);
        ++face.count;
    }
    const std::uint32_t cells = lay_grids(made.faces);
    made.start.assign(cells + 1, 0);
    std::vector<std::uint32_t> cell_of(ways.size());
    std::fill(&made.tile_far[0][0][0], &made.tile_far[0][0][0] + 6 * face_tiles * face_tiles, -1.0f);
    std::array<float, 6> share;
    for (std::size_t side = 0; side < 6; ++side)
        share[side] = static_cast<float>(face_tiles) / static_cast<float>(made.faces[side].cells);
    for (std::size_t i = 0; i < ways.size(); ++i) {
        const WayPlace& place = places[i];
        const CellFace& face = made.faces[place.side];
        const float a = (place.a - face.a0) * face.a_scale, b = (place.b - face.b0) * face.b_scale;
        cell_of[i] =
            face.first + static_cast<std::uint32_t>(static_cast<int>(b) * face.cells + static_cast<int>(a));
        ++made.start[cell_of[i] + 1];
        float& far = made.tile_far[place.side][static_cast<int>(b * share[place.side])]
                                  [static_cast<int>(a * share[place.side])];
        far = std::max(far, place.depth);
    }
    for (std::uint32_t cell = 0; cell < cells; ++cell)
        made.start[cell + 1] += made.start[cell];
    std::vector<std::uint32_t> next(made.start.begin(), made.start.end() - 1);
    made.order.resize(ways.size());
    for (std::size_t i = 0; i < ways.size(); ++i)
        made.order[next[cell_of[i]]++] = static_cast<std::uint32_t>(i);
    for (std::vector<float>* values : {&made.x, &made.y, &made.z})
        values->resize(ways.size() + facet_lanes);
    for (std::size_t place = 0; place < ways.size(); ++place) {
        const glm::vec3& way = ways[made.order[place]];
        made.x[place] = way.x;
        made.y[place] = way.y;
        made.z[place] = way.z;
    }
    return made;
}

} // namespace duskcast
