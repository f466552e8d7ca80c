#pragma once
// Textures as an eye sees them: averaged over what falls into a pixel.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A picture and its smaller copies, each half as wide as the one before, down to one texel (Williams 1983).
/// Read nearest, a stone wall seen from afar would sparkle: neighbouring rays meet texels that have nothing
/// to do with each other.
class TextureLevels {
public:
    /// `texture` must outlive it. What is cut out does not colour what is left.
    explicit TextureLevels(const Texture& texture);

    /// Linear sRGB albedo, the mean of about `texels` texels of the picture (an area): bilinear in two levels
    /// and between these.
    glm::vec3 albedo(const glm::vec2& uv, float texels) const;

private:
    const Texture& level(std::size_t i) const { return i == 0 ? texture_ : smaller_[i - 1]; }

    const Texture& texture_;
    std::vector<Texture> smaller_;
};

class FilteredTextures {
public:
    explicit FilteredTextures(const Stage& stage);

    /// Stage::reflectance_at, textures averaged over `area` (m2) of the facet.
    glm::vec3 reflectance_at(const Hit& hit, const glm::vec3& position, float area) const;

private:
    const Stage& stage_;
    std::vector<TextureLevels> levels_;
};

} // namespace duskcast
