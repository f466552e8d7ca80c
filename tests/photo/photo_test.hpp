#pragma once
// An invented house front to point cameras at: 52 ft wide, a peak of 23 ft, a walk before it.

#include <random>

#include "duskcast/base/units.hpp"
#include "duskcast/photo/measure_photo.hpp"

namespace duskcast::test {

inline glm::dvec3 feet(double x, double y, double z) {
    return glm::dvec3(x, y, z) * metres_per_foot;
}

/// A camera of which nothing is in doubt but what the test adds: a click is good to a pixel.
inline CameraFit certain_fit(glm::ivec2 size, const glm::dvec3& eye, double azimuth_deg, double pitch_deg,
                             double roll_deg, double focal_px) {
    CameraFit fit{.model = CameraModel(size, false, false, false)};
    fit.parameters = {eye.x,
                      eye.y,
                      eye.z,
                      radians_from_degrees(azimuth_deg),
                      radians_from_degrees(pitch_deg),
                      radians_from_degrees(roll_deg),
                      std::log(focal_px)};
    fit.covariance.assign(fit.parameters.size() * fit.parameters.size(), 0);
    return fit;
}

/// The covariance of a camera of which one parameter is uncertain.
inline void set_deviation(CameraFit& fit, int parameter, double deviation) {
    fit.covariance[static_cast<std::size_t>(parameter) * (fit.parameters.size() + 1)] = deviation * deviation;
}

/// A camera by its figures; level unless rolled.
inline Camera take_photo(glm::ivec2 size, const glm::dvec3& eye, double azimuth_deg, double pitch_deg,
                         double roll_deg, double focal_px) {
    return certain_fit(size, eye, azimuth_deg, pitch_deg, roll_deg, focal_px).camera();
}

/// Corners of windows and door, feet of the wall: what can be pointed at on the front, then two on the walk.
inline std::vector<glm::dvec3> front_places() {
    return {feet(4.5, 0, 2.75), feet(9, 0, 7.75), feet(17.5, 0, 0), feet(20.75, 0, 7), feet(34, 0, 11),
            feet(29, 0, 2.75),  feet(0, 0, 0),    feet(0, 0, 11),   feet(22, -14, 0),  feet(16, -22, 0)};
}

inline std::vector<Mark> mark(const Camera& camera, const std::vector<glm::dvec3>& places,
                              double noise_px = 0, std::mt19937_64* random = nullptr) {
    std::vector<Mark> marks;
    for (const glm::dvec3& place : places) {
        Mark made{
            .id = "m" + std::to_string(marks.size() + 1), .pixel = *camera.project(place), .place = place};
        if (random) {
            std::normal_distribution<double> click(0, noise_px);
            const double right = click(*random);
            made.pixel += glm::dvec2(right, click(*random));
        }
        marks.push_back(made);
    }
    return marks;
}

} // namespace duskcast::test
