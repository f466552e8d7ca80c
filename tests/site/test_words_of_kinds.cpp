// The words for people and for files are those of the description, and things are found by their ids.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "duskcast/site/fields.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/network.hpp"
#include "duskcast/site/variant.hpp"

using namespace duskcast;

namespace {

/// The words that a key may have.
std::vector<std::string> words_of(const std::string& object, const std::string& key) {
    for (const ObjectInfo& one : describe_site_file())
        for (const FieldInfo& field : one.fields)
            if (one.name == object && field.key == key)
                return field.words;
    FAIL("no such key: " << object << "." << key);
    return {};
}

template <class Enum> void check_names(const std::string& object, const std::string& key) {
    const std::vector<std::string> words = words_of(object, key);
    CHECK(words.size() > 1);
    for (std::size_t i = 0; i < words.size(); ++i)
        CHECK(name_of(static_cast<Enum>(i)) == words[i]);
}

} // namespace

TEST_CASE("a kind's name is its word in the site file") {
    check_names<LeafKind>("tree", "leaf");
    check_names<Zone>("site", "zone");
    check_names<WatchKind>("watch_point", "kind");
    check_names<NightSky>("site", "sky");
    check_names<GroundKind>("area", "kind");
    check_names<FixtureKind>("fixture", "kind");
    check_names<Mount>("fixture", "mount");
    check_names<RunLayout>("cable_run", "layout");
    for (int i = 0; i <= static_cast<int>(Knob::spacing); ++i) {
        const Knob knob = static_cast<Knob>(i);
        CHECK(read_knob(name_of(knob)) == knob);
        CHECK_FALSE((is_length(knob) && is_angle(knob)));
    }
}

TEST_CASE("a covering has a finish of its own kind, and each another") {
    const RoofCover covers[] = {RoofCover::shingle, RoofCover::slate, RoofCover::metal, RoofCover::tile};
    const std::vector<std::string> words = words_of("roof", "cover");
    for (const RoofCover cover : covers) {
        const std::string finish = finish_of(cover).name;
        CHECK(finish.find(words[static_cast<std::size_t>(cover)]) != std::string::npos);
        CHECK(finish_of(cover) == make_finish(finish));
        for (const RoofCover other : covers)
            CHECK((finish_of(other).name == finish) == (other == cover));
    }
}

TEST_CASE("trim is its own or old white paint, and a lit room glows where nothing else is said") {
    Opening opening;
    CHECK(trim_of(opening) == make_finish("paint white old"));
    opening.trim = make_finish("timber cedar");
    CHECK(trim_of(opening) == make_finish("timber cedar"));
    CHECK_FALSE(glow_of(opening));
    opening.room = Room::curtains;
    CHECK_FALSE(glow_of(opening));
    opening.room = Room::lit;
    CHECK(glow_of(opening)->luminance == 8); // what the description of "room" says
    opening.glow = Glow{.lumens = 70};
    CHECK(glow_of(opening) == opening.glow);
}

TEST_CASE("things are found by their ids, a site's own lamp before the catalogue's") {
    Site site;
    site.walls = {{.id = "a"}, {.id = "b", .foot = 1}};
    site.trees = {{.id = "a", .foot = 2}};
    site.fixtures = {{.id = "F1"}, {.id = "F2", .spin = 3}};
    site.lamps = {{.id = "spot", .watts = 4}};
    site.catalogue.lamps = {{.id = "spot", .watts = 5}, {.id = "flood", .watts = 6}};
    site.catalogue.fixtures = {{.id = "brass", .name = "bullet"}};
    CHECK(find_wall(site, "b")->foot == 1);
    CHECK(find_wall(site, "c") == nullptr);
    CHECK(find_tree(site, "a")->foot == 2);
    CHECK(find_tree(site, "b") == nullptr);
    CHECK(find_fixture(site, "F2")->spin == 3);
    CHECK(find_fixture(site, "f2") == nullptr);
    CHECK(find_lamp(site, "spot")->watts == 4);
    CHECK(find_lamp(site, "flood")->watts == 6);
    CHECK(find_lamp(site, "") == nullptr);
    CHECK(find_model(site.catalogue, "brass")->name == "bullet");
    CHECK(find_model(site.catalogue, "hat") == nullptr);
}
