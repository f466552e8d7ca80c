#pragma once
// The parts of a stage that give light of their own.

#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

namespace duskcast {

/// A flat polygon that gives light to one side. Need not be convex.
struct GlowFace {
    std::vector<glm::dvec3> corners; ///< counter-clockwise seen from that side
    glm::dvec3 normal{0, 0, 1};      ///< unit, to that side
    double area = 0;                 ///< m2
    glm::dvec3 centre{0};            ///< of gravity
    double reach = 0;                ///< from there to the farthest corner, metres

    explicit GlowFace(std::vector<glm::dvec3> points);
};

/// A sphere that faces stand for.
struct GlowBall {
    glm::dvec3 centre{0};
    double radius = 0;
};

/// A thing whose surface has the same luminance everywhere and to all sides (Lambert). Of several faces none
/// hides another from where that other's front is seen: the thing is convex.
struct GlowSource {
    int surface = 0; ///< index into Stage::surfaces
    std::vector<GlowFace> faces;
    std::optional<GlowBall> ball;
    std::vector<glm::dvec3> aperture; ///< convex, as corners of a face: from before it the thing is seen only
                                      ///< through it, such as a pane through its opening; empty: none
    double area = 0;                  ///< m2 of all faces
    glm::dvec3 luminance{0};          ///< cd/m2 per channel

    double lumens() const; ///< pi L A, by the luminance of the channels
};

} // namespace duskcast
