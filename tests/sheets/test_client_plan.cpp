// The plan that a client reads, by its pixels: where marks are, that none hides another, and that it fits a
// page.

#include <doctest/doctest.h>
#include <queue>

#include "../../src/sheets/plan_inks.hpp"
#include "duskcast/sheets/client_plan.hpp"
#include "duskcast/sheets/html.hpp"
#include "pixels.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr Colour accent{0.8, 0.1, 0.1};

/// Path lights at these places on bare lawn; a path light points down, so that its number stands below it.
Site make_lot(const std::vector<glm::dvec2>& places) {
    Site site;
    site.name = "Lot";
    site.lamps = {Lamp{.id = "l", .watts = 3}};
    for (const glm::dvec2& place : places) {
        Fixture fixture{
            .id = "F" + std::to_string(site.fixtures.size() + 1), .kind = FixtureKind::path, .lamp = "l"};
        fixture.at = place;
        fixture.tilt = pi;
        site.fixtures.push_back(fixture);
    }
    return site;
}

Pixels draw(const Site& site, const Colour& colour = accent) {
    return read_pixels(draw_client_plan(site, colour, PictureFormat::png));
}

/// Middles of the patches of a colour, each joined pixel to pixel; figures in a disk are holes in it.
std::vector<glm::dvec2> list_patches(const Pixels& page, const Colour& colour, std::size_t least) {
    std::vector<glm::dvec2> middles;
    std::vector<bool> is_done(static_cast<std::size_t>(page.width) * page.height, false);
    const auto is_near = [&](int x, int y) {
        const std::uint8_t* pixel = &page.rgba[4 * (static_cast<std::size_t>(y) * page.width + x)];
        for (std::size_t i = 0; i < 3; ++i)
            if (std::abs(pixel[i] - 255 * colour[i]) > 3)
                return false;
        return true;
    };
    for (int y = 0; y < page.height; ++y)
        for (int x = 0; x < page.width; ++x) {
            if (is_done[static_cast<std::size_t>(y) * page.width + x] || !is_near(x, y))
                continue;
            glm::dvec2 low(x, y), high(x, y);
            std::size_t count = 0;
            std::queue<glm::ivec2> edge;
            edge.push({x, y});
            is_done[static_cast<std::size_t>(y) * page.width + x] = true;
            while (!edge.empty()) {
                const glm::ivec2 at = edge.front();
                edge.pop();
                ++count;
                low = glm::min(low, glm::dvec2(at));
                high = glm::max(high, glm::dvec2(at));
                for (const glm::ivec2 way :
                     {glm::ivec2(1, 0), glm::ivec2(-1, 0), glm::ivec2(0, 1), glm::ivec2(0, -1)}) {
                    const glm::ivec2 beside = at + way;
                    if (beside.x < 0 || beside.y < 0 || beside.x >= page.width || beside.y >= page.height)
                        continue;
                    const std::size_t index = static_cast<std::size_t>(beside.y) * page.width + beside.x;
                    if (!is_done[index] && is_near(beside.x, beside.y)) {
                        is_done[index] = true;
                        edge.push(beside);
                    }
                }
            }
            if (count >= least)
                middles.push_back(0.5 * (low + high));
        }
    return middles;
}

constexpr std::size_t most_of_disk = 200; ///< pixels, of a disk of 15 pixels' radius with figures in it

} // namespace

PIXEL_TEST_CASE("client plan: every light has its number, however close they stand") {
    for (const std::size_t count : {1u, 4u, 12u, 20u}) {
        std::vector<glm::dvec2> places;
        for (std::size_t i = 0; i < count; ++i) // in a ring of a metre's radius on a lot of 20 m
            places.emplace_back(std::cos(0.7 * static_cast<double>(i)),
                                std::sin(0.7 * static_cast<double>(i)));
        Site site = make_lot(places);
        site.walls = {Wall{.id = "house", .path = {{-10, 8}, {10, 8}}, .height = 3, .finish = {}}};
        site.ground.areas = {
            {.id = "walk", .kind = GroundKind::paving, .outline = {{-10, -9}, {10, -9}, {10, -8}}}};
        CAPTURE(count);
        CHECK(list_patches(draw(site), accent, most_of_disk).size() == count);
    }
}

PIXEL_TEST_CASE("client plan: north is up, east is right, and metres are the same both ways") {
    // 12 m east and 9 m north of the first; rows of the page count upwards here.
    std::vector<glm::dvec2> marks =
        list_patches(draw(make_lot({{0, 0}, {12, 0}, {0, 9}})), accent, most_of_disk);
    REQUIRE(marks.size() == 3);
    const auto right = *std::max_element(marks.begin(), marks.end(),
                                         [](const glm::dvec2& a, const glm::dvec2& b) { return a.x < b.x; });
    const auto top = *std::max_element(marks.begin(), marks.end(),
                                       [](const glm::dvec2& a, const glm::dvec2& b) { return a.y < b.y; });
    const auto corner = *std::find_if(marks.begin(), marks.end(),
                                      [&](const glm::dvec2& one) { return one != right && one != top; });
    CHECK(right.y == doctest::Approx(corner.y).epsilon(0.01));
    CHECK(top.x == doctest::Approx(corner.x).epsilon(0.01));
    CHECK((right.x - corner.x) / 12 == doctest::Approx((top.y - corner.y) / 9).epsilon(0.02));
    // The lot is 16 m by 13 m with its border of 2 m: as large as 1500 by 1000 pixels allow.
    CHECK((right.x - corner.x) / 12 == doctest::Approx(std::min(1496.0 / 16, 936.0 / 13)).epsilon(0.02));
}

PIXEL_TEST_CASE("client plan: a fountain lies where it is, as large as it is") {
    Site site = make_lot({{0, 0}, {12, 0}, {0, 9}});
    site.fountains = {{.id = "fountain", .at = {8, 6}, .width = 2, .bowls = 0}};
    const Pixels page = draw(site);
    const Patch water = find_colour(page, ground_ink(GroundKind::water).colour);
    const double scale = std::min(1496.0 / 16, 936.0 / 13); // pixels a metre
    CHECK(static_cast<double>(water.count) == doctest::Approx(pi * scale * scale).epsilon(0.05));
    const std::vector<glm::dvec2> marks = list_patches(page, accent, most_of_disk);
    REQUIRE(marks.size() == 3);
    CHECK(water.x - std::min({marks[0].x, marks[1].x, marks[2].x}) ==
          doctest::Approx(8 * scale).epsilon(0.02));
}

PIXEL_TEST_CASE("client plan: a lot of any shape fits a page, with room for scale and north") {
    for (const glm::dvec2& size :
         {glm::dvec2(80, 4), glm::dvec2(4, 80), glm::dvec2(20, 20), glm::dvec2(0, 0), glm::dvec2(300, 200)}) {
        CAPTURE(size.x);
        const Pixels page = draw(make_lot({{0, 0}, size}));
        CHECK(page.width <= 1500);
        CHECK(page.height <= 1002); // with its border
        CHECK(page.width >= 320);
        CHECK(list_patches(page, accent, most_of_disk).size() == 2);
    }
}

PIXEL_TEST_CASE("client plan: figures are read on the accent, white on dark and dark on light") {
    const Site site = make_lot({{0, 0}});
    const auto ink_on = [&](const Colour& colour) {
        const Pixels page = draw(site, colour);
        const std::vector<glm::dvec2> marks = list_patches(page, colour, most_of_disk);
        REQUIRE(marks.size() == 1);
        std::size_t white = 0, dark = 0;
        for (int y = -9; y <= 9; ++y)
            for (int x = -9; x <= 9; ++x) {
                const auto at = static_cast<std::size_t>(marks[0].y + y) * page.width +
                                static_cast<std::size_t>(marks[0].x + x);
                const int sum = page.rgba[4 * at] + page.rgba[4 * at + 1] + page.rgba[4 * at + 2];
                white += sum > 740 ? 1 : 0;
                dark += sum < 110 ? 1 : 0;
            }
        return std::pair(white, dark);
    };
    const auto on_navy = ink_on({0.1, 0.15, 0.4}), on_yellow = ink_on({0.95, 0.85, 0.2});
    CHECK(on_navy.first > 5);
    CHECK(on_navy.second == 0);
    CHECK(on_yellow.first == 0);
    CHECK(on_yellow.second > 5);
    // WCAG 2.1: 4.5 : 1 at least, either way.
    CHECK(find_contrast({0.1, 0.15, 0.4}, {1, 1, 1}) >= 4.5);
    CHECK(find_contrast({0.95, 0.85, 0.2}, {0.1, 0.1, 0.12}) >= 4.5);
}

PIXEL_TEST_CASE("client plan: a number stands behind its light, and a stem points the way it shines") {
    Site site = make_lot({{0, 0}, {6, 6}});
    site.fixtures[0].kind = FixtureKind::bullet;
    site.fixtures[0].tilt = radians_from_degrees(60);
    const std::vector<glm::dvec2> usual =
        list_patches(draw(make_lot({{0, 0}, {6, 6}})), accent, most_of_disk);
    REQUIRE(usual.size() == 2);
    for (const double azimuth_deg : {0.0, 90.0, 180.0, 270.0}) {
        CAPTURE(azimuth_deg);
        site.fixtures[0].azimuth = radians_from_degrees(azimuth_deg);
        const std::vector<glm::dvec2> marks = list_patches(draw(site), accent, most_of_disk);
        REQUIRE(marks.size() == 2);
        const auto shift = [&](std::size_t axis) { // of the lower mark, which is the bullet's
            const auto& lower = marks[0].y < marks[1].y ? marks[0] : marks[1];
            const auto& other = marks[0].y < marks[1].y ? marks[1] : marks[0];
            const glm::dvec2 between = other - lower;
            return axis == 0 ? between.x : between.y;
        };
        // 6 m each way, more by 26 pixels the way it shines.
        const double scale = 936.0 / 10, behind = 26;
        const double azimuth = radians_from_degrees(azimuth_deg);
        // The other light's number stands 26 pixels below it.
        CHECK(shift(0) == doctest::Approx(6 * scale + behind * std::sin(azimuth)).epsilon(0.01));
        CHECK(shift(1) == doctest::Approx(6 * scale + behind * std::cos(azimuth) - behind).epsilon(0.01));
    }
}

TEST_CASE("client plan: the same bytes each time, with everything that may stand on a lot") {
    Site site = make_lot({{0, 0}, {3, 1}});
    site.walls = {Wall{.id = "house",
                       .path = {{-5, 4}, {5, 4}, {5, 9}, {-5, 9}},
                       .closed = true,
                       .height = 3,
                       .finish = {}}};
    site.trees = {Tree{.id = "oak", .at = {7, 0}, .height = 6, .base = 2, .width = 4}};
    site.shrubs = {Shrub{.id = "hedge", .path = {{-4, -2}, {4, -2}}, .width = 0.6, .height = 1},
                   Shrub{.id = "bed", .outline = {{-6, 0}, {-4, 0}, {-4, 2}}, .height = 0.5}};
    for (const PictureFormat format : picture_formats(true)) {
        const std::string bytes = draw_client_plan(site, accent, format);
        CHECK(bytes.size() > 1000);
        CHECK(draw_client_plan(site, accent, format) == bytes);
    }
}
