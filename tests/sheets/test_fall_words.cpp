// How ground falls, in words and as an arrow on a plan. Figures are worked by hand.

#include <doctest/doctest.h>

#include "../../src/sheets/captions.hpp"
#include "../../src/sheets/plan_panel.hpp"
#include "../pixels.hpp"
#include "duskcast/sheets/fall_words.hpp"
#include "duskcast/site/terraces.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

/// 30 ft from its high edge to its low one, in the user's units: 4 ft, or 13.3 %.
GroundArea make_falling_lawn() {
    const double foot = metres_per_foot;
    return {.id = "lawn",
            .outline = {{0, 0}, {44 * foot, 0}, {44 * foot, 30 * foot}, {0, 30 * foot}},
            .height = 5 * foot,
            .fall = GroundFall{.to = 1 * foot, .towards = pi}};
}

} // namespace

TEST_CASE("how much ground falls is said in the user's units and in per cent") {
    GroundArea lawn = make_falling_lawn();
    CHECK(print_fall(lawn, LengthUnit::foot) == "falls 4 ft, 13.3 %");
    CHECK(print_fall(lawn, LengthUnit::metre) == "falls 1.22 m, 13.3 %");
    lawn.fall->towards = pi / 2; // along its longer side
    CHECK(print_fall(lawn, LengthUnit::foot) == "falls 4 ft, 9.1 %");
    lawn.fall.reset();
    CHECK(print_fall(lawn, LengthUnit::foot).empty());
}

TEST_CASE("the plan has an arrow down ground that falls, with its figures") {
    test::PlainWall plain = test::make_plain_wall();
    plain.site.ground.areas = {make_falling_lawn(),
                               {.id = "path", .outline = {{1, 1}, {2, 1}, {2, 2}, {1, 2}}}};
    const GroundSheet made = make_ground_sheet(plain.source());
    REQUIRE(made.falls.size() == 1);
    const PlanFall& fall = made.falls[0];
    CHECK(fall.words == "falls 4 ft, 13.3 %");
    CHECK(fall.high.x == doctest::Approx(22 * metres_per_foot)); // down the middle, to the south
    CHECK(fall.low.x == doctest::Approx(fall.high.x));
    CHECK(fall.high.y > fall.low.y + 15 * metres_per_foot);
    CHECK(fall.high.y < 30 * metres_per_foot);
    CHECK(fall.low.y > 0);
}

PIXEL_TEST_CASE("the arrow of ground that falls has its head at the low end") {
    const GroundArea lawn = make_falling_lawn();
    const std::optional<FallLine> line = find_fall_line(lawn);
    REQUIRE(line);
    Surface dark;
    dark.kind = SurfaceKind::ground;
    dark.grid.step = 0.5;
    dark.grid.columns = 27;
    dark.grid.rows = 19;
    for (std::int32_t i = 0; i < dark.grid.columns * dark.grid.rows; ++i)
        dark.grid.sensor.push_back(i);
    const std::vector<double> lux(dark.grid.sensor.size(), 0.0);
    GroundSheet sheet{.text = {}, .grounds = {&dark}, .lux = lux};
    sheet.falls = {{line->high, line->low, print_fall(lawn, LengthUnit::foot)}};
    const PlanPanel panel(sheet);
    PlateFrame frame = panel.extent();
    frame.scale = 30;
    frame.left = 0;
    frame.bottom = frame.height() * frame.scale;
    Canvas canvas(frame.width() * frame.scale, frame.bottom, PictureFormat::png);
    panel.draw(canvas, frame, PanelDetail::tiny);
    const test::Pixels pixels = test::read_pixels(canvas.finish());
    // Light pixels across the arrow.
    const auto width_at = [&](double share) {
        const glm::dvec2 at = frame.at(glm::mix(line->high, line->low, share));
        const int row = pixels.height - 1 - static_cast<int>(at.y);
        int light = 0;
        for (int x = static_cast<int>(at.x) - 12; x <= static_cast<int>(at.x) + 12; ++x)
            light += pixels.rgba[4 * static_cast<std::size_t>(row * pixels.width + x)] > 140 ? 1 : 0;
        return light;
    };
    CHECK(width_at(-0.1) == 0);
    CHECK(width_at(1.1) == 0);
    CHECK(width_at(0.3) >= 1);
    CHECK(width_at(0.3) <= 3);
    CHECK(width_at(0.96) >= 5); // 13 pixels before the tip it is 10 wide
}
