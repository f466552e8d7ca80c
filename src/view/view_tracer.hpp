#pragma once
// The rays of a picture's pixels, and the light that they bring.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
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
inline constexpr int all_samples = Sight::lens_samples;

/// Why a pixel takes more rays.
inline constexpr std::uint8_t differs_even = 1, differs_close_by = 2;

/// About the place of a luminance between the night picture's black and its white.
float place_on_screen(const glm::vec3& luminance);

struct LightSum {
    glm::vec3 luminance{0}, sky{0}, sun{0};
    int samples = 0;
    int open = 0; ///< of them met nothing

    void add(const glm::vec3& more, const glm::vec3& more_sky, const glm::vec3& more_sun) {
        luminance += more;
        sky += more_sky;
        sun += more_sun;
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

    /// Adds the samples first..last-1 of some pixels. True per pixel where its samples differ.
    void trace(const std::vector<std::uint32_t>& pixels, std::size_t from, std::size_t to, int first,
               int last, std::vector<Sums>& sums, std::vector<std::uint8_t>& differs, ViewImage& image) const;

private:
    /// What a block of pixels meets.
    struct Block {
        std::vector<ShadingPoint> spots;
        std::vector<CloseUp> close_ups;
        CloseUps::Points points;
        std::vector<Arrival> arrivals;
        std::vector<int> mirrors;  ///< one a close-up: place in `mirrored`; -1: none
        std::vector<Returned> far; ///< one a close-up: what the mirrored ray brings that meets nothing
        std::vector<ShadingPoint> mirrored; ///< what mirrored rays meet
    };

    std::vector<Hit> find_hits(const std::vector<glm::vec3>& directions) const;
    /// On to what lies behind, where a ray passes between the blades of a leaf's outline.
    void look_past_leaves(const glm::vec3& direction, Hit& hit) const;
    /// The light of the sky or, below the horizon, of far ground: beyond the ground's rectangle.
    Returned far_light(const glm::vec3& direction) const;
    /// `area`: square to the ray, for which it stands at a distance of one metre.
    ShadingPoint make_spot(std::size_t pixel, int sample, const glm::vec3& origin, const glm::vec3& direction,
                           const Hit& hit, float& area) const;
    /// What an eye ray met, or the light of the sky or far ground where it met nothing.
    void begin(std::uint32_t pixel, int sample, const glm::vec3& direction, const Hit& hit,
               std::vector<Sums>& sums, Block& block, ViewImage& image) const;
    void look_into_mirror(const ShadingPoint& spot, const CloseUp& close_up, Block& block) const;
    /// What comes back from a spot whose light is known, bounced light included.
    Returned find_returned(ShadingPoint& spot) const;
    /// Direct light on close-ups, and the sun's.
    static void light_close_ups(Block& block);
    /// The bounced light round about on a door or a pane, which is known by fewer rays than that on walls and
    /// differs by chance from foot to foot: what changes over less than that is not shown.
    glm::vec3 find_smooth_bounce(const ShadingPoint& spot, const CloseUp& close_up) const;
    /// The same as find_returned, close by. `direct`: what of the spot's lux has been told apart by its ways.
    Returned find_fine(const ShadingPoint& spot, const glm::vec3& direct, Block& block) const;
    /// Ground that shows grass and grains; what its own light is looked through shows none.
    bool has_ground_look(const ShadingPoint& spot) const;
    GroundKind ground_kind_at(const glm::vec3& position) const;
    void finish(ShadingPoint& spot, Block& block, std::vector<Sums>& sums,
                std::vector<std::uint8_t>& differs) const;

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
};

} // namespace duskcast
