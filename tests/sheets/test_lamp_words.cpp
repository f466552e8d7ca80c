// A lamp's sheet in words and JSON, worked by hand from a lamp whose light has a closed form.

#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "duskcast/sheets/lamp_words.hpp"

using namespace duskcast;
using Json = nlohmann::ordered_json;

namespace {

constexpr double lens = 0.05;

/// 1000 cd in every direction up to 30 degrees off the axis, none beyond: 2 pi 1000 (1 - cos 30) = 842 lm.
LampEntry make_disk_lamp(const SheetOptions& options) {
    LampEntry entry;
    entry.lamp.id = "disk";
    entry.lamp.watts = 10;
    entry.lamp.lens_diameter = lens;
    Distribution& distribution = entry.lamp.distribution;
    distribution.c = {0};
    distribution.gamma = {0, pi / 6 - 1e-9, pi / 6, pi};
    distribution.candela = {1000, 1000, 0, 0};
    entry.sheet = make_lamp_sheet(entry.lamp, options);
    return entry;
}

SheetOptions make_word_options() {
    SheetOptions options;
    options.distances = {10 * metres_per_foot};
    options.setbacks = {0.3, 3};
    options.levels = {10, 500};
    return options;
}

std::vector<std::string> print(const LampEntry& entry) {
    return print_lamp_sheet(entry, make_word_options(), LengthUnit::foot, LightUnit::footcandle);
}

} // namespace

TEST_CASE("the sheet of a lamp says its power, beam, zones and patches") {
    const std::vector<std::string> lines = print(make_disk_lamp(make_word_options()));
    REQUIRE(lines.size() >= 10);
    CHECK(lines[0] == "disk");
    CHECK(lines[1] == "842 lm, 10 W, 84.2 lm/W, among MR16 lamps: WFL"); // 55 to 60 degrees
    CHECK(lines[2] == "centre beam 1,000 cd; maximum 1,000 cd at 0° from the axis");
    CHECK(lines[3] == "beam 60° (at 50 % of the maximum)");
    CHECK(lines[4] == "field 60° (at 10 % of the maximum)");
    CHECK(lines[5] == "842 lm inside the beam, 842 lm inside the field");
    // 2000 pi (cos a - cos b): 95.5, 283 and 463 lm.
    CHECK(lines[6] == "lumens by zone: 0-10° 95.5, 10-20° 283, 20-30° 463");
    CHECK(lines[7] == "no light loss is taken off below: a new lamp behind a clean lens");
    CHECK(lines[9] == "  distance    side to side     up and down   at the centre");
    // 2 x 10 ft x tan 30 = 11.547 ft = 11 ft 6 1/2 in; 1000 cd / (10 ft)^2 = 10 fc.
    CHECK(lines[10] == "     10 ft  11 ft 6 1/2 in  11 ft 6 1/2 in           10 fc");
    CHECK(lines[12] == "on a wall, tilt 0°, heights from the lens");
    CHECK(lines[13] == "   setback     level            from           up to          widest");
    // Upright 3 m from the wall the light above is within 30 degrees of the axis from 3 / tan 30 = 5.196 m
    // on, where 1000 x sin 30 / 6^2 = 13.9 lx reach the wall: 500 lx nowhere.
    // The beam has formed from 10 x 0.05 m / 1.0472 = 0.477 m on.
    CHECK(lines.back() ==
          "nearer than 1 ft 7 in these figures mislead: the lens is too large to count as a point there");
    CHECK(lines[17].find("46.5 fc") != std::string::npos);
    CHECK(lines[17].ends_with("-               -               -"));
}

TEST_CASE("the sheet names the lamp, its losses and what is known of it") {
    LampEntry entry = make_disk_lamp(make_word_options());
    entry.lamp.name = "Wide disk";
    entry.lamp.volt_amperes = 12;
    entry.lamp.cct = 2700;
    entry.lamp.tolerance = 0.9;
    entry.lamp.depreciation = 0.8;
    entry.sheet = make_lamp_sheet(entry.lamp, make_word_options());
    entry.sheet.designation = "VWFL";
    std::vector<std::string> lines = print(entry);
    CHECK(lines[0] == "Wide disk (disk)");
    CHECK(lines[1] == "842 lm, 10 W, 12 VA, 84.2 lm/W, 2,700 K, among MR16 lamps: VWFL");
    CHECK(lines[7] == "light loss taken off below: 0.72 (tolerance 0.9, depreciation 0.8)");
    CHECK(lines[10] == "     10 ft  11 ft 6 1/2 in  11 ft 6 1/2 in          7.2 fc");

    // A lamp of which nothing is known but its light; its lens no longer matters.
    entry.lamp = {.id = "bare", .distribution = entry.lamp.distribution};
    entry.sheet = make_lamp_sheet(entry.lamp, make_word_options());
    entry.sheet.designation.clear();
    lines = print(entry);
    CHECK(lines[0] == "bare");
    CHECK(lines[1] == "842 lm");
    for (const std::string& line : lines)
        CHECK(line.find("mislead") == std::string::npos);
}

TEST_CASE("a beam wider one way is told both ways, and by the centre where that differs") {
    LampEntry entry = make_disk_lamp(make_word_options());
    entry.sheet.beam_of_max = {.along = radians_from_degrees(30), .across = radians_from_degrees(60)};
    entry.sheet.beam_of_centre = entry.sheet.beam_of_max;
    entry.sheet.field_of_centre = {.along = radians_from_degrees(70), .across = radians_from_degrees(70)};
    const std::vector<std::string> lines = print(entry);
    CHECK(lines[3] == "beam 60° side to side, 30° up and down (at 50 % of the maximum)");
    CHECK(lines[4] == "field 60° (at 10 % of the maximum); 70° (at 10 % of the centre beam)");
}

TEST_CASE("zones that hold next to nothing are left out, the first as well") {
    LampEntry entry = make_disk_lamp(make_word_options());
    entry.sheet.zones = {{.from = 0, .to = pi / 18, .lumens = 0.1},
                         {.from = pi / 18, .to = pi / 9, .lumens = 300},
                         {.from = pi / 9, .to = pi / 6, .lumens = 500}};
    CHECK(print(entry)[6] == "lumens by zone: 10-20° 300, 20-30° 500");
}

TEST_CASE("the JSON of lamps holds their figures in SI units") {
    const LampEntry entry = make_disk_lamp(make_word_options());
    const Json json = Json::parse(print_lamp_json({entry, entry}));
    REQUIRE(json.size() == 2);
    const Json& one = json[1];
    const double lumens = 2000 * pi * (1 - std::cos(pi / 6));
    CHECK(one["id"] == "disk");
    CHECK(one["watts"] == 10.0);
    CHECK(one["volt_amperes"] == 0.0);
    CHECK(one["lumens"].get<double>() == doctest::Approx(lumens).epsilon(1e-4));
    CHECK(one["lumens_per_watt"].get<double>() == doctest::Approx(lumens / 10).epsilon(1e-4));
    CHECK(one["centre_cd"] == 1000.0);
    CHECK(one["max_cd"] == 1000.0);
    for (const char* key : {"beam_of_max", "beam_of_centre", "field_of_max", "field_of_centre"})
        for (const char* way : {"along_deg", "across_deg", "mean_deg"}) {
            CAPTURE(key);
            CHECK(one[key][way].get<double>() == doctest::Approx(60).epsilon(1e-4));
        }
    CHECK(one["beam_lm"].get<double>() == doctest::Approx(lumens).epsilon(1e-3));
    CHECK(one["field_lm"].get<double>() == doctest::Approx(lumens).epsilon(1e-3));
    CHECK(one["zones"][1]["from_deg"].get<double>() == doctest::Approx(10));
    CHECK(one["zones"][1]["to_deg"].get<double>() == doctest::Approx(20));
    CHECK(one["zones"][1]["lumens"].get<double>() ==
          doctest::Approx(2000 * pi * (std::cos(pi / 18) - std::cos(pi / 9))).epsilon(1e-3));
    CHECK(one["light_loss"] == 1.0);
    const Json& spot = one["spots"][0];
    CHECK(spot["distance_m"].get<double>() == doctest::Approx(3.048));
    CHECK(spot["along_m"].get<double>() == doctest::Approx(2 * 3.048 * std::tan(pi / 6)).epsilon(1e-4));
    CHECK(spot["across_m"] == spot["along_m"]);
    CHECK(spot["centre_lx"].get<double>() == doctest::Approx(1000 / (3.048 * 3.048)));
    REQUIRE(one["wall"].size() == 4); // two setbacks by two levels
    const Json& reached = one["wall"][2];
    CHECK(reached["setback_m"] == 3.0);
    CHECK(reached["level_lx"] == 10.0);
    CHECK(reached["reached"] == true);
    CHECK(reached["from_m"].get<double>() == doctest::Approx(3 / std::tan(pi / 6)).epsilon(0.01));
    // I setback / (setback^2 + h^2)^(3/2) = 10 lx.
    CHECK(reached["to_m"].get<double>() ==
          doctest::Approx(std::sqrt(std::pow(1000.0 * 3 / 10, 2.0 / 3) - 9)).epsilon(0.01));
    CHECK(reached["brightest_lx"].get<double>() == doctest::Approx(1000 * 0.5 / 36).epsilon(0.01));
    CHECK(reached["brightest_at_m"].get<double>() == doctest::Approx(3 / std::tan(pi / 6)).epsilon(0.01));
    const Json& dark = one["wall"][3];
    CHECK(dark["reached"] == false);
    for (const char* key : {"from_m", "to_m", "width_m", "width_at_m"})
        CHECK_MESSAGE(dark[key] == 0.0, key);
    CHECK(one["trusted_from_m"].get<double>() == doctest::Approx(10 * lens / (pi / 3)).epsilon(1e-4));

    LampEntry bare = entry;
    bare.sheet.efficacy.reset();
    CHECK(Json::parse(print_lamp_json({bare}))[0]["lumens_per_watt"].is_null());
    CHECK(Json::parse(print_lamp_json({})) == Json::array());
}
