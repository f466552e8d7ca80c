// The two pictures of a load by their words: the order of lamps, lengths that add up, volts that fall.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>

#include "../../src/sheets/load_marks.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "page_words.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr double lead = 0.5 * metres_per_foot; ///< which is cut as 1 ft

/// Lamps along a straight line to the east of a transformer at the origin, at these distances in feet.
Site make_line_to(const std::vector<double>& feet, RunLayout layout = RunLayout::daisy_chain) {
    Site site{.is_as_new = true};
    site.name = "Line";
    site.units = LengthUnit::foot;
    site.ground.margin = 1;
    site.lamps.push_back({.id = "l", .figures = {.lumens = 300, .beam_angle = 0.6}, .watts = 8});
    Network& network = site.network.emplace();
    network.transformers.push_back({.id = "T1", .at = {0, 0}, .rating = 300});
    CableRun run{.id = "row", .transformer = "T1", .gauge = 12, .layout = layout, .slack = 0, .lead = lead};
    for (std::size_t i = 0; i < feet.size(); ++i) {
        Fixture fixture{.id = "L" + std::to_string(i + 1), .lamp = "l"};
        fixture.at = glm::dvec2(feet[i] * metres_per_foot, 0);
        fixture.lens_height = 0;
        run.fixtures.push_back(fixture.id);
        site.fixtures.push_back(fixture);
    }
    network.runs.push_back(run);
    return site;
}

LoadReport measure(const Site& site) {
    return measure_load(site, ".", {});
}

/// "37 ft" and the like on a page, in feet, with how often; leads left out.
std::map<int, int> list_lengths(const DrawnPage& page) {
    std::map<int, int> lengths;
    for (const Canvas::Words& words : page.words)
        if (words.text.ends_with(" ft") &&
            words.text.find_first_not_of("0123456789") == words.text.size() - 3)
            ++lengths[std::stoi(words.text)];
    lengths.erase(1);
    return lengths;
}

} // namespace

TEST_CASE("one-line: lamps from left to right in the order that the cable meets them, each with its volts") {
    const Site site = make_line_to({20, 50, 90, 100});
    const LoadReport report = measure(site);
    const DrawnPage page = make_one_line(site, report, PictureFormat::svg);
    double before = 0, volts_before = 1e9;
    for (const FixtureLoad& fixture : report.fixtures) {
        CAPTURE(fixture.id);
        const Box id = find_words(page, fixture.id), volts = find_words(page, print_volts(report, fixture));
        CHECK(id.middle().x > before);
        CHECK(volts.middle().x == doctest::Approx(id.middle().x));
        CHECK(volts.top > id.top);
        before = id.middle().x;
        CHECK(fixture.volts < volts_before);
        volts_before = fixture.volts;
    }
    // 20, 30, 40 and 10 ft of cable between them, as the tape has it.
    CHECK(list_lengths(page) == std::map<int, int>{{10, 1}, {20, 1}, {30, 1}, {40, 1}});
    CHECK(count_words(page, "12 V tap") == 1);
    CHECK(count_words(page, "Line: one-line diagram") == 1);
    CHECK(count_words(page, describe_transformer(report.transformers[0])) == 1);
}

TEST_CASE("one-line: a run that needs more than a row goes on below it, in order") {
    std::vector<double> feet;
    for (int i = 1; i <= 34; ++i)
        feet.push_back(6 * i);
    Site site = make_line_to(feet);
    site.lamps[0].watts = 1;
    const LoadReport report = measure(site);
    const DrawnPage page = make_one_line(site, report, PictureFormat::svg);
    check_apart(page, 2);
    glm::dvec2 before(-1, -1);
    int rows = 1;
    for (const FixtureLoad& fixture : report.fixtures) {
        const glm::dvec2 at = find_words(page, fixture.id).middle();
        if (before.y >= 0 && at.y > before.y + 50)
            ++rows;
        else if (before.y >= 0)
            CHECK(at.x > before.x);
        before = at;
    }
    CHECK(rows >= 2);
    CHECK(list_lengths(page) == std::map<int, int>{{6, 34}});
    CHECK(make_one_line(make_line_to({6}), measure(make_line_to({6})), PictureFormat::svg).height <
          page.height);
}

TEST_CASE("one-line: a lamp that sits on the cable itself, without a lead, is drawn like every other") {
    for (const RunLayout layout : {RunLayout::daisy_chain, RunLayout::loop}) {
        Site site = make_line_to({20, 50, 90}, layout);
        site.network->runs.front().lead = 0;
        site.fixtures[1].lens_height = 1; // one lamp has a lead up to its lens
        const LoadReport report = measure(site);
        const DrawnPage page = make_one_line(site, report, PictureFormat::svg);
        double before = 0;
        for (const FixtureLoad& fixture : report.fixtures) {
            CAPTURE(fixture.id);
            REQUIRE(count_words(page, fixture.id) == 1);
            CHECK(find_words(page, fixture.id).middle().x > before);
            before = find_words(page, fixture.id).middle().x;
            CHECK(count_words(page, print_volts(report, fixture)) == 1);
        }
        CHECK(count_words(page, "no lead") == 2);
    }
}

TEST_CASE("one-line: a run fed at its middle has its home run, and lamps to both sides of it") {
    Site site = make_line_to({40, 60, 80, 100, 120}, RunLayout::centre_fed);
    const LoadReport report = measure(site);
    const DrawnPage page = make_one_line(site, report, PictureFormat::svg);
    std::vector<std::pair<double, double>> places; // along the page, volts
    for (const FixtureLoad& fixture : report.fixtures)
        places.emplace_back(find_words(page, fixture.id).middle().x, fixture.volts);
    std::sort(places.begin(), places.end());
    // Volts are highest at the joint and fall to both ends.
    const auto top = std::max_element(places.begin(), places.end(),
                                      [](const auto& a, const auto& b) { return a.second < b.second; });
    CHECK(top != places.begin());
    CHECK(top + 1 != places.end());
    CHECK(std::is_sorted(places.begin(), top + 1,
                         [](const auto& a, const auto& b) { return a.second < b.second; }));
    CHECK(
        std::is_sorted(top, places.end(), [](const auto& a, const auto& b) { return a.second > b.second; }));
    int homes = 0;
    for (const Canvas::Words& words : page.words)
        homes += words.text.ends_with(" home run") ? 1 : 0;
    CHECK(homes == 1);
}

TEST_CASE("one-line: lengths on a diagram come to the cable of each run") {
    for (const RunLayout layout : {RunLayout::daisy_chain, RunLayout::centre_fed}) {
        CAPTURE(name_of(layout));
        const Site site = make_line_to({12, 33, 57, 81}, layout);
        const LoadReport report = measure(site);
        double sum = 0;
        const DrawnPage page = make_one_line(site, report, PictureFormat::svg);
        for (const auto& [length, times] : list_lengths(page))
            sum += length * times;
        for (const Canvas::Words& words : page.words)
            if (words.text.ends_with(" ft home run"))
                sum += std::stoi(words.text);
        // Each is rounded up to the foot that is cut.
        const double wanted = report.runs[0].cable_length / metres_per_foot;
        CHECK(sum >= wanted - 1e-6);
        CHECK(sum < wanted + 5);
    }
}

TEST_CASE("a run's line says what is laid, where it is fed and what it loses, or that it cannot work") {
    Site site = make_line_to({20, 50});
    const LoadReport report = measure(site);
    const std::string said = describe_run(report.runs[0], LengthUnit::foot);
    CHECK(said.starts_with("row: 50 ft of 12 AWG, daisy-chain, tap 12 V, 2 lamps"));
    CHECK(said.find(print_number(report.runs[0].amps)) != std::string::npos);
    site.lamps[0].watts = 3000;
    const LoadReport over = measure(site);
    REQUIRE(!over.runs[0].is_found);
    CHECK(describe_run(over.runs[0], LengthUnit::foot).find("no operating point, bears ") !=
          std::string::npos);
    CHECK(print_volts(over, over.fixtures[0]) == "no volts");
    CHECK(describe_transformer({.id = "T", .rating = 300, .volt_amperes = 75}) == "T, 300 VA: 75 VA, 25 %");
}

TEST_CASE("states have inks of their own, and six runs are told apart") {
    LoadReport report;
    report.runs.resize(1);
    report.runs[0].is_found = true;
    FixtureLoad fixture;
    std::vector<Ink> inks;
    for (const VoltageState state : {VoltageState::low, VoltageState::good, VoltageState::high}) {
        fixture.state = state;
        inks.push_back(state_ink(report, fixture));
    }
    report.runs[0].is_found = false;
    inks.push_back(state_ink(report, fixture));
    for (std::size_t run = 0; run < 6; ++run)
        inks.push_back(run_ink(run));
    for (std::size_t i = 0; i < inks.size(); ++i)
        for (std::size_t j = 0; j < i; ++j) {
            double apart = 0;
            for (std::size_t channel = 0; channel < 3; ++channel)
                apart += std::abs(inks[i].colour[channel] - inks[j].colour[channel]);
            CHECK_MESSAGE(apart > 0.15, i << " and " << j);
        }
    CHECK(run_ink(7).colour == run_ink(1).colour);
}

TEST_CASE("cable plan: a deep lot lies on its side, north to the left, and everything keeps its place") {
    // The same lamps along a line to the north.
    Site deep = make_line_to({20, 60, 100});
    for (Fixture& fixture : deep.fixtures)
        fixture.at = glm::dvec2(0, fixture.at->x);
    const Site wide = make_line_to({20, 60, 100});
    const auto xs = [&](const Site& site) {
        const LoadReport report = measure(site);
        const DrawnPage page = make_cable_plan(site, report, PictureFormat::svg);
        check_apart(page, 2);
        std::vector<double> places;
        for (const FixtureLoad& fixture : report.fixtures)
            places.push_back(find_words(page, fixture.id + " " + print_volts(report, fixture)).middle().x);
        return places;
    };
    const std::vector<double> of_wide = xs(wide), of_deep = xs(deep);
    for (std::size_t i = 0; i + 1 < 3; ++i) {
        CHECK(of_wide[i] < of_wide[i + 1]);
        CHECK(of_deep[i] > of_deep[i + 1]);
    }
    // 40 ft and 40 ft are the same on the page, and the wide plan is as large as the deep one.
    CHECK(of_wide[1] - of_wide[0] == doctest::Approx(of_wide[2] - of_wide[1]).epsilon(0.05));
    CHECK(of_deep[0] - of_deep[1] == doctest::Approx(of_wide[1] - of_wide[0]).epsilon(0.05));
}

TEST_CASE("cable plan: stretches carry the lengths that are cut, in the site's units") {
    Site site = make_line_to({30, 70, 120});
    const DrawnPage page = make_cable_plan(site, measure(site), PictureFormat::svg);
    CHECK(list_lengths(page)[30] == 1);
    CHECK(list_lengths(page)[40] == 1);
    CHECK(list_lengths(page)[50] == 1);
    site.units = LengthUnit::metre;
    const DrawnPage metric = make_cable_plan(site, measure(site), PictureFormat::svg);
    CHECK(list_lengths(metric).empty());
    CHECK(count_words(metric, print_cable_length(40 * metres_per_foot, LengthUnit::metre)) == 1);
    CHECK(count_words(metric, "N") == 1);
}
