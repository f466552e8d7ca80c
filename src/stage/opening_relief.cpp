// Frames, sashes, bars and panels of windows and doors, and what is seen behind their glass.

#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "builder.hpp"
#include "duskcast/site/finish.hpp"
#include "relief_shapes.hpp"

namespace duskcast {
namespace {

// Common practice, no source.
constexpr float frame_width = 2 * inch, sash_width = 2 * inch, bar_width = 0.875f * inch;
constexpr float sash_back = 0.014f, glass_back = 0.016f, panel_back = 0.011f;
constexpr float bevel = 0.004f;

/// A sash or a leaf: a border round a grid of lights or panels with bars between.
struct Sash {
    glm::vec2 low, high;
    glm::ivec2 cells{1};
    float border = sash_width, bar = bar_width;
    float back = sash_back; ///< its face, from the frame's
    bool has_glass = true;
};

/// A place in one: metres inside the nearest light or panel, below 0 on border and bars.
float find_inside(const Sash& sash, const glm::vec2& at) {
    const glm::vec2 open = sash.high - sash.low - 2 * sash.border;
    const glm::vec2 cell = (open - sash.bar * glm::vec2(sash.cells - 1)) / glm::vec2(sash.cells);
    float inside = std::numeric_limits<float>::max();
    for (int axis = 0; axis < 2; ++axis) {
        const float from = at[axis] - sash.low[axis] - sash.border;
        const float step = std::max(cell[axis] + sash.bar, 0.001f);
        const float index = std::clamp(std::floor((from + sash.bar / 2) / step), 0.0f,
                                       static_cast<float>(sash.cells[axis] - 1));
        const float off = from - index * step;
        inside = std::min(inside, std::min(off, cell[axis] - off));
    }
    return inside;
}

/// How many of about `wanted` metres fit, at least one.
int count_fitting(float length, float wanted) {
    return std::max(1, static_cast<int>(std::lround(length / wanted)));
}

std::vector<Sash> divide(OpeningStyle style, const glm::vec2& size) {
    const glm::vec2 low(frame_width), high = size - frame_width;
    const float middle_y = size.y / 2;
    const auto door = [&](Sash sash) {
        sash.low.y = 0; // no frame below a door
        sash.back = 0.02f;
        return sash;
    };
    switch (style) {
    case OpeningStyle::plain:
        return {{.low = low, .high = high, .border = 0}};
    case OpeningStyle::picture:
        return {{.low = low, .high = high, .border = 1.5f * inch}};
    case OpeningStyle::casement: {
        std::vector<Sash> sashes;
        const int leaves = count_fitting(high.x - low.x, 0.65f);
        const float wide = (high.x - low.x) / static_cast<float>(leaves);
        for (int i = 0; i < leaves; ++i)
            sashes.push_back({.low = {low.x + wide * static_cast<float>(i), low.y},
                              .high = {low.x + wide * static_cast<float>(i + 1), high.y}});
        return sashes;
    }
    case OpeningStyle::double_hung:
    case OpeningStyle::double_hung_6_over_6: {
        const glm::ivec2 cells = style == OpeningStyle::double_hung ? glm::ivec2(1) : glm::ivec2(3, 2);
        constexpr float meeting = 0.75f * inch; // they lap there
        return {{.low = low, .high = {high.x, middle_y + meeting}, .cells = cells, .back = 2.6f * sash_back},
                {.low = {low.x, middle_y - meeting}, .high = high, .cells = cells}};
    }
    case OpeningStyle::panel_door:
        return {door({.low = low,
                      .high = {high.x, 0.42f * high.y},
                      .cells = {2, 1},
                      .border = 4.5f * inch,
                      .bar = 4.5f * inch,
                      .has_glass = false}),
                {.low = {low.x, 0.42f * high.y},
                 .high = high,
                 .cells = {2, 2},
                 .border = 4.5f * inch,
                 .bar = 4.5f * inch,
                 .back = 0.02f,
                 .has_glass = false}};
    case OpeningStyle::glazed_door:
        return {door({.low = low,
                      .high = {high.x, 0.45f * high.y},
                      .cells = {2, 1},
                      .border = 4.5f * inch,
                      .bar = 4.5f * inch,
                      .has_glass = false}),
                {.low = {low.x, 0.45f * high.y},
                 .high = high,
                 .cells = {3, 3},
                 .border = 4.5f * inch,
                 .back = 0.02f}};
    case OpeningStyle::garage_door: {
        std::vector<Sash> sections;
        const int rows = count_fitting(high.y, 21 * inch);
        const float high_each = high.y / static_cast<float>(rows);
        for (int i = 0; i < rows; ++i)
            sections.push_back({.low = {low.x, high_each * static_cast<float>(i)},
                                .high = {high.x, high_each * static_cast<float>(i + 1)},
                                .cells = {count_fitting(high.x - low.x, 24 * inch), 1},
                                .border = 2.5f * inch,
                                .bar = 5 * inch,
                                .back = 0.03f,
                                .has_glass = false});
        return sections;
    }
    }
    return {};
}

class Joinery final : public Relief {
public:
    explicit Joinery(const OpeningLook& look)
        : Relief(deepest, 0), look_(look), sashes_(divide(look.style, look.size)) {
        // What the glass shows of the pane's own light comes to all of it.
        constexpr int side = 64;
        double shown = 0;
        for (int y = 0; y < side; ++y)
            for (int x = 0; x < side; ++x) {
                const glm::vec2 at = (glm::vec2(x, y) + 0.5f) / static_cast<float>(side) * look.size;
                shown += is_glass(at) ? static_cast<double>(lit_room(at)) : 0;
            }
        if (shown > 0)
            glow_ = static_cast<float>(side * side / shown);
    }

    float height(const glm::vec2& at) const override {
        const Sash* sash = find(at);
        if (!sash)
            return 0;
        const float edge = std::min(std::min(at.x - sash->low.x, sash->high.x - at.x),
                                    std::min(at.y - sash->low.y, sash->high.y - at.y));
        const float face = -sash->back * ease(edge / bevel);
        const float inside = find_inside(*sash, at);
        if (inside <= 0)
            return face;
        if (sash->has_glass)
            return std::max(-deepest, face - glass_back * ease(inside / bevel));
        // A panel raised in its middle.
        const float down = ease(inside / 0.008f), up = ease((inside - 0.018f) / 0.03f);
        return std::max(-deepest, face - panel_back * (down - 0.75f * up));
    }

    ReliefSpot spot(const glm::vec2& at) const override {
        const Sash* sash = find(at);
        if (!sash)
            return {.reflectance = look_.trim, .glow = glow_ > 0 ? 0.0f : 1.0f};
        if (is_glass(at))
            return {.is_glass = true, .room = room(at), .glow = glow_ * lit_room(at)};
        const bool is_leaf = !has_only_glass();
        return {.reflectance = is_leaf ? look_.reflectance : look_.trim, .glow = glow_ > 0 ? 0.0f : 1.0f};
    }

private:
    static constexpr float deepest = 0.06f;

    /// Of several that lap the one in front; null: the frame.
    const Sash* find(const glm::vec2& at) const {
        const Sash* found = nullptr;
        for (const Sash& sash : sashes_)
            if (at.x > sash.low.x && at.x < sash.high.x && at.y > sash.low.y && at.y < sash.high.y &&
                (!found || sash.back < found->back))
                found = &sash;
        return found;
    }
    bool is_glass(const glm::vec2& at) const {
        const Sash* sash = find(at);
        return sash && sash->has_glass && find_inside(*sash, at) > 0;
    }
    bool has_only_glass() const {
        return std::all_of(sashes_.begin(), sashes_.end(), [](const Sash& sash) { return sash.has_glass; });
    }

    /// From -1 to 1 across a curtain's folds.
    static float fold_at(float x) {
        return std::sin(x * 52 + 1.4f * std::sin(x * 17)) * (0.8f + 0.2f * std::sin(x * 31));
    }
    /// Whether a curtain hangs there: drawn to the sides.
    bool is_curtain(const glm::vec2& at) const {
        const float off = std::abs(at.x / look_.size.x - 0.5f);
        return off > 0.13f + 0.02f * std::sin(at.y * 3) || at.y > 0.93f * look_.size.y;
    }
    glm::vec3 room(const glm::vec2& at) const {
        if (look_.room != Room::dark && is_curtain(at))
            return glm::vec3(0.52f, 0.50f, 0.45f) * (0.75f + 0.25f * fold_at(at.x));
        return glm::vec3(0.035f, 0.032f, 0.028f) * (1.3f - 0.6f * at.y / look_.size.y);
    }
    /// Brighter above than below, curtains at the sides, something low before the light.
    float lit_room(const glm::vec2& at) const {
        const glm::vec2 share = at / look_.size;
        const float off = std::abs(share.x - 0.5f);
        const float level = 0.55f + 0.9f * share.y;
        if (off > 0.3f + 0.03f * (1 - share.y))
            return level * (0.48f + 0.16f * fold_at(at.x));
        const float furniture = ease((0.2f + 0.03f * std::sin(at.x * 9) - share.y) / 0.02f);
        return level * (1.2f - 1.2f * off) * (1 - 0.7f * furniture);
    }

    OpeningLook look_;
    std::vector<Sash> sashes_;
    float glow_ = 0; ///< 0: no glass
};

} // namespace

std::shared_ptr<const Relief> make_opening(const OpeningLook& look) {
    return std::make_shared<Joinery>(look);
}

namespace {

/// A door of wood has panels where nothing is said; a glass one has a frame, as windows have.
OpeningStyle style_of(const Opening& opening) {
    const bool is_leaf = opening.kind == OpeningKind::door && opening.finish.name != "glass";
    return opening.style.value_or(is_leaf ? OpeningStyle::panel_door : OpeningStyle::plain);
}

} // namespace

void StageBuilder::add_opening_relief(std::uint16_t surface, const Opening& opening, const RunSegment& pane,
                                      double foot) {
    const Room room = opening.room.value_or(opening.glow ? Room::lit : Room::curtains);
    stage.reliefs.push_back({.surface = surface,
                             .run = {pane},
                             .foot = foot,
                             .relief = make_opening({.style = style_of(opening),
                                                     .room = room,
                                                     .size = {pane.length, opening.height},
                                                     .reflectance = opening.finish.reflectance,
                                                     .trim = trim_of(opening).reflectance})});
}

} // namespace duskcast
