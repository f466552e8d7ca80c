// Which triangles of a mesh bound closed bodies.

#include <array>
#include <cstring>
#include <numeric>
#include <unordered_map>

#include "builder.hpp"
#include "duskcast/base/random.hpp"

namespace duskcast {

namespace {

/// Numbers vertices by their position, so that corners split for their texture are one again.
std::vector<unsigned> weld(const std::vector<glm::vec3>& vertices) {
    struct Hash {
        std::size_t operator()(const std::array<std::uint32_t, 3>& bits) const {
            return mix_bits(mix_bits(bits[0] * golden_step ^ bits[1]) ^ bits[2]);
        }
    };
    std::unordered_map<std::array<std::uint32_t, 3>, unsigned, Hash> known;
    std::vector<unsigned> number;
    number.reserve(vertices.size());
    for (const glm::vec3& vertex : vertices) {
        const glm::vec3 positive_zero = vertex + 0.0f;
        std::array<std::uint32_t, 3> bits{};
        std::memcpy(bits.data(), &positive_zero, sizeof bits);
        number.push_back(known.try_emplace(bits, static_cast<unsigned>(known.size())).first->second);
    }
    return number;
}

unsigned root_of(std::vector<unsigned>& parent, unsigned vertex) {
    while (parent[vertex] != vertex)
        vertex = parent[vertex] = parent[parent[vertex]];
    return vertex;
}

} // namespace

std::vector<std::uint8_t> find_closed_bodies(const std::vector<glm::vec3>& vertices,
                                             const std::vector<glm::uvec3>& corners) {
    const std::vector<unsigned> number = weld(vertices);
    std::vector<unsigned> parent(vertices.size());
    std::iota(parent.begin(), parent.end(), 0u);
    // How often each edge is walked from its lower to its higher vertex, less how often back.
    std::unordered_map<std::uint64_t, int> walks;
    walks.reserve(2 * corners.size());
    for (const glm::uvec3& corner : corners)
        for (int i = 0; i < 3; ++i) {
            const std::uint64_t a = number[corner[i]];
            const std::uint64_t b = number[corner[(i + 1) % 3]];
            walks[a < b ? a << 32 | b : b << 32 | a] += a < b ? 1 : -1;
            parent[root_of(parent, static_cast<unsigned>(a))] = root_of(parent, static_cast<unsigned>(b));
        }
    std::vector<std::uint8_t> is_closed(vertices.size(), 1);
    for (const auto& [edge, walk] : walks)
        if (walk != 0)
            is_closed[root_of(parent, static_cast<unsigned>(edge >> 32))] = 0;
    std::vector<std::uint8_t> bounds_body;
    bounds_body.reserve(corners.size());
    for (const glm::uvec3& corner : corners)
        bounds_body.push_back(is_closed[root_of(parent, number[corner.x])]);
    return bounds_body;
}

} // namespace duskcast
