// Questions and answers as a page has them.

#include <doctest/doctest.h>
#include <fstream>
#include <utility>

#include "desk.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;
using duskcast::test::Desk;
using duskcast::test::Json;

TEST_CASE("a change tells of the light, of the fixtures in the trade's words, and of the options") {
    Desk desk;
    const Json changed = desk.change(test::make_garden());
    REQUIRE(changed["is_accepted"] == true);
    CHECK(changed["is_stage_new"] == true);
    CHECK(changed["options"].size() == 2);
    CHECK(changed["options"][0]["name"] == "brighter");
    CHECK(changed["options"][1]["name"] == "few"); // its id, for want of a name
    CHECK(desk.block<float>(changed["light"]["total"]).empty());
    CHECK_FALSE(desk.block<float>(changed["light"]["direct"]).empty());
    const Json& fixture = changed["fixtures"][0];
    CHECK(fixture["id"] == "U1");
    CHECK(fixture["pointer"] == "/fixtures/0");
    CHECK(fixture["words"].get<std::string>().starts_with("15 in back, tilt 8°, reaches "));
    CHECK(fixture["position"][1].get<double>() == doctest::Approx(-15 * metres_per_inch));
    CHECK(fixture["setback"].get<double>() == doctest::Approx(15 * metres_per_inch));
    CHECK(changed["site"]["level_words"][1] == "1 fc");
}

TEST_CASE("a refused text says where and how to mend it, and the state before it stays") {
    Desk desk;
    Json site = test::make_garden();
    desk.change(site);
    site["fixtures"][1]["lamp"] = "usua";
    const Json refused = desk.change(site);
    CHECK(refused["is_accepted"] == false);
    REQUIRE(refused["problems"].size() >= 1); // advice on what is sound may follow
    CHECK(refused["problems"][0]["pointer"] == "/fixtures/1/lamp");
    CHECK(refused["problems"][0]["severity"] == "error");
    CHECK(refused["problems"][0]["file"] == "property.site.json");
    CHECK(refused["problems"][0]["line"].get<int>() > 10);
    CHECK(desk.ask({{"ask", "tidy"}})["text"].get<std::string>().find("usua\"") == std::string::npos);
}

TEST_CASE("in other units the property stays as large and as lit as it was") {
    Desk desk;
    Json site = test::make_garden();
    site["lanterns"] = {{{"id", "porch"},
                         {"wall", site["walls"][0]["id"]},
                         {"along", 2},
                         {"up", 6},
                         {"width", 0.5},
                         {"glow", {{"lumens", 300}}}}};
    desk.change(site);
    const Site drawn = read_site(test::text_of(site), "property.site.json").site;
    const std::string text = desk.ask({{"ask", "tidy"}, {"units", "m"}})["text"].get<std::string>();
    CHECK(text.find("\"units\": \"m\"") != std::string::npos);
    const Site metric = read_site(text, "property.site.json").site;
    CHECK(metric.units == LengthUnit::metre);
    CHECK(metric.lanterns[0].up == doctest::Approx(6 * metres_per_foot).epsilon(1e-6));
    CHECK(metric.walls[0].height == doctest::Approx(drawn.walls[0].height).epsilon(1e-6));
    CHECK(metric.targets[0].level == doctest::Approx(drawn.targets[0].level).epsilon(1e-6));
    CHECK(metric.fixtures[0].along == doctest::Approx(drawn.fixtures[0].along).epsilon(1e-6));
}

TEST_CASE("settled light is direct and bounced light, and the report is the command line's") {
    Desk desk;
    desk.change(test::make_garden());
    const Json settled = desk.ask({{"ask", "settle"}});
    const std::vector<float> direct = desk.block<float>(settled["direct"]);
    const std::vector<float> total = desk.block<float>(settled["total"]);
    REQUIRE(total.size() == direct.size());
    double more = 0;
    for (std::size_t i = 0; i < total.size(); ++i) {
        CHECK(total[i] >= direct[i]);
        more += static_cast<double>(total[i] - direct[i]);
    }
    CHECK(more > 0);
    CHECK_FALSE(desk.progress.empty());
    for (const auto& [task, share] : desk.progress) {
        CHECK(task == "bounce");
        CHECK(share >= 0);
        CHECK(share <= 1);
    }
    const Json report = desk.ask({{"ask", "report"}});
    // Every lumen lands somewhere.
    const Json& spill = report["spill"];
    CHECK(spill["target_lm"].get<double>() + spill["other_lm"].get<double>() +
              spill["ground_lm"].get<double>() + spill["sky_lm"].get<double>() ==
          doctest::Approx(spill["emitted_lm"].get<double>()));
    CHECK(report["watts"] == 13); // 4 + 4 + 5
    CHECK(report["targets"].size() == 2);
    CHECK(Json::parse(report["summary"].get<std::string>())["site"] == "Garden");
}

TEST_CASE("a probe on a sensor finds its light, fixture by fixture") {
    Desk desk;
    const Json changed = desk.change(test::make_garden());
    const std::vector<float> direct = desk.block<float>(changed["light"]["direct"]);
    const Json scene = desk.ask({{"ask", "scene"}});
    const std::vector<float> position = desk.block<float>(scene["sensor_position"]);
    const std::vector<float> normal = desk.block<float>(scene["sensor_normal"]);
    const Json& front = scene["surfaces"][0];
    REQUIRE(front["id"] == "front");
    const std::size_t first = front["first"].get<std::size_t>(), count = front["count"].get<std::size_t>();
    const auto brightest = static_cast<std::size_t>(
        std::max_element(direct.begin() + first, direct.begin() + first + count) - direct.begin());
    const auto point = [&](const std::vector<float>& from) {
        return Json{from[3 * brightest], from[3 * brightest + 1], from[3 * brightest + 2]};
    };
    const Json question = {{"ask", "probe"}, {"position", point(position)}, {"normal", point(normal)}};
    const Json probe = desk.ask(question);
    CHECK(probe["direct_lx"].get<double>() ==
          doctest::Approx(static_cast<double>(direct[brightest])).epsilon(0.01));
    CHECK(probe["bounced_lx"].is_null());
    double sum = 0;
    for (const Json& one : probe["by_fixture"])
        sum += one["lx"].get<double>();
    CHECK(sum == doctest::Approx(probe["direct_lx"].get<double>()));
    desk.ask({{"ask", "settle"}});
    CHECK(desk.ask(question)["bounced_lx"].get<double>() > 0);
}

TEST_CASE("files lie by the names that the site gives them, and never outside") {
    Desk desk;
    CHECK(desk.put("../lamps/usual.ies",
                   test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/garden-spot-5w.ies"))
              .empty());
    Json site = test::make_garden();
    site["lamps"][1] = {{"id", "usual"}, {"file", "../lamps/usual.ies"}, {"watts", 5}};
    CHECK(desk.change(site)["is_accepted"] == true);
    for (const std::string name : {"", "/etc/passwd", "../../../../../out.txt"}) {
        CAPTURE(name);
        const Json refused = desk.put(name, "x");
        REQUIRE(refused.contains("fault"));
        CHECK(refused["fault"][0]["message"].get<std::string>().starts_with("a file cannot be called"));
    }
    desk.engine.remove_file("../lamps/usual.ies");
    const Json gone = desk.change(site);
    CHECK(gone["is_accepted"] == false);
}

TEST_CASE("a question that is none is a fault, not an exception") {
    Desk desk;
    CHECK(Json::parse(desk.engine.ask("{").json).contains("fault"));
    CHECK(desk.ask({{"ask", "scene"}})["fault"][0]["message"] == "no property is open");
    desk.change(test::make_garden());
    CHECK(desk.ask({{"ask", "dance"}}).contains("fault"));
    CHECK(desk.ask({{"ask", "step"}, {"fixture", "U9"}, {"way", "up"}}).contains("fault"));
    CHECK(desk.ask({{"ask", "probe"}}).contains("fault"));
}

TEST_CASE("steps, lamps, readings") {
    Desk desk;
    desk.change(test::make_garden());
    const Json up = desk.ask({{"ask", "step"}, {"fixture", "U1"}, {"way", "up"}});
    CHECK(up["set"] == Json{{"lamp", "narrow"}});
    CHECK(desk.ask({{"ask", "step"}, {"fixture", "T1"}, {"way", "up"}})["set"].is_null());
    CHECK(desk.ask({{"ask", "lamps"}, {"fixture", "U1"}})["lamps"].size() == 3);
    const auto read = [&](const char* quantity, const char* text) {
        return desk.ask({{"ask", "read"}, {"quantity", quantity}, {"text", text}})["value"];
    };
    CHECK(read("length", "15 in").get<double>() == doctest::Approx(0.381));
    CHECK(read("length", "52").get<double>() == doctest::Approx(52 * 0.3048));
    CHECK(read("angle", "8").get<double>() == doctest::Approx(radians_from_degrees(8)));
    CHECK(read("length", "far").is_null());
    CHECK(desk.ask({{"ask", "print"}, {"quantity", "setback"}, {"value", 0.381}})["text"] == "15 in");
}

TEST_CASE("a load without a network says so and still prices lamps") {
    Desk desk;
    Json site = test::make_garden();
    desk.change(site);
    desk.put("prices.csv", test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/prices.csv"));
    const Json dark = desk.ask({{"ask", "load"}, {"prices", "prices.csv"}});
    CHECK(dark["figures"].is_null());
    CHECK(dark["problems"].size() >= 1);
    CHECK_FALSE(dark["take_off"].empty());

    const Json routed = desk.ask({{"ask", "load"}, {"route", true}});
    REQUIRE(routed["figures"].is_object());
    CHECK(routed["figures"]["fixtures"].size() == 3);
    CHECK(routed["network"].get<std::string>().find("transformers") != std::string::npos);
    for (const Json& fixture : routed["figures"]["fixtures"])
        CHECK(fixture["volts"].get<double>() > 9);
}

TEST_CASE("every option has its watts and price at once") {
    Desk desk;
    Json site = test::make_garden();
    site["variants"] = Json::array({{{"id", "fewer"}, {"without", {"U1"}}}});
    desk.change(site);
    const Json bare = desk.ask({{"ask", "bills"}})["bills"];
    REQUIRE(bare.size() == 2);
    CHECK(bare[0]["id"] == "");
    CHECK(bare[1]["id"] == "fewer");
    double watts = 0, gone = 0;
    const Json changed = desk.change(site);
    for (const Json& fixture : changed["fixtures"]) {
        watts += fixture["watts"].get<double>();
        gone += fixture["id"] == "U1" ? fixture["watts"].get<double>() : 0;
    }
    REQUIRE(gone > 0);
    CHECK(bare[0]["watts"].get<double>() == doctest::Approx(watts));
    CHECK(bare[1]["watts"].get<double>() == doctest::Approx(watts - gone));
    CHECK(bare[0]["price_words"] == "");

    desk.put("prices.csv", test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/prices.csv"));
    const Json priced = desk.ask({{"ask", "bills"}, {"prices", "prices.csv"}})["bills"];
    const auto sum = [](const Json& bill) {
        std::string digits;
        for (const char letter : bill["price_words"].get<std::string>())
            if ((letter >= '0' && letter <= '9') || letter == '.')
                digits += letter;
        return std::stod(digits);
    };
    CHECK(sum(priced[0]) > sum(priced[1]));
    CHECK(priced[0]["price_words"].get<std::string>().ends_with(" USD"));
    // What has no price is not in the sum, and the answer says so as the load does.
    const Json load = desk.ask({{"ask", "load"}, {"prices", "prices.csv"}});
    CHECK(priced[0]["is_price_whole"].get<bool>() == !load["total_words"].get<std::string>().empty());
}

TEST_CASE("prices typed line by line come to what a hand adds up") {
    Desk desk;
    desk.change(test::make_garden());
    Json told = desk.ask({{"ask", "prices"}});
    REQUIRE(told["problems"].empty());
    CHECK(told["others"].empty());
    CHECK(told["sums"].back()["what"] == "Known so far");
    CHECK_FALSE(told["gaps"].get<std::string>().empty());

    // Ten for each and half an hour each; 40 for an hour; half of the cost put on; a tenth as tax on things.
    int count = 0;
    Json typed = Json::array();
    const auto add = [&](const Json& line, const char* field, const char* value) {
        Json one = line;
        one["field"] = field;
        one["value"] = value;
        typed.push_back(one);
    };
    for (const Json& line : told["needed"]) {
        count += std::stoi(line["need"].get<std::string>());
        CHECK(line["lacks_price"] == true);
        add(line, "price", "10");
        add(line, "hours", "0.5");
    }
    REQUIRE(count >= 6); // three fixtures with a lamp each
    for (const Json& line : told["general"]) {
        const std::string kind = line["kind"].get<std::string>();
        if (kind == "labour")
            add(line, "price", "40");
        else if (kind == "tax")
            add(line, "price", "10");
        else if (kind == "markup" && line["id"] == "materials")
            add(line, "price", "50");
    }
    const Json written = desk.ask({{"ask", "price typed"}, {"typed", typed}});
    REQUIRE(written["complaint"] == "");
    CHECK(written["file"] == "prices.csv");
    told = desk.ask({{"ask", "prices"}, {"file", "prices.csv"}, {"text", written["text"]}});
    CHECK(told["gaps"] == "");
    const auto sum_of = [&](const std::string& what) {
        for (const Json& sum : told["sums"])
            if (sum["what"].get<std::string>().starts_with(what))
                return std::stod(sum["sum"].get<std::string>());
        return -1.0;
    };
    const double materials = count * 10 * 1.5, labour = count * 0.5 * 40, tax = 0.1 * materials;
    CHECK(sum_of("Materials") == doctest::Approx(materials));
    CHECK(sum_of("Labour") == doctest::Approx(labour));
    CHECK(sum_of("Tax") == doctest::Approx(tax));
    CHECK(sum_of("Total") == doctest::Approx(materials + labour + tax));

    // The bill of the options is of the same list.
    const Json bills =
        desk.ask({{"ask", "bills"}, {"prices", "prices.csv"}, {"prices_text", written["text"]}});
    CHECK(std::stod(bills["bills"][0]["price_words"].get<std::string>()) ==
          doctest::Approx(materials + labour + tax));

    typed = Json::array();
    add(told["needed"][0], "price", "ten");
    const Json refused = desk.ask({{"ask", "price typed"}, {"text", written["text"]}, {"typed", typed}});
    CHECK(refused["text"] == "");
    CHECK(refused["complaint"].get<std::string>().starts_with("\"ten\" is not a number"));
}

TEST_CASE("a list begins with the prices of the catalogue") {
    Desk desk;
    Json site = test::make_garden();
    site["lamps"][1]["price"] = 12.5;
    desk.change(site);
    const Json told = desk.ask({{"ask", "prices"}});
    bool is_known = false;
    for (const Json& line : told["needed"])
        is_known = is_known || (line["id"] == site["lamps"][1]["id"] && line["price"] == "12.50");
    CHECK(is_known);
}

TEST_CASE("lamps of several colours give each spot its own, of luminance 1") {
    Desk desk;
    Json site = test::make_garden();
    CHECK(desk.block<float>(desk.change(site)["light"]["tint"]).empty()); // all are alike
    site["lamps"][2]["cct"] = 4000;                                       // the tree's lamp
    const Json light = desk.change(site)["light"];
    const std::vector<float>& tint = desk.block<float>(light["tint"]);
    const std::vector<float>& lux = desk.block<float>(light["direct"]);
    REQUIRE(tint.size() == 3 * lux.size());
    double warmest = 1e9, coolest = 0;
    for (std::size_t i = 0; i < lux.size(); ++i) {
        const glm::dvec3 colour(tint[3 * i], tint[3 * i + 1], tint[3 * i + 2]);
        CHECK(luminance_of(colour) == doctest::Approx(1).epsilon(1e-4));
        if (lux[i] < 1)
            continue;
        warmest = std::min(warmest, colour.b / colour.r);
        coolest = std::max(coolest, colour.b / colour.r);
    }
    const auto ratio = [](double kelvin) { return light_colour(kelvin).b / light_colour(kelvin).r; };
    CHECK(warmest == doctest::Approx(ratio(2700)).epsilon(0.01));
    CHECK(coolest == doctest::Approx(ratio(4000)).epsilon(0.01));
}

TEST_CASE("a sweep gives curves, and the keys that make each of its variants") {
    Desk desk;
    desk.change(test::make_garden());
    const Json sweep = desk.ask({{"ask", "sweep"},
                                 {"fixtures", {"U1"}},
                                 {"vary", "tilt=4..12:4"},
                                 {"target", "brickwork"},
                                 {"is_direct_only", true}});
    REQUIRE_FALSE(sweep.contains("fault"));
    CHECK(sweep["labels"] == Json{"4°", "8°", "12°"});
    CHECK(sweep["sets"][2]["tilt"].get<double>() == doctest::Approx(12));
    for (const Json& curve : sweep["curves"]) {
        CHECK(curve["values"].size() == 3);
        // The middle one is the site as it is drawn.
        if (!curve["as_drawn"].is_null())
            CHECK(curve["values"][1].get<double>() == doctest::Approx(curve["as_drawn"].get<double>()));
    }
    const Json setback = desk.ask({{"ask", "sweep"},
                                   {"fixtures", {"U1"}},
                                   {"vary", "setback=12in..18in:6in"},
                                   {"is_direct_only", true}});
    CHECK(setback["sets"][1]["setback"] == "0.4572 m");
}

TEST_CASE("a search gives whole site files to take over, the best first") {
    Desk desk;
    const Json site = test::make_garden();
    desk.change(site);
    const Json found = desk.ask({{"ask", "suggest"},
                                 {"fixtures", {"U1", "U2"}},
                                 {"vary", {"tilt=2..14"}},
                                 {"lamps", {"usual", "narrow"}},
                                 {"target", "brickwork"},
                                 {"is_direct_only", true}});
    REQUIRE_FALSE(found.contains("fault"));
    REQUIRE_FALSE(found["designs"].empty());
    CHECK(found["designs"][0]["is_best"] == true);
    const Json taken = Json::parse(found["designs"][0]["text"].get<std::string>());
    CHECK(taken["fixtures"].size() == 3);
    CHECK(taken["variants"].size() == 2);
    CHECK(desk.change(taken)["is_accepted"] == true);
}

TEST_CASE("variants side by side, shares, tolerances and a view are answered") {
    Desk desk;
    desk.change(test::make_garden());
    const Json compared = desk.ask({{"ask", "compare"}, {"is_direct_only", true}});
    REQUIRE_FALSE(compared.contains("fault"));
    REQUIRE(compared["variants"].size() == 3);
    CHECK(compared["variants"][1]["watts"] == 14); // 5 in place of 4
    CHECK(compared["variants"][2]["watts"] == 9);  // one of 4 W less
    const Json shares = desk.ask({{"ask", "contributions"}});
    double of_light = 0;
    for (const Json& fixture : shares["targets"][0]["fixtures"])
        of_light += fixture["of_light"].get<double>();
    CHECK(of_light == doctest::Approx(1));
    const Json tolerance = desk.ask({{"ask", "tolerance"}, {"samples", 8}, {"is_direct_only", true}});
    for (const Json& bar : tolerance["bars"]) {
        CHECK(bar["low"].get<double>() <= bar["middle"].get<double>());
        CHECK(bar["middle"].get<double>() <= bar["high"].get<double>());
    }
    const Json view = desk.ask({{"ask", "view"}, {"view", "street"}, {"width", 40}, {"height", 25}});
    REQUIRE_FALSE(view.contains("fault"));
    const std::vector<std::uint8_t> rgba = desk.block<std::uint8_t>(view["rgba"]);
    REQUIRE(rgba.size() == 40 * 25 * 4);
    // The wall in the middle is brighter than the sky above it.
    const auto brightness = [&](int row) {
        int sum = 0;
        for (int i = 4 * 40 * row; i < 4 * 40 * (row + 1); ++i)
            sum += rgba[static_cast<std::size_t>(i)];
        return sum;
    };
    CHECK(brightness(12) > brightness(0));
    CHECK(desk.ask({{"ask", "view"}, {"view", "nowhere"}, {"width", 9}, {"height", 9}}).contains("fault"));
}

TEST_CASE("the scale and the forms can be asked for before there is a property") {
    Desk desk;
    const Json scale = desk.ask({{"ask", "scale"}});
    CHECK(desk.block<std::uint8_t>(scale["colours"]).size() == 3 * 256);
    CHECK(scale["ticks"][0]["words"] == "0.05");
    CHECK(scale["ticks"][0]["lx"].get<double>() == doctest::Approx(0.05 * lux_per_footcandle));
    const Json forms = desk.ask({{"ask", "forms"}});
    CHECK(forms["site"][0]["name"] == "site");
    CHECK(forms["finishes"].size() > 10);
}

TEST_CASE("questions with figures that nothing can be made of are refused, and nothing is thrown") {
    Desk desk;
    desk.change(test::make_garden());
    const auto refused = [&](const Json& question) {
        const Json answer = desk.ask(question);
        return answer.contains("fault") ? answer["fault"][0]["message"].get<std::string>() : std::string();
    };
    for (const Json& normal : {Json{0, 0, 0}, Json{1e200, 1e200, 0}, Json{1e-200, 0, 0}})
        CHECK(refused({{"ask", "probe"}, {"position", {1, -1, 1}}, {"normal", normal}}) ==
              "a face is asked about that looks nowhere");
    for (const Json& at : {Json{1e300, 0, 0}, Json{0, -2e4, 0}})
        CHECK(refused({{"ask", "probe"}, {"position", at}, {"normal", {0, -1, 0}}}) ==
              "a place is asked about that is too far away");
    CHECK(refused({{"ask", "probe"}, {"ground", {1e300, 0}}}) ==
          "a place is asked about that is too far away");
    for (const Json& pixels : {Json(0), Json(-5), Json(8001), Json(2147483647), Json(1e300)})
        CHECK(refused({{"ask", "view"}, {"view", "street"}, {"width", pixels}, {"height", 20}})
                  .ends_with(" of \"width\" are asked for"));
    Json view = {{"ask", "view"}, {"eye", {0, -9, 1.6}}, {"look_at", {0, 0, 1}}, {"width", 8}, {"height", 8}};
    view["exposure"] = 1e308;
    CHECK(refused(view).ends_with(" of \"exposure\" are asked for"));
    view["look_at"] = {0, 0, 1e300};
    CHECK(refused(view) == "a place is asked about that is too far away");
    for (const double seed : {-1.0, 1e300})
        CHECK(refused({{"ask", "tolerance"}, {"samples", 2}, {"seed", seed}})
                  .ends_with(" of \"seed\" are asked for"));
    CHECK(refused({{"ask", "plant_picture"}, {"plant", "oak"}, {"size", 1e9}}) ==
          "1,000,000,000 of \"size\" are asked for");
    CHECK(refused({{"ask", "tolerance"}, {"samples", 1e18}}).ends_with(" of \"samples\" are asked for"));
    CHECK(refused({{"ask", "suggest"}, {"lamps", {"usual", "narrow"}}, {"least", -1}}) ==
          "-1 of \"least\" are asked for");
    // A name cut within a letter is told with a sign in its place.
    CHECK(desk.put("/\xc3", "x")["fault"][0]["message"] == "a file cannot be called \"/\ufffd\" here");
}
