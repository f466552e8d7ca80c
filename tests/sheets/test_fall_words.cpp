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

/// The plan of a falling lawn without light, in pixels of 1/30 m.
struct DarkPlan {
    Surface ground;
    std::vector<double> lux;
    FallLine line;
    GroundSheet sheet{.text = {}, .grounds = {&ground}, .lux = lux};

    explicit DarkPlan(const GroundArea& lawn) : line(find_fall_line(lawn).value()) {
        ground.kind = SurfaceKind::ground;
        ground.grid.step = 0.5;
        ground.grid.columns = 27;
        ground.grid.rows = 19;
        for (std::int32_t i = 0; i < ground.grid.columns * ground.grid.rows; ++i)
            ground.grid.sensor.push_back(i);
        lux.assign(ground.grid.sensor.size(), 0.0);
        sheet.areas = {{lawn.id, lawn.outline, true}};
        sheet.falls = {{line.high, line.low, print_fall(lawn, LengthUnit::foot), lawn.id}};
    }
    DarkPlan(const DarkPlan&) = delete;
    DarkPlan& operator=(const DarkPlan&) = delete;

    PlateFrame frame() const {
        PlateFrame whole = PlanPanel(sheet).extent();
        whole.scale = 30;
        whole.left = 0;
        whole.bottom = whole.height() * whole.scale;
        return whole;
    }
    test::Pixels draw(PanelDetail detail) const {
        const PlateFrame whole = frame();
        Canvas canvas(whole.width() * whole.scale, whole.bottom, PictureFormat::png);
        PlanPanel(sheet).draw(canvas, whole, detail);
        return test::read_pixels(canvas.finish());
    }
};

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
    const DarkPlan plan(make_falling_lawn());
    const test::Pixels pixels = plan.draw(PanelDetail::tiny);
    // Light pixels across the arrow.
    const auto width_at = [&](double share) {
        const glm::dvec2 at = plan.frame().at(glm::mix(plan.line.high, plan.line.low, share));
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

PIXEL_TEST_CASE("no name lies on the arrow of ground that falls, and none is left out for it") {
    for (const double towards : {90.0, 180.0, 210.0}) {
        CAPTURE(towards);
        GroundArea lawn = make_falling_lawn();
        lawn.fall->towards = radians_from_degrees(towards);
        DarkPlan plan(lawn);
        const test::Pixels bare = plan.draw(PanelDetail::tiny), named = plan.draw(PanelDetail::small);
        plan.sheet.areas[0].id.clear();
        const test::Pixels unnamed = plan.draw(PanelDetail::small);
        const glm::dvec2 high = plan.frame().at(plan.line.high), low = plan.frame().at(plan.line.low);
        int on_arrow = 0, words = 0, name = 0;
        for (int row = 0; row < bare.height; ++row)
            for (int x = 0; x < bare.width; ++x) {
                const auto red = 4 * static_cast<std::size_t>(row * bare.width + x);
                const glm::dvec2 at(x + 0.5, bare.height - row - 0.5);
                const glm::dvec2 way = low - high;
                const double along = glm::clamp(glm::dot(at - high, way) / glm::dot(way, way), 0.0, 1.0);
                const bool is_arrow = glm::distance(at, high + along * way) < 3;
                on_arrow += is_arrow && named.rgba[red] != bare.rgba[red] ? 1 : 0;
                words += !is_arrow && unnamed.rgba[red] != bare.rgba[red] ? 1 : 0;
                name += !is_arrow && named.rgba[red] != unnamed.rgba[red] ? 1 : 0;
            }
        CHECK(on_arrow == 0);
        CHECK(words > 200);
        CHECK(name > 100);
    }
}
