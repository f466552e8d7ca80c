#include "duskcast/power/rewire.hpp"

#include <algorithm>
#include <limits>

#include "duskcast/base/problem.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

/// Where a run passes a point.
struct Passing {
    double distance = std::numeric_limits<double>::infinity();
    std::size_t place = 0; ///< in the run's list, of a fixture joined there
};

Passing find_passing(const Site& site, const CableRun& run, const glm::dvec2& light) {
    const CableCourse course = lay_cable(site, run);
    const std::vector<glm::dvec2>& line = course.cable.empty() ? course.home : course.cable;
    Passing passing{distance_to_line(light, line, false), run.fixtures.size()};
    if (course.cable.empty()) // a hub, where every fixture has a lead of its own
        return passing;
    const double along = nearest_along(line, light);
    passing.place = static_cast<std::size_t>(
        std::count_if(course.taps.begin(), course.taps.end(), [&](double tap) { return tap <= along; }));
    return passing;
}

} // namespace

std::optional<Network> rewire(const Site& site, const Site& variant) {
    if (!site.network)
        return std::nullopt;
    Site wired = variant;
    wired.network = site.network;
    std::vector<CableRun>& runs = wired.network->runs;
    for (CableRun& run : runs)
        std::erase_if(run.fixtures,
                      [&](const std::string& id) { return find_fixture(variant, id) == nullptr; });
    std::erase_if(runs, [](const CableRun& run) { return run.fixtures.empty(); });
    try {
        for (const Fixture& fixture : variant.fixtures) {
            if (find_fixture(site, fixture.id) != nullptr)
                continue;
            CableRun* nearest = nullptr;
            Passing best;
            for (CableRun& run : runs) {
                const Passing passing =
                    find_passing(wired, run, glm::dvec2(place_fixture(variant, fixture).position));
                if (passing.distance < best.distance) {
                    best = passing;
                    nearest = &run;
                }
            }
            if (nearest == nullptr)
                return std::nullopt;
            nearest->fixtures.insert(nearest->fixtures.begin() + static_cast<std::ptrdiff_t>(best.place),
                                     fixture.id);
        }
    } catch (const InputError&) {
        return std::nullopt;
    }
    return wired.network;
}

} // namespace duskcast
