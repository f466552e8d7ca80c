// Stray light in words, from a report written by hand.

#include <doctest/doctest.h>

#include "duskcast/sheets/stray_words.hpp"

using namespace duskcast;

TEST_CASE("the lines for people set limits beside results and promise nothing") {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    StrayReport report;
    report.zone = Zone::e2;
    report.limits = limits_of(Zone::e2);
    report.watch_points = {{.id = "bedroom",
                            .kind = WatchKind::window,
                            .facing = radians_from_degrees(250),
                            .direct_lx = 0.5,
                            .bounced_lx = 0.1,
                            .most_from = "U1",
                            .most_lx = 0.4},
                           {.id = "line", .kind = WatchKind::boundary, .is_worst = true}};
    for (int i = 0; i < 6; ++i)
        report.fixtures_in_view.push_back({.eye = "driver",
                                           .fixture = "U" + std::to_string(i),
                                           .visible_share = 0.5,
                                           .candela = 10.0 * i,
                                           .off_sight = radians_from_degrees(12)});
    report.fixtures_in_view.push_back({.eye = "guest", .fixture = "U0", .candela = 0.5});
    report.upward_share = 0.98;
    report.sky_share = 0.42;
    std::string text;
    for (const std::string& line : print_stray(site, report))
        text += line + "\n";
    CHECK(text == R"(Stray light, zone E2
watch point                                  upright   facing   most from
bedroom                 window                0.6 lx      250°   U1 (0.4 lx)
line                    property line           0 lx
  Zone E2, upright: 5 lx [1] before curfew, 1 lx [2] after.
eye                     lens              towards it in sight   off the line of sight
driver                  U5                     50 cd     50 %   12°
driver                  U4                     40 cd     50 %   12°
driver                  U3                     30 cd     50 %   12°
driver                  U2                     20 cd     50 %   12°
driver                  and 1 more, 10 cd at most
guest                   no lens sends it 1 cd or more
  Zone E2, of one fixture: 7,500 cd [1] before curfew, 500 cd [2] after.
98 % of the lumens leave above the horizontal; 42 % meet nothing on the way to the sky.
  Zone E2, above the horizontal: 5 % [1].
  Limits are given for comparison; whether they apply, and whether they are met, is for local rules and a measurement to say. Check local rules.
  [1] CIE 150:2003 / EN 12193:2008, as quoted by a secondary source
  [2] CIE 150:2003, from memory, unconfirmed
)");
    CHECK(text.find("compl") == std::string::npos);

    // Without a zone there is nothing to set beside.
    report.zone.reset();
    report.limits = {};
    for (const std::string& line : print_stray(site, report)) {
        CHECK(line.find("Zone") == std::string::npos);
        CHECK(line.find("CIE") == std::string::npos);
    }
}

TEST_CASE("stray light without a figure, and an eye whose line of sight is not known") {
    Site site{.is_as_new = true};
    site.light = LightUnit::footcandle;
    StrayReport report;
    report.zone = Zone::e0; // no figures of light on properties
    report.limits = limits_of(Zone::e0);
    report.watch_points = {{.id = "pane",
                            .facing = radians_from_degrees(90),
                            .is_worst = true,
                            .direct_lx = 0.5 * lux_per_footcandle,
                            .most_from = "U1",
                            .most_lx = 0.25 * lux_per_footcandle}};
    report.watch_points.push_back(
        {.id = "side", .bounced_lx = 0.2 * lux_per_footcandle, .glow_lx = 0.1 * lux_per_footcandle});
    report.fixtures_in_view = {{.eye = "guest", .fixture = "U1", .visible_share = 1, .candela = 40}};
    const std::vector<std::string> lines = print_stray(site, report);
    REQUIRE(lines.size() >= 8);
    CHECK(lines[2] == "pane                    window                0.5 fc       90°*  U1 (0.25 fc)");
    CHECK(lines[3] ==
          "side                    window                0.2 fc        0°   no lens directly; lit windows "
          "and lanterns add 0.1 fc");
    CHECK(lines[4] == "  * the direction that gets the most light");
    CHECK(lines[5] == "  Zone E0, upright: no figure.");
    CHECK(lines[7] == "guest                   U1                     40 cd    100 %   not given");
    // What the zone's figures rest on is said once.
    CHECK(std::count(lines.begin(), lines.end(), "  [1] CIE 150:2003, from memory, unconfirmed") == 1);
}
