#pragma once
// Surfaces as an eye sees them close by: what their reliefs do to light, averaged over a pixel.

#include <cstdint>
#include <glm/glm.hpp>
#include <map>
#include <memory>
#include <vector>

#include "duskcast/stage/stage.hpp"
#include "round_look.hpp"

namespace duskcast {

/// Light on a relief beside that on its flat face. Frames are (u, v, out).
class ReliefLight {
public:
    explicit ReliefLight(const Relief& relief);

    struct Point {
        glm::vec2 at;
        float height;
        glm::vec2 slope;
    };
    Point point(const glm::vec2& at) const {
        const Relief::Slant slant = relief_.slant(at);
        return {at, slant.height, slant.slope};
    }

    /// How many times as much as the flat face, which is upright, the point gets of light that comes evenly
    /// from all sides, and from the sky.
    struct Openness {
        float round_about = 1, sky = 1;
    };
    Openness openness(const Point& point) const;

    /// How many times the flat face's lux falls there, as that is seen from straight before. `way`: from the
    /// flat face to the light, metres, out > 0; places that lie deeper have another way. `is_cast`: with the
    /// shadows that the relief throws on itself.
    float gain(const Point& point, const glm::vec3& way, bool is_cast = true) const;

    /// The mean of reflectance times gain over the relief, by its mean reflectance.
    glm::vec3 mean_gain(const glm::vec3& way) const;

    /// Lux that the relief throws into its own joints, beside what falls on its flat face: what of the light
    /// its other parts give back, on the share of what lies before the point that they take up. `mean_gain`:
    /// for the way to the light.
    glm::vec3 thrown(const Point& point, const glm::vec3& mean_gain) const;

    bool has_mean() const { return !gains_.empty(); }
    const Relief& relief() const { return relief_; }
    const glm::vec3& mean_reflectance() const { return mean_; }
    /// The mean of openness, each point by its reflectance.
    const Openness& mean_openness() const { return mean_openness_; }

private:
    bool is_shadowed(const Point& point, const glm::vec3& towards) const;

    static constexpr int turns = 16, rises = 10; ///< directions whose means are kept
    const Relief& relief_;
    glm::vec3 mean_{0};
    float mean_height_ = 0;
    Openness mean_openness_;
    std::vector<glm::vec3> gains_; ///< by rise, then by turn; empty: it has no mean
};

/// What a pixel's ray meets, where pictures show more than a facet.
struct CloseUp {
    const ReliefLight* relief = nullptr;
    std::uint32_t first = 0, count = 0; ///< of the points that stand for it
    float fade = 0;                     ///< towards the relief's mean, 0..1
    glm::vec3 across{1, 0, 0}, out{0, 0, 1};
    std::optional<glm::vec3> round; ///< of a round thing: its normal there; `out` is the facet's
    glm::vec3 reflectance{0};       ///< of what is not glass
    glm::vec3 even{0}, sky{0};      ///< the same for light from all sides and from the sky, by openness
    glm::vec3 room{0};              ///< what is seen through glass reflects, losses in the glass included
    float glow = 1;                 ///< factor of the facet's own luminance
    bool is_sharp = false;          ///< it has edges that take more rays, as frames have
    float mirror = 0;               ///< share of the light from where the mirrored ray comes
    glm::vec3 mirrored{0, 0, 1};
    glm::vec3 lit{0}, sun{0}; ///< light times reflectance, straight from its sources
};

/// The reliefs of a stage, ready.
class CloseUps {
public:
    explicit CloseUps(const Stage& stage);

    /// Whether the site has anything to show close by.
    bool is_empty() const { return by_surface_.empty() && !has_water_ && round_.is_empty(); }

    struct Points {
        std::vector<ReliefLight::Point> places;
        std::vector<glm::vec3> reflectances;
    };

    /// False where there is nothing beyond the facet. `area`: m2 of it that the ray stands for.
    /// `reflectance`: the facet's. `share`: of the points that the area takes, where others share it.
    bool find(const Hit& hit, const glm::vec3& position, const glm::vec3& direction, float area,
              const glm::vec3& reflectance, float share, CloseUp& found, Points& points) const;

    /// Light of that many lux on the flat facet, times what it returns. `way`: to where it comes from,
    /// metres.
    static glm::vec3 light(const CloseUp& close_up, const Points& points, const glm::vec3& lux,
                           const glm::vec3& way, bool is_cast);

private:
    const ReliefArea* find_area(int surface, const glm::vec3& position, glm::dvec2& at) const;
    void look_at_relief(const ReliefLight& light, const glm::vec2& at, float width, long least_points,
                        float share, float cosine, CloseUp& found, Points& points) const;

    const Stage& stage_;
    std::vector<std::vector<const ReliefArea*>> by_surface_;
    std::map<const Relief*, std::unique_ptr<ReliefLight>> lights_;
    RoundLook round_;
    bool has_water_ = false;
};

} // namespace duskcast
