// Where the advice on placing begins: each threshold is found by bisection and compared with the geometry or
// the rule it stands for. What the advice says is in warnings.corpus.

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

constexpr double a_foot = 0.3048, an_inch = 0.0254; // exact (1959)

/// Whether the site has no errors and a warning at the path that holds the words.
bool warns(const Site& site, const std::string& path, const std::string& words) {
    bool is_said = false;
    for (const Problem& one : check_site(site, ".")) {
        CAPTURE(print_problem(one));
        REQUIRE(one.severity == Severity::warning);
        is_said = is_said || (one.place.path == path && one.what.find(words) != std::string::npos);
    }
    return is_said;
}

using Make = std::function<Site(double figure)>;

/// A warning that is given from some figure on, or up to it.
struct Threshold {
    const char* name;
    std::string path, words;
    double silent, warned; ///< figures at which it is not and is given
    double wanted;
    double tolerance;
    Make make;
};

void check_threshold(const Threshold& one) {
    CAPTURE(one.name);
    double silent = one.silent, warned = one.warned;
    REQUIRE_FALSE(warns(one.make(silent), one.path, one.words));
    REQUIRE(warns(one.make(warned), one.path, one.words));
    while (std::abs(warned - silent) > one.tolerance / 4) {
        const double middle = (silent + warned) / 2;
        (warns(one.make(middle), one.path, one.words) ? warned : silent) = middle;
    }
    const double found = (silent + warned) / 2;
    CAPTURE(found);
    CAPTURE(one.wanted);
    CHECK(std::abs(found - one.wanted) < one.tolerance);
}

std::vector<glm::dvec2> rectangle(double left, double bottom, double right, double top) {
    return {{left, bottom}, {right, bottom}, {right, top}, {left, top}};
}

/// 900 cd in the middle of a beam of 24 degrees, on bare mulch far from everything.
Site make_garden() {
    Site site;
    site.ground.base = GroundKind::mulch;
    Lamp lamp{.id = "spot", .watts = 5};
    lamp.figures.centre_candela = 900;
    lamp.figures.beam_angle = radians_from_degrees(24);
    site.lamps = {lamp};
    return site;
}

Site with_fixture(const glm::dvec2& at, Mount mount = Mount::surface) {
    Site site = make_garden();
    site.fixtures = {{.id = "f", .kind = FixtureKind::wash, .lamp = "spot", .at = at, .mount = mount}};
    return site;
}

Wall make_wall(double length, double height) {
    Wall wall;
    wall.id = "front";
    wall.path = {{0, 0}, {length, 0}};
    wall.height = height;
    return wall;
}

/// An uplight half way along a wall of 12 m by 3 m.
Site at_wall(double setback, double tilt_deg) {
    Site site = make_garden();
    site.walls = {make_wall(12, 3)};
    Fixture fixture{.id = "f", .lamp = "spot", .wall = "front", .along = 6, .mount = Mount::surface};
    fixture.setback = setback;
    fixture.tilt = radians_from_degrees(tilt_deg);
    site.fixtures = {fixture};
    return site;
}

GroundArea make_area(GroundKind kind, const std::vector<glm::dvec2>& outline) {
    return {.id = "area", .kind = kind, .outline = outline};
}

double degrees(double radians) {
    return radians * 180 / 3.14159265358979;
}

} // namespace

TEST_CASE("lights and transformers keep 10 ft from water, buried cable 5 ft") {
    // NEC 411 and 680.11 before 2017, both from memory.
    const GroundArea pool = make_area(GroundKind::water, rectangle(0, 0, 8, 4));
    const auto fixture_by = [&](const glm::dvec2& corner, const glm::dvec2& way, double away) {
        Site site = with_fixture(corner + way * away);
        site.ground.areas = {pool};
        return site;
    };
    const double diagonal = std::sqrt(0.5);
    const auto cable_by = [&](double away) {
        Site site = with_fixture({6, 4 + away});
        site.ground.areas = {pool};
        Network& network = site.network.emplace();
        network.transformers = {{.id = "T", .at = {2, 4 + away}, .rating = 150}};
        network.runs = {{.id = "run", .fixtures = {"f"}}};
        return site;
    };
    const std::vector<Threshold> cases{
        {"before an edge", "fixtures[0]", "from the water", 9, 1, 10 * a_foot, 1e-4,
         [&](double d) {
             return fixture_by({4, 4}, {0, 1}, d);
         }},
        {"off a corner", "fixtures[0]", "from the water", 9, 1, 10 * a_foot, 1e-4,
         [&](double d) {
             return fixture_by({8, 4}, {diagonal, diagonal}, d);
         }},
        {"before a fountain", "fixtures[0]", "from the water", 9, 1, 10 * a_foot, 1e-4,
         [&](double d) {
             Site site = with_fixture({30 + 1 + d, 30});
             site.fountains = {{.id = "fountain", .at = {30, 30}, .width = 2}};
             return site;
         }},
        {"in the water", "fixtures[0]", "stands in the water", 1, -1, 0, 1e-4,
         [&](double d) {
             return fixture_by({4, 4}, {0, 1}, d);
         }},
        {"a transformer", "network.transformers[0]", "from the water", 9, 1, 10 * a_foot, 1e-4, cable_by},
        {"a cable along it", "network.runs[0]", "the cable comes within", 9, 0.5, 5 * a_foot, 1e-4, cable_by},
    };
    for (const Threshold& one : cases)
        check_threshold(one);
}

TEST_CASE("an uplight stands 12 to 18 in from its wall") {
    // Common practice, no source.
    for (const auto& [silent, warned, wanted] :
         {std::array{0.4, 0.1, 12 * an_inch}, std::array{0.4, 2.0, 18 * an_inch}})
        check_threshold({"setback", "fixtures[0].setback", "from the wall is", silent, warned, wanted, 1e-5,
                         [](double setback) { return at_wall(setback, 8); }});
}

TEST_CASE("where an uplight's beam meets its wall, by plane trigonometry") {
    // A lens 0.15 m up and 0.4 m out: at tilt t its axis meets the wall 0.15 + 0.4 / tan t up. Two feet are
    // common practice, no source. The lower edge of the beam is 12 degrees further down.
    const double setback = 0.4, lens = 0.15;
    const double foot_tilt = degrees(std::atan(setback / (2 * a_foot - lens)));
    const double over_tilt = degrees(std::atan(setback / (3 - lens))) - 12;
    REQUIRE(over_tilt < 0);
    const auto tilted = [&](double tilt) { return at_wall(setback, tilt); };
    const auto narrow = [&](double tilt) {
        Site site = at_wall(setback, tilt);
        site.lamps[0].figures.beam_angle = radians_from_degrees(10);
        return site;
    };
    const auto under_gable = [&](double tilt) { // its top is 4.5 m up, half way up the left slope
        Site site = narrow(tilt);
        site.walls[0].gables = {{"g", 4, 8, 6}};
        return site;
    };
    const auto away = [&](double tilt) {
        Site site = at_wall(setback, tilt);
        site.fixtures[0].turn = 3.14159265358979;
        return site;
    };
    const auto sideways = [&](double turn) {
        Site site = at_wall(setback, 20);
        site.fixtures[0].turn = radians_from_degrees(turn);
        return site;
    };
    const std::string path = "fixtures[0].tilt";
    const auto edge = [&](double top) { return degrees(std::atan(setback / (top - lens))) - 5; };
    const std::vector<Threshold> cases{
        {"too near the foot", path, "meets the wall only", 8, 60, foot_tilt, 0.01, tilted},
        {"over the top", path, "passes over the wall's top", 8, 0, edge(3), 0.02, narrow},
        {"over a gable's slope", path, "passes over the wall's top", 8, 0, edge(4.5), 0.02, under_gable},
        {"away from the wall", path, "leans back", 0, 10, 0.5, 0.001, away},
        // At tilt 20 turned by a the lean is atan(tan 20 cos a): half a degree away from the wall.
        {"turned away", path, "leans back", 0, 150,
         degrees(std::acos(-std::tan(radians_from_degrees(0.5)) / std::tan(radians_from_degrees(20)))), 0.01,
         sideways},
        {"level", path, "points level or below", 80, 120, 90, 0.001, tilted},
    };
    for (const Threshold& one : cases)
        check_threshold(one);
}

TEST_CASE("a beam wider at the wall's top than the wall is long") {
    // 2 d tan 12 degrees at the distance d of the top.
    const double width = 2 * std::hypot(0.4, 3 - 0.15) * std::tan(radians_from_degrees(12));
    check_threshold(
        {"width", "fixtures[0].lamp", "wider than the wall's", 4, 0.5, width, 0.002, [](double length) {
             Site site = at_wall(0.4, 8);
             site.walls = {make_wall(length, 3)};
             site.fixtures[0].along = length / 2;
             return site;
         }});
}

TEST_CASE("in the way of mowers, feet and spikes") {
    // Common practice, no source: a mower keeps 2 ft off, feet keep to the inside of paving.
    const auto on_lawn = [](const std::function<void(Site&)>& add) {
        return [add](double away) {
            Site site = with_fixture({3, away});
            site.ground.base = GroundKind::lawn;
            add(site);
            return site;
        };
    };
    const auto wall = on_lawn([](Site& site) { site.walls = {make_wall(6, 3)}; });
    const auto hedge = on_lawn([](Site& site) {
        Shrub shrub{.id = "hedge", .path = {{0, 0}, {6, 0}}, .width = 0.8};
        shrub.height = 1;
        site.shrubs = {shrub};
    });
    const auto tree = on_lawn([](Site& site) {
        Tree oak{.id = "oak", .at = {3, 0}, .height = 12, .base = 5, .width = 1};
        oak.trunk_diameter = 0.5;
        site.trees = {oak};
    });
    const auto bed =
        on_lawn([](Site& site) { site.ground.areas = {make_area(GroundKind::bed, rectangle(0, -2, 6, 0))}; });
    const auto paving = [](double inside) {
        Site site = with_fixture({5, inside});
        site.ground.areas = {make_area(GroundKind::paving, rectangle(0, 0, 10, 10))};
        return site;
    };
    const std::string lawn = "in the way of the mower";
    const std::vector<Threshold> cases{
        {"off a wall", "fixtures[0]", lawn, 0.3, 5, 2 * a_foot, 1e-4, wall},
        {"off a hedge's leaves", "fixtures[0]", lawn, 0.6, 5, 0.4 + 2 * a_foot, 1e-4, hedge},
        {"off a trunk's bark", "fixtures[0]", lawn, 0.3, 5, 0.25 + 2 * a_foot, 1e-4, tree},
        {"off a bed's edge", "fixtures[0]", lawn, 0.1, 5, 2 * a_foot, 1e-4, bed},
        {"inside paving", "fixtures[0]", "where feet and wheels pass", 0.1, 4, 1 * a_foot, 1e-4, paving},
    };
    for (const Threshold& one : cases)
        check_threshold(one);

    // Spikes: into earth, not into paving, and not into a lawn.
    const auto spiked = [](GroundKind kind) {
        Site site = with_fixture({5, 5}, Mount::spike);
        site.ground.base = kind;
        return site;
    };
    CHECK(warns(spiked(GroundKind::lawn), "fixtures[0]", "hit by the mower"));
    CHECK(warns(spiked(GroundKind::paving), "fixtures[0]", "cannot be driven into paving"));
    for (const GroundKind kind : {GroundKind::bed, GroundKind::mulch})
        CHECK_FALSE(warns(spiked(kind), "fixtures[0]", ""));
    // What is flush with the ground or hangs is in nobody's way.
    for (const FixtureKind kind : {FixtureKind::in_ground, FixtureKind::downlight}) {
        Site site = spiked(GroundKind::lawn);
        site.fixtures[0].kind = kind;
        site.fixtures[0].mount = Mount::surface;
        site.fixtures[0].tilt = kind == FixtureKind::downlight ? 3.1 : 0;
        CHECK_FALSE(warns(site, "fixtures[0]", ""));
    }
}

TEST_CASE("among leaves and under them") {
    const auto in_hedge = [](double away, double height) {
        Site site = with_fixture({3, away});
        Shrub shrub{.id = "hedge", .path = {{0, 0}, {6, 0}}, .width = 0.8, .foot = 0.2};
        shrub.height = 1;
        site.shrubs = {shrub};
        site.fixtures[0].lens_height = height;
        return site;
    };
    // A crown that is an ellipsoid of half axes 3 m, 3 m and 4 m about a middle 6 m up: 2 m off the trunk its
    // lowest leaves are 6 - 4 sqrt(1 - 4/9) up. They are looked for every 5 cm.
    const double lowest = 6 - 4 * std::sqrt(1 - 4.0 / 9);
    const auto under_crown = [](double height) {
        Site site = with_fixture({2, 0});
        site.trees = {{.id = "oak", .height = 10, .base = 2, .width = 6}};
        site.fixtures[0].lens_height = height;
        return site;
    };
    const std::string among = "stands among the leaves";
    const std::vector<Threshold> cases{
        {"before a hedge", "fixtures[0]", among, 2, 0.1, 0.4, 1e-4,
         [&](double d) { return in_hedge(d, 0.5); }},
        {"above a hedge", "fixtures[0]", among, 2, 0.5, 1.2, 1e-4, [&](double z) { return in_hedge(0, z); }},
        {"below a hedge", "fixtures[0]", among, 0.1, 0.5, 0.2, 1e-4,
         [&](double z) { return in_hedge(0, z); }},
        {"under a skirt", "fixtures[0]", "take most of its light", 0.5, lowest - 0.3, lowest - 2 * a_foot,
         0.06, under_crown},
        {"in a crown", "fixtures[0]", "the lens is among the leaves", 1, 5, lowest, 0.06, under_crown},
        {"above a crown", "fixtures[0]", "the lens is among the leaves", 11, 5, 12 - lowest, 0.06,
         under_crown},
    };
    for (const Threshold& one : cases)
        check_threshold(one);

    Site bed = with_fixture({1, 1});
    bed.shrubs = {{.id = "box", .outline = rectangle(0, 0, 2, 2), .height = 1}};
    CHECK(warns(bed, "fixtures[0]", among));
    bed.fixtures[0].at = {2.1, 1};
    CHECK_FALSE(warns(bed, "fixtures[0]", among));
}

TEST_CASE("what hangs 10 ft up or higher wants care") {
    // 29 CFR 1910.333(c)(3): 10 ft from overhead lines; the ladder's height is common practice, no source.
    check_threshold({"height", "fixtures[0]", "above the ground", 2, 5, 10 * a_foot, 1e-4, [](double height) {
                         Site site = with_fixture({0, 0});
                         site.fixtures[0].kind = FixtureKind::downlight;
                         site.fixtures[0].lens_height = height;
                         site.fixtures[0].tilt = 3.1;
                         return site;
                     }});
    // Said once, of all of them, with the greatest height.
    Site site = with_fixture({0, 0});
    site.fixtures[0].kind = FixtureKind::downlight;
    site.fixtures[0].tilt = 3.1;
    site.fixtures.resize(3, site.fixtures[0]);
    for (std::size_t i = 0; i < 3; ++i) {
        site.fixtures[i].id = std::string(1, static_cast<char>('a' + i));
        site.fixtures[i].at = {static_cast<double>(i), 0};
        site.fixtures[i].lens_height = std::array{2.0, 12 * a_foot, 20 * a_foot}[i];
    }
    CHECK(warns(site, "fixtures[1]", "b, c hang up to 20 ft above the ground"));
    CHECK_FALSE(warns(site, "fixtures[2]", "hang"));
}

TEST_CASE("a lens in a roof or an eave") {
    // A shed roof over 6 by 4 m, its underside 3 m up, rising 3 in 12 from its edge 0.3 m before y = 0.
    const auto in_roof = [](FixtureKind kind, const glm::dvec2& at, double height) {
        Site site = with_fixture(at);
        site.roofs = {{.id = "porch", .form = RoofForm::shed, .outline = rectangle(0, 0, 6, 4), .height = 3}};
        site.roofs[0].rise_in_12 = 3;
        site.fixtures[0].kind = kind;
        site.fixtures[0].tilt = 3;
        site.fixtures[0].lens_height = height;
        return site;
    };
    const double top = 3 + 0.15 + (1 + 0.3) * 3 / 12;
    const char* inside = "the lens is inside the roof \"porch\"";
    const auto rising = [&](FixtureKind kind) {
        return [=](double height) { return in_roof(kind, {3, 1}, height); };
    };
    const std::string path = "fixtures[0].lens_height";
    // At its end the roof is a plane that overhangs the wall, with the thickness of its edge.
    const std::vector<Threshold> cases{
        {"underside", path, inside, 2.9, 3.1, 3, 1e-5, rising(FixtureKind::downlight)},
        {"covering", path, inside, top + 0.1, top - 0.1, top, 1e-5, rising(FixtureKind::wash)},
        {"above it", path, "just above the roof", top + 0.6, top + 0.1, top + a_foot, 1e-5,
         rising(FixtureKind::downlight)},
        {"before it", path, inside, -1, 0, -0.3, 1e-5,
         [&](double y) {
             return in_roof(FixtureKind::wash, {3, y}, 3.05);
         }},
        {"under its overhanging end", path, inside, top - 0.3, top - 0.1, top - 0.15, 1e-5,
         [&](double height) {
             return in_roof(FixtureKind::wash, {-0.2, 1}, height);
         }},
        {"an eave", path, "the lens is inside the eave of \"front\"", -0.6, -0.3, -0.5, 1e-5,
         [](double y) {
             Site site = with_fixture({6, y});
             site.walls = {make_wall(12, 3)};
             site.walls[0].eave = Eave{.depth = 0.5};
             site.fixtures[0].lens_height = 3.1;
             return site;
         }},
        {"none where a gable rises", path, "inside the eave", 5, 3, 4, 1e-5,
         [](double along) {
             Site site = with_fixture({along, -0.3});
             site.walls = {make_wall(12, 3)};
             site.walls[0].gables = {{.id = "peak", .from = 4, .width = 4, .peak = 6}};
             site.walls[0].eave = Eave{.depth = 0.5};
             site.fixtures[0].lens_height = 3.1;
             return site;
         }},
    };
    for (const Threshold& one : cases)
        check_threshold(one);
}

TEST_CASE("a shroud that takes over a third of the lamp's lumens") {
    // Of a lens of diameter d a tube of length l leaves two circles' overlap, l tan(gamma) apart.
    constexpr double lens = 0.05;
    const auto with_shroud = [=](double length) {
        Site site = with_fixture({0, 0});
        site.lamps[0].figures.beam_angle = radians_from_degrees(60);
        site.fixtures[0].lens_diameter = lens;
        site.fixtures[0].shroud_length = length;
        return site;
    };
    const Distribution beam = make_lamp_light(with_shroud(0).lamps[0], ".").distribution;
    const auto share_taken = [&](double length) {
        double all = 0, open = 0;
        constexpr int steps = 20'000;
        for (int i = 0; i < steps; ++i) {
            const double gamma = (i + 0.5) / steps * 3.14159265358979 / 2;
            const double lumens =
                beam.candela_towards({std::sin(gamma), 0, -std::cos(gamma)}) * std::sin(gamma);
            const double apart = std::min(1.0, length * std::tan(gamma) / lens);
            all += lumens;
            open += lumens * 2 / 3.14159265358979 * (std::acos(apart) - apart * std::sqrt(1 - apart * apart));
        }
        return 1 - open / all;
    };
    double low = 0, high = 0.2;
    while (high - low > 1e-6)
        (share_taken((low + high) / 2) < 1.0 / 3 ? low : high) = (low + high) / 2;
    check_threshold({"length", "fixtures[0].lamp", "stay in the shroud", 0.005, 0.1, low, 5e-4, with_shroud});
    Site site = with_shroud(0.1);
    site.lamps[0].figures.beam_angle = radians_from_degrees(10); // what a narrow beam loses is little
    CHECK_FALSE(warns(site, "fixtures[0].lamp", "stay in"));
    site = with_shroud(0);
    site.fixtures[0].hood_length = 0.3; // half of such a tube takes nearly half
    CHECK(warns(site, "fixtures[0].lamp", "stay in the hood"));
}

TEST_CASE("into a window: the axis meets the pane, and not too flat") {
    // A wall along x, a lens 2 m before x = 6 and 0.5 m up; the window is 7 to 8.5 m along, 1 to 2.2 m up.
    const auto aimed = [](double azimuth, double tilt) {
        Site site = with_fixture({6, -2});
        site.walls = {make_wall(30, 3)};
        site.walls[0].openings = {{.id = "w", .from = 7, .width = 1.5, .sill = 1, .height = 1.2}};
        site.fixtures[0].lens_height = 0.5;
        site.fixtures[0].azimuth = radians_from_degrees(azimuth);
        site.fixtures[0].tilt = radians_from_degrees(tilt);
        return site;
    };
    const std::string words = "goes into window";
    // To x = 6 + 2 tan a at any height; at azimuth 40 the wall is 2 / cos 40 away in the plan.
    const double flat = 2 / std::cos(radians_from_degrees(40));
    const double tilt = degrees(std::atan2(flat, 1.0)); // 1 m higher: 1.5 m up
    const auto tilt_to = [&](double z) { return degrees(std::atan2(flat, z - 0.5)); };
    const std::vector<Threshold> cases{
        {"left edge", "fixtures[0]", words, 10, 40, degrees(std::atan(0.5)), 0.01,
         [&](double azimuth) { return aimed(azimuth, tilt); }},
        {"right edge", "fixtures[0]", words, 60, 40, degrees(std::atan(1.25)), 0.01,
         [&](double azimuth) { return aimed(azimuth, tilt); }},
        {"sill", "fixtures[0]", words, 88, tilt, tilt_to(1), 0.01, [&](double t) { return aimed(40, t); }},
        {"lintel", "fixtures[0]", words, 20, tilt, tilt_to(2.2), 0.01,
         [&](double t) { return aimed(40, t); }},
    };
    for (const Threshold& one : cases)
        check_threshold(one);

    // Under more than 70 degrees off square little enters a room (no source): a lens that slides along a line
    // half a metre before the wall and is aimed at the middle of the pane.
    check_threshold(
        {"grazing", "fixtures[0]", words, 80, 45, 70, 0.2, [&](double off_square) {
             Site site = aimed(off_square, 90);
             site.fixtures[0].lens_height = 1.6;
             site.fixtures[0].at = {7.75 - 0.5 * std::tan(radians_from_degrees(off_square)), -0.5};
             return site;
         }});
    Site door = aimed(40, tilt);
    door.walls[0].openings[0].kind = OpeningKind::door;
    CHECK_FALSE(warns(door, "fixtures[0]", words));
    Site off = aimed(40, tilt);
    off.fixtures[0].dimming = 0;
    CHECK_FALSE(warns(off, "fixtures[0]", words));
}

TEST_CASE("a neighbour's point gets more than 1 lx: E = I cos / d^2") {
    // CIE 150, windows in zone E2 after curfew, from memory. 900 cd straight at the point.
    const auto aimed = [](double distance, double facing_deg, double dimming) {
        Site site = with_fixture({0, 0});
        site.fixtures[0].lens_height = 1.5;
        site.fixtures[0].azimuth = 0;
        site.fixtures[0].tilt = radians_from_degrees(90);
        site.fixtures[0].dimming = dimming;
        WatchPoint point{.id = "bedroom", .at = {0, distance, 1.5}};
        point.facing = radians_from_degrees(facing_deg);
        site.watch_points = {point};
        return site;
    };
    const std::string words = "towards \"bedroom\"";
    const double tolerance = 0.01; // the beam's middle is on a table of candela
    const auto at_angle = [&](double off, double factor) {
        return std::sqrt(900 * factor * std::cos(radians_from_degrees(off)));
    };
    const std::vector<Threshold> cases{
        {"square on", "fixtures[0]", words, 60, 5, at_angle(0, 1), tolerance,
         [&](double d) { return aimed(d, 180, 1); }},
        {"60 degrees off", "fixtures[0]", words, 60, 5, at_angle(60, 1), tolerance,
         [&](double d) { return aimed(d, 120, 1); }},
        {"dimmed to a quarter", "fixtures[0]", words, 60, 5, at_angle(0, 0.25), tolerance,
         [&](double d) { return aimed(d, 180, 0.25); }},
        // 1 lx of 900 cd at 1 m: an angle of acos(1 / 900) between the ray and the way the plane looks.
        {"turned away", "fixtures[0]", words, 80, 170, 180 - degrees(std::acos(1 / 900.0)), 0.01,
         [&](double facing) { return aimed(1, facing, 1); }},
    };
    for (const Threshold& one : cases)
        check_threshold(one);
    CHECK_FALSE(warns(aimed(1, 0, 1), "fixtures[0]", words)); // the plane looks away

    Site unfaced = aimed(29, 0, 1);
    unfaced.watch_points[0].facing.reset(); // the worst plane is an upright one square to the ray
    CHECK(warns(unfaced, "fixtures[0]", words));
    Site walled = aimed(20, 180, 1);
    walled.walls = {make_wall(4, 3)};
    walled.walls[0].path = {{-2, 10}, {2, 10}};
    CHECK_FALSE(warns(walled, "fixtures[0]", words));
    walled.walls[0].height = 1; // over which the light passes
    CHECK(warns(walled, "fixtures[0]", words));
}

TEST_CASE("into eyes: within half the beam angle, in range, and not from far above") {
    const auto aimed = [](double off_deg) {
        Site site = with_fixture({0, 0});
        site.fixtures[0].azimuth = radians_from_degrees(off_deg);
        site.fixtures[0].tilt = radians_from_degrees(90);
        site.fixtures[0].lens_height = 1.6;
        site.eyes = {{.id = "guest", .at = {0, 5, 1.6}}};
        return site;
    };
    const auto moved = [&](double distance) {
        Site site = aimed(0);
        site.eyes[0].at.y = distance;
        return site;
    };
    const auto raised = [&](double elevation_deg) { // 4 m off, aimed straight at the eyes
        Site site = aimed(0);
        site.eyes[0].at = {0, 4, 1.6};
        site.fixtures[0].lens_height = 1.6 + 4 * std::tan(radians_from_degrees(elevation_deg));
        site.fixtures[0].tilt = radians_from_degrees(90 + elevation_deg);
        return site;
    };
    const auto walker = [&](double distance) { // 1.5 m eyes in the middle of a path of 1 m by 1 m
        Site site = aimed(0);
        site.eyes.clear();
        site.fixtures[0].lens_height = 1.5;
        site.ground.areas = {
            make_area(GroundKind::paving, rectangle(-0.5, distance - 0.5, 0.5, distance + 0.5))};
        return site;
    };
    const std::string guest = "\"guest\" looks into the beam", somebody = "somebody on \"area\" looks";
    const std::vector<Threshold> cases{
        {"beside the beam", "fixtures[0]", guest, 30, 2, 12, 0.05, aimed},
        {"far off", "fixtures[0]", guest, 80, 10, 50, 0.001, moved},
        {"from above the brow", "fixtures[0]", guest, 50, 5, 30, 0.01, raised},
        {"somebody who walks", "fixtures[0]", somebody, 40, 10, 15, 0.001, walker},
    };
    for (const Threshold& one : cases)
        check_threshold(one);

    Site view = aimed(0);
    view.eyes.clear();
    view.views = {{.id = "street", .eye = {0, 5, 1.6}, .look_at = {0, 0, 1.6}}};
    CHECK(warns(view, "fixtures[0]", "whoever looks from view \"street\""));
    Site hidden = aimed(0);
    hidden.walls = {make_wall(2, 3)};
    hidden.walls[0].path = {{-1, 2.5}, {1, 2.5}};
    CHECK_FALSE(warns(hidden, "fixtures[0]", guest));
    Site shut = aimed(11.5);
    shut.fixtures[0].louvre = {0.005, 0.03};
    CHECK_FALSE(warns(shut, "fixtures[0]", guest)); // six times as deep as wide: shut from 10 degrees on
}

TEST_CASE("an ambient brighter than a garden's night") {
    // Common practice, no source: 5 lx, as under street lights.
    check_threshold({"ambient", "ambient", "is no dark garden", 1, 20, 5, 1e-3, [](double lux) {
                         Site site = make_garden();
                         site.ambient = lux;
                         return site;
                     }});
}
