// When service is due, by hand.

#include <doctest/doctest.h>

#include "duskcast/cost/service.hpp"

using namespace duskcast;

namespace {

Site make_grove() {
    Site site;
    site.fixtures = {{.id = "U1"}, {.id = "U2"}, {.id = "U3"}};
    site.trees.resize(3);
    const char* ids[] = {"oak", "elm", "yew"};
    for (std::size_t i = 0; i < 3; ++i) {
        site.trees[i].id = ids[i];
        site.trees[i].height = 10;
        site.fixtures[i].tree = ids[i];
    }
    site.trees[0].growth = Growth{.height = 0.3, .width = 0.2};
    site.trees[1].growth = Growth{.height = 0.5, .width = 0.2};
    return site;
}

} // namespace

TEST_CASE("lamps are due after their rated hours, shared among the hours of a year") {
    Business business;
    business.lamp_life = 25000;
    business.hours_a_night = 5;
    business.nights = 365;
    const ServicePlan plan = plan_service(make_grove(), business);
    REQUIRE(plan.lamp_years);
    CHECK(*plan.lamp_years == doctest::Approx(13.6986).epsilon(1e-5)); // 25000 / 1825
    business.nights = 0;
    CHECK(!plan_service(make_grove(), business).lamp_years);
    business.nights = 365;
    business.lamp_life = 0;
    CHECK(!plan_service(make_grove(), business).lamp_years);
}

TEST_CASE("a tree is due in the first year in which it has grown by a tenth") {
    Site site = make_grove();
    const ServicePlan plan = plan_service(site, {});
    REQUIRE(plan.trees.size() == 2);    // the yew does not say how it grows
    CHECK(plan.trees[0].tree == "elm"); // 1 m at 0.5 m a year
    CHECK(plan.trees[0].years == 2);
    CHECK(plan.trees[0].height == doctest::Approx(11));
    CHECK(plan.trees[0].fixtures == std::vector<std::string>{"U2"});
    CHECK(plan.trees[1].tree == "oak"); // 1 m at 0.3 m a year
    CHECK(plan.trees[1].years == 4);
    CHECK(plan.trees[1].height == doctest::Approx(11.2));
    site.trees[1].growth->mature_height = 10.5; // stops before
    site.fixtures[0].tree.clear();              // nothing to aim again
    CHECK(plan_service(site, {}).trees.empty());
}

TEST_CASE("lenses are cleaned when the business comes, and lose what the design reckons with until then") {
    Business business;
    business.clean_months = 6;
    Site site = make_grove();
    CHECK(plan_service(site, business).clean_months == 6);
    CHECK(plan_service(site, business).lost_to_dirt == doctest::Approx(1 - usual_dirt).epsilon(1e-9));
    site.is_as_new = true;
    CHECK(plan_service(site, business).lost_to_dirt == 0);
}
