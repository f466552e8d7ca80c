// Steps, which are closed bodies side by side with sensors on their treads, and railings.

#include "builder.hpp"
#include "duskcast/site/steps_plan.hpp"
#include "mesh_sensors.hpp"
#include "railing.hpp"
#include "roof_body.hpp"

namespace duskcast {
namespace {

/// How far what stands on something goes into it, so that no light passes under it.
constexpr double into_ground = 0.3, into_floor = 0.01;

} // namespace

void StageBuilder::build_steps() {
    for (const Steps& steps : site.steps) {
        const StepsPlan plan = plan_steps(site, steps);
        const std::uint16_t surface = add_surface(steps.id, SurfaceKind::steps, steps.id);
        const std::uint16_t material = add_material(steps.finish);
        BodyMaker bodies{stage.opaque, surface, surface};
        std::vector<MeshFacet> treads;
        for (const Tread& tread : plan.treads) {
            const double bottom = plan.foot - (plan.foot > 0 ? into_floor : into_ground);
            add_body(bodies, tread.outline, {glm::dvec2(0), bottom, glm::dvec2(0)},
                     {glm::dvec2(0), tread.top, glm::dvec2(0)},
                     {.top = material, .sides = material, .bottom = material});
            const auto at = [&](std::size_t i) { return glm::dvec3(tread.outline[i], tread.top); };
            for (const std::array<glm::dvec3, 3>& corner :
                 {std::array{at(0), at(1), at(2)}, std::array{at(0), at(2), at(3)}})
                treads.push_back(make_facet(corner));
        }
        sensor_jobs.emplace_back([this, surface, treads] { strew_sensors(*this, surface, treads); });
        if (plan.railings.empty())
            continue;
        const std::uint16_t railing = add_surface(steps.id + ".railing", SurfaceKind::railing, steps.id);
        for (const std::vector<glm::dvec3>& line : plan.railings)
            build_railing(line, {steps.railing_height, steps.railing_form, 1.8, plan.rise},
                          add_material(steps.railing_finish), railing, stage.opaque);
    }
    for (const Railing& railing : site.railings) {
        const std::uint16_t surface = add_surface(railing.id, SurfaceKind::railing, railing.id);
        build_railing(line_of(railing), {railing.height, railing.form, railing.post_spacing},
                      add_material(railing.finish), surface, stage.opaque);
    }
}

} // namespace duskcast
