// Phones' pictures: coarse rays, short numbers and strips beside what they stand for.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <set>

#include "../../src/photo/photo_parts.hpp"
#include "../../src/photo/short_colour.hpp"
#include "duskcast/base/colour.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A front with a gable, a window and a lamp; few sensors, as nothing here asks for them.
Site gabled_front() {
    Site site;
    site.sensor_spacing = site.ground_spacing = 2;
    site.ground.margin = 2;
    Wall wall{.id = "front", .path = {{0, 0}, {8, 0}}, .height = 3, .finish = {"", glm::dvec3(0.4)}};
    wall.gables = {Gable{.id = "gable", .from = 2, .width = 4, .peak = 5}};
    wall.openings = {
        Opening{.id = "pane", .kind = OpeningKind::window, .from = 1, .width = 1, .sill = 1, .height = 1.2}};
    site.walls = {wall};
    Lamp lamp{.id = "spot"};
    lamp.figures.lumens = 400;
    lamp.figures.beam_angle = radians_from_degrees(40);
    site.lamps = {lamp};
    site.fixtures = {Fixture{.id = "up", .lamp = "spot", .wall = "front", .along = 4, .setback = 0.5}};
    return site;
}

/// A pale picture with a pattern of its own, its sky bright.
PhotoPixels paint(const Camera& camera, double horizon) {
    PhotoPixels picture{.size = {camera.width, camera.height}, .rgb = {}};
    for (int y = 0; y < camera.height; ++y)
        for (int x = 0; x < camera.width; ++x) {
            const double place = static_cast<double>(y) / camera.height;
            const double wave = std::sin(40.0 * x / camera.width) * std::sin(30.0 * place);
            const double linear = place < horizon ? 0.95 : 0.4 + 0.1 * wave;
            picture.rgb.insert(picture.rgb.end(), 3,
                               static_cast<std::uint8_t>(std::lround(255 * encode_srgb(linear))));
        }
    return picture;
}

} // namespace

TEST_CASE("a short colour is good to one part in 4,096 over its range") {
    // Half a unit in the last of eleven bits, by the definition of rounding.
    double worst = 0;
    float before = 0;
    for (float value = 0x1p-22f; value < 511; value *= 1.00037f) {
        const float kept = ShortColour(glm::vec3(value)).linear().y;
        worst = std::max(worst, std::abs(static_cast<double>(kept / value) - 1));
        CHECK(kept >= before);
        before = kept;
    }
    CHECK(worst <= 1.0 / 4096);
    CHECK(worst > 0.8 / 4096);
    const glm::vec3 ends = ShortColour({0.0f, 1e-9f, 1e9f}).linear();
    CHECK(ends == glm::vec3(0, 0, 511.875f));
    CHECK(ShortColour({-1.0f, std::nanf(""), 1.0f}).linear() == glm::vec3(0, 0, 1));
    CHECK(ShortColour().linear() == glm::vec3(0));
    CHECK(sizeof(ShortColour) == 6);
}

TEST_CASE("rays some pixels apart find the faces that a ray in every pixel finds") {
    const Site site = gabled_front();
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    for (const glm::ivec2 size : {glm::ivec2(400, 300), glm::ivec2(397, 301)}) { // also no multiple of a step
        const Camera camera = take_photo(size, {3, -8, 1.6}, 4, 5, 1.5, 340);
        const std::vector<FaceKey> every = look_at_stage(*stage, *stage->kernel, camera).face;
        const auto kinds = [&](const std::vector<FaceKey>& faces) {
            return std::set<FaceKey>(faces.begin(), faces.end());
        };
        REQUIRE(kinds(every).size() > 5);
        CHECK(find_faces(*stage, *stage->kernel, camera, 1) == every);
        for (const int step : {2, 3, 6}) {
            const std::vector<FaceKey> faces = find_faces(*stage, *stage->kernel, camera, step);
            REQUIRE(faces.size() == every.size());
            std::size_t wrong = 0;
            for (std::size_t i = 0; i < faces.size(); ++i)
                wrong += faces[i] != every[i] ? 1 : 0;
            CAPTURE(step);
            // Only the reveals of the pane and tips of corners are narrower than a step.
            CHECK(static_cast<double>(wrong) < 0.0005 * step * static_cast<double>(every.size()));
            for (const FaceKey face : kinds(faces))
                CHECK(kinds(every).contains(face));
        }
    }
}

TEST_CASE("strips of a relit photo are its rows, and a large one is the small one seen closer") {
    const Site site = gabled_front();
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const std::vector<LitFixture> fixtures = make_fixtures(site, {});
    const BounceSetup setup = set_up_bounce(*stage, fixtures, 0.1);
    const BouncedLight bounced = find_bounced_light(setup, fixtures);
    const Photo photo{.id = "p", .file = "p.png"};
    const auto plan_for = [&](const Camera& camera) {
        return RelightPlan(site, *stage, photo, paint(camera, 0.3), camera, setup);
    };
    const Camera camera = take_photo({602, 401}, {3, -8, 1.6}, 4, 5, 1.5, 500);
    const RelightPlan plan = plan_for(camera);
    const NightPhoto night = plan.trace(fixtures, 0.1, bounced);
    const ViewImage whole = plan.relight(fixtures, 0.1, bounced);
    REQUIRE(whole.luminance.size() == 602 * 401);

    // Each row once, the lowest first, with the camera that sees it there.
    int next = 401;
    const ViewImage small = night.visit_strips(3, [&](const ViewImage& strip, int from) {
        CHECK(from + strip.camera.height == next);
        CHECK(from % 3 == 0);
        next = from;
        const auto start = static_cast<std::size_t>(from) * 602;
        CHECK(std::equal(strip.luminance.begin(), strip.luminance.end(), whole.luminance.begin() + start));
        CHECK(std::equal(strip.surface.begin(), strip.surface.end(), whole.surface.begin() + start));
        for (const glm::dvec2 place : {glm::dvec2(10.5, 0.5), glm::dvec2(500.5, 3.5)})
            CHECK(glm::distance(strip.camera.direction_at(place),
                                camera.direction_at(place + glm::dvec2(0, from))) < 1e-12);
        REQUIRE(strip.lenses.size() == whole.lenses.size());
        for (std::size_t i = 0; i < strip.lenses.size(); ++i)
            CHECK(strip.lenses[i].place.y + from == doctest::Approx(whole.lenses[i].place.y));
    });
    CHECK(next == 0);
    const ViewImage shrunk = shrink_image(whole, 3), again = night.shrunk(3);
    CHECK(small.luminance == shrunk.luminance);
    CHECK(small.sky_return == shrunk.sky_return);
    CHECK(small.surface == shrunk.surface);
    CHECK(again.luminance == shrunk.luminance);
    CHECK(small.camera.width == 200);
    CHECK(small.camera.height == 133);

    // The same picture with four times the pixels each way: past a million, the light comes from a coarser
    // picture, and faces from rays two pixels apart. Means of its squares are the small picture's pixels.
    const Camera large_camera = take_photo({2408, 1604}, {3, -8, 1.6}, 4, 5, 1.5, 2000);
    const RelightPlan large_plan = plan_for(large_camera);
    const ViewImage large = large_plan.trace(fixtures, 0.1, bounced).shrunk(4);
    REQUIRE(large.luminance.size() == whole.luminance.size());
    std::vector<double> off;
    for (std::size_t i = 0; i < large.luminance.size(); ++i) {
        const double here = luminance_of(glm::dvec3(large.luminance[i])),
                     there = luminance_of(glm::dvec3(whole.luminance[i]));
        if (there > 0.02)
            off.push_back(std::abs(std::log(here / there)));
    }
    REQUIRE(off.size() > 20'000);
    std::sort(off.begin(), off.end());
    const double median = off[off.size() / 2], most = off[off.size() * 95 / 100];
    MESSAGE("large beside small: median " << median << ", 95th percentile " << most);
    CHECK(median < 0.01);
    CHECK(most < 0.05);
    CHECK(large_plan.scan().sky == doctest::Approx(plan.scan().sky).epsilon(0.01));
    CHECK(large_plan.scan().beyond == doctest::Approx(plan.scan().beyond).epsilon(0.05));
}
