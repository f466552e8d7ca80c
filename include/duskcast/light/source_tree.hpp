#pragma once
// The patches of flat parts as sources of light: each part's grid halved again and again, so that what is far
// away counts as a few large rectangles.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <glm/gtc/type_precision.hpp>
#include <span>
#include <vector>

#include "duskcast/light/form_factor.hpp"
#include "duskcast/light/patches.hpp"

namespace duskcast {

/// RGB in linear sRGB; the fourth is padding, so that a patch is one aligned load.
struct alignas(16) PatchLight {
    float r = 0, g = 0, b = 0, pad = 0;

    glm::dvec3 rgb() const { return {r, g, b}; }
};

/// What a source sends off: lm/m2 by channel, mean over what of its rectangle is there, and where in the
/// rectangle its light comes from: the centroid of its luminance, counted from the middle in halves of the
/// sides.
struct alignas(32) SourceLight {
    PatchLight sent;
    float centroid_u = 0, centroid_v = 0;
};

/// Sources are numbered as the patches are; after the patches come the rectangles of more than one.
class SourceTree {
public:
    static constexpr std::uint32_t none = Patches::none;

    struct Node {
        float u0 = 0, u1 = 0, v0 = 0, v1 = 0; ///< in the frame of the plane
        float filled = 0;                     ///< share of the rectangle that sends light
        float area = 0;                       ///< m2 that light can come to, holes of a cut-out included
        std::uint32_t source = none;          ///< a patch, if it is a single cell
        std::uint32_t second =
            none; ///< node of the second half, that of the first is the next one; none: a cell

        bool is_parted =
            false; ///< by something that stands on it and may hide one half: counts only by its halves

        bool is_cell() const { return second == none; }
        PlaneRectangle rectangle() const { return {u0, u1, v0, v1}; }
        double sending() const { return static_cast<double>(filled) * rectangle().area(); } ///< m2
    };

    /// One side of a flat part.
    struct Plane {
        std::uint32_t face;
        bool is_front;
        std::uint32_t root;
        glm::dvec3 normal; ///< of this side
        glm::dvec3 middle; ///< of the root's rectangle
        double reach;      ///< metres from there to its corners
    };

    /// What is known of a patch besides its outline.
    struct Cover {
        float solid = 1; ///< share that is no hole of a cut-out
        float open = 1;  ///< share of that which light can come to: the rest is buried in a body
        std::span<const glm::vec3> spots = {}; ///< where it is open
    };

    SourceTree() = default;
    /// `covers`: one a patch. Needs the patches' pieces.
    SourceTree(const Patches& patches, std::span<const Cover> covers);

    const std::vector<Plane>& planes() const { return planes_; }
    const Node& node(std::uint32_t index) const { return nodes_[index]; }
    std::size_t source_count() const { return patches_ + joins_.size(); }
    /// Whether a patch is a cell of a plane.
    bool has_patch(std::uint32_t patch) const { return cell_of_[patch] != none; }
    /// Spots of a patch of which a part is buried, where it is not; else none.
    std::span<const glm::vec3> open_spots(std::uint32_t patch) const {
        return std::span(open_spots_)
            .subspan(first_spot_[patch], first_spot_[patch + 1] - first_spot_[patch]);
    }
    std::size_t bytes() const; ///< of what gathering light needs
    /// Frees what only tracing needs: planes, nodes and open spots.
    void drop_tracing();

    /// What every source sends off when the patches send `sent`, lm/m2.
    std::vector<SourceLight> gather_light(std::span<const PatchLight> sent) const;

private:
    /// A cell as light is gathered from it. Within a cell light is taken to run as straight as between its
    /// neighbours.
    struct Cell {
        std::uint32_t patch;
        std::uint32_t right = none, above = none; ///< patches beside it, if they are cells
        float across = 0; ///< its half side over the way from one neighbour's middle to the other's
        float upward = 0;
    };

    /// The centroid of what is there of a cell of which a part is not.
    struct Middle {
        std::uint32_t cell;
        float u, v; ///< in halves of the sides
    };

    /// A rectangle of two halves, whose centroids are placed by `middle` and `side`, 32767 the rectangle's
    /// own half side.
    struct Join {
        std::uint32_t first, second; ///< sources
        float first_share;           ///< of what sends light
        std::array<glm::i16vec2, 2> middle, side;
    };

    std::uint32_t build(const Patches& patches, std::span<const Cover> covers, const Patches::Face& face,
                        const std::vector<std::uint32_t>& grid, glm::uvec2 low, glm::uvec2 high);
    void list_cells(const Patches& patches);
    Join join_halves(std::uint32_t index) const;

    std::vector<Plane> planes_;
    std::vector<Node> nodes_;            ///< every node before the nodes of its halves
    std::vector<std::uint32_t> cell_of_; ///< one a patch: its node, or none
    std::vector<std::uint32_t> first_spot_{0};
    std::vector<glm::vec3> open_spots_;

    std::size_t patches_ = 0;
    std::vector<Cell> cells_;
    std::vector<Middle> middles_; ///< by ascending cell
    std::vector<Join> joins_;     ///< sources from patches_ on, halves before their wholes
};

} // namespace duskcast
