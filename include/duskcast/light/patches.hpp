#pragma once
// The stage cut into patches, between which bounced light is exchanged.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <limits>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

struct PatchOptions {
    double size = 0.15;            ///< side of a patch on walls and near ground, metres
    std::size_t most_flat = 30000; ///< of flat parts, outside bodies; the size grows until they are no more
    std::size_t most_leaf = 80000; ///< patches of leaves; their cells grow until they are no more
};

/// Spots of a patch with a weight each, summing to 1 (or none where nothing is near).
struct PatchBlend {
    static constexpr int spots = 4;
    std::array<std::uint32_t, spots> patch{};
    std::array<float, spots> weight{};
};

struct PatchPoint {
    glm::vec3 position;
    glm::vec3 normal;
};

/// One side of a piece of a surface, or the sides of a cell's leaves that face alike. Flat parts
/// are cut by a grid (that of the ground widens away from the site), small facets are gathered by place and
/// facing, leaves by cell and facing. Structure of arrays, one entry a patch.
class Patches {
public:
    static constexpr std::uint32_t none = std::numeric_limits<std::uint32_t>::max();

    Patches(const Stage& stage, const PatchOptions& options);

    std::vector<float> area;            ///< m2 of that side
    std::vector<glm::vec3> reflectance; ///< linear sRGB, mean over the patch
    std::uint32_t first_leaf = 0; ///< patches of leaves come last, both sides of a cell's beside each other
    std::vector<glm::vec3> leaf_transmittance; ///< from `first_leaf` on; from the side `behind`
    // For tracing alone:
    std::vector<std::uint32_t> right; ///< flat parts: the neighbours in the grid, or none
    std::vector<std::uint32_t> above;
    std::vector<std::uint64_t> random_seed; ///< by its surface and place, whatever is elsewhere
    std::vector<float> width;               ///< flat parts: side towards the neighbours, metres; else 0

    std::size_t size() const { return area.size(); }
    bool is_leaf(std::uint32_t patch) const { return patch >= first_leaf; }
    /// Of leaves the patch of their other sides; else none.
    std::uint32_t behind(std::uint32_t patch) const {
        return is_leaf(patch) ? first_leaf + ((patch - first_leaf) ^ 1u) : none;
    }
    glm::vec3 transmittance(std::uint32_t patch) const {
        return is_leaf(patch) ? leaf_transmittance[patch - first_leaf] : glm::vec3(0);
    }
    const Stage& stage() const { return stage_; } ///< which they are patches of

    /// A point on the patch and the unit normal of its side, from three numbers in 0..1.
    PatchPoint point_on(std::uint32_t patch, float choice, float a, float b) const;

    /// The patch that a ray met, by the side it came from; none on a side that no light belongs to (the
    /// inside of a house, the ground from below).
    std::uint32_t patch_at(const Hit& hit, const glm::vec3& position, const glm::vec3& direction) const;

    /// Between which patches the light at a spot of a facet lies, `facing` the facet's normal on the side
    /// meant: on flat parts bilinear between patch centres, but not through a wall that stands on them.
    PatchBlend blend_at(const Hit& hit, const glm::vec3& position, const glm::vec3& facing) const;

    /// Whether a hit is on a flat part.
    bool is_flat(const Hit& hit) const;

    /// Of what is there of the patch. Needs its pieces, as do `covers` and point_on.
    glm::dvec3 centroid(std::uint32_t patch) const;
    /// Whether a point of the plane of a patch lies on it.
    bool covers(std::uint32_t patch, const glm::dvec3& point) const;

    /// Frees what only tracing needs: seeds, neighbours, and the pieces of point_on, `centroid` and `covers`.
    void drop_tracing();

    /// Where another face stands on this one, along an edge of its grid.
    struct Barrier {
        int axis = 0;         ///< 0: across the edge u lies the barrier
        std::size_t edge = 0; ///< index into u or v
        double from = 0;      ///< stretch of the other axis
        double to = 0;
    };

    /// A flat part of a surface and its grid of patches.
    struct Face {
        std::uint64_t seed = 0;
        glm::dvec3 origin{0};
        glm::dvec3 across{0};
        glm::dvec3 upward{0};
        glm::dvec3 normal{0};
        std::vector<float> u; ///< edges, ascending
        std::vector<float> v;
        std::vector<std::uint32_t> front; ///< rows of columns; none where nothing is
        std::vector<std::uint32_t> back;  ///< empty when no light belongs there
        std::vector<Barrier> barriers;

        std::size_t columns() const { return u.size() - 1; }
        std::size_t rows() const { return v.size() - 1; }
        bool is_barred(int axis, std::size_t edge, double along) const;
    };

    const std::vector<Face>& faces() const { return faces_; }

    /// As blend_at, at a spot of a face in its frame.
    PatchBlend blend_inside(std::uint32_t face, bool is_front, double u, double v) const;

private:
    class Planner;
    class Builder;

    /// A part of a patch: a triangle, or a leaf (its parallelogram).
    struct Piece {
        glm::vec3 corner, first, second; ///< a corner and two edges
        glm::vec3 normal;
        float area;
        bool is_leaf;
    };

    struct Sides {
        std::uint32_t front = none;
        std::uint32_t back = none;
    };

    const Stage& stage_;
    std::vector<Face> faces_;
    std::vector<std::int32_t> face_of_;     ///< one a triangle, opaque then cut-out; -1: gathered
    std::vector<Sides> sides_of_;           ///< of gathered triangles
    std::vector<std::uint32_t> leaf_patch_; ///< one a leaf: of its front; the back's is behind that
    std::vector<std::uint32_t> first_piece_;
    std::vector<Piece> pieces_;

    std::size_t facet_of(const Hit& hit) const;
    PatchBlend blend_on(const Face& face, const std::vector<std::uint32_t>& grid, double u, double v) const;
};

} // namespace duskcast
