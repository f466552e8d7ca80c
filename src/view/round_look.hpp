#pragma once
// What pictures show as round: trunks and boughs, with furrows in their bark, and fountains.

#include <cstdint>
#include <glm/glm.hpp>
#include <optional>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// Height of bark at a place in space, metres, 0 at its ridges, and furrows along the stem. A solid texture,
/// so that it needs no unfolding.
float bark_height(const glm::vec3& at);

/// The deepest that bark_height goes, below 0.
inline constexpr float bark_depth = 0.012f;

/// The facets of round things, ready.
class RoundLook {
public:
    explicit RoundLook(const Stage& stage);

    bool is_empty() const { return normals_.empty(); }

    struct Spot {
        /// Of the round thing, of a stem with its bark; longer than 1 where that is aslant, as there is then
        /// more of it.
        glm::vec3 normal{0, 0, 1};
        float level = 1; ///< factor of its reflectance, whose mean is 1
    };
    /// Nothing where the hit is not on wood or a fountain. `width`: metres of it that one look stands for;
    /// what is finer is left out. `facing`: the facet's normal on the side looked at.
    std::optional<Spot> find(const Hit& hit, const glm::vec3& position, const glm::vec3& facing,
                             float width) const;

private:
    const Stage& stage_;
    std::vector<glm::vec3> normals_; ///< one a vertex of the stage's opaque facets; 0 where nothing is round
};

/// Bounced light on round things. It is known facet by facet, which shows as blocks; here it runs evenly from
/// vertex to vertex.
class RoundBounce {
public:
    RoundBounce() = default;
    RoundBounce(const Stage& stage, const BouncedLight& bounced);

    bool is_empty() const { return lux_.empty(); }
    /// On a facet of a round thing.
    glm::vec3 at(const Hit& hit) const;

private:
    const Triangles* facets_ = nullptr;
    std::vector<glm::vec3> lux_; ///< one a vertex
};

} // namespace duskcast
