// How wood grows to the leaves, and how thick it is.

#include <algorithm>
#include <cmath>
#include <limits>

#include "plant_plan.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_nodes = 6000;

/// What it takes to reach a target from a node: the way, and more where the limb could not climb as it likes.
double effort_of(const glm::dvec3& way, double rise) {
    const double too_flat = rise * std::hypot(way.x, way.y) - way.z;
    return glm::length(way) + 0.7 * std::max(0.0, too_flat);
}

struct WoodTarget {
    glm::dvec3 at{0};
    int node = 0; ///< reaches it with the least effort
    double effort = std::numeric_limits<double>::infinity();
};

} // namespace

void grow_wood(std::vector<WoodNode>& wood, const std::vector<glm::dvec3>& targets, double step, double rise,
               double lowest) {
    std::vector<WoodTarget> open;
    for (const glm::dvec3& target : targets)
        open.push_back({target});
    const double reached = 1.2 * step;
    std::size_t known = 0; // nodes that the targets have been shown
    while (!open.empty() && wood.size() < most_nodes) {
        for (; known < wood.size(); ++known) {
            if (wood[known].at.z < lowest)
                continue;
            for (WoodTarget& target : open)
                if (const double effort = effort_of(target.at - wood[known].at, rise);
                    effort < target.effort) {
                    target.effort = effort;
                    target.node = static_cast<int>(known);
                }
        }
        std::erase_if(open, [&](const WoodTarget& target) {
            return glm::distance(target.at, wood[static_cast<std::size_t>(target.node)].at) < reached;
        });
        struct Pull {
            glm::dvec3 sum{0};
            const WoodTarget* nearest = nullptr;
        };
        std::vector<Pull> pulls(wood.size());
        for (const WoodTarget& target : open) {
            Pull& pull = pulls[static_cast<std::size_t>(target.node)];
            pull.sum += glm::normalize(target.at - wood[static_cast<std::size_t>(target.node)].at);
            if (!pull.nearest || target.effort < pull.nearest->effort)
                pull.nearest = &target;
        }
        for (std::size_t node = 0; node < pulls.size(); ++node) {
            if (!pulls[node].nearest)
                continue;
            const glm::dvec3 from = wood[node].at, wanted = pulls[node].nearest->at;
            glm::dvec3 next = from + step * glm::normalize(wanted - from);
            // Where the mean leads past the nearest target, two targets would draw to and fro for ever.
            if (glm::length(pulls[node].sum) > 1e-6) {
                const glm::dvec3 mean = from + step * glm::normalize(pulls[node].sum);
                if (effort_of(wanted - mean, rise) < effort_of(wanted - from, rise) - 0.3 * step)
                    next = mean;
            }
            wood.push_back({next, static_cast<int>(node)});
        }
    }
}

void set_radii(std::vector<WoodNode>& wood, double stem_radius) {
    constexpr double power = 2.3;
    std::vector<double> carried(wood.size(), 0.0);
    for (std::size_t i = wood.size(); i-- > 0;) {
        if (carried[i] == 0)
            carried[i] = 1; // a tip
        if (wood[i].parent >= 0)
            carried[static_cast<std::size_t>(wood[i].parent)] += carried[i];
    }
    std::vector<double> of_stem(wood.size());
    for (std::size_t i = 0; i < wood.size(); ++i) {
        of_stem[i] = wood[i].parent < 0 ? carried[i] : of_stem[static_cast<std::size_t>(wood[i].parent)];
        wood[i].radius = stem_radius * std::pow(carried[i] / of_stem[i], 1 / power);
    }
}

} // namespace duskcast
