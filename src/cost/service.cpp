#include "duskcast/cost/service.hpp"

#include <algorithm>

#include "duskcast/site/season.hpp"

namespace duskcast {

namespace {

constexpr double growth_to_aim_again = 1.1;
constexpr int most_years = 20;

} // namespace

ServicePlan plan_service(const Site& site, const Business& business) {
    ServicePlan plan{.lamp_life = business.lamp_life,
                     .hours_a_night = business.hours_a_night,
                     .nights = business.nights,
                     .clean_months = business.clean_months};
    if (const double hours = business.hours_a_night * business.nights; hours > 0 && business.lamp_life > 0)
        plan.lamp_years = business.lamp_life / hours;
    for (const Fixture& fixture : site.fixtures)
        plan.lost_to_dirt = std::max(plan.lost_to_dirt, 1 - light_loss_of(site, fixture).dirt);
    for (int years = 1; years <= most_years; ++years) {
        const Site grown = in_season(site, Season::in_leaf, years);
        for (std::size_t i = 0; i < site.trees.size(); ++i) {
            const Tree& tree = site.trees[i];
            TreeService service{.tree = tree.id, .years = years, .height = grown.trees[i].height};
            if (grown.trees[i].height < growth_to_aim_again * tree.height ||
                std::any_of(plan.trees.begin(), plan.trees.end(),
                            [&](const TreeService& known) { return known.tree == tree.id; }))
                continue;
            for (const Fixture& fixture : site.fixtures)
                if (fixture.tree == tree.id)
                    service.fixtures.push_back(fixture.id);
            if (!service.fixtures.empty())
                plan.trees.push_back(std::move(service));
        }
    }
    return plan;
}

} // namespace duskcast
