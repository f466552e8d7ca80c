// Fixtures on a photo, against a pinhole worked by hand.

#include <doctest/doctest.h>

#include "../photo/photo_test.hpp"
#include "duskcast/sheets/photo_marks.hpp"
#include "page_words.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

constexpr double eye_up = 1.6, eye_back = 10, photo_focal = 600; // metres, metres, pixels
constexpr glm::ivec2 marked_size{800, 500};

/// A wall along x with two uplights before it, one far to the side, one on the wall's back and one hanging.
Site make_marked_site() {
    Site site;
    site.name = "Marked";
    site.units = LengthUnit::metre;
    site.walls = {{.id = "front", .path = {{-4, 0}, {4, 0}}, .height = 3}};
    site.lamps = {{.id = "lamp", .figures = {.lumens = 300, .beam_angle = 0.6}, .watts = 4}};
    Fixture near{.id = "near", .lamp = "lamp"};
    near.at = glm::dvec2(1, -2);
    near.tilt = 0;
    Fixture leaning = near;
    leaning.id = "leaning";
    leaning.at = glm::dvec2(-1, -2);
    leaning.tilt = radians_from_degrees(90.0);
    leaning.azimuth = radians_from_degrees(90.0);
    Fixture aside = near;
    aside.id = "aside";
    aside.at = glm::dvec2(40, -2);
    Fixture behind = near;
    behind.id = "behind";
    behind.at = glm::dvec2(0, 1);
    Fixture hung = near;
    hung.id = "hung";
    hung.at = glm::dvec2(2, -1);
    hung.lens_height = 2.4;
    hung.tilt = pi;
    site.fixtures = {near, leaning, aside, behind, hung};
    return site;
}

PhotoReport make_marked_report() {
    return {.id = "street",
            .info = {.size = marked_size},
            .focal_35mm = {},
            .fit = test::certain_fit(marked_size, {0, -eye_back, eye_up}, 0, 0, 0, photo_focal)};
}

std::vector<FixtureOnPhoto> find_marked(const Site& site) {
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    return find_on_photo(site, *stage, make_marked_report());
}

} // namespace

TEST_CASE("a fixture's mark falls where a pinhole shows its foot, and is hidden where the wall is nearer") {
    const Site site = make_marked_site();
    const std::vector<FixtureOnPhoto> found = find_marked(site);
    REQUIRE(found.size() == 5);
    // 1 m to the right at 8 m: 600 / 8 pixels; the ground 1.6 m below the axis.
    REQUIRE(found[0].pixel);
    CHECK(found[0].pixel->x == doctest::Approx(400 + 600.0 / 8));
    CHECK(found[0].pixel->y == doctest::Approx(250 + 600 * 1.6 / 8));
    CHECK(found[0].hidden_by.empty());
    // Straight up, and level to the east, which is to the right.
    CHECK(found[0].lean.x == doctest::Approx(0).scale(1));
    CHECK(found[0].lean.y == doctest::Approx(-1));
    CHECK(found[1].lean.x == doctest::Approx(1));
    CHECK(found[1].lean.y == doctest::Approx(0).scale(1));
    CHECK_FALSE(found[2].pixel);
    REQUIRE(found[3].pixel);
    CHECK(found[3].hidden_by == "front");
    CHECK_FALSE(found[3].is_hidden_by_plant);
    REQUIRE(found[4].pixel);
    CHECK_FALSE(found[4].is_standing);
    CHECK(found[4].pixel->y == doctest::Approx(250 - 600 * (2.4 - 1.6) / 9));
}

TEST_CASE("a pixel is worth more ground in depth than across, as the ray's slope says") {
    // On level ground below the eye at h, d away: a pixel across is d / f; in depth d^2 / (f h). Nine times
    // of ten: 1.645 standard deviations. What hangs has its distance, 9 m, over f both ways.
    const std::vector<FixtureOnPhoto> found = find_marked(make_marked_site());
    CHECK(found[0].across == doctest::Approx(1.645 * 8 / 600).epsilon(0.03)); // a little off the axis
    CHECK(found[0].deep == doctest::Approx(1.645 * 64 / (600 * 1.6)).epsilon(0.03));
    CHECK(found[4].deep == doctest::Approx(1.645 * 9 / 600).epsilon(0.06));
}

TEST_CASE("the page of a marked photo names every fixture, says what is hidden, and nothing overlaps") {
    const Site site = make_marked_site();
    const std::vector<FixtureOnPhoto> found = find_marked(site);
    PhotoPixels photo{.size = marked_size};
    photo.rgb.assign(3 * 800 * 500, 120);
    const DrawnPage page = draw_photo_marks(site, make_marked_report(), photo, found);
    test::check_apart(page, 2);
    for (const char* name : {"near", "leaning", "behind", "hung"})
        CHECK(test::count_words(page, name) == 2); // on the photo and in the list
    CHECK(test::count_words(page, "aside") == 1);
    CHECK(test::count_words(page, "outside the picture") == 1);
    const auto says = [&](const std::string& part) {
        return std::any_of(page.words.begin(), page.words.end(), [&](const Canvas::Words& words) {
            return words.text.find(part) != std::string::npos;
        });
    };
    CHECK(says("Not seen: behind front."));
    CHECK(says("Hollow dots lie behind something."));
}
