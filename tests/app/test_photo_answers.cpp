// What is told of photos, beside a camera that is known from the start and the rooms asked directly.

#include <algorithm>
#include <cmath>

#include "desk.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photo/photo_places.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/photo/shrink_photo.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "page_types.hpp"

using namespace duskcast;
using duskcast::test::Desk;
using duskcast::test::Json;

namespace {

constexpr double garden_focal_35mm = 27; ///< 720 pixels of 960
const glm::dvec3 garden_eye(3, -11, 1.6);

/// Level, to the north, of the size of the street's photo, whose pixels stand in for the garden's.
Camera garden_camera() {
    Camera camera{.width = 960, .height = 640, .eye = garden_eye};
    camera.pixels_per_tangent = 720;
    return camera;
}

/// The garden with a walk, and with a photo on which its places are marked where that camera has them.
Json photo_garden(std::size_t most_marks = 12) {
    Json site = test::make_garden();
    site["ground"]["areas"].push_back(Json::parse(
        R"({"id": "walk", "kind": "paving", "outline": [[8, -16], [11, -16], [11, 0], [8, 0]]})"));
    Json marks = Json::array();
    const Site read = read_site(test::text_of(site), "p.site.json").site;
    for (const PhotoPlace& place : list_places(read)) {
        const auto pixel = garden_camera().project(place_of(read, place.mark));
        if (!pixel || marks.size() == most_marks)
            continue;
        Json mark = {{"id", place.id}, {"pixel", {pixel->x, pixel->y}}};
        if (place.mark.at)
            mark["at"] = {place.mark.at->x / metres_per_foot, place.mark.at->y / metres_per_foot, 0};
        else {
            mark["wall"] = place.mark.wall;
            mark["along"] = place.mark.along / metres_per_foot;
            mark["up"] = place.mark.up / metres_per_foot;
        }
        marks.push_back(std::move(mark));
    }
    site["photos"] = {{{"id", "street"}, {"file", "street.jpg"}, {"focal_35mm", garden_focal_35mm}}};
    site["photos"][0]["marks"] = std::move(marks);
    return site;
}

std::string street_bytes() {
    return test::read_bytes(DUSKCAST_SOURCE_DIR "/scenes/street-photo/street.jpg");
}

struct PhotoDeskTest : Desk {
    explicit PhotoDeskTest(const Json& site) {
        put("street.jpg", street_bytes());
        const Json told = change(site);
        REQUIRE_MESSAGE(told["is_accepted"] == true, told["problems"].dump());
    }
    Json about(const char* what, Json more = Json::object()) {
        more["ask"] = what;
        more["photo"] = "street";
        return ask(more);
    }
    void check(const Json& answer, const std::string& type, const std::set<std::string>& added = {}) const {
        static const test::PageTypes types(test::read_bytes(DUSKCAST_SOURCE_DIR "/src/app/engine.ts"));
        REQUIRE_MESSAGE(!answer.contains("fault"), answer.dump());
        for (const std::string& fault : types.misfits(answer, type, blocks, added))
            FAIL_CHECK(fault);
    }
};

glm::dvec2 pixel_of(const Json& json) {
    return {json.at(0).get<double>(), json.at(1).get<double>()};
}

glm::dvec2 garden_pixel(const glm::dvec3& place) {
    return *garden_camera().project(place);
}

Json as_json(const glm::dvec2& pixel) {
    return {pixel.x, pixel.y};
}

const Json& called(const Json& list, const std::string& id) {
    const auto found =
        std::find_if(list.begin(), list.end(), [&](const Json& one) { return one["id"] == id; });
    REQUIRE_MESSAGE(found != list.end(), id);
    return *found;
}

} // namespace

TEST_CASE("exact marks give the camera back, and tell of the house what it is") {
    PhotoDeskTest desk(photo_garden());
    const Json photos = desk.ask({{"ask", "photos"}})["photos"];
    REQUIRE(photos.size() == 1);
    const Json& photo = photos[0];
    desk.check(photo, "PhotoState");
    CHECK(photo["is_found"] == true);
    CHECK(photo["size"] == Json{960, 640});
    CHECK(photo["worth"].get<std::string>().starts_with("Good to "));
    for (const Json& mark : photo["marks"]) {
        CHECK(mark["off_px"].get<double>() < 0.3); // priors pull a little
        CHECK(mark["state"] == "good");
    }
    CHECK(called(photo["marks"], "gable-peak")["place"] == "peak");
    CHECK(called(photo["marks"], "gable-peak")["of"] == "gable");

    // A fixture's lens, its foot, where it is aimed, and its rail, through the camera that was drawn with.
    const Site site = read_site(test::text_of(photo_garden()), "p.site.json").site;
    const Json& seen = called(photo["fixtures"], "U1");
    const glm::dvec3 lens = place_fixture(site, site.fixtures[0]).position;
    CHECK(glm::distance(pixel_of(seen["lens"]), garden_pixel(lens)) < 1);
    CHECK(glm::distance(pixel_of(seen["foot"]), garden_pixel({lens.x, lens.y, 0})) < 1);
    CHECK(seen["is_hidden"] == false);
    REQUIRE(!seen["aim"].is_null());
    // 15 in off the wall and tilted by 8 degrees the axis meets it 15 in / tan 8 higher: 8 ft 11 in. The
    // lens's own eave of 1 ft lies above that.
    const double up = lens.z + 15 * 0.0254 / std::tan(radians_from_degrees(8));
    CHECK(glm::distance(pixel_of(seen["aim"]), garden_pixel({lens.x, 0, up})) < 1.5);
    for (const Json& stop : seen["rail"]) {
        const glm::dvec2 there(stop[1].get<double>(), stop[2].get<double>());
        CHECK(glm::distance(there, garden_pixel({stop[0].get<double>(), lens.y, lens.z})) < 1);
    }
    CHECK(seen["rail"].size() > 20);
    CHECK(called(photo["fixtures"], "T1")["rail"].empty());

    const Json lines = desk.about("photo_lines");
    desk.check(lines, "PhotoLines");
    CHECK(!lines["grid"].empty());
    const Json& door = called(lines["shapes"], "door");
    CHECK(door["role"] == "opening");
    CHECK(glm::distance(pixel_of(door["points"][0]), garden_pixel({8 * metres_per_foot, 0, 0})) < 1);
    const Json& place = called(lines["places"], "door-upper-left");
    CHECK(glm::distance(pixel_of(place["falls_at"]),
                        garden_pixel({8 * metres_per_foot, 0, 7 * metres_per_foot})) < 1);
    CHECK(called(lines["places"], "gable-peak")["is_marked"] == true);
}

TEST_CASE("clicks measure what was drawn, in words with their doubt") {
    PhotoDeskTest desk(photo_garden());
    const auto at = [](double x_ft, double y_ft, double z_ft) {
        return garden_pixel(glm::dvec3(x_ft, y_ft, z_ft) * metres_per_foot);
    };
    const Json on_wall = desk.about("photo_click", {{"pixel", as_json(at(5, 0, 8))}});
    desk.check(on_wall, "PhotoClick");
    CHECK(on_wall["wall"]["wall"] == "front");
    CHECK(on_wall["wall"]["along"].get<double>() == doctest::Approx(5 * metres_per_foot).epsilon(0.005));
    CHECK(on_wall["wall"]["up"].get<double>() == doctest::Approx(8 * metres_per_foot).epsilon(0.005));
    CHECK(on_wall["wall"]["words"].get<std::string>().find("(within ") != std::string::npos);
    CHECK(on_wall["ground"].is_null());
    const Json on_ground = desk.about("photo_click", {{"pixel", as_json(at(14, -10, 0))}});
    CHECK(on_ground["wall"].is_null());
    CHECK(pixel_of(on_ground["ground"]["at"]).x == doctest::Approx(14 * metres_per_foot).epsilon(0.01));
    CHECK(pixel_of(on_ground["ground"]["at"]).y == doctest::Approx(-10 * metres_per_foot).epsilon(0.02));
    // Over the eave beside the gable there is no wall; asked for its plane it is measured all the same.
    CHECK(desk.about("photo_click", {{"pixel", as_json(at(1, 0, 14))}})["wall"].is_null());
    const Json above = desk.about("photo_click", {{"pixel", as_json(at(1, 0, 14))}, {"wall", "front"}});
    CHECK(above["wall"]["up"].get<double>() == doctest::Approx(14 * metres_per_foot).epsilon(0.005));
    // A light that is moved keeps its lens as high above the ground as it was: on this terrace of 2 ft too.
    Json raised = photo_garden();
    raised["ground"]["areas"].push_back({{"id", "terrace"},
                                         {"kind", "lawn"},
                                         {"outline", {{10, -10}, {18, -10}, {18, -3}, {10, -3}}},
                                         {"height", 2}});
    PhotoDeskTest above_ground(raised);
    const Site site = read_site(test::text_of(raised), "p.site.json").site;
    const double lens = place_fixture(site, site.fixtures[0]).position.z / metres_per_foot;
    for (const double north : {-6.0, -14.0}) {
        CAPTURE(north);
        const double ground = north > -10 ? 2 : 0;
        const Json moved =
            above_ground.about("photo_click", {{"pixel", as_json(at(14, north, ground + lens))},
                                               {"fixture", site.fixtures[0].id}});
        above_ground.check(moved, "PhotoClick");
        CHECK(pixel_of(moved["ground"]["at"]).y == doctest::Approx(north * metres_per_foot).epsilon(0.03));
    }

    // The door is 3 ft wide.
    const Json width =
        desk.about("photo_length", {{"from", as_json(at(8, 0, 6.9))}, {"to", as_json(at(11, 0, 6.9))}});
    desk.check(width, "PhotoLength");
    CHECK(width["length"].get<double>() == doctest::Approx(3 * metres_per_foot).epsilon(0.01));
    CHECK(width["within"].get<double>() > 0);
    CHECK(width["within"].get<double>() < 0.1);
    const Json nowhere = desk.about("photo_length", {{"from", {480, 5}}, {"to", as_json(at(11, 0, 6))}});
    desk.check(nowhere, "PhotoLength");
    CHECK(nowhere["length"].is_null());

    // The maple: 12 ft high at 26 ft east and 8 ft south, 8 ft wide across the line of sight to it.
    const glm::dvec2 maple = glm::dvec2(26, -8) * metres_per_foot;
    const glm::dvec2 away = glm::normalize(maple - glm::dvec2(garden_eye));
    const glm::dvec2 side = maple + 4 * metres_per_foot * glm::dvec2(away.y, -away.x);
    const Json upright = desk.about("photo_upright", {{"foot", as_json(at(26, -8, 0))},
                                                      {"top", as_json(at(26, -8, 12))},
                                                      {"side", as_json(garden_pixel({side, 2.5}))}});
    desk.check(upright, "PhotoUpright");
    CHECK(upright["height"].get<double>() == doctest::Approx(12 * metres_per_foot).epsilon(0.02));
    CHECK(upright["width"].get<double>() == doctest::Approx(8 * metres_per_foot).epsilon(0.02));
    CHECK(glm::distance(pixel_of(upright["at"]), maple) < 0.15);
}

TEST_CASE("too few marks, a wrong one and a missing picture are told with what would help") {
    PhotoDeskTest desk(photo_garden(3));
    const auto first = [&] { return desk.ask({{"ask", "photos"}})["photos"][0]; };
    const Json few = first();
    desk.check(few, "PhotoState");
    CHECK(few["is_found"] == false);
    CHECK(few["problems"][0]["message"].get<std::string>().find("3 marks") != std::string::npos);
    CHECK(!few["problems"][0]["remedy"].get<std::string>().empty());
    CHECK(few["marks"][0]["state"] == "open");
    CHECK(few["fixtures"].empty());
    const Json lines = desk.about("photo_lines");
    CHECK(lines["grid"].empty());
    CHECK(lines["places"].size() > 12);
    CHECK(desk.about("photo_click", {{"pixel", {400, 300}}}).contains("fault"));
    CHECK(desk.about("relight", {{"width", 48}}).contains("fault"));

    Json wrong = photo_garden();
    wrong["photos"][0]["marks"][6]["pixel"][1] =
        wrong["photos"][0]["marks"][6]["pixel"][1].get<double>() + 40;
    REQUIRE(desk.change(wrong)["is_accepted"] == true);
    const Json told = first();
    CHECK(told["is_found"] == true);
    CHECK(told["marks"][6]["state"] == "wrong");
    CHECK(told["marks"][6]["fit_words"].get<std::string>().find("looks wrong") == 0);
    CHECK(std::count_if(told["marks"].begin(), told["marks"].end(),
                        [](const Json& mark) { return mark["state"] == "wrong"; }) == 1);
    REQUIRE(told["doubts"].size() == 1);
    const std::string named = told["marks"][6]["of"].get<std::string>();
    CHECK(told["doubts"][0].get<std::string>().find(told["marks"][6]["place"].get<std::string>() +
                                                    " of the " + named) == 4);
    // Put right again, nothing is left of it.
    REQUIRE(desk.change(photo_garden())["is_accepted"] == true);
    CHECK(first()["doubts"].empty());

    desk.engine.remove_file("street.jpg");
    const Json gone = first();
    desk.check(gone, "PhotoState");
    CHECK(gone["size"].is_null());
    CHECK(gone["problems"][0]["message"].get<std::string>().find("cannot be read") != std::string::npos);
    desk.put("street.jpg", street_bytes());
    CHECK(first()["is_found"] == true);
    CHECK(desk.ask({{"ask", "photo_lines"}, {"photo", "sreet"}})["fault"][0]["remedy"] ==
          "did you mean \"street\"?");
}

TEST_CASE("a relit photo has the bytes of a single run, and a quick one its light of a moment ago") {
    constexpr int factor = 20;
    const Json text = photo_garden();
    PhotoDeskTest desk(text);
    const Json answer = desk.about("relight", {{"width", 960 / factor}});
    desk.check(answer, "Relit");
    CHECK(answer["width"] == 960 / factor);
    CHECK(answer["height"] == 640 / factor);
    const std::vector<std::uint8_t> shown = desk.block<std::uint8_t>(answer["rgba"]);

    // As `duskcast photo` goes about it.
    const auto run = [&](const Json& site_text) {
        const test::Folder folder;
        folder.write("street.jpg", street_bytes());
        const Site site = read_site(test::text_of(site_text), folder / "p.site.json").site;
        const std::unique_ptr<Stage> stage = build_stage(site, folder.path());
        const std::vector<LitFixture> fixtures = make_fixtures(site, folder.path());
        const BounceSetup setup = set_up_bounce(*stage, fixtures, site.ambient);
        const Camera camera = measure_photo(site, site.photos[0], folder.path()).fit.camera();
        const RelightPlan plan(site, *stage, shrink_places(site.photos[0], factor),
                               shrink_pixels(read_photo(folder / "street.jpg"), factor),
                               shrink_camera(camera, factor), setup);
        const Raster raster =
            make_night_raster(plan.relight(fixtures, site.ambient, find_bounced_light(setup, fixtures)),
                              {.ambient_lx = site.ambient, .marks = {}});
        std::vector<std::uint8_t> bytes;
        for (const Colour& pixel : raster.colour) {
            for (const double channel : pixel)
                bytes.push_back(static_cast<std::uint8_t>(std::lround(255 * std::clamp(channel, 0.0, 1.0))));
            bytes.push_back(255);
        }
        return bytes;
    };
    CHECK(shown == run(text));

    Json moved = text;
    moved["fixtures"][0]["along"] = "9 ft";

    // A glance needs a whole night that was kept, and nothing but fixtures changed since.
    const auto glance = [&](const Json& site) {
        return desk.about("photo_glance", {{"text", test::text_of(site)}, {"look", nullptr}});
    };
    CHECK(glance(moved)["rgba"].is_null());
    desk.about("relight", {{"width", 960 / factor}, {"is_kept", true}});
    const Json same = glance(text);
    desk.check(same, "Glanced");
    CHECK(desk.block<std::uint8_t>(same["rgba"]) == shown);
    const Json glanced = glance(moved);
    CHECK(glanced["width"] == 960 / factor);
    const std::vector<std::uint8_t> glanced_bytes = desk.block<std::uint8_t>(glanced["rgba"]);
    CHECK(desk.ask({{"ask", "tidy"}})["text"] != test::text_of(moved)); // what is held stays
    Json higher = moved;
    higher["walls"][0]["height"] = "11 ft";
    CHECK(glance(higher)["rgba"].is_null());
    CHECK(desk.about("photo_glance", {{"text", "{"}, {"look", nullptr}})["rgba"].is_null());

    REQUIRE(desk.change(moved)["is_accepted"] == true);
    const Json quick = desk.about("relight", {{"width", 960 / factor}, {"is_quick", true}});
    const std::vector<std::uint8_t> quick_bytes = desk.block<std::uint8_t>(quick["rgba"]);
    const Json whole = desk.about("relight", {{"width", 960 / factor}});
    const std::vector<std::uint8_t> whole_bytes = desk.block<std::uint8_t>(whole["rgba"]);
    CHECK(whole_bytes == run(moved));
    const auto apart = [&](const std::vector<std::uint8_t>& a, const std::vector<std::uint8_t>& b) {
        double sum = 0;
        for (std::size_t i = 0; i < a.size(); ++i)
            sum += std::abs(a[i] - b[i]);
        return sum;
    };
    // The quick one has the light where it is now: most of the way from what was to what is.
    REQUIRE(quick_bytes.size() == whole_bytes.size());
    CHECK(apart(quick_bytes, whole_bytes) < 0.2 * apart(shown, whole_bytes));
    CHECK(apart(shown, whole_bytes) > 0);
    REQUIRE(glanced_bytes.size() == whole_bytes.size());
    CHECK(apart(glanced_bytes, whole_bytes) < 0.4 * apart(shown, whole_bytes)); // 48 pixels across
}
