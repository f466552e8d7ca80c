#pragma once
// A photo with its camera is a tape measure: what a click says of a wall, the ground and things that stand.

#include <string>
#include <vector>

#include "duskcast/photo/fit_camera.hpp"

namespace duskcast {

inline constexpr double farthest_measured = 500; ///< metres; beyond is the horizon's trembling

struct MeasuredPlace {
    glm::dvec3 place{0};      ///< metres
    glm::dmat3 covariance{0}; ///< square metres: of the click and of the camera

    double deviation(const glm::dvec3& way) const; ///< metres along a unit direction
};

struct MeasuredHeight {
    glm::dvec3 foot{0};
    double height = 0;    ///< metres above the foot
    double deviation = 0; ///< metres
};

/// A plane that a click is taken to lie on.
struct ClickPlane {
    glm::dvec3 point{0};
    glm::dvec3 normal{0, 0, 1}; ///< unit
};

struct MeasuredLength {
    double length = 0;    ///< metres
    double deviation = 0; ///< metres
};

/// Pixels right and down, "480,302", or of a foot and a top, "480,302,495,71": `count` numbers, 2 or 4. Throws
/// InputError, its place left empty.
std::vector<double> read_pixels(const std::string& text, std::size_t count);

/// Where the line of sight through `pixel` meets the plane through `point`; none where it does not before the
/// eye, or only 500 m away and more.
std::optional<MeasuredPlace> measure_on_plane(const CameraFit& fit, const glm::dvec2& pixel,
                                              const glm::dvec3& point, const glm::dvec3& normal);

/// Of something upright whose foot stands on `ground`: the point of the upright nearest to
/// the line of sight through its top. None where the foot is not seen on the ground.
std::optional<MeasuredHeight> measure_height(const CameraFit& fit, const glm::dvec2& foot,
                                             const glm::dvec2& top, const ClickPlane& ground = {});

/// Between two clicks, each on its plane: what the camera has wrong for both alike does not count. None where
/// one of them does not meet its plane.
std::optional<MeasuredLength> measure_length(const CameraFit& fit, const glm::dvec2& from,
                                             const ClickPlane& from_plane, const glm::dvec2& to,
                                             const ClickPlane& to_plane);

/// How far to the side of something upright a click lies: on the upright plane through its foot, level across
/// the line of sight. For crowns, whose side is seen there.
std::optional<MeasuredLength> measure_side(const CameraFit& fit, const glm::dvec2& foot,
                                           const glm::dvec2& side, const ClickPlane& ground = {});

} // namespace duskcast
