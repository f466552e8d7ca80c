#include "duskcast/view/fixture_bodies.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

constexpr int round_sides = 20;
constexpr double stake_radius = 0.009, knuckle_radius = 0.014, bracket_radius = 0.008; // metres, by eye

/// Reflectance by eye; weathered, so that matt is nearly right.
glm::vec3 reflectance_of(BodyFinish finish) {
    switch (finish) {
    case BodyFinish::bronze:
        return {0.105f, 0.075f, 0.052f};
    case BodyFinish::black:
        return glm::vec3(0.035f);
    case BodyFinish::brass:
        return {0.36f, 0.26f, 0.11f};
    case BodyFinish::copper:
        return {0.36f, 0.19f, 0.11f};
    }
    return glm::vec3(0.1f);
}

/// Adds parts of one fixture. Places are in its own frame (aim.hpp): the lens at the origin, the beam towards
/// -z.
class BodyBuilder {
public:
    BodyBuilder(const Site& site, const Fixture& fixture, Triangles& facets)
        : site_(site), fixture_(fixture), placed_(place_fixture(site, fixture)),
          world_from_own_(world_from_fixture(placed_.aim)), lens_radius_(lens_diameter_of(fixture, 0) / 2),
          finish_(static_cast<std::uint16_t>(fixture.finish)), facets_(facets) {}

    void build() {
        switch (fixture_.kind) {
        case FixtureKind::path:
            build_path_light();
            break;
        case FixtureKind::in_ground:
            build_well();
            break;
        case FixtureKind::wash:
            build_wash();
            hold(0.03);
            break;
        case FixtureKind::uplight:
        case FixtureKind::bullet:
        case FixtureKind::downlight:
            hold(build_can());
            break;
        }
    }

private:
    struct Ring {
        double z, radius;
    };

    /// A surface of revolution about the beam's axis, between `from` and `to` of a full turn from C0.
    void add_turned(const std::vector<Ring>& rings, double from = 0, double to = 2 * pi) {
        for (std::size_t i = 0; i + 1 < rings.size(); ++i)
            for (int side = 0; side < round_sides; ++side) {
                const auto at = [&](const Ring& ring, int step) {
                    const double angle = from + (to - from) * step / round_sides;
                    return to_world({ring.radius * std::cos(angle), ring.radius * std::sin(angle), ring.z});
                };
                add_quad({at(rings[i], side), at(rings[i], side + 1), at(rings[i + 1], side + 1),
                          at(rings[i + 1], side)});
            }
    }

    /// A rod between two places of the world, thinner towards `to` where its end says so.
    void add_rod(const glm::dvec3& from, const glm::dvec3& to, double radius, double end_radius) {
        constexpr int sides = 10;
        const glm::dvec3 way = to - from;
        if (glm::length(way) < 1e-4)
            return;
        const glm::dvec3 axis = glm::normalize(way);
        const glm::dvec3 across = glm::normalize(
            glm::cross(axis, std::abs(axis.z) < 0.9 ? glm::dvec3(0, 0, 1) : glm::dvec3(1, 0, 0)));
        const glm::dvec3 other = glm::cross(axis, across);
        for (int side = 0; side < sides; ++side) {
            const auto off = [&](int step, double at) {
                const double angle = 2 * pi * step / sides;
                return at * (std::cos(angle) * across + std::sin(angle) * other);
            };
            add_quad({from + off(side, radius), from + off(side + 1, radius), to + off(side + 1, end_radius),
                      to + off(side, end_radius)});
        }
    }

    void add_quad(const std::array<glm::dvec3, 4>& corners) {
        const auto first = static_cast<unsigned>(facets_.vertices.size());
        for (const glm::dvec3& corner : corners)
            facets_.vertices.emplace_back(corner);
        for (const glm::uvec3 corner : {glm::uvec3(0, 1, 2), glm::uvec3(0, 2, 3)}) {
            const glm::dvec3 &a = corners[corner.x], &b = corners[corner.y], &c = corners[corner.z];
            if (glm::length(glm::cross(b - a, c - a)) > 1e-9)
                facets_.add(first + corner, finish_, 0, false);
        }
    }

    glm::dvec3 to_world(const glm::dvec3& own) const { return placed_.position + world_from_own_ * own; }

    double ground() const { return placed_.position.z - fixture_.lens_height; }

    /// A can with its hood or shroud. Where it is held: metres behind the lens.
    double build_can() {
        const double radius = std::max(1.25 * lens_radius_, 0.022), length = std::max(2.6 * radius, 0.075);
        add_turned({{0, 0}, {0, radius}, {0.92 * length, radius}, {length, 0.72 * radius}, {length, 0}});
        if (fixture_.shroud_length > 0)
            add_turned({{0, radius}, {-fixture_.shroud_length, radius}});
        if (fixture_.hood_length > 0) // on the side away from what it leans to
            add_turned({{0, radius}, {-fixture_.hood_length, radius}}, pi / 2, 3 * pi / 2);
        return 0.6 * length;
    }

    void build_wash() {
        constexpr double wide = 0.09, high = 0.04, deep = 0.06; // half, half and whole, metres
        const auto at = [&](double x, double y, double z) { return to_world({x * high, y * wide, z}); };
        add_quad({at(-1, -1, 0), at(1, -1, 0), at(1, 1, 0), at(-1, 1, 0)});
        add_quad({at(-0.7, -1, deep), at(0.7, -1, deep), at(0.7, 1, deep), at(-0.7, 1, deep)});
        for (const double side : {-1.0, 1.0}) {
            add_quad({at(side, -1, 0), at(side, 1, 0), at(0.7 * side, 1, deep), at(0.7 * side, -1, deep)});
            add_quad({at(-1, side, 0), at(1, side, 0), at(0.7, side, deep), at(-0.7, side, deep)});
        }
        // A visor over the glass.
        add_quad({at(-1, -1, 0), at(-1, 1, 0), at(-1, 1, -0.035), at(-1, -1, -0.035)});
    }

    /// The rim of a well, level whatever the lamp's tilt, a little above the ground.
    void build_well() {
        const double inner = std::max(lens_radius_, 0.02) + 0.004, outer = 1.3 * inner + 0.012;
        const glm::dvec3 middle(placed_.position.x, placed_.position.y, std::max(0.0, ground()));
        for (int side = 0; side < 2 * round_sides; ++side) {
            const auto at = [&](double radius, double z, int step) {
                const double angle = pi * step / round_sides;
                return middle + glm::dvec3(radius * std::cos(angle), radius * std::sin(angle), z);
            };
            constexpr double high = 0.012, edge = 0.003;
            add_quad({at(outer, edge, side), at(outer, edge, side + 1), at(inner + 0.006, high, side + 1),
                      at(inner + 0.006, high, side)});
            add_quad({at(inner + 0.006, high, side), at(inner + 0.006, high, side + 1),
                      at(inner, edge, side + 1), at(inner, edge, side)});
        }
    }

    /// A hat over the lens and the stem that carries it.
    void build_path_light() {
        const double edge = fixture_.rim.diameter > 0 ? fixture_.rim.diameter / 2 : 0.09;
        const double below = fixture_.rim.diameter > 0 ? fixture_.rim.distance : 0.012;
        add_turned({{-below, edge},
                    {0.012 - 0.3 * below, 0.62 * edge},
                    {0.030, 0.26 * edge},
                    {0.036, 0.012},
                    {0.055, 0.009},
                    {0.060, 0}});
        add_rod({placed_.position.x, placed_.position.y, ground()}, to_world({0, 0, 0.03}), stake_radius,
                stake_radius);
        add_rod({placed_.position.x, placed_.position.y, ground()},
                {placed_.position.x, placed_.position.y, ground() + 0.02}, 0.03, 0.02);
    }

    /// A stake to the ground, a base on a terrace, or a bracket to wall or trunk.
    void hold(double behind) {
        const glm::dvec3 joint = to_world({0, 0, behind});
        const glm::dvec3 below(joint.x, joint.y, ground());
        switch (fixture_.mount) {
        case Mount::spike:
            add_rod(joint, {joint.x, joint.y, joint.z - 0.03}, knuckle_radius, knuckle_radius);
            add_rod(joint, below, stake_radius, stake_radius);
            add_rod(below, {below.x, below.y, below.z + 0.015}, 0.028, 0.018);
            break;
        case Mount::surface:
            add_rod(joint, below, knuckle_radius, knuckle_radius);
            add_rod(below, {below.x, below.y, below.z + 0.02}, 0.055, 0.05);
            break;
        case Mount::tree:
        case Mount::wall:
            if (const std::optional<glm::dvec2> support = find_support(glm::dvec2(joint))) {
                const glm::dvec3 end(*support, joint.z);
                add_rod(joint, end, bracket_radius, bracket_radius);
                add_rod(end, joint + (end - joint) * (1 - 0.02 / std::max(0.03, glm::distance(end, joint))),
                        0.04, 0.04);
            }
            break;
        }
    }

    /// Where a bracket meets the trunk or the wall's face, in the plan.
    std::optional<glm::dvec2> find_support(const glm::dvec2& from) const {
        if (const Tree* tree = find_tree(site_, fixture_.tree))
            return tree->at;
        const Wall* wall = find_wall(site_, fixture_.wall);
        if (!wall)
            return std::nullopt;
        const std::vector<RunSegment> run = run_of(*wall);
        const RunSegment& segment = segment_at(run, fixture_.along);
        return from - glm::dot(from - segment.start, segment.outward) * segment.outward;
    }

    const Site& site_;
    const Fixture& fixture_;
    PlacedFixture placed_;
    glm::dmat3 world_from_own_;
    double lens_radius_;
    std::uint16_t finish_;
    Triangles& facets_;
};

} // namespace

FixtureBodies build_fixture_bodies(const Site& site) {
    FixtureBodies bodies{.parts = std::make_unique<Stage>()};
    Stage& parts = *bodies.parts;
    for (const BodyFinish finish :
         {BodyFinish::bronze, BodyFinish::black, BodyFinish::brass, BodyFinish::copper})
        parts.materials.push_back({.name = "", .reflectance = reflectance_of(finish)});
    for (const Fixture& fixture : site.fixtures) {
        bodies.first.push_back(static_cast<std::uint32_t>(parts.opaque.size()));
        BodyBuilder(site, fixture, parts.opaque).build();
    }
    bodies.first.push_back(static_cast<std::uint32_t>(parts.opaque.size()));
    parts.kernel = std::make_unique<RayKernel>(parts.opaque, parts.cutouts, parts.leaves, parts.materials,
                                               parts.textures);
    return bodies;
}

} // namespace duskcast
