#pragma once
// Boards on walls, shutters and the number of the house: how large they are, of what they are made.

#include <glm/glm.hpp>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// The most figures that a house number may have.
inline constexpr std::size_t most_figures = 6;

/// Of one leaf: two close the opening.
double shutter_width(const Opening& opening);

/// How far its casing and shutters reach on either side.
double reach_beside(const Opening& opening);

/// Its own, or dark green paint.
Finish shutter_finish_of(const Opening& opening);

/// Of corner boards, frieze and the number's plate: its own, or old white paint.
Finish trim_of(const Wall& wall);

/// The plate that the figures are on.
glm::dvec2 plate_size(const HouseNumber& number);

/// Width and gap of a figure, by its height (common practice, no source).
inline constexpr double figure_width = 0.6, figure_gap = 0.22;

} // namespace duskcast
