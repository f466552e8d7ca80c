#include "cube_cells.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

namespace {

constexpr float crowd = 2; // a cell's side in ways
constexpr int most_cells = 512;

CellPlace place_of(const glm::vec3& way) {
    const glm::vec3 size = glm::abs(way);
    const int main = size.x >= size.y ? (size.x >= size.z ? 0 : 2) : (size.y >= size.z ? 1 : 2);
    const float by_depth = 1 / std::max(1e-20f, size[main]);
    return {way[main == 2 ? 0 : main + 1] * by_depth, way[main == 0 ? 2 : main - 1] * by_depth,
            2 * main + (way[main] < 0 ? 1 : 0)};
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
    made.places.resize(ways.size());
    for (std::size_t i = 0; i < ways.size(); ++i) {
        const CellPlace place = made.places[i] = place_of(ways[i]);
        CellFace& face = made.faces[place.side];
        face.a0 = face.count == 0 ? place.a : std::min(face.a0, place.a);
        face.a1 = face.count == 0 ? place.a : std::max(face.a1, place.a);
        face.b0 = face.count == 0 ? place.b : std::min(face.b0, place.b);
        face.b1 = face.count == 0 ? place.b : std::max(face.b1, place.b);
        face.far = std::max(face.far, std::abs(ways[i][place.side / 2]));
        ++face.count;
    }
    const std::uint32_t cells = lay_grids(made.faces);
    made.start.assign(cells + 1, 0);
    std::vector<std::uint32_t> cell_of(ways.size());
    for (std::size_t i = 0; i < ways.size(); ++i) {
        CellPlace& place = made.places[i];
        const CellFace& face = made.faces[place.side];
        place.a = (place.a - face.a0) * face.a_scale;
        place.b = (place.b - face.b0) * face.b_scale;
        cell_of[i] = face.first + static_cast<std::uint32_t>(static_cast<int>(place.b) * face.cells +
                                                             static_cast<int>(place.a));
        ++made.start[cell_of[i] + 1];
    }
    for (std::uint32_t cell = 0; cell < cells; ++cell)
        made.start[cell + 1] += made.start[cell];
    std::vector<std::uint32_t> next(made.start.begin(), made.start.end() - 1);
    made.order.resize(ways.size());
    for (std::vector<float>* values : {&made.x, &made.y, &made.z})
        values->assign(ways.size() + facet_lanes, 0);
    for (std::size_t i = 0; i < ways.size(); ++i) {
        const std::uint32_t to = next[cell_of[i]]++;
        made.order[to] = static_cast<std::uint32_t>(i);
        made.x[to] = ways[i].x;
        made.y[to] = ways[i].y;
        made.z[to] = ways[i].z;
    }
    return made;
}

} // namespace duskcast
