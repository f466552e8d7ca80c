// Every answer of the engine against the types that the page is compiled with: a key that is missing, new or
// of another kind would break the page and no C++ would notice.

#include "desk.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/stage/surface.hpp"
#include "page_types.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// The garden with one of everything that answers tell of: lantern, hub, hedge, neighbour, bay and cable.
Json make_full_garden() {
    Json site = make_garden();
    site["network"] = Json::parse(R"({
        "transformers": [{"id": "T", "at": [-2, -2], "va": 150}], "hubs": [{"id": "H", "at": [18, -3]}],
        "runs": [{"id": "front", "gauge": 12, "fixtures": ["U1", "U2"]},
                 {"id": "tree", "gauge": 12, "layout": "hub", "hub": "H", "fixtures": ["T1"]}]})");
    site["shrubs"] =
        Json::parse(R"([{"id": "box", "path": [[0, -6], [6, -6]], "width": "1 ft", "height": "1 ft",
        "leaf_size": "4 in"}])");
    site["walls"][0]["projections"] = Json::parse(
        R"([{"id": "bay", "kind": "bay", "from": "12 ft", "width": "4 ft", "depth": "1 ft", "height": "6 ft"}])");
    site["lanterns"] =
        Json::parse(R"([{"id": "porch", "at": [2, -4, 6], "width": "8 in", "glow": {"lumens": 500}}])");
    site["steps"] = Json::parse(R"([{"id": "stoop", "wall": "front", "along": "9 ft", "height": "12 in"}])");
    site["roofs"] = Json::parse(R"([{"id": "shed", "outline": [[60, 40], [90, 40], [90, 64], [60, 64]],
        "height": 9, "slope": 9, "chimneys": [{"id": "flue", "at": [64, 52]}],
        "dormers": [{"id": "dormer", "from": 12, "width": 5, "height": 4}]}])");
    site["ground"]["areas"].push_back(Json::parse(R"({"id": "bank", "kind": "lawn", "height": 3,
        "outline": [[70, -20], [90, -20], [90, -8], [70, -8]], "fall": {"towards": 180}})"));
    site["watch_points"] = Json::parse(R"([{"id": "next-door", "at": [10, -60, 5]}])");
    site["zone"] = "E2";
    return site;
}

/// A desk with the full garden on it.
struct FullDesk : Desk {
    Json changed = change(make_full_garden());
    void check(const Json& answer, const std::string& type, const std::set<std::string>& added = {}) const {
        CAPTURE(type);
        REQUIRE_MESSAGE(!answer.contains("fault"), answer.dump());
        const std::vector<std::string> faults = page_types().misfits(answer, type, blocks, added);
        for (const std::string& fault : faults)
            FAIL_CHECK(fault);
    }
};

} // namespace

TEST_CASE("types are told from what does not fit them") {
    const PageTypes types(R"(
        export type Way = "up" | "down";
        /** A comment; with: signs { */
        export interface Thing { name: string; // and one more: here
            way: Way; count?: number; places: [number, number][]; inner: { is_on: boolean } | null;
            light: Float32Array; set: Record<string, string | number>; names: ("a" | "b")[]; }
        export interface Machine { open(site: Thing): Promise<void>; })");
    const Json good =
        Json::parse(R"({"name": "x", "way": "up", "places": [[1, 2], [3, 4.5]], "inner": {"is_on": true},
        "light": {"$block": 0}, "set": {"tilt": 4, "lamp": "l"}, "names": ["a", "b"]})");
    const std::vector<Block> blocks{std::vector<float>{1}, std::vector<std::int32_t>{1}};
    CHECK(types.misfits(good, "Thing", blocks).empty());
    const auto faults = [&](const char* key, const Json& value) {
        Json other = good;
        other[key] = value;
        return types.misfits(other, "Thing", blocks).size();
    };
    CHECK(faults("name", 3) == 1);
    CHECK(faults("way", "left") == 1);
    CHECK(faults("count", "many") == 1);
    CHECK(faults("count", 2) == 0);
    CHECK(faults("places", Json::parse("[[1, 2, 3]]")) == 1);
    CHECK(faults("places", Json::parse("[[1, null]]")) == 1);
    CHECK(faults("inner", nullptr) == 0);
    CHECK(faults("inner", Json::parse(R"({"is_off": true})")) >= 2);
    CHECK(faults("light", Json::parse(R"({"$block": 1})")) == 1); // whole numbers
    CHECK(faults("light", Json::parse(R"({"$block": 2})")) == 1); // there is none
    CHECK(faults("set", Json::parse(R"({"tilt": null})")) >= 1);
    CHECK(faults("names", Json::parse(R"(["a", "c"])")) == 1);
    CHECK(faults("new", 1) == 1);
    Json less = good;
    less.erase("name");
    CHECK(types.misfits(less, "Thing", blocks) == std::vector<std::string>{"Thing.name: missing"});
    CHECK(types.misfits(less, "Thing", blocks, {"name"}).empty());
}

TEST_CASE("every kind of surface that a stage may have is one that the page knows") {
    Json surface =
        Json::parse(R"({"id": "a", "kind": "", "part_of": "a", "first": 0, "count": 0, "area_m2": 1,
        "grid": null, "outline": [], "run": [], "foot": 0})");
    CHECK(page_types().misfits(surface, "Surface", {}).size() == 1); // no kind at all
    int kinds = 0;
    for (std::string name; (name = name_of(static_cast<SurfaceKind>(kinds))) != "surface"; ++kinds) {
        CAPTURE(name);
        surface["kind"] = name;
        CHECK(page_types().misfits(surface, "Surface", {}).empty());
    }
    CHECK(kinds >= 9);
}

TEST_CASE("what a change, the scene and settled light are told with is what the page expects") {
    FullDesk desk;
    REQUIRE_MESSAGE(desk.changed["is_accepted"] == true, desk.changed["problems"].dump());
    desk.check(desk.changed, "Changed");
    CHECK(desk.changed["problems"].size() >= 1); // warnings, so that their keys are looked at
    desk.check(desk.ask({{"ask", "scene"}}), "Scene");
    const Json scene = desk.ask({{"ask", "scene"}});
    for (const char* part : {"walls", "projections", "roofs", "steps", "lanterns", "areas", "trees", "shrubs",
                             "cables", "transformers", "hubs", "falls"})
        CHECK_MESSAGE(!scene["plan"][part].empty(), part);
    for (const char* part : {"chimneys", "dormers"})
        CHECK_MESSAGE(!scene["plan"]["roofs"][0][part].empty(), part);
    const Json plants = desk.ask({{"ask", "plants"}});
    REQUIRE(plants["plants"].size() == plant_kinds().size());
    desk.check(plants["plants"][0], "PlantChoice");
    const Json picture = desk.ask({{"ask", "plant_picture"}, {"plant", "lavender"}, {"size", 24}});
    desk.check(picture, "PlantPicture");
    const Json probe = {{"ask", "probe"}, {"position", {3, 0, 1}}, {"normal", {0, -1, 0}}};
    desk.check(desk.ask(probe), "Probe");
    desk.check(desk.ask({{"ask", "settle"}}), "Light");
    const Json report = desk.ask({{"ask", "report"}});
    desk.check(report, "Settled", {"light"});
    for (const char* part : {"sentences", "table", "stray", "targets", "reaches", "trees"})
        CHECK_MESSAGE(!report[part].empty(), part);
    const Json settled_probe = desk.ask(probe);
    desk.check(settled_probe, "Probe");
    CHECK(!settled_probe["by_fixture"].empty());
    desk.check(desk.ask({{"ask", "contributions"}}), "Contributions");
    desk.check(desk.ask({{"ask", "view"}, {"view", "street"}, {"width", 24}, {"height", 16}}), "View");
}

TEST_CASE("what a refused change is told with is what the page reads of it") {
    FullDesk desk;
    Json site = make_full_garden();
    site["fixtures"][0]["lamp"] = "gone";
    const Json refused = desk.change(site);
    CHECK(refused["is_accepted"] == false);
    REQUIRE(!refused["problems"].empty());
    // The page takes the rest from the last good answer.
    for (const Json& problem : refused["problems"])
        CHECK(page_types().misfits(problem, "Problem", {}).empty());
}

TEST_CASE("loads, bills, lamps, steps, forms and the scale are what the page expects") {
    FullDesk desk;
    desk.put("prices.csv", read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/prices.csv"));
    const Json load = desk.ask({{"ask", "load"}, {"prices", "prices.csv"}});
    desk.check(load, "Load");
    CHECK(load["figures"]["runs"].size() == 2);
    CHECK(load["figures"]["runs"][0]["cables"].size() >= 2);
    CHECK(load["figures"]["transformers"].size() == 1);
    desk.check(desk.ask({{"ask", "load"}, {"route", true}}), "Load");
    // A run that asks for more than its cable carries has no operating point, and no volts.
    Json site = make_full_garden();
    site["lamps"][1]["watts"] = 4000;
    site["network"]["runs"][0]["gauge"] = 18;
    desk.change(site);
    const Json overloaded = desk.ask({{"ask", "load"}});
    desk.check(overloaded, "Load");
    REQUIRE(overloaded["figures"].is_object());
    CHECK(overloaded["figures"]["runs"][0]["is_found"] == false);
    CHECK(overloaded["figures"]["runs"][0]["least_volts"].is_null());
    CHECK(overloaded["figures"]["fixtures"][0]["state"] == "none");
    Json bare = make_full_garden();
    bare.erase("network");
    desk.change(bare);
    desk.check(desk.ask({{"ask", "load"}}), "Load");

    desk.change(make_full_garden());
    for (const Json& bill : desk.ask({{"ask", "bills"}, {"prices", "prices.csv"}})["bills"])
        desk.check(bill, "Bill");
    const std::string list = read_bytes(DUSKCAST_SOURCE_DIR "/scenes/lamps/prices.csv");
    desk.check(desk.ask({{"ask", "prices"}}), "Prices");
    desk.check(desk.ask({{"ask", "prices"}, {"file", "prices.csv"}, {"text", list}}), "Prices");
    const Json typed = {{"kind", "labour"}, {"id", ""},         {"unit", "hour"},
                        {"words", ""},      {"field", "price"}, {"value", "70"}};
    desk.check(desk.ask({{"ask", "price typed"}, {"text", list}, {"typed", Json::array({typed})}}),
               "PriceWritten");
    for (const Json& lamp : desk.ask({{"ask", "lamps"}, {"fixture", "U1"}})["lamps"])
        desk.check(lamp, "LampChoice");
    for (const char* way : {"up", "down"})
        for (const char* fixture : {"U1", "T1"})
            desk.check(desk.ask({{"ask", "step"}, {"fixture", fixture}, {"way", way}}), "Step");
    desk.check(desk.ask({{"ask", "forms"}}), "Forms");
    desk.check(desk.ask({{"ask", "scale"}}), "LightScale");
}

TEST_CASE("studies are answered as the page expects") {
    FullDesk desk;
    const auto study = [&](Json question, const std::string& type) {
        question["is_direct_only"] = true;
        const Json answer = desk.ask(question);
        desk.check(answer, type);
        return answer;
    };
    for (const char* vary : {"tilt=4..12:8", "lamp=usual,narrow", "setback=12in..18in:6in"}) {
        const Json sweep =
            study({{"ask", "sweep"}, {"fixtures", {"U1"}}, {"vary", vary}, {"target", "brickwork"}}, "Sweep");
        CHECK(sweep["labels"].size() == 2);
        CHECK(!sweep["curves"].empty());
    }
    study({{"ask", "suggest"},
           {"fixtures", {"U1", "U2"}},
           {"vary", {"tilt=4..10"}},
           {"lamps", {"usual", "narrow"}},
           {"target", "brickwork"}},
          "Suggestions");
    study({{"ask", "compare"}}, "Comparison");
    study({{"ask", "tolerance"}, {"samples", 4}}, "Tolerance");
}
