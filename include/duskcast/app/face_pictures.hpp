#pragma once
// What faces show beyond their triangles, as small pictures for the walk: courses of brick, boards, frames,
// rooms behind glass. They are read off the stage's own reliefs, so the walk shows what the engine's pictures
// show.

#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/app/stage_mesh.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// Reflectance of a part of a face. What repeats is one piece of the cladding, whose courses meet themselves
/// at its edges; an opening is there once.
struct FacePicture {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> rgba; ///< 8-bit sRGB, the first row at the bottom; alpha is the share of `glow`
    glm::dvec3 glow{0};             ///< cd/m2 per channel where alpha is 255
};

struct FacePictures {
    std::vector<FacePicture> pictures;
    std::vector<std::int32_t> picture; ///< 1 a triangle: index into `pictures`; -1: none
    std::vector<float> uv; ///< 6 a triangle, repeating with every 1; empty where there is no picture
};

FacePictures make_face_pictures(const Stage& stage, const StageMesh& mesh);

} // namespace duskcast
