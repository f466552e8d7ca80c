#pragma once
// The rays of a picture's pixels, and the light that they bring.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <optional>
#include <vector>

#include "close_up.hpp"
#include "duskcast/view/view_trace.hpp"
#include "filtered_textures.hpp"
#include "ground_look.hpp"
#include "leaf_look.hpp"
#include "spot_lighter.hpp"
#include "view_spots.hpp"

namespace duskcast {

inline constexpr int pilot_samples = 4;
inline constexpr int some_samples = 8; ///< of pixels that differ a little
inline constexpr int all_samples = Sight::lens_samples;

/// Why a pixel takes more rays; `differs_much`: and that it takes all.
inline constexpr std::uint8_t differs_even = 1, differs_close_by = 2, differs_much = 4;

/// Whether places on the screen that differ do so much. Where it is bright a small step is much light.
inline bool are_much_apart(float low, float high) {
    constexpr float much = 0.1f, bright = 0.85f;
    return high - low > much || high > bright;
}

/// About the place of a luminance between the night picture's black and its white.
float place_on_screen(double luminance);
float place_on_screen(const glm::vec3& luminance);

struct LightSum {
    glm::vec3 luminance{0}, sky{0}, sun{0};
    int samples = 0;
    int open = 0; ///< of them met nothing

    void add(const Returned& more, int count) {
        const auto times = static_cast<float>(count);
        luminance += times * more.luminance;
        sky += times * more.sky;
        sun += times * more.sun;
    }
};

struct Sums : LightSum {
    LightSum fine;        ///< with close-ups
    bool is_done = false; ///< only `fine` takes more samples
};

class ViewTracer {
public:
    /// `close_ups`, `leaf_look`: null where they are not wanted. `is_fine`: pictures' detail is wanted.
    ViewTracer(const Stage& stage, const std::vector<LitFixture>& fixtures, const Camera& camera,
               double ambient_lx, const BouncedLight& bounced, const RayKernel& seen,
               const CloseUps* close_ups, const LeafLook* leaf_look, bool is_fine, bool has_sun);

    /// Adds the samples first..last-1 of some pixels. `differs`: in how far a pixel's samples do.
    void trace(const std::vector<std::uint32_t>& pixels, std::size_t from, std::size_t to, int first,
               int last, std::vector<Sums>& sums, std::vector<std::uint8_t>& differs, ViewImage& image) const;

private:
    struct Range {
        float low = 2, high = -1;
        void add(float value) { low = std::min(low, value), high = std::max(high, value); }
        float width() const { return high - low; }
    };
    /// How a pixel's rays differ, as places on the screen.
    struct PixelRanges {
        Range night, day, fine;
        bool has_edges = false; ///< its close-ups have some
        int open = 0;           ///< rays that meet nothing
    };

    /// What a block of pixels meets.
    struct Block {
        std::vector<ShadingPoint> spots;
        std::vector<SpotRay> rays; ///< those of a spot one after the other
        std::vector<PixelRanges> ranges;
        std::vector<CloseUp> close_ups;
        CloseUps::Points points;
        std::vector<Arrival> arrivals;
        std::vector<int> mirrors;  ///< one a close-up: place in `mirrored`; -1: none
        std::vector<Returned> far; ///< one a close-up: what the mirrored ray brings that meets nothing
        std::vector<ShadingPoint> mirrored; ///< what mirrored rays meet
        std::vector<SpotRay> mirrored_rays; ///< one each
    };

    std::vector<Hit> find_hits(const std::vector<glm::vec3>& directions) const;
    /// On to what lies behind, where a ray passes between the blades of a leaf's outline.
    void look_past_leaves(const glm::vec3& direction, Hit& hit) const;
    /// The light of the sky or, below the horizon, of far ground: beyond the ground's rectangle.
    Returned far_light(const glm::vec3& direction) const;
    /// Something that eye rays met: an origin with their directions and hits.
    struct EyeRays {
        glm::vec3 origin;
        std::span<const glm::vec3> directions;
        std::span<const Hit> hits;
        glm::vec3 place_of(std::size_t i) const { return origin + hits[i].distance * directions[i]; }
    };
    /// Whether the light of one ray's place does for the other's: near to it on the same facet, and ground of
    /// one cover.
    bool are_alike(const EyeRays& rays, std::size_t a, std::size_t b) const;
    ShadingPoint make_spot(std::size_t pixel, const glm::vec3& position, const glm::vec3& direction,
                           const Hit& hit) const;
    /// What a pixel's rays met, those alike as one, and the light of the sky or far ground where they met
    /// nothing. `first`: number of the first.
    void begin(std::uint32_t pixel, std::size_t place, int first, const EyeRays& rays,
               std::vector<Sums>& sums, Block& block, ViewImage& image) const;
    void look_into_mirror(const ShadingPoint& spot, const SpotRay& ray, const CloseUp& close_up,
                          Block& block) const;
    /// What comes back from a spot whose light is known, bounced light included.
    Returned find_returned(ShadingPoint& spot) const;
    /// Direct light on close-ups, and the sun's.
    static void light_close_ups(Block& block);
    bool is_on_opening(const ShadingPoint& spot) const;
    /// The bounced light round about on a door or a pane, which is known by fewer rays than that on walls and
    /// differs by chance from foot to foot: what changes over less than that is not shown.
    glm::vec3 find_smooth_bounce(const ShadingPoint& spot, const CloseUp& close_up) const;
    /// The same as find_returned, close by at one of its rays. `direct`: what of the spot's lux has been told
    /// apart by its ways. `smooth`: the smooth bounce about the spot, found for the first ray that asks.
    Returned find_fine(const ShadingPoint& spot, const SpotRay& ray, const glm::vec3& direct,
                       std::optional<glm::vec3>& smooth, Block& block) const;
    /// Ground that shows grass and grains; what its own light is looked through shows none.
    bool has_ground_look(const ShadingPoint& spot) const;
    GroundKind ground_kind_at(const glm::vec3& position) const;
    void finish(ShadingPoint& spot, Block& block, std::vector<Sums>& sums) const;

    const Stage& stage_;
    const RayKernel& seen_;
    const CloseUps* close_ups_; ///< null: not wanted
    const LeafLook* leaf_look_; ///< null: leaves as the stage has them
    bool is_fine_;              ///< pictures' detail is wanted
    FilteredTextures textures_;
    const Camera& camera_;
    float ambient_;
    const BouncedLight& bounced_;
    glm::vec3 sun_;
    int ground_;
    const Material* base_ = nullptr;           ///< of the ground; null: there is none
    GroundKind base_kind_ = GroundKind::water; ///< that a picture adds nothing to
    SpotLighter lighter_;
    RoundBounce round_bounce_;
};

} // namespace duskcast
