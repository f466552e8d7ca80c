// The figures of views in words and as JSON, from reports written by hand.

#include <doctest/doctest.h>
#include <limits>
#include <nlohmann/json.hpp>

#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/view_words.hpp"

using namespace duskcast;
using Lines = std::vector<std::string>;

namespace {

SeenTarget make_seen(double luminance, double surroundings) {
    return {.target = "peak",
            .pixels = 120,
            .luminance = luminance,
            .surroundings = surroundings,
            .contrast = luminance / surroundings};
}

SeenFeature make_feature(Sighting sighting) {
    return {.feature = "peak", .on = "front", .sighting = sighting};
}

ViewResult make_result(const std::string& view, const SeenTarget& seen, Sighting sighting = Sighting::lit) {
    return {.report = {.view = view, .width = 40, .height = 30, .mean = 0.25, .max = 8, .targets = {seen}},
            .features = {make_feature(sighting)}};
}

std::string print_lit_target(const SeenTarget& seen) {
    return print_seen_target(seen, make_feature(Sighting::lit), LengthUnit::foot);
}

Lines print_all(const std::vector<ViewResult>& results) {
    return print_views({}, results, usual_lit_luminance);
}

} // namespace

TEST_CASE("how a target stands out: 3 : 1 recognisable, 10 : 1 focal") {
    CHECK(print_lit_target(make_seen(0.5, 0.25)) ==
          "lit; 0.5 cd/m2, 2 : 1 against its surroundings: does not stand out");
    CHECK(print_lit_target(make_seen(0.75, 0.25)) ==
          "lit; 0.75 cd/m2, 3 : 1 against its surroundings: stands out");
    CHECK(print_lit_target(make_seen(2.5, 0.25)) ==
          "lit; 2.5 cd/m2, 10 : 1 against its surroundings: a focal point");
    // Below 1 the other way round, and nothing of what sends no light at all.
    CHECK(print_lit_target(make_seen(0.5, 1.12)) ==
          "lit; 0.5 cd/m2, 1 : 2.24 against brighter surroundings: does not stand out");
    CHECK(print_lit_target(make_seen(0.9999, 1)) ==
          "lit; 1 cd/m2, 1 : 1 against its surroundings: does not stand out");
    CHECK(print_seen_target(make_seen(0, 1), make_feature(Sighting::unlit), LengthUnit::foot) == "unlit");
    // What is too dark to read as lit is no focal point, however dark it is round it.
    CHECK(print_seen_target(make_seen(0.025, 0.0025), make_feature(Sighting::unlit), LengthUnit::foot) ==
          "unlit; 0.025 cd/m2, 10 : 1 against its surroundings");
    CHECK(print_seen_target({.target = "peak"}, make_feature(Sighting::hidden), LengthUnit::foot) ==
          "hidden from there");
}

TEST_CASE("the lines of one view: lenses of 1 cd/m2 or more, and the files") {
    ViewResult street = make_result("street", make_seen(0.75, 0.25));
    street.report.lenses = {{"U1", 320, 0.5}, {"U2", 0.99, 0.1}, {"U3", 1, 0.1}};
    street.files = {"out/views/street.night.png", "out/views/street.pfm"};
    ViewResult with_tree = street;
    with_tree.features.push_back({.feature = "oak", .is_tree = true, .sighting = Sighting::out_of_picture});
    CHECK(print_all({with_tree})[2] == "  tree oak: out of the picture");
    CHECK(print_all({street}) ==
          Lines{"view street: mean 0.25 cd/m2, brightest surface 8 cd/m2",
                "  target peak: lit; 0.75 cd/m2, 3 : 1 against its surroundings: stands out",
                "  the lens of U1 is visible, at 320 cd/m2", "  the lens of U3 is visible, at 1 cd/m2",
                "  wrote out/views/street.night.png", "  wrote out/views/street.pfm",
                print_lit_rule(usual_lit_luminance, LightUnit::footcandle)});
    CHECK(print_all({}).empty());
}

TEST_CASE("from which views a target stands out") {
    const SeenTarget bright = make_seen(2.5, 0.25), dim = make_seen(0.25, 0.25);
    const auto last_line = [](const SeenTarget& first, const SeenTarget& second,
                              Sighting from_street = Sighting::lit) {
        const Lines lines =
            print_all({make_result("street", first, from_street), make_result("drive", second)});
        return lines[lines.size() - 2]; // before what "lit" means
    };
    CHECK(last_line(bright, bright) == "target peak: stands out from every side (street, drive)");
    CHECK(last_line(dim, dim) == "target peak: stands out from no side (street, drive)");
    CHECK(last_line(bright, dim) == "target peak: stands out from street, but not from drive");
    CHECK(last_line(dim, bright) == "target peak: stands out from drive, but not from street");
    CHECK(last_line(bright, bright, Sighting::faint) ==
          "target peak: stands out from drive, but not from street");
}

TEST_CASE("the JSON of views keeps its keys, and what is no number is null") {
    ViewResult street = make_result("street", make_seen(2.5, 0.25));
    street.report.lenses = {{"U1", 320, 0.5}};
    street.report.max = std::numeric_limits<double>::infinity();
    street.stops = 1.5;
    street.files = {"a.png"};
    const auto rows = nlohmann::ordered_json::parse(print_views_json({}, {street}));
    REQUIRE(rows.size() == 1);
    Lines keys;
    for (const auto& [key, value] : rows[0].items())
        keys.push_back(key);
    CHECK(keys == Lines{"id", "width", "height", "exposure_stops", "mean_cd_m2", "max_cd_m2", "targets",
                        "trees", "lenses_seen", "files"});
    CHECK(rows[0]["max_cd_m2"].is_null());
    CHECK(rows[0]["exposure_stops"] == 1.5);
    CHECK(rows[0]["targets"][0] ==
          nlohmann::ordered_json{{"id", "peak"},
                                 {"pixels", 120},
                                 {"mean_cd_m2", 2.5},
                                 {"surroundings_cd_m2", 0.25},
                                 {"contrast", 10.0},
                                 {"recognisable", true},
                                 {"focal", true},
                                 {"sighting", "lit"},
                                 {"lit_from_cd_m2", 0.0},
                                 {"in_words", print_lit_target(street.report.targets[0])}});
    CHECK(rows[0]["lenses_seen"][0] ==
          nlohmann::ordered_json{{"id", "U1"}, {"cd_m2", 320.0}, {"eye_lx", 0.5}});
    CHECK(rows[0]["files"] == nlohmann::ordered_json{"a.png"});
    CHECK(print_views_json({}, {}) == "[]\n");
}
