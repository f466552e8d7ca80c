// Which lamps fit which fixtures, what is lost of their light, and where their files are. Tables worked by
// hand from what site.hpp and equipment.hpp say.

#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "../folder.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Lamp make_lamp(const std::string& id, const std::string& socket) {
    Lamp lamp{.id = id, .watts = 4};
    lamp.socket = socket;
    return lamp;
}

/// Own lamps a (MR16), b (no socket), c (MR16); catalogue lamps k (MR16), l (G4), m (no socket).
Site make_site() {
    Site site;
    site.lamps = {make_lamp("a", "MR16"), make_lamp("b", ""), make_lamp("c", "MR16")};
    site.catalogue.lamps = {make_lamp("k", "MR16"), make_lamp("l", "G4"), make_lamp("m", "")};
    site.catalogue.fixtures = {{.id = "by-socket", .socket = "MR16"},
                               {.id = "by-list", .socket = "MR16", .lamps = {"l", "b"}},
                               {.id = "any"}};
    return site;
}

std::string list(const Site& site, const Fixture& fixture) {
    std::string ids;
    for (const Lamp* lamp : list_fitting_lamps(site, fixture))
        ids += lamp->id;
    return ids;
}

} // namespace

TEST_CASE("lamps that fit: by the model's list, by its socket, by the socket of the lamp that is in") {
    struct Choice {
        const char* model;
        FixtureKind kind;
        const char* lamp;
        const char* wanted; ///< the site's own first
    };
    const Site site = make_site();
    for (const Choice& one : std::vector<Choice>{
             {"by-socket", FixtureKind::bullet, "a", "ack"},
             {"by-list", FixtureKind::bullet, "a", "bl"}, // its list, whatever the socket
             {"any", FixtureKind::bullet, "a", "abcklm"},
             {"", FixtureKind::uplight, "a", "ack"},
             {"", FixtureKind::uplight, "b", "bm"}, // of all that say no socket
             {"", FixtureKind::in_ground, "l", "l"},
             {"", FixtureKind::wash, "a", "a"}, // of a piece with its lamp
             {"", FixtureKind::path, "b", "b"},
             {"", FixtureKind::downlight, "none", ""},
             {"gone", FixtureKind::uplight, "k", "ack"}, // as if without a model
         }) {
        CAPTURE(one.model);
        CAPTURE(one.lamp);
        CHECK(list(site, {.id = "f", .model = one.model, .kind = one.kind, .lamp = one.lamp}) == one.wanted);
    }
    CHECK(find_lamp(site, "k") == &site.catalogue.lamps[0]);
    Site shadowed = site;
    shadowed.catalogue.lamps[0].id = "a";
    CHECK(find_lamp(shadowed, "a") == &shadowed.lamps[0]); // the site's own comes first
    CHECK(find_lamp(site, "z") == nullptr);
}

TEST_CASE("light that is lost: what lamp and model say, else the usual, else nothing where all is new") {
    for (int said = 0; said < 8; ++said)
        for (const bool is_new : {false, true}) {
            CAPTURE(said);
            CAPTURE(is_new);
            Site site = make_site();
            site.is_as_new = is_new;
            const double usual = is_new ? 1 : 0;
            // Common practice, no source: 0.95, 0.9 and 0.9.
            double wanted = usual + (1 - usual) * 0.95;
            double depreciation = usual + (1 - usual) * 0.9, dirt = depreciation;
            if (said & 1)
                site.lamps[0].tolerance = wanted = 0.8;
            if (said & 2)
                site.lamps[0].depreciation = depreciation = 0.7;
            if (said & 4)
                site.catalogue.fixtures[0].dirt = dirt = 0.6;
            Fixture fixture{.id = "f", .model = "by-socket", .lamp = "a"};
            fixture.light_loss_factor = 0.5;
            const LightLoss loss = light_loss_of(site, fixture);
            CHECK(loss.tolerance == wanted);
            CHECK(loss.depreciation == depreciation);
            CHECK(loss.dirt == dirt);
            CHECK(loss.total() == doctest::Approx(wanted * depreciation * dirt * 0.5));
        }
}

TEST_CASE("files of a site that moves are found from its new folder") {
    const Folder place;
    for (const char* one : {"lamps", "sites", "sites/old", "deep", "deep/er"})
        std::filesystem::create_directory(place / one);
    place.write("lamps/narrow.ies", "narrow");
    place.write("sites/old/own.ies", "own");
    place.write("sites/stone.obj", "stone");
    Site site;
    site.catalogue_file = "../../lamps/all.catalogue.json";
    site.lamps = {make_lamp("narrow", ""), make_lamp("own", ""), make_lamp("figures", "")};
    site.lamps[0].file = "../../lamps/narrow.ies";
    site.lamps[1].file = "own.ies";
    site.meshes = {{.id = "stone", .file = "../stone.obj"}};
    place.write("lamps/all.catalogue.json", "all");
    for (const char* to : {"sites/old", "sites", "deep", "deep/er", "lamps", "."}) {
        CAPTURE(to);
        const Site moved = moved_to(site, place / "sites/old", place / to);
        CHECK(read_bytes(place / to / moved.lamps[0].file) == "narrow");
        CHECK(read_bytes(place / to / moved.lamps[1].file) == "own");
        CHECK(read_bytes(place / to / moved.meshes[0].file) == "stone");
        CHECK(read_bytes(place / to / moved.catalogue_file) == "all");
        CHECK(moved.lamps[2].file.empty());
        // And back again.
        const Site back = moved_to(moved, place / to, place / "sites/old");
        CHECK(back == site);
    }
    Site fixed = site; // a whole path stays what it is
    fixed.lamps[0].file = (place / "lamps/narrow.ies").generic_string();
    CHECK(moved_to(fixed, place / "sites", place / "deep").lamps[0].file == fixed.lamps[0].file);
}

TEST_CASE("watts and volt-amperes, volts that a lamp works and lasts at") {
    struct Electrical {
        double watts;
        std::optional<double> volt_amperes, power_factor;
        double wanted;
    };
    for (const Electrical& one : std::vector<Electrical>{{6, {}, {}, 1},
                                                         {6, 8.0, {}, 0.75}, // W / VA by definition
                                                         {6, {}, 0.9, 0.9},
                                                         {0, 8.0, {}, 1}}) { // nothing to divide
        Lamp lamp{.id = "l", .watts = one.watts};
        lamp.volt_amperes = one.volt_amperes;
        lamp.power_factor = one.power_factor;
        CHECK(power_factor_of(lamp) == one.wanted);
    }
    // A lamp that works up to more than any usual tap bears that, too.
    Lamp wide{.id = "w"};
    wide.operating_volts = {10, 30};
    CHECK(max_volts_of(wide) == 30);
    wide.operating_volts = {10, 14};
    CHECK(max_volts_of(wide) == 15);
}

TEST_CASE("a lamp is unused if no fixture has it, in the site or in a variant") {
    const auto unused = [](const Site& site) {
        std::string paths;
        for (const Problem& one : find_unused_lamps(site)) {
            CHECK(one.severity == Severity::warning);
            paths += one.place.path + " ";
        }
        return paths;
    };
    Site site;
    site.lamps = {make_lamp("a", ""), make_lamp("b", ""), make_lamp("c", ""), make_lamp("d", "")};
    CHECK(unused(site) == "lamps[0] lamps[1] lamps[2] lamps[3] ");
    site.fixtures = {{.id = "f", .lamp = "b"}};
    CHECK(unused(site) == "lamps[0] lamps[2] lamps[3] ");
    site.variants = {{.id = "v", .changes = {{{}, {{Knob::tilt, 0, ""}, {Knob::lamp, 0, "c"}}}}},
                     {.id = "w", .added = {{.id = "g", .lamp = "a"}}}};
    CHECK(unused(site) == "lamps[3] ");
}
