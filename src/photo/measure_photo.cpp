#include "duskcast/photo/measure_photo.hpp"

#include <array>
#include <cmath>
#include <fmt/format.h>
#include <functional>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"

namespace duskcast {
namespace {

std::optional<glm::dvec3> meet_plane(const Camera& camera, const glm::dvec2& pixel, const glm::dvec3& point,
                                     const glm::dvec3& normal) {
    const glm::dvec3 way = camera.direction_at(pixel);
    const double distance = glm::dot(point - camera.eye, normal) / glm::dot(way, normal);
    if (!(distance > 0 && distance < farthest_measured))
        return std::nullopt;
    return camera.eye + distance * way;
}

std::optional<double> height_over(const Camera& camera, const glm::dvec2& foot, const glm::dvec2& top,
                                  const ClickPlane& ground) {
    const auto stand = meet_plane(camera, foot, ground.point, ground.normal);
    if (!stand)
        return std::nullopt;
    const glm::dvec3 way = camera.direction_at(top);
    const glm::dvec2 across(way);
    if (!(glm::dot(across, across) > 1e-12))
        return std::nullopt;
    const double along = glm::dot(glm::dvec2(*stand - camera.eye), across) / glm::dot(across, across);
    if (!(along > 0))
        return std::nullopt;
    return camera.eye.z + along * way.z - stand->z;
}

std::optional<double> length_between(const Camera& camera, const glm::dvec2& from,
                                     const ClickPlane& from_plane, const glm::dvec2& to,
                                     const ClickPlane& to_plane) {
    const auto start = meet_plane(camera, from, from_plane.point, from_plane.normal);
    const auto end = meet_plane(camera, to, to_plane.point, to_plane.normal);
    if (!start || !end)
        return std::nullopt;
    return glm::distance(*start, *end);
}

std::optional<double> side_of(const Camera& camera, const glm::dvec2& foot, const glm::dvec2& side,
                              const ClickPlane& ground) {
    const auto stand = meet_plane(camera, foot, ground.point, ground.normal);
    if (!stand)
        return std::nullopt;
    const glm::dvec2 away = glm::dvec2(*stand) - glm::dvec2(camera.eye);
    if (!(glm::dot(away, away) > 1e-12))
        return std::nullopt;
    const auto place = meet_plane(camera, side, *stand, glm::dvec3(glm::normalize(away), 0));
    if (!place)
        return std::nullopt;
    return glm::distance(glm::dvec2(*place), glm::dvec2(*stand));
}

/// How much `value`, a function of the parameters and clicks, changes with each: central differences.
/// First the parameters, then the clicks' coordinates.
template <class Value, std::size_t clicks>
std::vector<Value> slopes_of(
    const CameraFit& fit, std::array<glm::dvec2, clicks> pixels, const Value& usual,
    const std::function<std::optional<Value>(const Camera&, const std::array<glm::dvec2, clicks>&)>& value) {
    CameraFit moved = fit;
    const auto slope = [&](double& input, double step) {
        const double middle = input;
        input = middle + step;
        const Value above = value(moved.camera(), pixels).value_or(usual);
        input = middle - step;
        const Value below = value(moved.camera(), pixels).value_or(usual);
        input = middle;
        return (above - below) / (2 * step);
    };
    std::vector<Value> slopes;
    for (double& parameter : moved.parameters)
        slopes.push_back(slope(parameter, 1e-5));
    for (glm::dvec2& pixel : pixels)
        for (int axis = 0; axis < 2; ++axis)
            slopes.push_back(slope(pixel[axis], 1e-3));
    return slopes;
}

/// Sum of a_i C_ij b_j over the parameters, and of the clicks' variances.
double spread(const CameraFit& fit, const std::vector<double>& a, const std::vector<double>& b) {
    const std::size_t count = fit.parameters.size();
    double sum = 0;
    for (std::size_t i = 0; i < count; ++i)
        for (std::size_t j = 0; j < count; ++j)
            sum += a[i] * fit.covariance[i * count + j] * b[j];
    for (std::size_t i = count; i < a.size(); ++i)
        sum += a[i] * b[i] * fit.click_px * fit.click_px;
    return sum;
}

} // namespace

std::vector<double> read_pixels(const std::string& text, std::size_t count) {
    std::vector<double> numbers;
    const std::vector<std::string> words = split(text, ',');
    for (const std::string& word : words) {
        double number = 0;
        const auto read = read_decimal(word, number);
        if (read.ec == std::errc() && read.ptr == word.data() + word.size() && std::isfinite(number))
            numbers.push_back(number);
    }
    if (numbers.size() != count || words.size() != count)
        refuse(fmt::format("\"{}\" is no place on a picture", text),
               count == 2 ? "give pixels right and down, such as 480,302"
                          : "give the pixels of its foot, then of its top, such as 127,491,144,30");
    return numbers;
}

double MeasuredPlace::deviation(const glm::dvec3& way) const {
    return std::sqrt(std::max(0.0, glm::dot(way, covariance * way)));
}

std::optional<MeasuredPlace> measure_on_plane(const CameraFit& fit, const glm::dvec2& pixel,
                                              const glm::dvec3& point, const glm::dvec3& normal) {
    const auto place = meet_plane(fit.camera(), pixel, point, normal);
    if (!place)
        return std::nullopt;
    const auto slopes =
        slopes_of<glm::dvec3, 1>(fit, {pixel}, *place, [&](const Camera& camera, const auto& at) {
            return meet_plane(camera, at[0], point, normal);
        });
    MeasuredPlace found{.place = *place};
    std::array<std::vector<double>, 3> by_axis;
    for (const glm::dvec3& slope : slopes)
        for (int axis = 0; axis < 3; ++axis)
            by_axis[static_cast<std::size_t>(axis)].push_back(slope[axis]);
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j)
            found.covariance[i][j] =
                spread(fit, by_axis[static_cast<std::size_t>(i)], by_axis[static_cast<std::size_t>(j)]);
    return found;
}

std::optional<MeasuredHeight> measure_height(const CameraFit& fit, const glm::dvec2& foot,
                                             const glm::dvec2& top, const ClickPlane& ground) {
    const Camera camera = fit.camera();
    const auto height = height_over(camera, foot, top, ground);
    if (!height)
        return std::nullopt;
    const auto slopes =
        slopes_of<double, 2>(fit, {foot, top}, *height, [&](const Camera& moved, const auto& at) {
            return height_over(moved, at[0], at[1], ground);
        });
    return MeasuredHeight{.foot = *meet_plane(camera, foot, ground.point, ground.normal),
                          .height = *height,
                          .deviation = std::sqrt(spread(fit, slopes, slopes))};
}

std::optional<MeasuredLength> measure_length(const CameraFit& fit, const glm::dvec2& from,
                                             const ClickPlane& from_plane, const glm::dvec2& to,
                                             const ClickPlane& to_plane) {
    const auto length = length_between(fit.camera(), from, from_plane, to, to_plane);
    if (!length)
        return std::nullopt;
    const auto slopes =
        slopes_of<double, 2>(fit, {from, to}, *length, [&](const Camera& moved, const auto& at) {
            return length_between(moved, at[0], from_plane, at[1], to_plane);
        });
    return MeasuredLength{*length, std::sqrt(spread(fit, slopes, slopes))};
}

std::optional<MeasuredLength> measure_side(const CameraFit& fit, const glm::dvec2& foot,
                                           const glm::dvec2& side, const ClickPlane& ground) {
    const auto length = side_of(fit.camera(), foot, side, ground);
    if (!length)
        return std::nullopt;
    const auto slopes =
        slopes_of<double, 2>(fit, {foot, side}, *length, [&](const Camera& moved, const auto& at) {
            return side_of(moved, at[0], at[1], ground);
        });
    return MeasuredLength{*length, std::sqrt(spread(fit, slopes, slopes))};
}

} // namespace duskcast
