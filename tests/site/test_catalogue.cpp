// Lamps and fixtures that a site takes from a catalogue.

#include <doctest/doctest.h>

#include <filesystem>

#include "../folder.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";

SiteFile read_with_catalogue(const std::string& rest) {
    return read_site("{ \"duskcast\": 1, \"catalogue\": \"files/full.catalogue.json\", " + rest + " }",
                     folder / "case.site.json");
}

} // namespace

TEST_CASE("a catalogue's lamps and fixtures") {
    const CatalogueFile read = read_catalogue_file(folder / "files" / "full.catalogue.json");
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
    CHECK(read_site(text, folder / "case.site.json").site == read.site);
}

TEST_CASE("an LM-63 file of a catalogue in another folder, and its opening as the lens") {
    // files/narrow.ies: a round opening of 0.16 ft.
    const SiteFile read = read_with_catalogue(
        R"("fixtures": [{ "id": "a", "kind": "uplight", "mount": "surface", "lamp": "narrow", "at": [0, 0] }])");
    const Lamp& lamp = *find_lamp(read.site, "narrow");
    const LampLight light = make_lamp_light(lamp, folder);
    CHECK(light.watts == 4);
    CHECK(light.opening_diameter == doctest::Approx(0.16 * 0.3048));
    CHECK(lens_diameter_of(read.site.fixtures[0], light.opening_diameter) == doctest::Approx(0.16 * 0.3048));
    CHECK(lens_diameter_of(read.site.fixtures[0], 0) == usual_lens_diameter);
}
