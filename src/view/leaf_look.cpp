#include "leaf_look.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/units.hpp"

namespace duskcast {
namespace {

/// A pointed blade: as far as 1 - u^2 from its midrib at u from -1 to 1 along it, in its half length and half
/// width. Its area is 8/3 of their product.
struct Blade {
    glm::vec2 middle{0}, way{1, 0};
    float half_length = 1, half_width = 1;

    glm::vec2 place_of(const glm::vec2& spot) const {
        const glm::vec2 off = spot - middle;
        return {glm::dot(off, way) / half_length, (way.x * off.y - way.y * off.x) / half_width};
    }
};

constexpr float rhomb_area = 2;        // in half diagonals
constexpr float blade_area = 8.0f / 3; // of half length and width 1

constexpr int spray_blades = 7;

/// Set by eye, so that no blade lies on another.
const std::array<Blade, spray_blades> spray = [] {
    constexpr float half_length = 0.5f, end = 0.66f, first = 0.1f, step = 0.48f, off_twig = 0.03f;
    constexpr float half_width = rhomb_area / (spray_blades * blade_area * half_length);
    const float angle = 58 * static_cast<float>(pi) / 180;
    std::array<Blade, spray_blades> blades;
    blades[0] = {{end, 0}, {1, 0}, half_length, half_width};
    for (int i = 0; i < spray_blades - 1; ++i) {
        const float side = i % 2 == 0 ? 1.0f : -1.0f;
        const glm::vec2 way(std::cos(angle), side * std::sin(angle));
        const glm::vec2 base(first - step * static_cast<float>(i / 2), side * off_twig);
        blades[1 + i] = {base + 1.02f * half_length * way, way, half_length, half_width};
    }
    return blades;
}();

constexpr Blade single_blade{{0, 0}, {1, 0}, 1, rhomb_area / blade_area};

/// A stem along the middle with teeth on both sides, swept forward, which narrow to their tips as 1 - t^2.
struct Comb {
    int pairs;
    float half_length, stem_half_width, reach, sweep;
    bool alternates; ///< the teeth of one side stand between those of the other

    float step() const { return 2 * half_length / static_cast<float>(pairs); }
    float out() const { return reach - stem_half_width; }
    /// As wide as it takes to have the rhomb's area.
    float tooth_half_width() const {
        return (rhomb_area - 4 * half_length * stem_half_width) /
               (2 * static_cast<float>(pairs) * out() * 4 / 3);
    }
};

/// Set by eye: a shoot of needles, and bare twigs, which are longer than the leaf they stand for and thinner.
constexpr Comb needle_comb{9, 1, 0.06f, 1.3f, 0.25f, false};
constexpr Comb twig_comb{6, 3, 0.05f, 2.6f, 0.9f, true};

std::optional<BladeSpot> find_in(const Blade& blade, int number, const glm::vec2& spot) {
    const glm::vec2 at = blade.place_of(spot);
    if (std::abs(at.y) < 1 - at.x * at.x)
        return BladeSpot{number, at.y};
    return std::nullopt;
}

std::optional<BladeSpot> find_in(const Comb& comb, const glm::vec2& spot) {
    const float out = std::abs(spot.y);
    if (out < comb.stem_half_width && std::abs(spot.x) < comb.half_length)
        return BladeSpot{0, spot.y / comb.stem_half_width};
    if (out < comb.stem_half_width || out > comb.reach)
        return std::nullopt;
    const float shift = comb.alternates && spot.y < 0 ? 0.5f : 0.0f;
    const float along =
        (spot.x - comb.sweep * (out - comb.stem_half_width) + comb.half_length) / comb.step() - shift;
    if (along < 0 || along >= static_cast<float>(comb.pairs))
        return std::nullopt;
    const float share = (out - comb.stem_half_width) / comb.out();
    const float aside = (along - std::floor(along) - 0.5f) * comb.step() / comb.tooth_half_width();
    if (!(std::abs(aside) < 1 - share * share))
        return std::nullopt;
    return BladeSpot{1 + 2 * static_cast<int>(along) + (spot.y > 0 ? 1 : 0), aside};
}

LeafBox bound(const Blade& blade) {
    LeafBox box{glm::vec2(1e9f), glm::vec2(-1e9f)};
    const glm::vec2 across(-blade.way.y, blade.way.x);
    constexpr int steps = 64;
    for (int i = 0; i <= steps; ++i)
        for (const float side : {-1.0f, 1.0f}) {
            const float u = 2.0f * static_cast<float>(i) / steps - 1;
            const glm::vec2 edge = blade.middle + u * blade.half_length * blade.way +
                                   side * (1 - u * u) * blade.half_width * across;
            box.low = glm::min(box.low, edge);
            box.high = glm::max(box.high, edge);
        }
    return box;
}

LeafBox bound(const Comb& comb) {
    const float last = comb.half_length + comb.sweep * comb.out() + (comb.alternates ? comb.step() / 2 : 0);
    return {{-comb.half_length, -comb.reach}, {last, comb.reach}};
}

/// Mean of 1 - |v| / width, where above 0, over a blade as far as half_width(u) from its midrib at u.
template <typename HalfWidth> float mean_of_rib(float width, const HalfWidth& half_width) {
    constexpr int steps = 1000;
    float sum = 0, area = 0;
    for (int i = 0; i < steps; ++i) {
        const float half = half_width((static_cast<float>(i) + 0.5f) / steps), inner = std::min(half, width);
        sum += inner - inner * inner / (2 * width);
        area += half;
    }
    return sum / area;
}

/// As an outline shows from this many pixels on; below, a rhomb does as well and is sooner found.
constexpr double least_pixels = 2.5;

/// Shorter leaves are single ones (by eye): a spray's leaflets are a few inches long.
constexpr float least_spray = 0.13f;

/// Width of a rhomb over its length: needles below, blades of grass and fronds below the other.
constexpr float broad_ratio = 0.42f, blade_ratio = 0.24f;

LeafShape choose_shape(const Stage& stage, std::size_t leaf, const Camera& camera) {
    const Leaves& leaves = stage.leaves;
    const glm::vec3* corner = &leaves.corners[4 * leaf];
    const float length = glm::distance(corner[0], corner[2]), width = glm::distance(corner[1], corner[3]);
    const double away = glm::distance(camera.eye, glm::dvec3(leaves.centre(leaf)));
    if (!(camera.pixels_per_tangent * length > least_pixels * away) || width < blade_ratio * length)
        return LeafShape::rhomb;
    if (stage.materials[leaves.material[leaf]].transmittance == glm::vec3(0))
        return LeafShape::twigs; // wood
    if (width < broad_ratio * length)
        return LeafShape::needles;
    return length < least_spray ? LeafShape::single : LeafShape::spray;
}

} // namespace

LeafBox box_of(LeafShape shape) {
    static const LeafBox spray_box = [] {
        LeafBox box = bound(spray[0]);
        for (const Blade& blade : spray) {
            const LeafBox one = bound(blade);
            box = {glm::min(box.low, one.low), glm::max(box.high, one.high)};
        }
        return box;
    }();
    switch (shape) {
    case LeafShape::rhomb:
        break;
    case LeafShape::single:
        return bound(single_blade);
    case LeafShape::spray:
        return spray_box;
    case LeafShape::needles:
        return bound(needle_comb);
    case LeafShape::twigs:
        return bound(twig_comb);
    }
    return {};
}

std::optional<BladeSpot> find_blade(LeafShape shape, const glm::vec2& place) {
    switch (shape) {
    case LeafShape::rhomb:
        if (std::abs(place.x) + std::abs(place.y) < 1)
            return BladeSpot{0, place.y};
        break;
    case LeafShape::single:
        return find_in(single_blade, 0, place);
    case LeafShape::spray:
        for (int i = 0; i < spray_blades; ++i)
            if (const auto found = find_in(spray[i], i, place))
                return found;
        break;
    case LeafShape::needles:
        return find_in(needle_comb, place);
    case LeafShape::twigs:
        return find_in(twig_comb, place);
    }
    return std::nullopt;
}

std::unique_ptr<LeafLook> LeafLook::make(const Stage& stage, const Camera& camera) {
    std::vector<LeafShape> shapes;
    shapes.reserve(stage.leaves.size());
    for (std::size_t i = 0; i < stage.leaves.size(); ++i)
        shapes.push_back(choose_shape(stage, i, camera));
    if (std::all_of(shapes.begin(), shapes.end(), [](LeafShape shape) { return shape == LeafShape::rhomb; }))
        return nullptr;
    return std::unique_ptr<LeafLook>(new LeafLook(stage, std::move(shapes)));
}

LeafLook::LeafLook(const Stage& stage, std::vector<LeafShape> shapes)
    : leaves_(stage.leaves), shapes_(std::move(shapes)), boxes_(stage.leaves) {
    for (std::size_t i = 0; i < shapes_.size(); ++i) {
        if (shapes_[i] == LeafShape::rhomb)
            continue;
        const LeafBox box = box_of(shapes_[i]);
        const glm::vec3* rhomb = &leaves_.corners[4 * i];
        const glm::vec3 centre = leaves_.centre(i), along = 0.5f * (rhomb[0] - rhomb[2]),
                        across = 0.5f * (rhomb[1] - rhomb[3]);
        const glm::vec2 corners[] = {box.high, {box.low.x, box.high.y}, box.low, {box.high.x, box.low.y}};
        for (int k = 0; k < 4; ++k)
            boxes_.corners[4 * i + k] = centre + corners[k].x * along + corners[k].y * across;
    }
    kernel_.emplace(stage.opaque, stage.cutouts, boxes_, stage.materials, stage.textures);
}

glm::vec2 LeafLook::place_on(std::size_t leaf, const glm::vec3& position) const {
    const glm::vec3* corner = &leaves_.corners[4 * leaf];
    const glm::vec3 off = position - leaves_.centre(leaf), along = 0.5f * (corner[0] - corner[2]),
                    across = 0.5f * (corner[1] - corner[3]);
    return {glm::dot(off, along) / glm::dot(along, along), glm::dot(off, across) / glm::dot(across, across)};
}

bool LeafLook::is_open(std::size_t leaf, const glm::vec3& position) const {
    return shapes_[leaf] != LeafShape::rhomb && !find_blade(shapes_[leaf], place_on(leaf, position));
}

float LeafLook::level(std::size_t leaf, const glm::vec3& position, float width) const {
    const LeafShape shape = shapes_[leaf];
    const std::optional<BladeSpot> found = find_blade(shape, place_on(leaf, position));
    if (!found || shape == LeafShape::needles || shape == LeafShape::twigs)
        return 1;
    const glm::vec3* corner = &leaves_.corners[4 * leaf];
    float blade_width = glm::distance(corner[1], corner[3]), level = 1;
    if (shape == LeafShape::spray) { // steps about 1, in another order on each leaf
        blade_width *= spray[0].half_width;
        const int step = (3 * found->number + static_cast<int>(leaf % spray_blades)) % spray_blades;
        level += 0.09f * static_cast<float>(step - spray_blades / 2);
    }
    const float shown = std::clamp(1.5f - 6 * width / blade_width, 0.0f, 1.0f);
    if (!(shown > 0))
        return level;
    constexpr float fold = 0.2f, rib = 0.3f, rib_width = 0.14f; // by eye
    const float at_rib = std::max(0.0f, 1 - std::abs(found->aside) / rib_width);
    static const float rhomb_rib = rib * mean_of_rib(rib_width, [](float u) { return 1 - u; });
    static const float blade_rib = rib * mean_of_rib(rib_width, [](float u) { return 1 - u * u; });
    const float rib_mean = shape == LeafShape::rhomb ? rhomb_rib : blade_rib;
    return level * (1 + shown * (std::copysign(fold, found->aside) + rib * at_rib - rib_mean));
}

} // namespace duskcast
