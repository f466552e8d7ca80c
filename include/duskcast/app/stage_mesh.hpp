#pragma once
// The stage as something to draw: triangles that share one map of light, and leaves.

#include <array>
#include <cstdint>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A picture whose texels name sensors: filled with their lux it lights every triangle of a mesh.
struct LightAtlas {
    int width = 0;
    int height = 0;
    /// One a texel, the lowest row first; -1: no light is known there. Texels beside what is kept of a
    /// surface name the nearest sensor, so that a linear filter mixes nothing foreign in.
    /// Beyond the last sensor they count on: the light of mixes.
    std::vector<std::int32_t> sensor;
};

/// Light between sensors: each mix is a sum over some of them. Of mix i those from end[i - 1] up to end[i].
struct LightMixes {
    std::vector<std::int32_t> end;
    std::vector<std::int32_t> sensor;
    std::vector<float> share; ///< of one mix they sum to 1

    std::size_t size() const { return end.size(); }
};

/// Corners are not shared. Structure of arrays.
struct StageMesh {
    std::vector<float> position;           ///< 9 a triangle, metres
    std::vector<float> normal;             ///< 3 a triangle, unit, as the facet is wound
    std::vector<float> light_uv;           ///< 6 a triangle: place in the atlas, 0..1
    std::vector<float> texture_uv;         ///< 6 a triangle; empty where no material has a texture
    std::vector<std::uint16_t> surface;    ///< 1 a triangle: index into Stage::surfaces
    std::vector<std::uint16_t> material;   ///< 1 a triangle
    std::vector<std::int32_t> relief;      ///< 1 a triangle: index into Stage::reliefs; -1: even
    std::vector<std::uint8_t> cutout;      ///< 1 a triangle: 1 where its texture has see-through parts
    std::vector<std::uint8_t> solid;       ///< 1 a triangle: 1 where nobody sees its back
    std::vector<std::int32_t> leaf_sensor; ///< 2 a leaf: whose light stands for the side of its normal, and
                                           ///< for the other; -1: none
    LightAtlas atlas;
    LightMixes mixes;

    std::size_t size() const { return surface.size(); }
};

/// The ground's areas are triangles of their own here, each a few millimetres above the one below, and so are
/// parts of a face that look otherwise: a gable's cladding, boards, shutters.
StageMesh make_stage_mesh(const Stage& stage);

} // namespace duskcast
