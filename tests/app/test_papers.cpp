// What goes to clients and into the garden, beside the rooms that write it.

#include "desk.hpp"
#include "duskcast/app/aim_night.hpp"
#include "page_types.hpp"

using namespace duskcast;
using duskcast::test::Desk;
using duskcast::test::Json;

namespace {

/// One that holds the garden, for all cases.
Desk& garden_desk() {
    static Desk desk;
    static const bool is_open = desk.change(test::make_garden())["is_accepted"] == true;
    REQUIRE(is_open);
    return desk;
}

std::unique_ptr<AimNight> garden_night() {
    return light_night(read_site(test::text_of(test::make_garden()), "garden.site.json"), false, {});
}

/// A table with what a meter reads at the fixture's points, times `share`.
std::string print_readings(const AimNight& night, std::size_t fixture, double share) {
    const std::vector<double> lux =
        night.model->find_lux(std::vector<FixtureOffset>(night.model->fixture_count()));
    std::string text = "fixture,point,lux\n";
    for (std::size_t i = 0; i < lux.size(); ++i)
        if (const MeterPoint& point = night.model->points()[i]; point.fixture == fixture)
            text += night.site_file.site.fixtures[fixture].id + "," + std::to_string(point.number) + "," +
                    std::to_string(share * lux[i]) + "\n";
    return text;
}

/// The answer, held against the page's type for it.
Json ask_for(Desk& desk, const std::string& type, const Json& question) {
    Json answer = desk.ask(question);
    REQUIRE_MESSAGE(!answer.contains("fault"), answer.dump());
    for (const std::string& fault : test::page_types().misfits(answer, type, desk.blocks, {}))
        FAIL_CHECK(type, ": ", fault);
    return answer;
}

bool has(const Json& text, const std::string& part) {
    return text.get<std::string>().find(part) != std::string::npos;
}

} // namespace

TEST_CASE("the sheet to aim by is that of the site file, whatever option is looked at") {
    const std::string expected = print_aim_sheet(make_night_sheet(*garden_night()));
    Desk desk;
    for (const char* variant : {"", "few"}) {
        REQUIRE(desk.change(test::make_garden(), {{"variant", variant}})["is_accepted"] == true);
        CHECK(ask_for(desk, "AimSheet", {{"ask", "aim sheet"}, {"name", "garden.site.json"}})["page"] ==
              expected);
    }
}

TEST_CASE("a lamp that gives half its light is found, and the property as built says so") {
    const std::unique_ptr<AimNight> night = garden_night();
    Desk& desk = garden_desk();
    const Json answer = desk.ask(
        {{"ask", "night check"}, {"name", "garden.site.json"}, {"readings", print_readings(*night, 0, 0.5)}});
    REQUIRE(answer["problems"].empty());
    REQUIRE_FALSE(answer["lines"].empty());
    CHECK(has(answer["lines"][0], "U1: gives about "));
    CHECK(has(answer["page"], "Garden: as built"));
    const Site built = read_site(answer["as_built"].get<std::string>(), "garden.site.json").site;
    const Site& drawn = night->site_file.site;
    // The readings are half of what is expected; a lamp's own tolerance pulls the estimate up a little.
    CHECK(built.fixtures[0].light_loss_factor / drawn.fixtures[0].light_loss_factor ==
          doctest::Approx(0.5).epsilon(0.15).scale(0));
    CHECK(built.fixtures[1] == read_site(test::text_of(test::make_garden()), "g.site.json").site.fixtures[1]);
}

TEST_CASE("readings may be looked at before the light is traced, and end the run there") {
    double told = 0;
    NightStart start;
    start.on_points = [](const std::vector<MeterPoint>& points) {
        CHECK(!points.empty());
        throw InputError(Problem{.what = "faulty"});
    };
    CHECK_THROWS_AS(light_night(read_site(test::text_of(test::make_garden()), "garden.site.json"), false,
                                std::move(start), [&](double share) { told = share; }),
                    InputError);
    CHECK(told == 0);
}

TEST_CASE("readings at fault are told with their line, and nothing else is") {
    const Json answer = garden_desk().ask({{"ask", "night check"},
                                           {"readings", "fixture,point,lux\nU9,1,3\n"},
                                           {"readings_name", "night.csv"}});
    REQUIRE(answer["problems"].size() == 1);
    CHECK(answer["problems"][0]["line"] == 2);
    CHECK(answer["problems"][0]["message"] == "there is no fixture \"U9\"");
    CHECK(answer["lines"].empty());
    CHECK(answer["as_built"] == "");
}

TEST_CASE("a proposal names the business and the client, and what has no price yet") {
    const Json answer = garden_desk().ask(
        {{"ask", "proposal"},
         {"name", "garden.site.json"},
         {"business", R"({"duskcast_business": 1, "name": "Fern & Sons"})"},
         {"client", "A <b>"},
         {"is_quick", true},
         {"prices", "own.csv"},
         {"prices_text",
          "kind,id,description,unit,price,labour_hours,taxed\nlamp,usual,a lamp,each,9,0.1,yes\n"}});
    REQUIRE_MESSAGE(answer["problems"].empty(), answer.dump());
    CHECK(has(answer["proposal"], "Fern &amp; Sons"));
    CHECK(has(answer["proposal"], "A &lt;b&gt;"));
    CHECK(has(answer["proposal"], "garden.site.json"));
    CHECK(has(answer["technical"], "Schedule of fixtures"));
    CHECK_FALSE(answer["missing_prices"].empty());
}

TEST_CASE("a business file at fault, and a property that nobody looks at, are told as problems") {
    Desk& desk = garden_desk();
    const Json nameless =
        desk.ask({{"ask", "proposal"}, {"business", R"({"duskcast_business": 1})"}, {"is_quick", true}});
    REQUIRE_FALSE(nameless["problems"].empty());
    CHECK(nameless["proposal"] == "");
    Json site = test::make_garden();
    site.erase("views");
    Desk blind;
    REQUIRE(blind.change(site)["is_accepted"] == true);
    const Json unseen = blind.ask({{"ask", "proposal"}, {"is_quick", true}});
    REQUIRE_FALSE(unseen["problems"].empty());
    CHECK(unseen["problems"][0]["message"] ==
          "a proposal shows the property from its views or in a photo, and there are none");
}
