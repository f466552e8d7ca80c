#pragma once
// Figures of studies given by hand.

#include "duskcast/study/compare.hpp"
#include "duskcast/study/sweep.hpp"

namespace duskcast::test {

inline Site make_metric_site() {
    Site site{.is_as_new = true};
    site.name = "House";
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    return site;
}

/// One target, "gable" at 10 lx, of which half is wanted, and the reach of U1 under a top of 6 m.
inline Figures make_gable_figures(double share, double reach, double watts = 10) {
    Figures figures;
    figures.targets = {{.id = "gable", .on = "front", .level_lx = 10, .wanted_share = 0.5, .share = share}};
    figures.targets[0].is_reached = share >= 0.5;
    figures.reaches = {{.fixture = "U1", .on = "front", .level_lx = 10, .height = reach, .top = 6}};
    figures.spill = {.emitted_lm = 1000, .target_lm = 500};
    figures.watts = watts;
    return figures;
}

/// A sweep over tilt (0, 10, 20 ... degrees) with a coverage and a reach each.
inline Sweep make_tilt_sweep(const std::vector<double>& coverage, const std::vector<double>& reach) {
    Sweep sweep;
    sweep.plan = {.fixtures = {"U1"}, .focus = {"gable", {"U1"}}};
    sweep.plan.ranges.resize(1);
    for (std::size_t i = 0; i < coverage.size(); ++i) {
        sweep.plan.ranges[0].values.push_back(
            {Knob::tilt, radians_from_degrees(10.0 * static_cast<double>(i)), ""});
        sweep.figures.push_back(make_gable_figures(coverage[i], reach[i]));
    }
    sweep.as_drawn = make_gable_figures(0.3, 3);
    return sweep;
}

} // namespace duskcast::test
