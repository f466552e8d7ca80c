#pragma once
// The camera that took a photo, found from marks: places on the property and where they fall on the picture.

#include <glm/glm.hpp>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "duskcast/view/camera.hpp"

namespace duskcast {

/// A place that somebody pointed at on the picture.
struct Mark {
    std::string id;        ///< what messages call it
    glm::dvec2 pixel{0};   ///< from the upper left corner
    glm::dvec3 place{0};   ///< metres
    glm::dvec3 stretch{0}; ///< metres; where a length is not known the mark lies at place + s stretch
};

/// A length between two pixels which lie on a known plane.
struct TapedLength {
    std::string id;
    glm::dvec2 from{0}, to{0};   ///< pixels
    glm::dvec3 point{0};         ///< of the plane, metres
    glm::dvec3 normal{0, -1, 0}; ///< unit
    double length = 0;           ///< metres
};

/// What is known of the camera besides its marks.
struct LensKnown {
    std::optional<double> focal_px;   ///< focal length in pixels as the file tells it, within 3 %
    std::optional<double> eye_height; ///< metres above z = 0, within 0.25 m; absent: 1.6 m
    bool is_cropped = false; ///< the axis may be off the picture's middle, by a tenth of its width or so
};

/// The camera as the parameters that are sought.
class CameraModel {
public:
    CameraModel(glm::ivec2 size, bool has_axis, bool has_distortion, bool has_stretch);

    enum Parameter { eye_x, eye_y, eye_z, azimuth, pitch, roll, log_focal, always };

    int parameter_count() const { return count_; }
    Camera camera(std::span<const double> parameters) const;
    double stretch(std::span<const double> parameters) const; ///< s of the marks; 1 where all is known
    glm::ivec2 size() const { return size_; }
    int axis() const { return axis_; } ///< index of the axis' offset right, then down, in widths; -1: none
    int distortion() const { return distortion_; } ///< index; -1: none
    int stretch_index() const { return stretch_; } ///< index of log s; -1: none

private:
    glm::ivec2 size_;
    int axis_ = -1, distortion_ = -1, stretch_ = -1, count_ = always;
};

struct MarkFit {
    std::string id;
    glm::dvec2 off_px{0};    ///< the mark less where its place falls
    double off_m = 0;        ///< that at the mark's distance, metres across the line of sight
    double without_px = 0;   ///< pixels off a camera found without it
    double without_m = 0;    ///< that at the mark's distance, metres across the line of sight
    bool is_suspect = false; ///< it is far off what the others agree on
};

struct LengthFit {
    std::string id;
    double off_px = 0;       ///< the length on the picture less what it should be there, pixels
    double off_m = 0;        ///< that as the camera has it on its plane, metres
    double without_m = 0;    ///< metres off a camera found without it
    bool is_suspect = false; ///< it is far off what all else agrees on
};

struct CameraFit {
    CameraModel model;
    std::vector<double> parameters; ///< of the model; angles in radians, azimuth clockwise from north, pitch
                                    ///< above level, roll counter-clockwise as the photographer sees it
    std::vector<double> covariance; ///< of the parameters, row by row; 1.645 deviations hold nine in ten
    double click_px = 1;            ///< standard deviation of a click: what is usual, and how the marks agree
    std::vector<MarkFit> marks;
    std::vector<LengthFit> lengths;
    bool is_flat = false; ///< all marks lie in one plane: only perspective tells how far off it is

    Camera camera() const { return model.camera(parameters); }
    double deviation(int parameter) const; ///< standard deviation, in the parameter's unit
};

/// Least squares over the marks' distances on the picture, with a robust loss and what is known as further
/// observations, by Levenberg's and Marquardt's method from several sides and angles of view (Hartley and
/// Zisserman 2004, A6). A click is good to 1 pixel in 960, those at the ends of a length too: its logarithm
/// to sqrt(2) clicks of its pixels, which is exact square to the line of sight and near enough elsewhere.
/// Throws InputError where marks are too few, lie on one line or outside the picture, where the picture is
/// mirrored, and where the camera's place stays unknown; it says which further mark would settle that.
CameraFit fit_camera(glm::ivec2 size, std::span<const Mark> marks, const LensKnown& known,
                     std::span<const TapedLength> lengths = {});

} // namespace duskcast
