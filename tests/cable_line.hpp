#pragma once
// Invented sites for the load.

#include <doctest/doctest.h>

#include <string>

#include "duskcast/power/load.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast::tests {

/// `count` lamps every `spacing_ft` along the x axis from a transformer at the origin; no slack, no leads.
inline Site make_line(std::size_t count, double spacing_ft, const Lamp& lamp, double rating = 300) {
    Site site;
    site.name = "line";
    site.lamps = {lamp};
    Network& network = site.network.emplace();
    network.transformers = {{.id = "T1", .rating = rating, .taps = {12, 13, 14, 15}}};
    network.runs = {{.id = "line", .gauge = 12, .slack = 0, .lead = 0}};
    for (std::size_t i = 0; i < count; ++i) {
        const double x = spacing_ft * static_cast<double>(i + 1) * metres_per_foot;
        Fixture fixture{.id = "F" + std::to_string(i + 1), .lamp = lamp.id, .at = glm::dvec2(x, 0)};
        fixture.lens_height = 0;
        network.runs[0].fixtures.push_back(fixture.id);
        site.fixtures.push_back(fixture);
    }
    return site;
}

inline const LoadChoice by_nec{.wire = {.table = WireTable::nec}, .tap = {}};

} // namespace duskcast::tests
