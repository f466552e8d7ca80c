#include "duskcast/power/crossings.hpp"

#include <fmt/format.h>

#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

constexpr double most_inside = 0.5; ///< metres: cables begin at walls
constexpr double step = 0.1;

/// Metres of a line within an outline, in steps.
double length_inside(const std::vector<glm::dvec2>& line, const std::vector<glm::dvec2>& outline) {
    double inside = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const double length = glm::distance(line[i], line[i + 1]);
        const int steps = static_cast<int>(length / step) + 1;
        for (int s = 0; s < steps; ++s)
            if (is_inside(outline, glm::mix(line[i], line[i + 1], (s + 0.5) / steps)))
                inside += length / steps;
    }
    return inside;
}

} // namespace

std::vector<Problem> find_crossings(const Site& site, const LoadReport& report) {
    struct Obstacle {
        std::string id;
        const std::vector<glm::dvec2>* outline;
    };
    std::vector<Obstacle> obstacles;
    for (const Wall& wall : site.walls)
        if (wall.closed)
            obstacles.push_back({wall.id, &wall.path});
    for (const GroundArea& area : site.ground.areas)
        if (area.kind == GroundKind::water)
            obstacles.push_back({area.id, &area.outline});
    std::vector<Problem> problems;
    for (std::size_t i = 0; i < report.runs.size(); ++i)
        for (const Obstacle& obstacle : obstacles) {
            double inside = 0;
            for (const CableLoad& cable : report.runs[i].cables)
                if (cable.part != CablePart::lead)
                    inside += length_inside(cable.course, *obstacle.outline);
            if (inside > most_inside)
                problems.push_back(
                    {Severity::warning,
                     {.path = fmt::format("network.runs[{}]", i)},
                     fmt::format("the cable of \"{}\" passes through \"{}\" for {}", report.runs[i].id,
                                 obstacle.id, print_length(inside, site.units)),
                     "lead it round"});
        }
    return problems;
}

} // namespace duskcast
