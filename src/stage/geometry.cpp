#include "duskcast/stage/geometry.hpp"

#include <array>
#include <cmath>

#include "duskcast/base/colour.hpp"

namespace duskcast {

namespace {

/// IEC 61966-2-1 decoding of the 256 codes.
std::array<float, 256> make_srgb_table() {
    std::array<float, 256> table{};
    for (int code = 0; code < 256; ++code) {
        const double encoded = code / 255.0;
        table[code] = static_cast<float>(decode_srgb(encoded));
    }
    return table;
}

template <class Value> void append_all(const std::vector<Value>& values, std::vector<Value>& to) {
    to.insert(to.end(), values.begin(), values.end());
}

std::size_t texel_at(const Texture& texture, float u, float v) {
    const auto wrapped = [](float coordinate, int size) {
        const float share = coordinate - std::floor(coordinate);
        const int texel = static_cast<int>(share * static_cast<float>(size));
        return static_cast<std::size_t>(texel < size ? texel : size - 1);
    };
    return 4 * (wrapped(v, texture.height) * texture.width + wrapped(u, texture.width));
}

} // namespace

glm::vec3 Texture::albedo(float u, float v) const {
    static const std::array<float, 256> linear = make_srgb_table();
    const std::uint8_t* texel = rgba.data() + texel_at(*this, u, v);
    return {linear[texel[0]], linear[texel[1]], linear[texel[2]]};
}

float Texture::alpha(float u, float v) const {
    return static_cast<float>(rgba[texel_at(*this, u, v) + 3]) / 255.0f;
}

bool Texture::has_cutouts() const {
    for (std::size_t i = 3; i < rgba.size(); i += 4)
        if (rgba[i] < 128)
            return true;
    return false;
}

void Triangles::add(const glm::uvec3& corner, std::uint16_t material_index, std::uint16_t surface_index,
                    bool is_solid) {
    corners.push_back(corner);
    material.push_back(material_index);
    surface.push_back(surface_index);
    solid.push_back(is_solid ? 1 : 0);
}

void Triangles::close_body(std::size_t first) {
    bodies.emplace_back(first, size());
}

void Triangles::append(const Triangles& others) {
    const auto vertex = static_cast<std::uint32_t>(vertices.size()),
               triangle = static_cast<std::uint32_t>(size());
    append_all(others.vertices, vertices);
    for (const glm::uvec3& corner : others.corners)
        corners.push_back(corner + vertex);
    append_all(others.material, material);
    append_all(others.surface, surface);
    append_all(others.solid, solid);
    for (const glm::uvec2& body : others.bodies)
        bodies.push_back(body + triangle);
}

void Leaves::append(const Leaves& others) {
    append_all(others.corners, corners);
    append_all(others.material, material);
    append_all(others.surface, surface);
}

glm::vec3 Leaves::normal(std::size_t leaf) const {
    const glm::vec3* corner = corners.data() + 4 * leaf;
    return glm::normalize(glm::cross(corner[2] - corner[0], corner[3] - corner[1]));
}

float Leaves::area(std::size_t leaf) const {
    const glm::vec3* corner = corners.data() + 4 * leaf;
    return 0.5f * glm::length(glm::cross(corner[2] - corner[0], corner[3] - corner[1]));
}

} // namespace duskcast
