#include "filtered_textures.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/colour.hpp"

namespace duskcast {

namespace {

/// Half as wide and high, each texel the mean of those it covers. Alpha becomes 0 or 255: whether there is
/// any colour in it.
Texture halve(const Texture& from) {
    Texture to{std::max(1, from.width / 2), std::max(1, from.height / 2), {}};
    to.rgba.reserve(static_cast<std::size_t>(to.width) * to.height * 4);
    for (int row = 0; row < to.height; ++row)
        for (int column = 0; column < to.width; ++column) {
            glm::dvec3 shown(0), hidden(0);
            int seen = 0, all = 0;
            for (int y = row * from.height / to.height; y < (row + 1) * from.height / to.height; ++y)
                for (int x = column * from.width / to.width; x < (column + 1) * from.width / to.width; ++x) {
                    const float u = (static_cast<float>(x) + 0.5f) / static_cast<float>(from.width);
                    const float v = (static_cast<float>(y) + 0.5f) / static_cast<float>(from.height);
                    const bool is_seen = from.alpha(u, v) >= 0.5f;
                    (is_seen ? shown : hidden) += glm::dvec3(from.albedo(u, v));
                    seen += is_seen ? 1 : 0;
                    ++all;
                }
            const glm::dvec3 mean = seen > 0 ? shown / double(seen) : hidden / double(all);
            for (int channel = 0; channel < 3; ++channel)
                to.rgba.push_back(static_cast<std::uint8_t>(std::lround(255 * encode_srgb(mean[channel]))));
            to.rgba.push_back(seen > 0 ? 255 : 0);
        }
    return to;
}

/// Between the middles of the four texels around; those cut out are left aside.
glm::vec3 bilinear(const Texture& texture, const glm::vec2& uv) {
    const glm::vec2 size(texture.width, texture.height);
    const glm::vec2 at = uv * size - 0.5f;
    const glm::vec2 low = glm::floor(at);
    const glm::vec2 share = at - low;
    glm::vec3 shown(0), all(0);
    float seen = 0;
    for (int i = 0; i < 4; ++i) {
        const glm::vec2 step(i % 2, i / 2);
        const float weight = (i % 2 ? share.x : 1 - share.x) * (i / 2 ? share.y : 1 - share.y);
        const glm::vec2 middle = (low + step + 0.5f) / size;
        const glm::vec3 albedo = texture.albedo(middle.x, middle.y);
        all += weight * albedo;
        if (texture.alpha(middle.x, middle.y) < 0.5f)
            continue;
        shown += weight * albedo;
        seen += weight;
    }
    return seen > 1e-4f ? shown / seen : all;
}

} // namespace

TextureLevels::TextureLevels(const Texture& texture) : texture_(texture) {
    for (const Texture* last = &texture; last->width > 1 || last->height > 1; last = &smaller_.back())
        smaller_.push_back(halve(*last));
}

glm::vec3 TextureLevels::albedo(const glm::vec2& uv, float texels) const {
    const float wanted = 0.5f * std::log2(std::max(1.0f, texels)); // a level has a quarter of the texels
    const auto last = static_cast<float>(smaller_.size());
    const float finer = std::floor(std::min(wanted, last));
    const float share = std::min(wanted, last) - finer;
    const auto index = static_cast<std::size_t>(finer);
    const glm::vec3 fine = bilinear(level(index), uv);
    return share > 0 ? glm::mix(fine, bilinear(level(index + 1), uv), share) : fine;
}

FilteredTextures::FilteredTextures(const Stage& stage) : stage_(stage) {
    for (const Texture& texture : stage.textures)
        levels_.emplace_back(texture);
}

glm::vec3 FilteredTextures::reflectance_at(const Hit& hit, const glm::vec3& position, float area) const {
    if (hit.kind != FacetKind::opaque && hit.kind != FacetKind::cutout)
        return stage_.reflectance_at(hit, position);
    const Triangles& triangles = hit.kind == FacetKind::cutout ? stage_.cutouts : stage_.opaque;
    const Material& material = stage_.materials[triangles.material[hit.facet]];
    if (material.texture < 0 || triangles.uv.empty() ||
        stage_.surfaces[triangles.surface[hit.facet]].kind == SurfaceKind::ground)
        return stage_.reflectance_at(hit, position);
    const glm::uvec3& corner = triangles.corners[hit.facet];
    const glm::vec2 a = triangles.uv[corner.x], b = triangles.uv[corner.y], c = triangles.uv[corner.z];
    const glm::vec3 origin = triangles.vertices[corner.x];
    const float doubled =
        glm::length(glm::cross(triangles.vertices[corner.y] - origin, triangles.vertices[corner.z] - origin));
    const Texture& texture = stage_.textures[material.texture];
    const glm::vec2 across = (b - a) * glm::vec2(texture.width, texture.height);
    const glm::vec2 along = (c - a) * glm::vec2(texture.width, texture.height);
    const float texels = std::abs(across.x * along.y - across.y * along.x); // of that doubled area
    const glm::vec2 uv = (1 - hit.u - hit.v) * a + hit.u * b + hit.v * c;
    return material.reflectance * levels_[material.texture].albedo(uv, texels * area / doubled);
}

} // namespace duskcast
