#include "duskcast/site/steps_plan.hpp"

#include <algorithm>
#include <cmath>

#include "direction.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

/// How far the middle of a railing stands in from the edge of the steps.
constexpr double railing_inset = 2.5 * metres_per_inch;

} // namespace

int count_steps(const Steps& steps) {
    constexpr double rounding = 1e-6;
    return std::max(1, static_cast<int>(std::ceil(steps.height / steps.riser - rounding)));
}

StepsPlan plan_steps(const Site& site, const Steps& steps) {
    StepsPlan plan{.foot = steps.foot};
    if (steps.at) {
        plan.head = *steps.at;
        plan.down = direction_of(steps.facing);
    } else {
        const Wall* wall = find_wall(site, steps.wall);
        if (!wall)
            throw InputError(Problem{.what = "the steps \"" + steps.id + "\" are at the wall \"" +
                                             steps.wall + "\", which does not exist",
                                     .remedy = "name a wall of the site"});
        const std::vector<RunSegment> run = run_of(*wall);
        const RunSegment& segment = segment_at(run, steps.along);
        plan.down = segment.outward;
        plan.head = segment.start + (steps.along - segment.along) * segment.direction +
                    steps.setback * segment.outward;
    }
    const int count = count_steps(steps);
    plan.rise = steps.height / count;
    const glm::dvec2 right(-plan.down.y, plan.down.x); // of somebody who goes up
    const auto at = [&](double side, double out) { return plan.head + side * right + out * plan.down; };
    const double landing = steps.landing.value_or(steps.tread), half = steps.width / 2;
    double from = 0;
    for (int i = 0; i < count; ++i) {
        const double to = landing + i * steps.tread;
        plan.treads.push_back({{at(-half, to), at(half, to), at(half, from), at(-half, from)},
                               steps.foot + steps.height - i * plan.rise});
        from = to;
    }
    const auto add_railing = [&](double side) {
        const double top = steps.foot + steps.height, off = side * (half - railing_inset);
        const double foot_end = landing + (count - 1) * steps.tread;
        std::vector<glm::dvec3> line{{at(off, railing_inset), top}};
        if (steps.landing && landing > 2 * railing_inset + 1e-3)
            line.emplace_back(at(off, landing - railing_inset), top);
        if (count > 1)
            line.emplace_back(at(off, foot_end - railing_inset), top - (count - 1) * plan.rise);
        else if (line.size() == 1)
            line.emplace_back(at(off, std::max(landing - railing_inset, railing_inset + 0.01)), top);
        plan.railings.push_back(std::move(line));
    };
    if (steps.railing && *steps.railing != RailingSides::right)
        add_railing(-1);
    if (steps.railing && *steps.railing != RailingSides::left)
        add_railing(1);
    return plan;
}

std::vector<glm::dvec3> line_of(const Railing& railing) {
    double length = 0, gone = 0;
    for (std::size_t i = 1; i < railing.path.size(); ++i)
        length += glm::distance(railing.path[i - 1], railing.path[i]);
    const double rise = railing.end_foot.value_or(railing.foot) - railing.foot;
    std::vector<glm::dvec3> line;
    for (std::size_t i = 0; i < railing.path.size(); ++i) {
        if (i > 0)
            gone += glm::distance(railing.path[i - 1], railing.path[i]);
        line.emplace_back(railing.path[i], railing.foot + (length > 0 ? rise * gone / length : 0));
    }
    return line;
}

} // namespace duskcast
