#pragma once
// What of a plan's lines and areas lies within a window, in page pixels.

#include <optional>
#include <vector>

#include "duskcast/draw/canvas.hpp"

namespace duskcast {

struct LinePiece {
    std::vector<glm::dvec2> points;
    bool is_closed = false;
};

/// The pieces of a line inside a window, none of them closed; without a window the line as it is.
std::vector<LinePiece> cut_to_window(const std::vector<glm::dvec2>& points, bool is_closed,
                                     const std::optional<Box>& window);

/// The part of an area inside a window; without one the area as it is. Of an area that is not convex, edges
/// along the window's rim may join its parts.
std::vector<glm::dvec2> cut_area(const std::vector<glm::dvec2>& points, const std::optional<Box>& window);

/// A circle as a polygon that is a circle to the eye.
std::vector<glm::dvec2> ring_of(const glm::dvec2& middle, double radius);

} // namespace duskcast
