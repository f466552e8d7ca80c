#pragma once
// The site as facets with materials.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <string>
#include <vector>

namespace duskcast {

/// An image as it was read: 8-bit sRGB with alpha, first row at the bottom (v = 0).
struct Texture {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> rgba; ///< width * height * 4
    std::string file{};             ///< it was read from, UTF-8; empty: white
    std::string alpha_file{};       ///< a second picture for its alpha; empty: none

    /// Linear sRGB albedo at (u, v), repeated outside 0..1, nearest texel. IEC 61966-2-1 decoding.
    glm::vec3 albedo(float u, float v) const;

    /// Alpha 0..1 at (u, v), nearest texel.
    float alpha(float u, float v) const;

    /// Whether any texel is see-through (alpha below one half).
    bool has_cutouts() const;
};

struct Material {
    std::string name;
    glm::vec3 reflectance{0.2f};   ///< linear sRGB; multiplied by the texture where there is one
    glm::vec3 transmittance{0.0f}; ///< leaves only
    int texture = -1;              ///< index into Stage::textures
    glm::vec3 luminance{0.0f};     ///< cd/m2 per channel, of itself, on the side that facets are wound to

    bool operator==(const Material&) const = default;
};

/// Triangles with shared vertices. `uv` is empty or one entry a vertex.
struct Triangles {
    std::vector<glm::vec3> vertices;
    std::vector<glm::vec2> uv;
    std::vector<glm::uvec3> corners;
    std::vector<std::uint16_t> material; ///< one a triangle
    std::vector<std::uint16_t> surface;  ///< one a triangle: index into Stage::surfaces
    std::vector<std::uint8_t> solid;     ///< one a triangle: 1 when it bounds a closed body seen from outside

    std::vector<glm::uvec2> bodies; ///< closed convex bodies: first triangle of each, and one past the last

    std::size_t size() const { return corners.size(); }
    std::array<glm::dvec3, 3> facet(std::size_t i) const {
        const glm::uvec3& corner = corners[i];
        return {vertices[corner.x], vertices[corner.y], vertices[corner.z]};
    }
    void add(const glm::uvec3& corner, std::uint16_t material_index, std::uint16_t surface_index,
             bool is_solid);
    /// Says that all triangles from `first` on bound one convex body.
    void close_body(std::size_t first);
    /// Adds all of others that have no uv.
    void append(const Triangles& others);
};

/// Leaves as flat rhombs, four corners each, two-sided. In Morton order of their centres.
struct Leaves {
    std::vector<glm::vec3> corners;      ///< 4 a leaf, going round
    std::vector<std::uint16_t> material; ///< one a leaf
    std::vector<std::uint16_t> surface;  ///< one a leaf

    std::size_t size() const { return surface.size(); }
    glm::vec3 centre(std::size_t leaf) const { return 0.5f * (corners[4 * leaf] + corners[4 * leaf + 2]); }
    glm::vec3 normal(std::size_t leaf) const; ///< unit
    float area(std::size_t leaf) const;       ///< one side, m2
    void append(const Leaves& others);
};

} // namespace duskcast
