// North is a convention: a site that is turned and moved has the same errors and warnings, at the same things
// and in the same words. The sites are those of warnings.corpus and the full example.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include "../corpus.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path turned_folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";

/// Clockwise about the origin, then away.
struct Turn {
    double angle = 0;
    glm::dvec2 shift{0};

    void point(glm::dvec2& at) const {
        at = shift + glm::dvec2(std::cos(angle) * at.x + std::sin(angle) * at.y,
                                std::cos(angle) * at.y - std::sin(angle) * at.x);
    }
    void point(glm::dvec3& at) const {
        glm::dvec2 plan(at);
        point(plan);
        at = {plan, at.z};
    }
    void line(std::vector<glm::dvec2>& points) const {
        for (glm::dvec2& one : points)
            point(one);
    }
    void compass(double& azimuth) const { azimuth = std::remainder(azimuth + angle, 2 * pi); }
    void compass(std::optional<double>& azimuth) const {
        if (azimuth)
            compass(*azimuth);
    }
    void fixture(Fixture& one) const {
        if (one.at) {
            point(*one.at);
            if (!one.azimuth) // which is north, turned by what it says
                one.azimuth = one.turn;
            one.turn = 0;
        }
        compass(one.azimuth);
        if (!one.tree.empty())
            compass(one.bearing);
    }
};

Site turned(Site site, const Turn& turn) {
    for (GroundArea& area : site.ground.areas) {
        turn.line(area.outline);
        if (area.fall)
            turn.compass(area.fall->towards);
    }
    for (Wall& wall : site.walls)
        turn.line(wall.path);
    for (Roof& roof : site.roofs) {
        turn.line(roof.outline);
        for (Chimney& chimney : roof.chimneys)
            turn.point(chimney.at);
    }
    for (Tree& tree : site.trees)
        turn.point(tree.at);
    for (Shrub& shrub : site.shrubs) {
        turn.line(shrub.outline);
        turn.line(shrub.path);
    }
    for (Mesh& mesh : site.meshes) {
        turn.point(mesh.at);
        turn.compass(mesh.turn);
    }
    for (Fountain& fountain : site.fountains)
        turn.point(fountain.at);
    for (Lantern& lantern : site.lanterns)
        if (lantern.at) {
            turn.point(*lantern.at);
            turn.compass(lantern.turn);
        }
    for (Fixture& fixture : site.fixtures)
        turn.fixture(fixture);
    for (View& view : site.views) {
        turn.point(view.eye);
        turn.point(view.look_at);
    }
    for (WatchPoint& point : site.watch_points) {
        turn.point(point.at);
        turn.compass(point.facing);
    }
    for (Eye& eye : site.eyes) {
        turn.point(eye.at);
        if (eye.look_at)
            turn.point(*eye.look_at);
    }
    for (Photo& photo : site.photos)
        for (PhotoMark& mark : photo.marks)
            if (mark.at)
                turn.point(*mark.at);
    for (Variant& variant : site.variants) {
        for (Fixture& fixture : variant.added)
            turn.fixture(fixture);
        for (Change& change : variant.changes)
            for (Setting& setting : change.settings)
                if (setting.knob == Knob::azimuth || setting.knob == Knob::bearing)
                    turn.compass(setting.value);
    }
    if (site.network) {
        for (Transformer& transformer : site.network->transformers)
            turn.point(transformer.at);
        for (Hub& hub : site.network->hubs)
            turn.point(hub.at);
        for (CableRun& run : site.network->runs) {
            turn.line(run.path);
            turn.line(run.home);
        }
    }
    return site;
}

/// Path and words of each problem. People on paving are tried on a grid along the plan's own axes, so that a
/// turned site may find others: of these only that they look.
std::multiset<std::string> words_of(const Site& site) {
    std::multiset<std::string> words;
    for (const Problem& one : check_site(site, turned_folder))
        if (!one.what.starts_with("somebody on"))
            words.insert(one.place.path + ": " + one.what);
    return words;
}

struct NamedSite {
    std::string name;
    Site site;
};

std::vector<NamedSite> read_sites() {
    std::vector<NamedSite> sites;
    for (const test::Case& one : test::read_corpus(turned_folder / "warnings.corpus"))
        sites.push_back({one.name, read_site(one.text, turned_folder / "case.site.json").site});
    sites.push_back({"the full example", read_site_file(turned_folder / "full.site.json").site});
    return sites;
}

} // namespace

TEST_CASE("a site turned and moved is told the same") {
    int said = 0;
    for (const NamedSite& one : read_sites()) {
        const Site& site = one.site;
        CAPTURE(one.name);
        const std::multiset<std::string> wanted = words_of(site);
        said += static_cast<int>(wanted.size());
        for (const Turn& turn :
             {Turn{pi / 2, {0, 0}}, Turn{pi, {30, -20}}, Turn{0.7, {-12, 55}}, Turn{5.1, {3, 4}}}) {
            CAPTURE(turn.angle);
            CHECK(words_of(turned(site, turn)) == wanted);
        }
    }
    CHECK(said > 30);
}

TEST_CASE("a turned site has its things where the turn puts them, and they point as they did") {
    for (const NamedSite& one : read_sites()) {
        const Site& site = one.site;
        CAPTURE(one.name);
        const Turn turn{2.2, {7, -9}};
        const Site after = turned(site, turn);
        for (std::size_t i = 0; i < site.fixtures.size(); ++i) {
            const PlacedFixture before = place_fixture(site, site.fixtures[i]);
            const PlacedFixture now = place_fixture(after, after.fixtures[i]);
            glm::dvec3 wanted = before.position;
            turn.point(wanted);
            CHECK(glm::distance(now.position, wanted) < 1e-9);
            const double twist = std::remainder(now.aim.azimuth - before.aim.azimuth - turn.angle, 2 * pi);
            CHECK(std::abs(twist) < 1e-9);
        }
        for (std::size_t i = 0; i < site.lanterns.size(); ++i) {
            glm::dvec3 wanted = place_lantern(site, site.lanterns[i]).position;
            turn.point(wanted);
            CHECK(glm::distance(place_lantern(after, after.lanterns[i]).position, wanted) < 1e-9);
        }
        if (!site.network)
            continue;
        for (std::size_t i = 0; i < site.network->runs.size(); ++i) {
            const CableCourse before = lay_cable(site, site.network->runs[i]);
            const CableCourse now = lay_cable(after, after.network->runs[i]);
            CHECK(line_length(now.cable) == doctest::Approx(line_length(before.cable)));
            CHECK(line_length(now.home) == doctest::Approx(line_length(before.home)));
            REQUIRE(now.taps.size() == before.taps.size());
            for (std::size_t j = 0; j < now.taps.size(); ++j)
                CHECK(now.taps[j] == doctest::Approx(before.taps[j]).epsilon(1e-6));
        }
    }
}

TEST_CASE("what is said of a site does not depend on the units it is said in") {
    const auto places_of = [](Site site, LengthUnit units, LightUnit light) {
        site.units = units;
        site.light = light;
        std::multiset<std::string> places;
        for (const Problem& one : check_site(site, turned_folder))
            places.insert(one.place.path + (one.severity == Severity::error ? " error" : " warning"));
        return places;
    };
    for (const NamedSite& one : read_sites()) {
        const Site& site = one.site;
        CAPTURE(one.name);
        CHECK(places_of(site, LengthUnit::foot, LightUnit::footcandle) ==
              places_of(site, LengthUnit::metre, LightUnit::lux));
    }
}

TEST_CASE("the order of lists does not matter to what is found in them") {
    for (const NamedSite& one : read_sites()) {
        const Site& site = one.site;
        CAPTURE(one.name);
        Site backwards = site;
        std::reverse(backwards.trees.begin(), backwards.trees.end());
        std::reverse(backwards.shrubs.begin(), backwards.shrubs.end());
        std::reverse(backwards.lamps.begin(), backwards.lamps.end());
        std::reverse(backwards.eyes.begin(), backwards.eyes.end());
        std::reverse(backwards.watch_points.begin(), backwards.watch_points.end());
        const auto about_fixtures = [](const Site& of) {
            std::multiset<std::string> words;
            for (const Problem& problem : check_site(of, turned_folder))
                if (problem.place.path.starts_with("fixtures"))
                    words.insert(problem.place.path + problem.what);
            return words;
        };
        CHECK(about_fixtures(backwards) == about_fixtures(site));
    }
}
