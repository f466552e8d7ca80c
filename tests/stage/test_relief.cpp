// Claddings and joinery: means, sizes, what a wall gets by itself.

#include <set>

#include "cells.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/stage/relief.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr Cladding all_claddings[] = {
    Cladding::brick,         Cladding::brick_flemish, Cladding::brick_painted,
    Cladding::stone_coursed, Cladding::stone_rubble,  Cladding::lap_siding,
    Cladding::shingle,       Cladding::stucco,        Cladding::board_and_batten};

} // namespace

TEST_CASE("a cladding reflects on the whole what its finish says") {
    // The mean over walls elsewhere than where the colours were balanced; brute force.
    for (const char* finish : {"brick red common", "limestone pale", "siding white", "bluestone"})
        for (const Cladding cladding : all_claddings) {
            const glm::dvec3 wanted = make_finish(finish).reflectance;
            const auto relief = make_cladding(cladding, wanted);
            glm::dvec3 sum(0);
            glm::vec3 least(1), most(0);
            constexpr int side = 700;
            visit_cells({20, 3}, {14, 7}, side, [&](const glm::vec2& at) {
                const glm::vec3 one = relief->spot(at).reflectance;
                sum += glm::dvec3(one);
                least = glm::min(least, one), most = glm::max(most, one);
            });
            for (int channel = 0; channel < 3; ++channel) {
                INFO(finish, " ", static_cast<int>(cladding), " ", channel);
                CHECK(sum[channel] / (side * side) ==
                      doctest::Approx(wanted[channel]).epsilon(0.01).scale(0));
                CHECK(least[channel] > 0);
                CHECK(most[channel] < 1);
            }
        }
}

TEST_CASE("a cladding's heights lie between its depth and its face, and come again where they were") {
    for (const Cladding cladding : all_claddings) {
        const auto relief = make_cladding(cladding, glm::vec3(0.3f));
        const auto again = make_cladding(cladding, glm::vec3(0.3f));
        float least = 0, most = -1;
        visit_cells({-1, -0.3f}, {3, 3}, 300, [&](const glm::vec2& at) {
            const float height = relief->height(at);
            least = std::min(least, height), most = std::max(most, height);
            REQUIRE(height == again->height(at));
        });
        INFO(static_cast<int>(cladding));
        CHECK(most <= 0);
        CHECK(least >= -relief->depth());
        CHECK(most - least > 0.6f * relief->depth()); // it is a relief
        CHECK(relief->course() > 0);
    }
}

TEST_CASE("brick comes to three courses in 8 in, joints of 3/8 in between bricks of 2 1/4 x 7 5/8 in") {
    // Trade sizes: modular brick (from memory). Joints are told by their mortar, which is grey.
    const auto relief = make_cladding(Cladding::brick, make_finish("brick red common").reflectance);
    const auto is_brick = [&](const glm::vec2& at) {
        const glm::vec3 colour = relief->spot(at).reflectance;
        return colour.r > 1.6f * colour.g;
    };
    const auto inches = [](float length) { return length * static_cast<float>(metres_per_inch); };
    // A wall of 32 x 32 in: 12 courses of 4 bricks, every other one with two halves at its ends.
    CHECK(count_parts(glm::vec2(inches(32)), 800, is_brick) == 6 * 4 + 6 * 5);
    double bricks = 0;
    visit_cells(glm::vec2(0), glm::vec2(inches(32)), 800,
                [&](const glm::vec2& at) { bricks += is_brick(at); });
    CHECK(bricks / 640'000 == doctest::Approx(7.625 * 2.25 / (8 * 8.0 / 3)).epsilon(0.04).scale(0));
    // In a Flemish bond stretchers and headers take turns: 12 in a pair.
    const auto flemish = make_cladding(Cladding::brick_flemish, make_finish("brick red common").reflectance);
    CHECK(count_parts({inches(36), inches(8)}, 800, [&](const glm::vec2& at) {
              const glm::vec3 colour = flemish->spot(at).reflectance;
              return colour.r > 1.6f * colour.g;
          }) == 6 + 7 + 6);
}

TEST_CASE("slopes of a relief are those of its heights") {
    const auto relief = make_cladding(Cladding::lap_siding, glm::vec3(0.5f));
    // A board leans by its thickness over what is to the weather: 5/16 in 7.
    double mean = 0;
    visit_cells({0, 0.05f}, {2, 0.1f}, 100, [&](const glm::vec2& at) {
        mean += static_cast<double>(relief->slant(at).slope.y) / 10'000;
    });
    CHECK(mean == doctest::Approx(-0.3125 / 7).epsilon(0.05).scale(0));
}

TEST_CASE("windows have their lights, doors their panels, and a pane's glow is all there") {
    OpeningLook look{.size = {1.0f, 1.5f}, .reflectance = glm::vec3(0.1f), .trim = glm::vec3(0.6f)};
    const auto lights_of = [&](OpeningStyle style) {
        look.style = style;
        const auto relief = make_opening(look);
        return count_parts(look.size, 500, [&](const glm::vec2& at) { return relief->spot(at).is_glass; });
    };
    CHECK(lights_of(OpeningStyle::plain) == 1);
    CHECK(lights_of(OpeningStyle::picture) == 1);
    CHECK(lights_of(OpeningStyle::casement) == 1); // one leaf of some two feet
    CHECK(lights_of(OpeningStyle::double_hung) == 2);
    CHECK(lights_of(OpeningStyle::double_hung_6_over_6) == 12);
    CHECK(lights_of(OpeningStyle::panel_door) == 0);
    CHECK(lights_of(OpeningStyle::glazed_door) == 9);
    CHECK(lights_of(OpeningStyle::garage_door) == 0);
    for (const OpeningStyle style : {OpeningStyle::plain, OpeningStyle::double_hung_6_over_6,
                                     OpeningStyle::panel_door, OpeningStyle::garage_door}) {
        look.style = style;
        look.room = Room::lit;
        const auto relief = make_opening(look);
        double glow = 0;
        visit_cells(glm::vec2(0), look.size, 300, [&](const glm::vec2& at) {
            glow += static_cast<double>(relief->spot(at).glow) / 90'000;
            const float height = relief->height(at);
            CHECK((height <= 0 && height >= -relief->depth()));
        });
        CHECK(glow == doctest::Approx(1).epsilon(0.02).scale(0));
    }
    // A leaf has the door's finish, what is round it the trim's.
    look.style = OpeningStyle::panel_door;
    const auto door = make_opening(look);
    CHECK(door->spot({0.5f, 0.75f}).reflectance == look.reflectance);
    CHECK(door->spot({0.01f, 0.75f}).reflectance == look.trim);
    CHECK(door->height({0.5f, 0.75f}) < door->height({0.01f, 0.75f}));
    // Nothing is too small.
    look.size = {0.05f, 0.08f};
    for (const OpeningStyle style : {OpeningStyle::casement, OpeningStyle::garage_door})
        CHECK(std::isfinite((look.style = style, make_opening(look)->height({0.03f, 0.04f}))));
}

TEST_CASE("behind glass a curtain is brighter than a dark room") {
    OpeningLook look{.size = {1.0f, 1.5f}};
    const auto mean_room = [&](Room room) {
        look.room = room;
        const auto relief = make_opening(look);
        double sum = 0;
        visit_cells(glm::vec2(0), look.size, 200,
                    [&](const glm::vec2& at) { sum += static_cast<double>(relief->spot(at).room.g); });
        return sum / 40'000;
    };
    CHECK(mean_room(Room::dark) < 0.05);
    CHECK(mean_room(Room::curtains) > 5 * mean_room(Room::dark));
    CHECK(mean_room(Room::curtains) < 0.6);
}

TEST_CASE("a wall with a cladding gets frames and its gables' own, and no sensor knows of it") {
    Site site = make_wall_site({{0, 0}, {10, 0}}, false, 3);
    Wall& wall = site.walls[0];
    wall.gables = {{"gable", 2, 6, 6}};
    wall.openings = {make_opening("window", 1, 1, 1, 1), make_opening("door", 4, 1, 0, 2)};
    wall.openings[1].kind = OpeningKind::door;
    wall.openings[1].finish = make_finish("timber dark stain");
    wall.projections = {{.id = "bay", .from = 6, .width = 2, .depth = 0.6, .height = 2.5}};
    const std::unique_ptr<Stage> even = build_stage(site, {});
    CHECK(even->reliefs.empty());

    wall.cladding = Cladding::brick;
    wall.gables[0].cladding = Cladding::shingle;
    wall.openings[0].room = Room::lit;
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    std::multiset<std::string> ids;
    for (const ReliefArea& area : stage->reliefs)
        ids.insert(stage->surfaces[area.surface].id);
    CHECK(ids == std::multiset<std::string>{"house", "house", "house.bay", "house.door", "house.window"});
    for (const ReliefArea& area : stage->reliefs) {
        const std::string& id = stage->surfaces[area.surface].id;
        if (id == "house.window") // from its lower left corner, behind the reveal
            CHECK(glm::length(unfold(area.run, area.foot, {1.25, 0.1, 1.5}) - glm::dvec2(0.25, 0.5)) < 1e-6);
        if (id == "house.door") // of wood, so it has panels
            CHECK(!area.relief->spot({0.5f, 1.0f}).is_glass);
        if (id == "house" && !area.outline.empty())
            CHECK(std::abs(signed_area(area.outline) - 6 * 3 / 2.0) < 1e-9);
    }
    CHECK(stage->sensors.x == even->sensors.x);
    CHECK(stage->sensors.area == even->sensors.area);
    REQUIRE(stage->glow_sources.size() == 1); // the lit room
    CHECK(luminance_of(stage->glow_sources[0].luminance) == doctest::Approx(8));

    // By a key of its own an opening has a frame in an even wall, too.
    wall.cladding.reset();
    wall.gables[0].cladding.reset();
    wall.openings[0].style = OpeningStyle::double_hung;
    CHECK(build_stage(site, {})->reliefs.size() == 1);
}
