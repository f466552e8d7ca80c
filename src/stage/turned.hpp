#pragma once
// Bodies that are round about an upright axis.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A ring of points about `centre`, raised by z, counter-clockwise seen from above.
std::vector<glm::dvec3> ring_about(const glm::dvec3& centre, double radius, double z, int count);

/// A stretch of an outline: distance from the axis and z, from below outside upwards.
using TurnedLine = std::vector<glm::dvec2>;

/// The stretches of an outline between its sharp corners, each with its softer bends rounded off.
std::vector<TurnedLine> part_at_corners(const TurnedLine& outline);

/// The triangles of a stretch turned about the axis. They share their vertices, so that pictures can show the
/// stretch as round.
void add_turned(const TurnedLine& line, const glm::dvec2& axis, int count, std::uint16_t material,
                std::uint16_t surface, Triangles& triangles);

} // namespace duskcast
