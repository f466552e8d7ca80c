// The summary worked out anew from the maps: whoever has the CSV of every surface must find the figures of
// the JSON in it. Levels, targets, crowns and the ground, of a small site with bounced light.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "duskcast/base/csv.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/sheets/summary.hpp"

using namespace duskcast;
using Json = nlohmann::ordered_json;

namespace {

struct Row {
    glm::dvec3 at{0};
    double area = 0, lux = 0;
};

struct LitSite {
    SiteFile file;
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    Report report;
    Json summary;

    LitSite() {
        file =
            read_site(R"({ "duskcast": 1, "name": "Small", "units": "m", "light": "lx", "levels": [1, 5, 20],
          "sensor_spacing": "0.25 m", "ground_spacing": "0.5 m", "leaf_sensors": 300,
          "ground": { "base": "mulch", "margin": 2, "areas": [
            { "id": "bed", "kind": "bed", "outline": [[0, -2], [8, -2], [8, 0], [0, 0]] }] },
          "walls": [{ "id": "front", "path": [[0, 0], [8, 0]], "height": 3,
            "gables": [{ "id": "g", "from": 1, "width": 4, "peak": 5 }],
            "openings": [{ "id": "w", "kind": "window", "from": 5.5, "width": 1, "sill": 1, "height": 1.2 }] }],
          "trees": [{ "id": "oak", "at": [12, -3], "height": 5, "base": 1.5, "width": 3, "leaf_size": 0.3 }],
          "lamps": [{ "id": "spot", "watts": 5, "candela": 700, "beam": 40 }],
          "fixtures": [
            { "id": "A", "kind": "uplight", "lamp": "spot", "mount": "surface", "wall": "front", "along": 2,
              "setback": "0.4 m", "tilt": 8 },
            { "id": "B", "kind": "uplight", "lamp": "spot", "mount": "surface", "wall": "front", "along": 6,
              "setback": "0.4 m", "tilt": 12 },
            { "id": "T", "kind": "uplight", "lamp": "spot", "mount": "surface", "tree": "oak", "bearing": 200,
              "setback": "0.8 m", "tilt": 5 }],
          "targets": [
            { "id": "whole", "on": "front", "level": 5, "share": 0.5 },
            { "id": "band", "on": "front", "between": [1, 2.5], "along": [1, 4], "level": 20, "share": 0.9 },
            { "id": "crown", "on": "oak", "level": 1, "share": 0.2 },
            { "id": "planting", "on": "bed", "level": 1, "share": 0.3 }] })",
                      "small.site.json");
        stage = build_stage(file.site, ".");
        lighting = trace_lighting(*stage, make_fixtures(file.site, "."));
        add_bounce(set_up_bounce(*stage, lighting.fixtures, 0), lighting);
        report = measure_report(file.site, *stage, lighting);
        summary = Json::parse(print_summary(file, *stage, lighting, report));
    }

    /// The rows of a surface's map; of a tree the two sides of each leaf as one, at the brighter side.
    std::vector<Row> read_map(const std::string& id) const {
        const Surface& surface = stage->surfaces.at(static_cast<std::size_t>(stage->find_surface(id)));
        std::vector<Row> rows;
        const std::vector<CsvRecord> records = read_csv(print_map(*stage, lighting, surface), id, "");
        for (std::size_t i = 1; i < records.size(); ++i) {
            const auto figure = [&](std::size_t column) { return std::stod(records[i].at(column).text); };
            const Row row{{figure(0), figure(1), figure(2)}, figure(6), figure(9)};
            if (surface.kind == SurfaceKind::tree && i % 2 == 0)
                rows.back().lux = std::max(rows.back().lux, row.lux);
            else
                rows.push_back(row);
        }
        return rows;
    }

    const Json& find(const char* list, const std::string& id) const {
        for (const Json& one : summary[list])
            if (one["id"] == id)
                return one;
        FAIL("no " << id << " in " << list);
        return summary;
    }
};

double area_of(const std::vector<Row>& rows, double level = 0) {
    double area = 0;
    for (const Row& row : rows)
        area += row.lux >= level ? row.area : 0;
    return area;
}

double mean_of(const std::vector<Row>& rows) {
    double flux = 0;
    for (const Row& row : rows)
        flux += row.area * row.lux;
    return flux / area_of(rows);
}

/// Printed to six digits.
void check_near(const Json& found, double wanted) {
    CHECK(found.get<double>() == doctest::Approx(wanted).epsilon(2e-5));
}

/// Share of the area at a level; what lies so near to the level that printing decides is allowed either way.
void check_share(const Json& found, const std::vector<Row>& rows, double level) {
    const double whole = area_of(rows);
    CHECK(found.get<double>() <= area_of(rows, level * (1 - 1e-4)) / whole + 1e-5);
    CHECK(found.get<double>() >= area_of(rows, level * (1 + 1e-4)) / whole - 1e-5);
}

} // namespace

TEST_CASE("the summary's figures are those of the maps") {
    const LitSite lit;
    const std::vector<double> levels{1, 5, 20};
    for (const char* id : {"front", "oak", "bed", "ground"}) {
        CAPTURE(id);
        const std::vector<Row> rows = lit.read_map(id);
        REQUIRE(rows.size() > 20);
        const Json& found = lit.find("surfaces", id);
        double least = HUGE_VAL, most = 0;
        Row brightest;
        for (const Row& row : rows) {
            least = std::min(least, row.lux);
            if (row.lux > most)
                brightest = row;
            most = std::max(most, row.lux);
        }
        if (std::string(id) != "oak") // the area of a crown is that of the leaves that carry sensors
            check_near(found["area_m2"], area_of(rows));
        check_near(found["min_lx"], least);
        check_near(found["mean_lx"], mean_of(rows));
        check_near(found["max_lx"], most);
        check_near(found["hot_spot"]["max_to_mean"], most / mean_of(rows));
        for (std::size_t axis = 0; axis < 3; ++axis)
            CHECK(found["hot_spot"]["position_m"][axis].get<double>() ==
                  doctest::Approx(brightest.at[static_cast<int>(axis)]).epsilon(1e-3));
        REQUIRE(found["coverage"].size() == levels.size());
        for (std::size_t i = 0; i < levels.size(); ++i) {
            CHECK(found["coverage"][i]["level_lx"] == levels[i]);
            check_share(found["coverage"][i]["share"], rows, levels[i]);
        }
        // Uniformity over the part that gets the lowest level.
        std::vector<Row> part;
        for (const Row& row : rows)
            if (row.lux >= levels[0])
                part.push_back(row);
        if (part.empty()) {
            CHECK(found["mean_to_min"].is_null());
            continue;
        }
        double least_of_part = HUGE_VAL;
        for (const Row& row : part)
            least_of_part = std::min(least_of_part, row.lux);
        check_near(found["mean_to_min"], mean_of(part) / least_of_part);
        check_near(found["max_to_min"], most / least_of_part);
    }
}

TEST_CASE("targets are the rows of their heights and stretch, reached or missed by their share") {
    const LitSite lit;
    for (const Target& target : lit.file.site.targets) {
        CAPTURE(target.id);
        std::vector<Row> rows;
        for (const Row& row : lit.read_map(target.on)) {
            // The wall runs along x from the origin, its foot at 0.
            const bool is_high =
                !target.between || (row.at.z >= (*target.between)[0] && row.at.z <= (*target.between)[1]);
            const bool is_along =
                !target.along || (row.at.x >= (*target.along)[0] && row.at.x <= (*target.along)[1]);
            if (is_high && is_along)
                rows.push_back(row);
        }
        REQUIRE(rows.size() > 20);
        const Json& found = lit.find("targets", target.id);
        CHECK(found["level_lx"].get<double>() == doctest::Approx(target.level));
        check_near(found["mean_lx"], mean_of(rows));
        check_share(found["coverage"], rows, target.level);
        CHECK(found["reached"] == (found["coverage"].get<double>() >= target.share));
    }
}

TEST_CASE("what leaves the fixtures lands somewhere, and the file's fixtures are those of the site") {
    const LitSite lit;
    const Json& spill = lit.summary["spill"];
    double landed = 0, emitted = 0, watts = 0;
    for (const char* part : {"target_lm", "other_lm", "ground_lm", "sky_lm"})
        landed += spill[part].get<double>();
    for (const Json& fixture : lit.summary["fixtures"]) {
        emitted += fixture["lumens"].get<double>();
        watts += fixture["watts"].get<double>();
    }
    CHECK(landed == doctest::Approx(spill["emitted_lm"].get<double>()).epsilon(1e-4));
    CHECK(emitted == doctest::Approx(spill["emitted_lm"].get<double>()).epsilon(1e-4));
    CHECK(watts == doctest::Approx(15));
    // 0.95 x 0.9 x 0.9 of new light is left (common practice, no source).
    CHECK(lit.summary["fixtures"][0]["light_loss"]["total"].get<double>() == doctest::Approx(0.7695));
}

TEST_CASE("a crown's bands together are the crown") {
    const LitSite lit;
    const std::vector<Row> rows = lit.read_map("oak");
    const Json* whole = nullptr;
    for (const Json& tree : lit.summary["trees"])
        if (tree["id"] == "oak" && tree["seen_from"] == "")
            whole = &tree;
    REQUIRE(whole != nullptr);
    double area = 0, flux = 0, lit_area = 0;
    for (const Json& band : (*whole)["bands"]) {
        area += band["leaf_area_m2"].get<double>();
        flux += band["leaf_area_m2"].get<double>() * band["mean_lx"].get<double>();
        lit_area += band["leaf_area_m2"].get<double>() * band["lit"][0]["share"].get<double>();
        CHECK(band["from_m"].get<double>() < band["to_m"].get<double>());
    }
    CHECK(flux / area == doctest::Approx(mean_of(rows)).epsilon(1e-3));
    CHECK(lit_area / area == doctest::Approx(area_of(rows, 1) / area_of(rows)).epsilon(1e-2));
}
