// The spots on what glows, and where their light lands.

#include <cmath>

#include "duskcast/light/glow.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

Site make_pool_site(const std::vector<glm::dvec2>& outline) {
    Site site;
    site.units = LengthUnit::metre;
    site.ground_spacing = 0.5;
    site.ground.margin = 1;
    site.ground.areas = {
        {.id = "pool", .kind = GroundKind::water, .outline = outline, .glow = Glow{.luminance = 100}}};
    return site;
}

} // namespace

TEST_CASE("spots on a glowing outline lie in it and are spread evenly over it") {
    // An L of 3 x 1 and 1 x 2: area 5, centroid (3 x (1.5, 0.5) + 2 x (0.5, 2)) / 5.
    const auto stage = build_stage(make_pool_site({{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 3}, {0, 3}}), {});
    REQUIRE(stage->glow_sources.size() == 1);
    const GlowLight light(*stage, stage->glow_sources[0]);
    CHECK(light.spots().size() == 64); // of one face as many as are looked at most
    glm::dvec2 mean(0);
    int low = 0;
    for (const GlowLight::Spot& spot : light.spots()) {
        const glm::vec3& at = spot.position;
        CHECK(((at.x > 0 && at.x < 3 && at.y > 0 && at.y < 1) ||
               (at.x > 0 && at.x < 1 && at.y > 0 && at.y < 3)));
        CHECK(spot.normal.z == doctest::Approx(1));
        CHECK(!spot.is_covered);
        mean += glm::dvec2(at) / 64.0;
        low += at.y < 1 ? 1 : 0;
    }
    CHECK(mean.x == doctest::Approx((3 * 1.5 + 2 * 0.5) / 5).epsilon(0.08).scale(0));
    CHECK(mean.y == doctest::Approx((3 * 0.5 + 2 * 2.0) / 5).epsilon(0.08).scale(0));
    CHECK(low / 64.0 == doctest::Approx(0.6).epsilon(0.08).scale(0));
    CHECK(light.open_area() == doctest::Approx(5));
}

TEST_CASE("of a pool under a deck only what is open gives light") {
    Site site = make_pool_site({{0, 0}, {4, 0}, {4, 2}, {0, 2}});
    site.ground.areas.push_back(
        {.id = "deck", .kind = GroundKind::paving, .outline = {{-1, -1}, {1, -1}, {1, 3}, {-1, 3}}});
    const auto stage = build_stage(site, {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    CHECK(light.open_area() == doctest::Approx(6).epsilon(0.05)); // a quarter is covered
    for (const GlowLight::Spot& spot : light.spots())
        CHECK(spot.is_covered == (spot.position.x < 1));
    // Straight over the deck's middle of it the facet sees what is left.
    const glm::vec3 at(2, 1, 1.5f), down(0, 0, -1);
    const double share = light.measure_share(at, down, 1);
    CHECK(share < 1);
    CHECK(share > 0.7); // the covered quarter is the farthest
    for (const GlowLight::Landing& landing : light.trace_landings())
        CHECK(landing.from.x > 0.99f);
    // All of it covered: no light at all.
    site.ground.areas[1].outline = {{-1, -1}, {5, -1}, {5, 3}, {-1, 3}};
    const auto dark = build_stage(site, {});
    const GlowLight none(*dark, dark->glow_sources[0]);
    CHECK(none.open_area() == 0);
    CHECK(none.trace_landings().empty());
    CHECK(none.measure_share(at, down, 1) == 0);
    CHECK(!none.find_spot(at, down, 0));
}

TEST_CASE("rays from what glows leave as likely as their cosine") {
    // Lambert: mean cosine 2/3, and sin^2 below a half for half of them; as many from every spot.
    for (const LanternForm form : {LanternForm::box, LanternForm::sphere}) {
        Site site;
        site.units = LengthUnit::metre;
        site.ground_spacing = 1;
        site.ground.margin = 1;
        site.lanterns = {{.id = "lantern",
                          .form = form,
                          .at = glm::dvec3(0, 0, 3),
                          .width = 0.4,
                          .height = 0.4,
                          .depth = 0.4,
                          .glow = {.luminance = 50}}};
        const auto stage = build_stage(site, {});
        const GlowLight light(*stage, stage->glow_sources[0]);
        CHECK(light.spots().size() == 3 * 64); // half of them look away from whoever looks
        const std::vector<GlowLight::Landing> landings = light.trace_landings();
        REQUIRE(landings.size() == static_cast<std::size_t>(GlowLight::landing_count));
        glm::dvec3 momentum(0);
        double cosine = 0, within_45 = 0, down = 0;
        for (std::size_t i = 0; i < landings.size(); ++i) {
            const GlowLight::Spot& spot = light.spots()[i % light.spots().size()];
            const double along = glm::dot(glm::dvec3(landings[i].direction), glm::dvec3(spot.normal));
            CHECK(glm::length(landings[i].direction) == doctest::Approx(1).epsilon(1e-4));
            cosine += along / static_cast<double>(landings.size());
            within_45 += (along * along > 0.5 ? 1.0 : 0.0) / static_cast<double>(landings.size());
            momentum += glm::dvec3(landings[i].direction) / static_cast<double>(landings.size());
            if (!landings[i].hit)
                continue;
            // The only thing to meet is the ground: the lantern is convex.
            CHECK(landings[i].direction.z < 0);
            CHECK(std::abs(landings[i].position().z) < 1e-2f);
            down += 1 / static_cast<double>(landings.size());
        }
        CHECK(cosine == doctest::Approx(2 / 3.0).epsilon(1e-3).scale(0));
        CHECK(within_45 == doctest::Approx(0.5).epsilon(2e-3).scale(0));
        CHECK(glm::length(momentum) < 0.02); // a body that is alike on all sides pushes no way
        CHECK(down < 0.5);                   // the ground ends somewhere
        CHECK(down > 0.45);
    }
}

TEST_CASE("a facet finds the spots that shine on it, one after the other") {
    const auto stage = build_stage(make_pool_site({{0, 0}, {2, 0}, {2, 2}, {0, 2}}), {});
    const GlowLight light(*stage, stage->glow_sources[0]);
    const glm::vec3 at(1, -1, 1), facing(0, 1, 0);
    for (int index = 0; index < 70; ++index) {
        const std::optional<glm::vec3> spot = light.find_spot(at, facing, index);
        REQUIRE(spot);
        CHECK(*spot == light.spots()[static_cast<std::size_t>(std::min(index, 63))].position);
    }
    CHECK(!light.find_spot(at, {0, -1, 0}, 0));        // it looks away
    CHECK(!light.find_spot({1, 1, -1}, {0, 0, 1}, 0)); // and from below there is nothing to see
    CHECK(light.measure_share(at, facing, 1) == 1);
    CHECK(light.open_lux(glm::dvec3(at), {0, -1, 0}) == 0);
    // The light on it is what all spots give together (far off, each a point).
    const glm::dvec3 far(1, -30, 12), normal = glm::normalize(glm::dvec3(0, 1, -0.2));
    double sum = 0;
    for (const GlowLight::Spot& spot : light.spots()) {
        const glm::dvec3 way = glm::dvec3(spot.position) - far;
        sum += 4.0 / 64 * glm::dot(way, normal) * -way.z / std::pow(glm::dot(way, way), 2);
    }
    CHECK(light.open_lux(far, normal) == doctest::Approx(sum).epsilon(0.01).scale(0));
}
