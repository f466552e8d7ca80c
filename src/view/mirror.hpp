#pragma once
// What glass and water reflect as mirrors.

#include <glm/glm.hpp>

namespace duskcast {

inline constexpr double glass_index = 1.52, water_index = 1.33;

/// The share of unpolarised light that a face between air and a medium of refractive index `index` reflects,
/// `cosine` of the angle from square (Fresnel).
double face_reflection(double cosine, double index);

/// The same of a pane, with all that goes to and fro between its two faces: of each polarisation 2 R / (1 +
/// R). Glass takes no light away.
double pane_reflection(double cosine, double index);

/// How the water's surface slopes in x and y at a plan point: waves of 0.15 to 0.9 m with a slope of about
/// 0.03 in all (by eye). What is finer than `width` metres is left out.
glm::vec2 ripple_slope(const glm::vec2& at, float width);

} // namespace duskcast
