#pragma once
// Bodies that are round about an upright axis.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A ring of points about `centre`, raised by z, counter-clockwise seen from above.
std::vector<glm::dvec3> ring_about(const glm::dvec3& centre, double radius, double z, int count);

/// Faces between two rings of as many points, looking outwards where the first is the lower one; those of no
/// size at a pole are three-cornered.
void add_band(const std::vector<glm::dvec3>& low, const std::vector<glm::dvec3>& high,
              std::vector<GlowFace>& faces);

/// A stretch of an outline: distance from the axis and z, from below outside upwards.
using TurnedLine = std::vector<glm::dvec2>;

/// The stretches of an outline between its sharp corners, each with its softer bends rounded off.
std::vector<TurnedLine> part_at_corners(const TurnedLine& outline);

/// The triangles of a stretch turned about the axis. They share their vertices, so that pictures can show the
/// stretch as round.
void add_turned(const TurnedLine& line, const glm::dvec2& axis, int count, std::uint16_t material,
                std::uint16_t surface, Triangles& triangles);

/// A fan of triangles for each face, which looks to the side from which its corners run counter-clockwise.
void add_faces(const std::vector<GlowFace>& faces, std::uint16_t material, std::uint16_t surface,
               Triangles& triangles);

} // namespace duskcast
