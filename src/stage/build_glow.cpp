// Lanterns, and what else gives light of its own.

#include <algorithm>
#include <array>
#include <cmath>

#include "builder.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/finish.hpp"
#include "roof_body.hpp"
#include "turned.hpp"

namespace duskcast {

namespace {

constexpr int ball_rings = 8, ball_turns = 16, cylinder_sides = 24;

/// Faces between two rings, looking outwards; those of no size at a pole are three-cornered.
void add_band(const std::vector<glm::dvec3>& low, const std::vector<glm::dvec3>& high,
              std::vector<GlowFace>& faces) {
    const auto is_point = [](const std::vector<glm::dvec3>& ring) {
        return glm::distance(ring[0], ring[1]) < 1e-9;
    };
    for (std::size_t i = 0; i < low.size(); ++i) {
        const std::size_t next = (i + 1) % low.size();
        if (is_point(low))
            faces.emplace_back(std::vector{low[i], high[next], high[i]});
        else if (is_point(high))
            faces.emplace_back(std::vector{low[i], low[next], high[i]});
        else
            faces.emplace_back(std::vector{low[i], low[next], high[next], high[i]});
    }
}

std::vector<GlowFace> make_column(const std::vector<glm::dvec3>& low, const std::vector<glm::dvec3>& high) {
    std::vector<GlowFace> faces;
    add_band(low, high, faces);
    faces.emplace_back(std::vector(low.rbegin(), low.rend()));
    faces.emplace_back(high);
    return faces;
}

/// As large in area as the sphere.
std::vector<GlowFace> make_ball(const GlowBall& ball) {
    const auto faces_at = [&](double radius) {
        std::vector<GlowFace> faces;
        for (int ring = 0; ring < ball_rings; ++ring) {
            const auto at = [&](int index) {
                const double angle = pi * (index / static_cast<double>(ball_rings) - 0.5);
                const bool is_pole = index == 0 || index == ball_rings;
                return ring_about(ball.centre, is_pole ? 0 : radius * std::cos(angle),
                                  radius * std::sin(angle), ball_turns);
            };
            add_band(at(ring), at(ring + 1), faces);
        }
        return faces;
    };
    double area = 0;
    for (const GlowFace& face : faces_at(1))
        area += face.area;
    return faces_at(ball.radius * std::sqrt(4 * pi / area));
}

std::vector<GlowFace> make_faces(const Lantern& lantern, const PlacedLantern& placed) {
    const glm::dvec3 half = size_of(lantern) / 2.0;
    switch (lantern.form) {
    case LanternForm::sphere:
        return make_ball({placed.position, half.x});
    case LanternForm::cylinder:
        return make_column(ring_about(placed.position, half.x, -half.z, cylinder_sides),
                           ring_about(placed.position, half.x, half.z, cylinder_sides));
    case LanternForm::box:
        break;
    }
    const glm::dvec3 across = half.x * glm::dvec3(placed.across, 0);
    const glm::dvec3 inward = half.y * glm::dvec3(-placed.across.y, placed.across.x, 0);
    const auto at = [&](double z) {
        const glm::dvec3 middle = placed.position + glm::dvec3(0, 0, z);
        return std::vector{middle - across - inward, middle + across - inward, middle + across + inward,
                           middle - across + inward};
    };
    return make_column(at(-half.z), at(half.z));
}

/// A pole below the lantern, or beside it with an arm that ends within it.
void add_pole(const Lantern& lantern, const PlacedLantern& placed, std::uint16_t material,
              std::uint16_t surface, Triangles& triangles) {
    constexpr int sides = 12;
    constexpr double into_what_it_stands_on = 0.3, into_lantern = 0.01;
    const Pole& pole = *lantern.pole;
    const double height = size_of(lantern).z, low = pole.foot - into_what_it_stands_on;
    if (!(pole.arm > 0)) {
        add_shaft(triangles, {glm::dvec2(placed.position), low},
                  placed.position + glm::dvec3(0, 0, into_lantern - height / 2), pole.diameter / 2,
                  pole.diameter / 2, sides, 0, material, surface);
        return;
    }
    const double thick = std::min(0.6 * pole.diameter, 0.5 * height);
    const glm::dvec2 way(std::sin(pole.arm_azimuth), std::cos(pole.arm_azimuth));
    const glm::dvec2 at = glm::dvec2(placed.position) - pole.arm * way;
    const double top = placed.position.z + thick; // the pole ends a little above its arm
    add_shaft(triangles, {at, low}, {at, top}, pole.diameter / 2, 0.35 * pole.diameter, sides, 0, material,
              surface);
    const glm::dvec2 aside = thick / 2 * glm::dvec2(way.y, -way.x), end(placed.position);
    std::array<glm::dvec3, 8> corners;
    const std::array<glm::dvec2, 4> around{at + aside, end + aside, end - aside, at - aside};
    for (std::size_t i = 0; i < 4; ++i) {
        corners[i] = {around[i], placed.position.z - thick / 2};
        corners[i + 4] = {around[i], placed.position.z + thick / 2};
    }
    add_box(corners, material, surface, triangles);
}

} // namespace

GlowFace::GlowFace(std::vector<glm::dvec3> points) : corners(std::move(points)) {
    // A fan of triangles, of which those that lie outside count as less than nothing.
    glm::dvec3 twice(0);
    for (std::size_t i = 1; i + 1 < corners.size(); ++i)
        twice += glm::cross(corners[i] - corners[0], corners[i + 1] - corners[0]);
    area = glm::length(twice) / 2;
    centre = corners[0];
    if (!(area > 0))
        return;
    normal = glm::normalize(twice);
    for (std::size_t i = 1; i + 1 < corners.size(); ++i) {
        const glm::dvec3 first = corners[i] - corners[0], second = corners[i + 1] - corners[0];
        centre += glm::dot(glm::cross(first, second), normal) / (6 * area) * (first + second);
    }
    for (const glm::dvec3& corner : corners)
        reach = std::max(reach, glm::distance(corner, centre));
}

double GlowSource::lumens() const {
    return pi * area * luminance_of(luminance);
}

std::uint16_t StageBuilder::add_material(const Finish& finish, const std::optional<Glow>& glow, double area) {
    Material material{.name = finish.name, .reflectance = glm::vec3(finish.reflectance)};
    if (glow && area > 0)
        material.luminance = glm::vec3(light_colour(glow->cct) *
                                       glow->luminance.value_or(glow->lumens.value_or(0) / (pi * area)));
    return add_material(material);
}

void StageBuilder::add_glow_source(std::uint16_t surface, std::uint16_t material, std::vector<GlowFace> faces,
                                   const std::optional<GlowBall>& ball, std::vector<glm::dvec3> aperture) {
    const glm::dvec3 luminance(stage.materials[material].luminance);
    if (luminance == glm::dvec3(0))
        return;
    GlowSource source{.surface = surface,
                      .faces = std::move(faces),
                      .ball = ball,
                      .aperture = std::move(aperture),
                      .luminance = luminance};
    for (const GlowFace& face : source.faces)
        source.area += face.area;
    stage.glow_sources.push_back(std::move(source));
}

void StageBuilder::build_lanterns() {
    for (const Lantern& lantern : site.lanterns) {
        const PlacedLantern placed = place_lantern(site, lantern);
        const std::uint16_t surface = add_surface(lantern.id, SurfaceKind::lantern, lantern.id);
        const std::vector<GlowFace> all = make_faces(lantern, placed);
        std::vector<GlowFace> faces;
        for (const GlowFace& face : all)
            if (!lantern.is_hooded || face.normal.z < -0.5)
                faces.push_back(face);
        double area = 0;
        Triangles& triangles = stage.opaque;
        for (const GlowFace& face : faces)
            area += face.area;
        const std::uint16_t material = add_material(lantern.finish, lantern.glow, area);
        const std::uint16_t dark =
            lantern.is_hooded || lantern.pole
                ? add_material(lantern.pole ? lantern.pole->finish : make_finish("slate dark"))
                : material;
        for (const GlowFace& face : all) {
            const auto first = static_cast<unsigned>(triangles.vertices.size());
            for (const glm::dvec3& corner : face.corners)
                triangles.vertices.emplace_back(corner);
            for (unsigned i = 1; i + 1 < face.corners.size(); ++i)
                triangles.add({first, first + i, first + i + 1},
                              lantern.is_hooded && !(face.normal.z < -0.5) ? dark : material, surface, true);
        }
        if (lantern.pole)
            add_pole(lantern, placed, dark,
                     add_surface(lantern.id + ".pole", SurfaceKind::lantern, lantern.id), triangles);
        stage.surfaces[surface].area = area;
        add_glow_source(surface, material, faces,
                        lantern.form == LanternForm::sphere
                            ? std::optional(GlowBall{placed.position, lantern.width / 2})
                            : std::nullopt);
    }
}

} // namespace duskcast
