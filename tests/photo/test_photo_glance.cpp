// A photo under a moving hand beside the same photo relit with everything.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <functional>

#include "duskcast/base/colour.hpp"
#include "duskcast/photo/photo_glance.hpp"
#include "duskcast/photo/photo_report.hpp"
#include "duskcast/photo/shrink_photo.hpp"
#include "duskcast/view/tone.hpp"
#include "photo_test.hpp"

using namespace duskcast;

namespace {

constexpr int glance_shrink = 3;

struct Glancing {
    SiteFile file = read_site_file(DUSKCAST_SOURCE_DIR "/scenes/street-photo/street-photo.site.json");
    std::unique_ptr<Stage> stage = build_stage(file.site, file.folder());
    FixtureMaker maker{file.folder()}; // which shares the tables of lamps, as a session does
    std::vector<LitFixture> fixtures = maker.make_all(file.site);
    BounceSetup setup = set_up_bounce(*stage, fixtures, file.site.ambient);
    BouncedLight bounced = find_bounced_light(setup, fixtures);
    Photo photo = file.site.photos.at(0);
    RelightPlan plan{
        file.site,
        *stage,
        shrink_places(photo, glance_shrink),
        shrink_pixels(read_photo(file.folder() / photo.file), glance_shrink),
        shrink_camera(measure_photo(file.site, photo, file.folder()).fit.camera(), glance_shrink),
        setup};

    std::vector<glm::vec3> relight(const std::vector<LitFixture>& with) const {
        const ViewImage image = plan.relight(with, file.site.ambient, bounced);
        std::vector<glm::vec3> light = make_glare(image);
        for (std::size_t pixel = 0; pixel < light.size(); ++pixel)
            light[pixel] += image.luminance[pixel];
        return light;
    }
    static std::vector<std::uint8_t> print(const std::vector<glm::vec3>& light) {
        std::vector<std::uint8_t> rgba;
        for (const glm::vec3& pixel : light) {
            for (const double channel : night_colour(glm::dvec3(pixel)))
                rgba.push_back(static_cast<std::uint8_t>(std::lround(255 * channel)));
            rgba.push_back(255);
        }
        return rgba;
    }
    std::vector<LitFixture> with(const char* id, const std::function<void(Fixture&)>& change) {
        Site site = file.site;
        const auto found = std::find_if(site.fixtures.begin(), site.fixtures.end(),
                                        [&](const Fixture& one) { return one.id == id; });
        REQUIRE(found != site.fixtures.end());
        change(*found);
        return maker.make_all(site);
    }
};

struct Apart {
    double mean = 0, far = 0; ///< of 255; share of channels that are more than 12 off
};
Apart compare(const std::vector<std::uint8_t>& a, const std::vector<std::uint8_t>& b) {
    REQUIRE(a.size() == b.size());
    Apart apart;
    for (std::size_t i = 0; i < a.size(); ++i) {
        const double off = std::abs(a[i] - b[i]);
        apart.mean += off / static_cast<double>(a.size());
        apart.far += (off > 12 ? 1.0 : 0.0) / static_cast<double>(a.size());
    }
    return apart;
}

} // namespace

TEST_CASE("a glance shows what moved as the whole night shows it, and leaves the rest alone") {
    Glancing night;
    const std::vector<glm::vec3> light = night.relight(night.fixtures);
    const std::vector<std::uint8_t> rest = Glancing::print(light);
    PhotoGlance glance(night.plan, night.fixtures, light, rest);
    CHECK(glance.look(night.fixtures) == rest);

    const auto check = [&](const std::vector<LitFixture>& moved, double most_off = 0.15) {
        const std::vector<std::uint8_t> seen = glance.look(moved),
                                        truth = Glancing::print(night.relight(moved));
        const Apart off = compare(seen, truth), change = compare(rest, truth);
        INFO("off by " << off.mean << " of 255, changed by " << change.mean << "; far off " << off.far);
        CHECK(change.mean > 0.2);
        CHECK(off.mean < most_off * change.mean);
        CHECK(off.far < 0.03 * most_off); // edges of shadows
    };
    // Along the wall, back from it, leant and dimmed, under a tree; then gone altogether.
    check(night.with("U4", [](Fixture& one) { one.along -= 2; }));
    check(night.with("U4", [](Fixture& one) { one.setback = 1.5; }));
    check(night.with("U2", [](Fixture& one) { one.tilt = 25, one.dimming = 0.5; }));
    check(night.with("T1", [](Fixture& one) { one.dimming = 0.1; }), 0.3); // by some of its leaves
    std::vector<LitFixture> fewer = night.fixtures;
    fewer.erase(fewer.begin());
    check(fewer);
    // Put back, it is what it was.
    CHECK(glance.look(night.fixtures) == rest);
}
