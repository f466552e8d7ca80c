// Posts and rails are closed bodies, balusters tubes between the rails that hold them.

#include "railing.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "builder.hpp"

namespace duskcast {
namespace {

constexpr double post_into_floor = 0.01; ///< how far posts go into what they stand on

// Common practice, no source; balusters leave no more than 4 in between them (IRC R312.1.3, from memory).
constexpr double post_width = 3.5 * metres_per_inch, post_above = 1.5 * metres_per_inch;
constexpr double rail_width = 2.5 * metres_per_inch, rail_height = 1.5 * metres_per_inch;
constexpr double rail_from_foot = 3.5 * metres_per_inch;
constexpr double baluster_width = 1.25 * metres_per_inch, widest_gap = 4 * metres_per_inch;
constexpr double cross_bar_width = 0.5 * metres_per_inch;

/// A level or sloping bar between two places, one not above the other: its upper edge runs from `from` to
/// `to`.
struct Bar {
    glm::dvec3 from{0}, to{0};
    double width = 0, height = 0;
};

void add_bar(const Bar& bar, std::uint16_t material, std::uint16_t surface, Triangles& triangles) {
    const glm::dvec2 way = glm::normalize(glm::dvec2(bar.to - bar.from));
    const glm::dvec3 aside = bar.width / 2 * glm::dvec3(way.y, -way.x, 0), down(0, 0, -bar.height);
    add_box({bar.from + aside + down, bar.to + aside + down, bar.to - aside + down, bar.from - aside + down,
             bar.from + aside, bar.to + aside, bar.to - aside, bar.from - aside},
            material, surface, triangles);
}

/// Its sides along and across `way`.
void add_post(const glm::dvec3& foot, double height, const glm::dvec2& way, std::uint16_t material,
              std::uint16_t surface, Triangles& triangles) {
    const glm::dvec3 half(post_width / 2 * way, 0);
    add_bar({foot - half + glm::dvec3(0, 0, height), foot + half + glm::dvec3(0, 0, height), post_width,
             height + post_into_floor},
            material, surface, triangles);
}

/// The four sides of a baluster, whose ends are within rails.
void add_baluster(const glm::dvec3& foot, double height, const glm::dvec2& way, std::uint16_t material,
                  std::uint16_t surface, Triangles& triangles) {
    const glm::dvec2 along = baluster_width / 2 * way, aside(along.y, -along.x);
    const std::array<glm::dvec2, 4> corners{aside - along, aside + along, along - aside, -along - aside};
    for (std::size_t i = 0; i < 4; ++i) {
        const auto first = static_cast<unsigned>(triangles.vertices.size());
        const glm::dvec3 left = foot + glm::dvec3(corners[i], 0),
                         right = foot + glm::dvec3(corners[(i + 1) % 4], 0), up(0, 0, height);
        for (const glm::dvec3& corner : {left, right, right + up, left + up})
            triangles.vertices.emplace_back(corner);
        triangles.add({first, first + 1, first + 2}, material, surface, false);
        triangles.add({first, first + 2, first + 3}, material, surface, false);
    }
}

/// Between two posts.
void fill_bay(const glm::dvec3& from, const glm::dvec3& to, const RailingLook& look, std::uint16_t material,
              std::uint16_t surface, Triangles& triangles) {
    const glm::dvec2 way = glm::normalize(glm::dvec2(to - from));
    const auto raised = [](const glm::dvec3& point, double by) { return point + glm::dvec3(0, 0, by); };
    add_bar({raised(from, look.height), raised(to, look.height), rail_width, rail_height}, material, surface,
            triangles);
    if (look.form == RailingForm::bars) {
        const int count = std::max(
            1,
            static_cast<int>(std::ceil((look.height - rail_height) / (widest_gap + cross_bar_width) - 1e-6)) -
                1);
        for (int i = 1; i <= count; ++i) {
            const double up = (look.height - rail_height) * i / (count + 1) + cross_bar_width / 2;
            add_bar({raised(from, up), raised(to, up), cross_bar_width, cross_bar_width}, material, surface,
                    triangles);
        }
        return;
    }
    const double low = rail_from_foot;
    add_bar({raised(from, low), raised(to, low), rail_width, rail_height}, material, surface, triangles);
    const double open = glm::distance(glm::dvec2(from), glm::dvec2(to)) - post_width;
    const int count = static_cast<int>(std::ceil((open - widest_gap) / (widest_gap + baluster_width) - 1e-6));
    const double gap = (open - count * baluster_width) / (count + 1);
    for (int i = 0; i < count; ++i) {
        const double along = post_width / 2 + (i + 1) * gap + (i + 0.5) * baluster_width;
        const glm::dvec3 at = from + along / (open + post_width) * (to - from);
        const double foot = low - rail_height / 2;
        add_baluster(raised(at, foot), look.height - rail_height / 2 - foot, way, material, surface,
                     triangles);
    }
}

} // namespace

void build_railing(const std::vector<glm::dvec3>& line, const RailingLook& look, std::uint16_t material,
                   std::uint16_t surface, Triangles& triangles) {
    const glm::dvec3 below(0, 0, look.post_below);
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const glm::dvec2 across(line[i + 1] - line[i]);
        const double length = glm::length(across);
        if (!(length > 1e-6))
            continue;
        const glm::dvec2 way = across / length;
        const int bays = std::max(1, static_cast<int>(std::ceil(length / look.post_spacing - 1e-6)));
        const auto at = [&](int bay) {
            return line[i] + bay / static_cast<double>(bays) * (line[i + 1] - line[i]);
        };
        for (int bay = 0; bay < bays; ++bay) {
            // Where the line goes on, the next stretch has the post.
            add_post(at(bay) - below, below.z + look.height + post_above, way, material, surface, triangles);
            fill_bay(at(bay), at(bay + 1), look, material, surface, triangles);
        }
        if (i + 2 == line.size())
            add_post(line[i + 1] - below, below.z + look.height + post_above, way, material, surface,
                     triangles);
    }
}

} // namespace duskcast
