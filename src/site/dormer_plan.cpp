#include "duskcast/site/dormer_plan.hpp"

#include <algorithm>
#include <limits>

#include "duskcast/site/finish.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

/// What is left of a dormer's front beside and above a window that fills it (common practice, no source).
constexpr double beside_window = 6 * metres_per_inch, above_window = 4 * metres_per_inch,
                 below_window = 6 * metres_per_inch;

} // namespace

DormerPlan plan_dormer(const RoofPlan& roof, const Dormer& dormer) {
    DormerPlan plan{.side = &roof.sides.at(static_cast<std::size_t>(dormer.side - 1))};
    plan.left = dormer.from;
    plan.right = dormer.from + dormer.width;
    plan.face = dormer.back;
    const glm::dvec2 way = glm::normalize(plan.side->end - plan.side->start);
    plan.foot = roof.plane_at(*plan.side, plan.side->start + dormer.back * glm::dvec2(-way.y, way.x));
    plan.eave = plan.foot + dormer.height;
    if (dormer.form == DormerForm::shed) {
        plan.slope = dormer.rise_in_12 ? *dormer.rise_in_12 / 12 : roof.slope / 4;
        plan.back = roof.slope > plan.slope ? plan.face + dormer.height / (roof.slope - plan.slope)
                                            : std::numeric_limits<double>::infinity();
        plan.top = plan.eave + plan.slope * (plan.back - plan.face);
    } else {
        plan.slope = dormer.rise_in_12 ? *dormer.rise_in_12 / 12 : roof.slope;
        plan.top = plan.eave + plan.slope * dormer.width / 2;
        plan.back = plan.face + (plan.top - plan.foot) / roof.slope;
    }
    if (dormer.window) {
        plan.window = *dormer.window;
        return plan;
    }
    plan.window = {.id = "window",
                   .from = std::min(beside_window, dormer.width / 4),
                   .sill = std::min(below_window, dormer.height / 4),
                   .style = OpeningStyle::double_hung};
    plan.window.width = dormer.width - 2 * plan.window.from;
    plan.window.height = dormer.height - plan.window.sill - std::min(above_window, dormer.height / 8);
    plan.window.finish = make_finish(default_opening_finish);
    return plan;
}

} // namespace duskcast
