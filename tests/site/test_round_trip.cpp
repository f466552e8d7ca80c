// What is printed reads back as the same site, to the last bit.

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "duskcast/site/finish.hpp"
#include "duskcast/site/site_file.hpp"
#include "each_key.hpp"
#include "random_site.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// The same JSON with the members of every object in another order.
Json shuffle_keys(const Json& value, std::mt19937& random) {
    if (value.is_array()) {
        Json list = Json::array();
        for (const Json& item : value)
            list.push_back(shuffle_keys(item, random));
        return list;
    }
    if (!value.is_object())
        return value;
    std::vector<std::string> keys;
    for (const auto& item : value.items())
        keys.push_back(item.key());
    std::shuffle(keys.begin(), keys.end(), random);
    Json object = Json::object();
    for (const std::string& key : keys)
        object[key] = shuffle_keys(value[key], random);
    return object;
}

/// What is read of the text; FAIL_CHECK and nothing where it is refused.
Site read_or_fail(const std::string& text) {
    try {
        return read_site(text, folder / "case.site.json").site;
    } catch (const InputError& error) {
        FAIL_CHECK(error.what());
    }
    return {};
}

} // namespace

TEST_CASE("a site with every key reads back equal, and its text prints the same again") {
    const SiteFile read = read_site_file(folder / "full.site.json");
    const std::string text = print_site(read.site);
    const SiteFile again = read_site(text, folder / "full.site.json");
    CHECK(again.site == read.site);
    CHECK(print_site(again.site) == text);
    CHECK(again.warnings.size() == read.warnings.size());
}

TEST_CASE("what the full example says arrives in SI") {
    const Site site = read_site_file(folder / "full.site.json").site;
    CHECK(site.schema == "../../src/site/site.schema.json");
    // 1 ft = 0.3048 m, 1 in = 0.0254 m (NIST SP 811 appendix B); 1 fc = 10.763910 lx.
    CHECK(site.levels[0] == doctest::Approx(0.25 * 10.763910).epsilon(1e-7));
    CHECK(site.levels[1] == 10);
    CHECK(site.ambient == 0.1);
    CHECK(site.sensor_spacing == doctest::Approx(8 * 0.0254));
    CHECK(site.ground_spacing == doctest::Approx(0.45));
    CHECK(site.walls[0].gables[0].peak == doctest::Approx(24 * 0.3048));
    CHECK(site.walls[0].openings[1].height == doctest::Approx(80 * 0.0254));
    CHECK(site.walls[0].projections[0].openings[0].finish == make_finish("glass"));
    CHECK(site.trees[0].form == CrownForm::vase);
    CHECK(site.shrubs[1].foliage == Foliage{.density = LeafDensity::dense});
    CHECK(site.trees[0].foliage.is_deciduous);
    CHECK(!site.shrubs[0].foliage.is_deciduous);
    CHECK(site.trees[0].growth->height == doctest::Approx(0.3048));
    CHECK(*site.trees[0].growth->trunk_diameter == doctest::Approx(0.25 * 0.0254));
    CHECK(*site.trees[0].growth->mature_width == doctest::Approx(30 * 0.3048));
    CHECK(site.meshes[0].scale == doctest::Approx(0.3048));
    CHECK(site.meshes[0].turn == doctest::Approx(0.52359877559829887));               // pi / 6
    CHECK(*site.lamps[0].figures.field_angle == doctest::Approx(1.0471975511965976)); // pi / 3
    CHECK(site.targets[1].level == doctest::Approx(10.763910).epsilon(1e-7));
    CHECK(site.zone == Zone::e2);
    REQUIRE(site.watch_points.size() == 2);
    CHECK(site.watch_points[0].at.z == doctest::Approx(16 * 0.3048));
    CHECK(*site.watch_points[0].facing == doctest::Approx(4.71238898038469)); // 3 pi / 2
    CHECK(site.watch_points[1].kind == WatchKind::boundary);
    CHECK(!site.watch_points[1].facing);
    CHECK(site.eyes.at(0).look_at->x == doctest::Approx(60 * 0.3048));
    REQUIRE(site.variants.size() == 2);
    CHECK(site.variants[0].plants == SeasonChoice{Season::bare, 10});
    CHECK(site.variants[1].changes[0].settings == std::vector<Setting>{{Knob::spacing, 4 * 0.3048, ""}});
    CHECK(site.variants[1].changes[2].settings[0].value == doctest::Approx(0.69813170079773)); // 2 pi / 9
    // Defaults by kind.
    CHECK(site.fixtures[1].lens_height == 0);
    CHECK(site.fixtures[1].mount == Mount::surface);
    CHECK(site.fixtures[2].mount == Mount::tree);
    CHECK(site.fixtures[3].lens_height == 0.45);
    CHECK(site.fixtures[3].tilt == doctest::Approx(3.14159265358979));
}

TEST_CASE("500 random sites read back equal, and between them they hold every key and every word") {
    const FileKind kind = site_kind();
    std::set<std::string> wanted, seen; // "wall.cladding=stucco"
    for (const ObjectInfo& object : kind.objects)
        for (const FieldInfo& field : object.fields) {
            wanted.insert(object.name + "." + field.key);
            for (const std::string& word : field.words)
                wanted.insert(object.name + "." + field.key + "=" + word);
        }
    for (unsigned seed = 1; seed <= 500; ++seed) {
        CAPTURE(seed);
        const Site site = make_random_site(seed);
        const std::string text = print_site(site);
        const Site again = read_or_fail(text);
        CHECK(again == site);
        CHECK(print_site(again) == text);
        const Json json = Json::parse(text);
        std::vector<Found> found;
        find_keys(kind, json, kind.objects.front(), Json::json_pointer(), "", found);
        for (const Found& one : found) {
            const std::string name = one.owner->name + "." + one.info->key;
            seen.insert(name);
            if (one.info->quantity == KeyQuantity::word)
                seen.insert(name + "=" + json[one.object][one.info->key].get<std::string>());
        }
    }
    // A default is left out.
    std::erase_if(wanted, [&](const std::string& name) {
        const ObjectInfo& object = find_object(kind, name.substr(0, name.find('.')));
        for (const FieldInfo& field : object.fields)
            if (field.quantity == KeyQuantity::word && !field.usual.empty() &&
                name == object.name + "." + field.key + "=" + Json::parse(field.usual).get<std::string>())
                return true;
        return false;
    });
    for (const std::string& name : wanted) {
        CAPTURE(name);
        CHECK(seen.contains(name));
    }
}

TEST_CASE("the order in which keys stand in their objects means nothing") {
    // RFC 8259, section 4: objects are unordered.
    for (unsigned seed = 1; seed <= 40; ++seed) {
        CAPTURE(seed);
        const Site site = make_random_site(seed);
        std::mt19937 random(seed);
        const std::string shuffled = shuffle_keys(Json::parse(print_site(site)), random).dump();
        CHECK(read_or_fail(shuffled) == site);
    }
}

TEST_CASE("print_site writes what a person would, and leaves defaults out") {
    Site site;
    site.name = "porch";
    site.levels = {0.5 * lux_per_footcandle, 1 * lux_per_footcandle, 2 * lux_per_footcandle,
                   5 * lux_per_footcandle};
    Fixture fixture;
    fixture.id = "up1";
    fixture.lamp = "spot";
    fixture.wall = "front";
    fixture.along = 6 * 0.3048;
    fixture.setback = read_length("15 in");
    fixture.lens_height = read_length("5 in");
    fixture.tilt = radians_from_degrees(7.5);
    site.fixtures = {fixture};
    CHECK(print_site(site) == R"({
  "duskcast": 1,
  "name": "porch",
  "units": "ft",
  "light": "fc",
  "fixtures": [
    {
      "id": "up1",
      "kind": "uplight",
      "lamp": "spot",
      "wall": "front",
      "along": 6,
      "setback": 1.25,
      "lens_height": "5 in",
      "tilt": 7.5
    }
  ]
}
)");
}

TEST_CASE("a downlight hangs where it is placed") {
    const auto mount_of = [](const std::string& where) {
        const std::string text = R"({ "duskcast": 1,
            "walls": [{ "id": "front", "path": [[0, 0], [40, 0]], "height": 10 }],
            "trees": [{ "id": "oak", "at": [60, 20], "height": 25, "base": 6, "width": 20 }],
            "lamps": [{ "id": "spot", "watts": 5, "lumens": 350, "beam": 36 }],
            "fixtures": [{ "id": "d", "kind": "downlight", "lamp": "spot", "lens_height": 8, )" +
                                 where + "}] }";
        return read_site(text, folder / "case.site.json").site.fixtures.at(0).mount;
    };
    CHECK(mount_of(R"("wall": "front", "along": 3)") == Mount::wall);
    CHECK(mount_of(R"("tree": "oak")") == Mount::tree);
}

TEST_CASE("a byte-order mark, blank lines and either line end are read") {
    const SiteFile read =
        read_site("\xEF\xBB\xBF{\r\n  \"duskcast\": 1,\r\n  \"name\": \"x\"\r\n}\r\n", "x.site.json");
    CHECK(read.site.name == "x");
    CHECK(read.place_of("name") == Place{"x.site.json", 3, 11, "name"});
}

TEST_CASE("places: of a value, of the nearest thing the file holds, and of the site") {
    const SiteFile read = read_site_file(folder / "full.site.json");
    const std::string file = (folder / "full.site.json").generic_string();
    CHECK(read.place_of("name") == Place{file, 4, 11, "name"});
    CHECK(read.place_of("walls[0].path[1]") == Place{file, 24, 24, "walls[0].path[1]"});
    CHECK(read.place_of("walls[0].path[1][0]") == read.place_of("walls[0].path[1]"));
    CHECK(read.place_of("fixtures[3].tilt") == read.place_of("fixtures[3]"));
    CHECK(read.place_of("nothing") == read.place_of(""));
    CHECK(read.folder() == folder);
}

TEST_CASE("angles may be text") {
    const auto view = [](const std::string& angle) {
        return read_site(R"({ "duskcast": 1, "views": [{ "id": "v", "eye": [0, 0, 5], "look_at": [0, 9, 5],
            "field_of_view": )" +
                             angle + "}] }",
                         "x.site.json")
            .site.views.at(0)
            .field_of_view;
    };
    CHECK(view("60") == doctest::Approx(1.0471975511965976));
    CHECK(view("\"60 deg\"") == doctest::Approx(1.0471975511965976));
    CHECK(view("\"1.25 rad\"") == 1.25);
}
