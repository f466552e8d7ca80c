// Which ids must differ: every two lists of a site are tried with one id, with two that differ in capital
// letters, and with ids that cannot stand. What shares a plan, a file name or a table must differ.

#include <doctest/doctest.h>

#include <functional>
#include <string>
#include <vector>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

/// A list whose things have ids: adds one, and says where it is. `space`: lists with the same one share ids.
struct List {
    const char* name;
    const char* space;
    std::function<std::string(Site&, const std::string& id)> add; ///< returns its path
    bool takes_dots = true;
};

template <class Thing> std::string add_to(std::vector<Thing>& list, Thing thing, const std::string& path) {
    list.push_back(std::move(thing));
    return path + "[" + std::to_string(list.size() - 1) + "]";
}

Wall& house_of(Site& site) {
    for (Wall& wall : site.walls)
        if (wall.id == "house")
            return wall;
    Wall house{.id = "house", .path = {{100, 100}, {160, 100}}};
    house.height = 5;
    site.walls.insert(site.walls.begin(), house);
    return site.walls.front();
}

double next_place(const Site& site) { // things of one kind beside each other
    return 3.0 * static_cast<double>(site.walls.size() + site.trees.size() + site.shrubs.size() +
                                     site.ground.areas.size() + site.fixtures.size() + site.eyes.size());
}

std::vector<glm::dvec2> square_at(double x) {
    return {{x, 0}, {x + 1, 0}, {x + 1, 1}, {x, 1}};
}

std::vector<List> make_lists() {
    return {
        {"walls", "surfaces",
         [](Site& site, const std::string& id) {
             Wall wall{.id = id, .path = {{next_place(site), 20}, {next_place(site) + 1, 20}}};
             wall.height = 2;
             return add_to(site.walls, wall, "walls");
         },
         false},
        {"trees", "surfaces",
         [](Site& site, const std::string& id) {
             return add_to(site.trees,
                           {.id = id, .at = {next_place(site), 40}, .height = 4, .base = 2, .width = 1},
                           "trees");
         },
         false},
        {"shrubs", "surfaces",
         [](Site& site, const std::string& id) {
             return add_to(site.shrubs, {.id = id, .outline = square_at(next_place(site)), .height = 1},
                           "shrubs");
         },
         false},
        {"ground areas", "surfaces",
         [](Site& site, const std::string& id) {
             return add_to(site.ground.areas,
                           {.id = id, .kind = GroundKind::bed, .outline = square_at(next_place(site))},
                           "ground.areas");
         },
         false},
        {"lamps", "lamps",
         [](Site& site, const std::string& id) {
             Lamp lamp{.id = id, .watts = 3};
             lamp.figures.lumens = 200;
             lamp.figures.beam_angle = 0.5;
             return add_to(site.lamps, lamp, "lamps");
         }},
        {"fixtures", "fixtures",
         [](Site& site, const std::string& id) {
             return add_to(site.fixtures, {.id = id, .lamp = "lit", .at = glm::dvec2(next_place(site), 60)},
                           "fixtures");
         }},
        {"targets", "targets",
         [](Site& site, const std::string& id) {
             return add_to(site.targets, {.id = id, .on = "ground"}, "targets");
         }},
        {"views", "onlookers",
         [](Site& site, const std::string& id) {
             return add_to(site.views, {.id = id, .eye = {0, 0, 2}, .look_at = {0, 9, 2}}, "views");
         }},
        {"eyes", "onlookers",
         [](Site& site, const std::string& id) {
             return add_to(site.eyes, {.id = id, .at = {next_place(site), 80, 2}}, "eyes");
         }},
        {"watch points", "watch points",
         [](Site& site, const std::string& id) {
             return add_to(site.watch_points, {.id = id, .at = {0, 90, 2}}, "watch_points");
         }},
        {"openings of a wall", "parts",
         [](Site& site, const std::string& id) {
             Wall& house = house_of(site);
             return add_to(house.openings,
                           {.id = id,
                            .from = 2.0 * static_cast<double>(house.openings.size()),
                            .width = 1,
                            .sill = 1,
                            .height = 1},
                           "walls[0].openings");
         },
         false},
        {"projections of a wall", "parts",
         [](Site& site, const std::string& id) {
             Wall& house = house_of(site);
             return add_to(house.projections,
                           {.id = id,
                            .from = 30 + 3.0 * static_cast<double>(house.projections.size()),
                            .width = 2,
                            .depth = 1,
                            .height = 2},
                           "walls[0].projections");
         },
         false},
        {"gables of a wall", "gables",
         [](Site& site, const std::string& id) {
             Wall& house = house_of(site);
             return add_to(
                 house.gables,
                 {.id = id, .from = 5.0 * static_cast<double>(house.gables.size()), .width = 4, .peak = 8},
                 "walls[0].gables");
         },
         false},
    };
}

Site make_base() {
    Site site;
    Lamp lamp{.id = "lit", .watts = 3};
    lamp.figures.lumens = 200;
    lamp.figures.beam_angle = 0.5;
    site.lamps = {lamp};
    house_of(site);
    return site;
}

/// What is said about the id of the thing at the path; empty: nothing.
std::string said_of(const Site& site, const std::string& path) {
    for (const Problem& one : check_site(site, "."))
        if (one.place.path == path + ".id" && one.severity == Severity::error)
            return one.what;
    return "";
}

bool is_sound(const Site& site) {
    for (const Problem& one : check_site(site, "."))
        if (one.severity == Severity::error) {
            MESSAGE(print_problem(one));
            return false;
        }
    return true;
}

} // namespace

TEST_CASE("ids: any two lists, the same id and one in capitals") {
    for (const List& first : make_lists())
        for (const List& second : make_lists()) {
            CAPTURE(first.name);
            CAPTURE(second.name);
            const bool share = std::string(first.space) == second.space;
            Site site = make_base();
            first.add(site, "oak");
            std::string path = second.add(site, "oak");
            const std::string said = said_of(site, path);
            // In a file walls come before trees: the later one in the file's order is named.
            const bool is_either = !said.empty() || [&] {
                for (const Problem& one : check_site(site, "."))
                    if (one.severity == Severity::error &&
                        one.what.find("\"oak\" is taken by") != std::string::npos)
                        return true;
                return false;
            }();
            CHECK(is_either == share);
            if (!share)
                CHECK(is_sound(site));

            Site capitals = make_base();
            first.add(capitals, "oak");
            second.add(capitals, "OAK");
            bool is_told = false;
            for (const Problem& one : check_site(capitals, "."))
                is_told = is_told || (one.severity == Severity::error &&
                                      one.what.find("differ only in capital letters") != std::string::npos);
            CHECK(is_told == share);

            Site different = make_base();
            first.add(different, "oak");
            second.add(different, "elm");
            CHECK(is_sound(different));
        }
}

TEST_CASE("ids: what they may be made of") {
    struct Id {
        std::string id;
        bool is_good;
    };
    const std::vector<Id> ids{{"a", true},
                              {"A-b_9", true},
                              {std::string(64, 'x'), true},
                              {std::string(65, 'x'), false},
                              {"", false},
                              {"with space", false},
                              {"a/b", false},
                              {"\xC3\xA9t\xC3\xA9", false},
                              {"a:b", false},
                              {"..", false},
                              {".a", false},
                              {"-a", true}};
    for (const List& list : make_lists())
        for (const Id& one : ids) {
            CAPTURE(list.name);
            CAPTURE(one.id);
            Site site = make_base();
            const std::string path = list.add(site, one.id);
            CHECK(said_of(site, path).empty() == one.is_good);
        }
    // A dot stands between a thing and its part, so that what has parts or is one takes none.
    for (const List& list : make_lists()) {
        CAPTURE(list.name);
        Site site = make_base();
        CHECK(said_of(site, list.add(site, "a.b")).empty() == list.takes_dots);
    }
}

TEST_CASE("ids: names that are kept for what no file describes") {
    for (const List& list : make_lists()) {
        CAPTURE(list.name);
        Site ground = make_base(), soffit = make_base();
        CHECK((said_of(ground, list.add(ground, "ground")).find("is kept for") != std::string::npos) ==
              (std::string(list.space) == "surfaces"));
        CHECK((said_of(soffit, list.add(soffit, "soffit")).find("is kept for") != std::string::npos) ==
              (std::string(list.space) == "parts"));
    }
}
