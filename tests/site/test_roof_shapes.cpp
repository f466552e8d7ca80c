// The covering of a roof against distances found by a scan of its sides, volumes and areas of solid geometry,
// and Steiner's formula for outlines moved outwards; and what is wrong with roofs.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "findings.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

using Outline = std::vector<glm::dvec2>;

double between(std::mt19937& random, double low, double high) {
    return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
}

/// Points of an ellipse in turn, which are the corners of a convex outline.
Outline make_convex(std::mt19937& random) {
    const int count = 3 + static_cast<int>(random() % 6);
    const double a = between(random, 4, 9), b = between(random, 3, 9);
    Outline outline;
    for (int i = 0; i < count; ++i) {
        const double angle = 2 * pi * (i + between(random, 0.1, 0.9)) / count;
        outline.emplace_back(a * std::cos(angle) + 20, b * std::sin(angle) - 5);
    }
    return outline;
}

double distance_to_segment(const glm::dvec2& p, const glm::dvec2& a, const glm::dvec2& b) {
    const double share = std::clamp(glm::dot(p - a, b - a) / glm::dot(b - a, b - a), 0.0, 1.0);
    return glm::distance(p, a + share * (b - a));
}

/// The nearest side and how far it is.
std::pair<std::size_t, double> find_nearest(const Outline& outline, const glm::dvec2& point) {
    std::pair<std::size_t, double> nearest{0, HUGE_VAL};
    for (std::size_t i = 0; i < outline.size(); ++i)
        if (const double away = distance_to_segment(point, outline[i], outline[(i + 1) % outline.size()]);
            away < nearest.second)
            nearest = {i, away};
    return nearest;
}

Roof make_roof(const Outline& outline, RoofForm form, double rise) {
    return {.id = "r",
            .form = form,
            .outline = outline,
            .height = 2.5,
            .rise_in_12 = rise,
            .overhang = 0.4,
            .thickness = 0.2};
}

glm::dvec2 any_point(std::mt19937& random, const Outline& outline) {
    for (;;) {
        const glm::dvec2 point(between(random, 10, 30), between(random, -15, 5));
        if (is_inside(outline, point))
            return point;
    }
}

/// The greatest value of a concave function.
template <class Function> double find_greatest(double low, double high, Function function) {
    while (high - low > 1e-7) {
        const double a = low + (high - low) / 3, b = high - (high - low) / 3;
        (function(a) < function(b) ? low : high) = function(a) < function(b) ? a : b;
    }
    return function((low + high) / 2);
}

/// Volume between the height z and the covering, by the middle rule.
double measure_volume(const RoofPlan& plan, double length, double width, double z) {
    const int steps = 400;
    double sum = 0;
    for (int i = 0; i < steps; ++i)
        for (int j = 0; j < steps; ++j)
            sum += plan.top_at({(i + 0.5) * length / steps, (j + 0.5) * width / steps}) - z;
    return sum * length * width / steps / steps;
}

Wall make_house_wall(const Outline& path, bool closed) {
    Wall wall{.id = "house", .path = path, .closed = closed};
    wall.height = 3;
    return wall;
}

} // namespace

TEST_CASE("a hip roof is as high above its edge as the nearest side is far, times the slope") {
    std::mt19937 random(1);
    for (int i = 0; i < 60; ++i) {
        CAPTURE(i);
        const Outline outline = make_convex(random);
        const double rise = between(random, 1, 20);
        const RoofPlan plan = plan_roof({}, make_roof(outline, RoofForm::hip, rise));
        std::vector<double> areas(outline.size(), 0);
        double highest = 0;
        for (int s = 0; s < 200; ++s) {
            const glm::dvec2 point = any_point(random, outline);
            const auto [side, away] = find_nearest(outline, point);
            const double wanted = 2.5 + 0.2 + rise / 12 * (away + 0.4);
            CHECK(plan.top_at(point) == doctest::Approx(wanted));
            CHECK(plan.plane_at(plan.sides[side], point) == doctest::Approx(wanted));
            CHECK(is_inside(plan.part_below(plan.sides[side], outline), point));
            highest = std::max(highest, wanted);
        }
        CHECK(plan.ridge() >= highest);
        // The lower envelope of planes is concave: its greatest height by thirds, east and north in turn.
        const auto along_north = [&](double x) {
            return find_greatest(-20, 10, [&](double y) { return plan.top_at({x, y}); });
        };
        CHECK(find_greatest(5, 35, along_north) == doctest::Approx(plan.ridge()).epsilon(1e-6));
        double sum = 0;
        for (const RoofSide& side : plan.sides)
            sum += signed_area(plan.part_below(side, outline));
        CHECK(sum == doctest::Approx(signed_area(outline)));
    }
}

TEST_CASE("an overhang widens the footprint by Steiner's formula, with corners") {
    // Area + perimeter x o + o^2 x sum of tan(half the outer angle), all round by the same overhang o.
    std::mt19937 random(2);
    for (int i = 0; i < 100; ++i) {
        CAPTURE(i);
        const Outline outline = make_convex(random);
        const RoofPlan plan = plan_roof({}, make_roof(outline, RoofForm::hip, 6));
        double perimeter = 0, corners = 0;
        for (std::size_t j = 0; j < outline.size(); ++j) {
            const glm::dvec2 here = outline[j], next = outline[(j + 1) % outline.size()],
                             after = outline[(j + 2) % outline.size()];
            perimeter += glm::distance(here, next);
            const glm::dvec2 in = glm::normalize(next - here), out = glm::normalize(after - next);
            corners += std::tan(std::acos(std::clamp(glm::dot(in, out), -1.0, 1.0)) / 2);
        }
        CHECK(signed_area(plan.outline(true)) ==
              doctest::Approx(signed_area(outline) + perimeter * 0.4 + corners * 0.16));
        CHECK(plan.outline(false) == outline);
        for (const glm::dvec2& corner : plan.outline(true))
            CHECK(find_nearest(outline, corner).second >= 0.4 - 1e-9);
        // Walked the other way round it is the same roof.
        Outline backwards(outline.rbegin(), outline.rend());
        const RoofPlan other = plan_roof({}, make_roof(backwards, RoofForm::hip, 6));
        CHECK(other.ridge() == doctest::Approx(plan.ridge()));
        CHECK(signed_area(other.outline(true)) == doctest::Approx(signed_area(plan.outline(true))));
    }
}

TEST_CASE("a point more on a straight side changes nothing of a hip roof") {
    std::mt19937 random(4);
    for (int i = 0; i < 60; ++i) {
        CAPTURE(i);
        const Outline outline = make_convex(random);
        Outline longer = outline; // as a front is drawn that a chimney or a change of finish parts
        const std::size_t at = 1 + random() % (outline.size() - 1);
        longer.insert(longer.begin() + static_cast<std::ptrdiff_t>(at),
                      glm::mix(outline[at - 1], outline[at], between(random, 0.2, 0.8)));
        const RoofPlan plan = plan_roof({}, make_roof(outline, RoofForm::hip, 6)),
                       other = plan_roof({}, make_roof(longer, RoofForm::hip, 6));
        CHECK(other.ridge() == doctest::Approx(plan.ridge()));
        CHECK(signed_area(other.outline(true)) == doctest::Approx(signed_area(plan.outline(true))));
        double sum = 0;
        for (const RoofSide& side : other.sides)
            sum += signed_area(other.part_below(side, other.outline(true)));
        CHECK(sum == doctest::Approx(signed_area(plan.outline(true))));
        for (int s = 0; s < 20; ++s) {
            const glm::dvec2 point = any_point(random, outline);
            CHECK(other.top_at(point) == doctest::Approx(plan.top_at(point)));
        }
    }
    Site site;
    site.roofs = {make_roof({{0, 0}, {5, 0}, {10, 0}, {10, 8}, {0, 8}}, RoofForm::hip, 6)};
    CHECK(list_findings(site, false).empty());
}

TEST_CASE("volumes under roofs are those of prisms and wedges") {
    // Over L x W without overhang, slope s: gable s W^2 L / 4, shed s W^2 L / 2, hip s W^2 (3 L - W) / 12.
    for (const double length : {6.0, 10.0, 15.0})
        for (const double rise : {3.0, 8.0, 12.0}) {
            CAPTURE(length);
            const double width = 6, slope = rise / 12;
            const Outline plan{{0, 0}, {length, 0}, {length, width}, {0, width}};
            const auto volume = [&](RoofForm form, RidgeRun ridge) {
                Roof roof = make_roof(plan, form, rise);
                roof.overhang = 0;
                roof.ridge = ridge;
                return measure_volume(plan_roof({}, roof), length, width, 2.7);
            };
            const double square = slope * width * width * length;
            CHECK(volume(RoofForm::gable, RidgeRun::along) == doctest::Approx(square / 4).epsilon(1e-4));
            CHECK(volume(RoofForm::gable, RidgeRun::back) ==
                  doctest::Approx(slope * length * length * width / 4).epsilon(1e-4));
            CHECK(volume(RoofForm::shed, RidgeRun::along) == doctest::Approx(square / 2).epsilon(1e-4));
            CHECK(volume(RoofForm::hip, RidgeRun::along) ==
                  doctest::Approx(slope * width * width * (3 * length - width) / 12).epsilon(1e-4));
        }
}

TEST_CASE("a line parts a polygon in two that make up the whole, each on its side") {
    std::mt19937 random(3);
    for (int i = 0; i < 100; ++i) {
        const Outline outline = make_convex(random);
        const glm::dvec2 from = any_point(random, outline);
        const double angle = between(random, 0, 2 * pi);
        const glm::dvec2 to = from + glm::dvec2(std::cos(angle), std::sin(angle));
        const Outline left = keep_inside(outline, from, to), right = keep_inside(outline, to, from);
        CHECK(signed_area(left) > 0);
        CHECK(signed_area(left) + signed_area(right) == doctest::Approx(signed_area(outline)));
        for (int s = 0; s < 20; ++s) {
            const glm::dvec2 point = any_point(random, outline);
            const double turn = (to.x - from.x) * (point.y - from.y) - (to.y - from.y) * (point.x - from.x);
            CHECK(is_inside(left, point) == (turn > 0));
            CHECK(is_inside(right, point) == (turn < 0));
        }
    }
}

TEST_CASE("an eave of the wall gives its sides their overhang and edge, gables the rake's") {
    Site site;
    site.walls = {make_house_wall({{0, 0}, {9, 0}, {9, 6}, {0, 6}}, true)};
    site.walls[0].eave = Eave{.depth = 0.7, .thickness = 0.25, .rake_depth = 0.3};
    const RoofPlan gable = plan_roof(site, {.id = "r", .wall = "house", .overhang = 9, .thickness = 9});
    for (std::size_t i = 0; i < 4; ++i) {
        CHECK(gable.sides[i].overhang == (i % 2 ? 0.3 : 0.7));
        CHECK(gable.sides[i].edge == 0.25);
        CHECK(gable.sides[i].segment == static_cast<int>(i));
    }
    CHECK(signed_area(gable.outline(true)) == doctest::Approx((9 + 0.6) * (6 + 1.4)));
    // Where no wall stands, at the back and the sides of a house of one segment, the roof's own overhang.
    site.walls[0] = make_house_wall({{0, 0}, {9, 0}}, false);
    site.walls[0].eave = Eave{.depth = 0.7, .thickness = 0.25, .rake_depth = 0.3};
    const RoofPlan half =
        plan_roof(site, {.id = "r", .wall = "house", .depth = 6, .overhang = 0.5, .thickness = 9});
    CHECK(half.sides[0].overhang == 0.7);
    for (std::size_t i = 1; i < 4; ++i)
        CHECK(half.sides[i].overhang == 0.5);
    CHECK(half.underside == 3);
}

TEST_CASE("what is wrong with a roof is said where it stands") {
    Site sound;
    sound.walls = {make_house_wall({{0, 0}, {9, 0}, {9, 6}, {0, 6}}, true),
                   make_house_wall({{0, 30}, {9, 30}}, false)};
    sound.walls[1].id = "front";
    Roof porch = make_roof({{0, -3}, {4, -3}, {4, 0}, {0, 0}}, RoofForm::gable, 6);
    porch.id = "porch";
    porch.columns = Columns{.foot = 2.4};
    sound.roofs = {
        {.id = "hip", .form = RoofForm::hip, .wall = "house", .chimneys = {{.id = "c", .at = {8.9, 3}}}},
        {.id = "gable", .wall = "front", .depth = 5},
        porch};
    check_faults(
        sound,
        {
            {"roofs[0]", "not said what the roof is over", [](Site& site) { site.roofs[0].wall = ""; }},
            {"roofs[2]", "not said what the roof is over", [](Site& site) { site.roofs[2].wall = "house"; }},
            {"roofs[0].wall", "no wall \"hause\"; did you mean \"house\"",
             [](Site& site) { site.roofs[0].wall = "hause"; }},
            {"roofs[1]", "does not say how deep", [](Site& site) { site.roofs[1].depth.reset(); }},
            {"roofs[0].depth", "own corners say how deep", [](Site& site) { site.roofs[0].depth = 4; }},
            {"roofs[0].columns", "given by its outline",
             [](Site& site) { site.roofs[0].columns = Columns{}; }},
            {"roofs[2]", "no meaning without \"height\"", [](Site& site) { site.roofs[2].height.reset(); }},
            {"roofs[2].outline", "has an inner corner",
             [](Site& site) {
                 site.roofs[2].outline[2] = {1, -2};
             }},
            {"roofs[2].outline", "this one has 3", [](Site& site) { site.roofs[2].outline.pop_back(); }},
            {"roofs[2].outline", "a shed roof needs a footprint of four corners, and this one has 5",
             [](Site& site) {
                 site.roofs[2].form = RoofForm::shed;
                 site.roofs[2].outline.insert(site.roofs[2].outline.begin() + 2, {4.2, -1.5});
             }},
            {"roofs[2].outline", "at least 3 points", [](Site& site) { site.roofs[2].outline.resize(2); }},
            {"roofs[2].columns.foot", "stand above the roof's underside",
             [](Site& site) { site.roofs[2].columns->foot = 2.5; }},
            {"roofs[0].chimneys[0].at", "does not stand within the roof's footprint",
             [](Site& site) { site.roofs[0].chimneys[0].at.x = 9.1; }},
            {"roofs[0].chimneys[0].width", "is too small",
             [](Site& site) { site.roofs[0].chimneys[0].width = 0; }},
            {"roofs[0].slope", "is out of range", [](Site& site) { site.roofs[0].rise_in_12 = 24.5; }},
            {"roofs[0].overhang", "is below 0", [](Site& site) { site.roofs[0].overhang = -0.1; }},
            {"roofs[1].thickness", "is too small", [](Site& site) { site.roofs[1].thickness = 0; }},
            {"roofs[2].id", "is taken by roofs[1]", [](Site& site) { site.roofs[2].id = "gable"; }},
            {"roofs[0].chimneys[1].id", "is taken by roofs[0].chimneys[0]",
             [](Site& site) {
                 site.roofs[0].chimneys.push_back({.id = "c", .at = {1, 1}});
             }},
            {"roofs[0].chimneys[0].id", "is kept for the edges of the roof",
             [](Site& site) { site.roofs[0].chimneys[0].id = "trim"; }},
            {"roofs[2].columns.count", "is out of range",
             [](Site& site) { site.roofs[2].columns->count = 41; }},
        });
}

TEST_CASE("a ridge more than 120 m up is refused, and one just below is taken") {
    Site site;
    site.roofs = {make_roof({{0, 0}, {90, 0}, {90, 90}, {0, 90}}, RoofForm::hip, 24)};
    // underside + edge + 2 x (45 + 0.4) of rise
    site.roofs[0].height = 120 - 0.2 - 90.8 - 0.001;
    CHECK(list_findings(site, false).empty());
    *site.roofs[0].height += 0.002;
    const std::vector<std::string> found = list_findings(site, false);
    REQUIRE(found.size() == 1);
    CHECK(found[0].find("roofs[0]: the ridge would be") == 0);
}
