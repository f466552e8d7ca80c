// What a session holds after a change, beside a single run of the same text from its file to its figures.

#include <doctest/doctest.h>
#include <functional>
#include <regex>

#include "duskcast/app/session.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/summary.hpp"
#include "duskcast/view/see.hpp"
#include "folder.hpp"
#include "garden_site.hpp"

using namespace duskcast;
using duskcast::test::Json;

namespace {

/// Every figure and every lux, as text: what `duskcast light` writes.
std::string print_all(const SiteFile& file, const Site& site, const Stage& stage, const Lighting& lighting,
                      const Report& report) {
    std::string text;
    for (const Surface& surface : stage.surfaces)
        if (surface.count > 0)
            text += print_map(stage, lighting, surface);
    for (const Sentence& sentence : print_answers(site, report))
        text += sentence.text + "\n";
    SiteFile shown = file;
    shown.site = site;
    // How much was done for it differs: a session lights trunks and roofs as well, for the walk.
    const std::regex done("\n    \"(sensors|sight_rays)\": [0-9]+,?");
    return text + std::regex_replace(print_summary(shown, stage, lighting, report), done, "");
}

std::string print_session(Session& session) {
    const Report& report = session.measure();
    return print_all(session.file(), session.site(), session.stage(), session.lighting(), report);
}

/// The way of a single run, without a session.
std::string print_single_run(const Json& site_text, const std::filesystem::path& folder) {
    const SiteFile file = read_site(test::text_of(site_text), folder / "property.site.json");
    const std::unique_ptr<Stage> stage = build_stage(file.site, folder);
    Lighting lighting = trace_lighting(*stage, make_fixtures(file.site, folder));
    add_bounce(set_up_bounce(*stage, lighting.fixtures, file.site.ambient), lighting);
    return print_all(file, file.site, *stage, lighting,
                     measure_with_views(file.site, folder, *stage, lighting));
}

std::vector<double> light_directly(const Json& site_text, const std::filesystem::path& folder) {
    const SiteFile file = read_site(test::text_of(site_text), folder / "property.site.json");
    const std::unique_ptr<Stage> stage = build_stage(file.site, folder);
    return trace_lighting(*stage, make_fixtures(file.site, folder)).direct_lx;
}

/// Of what figures are of.
std::vector<double> direct_light_of(Session& session) {
    std::vector<double> lux = session.lighting().direct_lx;
    const Stage& stage = session.stage();
    lux.erase(lux.begin() + stage.first_body_sensor(), lux.begin() + stage.first_leaf_sensor);
    return lux;
}

bool hold(Session& session, const Json& site, const Look& look = {}) {
    return session.change(test::text_of(site), look).is_accepted;
}

} // namespace

TEST_CASE("after any change a session holds the bytes of a single run") {
    const test::Folder folder;
    Session session(folder.path());
    Json site = test::make_garden();
    REQUIRE(hold(session, site));
    CHECK(print_session(session) == print_single_run(site, folder.path()));

    struct Step {
        const char* what;
        std::function<void(Json&)> make;
        bool is_stage_new;
        std::vector<std::string> fixtures; ///< whose light changes
        bool is_settled;                   ///< compared with bounced light as well, which takes longest
    };
    const std::vector<Step> steps{
        {"another aim", [](Json& one) { one["fixtures"][0]["tilt"] = 14; }, false, {"U1"}, true},
        {"another lamp", [](Json& one) { one["fixtures"][1]["lamp"] = "narrow"; }, false, {"U2"}, false},
        {"another dimming", [](Json& one) { one["fixtures"][2]["dimming"] = 0.5; }, false, {"T1"}, false},
        {"figures of a lamp", [](Json& one) { one["lamps"][2]["lumens"] = 450; }, false, {"U2", "T1"}, false},
        {"another place", [](Json& one) { one["fixtures"][0]["along"] = "6 ft"; }, false, {"U1"}, true},
        {"another order",
         [](Json& one) { std::swap(one["fixtures"][0], one["fixtures"][1]); },
         false,
         {},
         false},
        {"one more",
         [](Json& one) {
             one["fixtures"].push_back(one["fixtures"][0]);
             one["fixtures"][3]["id"] = "U3";
             one["fixtures"][3]["along"] = "10 ft";
         },
         false,
         {"U3"},
         true},
        {"one less", [](Json& one) { one["fixtures"].erase(3); }, false, {}, false},
        {"other targets and levels",
         [](Json& one) {
             one["targets"][0]["level"] = "2 fc";
             one["levels"] = {1, 3};
         },
         false,
         {},
         false},
        {"a photo, which nothing is built of",
         [](Json& one) { one["photos"] = Json::parse(R"([{"id": "street", "file": "street.jpg"}])"); },
         false,
         {},
         false},
        {"another ambient light", [](Json& one) { one["ambient"] = "0.3 lx"; }, false, {}, true},
        {"a higher wall",
         [](Json& one) {
             one["walls"][0]["height"] = "11 ft";
             one["walls"][0]["gables"][0]["peak"] = "17 ft";
         },
         true,
         {"U2", "U1", "T1"},
         true},
        {"a lantern",
         [](Json& one) {
             one["lanterns"] = {
                 {{"id", "porch"}, {"at", {2, -4, 6}}, {"width", "8 in"}, {"glow", {{"lumens", 500}}}}};
         },
         true,
         {"U2", "U1", "T1"},
         true},
        {"another aim beside the lantern",
         [](Json& one) { one["fixtures"][0]["tilt"] = 11; },
         false,
         {"U2"},
         true},
        {"another finish",
         [](Json& one) { one["walls"][0]["finish"] = "stucco white"; },
         true,
         {"U2", "U1", "T1"},
         false},
    };
    for (const Step& step : steps) {
        CAPTURE(step.what);
        step.make(site);
        const Outcome outcome = session.change(test::text_of(site), {});
        REQUIRE_MESSAGE(outcome.is_accepted, print_problem(outcome.problems.front()));
        CHECK(outcome.is_stage_new == step.is_stage_new);
        CHECK(outcome.fixtures == step.fixtures);
        CHECK_FALSE(session.is_settled());
        if (step.is_settled)
            CHECK(print_session(session) == print_single_run(site, folder.path()));
        else
            CHECK(direct_light_of(session) == light_directly(site, folder.path()));
    }
}

TEST_CASE("a moved fixture traces one Sight, a turned one none") {
    const test::Folder folder;
    Session session(folder.path());
    Json site = test::make_garden();
    REQUIRE(hold(session, site));
    const float* other = session.lighting().sights[1].transfer.data();
    const float* own = session.lighting().sights[0].transfer.data();
    site["fixtures"][0]["tilt"] = 12;
    REQUIRE(hold(session, site));
    CHECK(session.lighting().sights[0].transfer.data() == own);
    site["fixtures"][0]["along"] = "7 ft";
    REQUIRE(hold(session, site));
    CHECK(session.lighting().sights[0].transfer.data() != own);
    CHECK(session.lighting().sights[1].transfer.data() == other);
    site["fixtures"][0]["along"] = "4 ft"; // back again: still known
    REQUIRE(hold(session, site));
    CHECK(session.lighting().sights[0].transfer.data() == own);
}

TEST_CASE("what is refused leaves the last good state as it was") {
    const test::Folder folder;
    Session session(folder.path());
    Json site = test::make_garden();
    REQUIRE(hold(session, site));
    const std::vector<double> before = session.lighting().direct_lx;
    const std::string good = test::text_of(site);

    SUBCASE("text that is no JSON") {
        const Outcome outcome = session.change(good.substr(0, good.size() / 2), {});
        CHECK_FALSE(outcome.is_accepted);
        REQUIRE(outcome.problems.size() == 1);
        CHECK(outcome.problems.front().place.line > 1);
    }
    SUBCASE("two faults at once, each with its place") {
        site["fixtures"][0]["lamp"] = "usul";
        site["fixtures"][1]["tilt"] = 400;
        const Outcome outcome = session.change(test::text_of(site), {});
        CHECK_FALSE(outcome.is_accepted);
        REQUIRE(outcome.problems.size() >= 2);
        std::vector<std::string> paths;
        for (const Problem& problem : outcome.problems) {
            CHECK(problem.place.line > 1);
            paths.push_back(problem.place.path);
        }
        CHECK(std::find(paths.begin(), paths.end(), "fixtures[0].lamp") != paths.end());
        CHECK(std::find(paths.begin(), paths.end(), "fixtures[1].tilt") != paths.end());
    }
    SUBCASE("a target on nothing, which only the stage knows") {
        site["targets"][0]["on"] = "front.door";
        CHECK_FALSE(session.change(test::text_of(site), {}).is_accepted);
    }
    SUBCASE("a variant that is not there") {
        const Outcome outcome = session.change(good, {.variant = "brigt"});
        CHECK_FALSE(outcome.is_accepted);
        REQUIRE(outcome.problems.size() == 1);
        CHECK(outcome.problems.front().remedy == "did you mean \"bright\"?");
    }
    SUBCASE("a lamp's file that is not there") {
        site["lamps"][0] = {{"id", "faint"}, {"file", "gone.ies"}, {"watts", 3}};
        CHECK_FALSE(session.change(test::text_of(site), {}).is_accepted);
    }
    CHECK(session.lighting().direct_lx == before);
    CHECK(print_site(session.site()) == print_site(session.file().site));
    CHECK(session.change(good, {}).is_accepted);
    CHECK(session.lighting().direct_lx == before);
}

TEST_CASE("a variant is lit as the site would be with its changes") {
    const test::Folder folder;
    Session session(folder.path());
    const Json site = test::make_garden();
    REQUIRE(hold(session, site, {.variant = "bright"}));
    Json changed = site;
    changed["fixtures"][0]["lamp"] = "narrow";
    Session other(folder.path());
    REQUIRE(hold(other, changed));
    CHECK(session.lighting().direct_lx == other.lighting().direct_lx);
    CHECK(session.lighting().fixtures[0].watts == 5);

    REQUIRE(hold(session, site, {.variant = "few"}));
    CHECK(session.site().fixtures.size() == 2);
    CHECK(session.file().site.fixtures.size() == 3);
}

TEST_CASE("a bare tree is another stage, and in leaf again it is the first one's light") {
    const test::Folder folder;
    Session session(folder.path());
    const Json site = test::make_garden();
    REQUIRE(hold(session, site));
    const std::vector<double> in_leaf = session.lighting().direct_lx;
    const Outcome bare =
        session.change(test::text_of(site), {.plants = {.season = Season::bare, .years_on = 0}});
    REQUIRE(bare.is_accepted);
    CHECK(bare.is_stage_new);
    CHECK(session.lighting().direct_lx != in_leaf);
    REQUIRE(hold(session, site));
    CHECK(session.lighting().direct_lx == in_leaf);
}

TEST_CASE("a lamp's file is read again once it is said to have changed") {
    const test::Folder folder;
    const std::string ies = test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/garden-spot-5w.ies");
    REQUIRE_FALSE(ies.empty());
    folder.write("spot.ies", ies);
    Json site = test::make_garden();
    site["lamps"][2] = {{"id", "narrow"}, {"file", "spot.ies"}, {"watts", 5}};
    Session session(folder.path());
    REQUIRE(hold(session, site));
    const double spot = session.lighting().fixtures[2].lumens;
    folder.write("spot.ies", test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/garden-wash-3w.ies"));
    session.forget_files();
    REQUIRE(hold(session, site));
    CHECK(session.lighting().fixtures[2].lumens != spot);
    CHECK(direct_light_of(session) == light_directly(site, folder.path()));
}

TEST_CASE("a session that began with the stage alone is lit by the next change as if it had not") {
    const test::Folder folder;
    Session session(folder.path());
    Json site = test::make_garden();
    site["walls"][0]["openings"][0]["glow"] = {{"luminance", 4}};
    const std::string text = test::text_of(site);
    const Outcome begun = session.begin(text, {});
    REQUIRE(begun.is_accepted);
    CHECK(begun.is_stage_new);
    CHECK(session.stage().sensors.size() > 0);
    CHECK(session.lighting().fixtures.empty());
    const Outcome lit = session.change(text, {});
    REQUIRE(lit.is_accepted);
    CHECK(!lit.is_stage_new);
    CHECK(direct_light_of(session) == light_directly(site, folder.path()));
    CHECK(print_session(session) == print_single_run(site, folder.path()));

    // Another property's stage takes the place of a lit one, and its light that of the other's.
    Json other = test::make_garden();
    other["walls"][0]["height"] = "12 ft";
    REQUIRE(session.begin(test::text_of(other), {}).is_accepted);
    REQUIRE(hold(session, other));
    CHECK(direct_light_of(session) == light_directly(other, folder.path()));
    // What is refused leaves what was held.
    other["walls"][0]["height"] = -1;
    CHECK(!session.begin(test::text_of(other), {}).is_accepted);
    CHECK(!session.lighting().direct_lx.empty());
}
