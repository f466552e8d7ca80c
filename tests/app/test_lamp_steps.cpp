// One press of "too dim" or "too bright".

#include <doctest/doctest.h>

#include "duskcast/app/lamp_steps.hpp"
#include "duskcast/site/site_file.hpp"
#include "garden_site.hpp"

using namespace duskcast;

namespace {

struct Pressed {
    std::string lamp;
    double dimming;
    bool operator==(const Pressed&) const = default;
};

/// Presses until nothing more happens, at most `most` times.
std::vector<Pressed> press(Site& site, StepWay way, int most) {
    std::vector<Pressed> states;
    Fixture& fixture = site.fixtures.front();
    for (int i = 0; i < most; ++i) {
        const std::optional<LampStep> step = find_lamp_step(site, fixture, way, ".");
        if (!step)
            break;
        if (!step->lamp.empty())
            fixture.lamp = step->lamp;
        fixture.dimming = step->dimming.value_or(fixture.dimming);
        states.push_back({fixture.lamp, fixture.dimming});
    }
    return states;
}

Site make_site() {
    return read_site(test::text_of(test::make_garden()), "garden.site.json").site;
}

} // namespace

TEST_CASE("the lamps of the same beam come first, then the others, then dimming") {
    Site site = make_site();
    CHECK(press(site, StepWay::brighter, 9) == std::vector<Pressed>{{"narrow", 1}});
    CHECK_FALSE(find_lamp_step(site, site.fixtures.front(), StepWay::brighter, "."));
    site.fixtures.front().lamp = "usual";
    CHECK(
        press(site, StepWay::dimmer, 9) ==
        std::vector<Pressed>{{"faint", 1}, {"faint", 0.7}, {"faint", 0.5}, {"faint", 0.35}, {"faint", 0.25}});
    CHECK(press(site, StepWay::brighter, 9) ==
          std::vector<Pressed>{
              {"faint", 0.35}, {"faint", 0.5}, {"faint", 0.7}, {"faint", 1}, {"usual", 1}, {"narrow", 1}});
}

TEST_CASE("a dimming that a hand has set goes to the next step") {
    Site site = make_site();
    site.fixtures.front().dimming = 0.6;
    CHECK(find_lamp_step(site, site.fixtures.front(), StepWay::brighter, ".")->dimming == 0.7);
    CHECK(find_lamp_step(site, site.fixtures.front(), StepWay::dimmer, ".")->dimming == 0.5);
}

TEST_CASE("a lamp of another kind is never the next one") {
    Site site = make_site();
    Fixture& fixture = site.fixtures.front();
    fixture.lamp = "usual";
    REQUIRE(find_lamp_step(site, fixture, StepWay::dimmer, ".")->lamp == "faint");
    for (Lamp& lamp : site.lamps)
        if (lamp.id == "faint")
            lamp.draw = Draw::halogen;
    CHECK(find_lamp_step(site, fixture, StepWay::dimmer, ".")->dimming == 0.7);
    fixture.lamp = "faint";
    CHECK_FALSE(find_lamp_step(site, fixture, StepWay::brighter, "."));
    CHECK(find_lamp_step(site, fixture, StepWay::dimmer, ".")->dimming == 0.7);
}

TEST_CASE("a step up never takes fewer watts, nor a step down more") {
    Site site = make_site();
    Lamp wide = *find_lamp(site, "narrow"), tight = *find_lamp(site, "faint");
    wide.id = "wide", wide.figures.beam_angle = radians_from_degrees(100);   // fainter than usual, for 5 W
    tight.id = "tight", tight.figures.beam_angle = radians_from_degrees(20); // brighter than usual, for 3 W
    site.lamps = {wide, *find_lamp(site, "usual"), tight};
    Fixture& fixture = site.fixtures.front();
    fixture.lamp = "usual";
    const std::vector<LampChoice> choices = list_fitting_lamps(site, fixture, ".");
    REQUIRE(choices.front().lamp->id == "wide");
    REQUIRE(choices.back().lamp->id == "tight");
    CHECK(find_lamp_step(site, fixture, StepWay::dimmer, ".")->dimming == 0.7);
    CHECK_FALSE(find_lamp_step(site, fixture, StepWay::brighter, "."));
}

TEST_CASE("only what goes into the socket is offered") {
    Site site = make_site();
    site.lamps[1].socket = "GU5.3";
    site.lamps[2].socket = "G4";
    site.lamps[0].socket = "GU5.3";
    CHECK_FALSE(find_lamp_step(site, site.fixtures.front(), StepWay::brighter, "."));
    const std::vector<LampChoice> choices = list_fitting_lamps(site, site.fixtures.front(), ".");
    REQUIRE(choices.size() == 2);
    CHECK(choices.front().lamp->id == "faint");
    // The lumens are those on the box; a cosine power's centre: lumens (n + 1) / 2 pi, n = ln 0.5 / ln cos
    // 18°.
    CHECK(choices.front().lumens == doctest::Approx(200).epsilon(1e-3));
    const double power = std::log(0.5) / std::log(std::cos(radians_from_degrees(18)));
    CHECK(choices.front().centre_candela == doctest::Approx(200 * (power + 1) / (2 * pi)).epsilon(2e-3));
    CHECK(choices.front().beam_angle == doctest::Approx(radians_from_degrees(36)).epsilon(1e-3));

    site.catalogue.fixtures.push_back({.id = "spot", .socket = "G4", .lamps = {}});
    site.fixtures.front().model = "spot";
    CHECK(find_lamp_step(site, site.fixtures.front(), StepWay::brighter, ".")->lamp == "narrow");
}

TEST_CASE("a step is said by its lamps or its share") {
    const Site site = make_site();
    const Fixture& fixture = site.fixtures.front();
    CHECK(print_lamp_step(site, fixture, {.lamp = "narrow"}) == "narrow 5 W, 24° in place of usual 4 W, 36°");
    CHECK(print_lamp_step(site, fixture, {.dimming = 0.7}) == "dimmed to 70 %");
    CHECK(print_lamp_step(site, fixture, {.dimming = 1.0}) == "at full power");
}
