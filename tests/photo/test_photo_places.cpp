// Lengths between clicks, what of a site can be pointed at, and where its walls' feet fall, by similar
// triangles.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/photo/photo_places.hpp"
#include "duskcast/photo/shrink_photo.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr glm::ivec2 places_size{900, 600};
constexpr double places_focal = 600;

/// Level at 1.5 m, 10 m south of a wall along the plan's x axis, facing north: a pixel on it is 1/60 m.
CameraFit facing_fit() {
    return certain_fit(places_size, {0, -10, 1.5}, 0, 0, 0, places_focal);
}

glm::dvec2 off_middle(double right, double down) {
    return glm::dvec2(450 + right, 300 + down);
}

/// 6 m wide, its eave at 3 m, a gable of 4 m to 5 m, a window of 1 x 1.5 m; a walk before it.
Site places_site() {
    Site site;
    Wall wall{.id = "front", .path = {{-3, 0}, {3, 0}}, .height = 3, .finish = {}};
    wall.gables = {Gable{.id = "gable", .from = 1, .width = 4, .peak = 5}};
    wall.openings = {Opening{.id = "window", .from = 2, .width = 1, .sill = 0.9, .height = 1.5}};
    site.walls = {wall};
    GroundArea walk{.id = "walk", .kind = GroundKind::paving};
    walk.outline = {{-1, -6}, {1, -6}, {1, 0}, {-1, 0}};
    site.ground.areas = {walk};
    return site;
}

const PhotoPlace& place_called(const std::vector<PhotoPlace>& places, const std::string& id) {
    const auto found =
        std::find_if(places.begin(), places.end(), [&](const PhotoPlace& one) { return one.id == id; });
    REQUIRE_MESSAGE(found != places.end(), id);
    return *found;
}

} // namespace

TEST_CASE("a length between two clicks is theirs by similar triangles, with the doubt of both") {
    const ClickPlane wall{{0, 0, 0}, {0, -1, 0}};
    const auto found = measure_length(facing_fit(), off_middle(-120, 30), wall, off_middle(60, 30), wall);
    REQUIRE(found);
    CHECK(found->length == doctest::Approx(3)); // 180 pixels of 10 m / 600
    // Each click moves along by a pixel, 1/60 m.
    CHECK(found->deviation == doctest::Approx(std::sqrt(2.0) / 60).epsilon(1e-3));
    // A camera that is uncertain sideways moves both ends alike; one that is nearer or farther scales.
    CameraFit fit = facing_fit();
    fit.click_px = 0;
    set_deviation(fit, CameraModel::eye_x, 0.4);
    const auto aside = measure_length(fit, off_middle(-120, 30), wall, off_middle(60, 30), wall);
    REQUIRE(aside);
    CHECK(aside->deviation < 1e-6);
    set_deviation(fit, CameraModel::eye_y, 0.5);
    const auto scaled = measure_length(fit, off_middle(-120, 30), wall, off_middle(60, 30), wall);
    REQUIRE(scaled);
    CHECK(scaled->deviation == doctest::Approx(3 * 0.5 / 10).epsilon(1e-3));
    // From the wall to the ground before it: 1.5 m below the eye 150 pixels down are 6 m off.
    const auto across =
        measure_length(facing_fit(), off_middle(0, 90), wall, off_middle(0, 150), ClickPlane{});
    REQUIRE(across);
    CHECK(across->length == doctest::Approx(4)); // the wall's foot is 10 m off, and straight behind
    CHECK(!measure_length(facing_fit(), off_middle(0, 90), wall, off_middle(0, -10), ClickPlane{}));
}

TEST_CASE("the side of something upright lies at its foot's distance") {
    // A foot 75 pixels under the horizon of a 1.5 m eye is 12 m off, where a pixel is 2 cm.
    const auto found = measure_side(facing_fit(), off_middle(90, 75), off_middle(290, -100));
    REQUIRE(found);
    // Across the line of sight through the foot, which is 90 pixels to the right: by the angles of both.
    const double foot = std::atan2(90.0, places_focal), side = std::atan2(290.0, places_focal);
    CHECK(found->length == doctest::Approx(12 / std::cos(foot) * std::tan(side - foot)));
    CHECK(found->deviation > 0.02);
    CHECK(!measure_side(facing_fit(), off_middle(90, -5), off_middle(290, -100)));
}

TEST_CASE("a click past a wall's outline is still measured on it when it is asked for") {
    const Site site = places_site();
    // 4.2 m to the right and 6 m up, where neither wall nor gable is.
    const glm::dvec2 click = off_middle(60 * 4.2, -60 * 4.5);
    CHECK(!measure_click(site, facing_fit(), click).on_wall);
    const auto found = measure_on_wall(site.walls[0], facing_fit(), click);
    REQUIRE(found);
    CHECK(found->along == doctest::Approx(7.2));
    CHECK(found->up == doctest::Approx(6));
    const CameraFit behind = certain_fit(places_size, {0, 20, 1.5}, 180, 0, 0, places_focal);
    CHECK(!measure_on_wall(site.walls[0], behind, click));
    const ClickPlane plane = plane_of(site.walls[0], 2);
    CHECK(plane.normal == glm::dvec3(0, -1, 0));
    CHECK(plane.point == glm::dvec3(-3, 0, 0));
    // Round a corner it is the face that turns to the camera and has the click.
    Site corner = site;
    corner.walls[0].gables.clear();
    corner.walls[0].openings.clear();
    corner.walls[0].path = {{-3, 0}, {3, 0}, {3, 8}};
    const CameraFit aslant = certain_fit(places_size, {13, 4, 1.5}, 270, 0, 0, places_focal);
    const auto round = measure_on_wall(corner.walls[0], aslant, off_middle(60, 0));
    REQUIRE(round);
    CHECK(round->along == doctest::Approx(6 + 4 + 1)); // 10 m off, a pixel is 1/60 m; right is north
    CHECK(round->up == doctest::Approx(1.5));
}

TEST_CASE("corners of walls, windows and walks can be pointed at, by names that tell which") {
    const Site site = places_site();
    const std::vector<PhotoPlace> places = list_places(site);
    struct Row {
        const char *id, *words;
        glm::dvec3 at;
    };
    for (const Row& row :
         {Row{"front-left-foot", "left end, at the ground", {-3, 0, 0}},
          Row{"front-right-eave", "right end, at the eave", {3, 0, 3}}, Row{"gable-peak", "peak", {0, 0, 5}},
          Row{"gable-right-end", "right end, at the eave", {2, 0, 3}},
          Row{"window-upper-left", "upper left corner", {-1, 0, 2.4}},
          Row{"window-lower-right", "lower right corner", {0, 0, 0.9}},
          Row{"walk-near-left-corner", "near left corner, on the ground", {-1, -6, 0}},
          Row{"walk-far-right-corner", "far right corner, on the ground", {1, 0, 0}}}) {
        CAPTURE(row.id);
        const PhotoPlace& place = place_called(places, row.id);
        CHECK(place.words == row.words);
        CHECK(glm::distance(place_of(site, place.mark), row.at) < 1e-9);
    }
    // Each has a name of its own, and two beside each other on the ground are among the first dozen.
    std::vector<std::string> ids;
    for (const PhotoPlace& place : places)
        ids.push_back(place.id);
    std::sort(ids.begin(), ids.end());
    CHECK(std::adjacent_find(ids.begin(), ids.end()) == ids.end());
    CHECK(std::count_if(places.begin(), places.begin() + 12,
                        [](const PhotoPlace& place) { return place.mark.at.has_value(); }) >= 2);
    // Five corners have no such names.
    Site odd = site;
    odd.ground.areas[0].outline.push_back({-2, -3});
    CHECK(place_called(list_places(odd), "walk-corner-5").words == "corner 5, on the ground");
}

TEST_CASE("the feet of a wall fall where its distance says, and end at its outline") {
    const Site site = places_site();
    const Camera camera = facing_fit().camera();
    const std::vector<GridLine> grid = project_wall_grid(site, camera, 1);
    std::vector<int> upright(7), level(6);
    for (const GridLine& line : grid) {
        CHECK(line.wall == "front");
        REQUIRE(line.points.size() >= 2);
        CAPTURE(line.number);
        if (line.is_upright) {
            ++upright.at(static_cast<std::size_t>(line.number));
            // x metres from the middle at 60 pixels a metre; from the foot to the eave or the slope.
            for (const glm::dvec2& point : line.points)
                CHECK(point.x == doctest::Approx(450 + 60 * (line.number - 3)));
            CHECK(line.points.front().y == doctest::Approx(300 + 60 * 1.5));
            const double top = std::max(3.0, 5.0 - std::abs(line.number - 3));
            CHECK(line.points.back().y == doctest::Approx(300 - 60 * (top - 1.5)));
        } else {
            ++level.at(static_cast<std::size_t>(line.number));
            CHECK(line.points.front().y == doctest::Approx(300 - 60 * (line.number - 1.5)));
            // Above the eave only between the slopes, to the piece of a line before it: 0.3 m.
            const double half = line.number <= 3 ? 3 : 5 - line.number;
            CHECK(line.points.front().x >= 450 - 60 * half - 1e-6);
            CHECK(line.points.front().x <= 450 - 60 * (half - 0.31));
        }
    }
    CHECK(upright == std::vector<int>(7, 1));
    CHECK(level == std::vector<int>{1, 1, 1, 1, 1, 0}); // of the peak there is a point alone
    const Camera behind = certain_fit(places_size, {0, 20, 1.5}, 180, 0, 0, places_focal).camera();
    CHECK(project_wall_grid(site, behind, 1).empty());
}

TEST_CASE("a line that passes behind the eye is cut there") {
    const Camera camera = facing_fit().camera();
    std::vector<glm::dvec3> line;
    for (const double y : {0.0, -2.0, -20.0, -30.0, -4.0, -1.0})
        line.push_back({0, y, 0});
    const auto pieces = project_line(camera, line);
    REQUIRE(pieces.size() == 2);
    CHECK(pieces[0].size() == 2);
    CHECK(pieces[1][0].y == doctest::Approx(300 + 600 * 1.5 / 6));
}

TEST_CASE("a photo in fewer pixels keeps its light, its camera and its marks") {
    PhotoPixels picture{.size = {5, 4}, .rgb = {}};
    for (int i = 0; i < 20; ++i)
        for (int channel = 0; channel < 3; ++channel)
            picture.rgb.push_back(i % 5 % 2 == 0 ? 255 : 0);
    const PhotoPixels half = shrink_pixels(picture, 2);
    CHECK(half.size == glm::ivec2(2, 2));
    // Half of the light of white is 188 of 255 by the law of sRGB (IEC 61966-2-1).
    for (const std::uint8_t value : half.rgb)
        CHECK(value == 188);
    CHECK(shrink_pixels(picture, 1).rgb == picture.rgb);
    CHECK(shrink_pixels(picture, 9).size == glm::ivec2(1, 1));

    CameraModel model({1001, 667}, true, true, false);
    const std::vector<double> figures{1, -9, 1.7, 0.1, 0.05, -0.02, std::log(800.0), 0.03, -0.02, 0.05};
    const Camera whole = model.camera(figures);
    for (const int factor : {1, 3, 4}) {
        const Camera small = shrink_camera(whole, factor);
        CHECK(small.width == 1001 / factor);
        for (const glm::dvec3& place : {glm::dvec3(0, 1, 0), glm::dvec3(3, 2, 4)}) {
            const auto here = whole.project(place), there = small.project(place);
            REQUIRE((here && there));
            CHECK(glm::distance(*here / static_cast<double>(factor), *there) < 1e-9);
        }
    }
    Photo photo{.id = "p"};
    photo.marks = {PhotoMark{.id = "m", .pixel = {30, 60}}};
    photo.lengths = {PhotoLength{.id = "l", .from = {3, 6}, .to = {9, 12}}};
    photo.white = PhotoWhite{.pixel = {9, 12}};
    photo.masks = {PhotoMask{.outline = {0, 3, 6, 9, 12, 15}}};
    const Photo third = shrink_places(photo, 3);
    CHECK(third.marks[0].pixel == std::vector<double>{10, 20});
    CHECK(third.lengths[0].from == std::vector<double>{1, 2});
    CHECK(third.lengths[0].to == std::vector<double>{3, 4});
    CHECK(third.white->pixel == std::vector<double>{3, 4});
    CHECK(third.masks[0].outline == std::vector<double>{0, 1, 2, 3, 4, 5});
}
