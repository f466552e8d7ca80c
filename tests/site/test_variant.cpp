// Variants: what each setting does, and what a line of text makes.

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

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

TEST_CASE("another beam of a wide oval loses its field angles where both would be cut off") {
    // 150 by 40 degrees turned to 80 is 300 across, cut off at 170 as its field of 165 x 2 is.
    Site before = make_row();
    Lamp oval{.id = "oval", .watts = 4};
    oval.figures.lumens = 300;
    oval.figures.beam_angle = radians_from_degrees(40);
    oval.figures.field_angle = radians_from_degrees(70);
    oval.figures.beam_angle_across = radians_from_degrees(150);
    oval.figures.field_angle_across = radians_from_degrees(165);
    before.lamps.push_back(oval);
    const auto offered = [&](const std::string& beam) {
        const Site site = make_variant(before, read_variant("v: A lamp=oval beam=" + beam, before), ".");
        return *find_lamp(site, site.fixtures[0].lamp);
    };
    const Lamp wide = offered("80");
    CHECK(*wide.figures.beam_angle_across == doctest::Approx(radians_from_degrees(170)));
    CHECK_FALSE(wide.figures.field_angle);
    CHECK_FALSE(wide.figures.field_angle_across);
    CHECK(make_lamp_light(wide, ".").lumens == doctest::Approx(300).epsilon(1e-3));
    const Lamp narrow = offered("20"); // in proportion
    CHECK(*narrow.figures.field_angle == doctest::Approx(radians_from_degrees(35)));
    CHECK(*narrow.figures.beam_angle_across == doctest::Approx(radians_from_degrees(75)));
    CHECK(*narrow.figures.field_angle_across == doctest::Approx(radians_from_degrees(82.5)));
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

TEST_CASE("every setting, as a line of text and as the site file has it") {
    struct One {
        const char* fixture;
        const char* line; ///< "KEY=VALUE" of a line of text
        const char* json; ///< the same in a file
        double Fixture::*member;
        double wanted; ///< SI
    };
    const double turn = pi / 180;
    for (const One& one : std::vector<One>{
             {"A", "tilt=12.5", R"("tilt": 12.5)", &Fixture::tilt, 12.5 * turn},
             {"A", "tilt=12.5°", R"("tilt": 12.5)", &Fixture::tilt, 12.5 * turn},
             {"B", "turn=-20 deg", R"("turn": -20)", &Fixture::turn, -20 * turn},
             {"T", "bearing=270", R"("bearing": 270)", &Fixture::bearing, 270 * turn},
             {"B", "along=25", R"("along": 25)", &Fixture::along, 25 * 0.3048},
             {"B", "along=2.5 m", R"("along": "2.5 m")", &Fixture::along, 2.5},
             {"C", "lens_height=18 in", R"("lens_height": "18 in")", &Fixture::lens_height, 0.4572},
             {"C", "dimming=0.35", R"("dimming": 0.35)", &Fixture::dimming, 0.35},
             {"C", "dimming=35 %", R"("dimming": 0.35)", &Fixture::dimming, 0.35},
         }) {
        CAPTURE(one.line);
        const Site before = make_row();
        const Site by_line = changed("v: " + std::string(one.fixture) + " " + one.line);
        std::string text = print_site(before);
        text.insert(text.rfind('}'), R"(, "variants": [{ "id": "v", "changes": [{ "fixtures": [")" +
                                         std::string(one.fixture) + R"("], )" + one.json + " }] }]");
        const SiteFile file = read_site(text, "row.site.json");
        const Site by_file = make_variant(file.site, file.site.variants.at(0), ".");
        CHECK(by_line.fixtures == by_file.fixtures);
        for (const Fixture& fixture : before.fixtures) { // only what is named changes, and only that
            const std::size_t index = find_fixtures(before, {fixture.id}).front();
            Fixture wanted = fixture;
            if (fixture.id == one.fixture)
                wanted.*one.member = one.wanted;
            CHECK(by_line.fixtures[index].*one.member == doctest::Approx(wanted.*one.member));
            wanted.*one.member = by_line.fixtures[index].*one.member;
            CHECK(by_line.fixtures[index] == wanted);
        }
    }
}

TEST_CASE("azimuth and turn replace one another") {
    const Site turned = changed("v: A turn=30");
    CHECK(!turned.fixtures[0].azimuth);
    const Site aimed = changed("v: A turn=30; A azimuth=80");
    CHECK(*aimed.fixtures[0].azimuth == doctest::Approx(80 * pi / 180));
    CHECK(aimed.fixtures[0].turn == 0);
}

TEST_CASE("a value printed for people reads back as the same setting") {
    const Site site = make_row();
    for (int k = 0; k <= static_cast<int>(Knob::spacing); ++k) {
        const Knob knob = static_cast<Knob>(k);
        CAPTURE(name_of(knob));
        CHECK(read_knob(name_of(knob)) == knob);
        if (knob == Knob::lamp)
            continue;
        const Setting setting = read_setting(knob, knob == Knob::dimming ? "0.6" : "8", site.units);
        // 8 degrees, 8 ft or a share; the inch of setbacks is exact.
        CHECK(setting.value == doctest::Approx(is_angle(knob)    ? 8 * pi / 180
                                               : is_length(knob) ? 8 * 0.3048
                                                                 : 0.6));
        CHECK(read_setting(knob, print_value(site, setting), site.units).value ==
              doctest::Approx(setting.value));
    }
    CHECK(print_value(site, {Knob::lamp, 0, "flood"}) == "flood 36"); // by its name, else by its id
    CHECK(print_value(site, {Knob::lamp, 0, "spot"}) == "spot");
    CHECK(print_value(site, {Knob::lamp, 0, "gone"}) == "gone");
}

TEST_CASE("spacings of rows of any number and order keep their middle") {
    for (const char* ids : {"A,B", "B,A", "C,A,B", "A,C"}) {
        CAPTURE(ids);
        const Site before = make_row(), after = changed(std::string("v: ") + ids + " spacing=5 ft");
        std::vector<double> along, was;
        for (const std::size_t index : find_fixtures(before, read_ids(ids))) {
            along.push_back(after.fixtures[index].along);
            was.push_back(before.fixtures[index].along);
        }
        std::sort(along.begin(), along.end());
        std::sort(was.begin(), was.end());
        CHECK(along.front() + along.back() == doctest::Approx(was.front() + was.back()));
        for (std::size_t i = 1; i < along.size(); ++i)
            CHECK(along[i] - along[i - 1] == doctest::Approx(5 * 0.3048));
    }
}

TEST_CASE("fixtures come first, then changes, then what is taken away, and cables no longer fit") {
    Site site = make_row();
    site.network.emplace();
    const auto made = [&](const std::string& text) {
        return make_variant(site, read_variant(text, site), ".");
    };
    CHECK(made("v: A tilt=3").network);
    CHECK_FALSE(made("v: add D like A").network);
    CHECK_FALSE(made("v: without A").network);
    // A change may name what is added, and what goes may have been changed before.
    const Site both = made("v: without D,B; D tilt=7; add D like A; add E like B tilt=9");
    REQUIRE(both.fixtures.size() == 4);
    CHECK(both.fixtures.back().id == "E");
    CHECK(both.fixtures.back().tilt == doctest::Approx(9 * pi / 180));
    CHECK(both.fixtures.back().lamp == site.fixtures[1].lamp);
    Site with_variant = site;
    with_variant.variants = {{.id = "x"}};
    CHECK(make_variant(with_variant, {.id = "y"}, ".").variants.empty());
    CHECK_THROWS_AS(made("v: A,A tilt=4"), InputError);
    CHECK_THROWS_AS(made("v: without A,A"), InputError);
    CHECK(read_ids("all").empty());
    CHECK(read_ids("").empty());
    CHECK(read_ids("a,b") == std::vector<std::string>{"a", "b"});
}
