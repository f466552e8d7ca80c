#include "ground_look.hpp"

#include <algorithm>
#include <span>

#include "noise.hpp"

namespace duskcast {
namespace {

/// One size of what the eye tells apart on the ground.
struct Mottle {
    float size;     ///< metres between values
    float deep;     ///< largest change of the factor
    glm::vec3 tint; ///< of the change, per channel
};

// All by eye.
constexpr glm::vec3 grey(1), straw(1.15f, 1, 0.55f);
constexpr Mottle lawn[] = {
    {0.018f, 0.36f, grey}, {0.07f, 0.24f, grey}, {0.5f, 0.14f, straw}, {2.7f, 0.12f, straw}};
constexpr Mottle chips[] = {{0.025f, 0.55f, grey}, {0.08f, 0.3f, grey}, {0.6f, 0.12f, grey}};
constexpr Mottle soil[] = {{0.02f, 0.4f, grey}, {0.09f, 0.25f, grey}, {0.7f, 0.12f, grey}};
constexpr Mottle grains[] = {{0.012f, 0.14f, grey}, {0.35f, 0.06f, grey}, {1.6f, 0.06f, straw}};

std::span<const Mottle> mottles_of(GroundKind kind) {
    switch (kind) {
    case GroundKind::lawn:
        return lawn;
    case GroundKind::bed:
        return soil;
    case GroundKind::mulch:
        return chips;
    case GroundKind::paving:
        return grains;
    case GroundKind::water:
        break;
    }
    return {};
}

} // namespace

glm::vec3 ground_level(GroundKind kind, const glm::vec2& at, float width) {
    glm::vec3 level(1);
    std::uint64_t salt = 0;
    for (const Mottle& mottle : mottles_of(kind)) {
        const float shown = std::clamp(2 - 2 * width / mottle.size, 0.0f, 1.0f);
        if (shown > 0)
            level += shown * mottle.deep * solid_noise(glm::vec3(at / mottle.size, 0), salt) * mottle.tint;
        ++salt;
    }
    return level;
}

} // namespace duskcast
