#pragma once
// Cuts flat parts into patches by their grids and gathers small facets and leaves into others.

#include <cstdint>
#include <glm/glm.hpp>
#include <utility>
#include <vector>

#include "duskcast/light/patches.hpp"
#include "patch_planner.hpp"
#include "stage_facets.hpp"

namespace duskcast {

/// Fills a Patches that is still empty.
class Patches::Builder {
public:
    Builder(Patches& patches, const PatchOptions& options)
        : patches_(patches), stage_(patches.stage_), facets_(patches.stage_), options_(options),
          planner_(patches, options) {}

    void build();

private:
    std::uint32_t add_patch(std::uint64_t seed);
    void add_piece(std::uint32_t patch, const Piece& piece);
    /// Cuts every triangle of the part by the grid; what lies in a cell is the cell's patch.
    void cut_face(std::size_t index);
    void add_part(Face& face, std::size_t column, std::size_t row, const std::vector<glm::dvec2>& part);
    void link(const Face& face, const std::vector<std::uint32_t>& grid);
    /// Small facets share a patch with those of the same surface, place and way they face.
    void gather_triangles();
    /// Leaves share a patch pair (front and back) with those of the same plant, cell and way they face.
    void gather_leaves();
    /// `pair`: the front one of its patches.
    void add_leaf(std::uint32_t leaf, std::uint32_t pair);
    void sort_pieces();

    Patches& patches_;
    const Stage& stage_;
    StageFacets facets_;
    const PatchOptions& options_;
    Planner planner_;
    std::vector<std::pair<std::uint32_t, Piece>> owned_;
};

} // namespace duskcast
