// Variants: what each setting does, and what a line of text makes.

#include <doctest/doctest.h>

#include "../message_of.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/site/variant.hpp"

using namespace duskcast;
using duskcast::test::message_of;

namespace {

Site make_row() {
    return read_site(R"({ "duskcast": 1,
        "walls": [{ "id": "front", "path": [[0, 0], [40, 0]], "height": 10 }],
        "trees": [{ "id": "oak", "at": [20, -40], "height": 30, "base": 8, "width": 20 }],
        "lamps": [{ "id": "flood", "name": "flood 36", "watts": 4, "candela": 600, "beam": 36, "field": 60 },
                  { "id": "spot", "watts": 5, "lumens": 400, "beam": 15 }],
        "fixtures": [
          { "id": "A", "kind": "uplight", "lamp": "flood", "wall": "front", "along": 6, "azimuth": 10 },
          { "id": "B", "kind": "uplight", "lamp": "flood", "wall": "front", "along": 20 },
          { "id": "C", "kind": "uplight", "lamp": "flood", "wall": "front", "along": 30 },
          { "id": "T", "kind": "uplight", "lamp": "flood", "tree": "oak" }] })",
                     "row.site.json")
        .site;
}

Site changed(const std::string& text) {
    const Site site = make_row();
    return make_variant(site, read_variant(text, site), ".");
}

} // namespace

TEST_CASE("a line of text sets lamps, aims and places") {
    const Site site =
        changed("more upright: A,B lamp=spot tilt=4 setback=1 ft 3 in; C dimming=40%; all turn=5 deg");
    CHECK(site.fixtures[0].lamp == "spot");
    CHECK(site.fixtures[1].tilt == doctest::Approx(4 * pi / 180));
    CHECK(*site.fixtures[1].setback == doctest::Approx(15 * 0.0254));
    CHECK(site.fixtures[2].lamp == "flood");
    CHECK(site.fixtures[2].dimming == doctest::Approx(0.4));
    CHECK(!site.fixtures[0].azimuth);
    CHECK(site.fixtures[3].turn == doctest::Approx(5 * pi / 180));
}

TEST_CASE("spacing keeps the middle of the row and its order") {
    const Site site = changed("closer: A,B,C spacing=6");
    const double middle = (6 + 30) / 2.0 * 0.3048;
    CHECK(site.fixtures[0].along == doctest::Approx(middle - 6 * 0.3048));
    CHECK(site.fixtures[1].along == doctest::Approx(middle));
    CHECK(site.fixtures[2].along == doctest::Approx(middle + 6 * 0.3048));
}

TEST_CASE("another beam of a lamp keeps its lumens") {
    const Site before = make_row();
    const Site site = changed("narrow: A beam=18");
    const Lamp& lamp = *find_lamp(site, site.fixtures[0].lamp);
    CHECK(lamp.id == "flood-18deg");
    const LampLight wide = make_lamp_light(*find_lamp(before, "flood"), ".");
    const LampLight narrow = make_lamp_light(lamp, ".");
    CHECK(narrow.lumens == doctest::Approx(wide.lumens).epsilon(1e-3));
    // Half the beam angle is a quarter of the solid angle: about four times the candela.
    const double gain = narrow.distribution.candela[0] / wide.distribution.candela[0];
    CHECK(gain == doctest::Approx(4).epsilon(0.1));
    CHECK(site.fixtures[1].lamp == "flood");
}

TEST_CASE("fixtures are added and taken away, plants follow the season") {
    const Site site = changed("other: add D like B along=35; without A,T; season=bare years_on=2");
    REQUIRE(site.fixtures.size() == 3);
    CHECK(site.fixtures[2].id == "D");
    CHECK(site.fixtures[2].along == doctest::Approx(35 * 0.3048));
    CHECK(site.trees[0].foliage.leaf == LeafKind::twigs);
}

TEST_CASE("what cannot be read or set is said") {
    const auto message = [](const std::string& text) { return message_of([&] { changed(text); }); };
    CHECK(message("U5 tilt=4") == "error: the variant \"U5 tilt=4\" has no name; write it as \"NAME: U5 "
                                  "lamp=brighter-5w tilt=6; without U2\"");
    CHECK(message("x:") == "error: the variant \"x\" changes nothing; write it as \"NAME: U5 "
                           "lamp=brighter-5w tilt=6; without U2\"");
    CHECK(message("x: A tlit=4") == "error: there is no setting \"tlit\"; did you mean \"tilt\"?");
    CHECK(message("x: D tilt=4") == "error: there is no fixture \"D\"; known are A, B, C, T");
    CHECK(message("x: A tilt=four") ==
          "error: \"four\" is not an angle in degrees; write a number, such as 0.5");
    CHECK(message("x: A lamp=sport") == "error: there is no lamp \"sport\"; did you mean \"spot\"?");
    CHECK(message("x: A bearing=4") ==
          "error: \"A\" has no bearing to set; only a fixture at a tree has one");
    CHECK(message("x: A spacing=4") ==
          "error: a spacing needs two fixtures or more; name those that stand in a row");
    CHECK(message("x: A,T spacing=4") ==
          "error: \"T\" has no spacing to set; only a fixture at a wall has one");
    CHECK(message("x: add B like A") ==
          "error: the fixture \"B\" is there already; give the added one another id");
    CHECK(message("x: A brighter") == "error: \"A brighter\" says nothing that is understood; write it as "
                                      "\"NAME: U5 lamp=brighter-5w tilt=6; without U2\"");
    CHECK(message("x: season=spring") == "error: there is no season \"spring\"; known are in-leaf, bare");
}
