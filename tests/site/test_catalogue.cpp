// Lamps and fixtures that a site takes from a catalogue.

#include <doctest/doctest.h>

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "../folder.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path catalogue_folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";

SiteFile read_with_catalogue(const std::string& rest) {
    return read_site("{ \"duskcast\": 1, \"catalogue\": \"files/full.catalogue.json\", " + rest + " }",
                     catalogue_folder / "case.site.json");
}

} // namespace

TEST_CASE("a catalogue's lamps and fixtures") {
    const CatalogueFile read = read_catalogue_file(catalogue_folder / "files" / "full.catalogue.json");
    CHECK(read.warnings.empty());
    const Catalogue& catalogue = read.catalogue;
    CHECK(catalogue.name == "One of each");
    CHECK(catalogue.currency == "EUR");
    REQUIRE(catalogue.lamps.size() == 4);
    const Lamp& mr = catalogue.lamps[0];
    CHECK(mr.power_factor == 0.8);
    CHECK(mr.is_regulated);
    CHECK(mr.tolerance == 0.95);
    CHECK(mr.depreciation == 0.9);
    CHECK(mr.price == 15);
    CHECK(*catalogue.lamps[1].volt_amperes == 6);
    CHECK(degrees_from_radians(catalogue.lamps[2].figures.beam_angle) == doctest::Approx(40));
    CHECK(degrees_from_radians(*catalogue.lamps[2].figures.beam_angle_across) == doctest::Approx(100));
    CHECK(degrees_from_radians(*catalogue.lamps[3].figures.ring_angle) == doctest::Approx(60));
    const FixtureModel& bullet = catalogue.fixtures.at(0);
    CHECK(bullet.usual.lens_height == doctest::Approx(8 * 0.0254)); // an inch is 25.4 mm exactly (1959)
    CHECK(degrees_from_radians(bullet.greatest_tilt) == doctest::Approx(100));
    CHECK(is_fitting(bullet, mr));
    CHECK(!is_fitting(bullet, catalogue.lamps[2])); // no socket
    const FixtureModel& hat = catalogue.fixtures.at(1);
    CHECK(degrees_from_radians(hat.usual.tilt) == doctest::Approx(180)); // a path light's, as it says none
    CHECK(is_fitting(hat, catalogue.lamps[3]));
    CHECK(!is_fitting(hat, mr));
}

TEST_CASE("a fixture has from its model what it does not say itself") {
    const SiteFile read = read_with_catalogue(
        R"("lamps": [{ "id": "own", "watts": 4, "lumens": 250, "beam": 24, "socket": "GU5.3" }],
           "fixtures": [{ "id": "a", "model": "bullet", "lamp": "mr-36", "at": [0, 0] },
                        { "id": "b", "model": "bullet", "lamp": "own", "at": [9, 0], "lens_diameter": "3 in",
                          "hood_length": 0, "tilt": 30, "light_loss_factor": 0.8 }])");
    const Fixture& a = read.site.fixtures[0];
    CHECK(a.kind == FixtureKind::bullet);
    CHECK(*a.lens_diameter == doctest::Approx(2 * 0.0254));
    CHECK(a.shroud_length == doctest::Approx(0.0254));
    CHECK(a.hood_length == doctest::Approx(2 * 0.0254));
    CHECK(degrees_from_radians(a.tilt) == doctest::Approx(10));
    CHECK(a.mount == Mount::surface);
    const Fixture& b = read.site.fixtures[1];
    CHECK(*b.lens_diameter == doctest::Approx(3 * 0.0254));
    CHECK(b.hood_length == 0);
    CHECK(b.shroud_length == doctest::Approx(0.0254));

    // 0.95 of the rated light, 0.9 left with age, 0.9 through the dirt.
    CHECK(light_loss_of(read.site, a).total() == doctest::Approx(0.95 * 0.9 * 0.9));
    CHECK(light_loss_of(read.site, b).total() ==
          doctest::Approx(0.95 * 0.9 * 0.9 * 0.8)); // its lamp the usual

    // What the models give is not written again.
    const std::string text = print_site(read.site);
    CHECK(text.find("shroud_length") == std::string::npos);
    CHECK(text.find("\"kind\"") == std::string::npos);
    CHECK(read_site(text, catalogue_folder / "case.site.json").site == read.site);
}

TEST_CASE("an LM-63 file of a catalogue in another folder, and its opening as the lens") {
    // files/narrow.ies: a round opening of 0.16 ft.
    const SiteFile read = read_with_catalogue(
        R"("fixtures": [{ "id": "a", "kind": "uplight", "mount": "surface", "lamp": "narrow", "at": [0, 0] }])");
    const Lamp& lamp = *find_lamp(read.site, "narrow");
    const LampLight light = make_lamp_light(lamp, catalogue_folder);
    CHECK(light.watts == 4);
    CHECK(light.opening_diameter == doctest::Approx(0.16 * 0.3048));
    CHECK(lens_diameter_of(read.site.fixtures[0], light.opening_diameter) == doctest::Approx(0.16 * 0.3048));
    CHECK(lens_diameter_of(read.site.fixtures[0], 0) == usual_lens_diameter);
}

TEST_CASE(
    "every figure of a model holds for a fixture that says nothing of it, and its own word goes first") {
    struct Figure {
        const char* json;  ///< what the fixture says
        const char* field; ///< its key in the printed file
        std::function<double(const Fixture&)> value;
        double of_model, own; ///< SI
    };
    const double in = 0.0254, turn = 3.14159265358979 / 180;
    // The model "bullet" of files/full.catalogue.json.
    const std::vector<Figure> figures{
        {R"("lens_height": "5 in")", "lens_height", [](const Fixture& f) { return f.lens_height; }, 8 * in,
         5 * in},
        {R"("lens_diameter": "1 in")", "lens_diameter",
         [](const Fixture& f) { return f.lens_diameter.value_or(0); }, 2 * in, 1 * in},
        {R"("shroud_length": "3 in")", "shroud_length", [](const Fixture& f) { return f.shroud_length; },
         1 * in, 3 * in},
        {R"("hood_length": 0)", "hood_length", [](const Fixture& f) { return f.hood_length; }, 2 * in, 0},
        {R"("tilt": 25)", "tilt", [](const Fixture& f) { return f.tilt; }, 10 * turn, 25 * turn},
        {R"("mount": "spike")", "mount", [](const Fixture& f) { return static_cast<double>(f.mount); },
         static_cast<double>(Mount::surface), static_cast<double>(Mount::spike)},
    };
    const auto read = [](const std::string& more) {
        return read_with_catalogue(
            R"("ground": { "base": "mulch" }, "fixtures": [{ "id": "a", "model": "bullet", "lamp": "mr-36", "at": [0, 0])" +
            more + " }]");
    };
    const Fixture plain = read("").site.fixtures[0];
    for (const Figure& one : figures) {
        CAPTURE(one.field);
        CHECK(one.value(plain) == doctest::Approx(one.of_model));
        const SiteFile file = read(std::string(", ") + one.json);
        const Fixture& own = file.site.fixtures[0];
        CHECK(one.value(own) == doctest::Approx(one.own));
        for (const Figure& other : figures) // and nothing else changes
            if (&other != &one)
                CHECK(other.value(own) == doctest::Approx(other.of_model));
        // Printed, it is there, and the others are left to the model.
        const std::string text = print_site(file.site);
        for (const Figure& other : figures)
            CHECK((text.find("\"" + std::string(other.field) + "\"") != std::string::npos) ==
                  (&other == &one));
        CHECK(read_site(text, catalogue_folder / "case.site.json").site == file.site);
    }
}

TEST_CASE("a model's range of tilt, its ends included") {
    const auto is_read = [](const std::string& model, const std::string& lamp, const std::string& tilt) {
        try {
            read_with_catalogue(R"("ground": { "base": "mulch" }, "fixtures": [{ "id": "a", "model": ")" +
                                model + R"(", "lamp": ")" + lamp + R"(", "at": [0, 0], "tilt": )" + tilt +
                                " }]");
            return true;
        } catch (const InputError&) {
            return false;
        }
    };
    for (const char* tilt : {"0", "50", "100", "\"1.7453292519943295 rad\""}) // 100 degrees, rounded apart
        CHECK(is_read("bullet", "mr-36", tilt));
    for (const char* tilt : {"100.01", "180", "\"1.7455 rad\""})
        CHECK_FALSE(is_read("bullet", "mr-36", tilt));
    CHECK(is_read("hat", "hoop", "180"));
    CHECK(is_read("hat", "hoop", "\"3.14159265358979 rad\""));
    CHECK_FALSE(is_read("hat", "hoop", "179.9"));
}

TEST_CASE("lamps of a catalogue are not shadowed by the site's own, and must fit") {
    const auto message = [](const std::string& lamps, const std::string& fixture) -> std::string {
        try {
            read_with_catalogue(R"("ground": { "base": "mulch" }, "lamps": [)" + lamps +
                                R"(], "fixtures": [{ "id": "a", )" + fixture + R"(, "at": [0, 0] }])");
            return "";
        } catch (const InputError& error) {
            std::string said;
            for (const Problem& one : error.problems())
                said += one.what + "\n";
            return said;
        }
    };
    CHECK(message("", R"("model": "bullet", "lamp": "mr-36")") == "");
    CHECK(message(R"({ "id": "mr-36", "watts": 4, "lumens": 250, "beam": 24 })",
                  R"("model": "bullet", "lamp": "mr-36")")
              .find("the catalogue has a lamp") != std::string::npos);
    CHECK(message("", R"("model": "bullet", "lamp": "wide")").find("does not fit the model") !=
          std::string::npos);
    CHECK(message("", R"("model": "hat", "lamp": "hoop")") == "");
    CHECK(message("", R"("model": "hat", "lamp": "mr-36")").find("does not fit the model") !=
          std::string::npos);
    CHECK(message("", R"("model": "bullit", "lamp": "mr-36")").find("there is no fixture in the catalogue") ==
          0);
    CHECK(
        message("", R"("model": "hat", "kind": "wash", "lamp": "hoop")").find("is of kind path, not wash") !=
        std::string::npos);
    CHECK(message("", R"("lamp": "hoop")").find("it is not said what the fixture is") != std::string::npos);
}
