// How bright the day of a photo was, and what follows for its night, in small pictures by this engine.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "../message_of.hpp"
#include "duskcast/base/colour.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

double y_of(const glm::vec3& linear) {
    return luminance_of(glm::dvec3(linear));
}

/// A wall with a lamp before it, a camera on it, and the photo that the camera takes under a uniform sky.
struct Night {
    Site site;
    Photo photo{.id = "p", .file = "p.png"};
    Camera camera = take_photo({120, 90}, {4, -9, 1.6}, 0, 6, 0, 100);
    std::shared_ptr<const Stage> stage;
    std::vector<LitFixture> fixtures;
    BounceSetup setup;
    ViewImage day; ///< under 10,000 lx
    PhotoPixels picture;

    Night() {
        site.walls = {
            Wall{.id = "front", .path = {{0, 0}, {8, 0}}, .height = 3.5, .finish = {"", glm::dvec3(0.5)}}};
        Lamp lamp{.id = "spot"};
        lamp.figures.lumens = 400;
        lamp.figures.beam_angle = radians_from_degrees(40);
        site.lamps = {lamp};
        site.fixtures = {Fixture{.id = "up", .lamp = "spot", .wall = "front", .along = 4, .setback = 0.5}};
        site.sensor_spacing = 0.5;
        site.ground_spacing = 1;
        site.leaf_sensors = 10;
        site.ground.margin = 1;
        build();
    }
    void build() {
        stage = build_stage(site, {});
        fixtures = make_fixtures(site, {});
        setup = set_up_bounce(*stage, fixtures, 0);
        look();
    }
    void look() {
        BounceSetup sky = setup;
        sky.transports.clear();
        sky.ambient = daylight;
        day = trace_view(*stage, {}, camera, 0, find_bounced_light(sky, {}));
        paint();
    }
    void paint(const glm::dvec3& exposure = glm::dvec3(1)) {
        picture = PhotoPixels{.size = {camera.width, camera.height}, .rgb = {}};
        for (std::size_t i = 0; i < day.luminance.size(); ++i)
            for (int channel = 0; channel < 3; ++channel) {
                // The sky is uniform: lux / pi.
                const double bright = day.surface[i] < 0 ? daylight / pi : day.luminance[i][channel];
                const double linear = std::min(1.0, exposure[channel] * bright / 5000);
                picture.rgb.push_back(static_cast<std::uint8_t>(std::lround(255 * encode_srgb(linear))));
            }
    }
    static constexpr double daylight = 10'000; ///< lux
    RelightPlan plan() const { return RelightPlan(site, *stage, photo, picture, camera, setup); }
    ViewImage relight(const RelightPlan& plan, double ambient = 0) const {
        return plan.relight(fixtures, ambient, find_bounced_light(setup, fixtures));
    }
    int front() const { return stage->find_surface("front"); }
    /// Sum over the wall, by channel.
    glm::dvec3 wall_sum(const ViewImage& image) const {
        glm::dvec3 sum{0};
        for (std::size_t i = 0; i < image.luminance.size(); ++i)
            if (image.surface[i] == front())
                sum += glm::dvec3(image.luminance[i]);
        return sum;
    }
};

/// The same for every case, which changes a copy.
const Night& usual_night() {
    static const Night night;
    return night;
}

PhotoMask rectangle(MaskKind kind, double left, double top, double right, double bottom) {
    return {.kind = kind, .plant = "", .outline = {left, top, right, top, right, bottom, left, bottom}};
}

} // namespace

TEST_CASE("a photo's exposure is of no account: its night is as bright as the site's own") {
    const Night& usual = usual_night();
    Night dark = usual;
    dark.paint(glm::dvec3(0.3));
    const RelightPlan plan = usual.plan(), dark_plan = dark.plan();
    CHECK(plan.scan().daylight_from == DaylightFrom::walls);
    const ViewImage truth = trace_view(*usual.stage, usual.fixtures, usual.camera, 0,
                                       find_bounced_light(usual.setup, usual.fixtures));
    const double wanted = y_of(usual.wall_sum(truth)), found = y_of(usual.wall_sum(usual.relight(plan))),
                 found_dark = y_of(dark.wall_sum(dark.relight(dark_plan)));
    MESSAGE("wall, of truth: " << found / wanted << ", from a dark photo " << found_dark / wanted);
    CHECK(found == doctest::Approx(wanted).epsilon(0.03));
    CHECK(found_dark == doctest::Approx(wanted).epsilon(0.03));
}

TEST_CASE("something white takes the daylight's colour out of the night, walls alone leave it in") {
    const glm::dvec3 warm(1, 0.8, 0.6);
    Night plain = usual_night(), cast = plain;
    cast.paint(warm);
    const auto sum = [](Night& night) {
        const RelightPlan plan = night.plan();
        return night.wall_sum(night.relight(plan));
    };
    const auto check_ratio = [](const glm::dvec3& found, const glm::dvec3& wanted) {
        for (int channel = 0; channel < 3; ++channel)
            CHECK(found[channel] == doctest::Approx(wanted[channel]).epsilon(0.02));
    };
    // One scale for all channels: the wall as a whole stays as bright, its colour shifts as the photo's did.
    const glm::dvec3 by_walls = sum(cast) / sum(plain);
    check_ratio(by_walls, warm / luminance_of(warm));
    for (Night* night : {&plain, &cast})
        night->photo.white = PhotoWhite{.pixel = {60.0, 60.0}, .reflectance = 0.5};
    const RelightPlan plan = cast.plan();
    CHECK(plan.scan().daylight_from == DaylightFrom::white);
    CHECK(!plan.scan().is_white_blown_out);
    check_ratio(sum(cast) / sum(plain), glm::dvec3(1));
    // Light reflected off something twice as white means half as much daylight for what the photo shows.
    plain.photo.white->reflectance = 0.25;
    const glm::dvec3 quarter = sum(plain);
    plain.photo.white->reflectance = 0.5;
    check_ratio(quarter / sum(plain), glm::dvec3(0.5));
}

TEST_CASE("white that is too bright for the file leaves the walls to tell the daylight") {
    Night night = usual_night();
    for (int y = 55; y < 65; ++y)
        for (int x = 55; x < 65; ++x)
            for (int channel = 0; channel < 3; ++channel)
                night.picture.rgb[static_cast<std::size_t>(3 * (y * 120 + x) + channel)] = 255;
    night.photo.white = PhotoWhite{.pixel = {60.0, 60.0}, .reflectance = 0.75};
    const RelightPlan plan = night.plan();
    CHECK(plan.scan().daylight_from == DaylightFrom::walls);
    CHECK(plan.scan().is_white_blown_out);
    CHECK(plan.scan().blown_out == doctest::Approx(100.0 / (120 * 90)));
}

TEST_CASE("a white place beside the picture or in the sky is refused, and so is a camera that looks away") {
    Night night = usual_night();
    night.photo.white = PhotoWhite{.pixel = {400.0, 60.0}};
    CHECK(message_of([&] { night.plan(); }).find("the white place lies outside the picture") !=
          std::string::npos);
    night.photo.white = PhotoWhite{.pixel = {60.0, 4.0}};
    CHECK(message_of([&] { night.plan(); }).find("the white place is on nothing of the site") !=
          std::string::npos);
    night.photo.white.reset();
    night.camera = take_photo({120, 90}, {4, -9, 1.6}, 0, 60, 0, 100);
    CHECK(message_of([&] { night.plan(); }).find("the photo shows no wall, ground or other surface") !=
          std::string::npos);
    // Where no wall is seen the ground tells the daylight.
    night.camera = take_photo({120, 90}, {4, -9, 1.6}, 180, -20, 0, 100);
    night.look();
    const RelightPlan plan = night.plan();
    CHECK(plan.scan().daylight_from == DaylightFrom::surfaces);
}

TEST_CASE("without fixtures a night is its ambient light: twice as much is twice as bright") {
    Night night = usual_night();
    night.fixtures.clear();
    night.setup.transports.clear();
    night.photo.masks = {rectangle(MaskKind::unlit, 50, 40, 70, 80)};
    const RelightPlan plan = night.plan();
    const auto relit = [&](double ambient) {
        BounceSetup sky = night.setup;
        sky.ambient = ambient;
        return plan.relight({}, ambient, find_bounced_light(sky, {}));
    };
    const ViewImage one = relit(0.1), two = relit(0.2), none = relit(0);
    double brightest = 0;
    for (std::size_t i = 0; i < one.luminance.size(); ++i) {
        CHECK(y_of(two.luminance[i]) == doctest::Approx(2 * y_of(one.luminance[i])).epsilon(1e-3));
        brightest = std::max(brightest, y_of(none.luminance[i]));
    }
    CHECK(brightest == 0);
    // A uniform sky of E lux is E / pi cd/m2 (Lambert), whatever the photo's sky was.
    const std::size_t sky = 3 * 120 + 60;
    CHECK(one.surface[sky] == -1);
    CHECK(y_of(one.luminance[sky]) == doctest::Approx(0.1 / pi).epsilon(0.02));
    CHECK(y_of(one.sky_return[sky]) == doctest::Approx(1 / pi).epsilon(0.02));
    // What is masked as unlit belongs to no surface, and has the brightness of dusk.
    const std::size_t van = 60 * 120 + 60, wall = 60 * 120 + 30;
    CHECK(one.surface[van] == -1);
    CHECK(one.surface[wall] == night.front());
    CHECK(y_of(one.luminance[van]) == doctest::Approx(0.1 * y_of(one.sky_return[van])).epsilon(1e-4));
}

TEST_CASE("the scan of a photo counts its pixels") {
    Night night = usual_night();
    night.photo.masks = {rectangle(MaskKind::unlit, 10, 70, 30, 85)};
    const PhotoScan scan = night.plan().scan();
    CHECK(scan.unlit == doctest::Approx(20.0 * 15 / (120 * 90)));
    std::size_t nothing = 0;
    const ViewImage day = trace_view(*night.stage, {}, night.camera, 1);
    for (const int surface : day.surface)
        nothing += surface < 0 ? 1 : 0;
    CHECK(scan.sky == doctest::Approx(static_cast<double>(nothing) / (120 * 90)).epsilon(0.02));
    CHECK(scan.beyond < 0.01);
    CHECK(scan.plants == 0);
    CHECK(scan.blown_out == 0);
    CHECK(scan.unseen_plants.empty());
}

TEST_CASE("a tree before the house wants a mask, and a mask wants a tree that is seen") {
    Night night = usual_night();
    Tree maple{.id = "maple", .at = {4, -3}, .height = 4, .base = 1, .width = 2.5, .trunk_diameter = 0.2};
    maple.foliage.density = LeafDensity::dense;
    maple.foliage.leaf_size = 0.25;
    Tree behind = maple;
    behind.id = "oak";
    behind.at = {4, -14};
    night.site.trees = {maple, behind};
    night.build();
    CHECK(night.plan().scan().unmasked_trees == std::vector<std::string>{"maple"});
    PhotoMask crown = rectangle(MaskKind::plant, 40, 5, 80, 50), shadow = crown;
    crown.plant = "maple";
    shadow.plant = "oak";
    night.photo.masks = {shadow, crown};
    const PhotoScan scan = night.plan().scan();
    CHECK(scan.unmasked_trees.empty());
    CHECK(scan.unseen_plants == std::vector<std::string>{"oak"});
    CHECK(scan.plants > 0.05);
    CHECK(scan.plants <= 40.0 * 45 / (120 * 90) + 1e-9);
    // Leaves are the tree's, so that what is asked of the tree is found in the photo.
    const RelightPlan plan = night.plan();
    const ViewImage image = night.relight(plan);
    const int tree = night.stage->find_surface("maple");
    const auto leaves = std::count(image.surface.begin(), image.surface.end(), tree);
    CHECK(static_cast<double>(leaves) == doctest::Approx(scan.plants * 120 * 90).epsilon(0.01));
}

TEST_CASE("a smaller picture holds the means of the larger, and its camera shows things at the same place") {
    Night night = usual_night();
    night.camera = take_photo({121, 91}, {4, -9, 1.6}, 0, 6, 0, 100); // not a multiple of 3: the rest is cut
    const ViewImage whole = trace_view(*night.stage, night.fixtures, night.camera, 0);
    const ViewImage small = shrink_image(whole, 3);
    CHECK(small.camera.width == 40);
    CHECK(small.camera.height == 30);
    for (const glm::ivec2 at :
         {glm::ivec2(0, 0), glm::ivec2(20, 15), glm::ivec2(39, 29), glm::ivec2(17, 22)}) {
        glm::dvec3 sum{0}, sky{0};
        for (int j = 0; j < 3; ++j)
            for (int i = 0; i < 3; ++i) {
                sum += glm::dvec3(whole.luminance[whole.pixel_at(3 * at.x + i, 3 * at.y + j)]) / 9.0;
                sky += glm::dvec3(whole.sky_return[whole.pixel_at(3 * at.x + i, 3 * at.y + j)]) / 9.0;
            }
        const std::size_t to = small.pixel_at(at.x, at.y);
        for (int channel = 0; channel < 3; ++channel) {
            CHECK(static_cast<double>(small.luminance[to][channel]) ==
                  doctest::Approx(sum[channel]).epsilon(1e-4));
            CHECK(static_cast<double>(small.sky_return[to][channel]) ==
                  doctest::Approx(sky[channel]).epsilon(1e-4));
        }
        CHECK(small.surface[to] == whole.surface[whole.pixel_at(3 * at.x + 1, 3 * at.y + 1)]);
    }
    for (const glm::dvec3& place : {glm::dvec3(4, 0, 2), glm::dvec3(1, -1, 0), glm::dvec3(7, 0, 3)}) {
        const glm::dvec2 large = *night.camera.project(place), little = *small.camera.project(place);
        CHECK(glm::distance(large / 3.0, little) < 1e-9);
    }
    REQUIRE(whole.lenses.size() == small.lenses.size());
    for (std::size_t i = 0; i < whole.lenses.size(); ++i) {
        CHECK(glm::distance(small.lenses[i].place * 3.0, whole.lenses[i].place) < 1e-9);
        CHECK(small.lenses[i].eye_lx == whole.lenses[i].eye_lx);
    }
}

TEST_CASE("a hard shadow of the sun is gone by night where the site has what casts it") {
    // A wing stands square to the front at x = 6, two metres deep and three high; the sun is 40 degrees up in
    // the south-east. A point of the front is in its shadow where the way to the sun, t (sx, sy, sz), meets
    // x = 6 before y = -2 and below z = 3.
    Night night = usual_night();
    night.site.walls.push_back(
        Wall{.id = "wing", .path = {{6, 0}, {6, -2}}, .height = 3, .finish = {"", glm::dvec3(0.5)}});
    night.build();
    const double azimuth = radians_from_degrees(135), elevation = radians_from_degrees(40);
    const glm::dvec3 way(std::sin(azimuth) * std::cos(elevation), std::cos(azimuth) * std::cos(elevation),
                         std::sin(elevation));
    const auto is_shaded = [&](double x, double z, double slack) {
        const double t = (6 - x) / way.x;
        return x < 6 + slack && t * way.y > -2 - slack && z + t * way.z < 3 + slack;
    };
    // The photo: the sky's 15,000 lx as the engine has them, the sun's 60,000 by closed form, and a fifth of
    // what falls on even ground, of which an upright face sees half.
    constexpr double sky = 15'000, sun = 60'000;
    const double from_ground = 0.2 * sun * way.z / 2;
    std::vector<std::size_t> lit, shaded;
    for (std::size_t i = 0; i < night.day.luminance.size(); ++i) {
        if (night.day.surface[i] != night.front())
            continue;
        const auto width = static_cast<std::size_t>(night.camera.width);
        const glm::dvec3 direction = night.camera.direction_at(
            {static_cast<double>(i % width) + 0.5, static_cast<double>(i / width) + 0.5});
        const glm::dvec3 at = night.camera.eye - night.camera.eye.y / direction.y * direction;
        const double open = is_shaded(at.x, at.z, 0) ? 0 : 1;
        night.day.luminance[i] =
            glm::vec3(glm::dvec3(night.day.luminance[i]) * sky / Night::daylight +
                      glm::dvec3(0.5 / pi * (from_ground + open * sun * std::max(0.0, -way.y))));
        if (at.x < 5.8 && is_shaded(at.x, at.z, -0.2))
            shaded.push_back(i);
        else if (at.x > 1 && at.x < 5.8 && !is_shaded(at.x, at.z, 0.2))
            lit.push_back(i);
    }
    night.paint(glm::dvec3(0.5));
    REQUIRE(lit.size() > 200);
    REQUIRE(shaded.size() > 200);

    const ViewImage truth = trace_view(*night.stage, night.fixtures, night.camera, 0,
                                       find_bounced_light(night.setup, night.fixtures));
    const auto ratio = [&](const ViewImage& image, const std::vector<std::size_t>& pixels) {
        double found = 0, wanted = 0;
        for (const std::size_t i : pixels) {
            found += y_of(image.luminance[i]);
            wanted += y_of(truth.luminance[i]);
        }
        return found / wanted;
    };
    night.photo.taken = Daylight::sun;
    night.photo.sun = PhotoSun{azimuth, elevation};
    const RelightPlan plan = night.plan();
    CHECK(plan.scan().is_sunny);
    const ViewImage evened = night.relight(plan);
    MESSAGE("of truth: lit " << ratio(evened, lit) << ", in the shadow " << ratio(evened, shaded));
    CHECK(ratio(evened, lit) == doctest::Approx(1).epsilon(0.1));
    CHECK(ratio(evened, shaded) == doctest::Approx(ratio(evened, lit)).epsilon(0.1));
    // Taken for a photo under cloud it keeps its shadow.
    night.photo.taken = Daylight::overcast;
    night.photo.sun.reset();
    const RelightPlan cloudy = night.plan();
    CHECK(!cloudy.scan().is_sunny);
    const ViewImage as_is = night.relight(cloudy);
    CHECK(ratio(as_is, shaded) < 0.6 * ratio(as_is, lit));
}
