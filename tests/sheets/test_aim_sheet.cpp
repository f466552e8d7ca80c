// The sheet to aim by, and what a night's readings are said to mean.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/report.hpp"
#include "duskcast/sheets/aim_sheet.hpp"
#include "duskcast/sheets/night_words.hpp"
#include "duskcast/site/layout.hpp"
#include "well_formed.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_yard() {
    return read_site(R"({"duskcast": 1, "name": "Yard & <co>", "units": "ft", "light": "fc", "as_new": true,
        "sensor_spacing": "1 ft", "ground": {"margin": "2 ft"},
        "walls": [{"id": "house", "path": [[0, 0], [40, 0], [40, 20]], "height": "9 ft", "finish": "stucco white"}],
        "lamps": [{"id": "l", "name": "lamp 5 W", "watts": 5, "candela": 800, "beam": 40}],
        "fixtures": [
          {"id": "U1", "kind": "uplight", "lamp": "l", "wall": "house", "along": "9 ft", "setback": "15 in",
           "tilt": 8, "lens_diameter": "2 in"},
          {"id": "U2", "kind": "uplight", "lamp": "l", "wall": "house", "along": "31 ft", "setback": "15 in",
           "tilt": 8, "turn": 12},
          {"id": "P1", "kind": "path", "lamp": "l", "at": [30, -40], "lens_height": "18 in", "tilt": 180},
          {"id": "D1", "kind": "downlight", "lamp": "l", "at": [3, -4], "lens_height": "9 ft", "tilt": 160,
           "azimuth": 90}]})",
                     "yard.site.json")
        .site;
}

struct Yard {
    Site site = make_yard();
    std::unique_ptr<Stage> stage = build_stage(site, ".");
    Lighting lighting = trace_lighting(*stage, make_fixtures(site, "."));
    MeterModel model{lighting, choose_meter_points(site, *stage, lighting.fixtures)};
    AimSheet sheet = make_aim_sheet(site, lighting, measure_report(site, *stage, lighting), model,
                                    find_usual_ranges(model), std::nullopt);

    const AimCard& card(const std::string& id) const {
        return *std::find_if(sheet.cards.begin(), sheet.cards.end(),
                             [&](const AimCard& one) { return one.id == id; });
    }
};

} // namespace

TEST_CASE("the walk is the shortest there is, as far as trying all tells") {
    const Site site = make_yard();
    const glm::dvec2 start(0, 0);
    std::vector<glm::dvec2> spots;
    for (const Fixture& fixture : site.fixtures)
        spots.emplace_back(place_fixture(site, fixture).position);
    const auto length = [&](const std::vector<std::size_t>& order) {
        double sum = 0;
        glm::dvec2 last = start;
        for (const std::size_t i : order) {
            sum += glm::distance(last, spots[i]);
            last = spots[i];
        }
        return sum;
    };
    std::vector<std::size_t> order(spots.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    double least = length(order);
    while (std::next_permutation(order.begin(), order.end()))
        least = std::min(least, length(order));
    CHECK(length(find_walk(site, start)) == doctest::Approx(least));
}

TEST_CASE("cards say where, how and what, as a tape and a level have it") {
    const Yard yard;
    REQUIRE(yard.sheet.cards.size() == 4);
    const AimCard& first = yard.card("U1");
    CHECK(first.place == "9 ft from the left corner of the south face of house");
    CHECK(first.stands == "15 in back from the wall, lens 6 in up");
    CHECK(first.tilt == "8° from straight up");
    // 2 in x sin 8° = 0.278 in: 4/16
    CHECK(first.rim == "across the 2 in of its lens the wall side is 1/4 in lower");
    CHECK(first.way == "square to the wall (north, 0°)");
    CHECK(first.points.size() == 3);
    CHECK(first.points[0].where == "flat on the wall, 5 ft up, 18 in to the left");
    const AimCard& second = yard.card("U2");
    CHECK(second.place == "9 ft from the right corner of the south face of house");
    CHECK(second.way == "12° to the right of square to the wall (north-north-east, 12°)");
    const AimCard& path = yard.card("P1");
    CHECK(path.tilt == "stake plumb, hat level");
    CHECK(path.way.empty());
    CHECK_FALSE(path.tilt_degrees.has_value());
    CHECK(path.place.find(" from the south-east corner of house") != std::string::npos);
    const AimCard& down = yard.card("D1");
    CHECK(down.tilt == "20° from straight down");
    CHECK(down.way == "toward the east, 90°");
    for (const AimCard& card : yard.sheet.cards) {
        CHECK_MESSAGE(card.points.size() >= 2, card.id);
        for (const AimPoint& point : card.points) {
            CHECK(point.range.low < point.lux);
            CHECK(point.lux < point.range.high);
        }
    }
}

TEST_CASE("small lengths as a rule has them, and the compass") {
    CHECK(print_fine_length(0.0254 * 0.25, LengthUnit::foot) == "1/4 in");
    CHECK(print_fine_length(0.0254 * 1.3125, LengthUnit::foot) == "1 5/16 in");
    CHECK(print_fine_length(0.0254 * 2, LengthUnit::foot) == "2 in");
    CHECK(print_fine_length(0.0064, LengthUnit::metre) == "6 mm");
    CHECK(print_compass(0) == "north");
    CHECK(print_compass(-pi / 2) == "west");
    CHECK(print_compass(radians_from_degrees(350)) == "north");
    CHECK(print_compass(radians_from_degrees(348)) == "north-north-west");
}

TEST_CASE("the page is well-formed but for its script, which alone may run") {
    Yard yard;
    yard.sheet.cards[0].dimmer = "</script><b>\"dimmed\"";
    const std::string page = print_aim_sheet(yard.sheet);
    const std::size_t from = page.find("<script"), to = page.find("</script>");
    REQUIRE(from != std::string::npos);
    CHECK(page.find("<script", from + 1) == std::string::npos);
    const std::size_t nonce = page.find("nonce=\"", from);
    const std::string policy = "script-src &#39;nonce-" + page.substr(nonce + 7, 16) + "&#39;";
    CHECK(page.find(policy) != std::string::npos);
    const Elements elements = read_elements(page.substr(0, from) + page.substr(to + 9));
    std::size_t inputs = 0;
    for (const Element& element : elements)
        inputs += element.name == "input";
    CHECK(inputs == yard.model.points().size() + yard.sheet.cards.size()); // and a photo with each fixture
    CHECK(page.find("http") == page.find("http-equiv"));
}

TEST_CASE("a head that is turned and a lamp that is dim are found, said, and written as built") {
    const Yard yard;
    std::vector<FixtureOffset> truth(4);
    truth[0] = {radians_from_degrees(5), 0, 1};
    truth[1] = {0, 0, 0.75};
    const std::vector<double> lux = yard.model.find_lux(truth);
    NightCheck check{.site = yard.site, .model = yard.model};
    for (std::size_t i = 0; i < lux.size(); ++i)
        if (yard.model.points()[i].fixture < 2)
            check.readings.light.push_back({i, lux[i]});
    check.readings.volts.push_back({"P1", 11.2});
    check.fits = fit_fixtures(yard.model, check.readings.light, {.reading = 0.02});
    const std::vector<NightVerdict> verdicts = judge_night(check);
    REQUIRE(verdicts.size() == 3);
    CHECK(verdicts[0].is_off);
    CHECK(verdicts[0].findings.front().starts_with("tilted about "));
    CHECK(verdicts[1].is_off);
    CHECK(verdicts[1].findings.front().starts_with("gives about 7"));
    CHECK(verdicts[2].untold == std::vector<std::string>{"volts, which the site file does not plan"});
    const Site built = make_as_built(check.site, check.fits);
    CHECK(degrees_from_radians(built.fixtures[0].tilt) == doctest::Approx(13).epsilon(0.1));
    CHECK(built.fixtures[1].light_loss_factor == doctest::Approx(0.75).epsilon(0.06));
    CHECK(built.fixtures[2] == yard.site.fixtures[2]);
    const std::vector<std::string> lines = print_night(check);
    CHECK(std::find(lines.begin(), lines.end(), "No light was read at P1, D1.") != lines.end());
    read_elements(print_night_page(check, "drawn <here>"));
}
