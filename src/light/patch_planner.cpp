#include "patch_planner.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "duskcast/base/random.hpp"
#include "duskcast/base/text.hpp"
#include "grid_edges.hpp"

namespace duskcast {

namespace {

/// Facets whose plane differs by less are one flat part.
constexpr double same_normal = 1e-3;
constexpr double same_plane = 2e-3;

constexpr double near_ground = 3;      ///< metres round what is built where the ground's patches are even
constexpr double largest_growth = 100; ///< of patches, where there are too many

/// Faces at least this large are looked at for where they stand on others, m2.
constexpr double least_barrier = 0.1;

} // namespace

void Patches::Planner::plan() {
    group_triangles();
    find_built();
    for (std::size_t f = 0; f < plans_.size(); ++f)
        find_standings(f);
    for (double size = options_.size;; size *= 1.1) {
        size_ = size;
        for (std::size_t f = 0; f < plans_.size(); ++f)
            lay_edges(f);
        // A mesh of many parts has one patch at least on each.
        if (count_cells() <= options_.most_flat || size > largest_growth * options_.size)
            break;
    }
}

void Patches::Planner::group_triangles() {
    const std::size_t count = facets_.size();
    patches_.face_of_.assign(count, -1);
    patches_.sides_of_.assign(count, {});
    using Key = std::tuple<int, int, bool, long, long, long, long>;
    std::map<Key, std::vector<std::size_t>> groups;
    for (std::size_t facet = 0; facet < count; ++facet) {
        const FacetCorners corners = facets_.corners(facet);
        const glm::dvec3 doubled = corners.normal();
        if (!(glm::length(doubled) > 0))
            continue;
        const glm::dvec3 normal = glm::normalize(doubled);
        const glm::dvec3 rounded = glm::round(normal / same_normal);
        const Triangles& triangles = facets_.triangles(facet);
        const std::size_t i = facets_.index(facet);
        groups[{triangles.surface[i], triangles.material[i], facets_.has_back(facet),
                static_cast<long>(rounded.x), static_cast<long>(rounded.y), static_cast<long>(rounded.z),
                std::lround(glm::dot(normal, corners.a) / same_plane)}]
            .push_back(facet);
    }
    for (auto& [key, facets] : groups) {
        const auto& [surface, material, is_two_sided, x, y, z, plane] = key;
        std::uint64_t seed =
            join_seeds(hash_of(stage_.surfaces[surface].id), hash_of(stage_.materials[material].name));
        for (const long part : {x, y, z, plane})
            seed = join_seeds(seed, static_cast<std::uint64_t>(part));
        plan_face(facets, seed);
    }
}

void Patches::Planner::plan_face(std::vector<std::size_t>& facets, std::uint64_t seed) {
    Plan plan;
    Face face;
    face.seed = seed;
    face.normal = glm::normalize(facets_.corners(facets.front()).normal());
    const bool is_level = std::abs(face.normal.z) > 0.999;
    // Nearly eastwards, in the plane itself.
    const glm::dvec3 east = glm::dvec3(1, 0, 0) - face.normal.x * face.normal;
    face.across =
        is_level ? glm::normalize(east) : glm::normalize(glm::cross(glm::dvec3(0, 0, 1), face.normal));
    face.upward = glm::cross(face.normal, face.across);
    face.origin = facets_.corners(facets.front()).a;
    for (const std::size_t facet : facets) {
        const FacetCorners corners = facets_.corners(facet);
        plan.area += glm::length(corners.normal()) / 2;
        for (const glm::dvec3& corner : {corners.a, corners.b, corners.c}) {
            const glm::dvec2 at(glm::dot(corner - face.origin, face.across),
                                glm::dot(corner - face.origin, face.upward));
            plan.low = glm::min(plan.low, at);
            plan.high = glm::max(plan.high, at);
        }
    }
    if (plan.area < 0.5 * options_.size * options_.size)
        return;
    plan.is_ground = facets_.is_ground(facets.front());
    plan.is_along_plan = plan.is_ground && is_level;
    plan.has_back = facets_.has_back(facets.front());
    for (const std::size_t facet : facets)
        patches_.face_of_[facet] = static_cast<std::int32_t>(plans_.size());
    plan.facets = std::move(facets);
    plan.open_share = find_open_share(plan, face.normal);
    plans_.push_back(std::move(plan));
    patches_.faces_.push_back(std::move(face));
}

double Patches::Planner::find_open_share(const Plan& plan, const glm::dvec3& normal) const {
    constexpr double area_a_look = 0.1; // m2
    constexpr double most_looks = 64;   // a facet
    double open = 0;
    for (const std::size_t facet : plan.facets) {
        const FacetCorners corners = facets_.corners(facet);
        const double own = glm::length(corners.normal()) / 2;
        const auto looks = static_cast<int>(std::clamp(own / area_a_look, 1.0, most_looks));
        for (int k = 0; k < looks; ++k) {
            double a = static_cast<double>(wrap_unit(0.5 + k * plastic_step));
            double b = static_cast<double>(wrap_unit(0.5 + k * other_plastic_step));
            if (a + b > 1) { // the other half of the parallelogram
                a = 1 - a;
                b = 1 - b;
            }
            const glm::dvec3 spot = corners.a + a * (corners.b - corners.a) + b * (corners.c - corners.a);
            if (!bodies_.contain(step_off(glm::vec3(spot), glm::vec3(normal))))
                open += own / looks;
        }
    }
    return open / plan.area;
}

void Patches::Planner::lay_edges(std::size_t index) {
    const Plan& plan = plans_[index];
    Face& face = patches_.faces_[index];
    if (plan.is_along_plan) {
        const glm::dvec2 origin(glm::dot(face.origin, face.across), glm::dot(face.origin, face.upward));
        const auto lay = [&](int axis) {
            return graded_edges(plan.low[axis], plan.high[axis],
                                {built_low_[axis] - origin[axis] - near_ground,
                                 built_high_[axis] - origin[axis] + near_ground},
                                size_);
        };
        face.u = lay(0);
        face.v = lay(1);
    } else {
        face.u = even_edges(plan.low.x, plan.high.x, size_);
        face.v = even_edges(plan.low.y, plan.high.y, size_);
    }
    for (const Standing& standing : plan.standings)
        put_edge(standing.axis == 0 ? face.u : face.v, static_cast<float>(standing.at));
    face.barriers.clear();
    for (const Standing& standing : plan.standings) {
        const std::vector<float>& edges = standing.axis == 0 ? face.u : face.v;
        const auto edge = std::lower_bound(edges.begin(), edges.end(), standing.at - 2e-3);
        face.barriers.push_back(
            {standing.axis, static_cast<std::size_t>(edge - edges.begin()), standing.from, standing.to});
    }
}

void Patches::Planner::find_built() {
    const auto grow = [&](const glm::dvec3& point) {
        built_low_ = glm::min(built_low_, glm::dvec2(point));
        built_high_ = glm::max(built_high_, glm::dvec2(point));
    };
    for (std::size_t facet = 0; facet < patches_.face_of_.size(); ++facet) {
        if (facets_.is_ground(facet))
            continue;
        const FacetCorners corners = facets_.corners(facet);
        for (const glm::dvec3& corner : {corners.a, corners.b, corners.c})
            grow(corner);
    }
    for (std::size_t leaf = 0; leaf < stage_.leaves.size(); ++leaf)
        grow(glm::dvec3(stage_.leaves.centre(leaf)));
    for (const GroundCover& cover : stage_.ground_areas)
        for (const glm::dvec2& point : cover.outline)
            grow(glm::dvec3(point, 0));
    if (!(built_low_.x <= built_high_.x))
        built_low_ = built_high_ = glm::dvec2(0);
}

void Patches::Planner::find_standings(std::size_t index) {
    Plan& plan = plans_[index];
    const Face& face = patches_.faces_[index];
    for (std::size_t other = 0; other < plans_.size(); ++other) {
        if (other == index || std::min(plan.area, plans_[other].area) < least_barrier ||
            plans_[other].is_ground)
            continue;
        const Face& wall = patches_.faces_[other];
        if (std::abs(glm::dot(wall.normal, face.normal)) > 0.9)
            continue;
        const glm::dvec3 line = glm::normalize(glm::cross(wall.normal, face.normal));
        const int axis = std::abs(glm::dot(line, face.upward)) > 0.9999   ? 0
                         : std::abs(glm::dot(line, face.across)) > 0.9999 ? 1
                                                                          : -1;
        if (axis < 0)
            continue;
        const glm::dvec3& step = axis == 0 ? face.across : face.upward;
        const double at = glm::dot(wall.origin - face.origin, wall.normal) / glm::dot(step, wall.normal);
        if (at < plan.low[axis] + 1e-3 || at > plan.high[axis] - 1e-3)
            continue;
        // Over which stretch, and whether it stands on this face or passes by it.
        double from = 1e30, to = -1e30, lowest = 1e30, highest = -1e30;
        for (const std::size_t facet : plans_[other].facets) {
            const FacetCorners corners = facets_.corners(facet);
            for (const glm::dvec3& corner : {corners.a, corners.b, corners.c}) {
                const glm::dvec3 way = corner - face.origin;
                const double height = glm::dot(way, face.normal);
                lowest = std::min(lowest, height);
                highest = std::max(highest, height);
                const double along = glm::dot(way, axis == 0 ? face.upward : face.across);
                from = std::min(from, along);
                to = std::max(to, along);
            }
        }
        if (lowest > 0.05 || highest < 0.05)
            continue;
        plan.standings.push_back({axis, at, from, to});
    }
}

std::uint64_t Patches::Planner::count_cells() const {
    std::uint64_t count = 0;
    for (std::size_t f = 0; f < plans_.size(); ++f) {
        const Face& face = patches_.faces_[f];
        // A slender triangle fills little of its rectangle.
        const glm::dvec2 size = plans_[f].high - plans_[f].low;
        const double filled = std::min(1.0, plans_[f].area / std::max(1e-9, size.x * size.y));
        const double cells = static_cast<double>(face.columns()) * static_cast<double>(face.rows());
        count +=
            static_cast<std::uint64_t>(cells * filled * plans_[f].open_share) * (plans_[f].has_back ? 2 : 1);
    }
    return count;
}

} // namespace duskcast
