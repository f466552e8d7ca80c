// A property is the same whatever units its file is written in. Factors: 1 ft = 0.3048 m and 1 in = 0.0254 m
// exactly (1959), 1 fc = 1 lumen a square foot = 1 / 0.3048^2 lx, a turn = 360 degrees = 2 pi radians.

#include <doctest/doctest.h>

#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <optional>
#include <string>

#include "duskcast/base/units.hpp"
#include "each_key.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

enum class Sort { length, illuminance, angle, other };

Sort sort_of(KeyQuantity quantity) {
    switch (quantity) {
    case KeyQuantity::length:
    case KeyQuantity::length_span:
    case KeyQuantity::metres:
    case KeyQuantity::point:
    case KeyQuantity::place:
    case KeyQuantity::path:
    case KeyQuantity::outline:
        return Sort::length;
    case KeyQuantity::illuminance:
    case KeyQuantity::illuminances:
        return Sort::illuminance;
    case KeyQuantity::angle:
    case KeyQuantity::angle_span:
    case KeyQuantity::spread:
        return Sort::angle;
    default:
        return Sort::other;
    }
}

/// How a figure in SI is written, by its sort.
struct Spelling {
    const char* name;
    std::function<Json(double)> length, illuminance, angle;
    const char* units = "ft"; ///< of bare figures
    const char* light = "fc";
};

/// A figure of the example, whose bare lengths are feet and whose bare light levels are foot-candles, in SI.
double figure_of(const Json& value, const FieldInfo& info) {
    const Sort sort = sort_of(info.quantity);
    if (value.is_string())
        return sort == Sort::illuminance ? read_illuminance(value.get<std::string>())
                                         : read_length(value.get<std::string>());
    const double figure = value;
    if (sort == Sort::angle)
        return figure * 3.14159265358979323846 / 180;
    if (sort == Sort::illuminance)
        return figure / (0.3048 * 0.3048);
    return info.quantity == KeyQuantity::metres ? figure : figure * 0.3048;
}

Json respell(const Json& value, const FieldInfo& info, const Spelling& spelling, int& count) {
    if (value.is_array()) {
        Json list = Json::array();
        for (const Json& one : value)
            list.push_back(respell(one, info, spelling, count));
        return list;
    }
    ++count;
    const double figure = figure_of(value, info);
    switch (sort_of(info.quantity)) {
    case Sort::length: {
        const Json written = spelling.length(figure);
        return written.is_number() && info.quantity == KeyQuantity::metres ? Json(figure) : written;
    }
    case Sort::illuminance:
        return spelling.illuminance(figure);
    default:
        return spelling.angle(figure);
    }
}

/// The example with each figure that has a unit written another way.
std::string respell_all(const FileKind& kind, const Spelling& spelling, int& count) {
    Json made = Json::parse(read_bytes(kind.example));
    std::vector<Found> keys;
    find_keys(kind, made, kind.objects.front(), Json::json_pointer(), "", keys);
    for (const Found& key : keys)
        if (sort_of(key.info->quantity) != Sort::other) {
            Json& value = made[key.object][key.info->key];
            value = respell(value, *key.info, spelling, count);
        }
    made["units"] = spelling.units;
    if (made.contains("light"))
        made["light"] = spelling.light;
    return made.dump(1);
}

/// A figure or a text of one as printed in a metric file, an angle in degrees; nothing where the text says
/// something else.
std::optional<double> figure_in(const Json& value) {
    if (value.is_number())
        return value.get<double>();
    if (value.is_string() && value.get<std::string>().ends_with(" rad"))
        return std::stod(value.get<std::string>()) * 180 / pi;
    for (const auto read : {+[](const std::string& text) { return read_length(text); },
                            +[](const std::string& text) { return read_illuminance(text); }})
        try {
            if (value.is_string())
                return read(value.get<std::string>());
        } catch (const InputError&) { // some other text
        }
    return std::nullopt;
}

/// The same to within rounding: `found` and `wanted` are JSON of two sites.
void check_alike(const Json& found, const Json& wanted, const std::string& path) {
    CAPTURE(path);
    if (const std::optional<double> figure = figure_in(wanted)) {
        REQUIRE(figure_in(found));
        CHECK(*figure_in(found) == doctest::Approx(*figure).epsilon(1e-9));
        return;
    }
    REQUIRE(found.type_name() == std::string(wanted.type_name()));
    if (!wanted.is_structured())
        CHECK(found == wanted);
    else {
        CHECK(found.size() == wanted.size());
        if (wanted.is_array())
            for (std::size_t i = 0; i < std::min(found.size(), wanted.size()); ++i)
                check_alike(found[i], wanted[i], path + "[" + std::to_string(i) + "]");
        else
            for (const auto& one : wanted.items()) {
                CAPTURE(one.key());
                REQUIRE(found.contains(one.key()));
                check_alike(found[one.key()], one.value(), path + "." + one.key());
            }
    }
}

std::function<Json(double)> as_text(double per_unit, const char* unit) {
    return [=](double figure) { return Json(fmt::format("{:.15g}{}", figure / per_unit, unit)); };
}

const std::function<Json(double)> bare_degrees = [](double figure) { return Json(figure * 180 / pi); };

std::vector<Spelling> spellings() {
    const std::function<Json(double)> bare = [](double figure) { return Json(figure); };
    const std::function<Json(double)> feet = [](double figure) { return Json(figure / 0.3048); };
    const std::function<Json(double)> footcandles = [](double figure) { return Json(figure * 0.09290304); };
    const auto lux = as_text(1, " lx"), in_degrees = as_text(pi / 180, " deg"),
               in_radians = as_text(1, " rad");
    return {
        {"metres and lux, bare", bare, bare, bare_degrees, "m", "lx"},
        {"feet and foot-candles, bare", feet, footcandles, bare_degrees},
        {"feet with their unit in a metric file", as_text(0.3048, " ft"), lux, in_degrees, "m", "lx"},
        {"inches", as_text(0.0254, " in"), as_text(1 / 0.09290304, " fc"), in_radians},
        {"millimetres", as_text(0.001, " mm"), lux, bare_degrees},
        {"centimetres, no space", as_text(0.01, "cm"), as_text(1, "lx"), in_degrees},
        {"metres with their unit", as_text(1, " m"), lux, in_radians},
        {"feet and inches",
         [](double figure) {
             const double whole = std::trunc(figure / 0.3048);
             return Json(fmt::format("{}{:.0f} ft {:.12g} in", figure < 0 ? "-" : "", std::abs(whole),
                                     std::abs(figure - whole * 0.3048) / 0.0254));
         },
         lux, bare_degrees},
    };
}

} // namespace

TEST_CASE("a site is the same in whatever units its file is written") {
    const FileKind kind = site_kind();
    Site example = read_site_file(kind.example).site;
    example.units = LengthUnit::metre;
    example.light = LightUnit::lux;
    const Json wanted = Json::parse(print_site(example));
    for (const Spelling& spelling : spellings()) {
        CAPTURE(spelling.name);
        int count = 0;
        Site site = read_site(respell_all(kind, spelling, count), kind.example).site;
        CHECK(count > 150);
        CHECK(site.units == (spelling.units == std::string("m") ? LengthUnit::metre : LengthUnit::foot));
        site.units = LengthUnit::metre;
        site.light = LightUnit::lux;
        check_alike(Json::parse(print_site(site)), wanted, "");
    }
}

TEST_CASE("a catalogue is the same in whatever units its file is written") {
    const FileKind kind = catalogue_kind();
    const Catalogue wanted = read_catalogue_file(kind.example).catalogue;
    for (const Spelling& spelling : spellings()) {
        CAPTURE(spelling.name);
        int count = 0;
        const Catalogue found = read_catalogue(respell_all(kind, spelling, count), kind.example).catalogue;
        CHECK(count > 15);
        REQUIRE(found.fixtures.size() == wanted.fixtures.size());
        for (std::size_t i = 0; i < wanted.fixtures.size(); ++i) {
            const FixtureModel &a = found.fixtures[i], &b = wanted.fixtures[i];
            CHECK(a.usual.lens_height == doctest::Approx(b.usual.lens_height));
            CHECK(a.usual.lens_diameter.value_or(0) == doctest::Approx(b.usual.lens_diameter.value_or(0)));
            CHECK(a.usual.shroud_length == doctest::Approx(b.usual.shroud_length));
            CHECK(a.usual.hood_length == doctest::Approx(b.usual.hood_length));
            CHECK(a.usual.rim.diameter == doctest::Approx(b.usual.rim.diameter));
            CHECK(a.usual.louvre.cell == doctest::Approx(b.usual.louvre.cell));
            CHECK(a.usual.tilt == doctest::Approx(b.usual.tilt));
            CHECK(a.greatest_tilt == doctest::Approx(b.greatest_tilt));
        }
        for (std::size_t i = 0; i < wanted.lamps.size(); ++i)
            CHECK(found.lamps[i].figures.beam_angle == doctest::Approx(wanted.lamps[i].figures.beam_angle));
    }
}

TEST_CASE("printed in other units a site reads back the same") {
    const FileKind kind = site_kind();
    const Site example = read_site_file(kind.example).site;
    for (const LengthUnit units : {LengthUnit::foot, LengthUnit::metre})
        for (const LightUnit light : {LightUnit::footcandle, LightUnit::lux}) {
            Site site = example;
            site.units = units;
            site.light = light;
            CHECK(read_site(print_site(site), kind.example).site == site);
        }
}

TEST_CASE("what is no length, light level or angle is refused, figure by figure") {
    const auto is_read = [](const std::string& view, const std::string& level) {
        try {
            read_site(R"({ "duskcast": 1, "levels": [)" + level +
                          R"(], "views": [{ "id": "v", "eye": [0, 0, 5],
                          "look_at": [0, 9, 5], "field_of_view": )" +
                          view + "}] }",
                      "x.site.json");
            return true;
        } catch (const InputError&) {
            return false;
        }
    };
    REQUIRE(is_read("50", "1"));
    for (const char* angle :
         {"\"50\"", "\"50 grad\"", "\"fifty\"", "\"50 deg wide\"", "\"inf rad\"", "\"nan deg\"", "\"\"",
          "\" deg\"", "true", "[50]", "{}", "\"1e999 deg\"", "\"0x32 deg\""}) {
        CAPTURE(angle);
        CHECK_FALSE(is_read(angle, "1"));
    }
    for (const char* level : {"\"1 cd\"", "\"lx\"", "\"one lx\"", "\"1 lx fc\"", "\"inf lx\"", "true", "[1]",
                              "\"1e999 lx\"", "\"-1 lx\"", "\"\""}) {
        CAPTURE(level);
        CHECK_FALSE(is_read("50", level));
    }
    for (const char* level : {"\"1 lx\"", "\"1lx\"", "\"0.5 fc\"", "2.5e-1"}) {
        CAPTURE(level);
        CHECK(is_read("\"50deg\"", level));
    }
}
