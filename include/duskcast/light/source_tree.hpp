#pragma once
// The patches of flat parts as sources of light: each part's grid halved again and again, so that what is far
// away counts as a few large rectangles.

#include <cstdint>
#include <glm/glm.hpp>
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
    std::size_t source_count() const { return count_; }
    /// Whether a patch is a cell of a plane.
    bool has_patch(std::uint32_t patch) const { return cell_of_[patch] != none; }
    /// Spots of a patch of which a part is buried, where it is not; else none.
    std::span<const glm::vec3> open_spots(std::uint32_t patch) const {
        return std::span(open_spots_)
            .subspan(first_spot_[patch], first_spot_[patch + 1] - first_spot_[patch]);
    }
    std::size_t bytes() const;

    /// What every source sends off when the patches send `sent`, lm/m2.
    std::vector<SourceLight> gather_light(std::span<const PatchLight> sent) const;

private:
    struct Neighbours {
        std::uint32_t left = none, right = none, below = none, above = none;
    };

    std::uint32_t build(const Patches& patches, std::span<const Cover> covers, const Patches::Face& face,
                        const std::vector<std::uint32_t>& grid, glm::uvec2 low, glm::uvec2 high);
    SourceLight cell_light(const Node& cell, std::span<const PatchLight> sent) const;
    SourceLight joined_light(std::uint32_t index, std::span<const SourceLight> lights) const;

    std::vector<Plane> planes_;
    std::vector<Node> nodes_;            ///< every node before the nodes of its halves
    std::vector<std::uint32_t> cell_of_; ///< one a patch: its node, or none
    std::vector<glm::vec2> middle_;      ///< one a patch: centroid of what is there of its cell
    std::vector<Neighbours> neighbours_;
    std::vector<std::uint32_t> first_spot_{0};
    std::vector<glm::vec3> open_spots_;
    std::size_t count_ = 0;
};

} // namespace duskcast
