#include <doctest/doctest.h>

#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <vector>

#include "../message_of.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/site/finish.hpp"

using namespace duskcast;
using duskcast::test::message_of;

namespace {

// IEC 61966-2-1: relative luminance of linear sRGB.
double luminance(const glm::dvec3& rgb) {
    return 0.2126 * rgb.r + 0.7152 * rgb.g + 0.0722 * rgb.b;
}

} // namespace

TEST_CASE("the luminance of each finish is its visible reflectance") {
    struct Row {
        const char* name;
        double reflectance;
    };
    // IES Lighting Handbook 9th ed., reflectances of building materials and outside surfaces, from memory;
    // bark: CLM5 technical note, stem visible reflectance; the rest: working defaults, no source.
    const std::vector<Row> rows = {
        {"brick red common", 0.20},
        {"brick red glazed", 0.30},
        {"brick buff light", 0.48},
        {"brick buff dark", 0.40},
        {"bluestone", 0.18},
        {"sandstone", 0.18},
        {"limestone pale", 0.45},
        {"marble white", 0.45},
        {"cement", 0.27},
        {"concrete", 0.40},
        {"paint white new", 0.75},
        {"paint white old", 0.55},
        {"stucco white", 0.70},
        {"stucco cream", 0.55},
        {"stucco tan", 0.40},
        {"siding white", 0.75},
        {"siding beige", 0.55},
        {"siding grey-blue", 0.30},
        {"timber weathered", 0.30},
        {"timber cedar", 0.30},
        {"timber dark stain", 0.10},
        {"glass", 0.08},
        {"asphalt", 0.07},
        {"macadam", 0.18},
        {"gravel", 0.13},
        {"slate dark", 0.08},
        {"shingle grey", 0.13},
        {"shingle brown", 0.11},
        {"roof metal", 0.25},
        {"roof tile", 0.22},
        {"soil moist", 0.07},
        {"grass", 0.06},
        {"mulch bark", 0.08},
        {"mulch chips", 0.20},
        {"bark", 0.16},
        {"bark grey", 0.22},
        {"bark white", 0.50},
        {"bark dark", 0.09},
        {"bark red", 0.13},
        {"water", 0.04},
        {"snow new", 0.74},
        {"snow old", 0.64},
    };
    CHECK(rows.size() == finish_table().size());
    for (const Row& row : rows) {
        CAPTURE(row.name);
        const Finish finish = make_finish(row.name);
        CHECK(finish.name == row.name);
        CHECK(luminance(finish.reflectance) == doctest::Approx(row.reflectance).epsilon(1e-12));
    }
}

TEST_CASE("no finish reflects more than it receives, and each has a name and a source of its own") {
    std::set<std::string> names;
    for (const FinishRow& row : finish_table()) {
        CAPTURE(row.name);
        CHECK(names.insert(row.name).second);
        CHECK_FALSE(row.source.empty());
        for (int i = 0; i < 3; ++i) {
            CHECK(row.reflectance[i] > 0);
            CHECK(row.reflectance[i] <= 1);
        }
    }
}

TEST_CASE("the schema offers every finish") {
    std::ifstream stream(DUSKCAST_SOURCE_DIR "/src/site/site.schema.json");
    const std::string schema((std::istreambuf_iterator<char>(stream)), std::istreambuf_iterator<char>());
    for (const FinishRow& row : finish_table()) {
        CAPTURE(row.name);
        CHECK(schema.find('"' + row.name + '"') != std::string::npos);
    }
}

TEST_CASE("leaves reflect and let through what was measured, and absorb the rest") {
    struct Row {
        LeafKind kind;
        double reflectance, transmittance;
    };
    // Green: CLM5 technical note, broadleaf, visible band (after Dorman & Sellers 1989).
    // Dark green: the same note's needles, from memory. Purple, yellow-green and all other colours: working
    // defaults, from memory.
    // Twigs: CLM5 technical note, stems of all woody types, visible band, their 0.001 let through left out.
    for (const Row& row : {Row{LeafKind::green, 0.10, 0.05}, Row{LeafKind::purple, 0.06, 0.03},
                           Row{LeafKind::yellow_green, 0.15, 0.10}, Row{LeafKind::twigs, 0.16, 0},
                           Row{LeafKind::dark_green, 0.07, 0.05}, Row{LeafKind::blue_green, 0.12, 0.05},
                           Row{LeafKind::grey_green, 0.16, 0.05}, Row{LeafKind::red, 0.10, 0.05},
                           Row{LeafKind::orange, 0.18, 0.12}, Row{LeafKind::yellow, 0.35, 0.20},
                           Row{LeafKind::white, 0.55, 0.20}, Row{LeafKind::pink, 0.35, 0.18},
                           Row{LeafKind::violet, 0.15, 0.08}, Row{LeafKind::blue, 0.15, 0.08}}) {
        CAPTURE(static_cast<int>(row.kind));
        const LeafColour& leaf = leaf_colour(row.kind);
        CHECK(luminance(leaf.reflectance) == doctest::Approx(row.reflectance).epsilon(1e-12));
        CHECK(luminance(leaf.transmittance) == doctest::Approx(row.transmittance).epsilon(1e-12));
        for (int i = 0; i < 3; ++i)
            CHECK(leaf.reflectance[i] + leaf.transmittance[i] < 1);
    }
    CHECK(leaf_colours().size() == 14);
    // By their names: green is strongest in green, purple is reddish, yellow-green has red and green alike.
    CHECK(leaf_colour(LeafKind::green).reflectance.g > leaf_colour(LeafKind::green).reflectance.r);
    CHECK(leaf_colour(LeafKind::purple).reflectance.r > 2 * leaf_colour(LeafKind::purple).reflectance.g);
    CHECK(leaf_colour(LeafKind::yellow_green).reflectance.r >
          0.8 * leaf_colour(LeafKind::yellow_green).reflectance.g);
}

TEST_CASE("ground without a finish has its kind's own") {
    CHECK(finish_of(GroundKind::lawn).name == "grass");
    CHECK(finish_of(GroundKind::bed).name == "soil moist");
    CHECK(finish_of(GroundKind::paving).name == "concrete");
    CHECK(finish_of(GroundKind::mulch).name == "mulch bark");
    CHECK(finish_of(GroundKind::water).name == "water");
}

TEST_CASE("an unknown finish or leaf colour names the nearest") {
    CHECK(message_of([] { make_finish("concret"); }) ==
          "error: there is no finish called \"concret\"; did you mean \"concrete\"?");
    // Names with the same words, in any order, come before those with like letters ("bark red").
    for (const std::string name : {"brick red", "red brick"})
        CHECK(message_of([&] { make_finish(name); }) ==
              "error: there is no finish called \"" + name +
                  "\"; did you mean \"brick red common\" or \"brick red glazed\"?");
    CHECK(message_of([] {
              make_finish("tartan");
          }).starts_with("error: there is no finish called \"tartan\"; known are "));
}
