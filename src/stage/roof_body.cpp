#include "roof_body.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/colour.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

constexpr int texels = 128; // of a repeat, both ways
constexpr int in_a_row = 8; // pieces and courses of a repeat

constexpr double least_height = 1e-5; // metres of a triangle

/// A polygon without corners that are one.
std::vector<glm::dvec2> without_doubles(const std::vector<glm::dvec2>& polygon) {
    std::vector<glm::dvec2> points;
    for (const glm::dvec2& point : polygon)
        if (points.empty() || glm::distance(points.back(), point) > 1e-6)
            points.push_back(point);
    while (points.size() > 1 && glm::distance(points.front(), points.back()) < 1e-6)
        points.pop_back();
    return points;
}

void add_fan(Triangles& triangles, const std::vector<glm::dvec3>& corners, std::uint16_t material,
             std::uint16_t surface) {
    for (std::size_t i = 1; i + 1 < corners.size(); ++i) {
        const glm::dvec3 a = corners[0], b = corners[i], c = corners[i + 1];
        const double longest = std::max({glm::distance(a, b), glm::distance(b, c), glm::distance(c, a)});
        if (glm::length(glm::cross(b - a, c - a)) < least_height * longest) // an edge of no height
            continue;
        const auto first = static_cast<unsigned>(triangles.vertices.size());
        for (const glm::dvec3& corner : {a, b, c})
            triangles.vertices.emplace_back(corner);
        triangles.add({first, first + 1, first + 2}, material, surface, true);
    }
}

/// How a covering looks: how unlike its pieces are, how dark the joints, and what shape a piece has across.
struct CourseLook {
    glm::dvec2 size;  ///< metres of a repeat
    double unlike;    ///< of a piece's reflectance, either way
    double butt;      ///< what is left of it under the edge of the course above
    double joint;     ///< what is left of it between two pieces
    double bulge;     ///< 0 flat, 1 as round as a barrel
    bool has_courses; ///< else it runs up the slope in one
};

CourseLook look_of(RoofCover cover) {
    // Courses as they show: shingles 5 in, slates 8 in, tiles 13 in, seams 16 in apart (common practice, no
    // source); the rest by eye.
    switch (cover) {
    case RoofCover::shingle:
        return {{2.4, 8 * 5 * metres_per_inch}, 0.22, 0.55, 0.75, 0, true};
    case RoofCover::slate:
        return {{2.4, 8 * 8 * metres_per_inch}, 0.20, 0.50, 0.60, 0, true};
    case RoofCover::tile:
        return {{2.0, 8 * 13 * metres_per_inch}, 0.12, 0.45, 0.55, 0.6, true};
    case RoofCover::metal:
        break;
    }
    return {{8 * 16 * metres_per_inch, 2}, 0, 1, 0.5, 0, false};
}

/// Reflectance against the brightest, 0..1.
double shade_at(const CourseLook& look, int column, int row, std::uint64_t seed) {
    constexpr int piece = texels / in_a_row;
    const int course = row / piece;
    const int shifted = (column + (look.has_courses && course % 2 == 1 ? piece / 2 : 0)) % texels;
    const int number = shifted / piece, in_piece = shifted % piece, up = row % piece;
    const double chance =
        static_cast<double>(
            mix_bits(join_seeds(seed, static_cast<std::uint64_t>(course * in_a_row + number))) >> 11) *
        0x1p-53;
    double shade = 1 - look.unlike + look.unlike * (look.has_courses ? chance : 1);
    const double off = (in_piece + 0.5) / piece * 2 - 1;
    shade *= 1 - look.bulge * off * off;
    if (in_piece == 0)
        shade *= look.joint;
    if (look.has_courses && up >= piece - 2)
        shade *= look.butt;
    return shade;
}

Texture draw_courses(RoofCover cover) {
    const CourseLook look = look_of(cover);
    Texture courses{.width = texels, .height = texels};
    for (int row = 0; row < texels; ++row)
        for (int column = 0; column < texels; ++column) {
            const double shade = shade_at(look, column, row, static_cast<std::uint64_t>(cover));
            const auto code = static_cast<std::uint8_t>(std::lround(255 * encode_srgb(shade)));
            courses.rgba.insert(courses.rgba.end(), {code, code, code, 255});
        }
    return courses;
}

} // namespace

void add_body(BodyMaker& maker, const std::vector<glm::dvec2>& polygon, const HeightPlane& lower,
              const HeightPlane& upper, const BodyLook& look) {
    const std::vector<glm::dvec2> plan = without_doubles(polygon);
    if (plan.size() < 3 || signed_area(plan) < 1e-4)
        return;
    std::vector<glm::dvec3> low, high;
    for (const glm::dvec2& point : plan) {
        low.emplace_back(point, std::min(lower.at(point), upper.at(point)));
        high.emplace_back(point, upper.at(point));
    }
    Triangles& triangles = maker.triangles;
    const std::size_t first_face = triangles.size();
    const auto first = triangles.vertices.size();
    add_fan(triangles, high, look.top, maker.top_surface);
    triangles.uv.resize(first, glm::vec2(0)); // what came before may have none
    const double up_the_slope = std::sqrt(1 + glm::dot(upper.gradient, upper.gradient));
    const glm::dvec2 inward(-look.across.y, look.across.x);
    for (std::size_t i = first; i < triangles.vertices.size(); ++i) {
        const glm::dvec2 point(triangles.vertices[i]);
        triangles.uv.emplace_back(glm::dvec2(glm::dot(point - upper.origin, look.across),
                                             glm::dot(point - upper.origin, inward) * up_the_slope) /
                                  look.course_size);
    }
    maker.covered += signed_area(plan) * up_the_slope;
    for (std::size_t i = 0; i < plan.size(); ++i) {
        const std::size_t next = (i + 1) % plan.size();
        add_fan(triangles, {low[i], low[next], high[next], high[i]}, look.sides, maker.side_surface);
    }
    std::reverse(low.begin(), low.end());
    add_fan(triangles, low, look.bottom, maker.side_surface);
    triangles.close_body(first_face);
}

void add_shaft(Triangles& triangles, const glm::dvec3& foot, const glm::dvec3& head, double foot_radius,
               double head_radius, int sides, double turn, std::uint16_t material, std::uint16_t surface) {
    const std::size_t first_face = triangles.size();
    std::vector<glm::dvec3> low, high;
    for (int i = 0; i < sides; ++i) {
        const double angle = turn + 2 * pi * i / sides;
        const glm::dvec3 way(std::cos(angle), std::sin(angle), 0);
        low.push_back(foot + foot_radius * way);
        high.push_back(head + head_radius * way);
    }
    for (std::size_t i = 0; i < low.size(); ++i) {
        const std::size_t next = (i + 1) % low.size();
        add_fan(triangles, {low[i], low[next], high[next], high[i]}, material, surface);
    }
    add_fan(triangles, high, material, surface);
    std::reverse(low.begin(), low.end());
    add_fan(triangles, low, material, surface);
    triangles.close_body(first_face);
}

glm::dvec2 course_size(RoofCover cover) {
    return look_of(cover).size;
}

glm::dvec3 mean_albedo(const Texture& texture) {
    glm::dvec3 sum(0);
    for (int row = 0; row < texture.height; ++row)
        for (int column = 0; column < texture.width; ++column)
            sum += glm::dvec3(
                texture.albedo((static_cast<float>(column) + 0.5f) / static_cast<float>(texture.width),
                               (static_cast<float>(row) + 0.5f) / static_cast<float>(texture.height)));
    return sum / (static_cast<double>(texture.width) * texture.height);
}

Material cover_material(Stage& stage, const Roof& roof) {
    const Finish finish = roof.finish ? *roof.finish : finish_of(roof.cover);
    stage.textures.push_back(draw_courses(roof.cover));
    return {.name = finish.name,
            .reflectance = glm::vec3(finish.reflectance / mean_albedo(stage.textures.back()).x),
            .texture = static_cast<int>(stage.textures.size()) - 1};
}

} // namespace duskcast
