// A night's readings judged from estimates written by hand: what is worth mending, and what is written back.

#include <algorithm>
#include <doctest/doctest.h>

#include "duskcast/draw/text.hpp"
#include "duskcast/light/lighting.hpp"
#include "duskcast/sheets/night_words.hpp"
#include "duskcast/site/site_file.hpp"
#include "well_formed.hpp"

using namespace duskcast;
using namespace duskcast::test;
using Lines = std::vector<std::string>;

namespace {

constexpr double deg = pi / 180;

/// Three lamps at a wall, tilted by 10, 20 and 30 degrees, and nothing read yet.
struct Walk {
    Site site = read_site(R"({"duskcast": 1, "name": "Yard <1>", "units": "ft", "light": "fc", "as_new": true,
        "sensor_spacing": "2 ft", "ground_spacing": "4 ft", "ground": {"margin": "1 ft"},
        "walls": [{"id": "house", "path": [[0, 0], [30, 0]], "height": "9 ft", "finish": "stucco white"}],
        "lamps": [{"id": "l", "name": "lamp 5 W", "watts": 5, "candela": 800, "beam": 40}],
        "fixtures": [{"id": "A", "kind": "uplight", "lamp": "l", "wall": "house", "along": 5, "tilt": 10, "azimuth": 350},
                     {"id": "B", "kind": "uplight", "lamp": "l", "wall": "house", "along": 15, "tilt": 20, "turn": 5},
                     {"id": "C", "kind": "uplight", "lamp": "l", "wall": "house", "along": 25, "tilt": 30}]})",
                          "yard.site.json")
                    .site;
    std::unique_ptr<Stage> stage = build_stage(site, ".");
    Lighting lighting = trace_lighting(*stage, make_fixtures(site, "."));
    MeterModel model{lighting, choose_meter_points(site, *stage, lighting.fixtures)};
    NightCheck check{.site = site, .model = model};

    /// All as designed, and known well.
    FixtureFit& fit(std::size_t fixture) {
        FixtureFit good{.fixture = fixture, .readings = 3};
        good.tilt = good.azimuth = {0, -1 * deg, 1 * deg, true};
        good.output = {1, 0.96, 1.04, true};
        check.fits.push_back(good);
        return check.fits.back();
    }
    LoadReport& load() {
        check.load = LoadReport{};
        check.load->runs.resize(1);
        check.load->runs[0].is_found = true;
        for (const char* id : {"A", "B"}) {
            FixtureLoad fed;
            fed.id = id;
            fed.volts = 11.5;
            check.load->fixtures.push_back(fed);
        }
        return *check.load;
    }
    Lines findings(std::size_t index = 0) const { return judge_night(check).at(index).findings; }
};

} // namespace

TEST_CASE("a head is worth turning where the design lies outside the interval and off by what shows") {
    struct Row {
        double value_deg, low_deg, high_deg;
        bool is_told;
        const char* finding;
        bool is_untold;
    };
    for (const Row& row :
         {Row{4, 2, 6, true,
              "tilted about 4\u00b0 too far (12 to 16\u00b0 from straight up); designed 10\u00b0", false},
          Row{-5, -7, -3, true,
              "tilted about 5\u00b0 too little (3 to 7\u00b0 from straight up); designed 10\u00b0", false},
          Row{4, -0.5, 8.5, true, "", false},  // the design is among what may be
          Row{4, -0.5, 8.5, false, "", true},  // and the readings hardly narrow it
          Row{1.4, 0.9, 1.9, true, "", false}, // sure, but not worth kneeling down for
          Row{1.6, 1.1, 2.1, true,
              "tilted about 2\u00b0 too far (11 to 12\u00b0 from straight up); designed 10\u00b0", false}}) {
        CAPTURE(row.value_deg);
        Walk walk;
        walk.fit(0).tilt = {row.value_deg * deg, row.low_deg * deg, row.high_deg * deg, row.is_told};
        const NightVerdict verdict = judge_night(walk.check).at(0);
        CHECK(verdict.fixture == "A");
        CHECK(verdict.findings == (*row.finding ? Lines{row.finding} : Lines{}));
        CHECK(verdict.untold == (row.is_untold ? Lines{"tilt"} : Lines{}));
        CHECK(verdict.is_off == (*row.finding != 0));
    }
}

TEST_CASE("a direction is told to the right or left, and a dim lamp by the share it gives") {
    Walk walk;
    walk.fit(0).azimuth = {7 * deg, 4 * deg, 10 * deg, true};
    CHECK(walk.findings() == Lines{"turned about 7\u00b0 to the right (4 to 10\u00b0)"});
    walk.check.fits[0].azimuth = {-7 * deg, -10 * deg, -4 * deg, true};
    CHECK(walk.findings() == Lines{"turned about 7\u00b0 to the left (4 to 10\u00b0)"});
    walk.check.fits[0].azimuth = {0, -1 * deg, 1 * deg, true};
    walk.check.fits[0].output = {0.72, 0.68, 0.77, true};
    CHECK(walk.findings() == Lines{"gives about 72 % of its light (68 to 77 %)"});
    walk.check.fits[0].output = {0.94, 0.92, 0.96, true}; // 7 % is the least
    CHECK(walk.findings().empty());
    // What is off most to a client, less light, comes before tilt and direction.
    walk.check.fits[0].output = {0.5, 0.4, 0.6, true};
    walk.check.fits[0].azimuth = {7 * deg, 4 * deg, 10 * deg, true};
    walk.check.fits[0].tilt = {-4 * deg, -5 * deg, -3 * deg, true};
    REQUIRE(walk.findings().size() == 3);
    CHECK(walk.findings()[0].starts_with("gives about 50 %"));
    CHECK(walk.findings()[1].starts_with("tilted"));
    CHECK(walk.findings()[2].starts_with("turned"));
}

TEST_CASE("volts are compared with what was planned, and point to the likely cause") {
    Walk walk;
    walk.load();
    const auto judged = [&](const char* fixture, double volts) {
        walk.check.readings.volts = {{fixture, volts}};
        return judge_night(walk.check).at(0);
    };
    CHECK(judged("A", 11.3).findings.empty());
    CHECK(judged("A", 11.75).findings.empty());
    CHECK(judged("A", 10.9).findings ==
          Lines{"10.9 V where 11.5 V were planned: look at splices, tap and length of cable"});
    CHECK(judged("A", 12.4).findings ==
          Lines{"12.4 V where 11.5 V were planned: look whether lamps are missing on the run"});
    CHECK(judged("A", 12.4).is_off);
    CHECK(judged("C", 11).untold == Lines{"volts, which the site file does not plan"});
    walk.check.load->runs[0].is_found = false; // nothing can be planned on a run without a working point
    CHECK(judged("A", 10).untold == Lines{"volts, which the site file does not plan"});
    walk.check.load->runs[0].is_found = true;
    // Light and volts of one fixture make one verdict.
    walk.fit(0).tilt = {4 * deg, 2 * deg, 6 * deg, true};
    walk.check.readings.volts = {{"A", 10.9}, {"B", 11.5}};
    const std::vector<NightVerdict> both = judge_night(walk.check);
    REQUIRE(both.size() == 2);
    CHECK(both[0].findings.size() == 2);
    CHECK(both[1].fixture == "B");
    CHECK(!both[1].is_off);
}

TEST_CASE("lines say what to mend, then what is as designed, then what is not told and not read") {
    Walk walk;
    walk.fit(0).tilt = {4 * deg, 2 * deg, 6 * deg, true};
    walk.fit(1);
    const Lines two = print_night(walk.check);
    REQUIRE(two.size() == 4);
    CHECK(two[0].starts_with("A: tilted about 4\u00b0 too far"));
    CHECK(two[1] == "As designed, as far as readings tell: B.");
    CHECK(two[2] == "No light was read at C.");
    CHECK(two[3].find("nine times out of ten") != std::string::npos);
    FixtureFit& third = walk.fit(2);
    third.output.is_told = third.azimuth.is_told = false;
    const Lines three = print_night(walk.check);
    REQUIRE(three.size() == 4);
    CHECK(three[2] == "C: too few readings to tell its output or direction.");
}

TEST_CASE("what was built is written with what readings tell beyond doubt, and nothing else") {
    Walk walk;
    walk.fit(0).tilt = {4 * deg, 2 * deg, 6 * deg, true};
    walk.check.fits[0].azimuth = {-7 * deg, -10 * deg, -4 * deg, true};
    walk.fit(1).azimuth = {6 * deg, 3 * deg, 9 * deg, true};
    walk.check.fits[1].output = {0.8, 0.75, 0.85, true};
    walk.fit(2).tilt = {4 * deg, -1 * deg, 9 * deg, true}; // may as well be as designed
    walk.check.fits[2].output = {1.2, 1.1, 1.3, true};     // a lamp better than its box
    const Site built = make_as_built(walk.check.site, walk.check.fits);
    CHECK(built.fixtures[0].tilt == doctest::Approx(14 * deg));
    CHECK(*built.fixtures[0].azimuth == doctest::Approx(343 * deg));
    CHECK(built.fixtures[0].turn == 0);
    CHECK(!built.fixtures[1].azimuth); // a turn stays a turn
    CHECK(built.fixtures[1].turn == doctest::Approx(11 * deg));
    CHECK(built.fixtures[1].light_loss_factor == doctest::Approx(0.8));
    CHECK(built.fixtures[2] == walk.site.fixtures[2]);
    // Nothing tilts beyond straight up.
    walk.check.fits[0].tilt = {-15 * deg, -18 * deg, -12 * deg, true};
    CHECK(make_as_built(walk.check.site, walk.check.fits).fixtures[0].tilt == 0);
    // It is a site file that reads back as it was written.
    const SiteFile again = read_site(print_site(built), "built.site.json");
    CHECK(again.site.fixtures[1].turn == doctest::Approx(11 * deg).epsilon(1e-6));
}

TEST_CASE(
    "readings that do not agree are said to, with the one that looks wrong, and nothing is built from them") {
    Walk walk;
    walk.check.readings.light = {{0, lux_per(LightUnit::footcandle)},
                                 {1, 3 * lux_per(LightUnit::footcandle)}};
    walk.fit(0).tilt = {4 * deg, 2 * deg, 6 * deg, true}; // would be a finding
    walk.fit(1);
    ReadingDoubt& doubt = walk.check.fits[0].doubt.emplace(ReadingDoubt{40, 2, 1e-9, {1}});
    const NightVerdict verdict = judge_night(walk.check).at(0);
    CHECK(verdict.is_doubtful);
    CHECK(verdict.is_off);
    REQUIRE(verdict.findings.size() == 1);
    const int number = walk.model.points()[1].number;
    CHECK(verdict.findings[0] == "no likely tilt, direction and output give what was read here; point " +
                                     std::to_string(number) +
                                     " (3 fc) looks wrong: read it again before you turn anything");
    doubt.suspects = {0, 1};
    CHECK(walk.findings()[0].find("one of point 1 (1 fc), point 2 (3 fc) looks wrong") != std::string::npos);
    doubt.suspects.clear();
    CHECK(walk.findings()[0].find("no single reading accounts for it") != std::string::npos);
    doubt.readings = 1;
    CHECK(walk.findings()[0].find("read it again, then look at head, lens and lamp") != std::string::npos);
    CHECK(make_as_built(walk.check.site, walk.check.fits).fixtures[0] == walk.site.fixtures[0]);
    const Lines lines = print_night(walk.check);
    CHECK(std::count(lines.begin(), lines.end(),
                     "As built, A stays as designed, because the readings do not agree.") == 1);
    const std::string page = print_night_page(walk.check, "");
    CHECK(page.find("<td>readings do not agree</td>") != std::string::npos);
    CHECK(page.find("14\u00b0 (12 to 16)") == std::string::npos);
}

TEST_CASE("of a light that shines straight down no tilt and no direction is spoken of") {
    Walk walk;
    Fixture& path = walk.site.fixtures[0];
    path = {.id = "P", .kind = FixtureKind::path, .lamp = "l", .at = glm::dvec2(3, -2), .tilt = pi};
    FixtureFit& fit = walk.fit(0);
    fit.azimuth = {7 * deg, 4 * deg, 10 * deg, true};
    CHECK(walk.findings().empty());
    fit.tilt = {-4 * deg, -6 * deg, -2 * deg, true};
    CHECK(walk.findings() ==
          Lines{"about 4\u00b0 out of plumb (2 to 6\u00b0): set its stake plumb and its hat level"});
    const std::string page = print_night_page(walk.check, "");
    CHECK(page.find("<td>P</td><td>plumb</td><td>4\u00b0 (2 to 6) out of plumb</td><td>-</td><td>-</td>") !=
          std::string::npos);
    CHECK(without_sign({-1, -4, 2, true}).low == 0);
    CHECK(without_sign({-1, -4, 2, true}).high == 4);
    fit.output = {0.6, 0.55, 0.65, true};
    const Fixture built = make_as_built(walk.site, walk.check.fits).fixtures[0];
    CHECK(built.tilt == path.tilt);
    CHECK(built.turn == path.turn);
    CHECK(built.light_loss_factor == doctest::Approx(0.6));
    fit.tilt = fit.azimuth = {0, -3 * deg, 3 * deg, false};
    CHECK(print_night(walk.check)[1] == "P: too few readings to tell its lean.");
    fit.doubt.emplace(ReadingDoubt{40, 1, 1e-9, {}});
    CHECK(walk.findings() ==
          Lines{"no likely lean and output give what was read here; read it again, then look "
                "at stake, lens and lamp"});
    path.kind = FixtureKind::downlight;
    fit.doubt.reset();
    fit.tilt = {4 * deg, 2 * deg, 6 * deg, true};
    CHECK(walk.findings()[1] == "hangs about 4\u00b0 out of plumb (2 to 6\u00b0)");
    // Straight up there is a tilt to set, and no direction.
    path.kind = FixtureKind::uplight;
    path.tilt = 0;
    CHECK(walk.findings()[1] ==
          "tilted about 4\u00b0 too far (2 to 6\u00b0 from straight up); designed 0\u00b0");
    CHECK(walk.findings().size() == 2);
}

TEST_CASE("the page of a night has every figure that its sentences give") {
    Walk walk;
    walk.fit(0).tilt = {7 * deg, 2 * deg, 15 * deg, false}; // a wide range that the design lies outside of
    CHECK(walk.findings()[0].starts_with("tilted about 7\u00b0 too far (12 to 25"));
    CHECK(judge_night(walk.check)[0].untold.empty());
    CHECK(print_night_page(walk.check, "").find("<td>17\u00b0 (12 to 25)</td>") != std::string::npos);
    walk.check.fits[0].tilt.low = -3 * deg;
    CHECK(judge_night(walk.check)[0].untold == Lines{"tilt"});
    CHECK(print_night_page(walk.check, "").find("<td>not told by the readings</td>") != std::string::npos);
}

TEST_CASE("the meter's error that was named is the one that is said") {
    Walk walk;
    walk.check.tolerances.reading = 0.12;
    walk.fit(0);
    CHECK(print_night(walk.check).back().find("readings that are 12 % off as a rule") != std::string::npos);
    // Where the readings tell nothing there are no figures that it could be said of.
    FixtureFit& fit = walk.check.fits[0];
    fit.output.is_told = fit.tilt.is_told = fit.azimuth.is_told = false;
    for (const std::string& line : print_night(walk.check))
        CHECK(line.find("in brackets") == std::string::npos);
}

TEST_CASE("the page of a night has designed, found, expected and read side by side") {
    Walk walk;
    walk.load();
    walk.fit(0).tilt = {4 * deg, 2 * deg, 6 * deg, true};
    walk.check.fits[0].output = {0.72, 0.68, 0.77, true};
    walk.check.fits[0].azimuth.is_told = false;
    const std::vector<double> expected = walk.model.find_lux(std::vector<FixtureOffset>(3));
    REQUIRE(walk.model.points()[0].fixture == 0);
    walk.check.readings.light = {{0, 0.8 * expected[0]}};
    walk.check.readings.volts = {{"A", 10.35}, {"C", 12}};
    const std::string page = print_night_page(walk.check, "duskcast <test>");
    read_elements(page);
    const auto has = [&](const std::string& text) {
        CAPTURE(text);
        CHECK(page.find(text) != std::string::npos);
    };
    has("Yard &lt;1&gt;: as built");
    has("<td>A</td><td>10\u00b0</td><td>14\u00b0 (12 to 16)</td><td>350\u00b0, north</td>"
        "<td>not told by the readings</td><td>72 % (68 to 77)</td>");
    has("<td>80 %</td>");
    has(keep_units(print_illuminance(0.8 * expected[0], LightUnit::footcandle)));
    has("<td>at the lamp</td><td>11.5 V</td><td>10.3 V</td><td>90 %</td>");
    has("<td>not planned</td><td>12.0 V</td><td></td>");
    has("duskcast &lt;test&gt;");
    for (const std::string& line : print_night(walk.check))
        has(escape_html(line));
}
