#pragma once
// What a site's photo says of its camera, and what clicks on it measure.

#include <filesystem>

#include "duskcast/photo/measure_photo.hpp"
#include "duskcast/photo/photo_file.hpp"

namespace duskcast {

struct PhotoReport {
    std::string id;
    PhotoInfo info;
    std::optional<double> focal_35mm; ///< that was told, by the site or by the file
    CameraFit fit;
};

/// Finds the camera of a photo of the site. Throws InputError, with the photo's place in the site file where
/// it is about the marks.
PhotoReport measure_photo(const Site& site, const Photo& photo, const std::filesystem::path& folder);

/// The same where the file has been read.
PhotoReport measure_photo(const Site& site, const Photo& photo, const PhotoInfo& info);

/// Where a mark of a photo is, metres.
glm::dvec3 place_of(const Site& site, const PhotoMark& mark);

/// A photo's length with its plane.
TapedLength tape_of(const Site& site, const PhotoLength& length);

struct ClickOnWall {
    std::string wall;
    double along = 0, up = 0;                     ///< metres, of the run and above the foot
    double along_deviation = 0, up_deviation = 0; ///< standard deviations
};

/// What a click may mean: the nearest wall within whose outline it falls, and the ground. A click on the wall
/// is on the ground only behind it, so that the ground is left out where the wall is nearer. On the upright
/// side of a terrace a click is on neither.
struct Click {
    glm::dvec2 pixel{0};
    std::optional<ClickOnWall> on_wall;
    std::optional<MeasuredPlace> on_ground;
};
Click measure_click(const Site& site, const CameraFit& fit, const glm::dvec2& pixel);

/// The plane of the ground under a click, or as many metres above it. None where the click is on no ground.
std::optional<ClickPlane> find_ground(const Ground& ground, const CameraFit& fit, const glm::dvec2& pixel,
                                      double above = 0);

/// A click taken to lie on that wall, past its outline too: on the first of its faces that turns to the
/// camera and has it, else on the nearest end of one. None where the line of sight meets none of them.
std::optional<ClickOnWall> measure_on_wall(const Wall& wall, const CameraFit& fit, const glm::dvec2& pixel);

/// The plane of a wall's face at a place along its run.
ClickPlane plane_of(const Wall& wall, double along);

} // namespace duskcast
