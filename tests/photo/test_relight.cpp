// A photo by night beside pictures of which everything is known.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>

#include "duskcast/base/colour.hpp"
#include "duskcast/photo/photo_report.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "photo_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

double y_at(const ViewImage& image, std::size_t pixel) {
    return luminance_of(glm::dvec3(image.luminance[pixel]));
}

double median(std::vector<double> values) {
    REQUIRE(!values.empty());
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// The truth was rendered with what the lamps give when new.
SiteFile with_new_lamps(SiteFile file) {
    file.site.is_as_new = true;
    return file;
}

/// The site of the demo, its photo with the camera that its marks give, and the photo by night.
struct DemoNight {
    SiteFile file =
        with_new_lamps(read_site_file(DUSKCAST_SOURCE_DIR "/scenes/street-photo/street-photo.site.json"));
    PhotoReport report = measure_photo(file.site, file.site.photos.at(0), file.folder());
    PhotoPixels picture = read_photo(file.folder() / file.site.photos.at(0).file);
    std::unique_ptr<Stage> stage = build_stage(file.site, file.folder());
    std::vector<LitFixture> fixtures = make_fixtures(file.site, file.folder());
    BounceSetup setup = set_up_bounce(*stage, fixtures, file.site.ambient);
    RelightPlan plan{file.site, *stage, file.site.photos.at(0), picture, report.fit.camera(), setup};
    ViewImage image = plan.relight(fixtures, file.site.ambient, find_bounced_light(setup, fixtures));
};

/// Luminances of cells, relit and true.
struct Cells {
    std::map<std::pair<long, long>, glm::dvec3> sums; ///< relit, true, pixels

    void add(long column, long row, double relit, double truth) {
        sums[{column, row}] += glm::dvec3(relit, truth, 1);
    }
    /// Relit by true of each cell with enough pixels that is truly brighter than `least` cd/m2.
    std::vector<double> ratios(double least) const {
        std::vector<double> found;
        for (const auto& [cell, sum] : sums)
            if (sum.z >= 4 && sum.y / sum.z > least)
                found.push_back(sum.x / sum.y);
        return found;
    }
    double ratio_of_sums() const {
        glm::dvec3 all{0};
        for (const auto& [cell, sum] : sums)
            all += sum;
        return all.x / all.y;
    }
};

double share_within(const std::vector<double>& ratios, double off) {
    return static_cast<double>(std::count_if(ratios.begin(), ratios.end(),
                                             [&](double ratio) { return std::abs(ratio - 1) < off; })) /
           static_cast<double>(ratios.size());
}

} // namespace

TEST_CASE("an overcast sky gives slopes what its definition says") {
    // L = (1 + 2 sin h) / 3 summed over the sky before the slope, level ground 7 pi / 9 (Moon and Spencer
    // 1942).
    for (const double slope_deg : {0.0, 20.0, 45.0, 70.0, 90.0}) {
        const double slope = radians_from_degrees(slope_deg);
        const glm::dvec3 normal(std::sin(slope), 0, std::cos(slope));
        double overcast = 0, uniform = 0;
        constexpr int steps = 400;
        for (int i = 0; i < steps; ++i)
            for (int j = 0; j < 2 * steps; ++j) {
                const double h = (i + 0.5) / steps * pi / 2, a = (j + 0.5) / steps * pi;
                const glm::dvec3 way(std::cos(h) * std::cos(a), std::cos(h) * std::sin(a), std::sin(h));
                const double part = std::max(0.0, glm::dot(way, normal)) * std::cos(h);
                overcast += part * (1 + 2 * std::sin(h)) / 3 * 9 / 7;
                uniform += part;
            }
        CAPTURE(slope_deg);
        CHECK(overcast_gain(normal.z) == doctest::Approx(overcast / uniform).epsilon(0.002));
    }
    CHECK(overcast_gain(-1) == doctest::Approx(1)); // what the ground sends up
}

TEST_CASE("the photo's own pattern stays, and the site's finish leaves no trace") {
    // A wall that the site calls dark brick and that is white with grey stripes: a photo of it under a
    // uniform sky, by this engine, and the same by night.
    Site site;
    Wall wall{.id = "front", .path = {{0, 0}, {8, 0}}, .height = 4, .finish = {"", glm::dvec3(0.15)}};
    site.walls = {wall};
    Lamp lamp{.id = "spot"};
    lamp.figures.lumens = 400;
    lamp.figures.beam_angle = radians_from_degrees(40);
    site.lamps = {lamp};
    site.fixtures = {Fixture{.id = "up", .lamp = "spot", .wall = "front", .along = 4, .setback = 0.5}};
    Photo photo{.id = "p", .file = "p.png"};
    const Camera camera = take_photo({240, 160}, {4, -9, 1.6}, 0, 4, 1, 200);

    const std::unique_ptr<Stage> stage = build_stage(site, {});
    Site true_site = site;
    true_site.walls[0].finish.reflectance = glm::dvec3(0.6);
    const std::unique_ptr<Stage> true_stage = build_stage(true_site, {});
    const std::vector<LitFixture> fixtures = make_fixtures(site, {});
    const auto bounced = [&](const Stage& of, const std::vector<LitFixture>& lit, double ambient) {
        return find_bounced_light(set_up_bounce(of, lit, ambient), lit);
    };
    const ViewImage day = trace_view(*true_stage, {}, camera, 0, bounced(*true_stage, {}, 10'000));
    const ViewImage truth = trace_view(*true_stage, fixtures, camera, 0, bounced(*true_stage, fixtures, 0));
    PhotoPixels picture{.size = {camera.width, camera.height}, .rgb = {}};
    const auto stripe = [](std::size_t pixel) { return pixel % 240 / 6 % 2 ? 0.4f : 1.0f; };
    for (std::size_t i = 0; i < day.luminance.size(); ++i)
        for (int channel = 0; channel < 3; ++channel)
            picture.rgb.push_back(static_cast<std::uint8_t>(std::lround(
                255 * encode_srgb(static_cast<double>(stripe(i) * day.luminance[i][channel]) / 2500))));
    // A white stripe in the middle of the wall tells the daylight.
    photo.white = PhotoWhite{.pixel = {123.0, 90.0}, .reflectance = 0.6};

    const BounceSetup setup = set_up_bounce(*stage, fixtures, 0);
    const RelightPlan plan(site, *stage, photo, picture, camera, setup);
    CHECK(plan.scan().daylight_from == DaylightFrom::white);
    const ViewImage relit = plan.relight(fixtures, 0, find_bounced_light(setup, fixtures));
    std::vector<double> ratios;
    const int wall_surface = stage->find_surface("front");
    for (std::size_t i = 0; i < truth.luminance.size(); ++i) {
        const double wanted = static_cast<double>(stripe(i)) * y_at(truth, i);
        if (relit.surface[i] == wall_surface && truth.surface[i] == wall_surface && wanted > 0.5)
            ratios.push_back(y_at(relit, i) / wanted);
    }
    REQUIRE(ratios.size() > 1000);
    // The true wall throws more light on the ground and back: some per cent that the site cannot know.
    CHECK(median(ratios) == doctest::Approx(1).epsilon(0.05));
    CHECK(share_within(ratios, 0.1) > 0.95);
    MESSAGE("of truth: median " << median(ratios) << ", within 10 %: " << share_within(ratios, 0.1));
}

TEST_CASE("a rendered photo by night agrees with the rendered night") {
    // House, day and night by an independent renderer; the site as a designer measures it, with 1-pixel
    // clicks.
    const DemoNight demo;
    CHECK(demo.plan.scan().daylight_from == DaylightFrom::white);
    CHECK(demo.plan.scan().unmasked_trees.empty());
    const PhotoPixels truth = read_photo(DUSKCAST_TEST_DIR "/photo/street-truth.png");
    REQUIRE(truth.size == glm::ivec2(480, 320));
    // Its camera, which the solver does not know.
    const Camera camera = take_photo({480, 320}, feet(8, -46, 5.4), 10.469174257711414, 3.913344481159206, 0,
                                     725.2008929351523 / 2);
    enum { brick = 1, mortar = 2, lawn = 7, walk = 8, crown = 11 };
    Cells wall, on_lawn, on_walk, on_crown;
    std::vector<std::pair<double, glm::dvec2>> line; // along the wall at 1.0 m: relit and true
    for (int y = 0; y < 320; ++y)
        for (int x = 0; x < 480; ++x) {
            const std::uint8_t* at = truth.rgb.data() + 3 * (y * 480 + x);
            const double wanted = 0.005 * std::pow(10, at[1] / 255.0 * 4);
            double relit = 0;
            for (const int i : {0, 1})
                for (const int j : {0, 1})
                    relit += y_at(demo.image, demo.image.pixel_at(2 * x + i, 2 * y + j)) / 4;
            const glm::dvec3 way = camera.direction_at({x + 0.5, y + 0.5});
            const glm::dvec3 on_face = camera.eye - camera.eye.y / way.y * way,
                             on_ground = camera.eye - camera.eye.z / way.z * way;
            const auto cell = [](double metres) { return std::lround(std::floor(metres / 0.5)); };
            switch (at[0]) {
            case brick:
            case mortar:
                wall.add(cell(on_face.x), cell(on_face.z), relit, wanted);
                if (std::abs(on_face.z - 1.0) < 0.15)
                    line.emplace_back(on_face.x, glm::dvec2(relit, wanted));
                break;
            case lawn:
                on_lawn.add(cell(on_ground.x), cell(on_ground.y), relit, wanted);
                break;
            case walk:
                on_walk.add(cell(on_ground.x), cell(on_ground.y), relit, wanted);
                break;
            case crown:
                on_crown.add(x / 10, y / 10, relit, wanted);
                break;
            default:
                break;
            }
        }
    constexpr double seen = 0.02; // cd/m2: about the least in which the eye sees detail
    const std::vector<double> on_wall = wall.ratios(seen), bright = wall.ratios(0.3);
    MESSAGE("wall: " << on_wall.size() << " cells, median " << median(on_wall)
                     << ", over 0.3 cd/m2 within 25 %: " << share_within(bright, 0.25) << "; lawn "
                     << median(on_lawn.ratios(seen)) << ", walk " << median(on_walk.ratios(seen))
                     << ", crown's sum " << on_crown.ratio_of_sums());
    CHECK(std::abs(median(on_wall) - 1) < 0.10);
    CHECK(share_within(bright, 0.25) > 0.85);
    CHECK(std::abs(median(on_lawn.ratios(seen)) - 1) < 0.15);
    CHECK(std::abs(median(on_walk.ratios(seen)) - 1) < 0.15);
    CHECK(on_crown.ratio_of_sums() > 0.75);
    CHECK(on_crown.ratio_of_sums() < 1.3);

    // Scallops: logarithms in steps of 0.1 m, smoothed over three.
    std::map<long, glm::dvec3> steps;
    for (const auto& [along, pair] : line)
        steps[std::lround(std::floor(along / 0.3))] += glm::dvec3(pair, 1);
    glm::dvec2 mean{0};
    std::vector<glm::dvec2> logs;
    for (const auto& [step, sum] : steps)
        if (sum.z > 3) {
            logs.push_back(glm::log(glm::dvec2(sum) / sum.z + 1e-4));
            mean += logs.back();
        }
    mean /= static_cast<double>(logs.size());
    double both = 0, one = 0, other = 0;
    for (const glm::dvec2& value : logs) {
        both += (value.x - mean.x) * (value.y - mean.y);
        one += (value.x - mean.x) * (value.x - mean.x);
        other += (value.y - mean.y) * (value.y - mean.y);
    }
    MESSAGE("scallops at 1.0 m: correlation of logarithms " << both / std::sqrt(one * other));
    CHECK(both / std::sqrt(one * other) > 0.99);
}
