// What fits on a wall, against brute force: rectangles on a grid of quarter metres are counted cell by cell,
// and edges are sampled.

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

constexpr double cell = 0.25; // metres: exact in binary, so that things may touch

struct Box {
    int left, right, bottom, top; // cells
};

Opening opening_of(const Box& box, const std::string& id) {
    return {.id = id,
            .from = box.left * cell,
            .width = (box.right - box.left) * cell,
            .sill = box.bottom * cell,
            .height = (box.top - box.bottom) * cell};
}

Projection projection_of(const Box& box, const std::string& id) {
    return {.id = id,
            .from = box.left * cell,
            .width = (box.right - box.left) * cell,
            .depth = 0.5,
            .bottom = box.bottom * cell,
            .height = box.top * cell};
}

bool share_a_cell(const Box& a, const Box& b) {
    for (int x = a.left; x < a.right; ++x)
        for (int z = a.bottom; z < a.top; ++z)
            if (x >= b.left && x < b.right && z >= b.bottom && z < b.top)
                return true;
    return false;
}

class Dice {
public:
    explicit Dice(unsigned seed) : random_(seed) {}
    int roll(int low, int high) { return low + static_cast<int>(random_() % unsigned(high - low + 1)); }
    Box box(int length, int height) {
        const int left = roll(0, length - 1), bottom = roll(0, height - 1);
        return {left, roll(left + 1, std::min(length, left + 16)), bottom,
                roll(bottom + 1, std::min(height, bottom + 6))};
    }

private:
    std::mt19937 random_;
};

/// Of a house of 6 m by 4 m, 3 m high: four segments of 24, 16, 24 and 16 cells, 12 cells high.
Wall make_plain_house() {
    Wall wall;
    wall.id = "house";
    wall.path = {{0, 0}, {6, 0}, {6, 4}, {0, 4}};
    wall.closed = true;
    wall.height = 3;
    return wall;
}

const std::array<int, 5> corners{0, 24, 40, 64, 80};

bool is_on_one_side(const Box& box) {
    for (std::size_t i = 1; i < corners.size(); ++i)
        if (box.left >= corners[i - 1] && box.right <= corners[i])
            return true;
    return false;
}

/// Paths of the errors whose text holds the words.
std::set<std::string> errors_about(const Wall& wall, const std::string& words) {
    Site site;
    site.walls = {wall};
    std::set<std::string> paths;
    for (const Problem& one : check_site(site, "."))
        if (one.what.find(words) != std::string::npos)
            paths.insert(one.place.path);
    return paths;
}

std::string at(const char* list, std::size_t index) {
    return std::string("walls[0].") + list + "[" + std::to_string(index) + "]";
}

} // namespace

TEST_CASE("openings and projections must keep to a straight piece of wall and off one another") {
    int overlaps = 0, corners_crossed = 0;
    for (unsigned seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        Wall wall = make_plain_house();
        std::vector<Box> openings, projections;
        for (int i = dice.roll(1, 3); i > 0; --i) {
            openings.push_back(dice.box(80, 12));
            wall.openings.push_back(opening_of(openings.back(), "o" + std::to_string(i)));
        }
        for (int i = dice.roll(0, 3); i > 0; --i) {
            projections.push_back(dice.box(80, 12));
            wall.projections.push_back(projection_of(projections.back(), "p" + std::to_string(i)));
        }
        std::set<std::string> off, overlapping, hidden;
        for (std::size_t i = 0; i < openings.size(); ++i) {
            if (!is_on_one_side(openings[i])) {
                off.insert(at("openings", i));
                ++corners_crossed;
            }
            for (std::size_t j = 0; j < i; ++j)
                if (share_a_cell(openings[i], openings[j]))
                    overlapping.insert(at("openings", i));
            for (const Box& projection : projections)
                if (is_on_one_side(openings[i]) && share_a_cell(openings[i], projection))
                    hidden.insert(at("openings", i));
        }
        for (std::size_t i = 0; i < projections.size(); ++i) {
            if (!is_on_one_side(projections[i])) {
                off.insert(at("projections", i));
                continue;
            }
            for (std::size_t j = 0; j < i; ++j)
                if (share_a_cell(projections[i], projections[j]))
                    overlapping.insert(at("projections", i));
        }
        overlaps += static_cast<int>(overlapping.size() + hidden.size());
        CHECK(errors_about(wall, "reaches past the end of its straight piece") == off);
        CHECK(errors_about(wall, " overlap") == overlapping);
        CHECK(errors_about(wall, "lies behind projection") == hidden);
    }
    CHECK(overlaps > 50);
    CHECK(corners_crossed > 50);
}

TEST_CASE("an opening must stay below the wall's edge, under gables and in the valleys between") {
    int above = 0, below = 0;
    for (unsigned seed = 1; seed <= 1000; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        Wall wall = make_plain_house();
        for (int i = dice.roll(0, 3); i > 0; --i) { // gables may overlap: a valley lies between their peaks
            const int width = dice.roll(6, 20), from = dice.roll(0, 24 - width);
            wall.gables.push_back(
                {"g" + std::to_string(i), from * cell, width * cell, dice.roll(13, 24) * cell});
        }
        const int left = dice.roll(0, 20), bottom = dice.roll(0, 11);
        const Box box{left, dice.roll(left + 1, std::min(24, left + 6)), bottom, dice.roll(bottom + 1, 20)};
        wall.openings = {opening_of(box, "o")};
        double edge = HUGE_VAL; // the lowest that 1,000 places of the edge above the opening lie
        for (int s = 0; s <= 1000; ++s)
            edge = std::min(edge, top_of(wall, (box.left + (box.right - box.left) * s / 1000.0) * cell));
        const bool is_above = box.top * cell > edge + 1e-5;
        if (std::abs(box.top * cell - edge) < 0.02 && box.top * cell != edge)
            continue; // too near for samples to tell
        (is_above ? above : below) += 1;
        CHECK(errors_about(wall, "above the wall's edge").size() == (is_above ? 1 : 0));
    }
    CHECK(above > 50);
    CHECK(below > 50);
}

TEST_CASE("an opening in the valley between two gables") {
    // Peaks at 2 and 4 m along, 6 m up, slopes of 3 m in 2 m: half way between the edge is at 4.5 m, at half
    // a metre to either side at 5.25 m.
    Wall wall = make_plain_house();
    wall.gables = {{"left", 0, 4, 6}, {"right", 2, 4, 6}};
    const auto is_above = [&](double top) {
        wall.openings = {{.id = "o", .from = 2.5, .width = 1, .sill = 1, .height = top - 1}};
        return errors_about(wall, "above the wall's edge").size() == 1;
    };
    CHECK_FALSE(is_above(4.5));
    CHECK(is_above(4.51));
    CHECK(is_above(5.2));
}

TEST_CASE("an opening of a bay must lie on one of its faces, between its bottom and its top") {
    int good = 0;
    for (unsigned seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        Wall wall = make_plain_house();
        // 2 cells deep: its run is 2 cells of flank, 8 of front, 2 of flank.
        wall.projections = {projection_of({4, 12, 2, 10}, "bay")};
        const int left = dice.roll(0, 11), bottom = dice.roll(0, 10);
        const Box box{left, dice.roll(left + 1, 12), bottom, dice.roll(bottom + 1, 12)};
        wall.projections[0].openings = {opening_of(box, "o")};
        const bool is_on_face = box.right <= 2 || (box.left >= 2 && box.right <= 10) || box.left >= 10;
        CHECK(errors_about(wall, "straight piece of wall").size() == (is_on_face ? 0 : 1));
        CHECK(errors_about(wall, "above the wall's edge").size() == (is_on_face && box.top > 10 ? 1 : 0));
        CHECK(errors_about(wall, "below the bottom").size() == (is_on_face && box.bottom < 2 ? 1 : 0));
        good += is_on_face && box.top <= 10 && box.bottom >= 2;
    }
    CHECK(good > 30);
}

TEST_CASE("a gable stands on one segment and above the eave") {
    for (int from = 0; from < 80; from += 3)
        for (const int width : {4, 10, 16, 24})
            for (const int peak : {11, 12, 13}) {
                CAPTURE(from);
                CAPTURE(width);
                Wall wall = make_plain_house();
                wall.gables = {{"g", from * cell, width * cell, peak * cell}};
                CHECK(errors_about(wall, "reaches past the end").size() ==
                      (is_on_one_side({from, from + width, 0, 1}) ? 0 : 1));
                CHECK(errors_about(wall, "is not above the wall's height").size() == (peak > 12 ? 0 : 1));
            }
}

TEST_CASE("a line that crosses itself, by every pair of its pieces") {
    int crossing = 0;
    for (unsigned seed = 1; seed <= 400; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        std::vector<glm::dvec2> path;
        const int count = dice.roll(3, 6);
        for (int i = 0; i < count; ++i) // of odd and even figures no three lie on a line by chance alone
            path.push_back({dice.roll(0, 4000) * 0.001, dice.roll(0, 4000) * 0.001});
        const bool closed = dice.roll(0, 1) == 1;
        const auto side = [](const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c) {
            return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x) > 0;
        };
        const int pieces = closed ? count : count - 1;
        bool crosses = false;
        for (int i = 0; i < pieces; ++i)
            for (int j = i + 2; j < pieces; ++j) {
                if (closed && i == 0 && j == pieces - 1)
                    continue; // neighbours
                const auto point = [&](int k) { return path[static_cast<std::size_t>(k % count)]; };
                const glm::dvec2 a = point(i), b = point(i + 1), c = point(j), d = point(j + 1);
                crosses = crosses || (side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b));
            }
        Wall wall;
        wall.id = "w";
        wall.path = path;
        wall.closed = closed;
        wall.height = 3;
        CHECK(errors_about(wall, "crosses or touches itself").size() == (crosses ? 1 : 0));
        crossing += crosses;
    }
    CHECK(crossing > 50);
    CHECK(crossing < 350);
}

TEST_CASE("a fixture by coordinates must be out of the house, its bay and its walls") {
    Wall house = make_plain_house();
    house.projections = {projection_of({8, 16, 0, 8}, "bay")}; // 2 to 4 m along, half a metre out, 2 m high
    Site site;
    site.walls = {house};
    site.lamps = {{.id = "spot", .watts = 5}};
    site.lamps[0].figures.lumens = 300;
    site.lamps[0].figures.beam_angle = 0.5;
    for (double x = -0.55; x < 7; x += 0.3)
        for (double y = -1.03; y < 5; y += 0.3)
            for (const double z : {0.2, 2.4, 3.5}) {
                CAPTURE(x);
                CAPTURE(y);
                CAPTURE(z);
                const bool in_plan = x > 0 && x < 6 && y > 0 && y < 4;
                const bool in_bay = x > 2 && x < 4 && y > -0.5 && y < 0 && z < 2;
                const double off = std::max({-x, x - 6, -y, y - 4}); // from the nearest face, outside
                if (std::abs(off) < 0.03 || (in_plan && std::min({x, 6 - x, y, 4 - y}) < 0.03))
                    continue; // half in the wall
                site.fixtures = {{.id = "f", .lamp = "spot", .at = glm::dvec2(x, y), .lens_height = z}};
                bool is_refused = false;
                for (const Problem& one : check_site(site, "."))
                    is_refused = is_refused || one.severity == Severity::error;
                CHECK(is_refused == ((in_plan && z < 3) || in_bay));
            }
}
