#pragma once
// Surfaces finer than their facets, as pictures show them: courses of brick, boards, frames, glass. Light on
// sensors, figures and maps know nothing of it.

#include <glm/glm.hpp>
#include <memory>
#include <vector>

#include "duskcast/site/layout.hpp"

namespace duskcast {

/// What a spot of such a surface is.
struct ReliefSpot {
    glm::vec3 reflectance{0}; ///< linear sRGB; 0 of glass
    bool is_glass = false;
    glm::vec3 room{0}; ///< behind glass: what a curtain or a dark room reflects
    float glow = 1;    ///< of the pane's own light, as a factor whose mean over the opening is 1
};

/// A height field with colours over a face, (u, v) in metres as it is unfolded.
class Relief {
public:
    /// `depth`: of its lowest places, metres. `course`: over how many metres it repeats by and large, such as
    /// from one course of brick to the next; 0: never, and it has no mean.
    Relief(float depth, float course) : depth_(depth), course_(course) {}
    virtual ~Relief() = default;

    /// Metres out from the face, -depth() to 0.
    virtual float height(const glm::vec2& at) const = 0;
    virtual ReliefSpot spot(const glm::vec2& at) const = 0;

    /// How many metres round there nothing throws a shadow that matters, such as within the face of a brick.
    virtual float clearance(const glm::vec2& /*at*/) const { return 0; }

    /// How wide the joints are between what stands out, metres; 0: it has none that hold light.
    virtual float joint() const { return 0; }

    /// The height and how it changes with u and v over a millimetre.
    struct Slant {
        float height;
        glm::vec2 slope;
    };
    Slant slant(const glm::vec2& at) const;

    float depth() const { return depth_; }
    float course() const { return course_; }

private:
    float depth_, course_;
};

/// A wall's cladding. The mean of its reflectance over some square metres is `reflectance` (linear sRGB).
std::shared_ptr<const Relief> make_cladding(Cladding cladding, const glm::vec3& reflectance);

struct OpeningLook {
    OpeningStyle style = OpeningStyle::plain;
    Room room = Room::dark;
    glm::vec2 size{0};        ///< width and height, metres
    glm::vec3 reflectance{0}; ///< of what is neither glass nor trim: a door's leaf; its mean
    glm::vec3 trim{0};        ///< of frame and sashes
};
/// (0, 0) is the opening's lower left corner seen from outside.
std::shared_ptr<const Relief> make_opening(const OpeningLook& look);

/// Where a surface of the stage has a relief.
struct ReliefArea {
    int surface = 0;             ///< index into Stage::surfaces
    std::vector<RunSegment> run; ///< u and v count along it and up from `foot`
    double foot = 0;
    std::vector<glm::dvec2> outline{}; ///< only there, in (u, v); empty: everywhere
    std::shared_ptr<const Relief> relief;
};

} // namespace duskcast
