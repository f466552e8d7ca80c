#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/view/camera.hpp"

namespace duskcast {
namespace {

[[noreturn]] void fail(const View& view, std::string_view what, std::string_view remedy) {
    throw InputError(
        Problem{.what = fmt::format("view {}: {}", view.id, what), .remedy = std::string(remedy)});
}

constexpr float least_eye_distance = 0.02f; ///< metres: nearer, a picture is one blur of brick
constexpr int field_rays = 9;               ///< each way over the field of view

/// Whether a ray met a side that no light belongs to.
bool is_back(const Stage& stage, const Hit& hit, const glm::vec3& direction) {
    return hit && glm::dot(hit.normal, direction) > 0 && !stage.is_two_sided(hit.kind, hit.facet);
}

struct Surroundings {
    int rays = 0, solid_backs = 0;       ///< in all directions; backs of closed bodies
    int level_rays = 0, level_backs = 0; ///< all but level ones: a house of sheets has no roof
    float nearest = 1e30f;               ///< metres to what is not a leaf
};

/// Along axes, edges' and corners' middles of a cube, slightly aslant so as not to run along edges.
Surroundings look_round(const Stage& stage, const glm::dvec3& eye) {
    Surroundings found;
    for (int x = -1; x <= 1; ++x)
        for (int y = -1; y <= 1; ++y)
            for (int z = -1; z <= 1; ++z) {
                if (x == 0 && y == 0 && z == 0)
                    continue;
                const glm::vec3 direction =
                    glm::normalize(glm::vec3(x, y, z) + glm::vec3(0.0073f, 0.0111f, 0.0057f));
                const Hit hit = stage.kernel->find_hit(glm::vec3(eye), direction, 0, 1e4f);
                const bool is_behind = is_back(stage, hit, direction);
                ++found.rays;
                found.solid_backs +=
                    is_behind && hit.kind == FacetKind::opaque && stage.opaque.solid[hit.facet] ? 1 : 0;
                found.level_rays += z == 0 ? 1 : 0;
                found.level_backs += z == 0 && is_behind ? 1 : 0;
                if (hit && hit.kind != FacetKind::leaf)
                    found.nearest = std::min(found.nearest, hit.distance);
            }
    return found;
}

} // namespace

glm::dvec3 Camera::direction_at(const glm::dvec2& place) const {
    const glm::dvec2 seen = (place - 0.5 * glm::dvec2(width, height) - axis_offset) / pixels_per_tangent;
    glm::dvec2 true_tangents = seen;
    if (distortion != 0) {
        // s r with s (1 + k s^2 r^2) = 1, by Newton's method.
        const double bend = distortion * glm::dot(seen, seen);
        double share = 1;
        for (int step = 0; step < 20; ++step) {
            const double square = bend * share * share, slope = 1 + 3 * square;
            if (!(slope > 1e-3)) // beyond the edge of what such a lens shows
                break;
            const double change = (share * (1 + square) - 1) / slope;
            share -= change;
            if (std::abs(change) < 1e-13)
                break;
        }
        true_tangents = share * seen;
    }
    return glm::normalize(forward + true_tangents.x * right - true_tangents.y * up);
}

std::optional<glm::dvec2> Camera::project(const glm::dvec3& point) const {
    const glm::dvec3 way = point - eye;
    const double depth = glm::dot(way, forward);
    if (!(depth > 1e-6))
        return std::nullopt;
    const glm::dvec2 tangents = glm::dvec2(glm::dot(way, right), -glm::dot(way, up)) / depth;
    return 0.5 * glm::dvec2(width, height) + axis_offset +
           pixels_per_tangent * (1 + distortion * glm::dot(tangents, tangents)) * tangents;
}

double Camera::solid_angle_at(const glm::dvec2& place) const {
    // A pixel is a flat facet at unit depth: area cos / d2, d = 1 / cos. The lens stretches it by
    // 1 + k t^2 across and by 1 + 3 k t^2 along the radius.
    const double cosine = glm::dot(direction_at(place), forward);
    const double bend = distortion * (1 / (cosine * cosine) - 1);
    return cosine * cosine * cosine / (pixels_per_tangent * pixels_per_tangent * (1 + bend) * (1 + 3 * bend));
}

Camera make_camera(const View& view, int width, int height) {
    if (width < 1 || height < 1)
        fail(view, "a picture needs pixels", "give width and height above 0");
    if (!(view.field_of_view > 0 && view.field_of_view < pi - 1e-9))
        fail(view, fmt::format("a field of view of {} is no picture", print_angle(view.field_of_view)),
             "give the full horizontal angle, above 0 and below 180 degrees");
    const glm::dvec3 way = view.look_at - view.eye;
    if (!(glm::length(way) > 1e-6))
        fail(view, "the eye is where it looks at", "move eye or look_at");
    Camera camera{.width = width, .height = height, .eye = view.eye};
    camera.forward = glm::normalize(way);
    const glm::dvec3 zenith =
        std::abs(camera.forward.z) > 1 - 1e-9 ? glm::dvec3(0, 1, 0) : glm::dvec3(0, 0, 1);
    camera.right = glm::normalize(glm::cross(camera.forward, zenith));
    camera.up = glm::cross(camera.right, camera.forward);
    camera.pixels_per_tangent = 0.5 * width / std::tan(view.field_of_view / 2);
    return camera;
}

void check_eye(const Stage& stage, const View& view) {
    if (view.eye.z < 0)
        fail(view, "the eye lies below the ground", "raise it above z = 0");
    const Surroundings all_round = look_round(stage, view.eye);
    if (all_round.nearest < least_eye_distance)
        fail(view, "the eye touches a wall or another surface", "move it an inch away at the least");
    // From outside nothing is seen of a closed body's back. One that stands against a wall and in the ground,
    // such as a bay, lacks two faces.
    if (3 * all_round.solid_backs > all_round.rays || all_round.level_backs == all_round.level_rays)
        fail(view, "the eye is inside a wall or another body", "move it outside");
    // Behind a front that stands alone: a view of the back of sheets, which no light comes to.
    const Camera camera = make_camera(view, field_rays, field_rays);
    int backs = 0;
    for (int y = 0; y < field_rays; ++y)
        for (int x = 0; x < field_rays; ++x) {
            const glm::vec3 direction(camera.direction_at({x + 0.5, y + 0.5}));
            backs +=
                is_back(stage, stage.kernel->find_hit(glm::vec3(view.eye), direction, 0, 1e4f), direction);
        }
    if (4 * backs > 3 * field_rays * field_rays)
        fail(view, "the eye is behind a wall and sees nothing but its back",
             "move it to the outside, the right hand of somebody who walks along the wall's path");
}

glm::dvec3 sun_direction(const Camera& camera) {
    const glm::dvec2 level(camera.forward);
    const double length = glm::length(level);
    const glm::dvec2 ahead = length > 1e-6 ? level / length : glm::dvec2(camera.up);
    const double turn = radians_from_degrees(40), high = radians_from_degrees(40);
    const glm::dvec2 left(-ahead.y, ahead.x);
    const glm::dvec2 towards = -std::cos(turn) * ahead + std::sin(turn) * left;
    return {std::cos(high) * towards.x, std::cos(high) * towards.y, std::sin(high)};
}

} // namespace duskcast
