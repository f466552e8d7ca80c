#pragma once
// Transformers, hubs and runs of cable: how the fixtures of a site are fed.

#include <array>
#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/base/units.hpp"

namespace duskcast {

struct Site;

/// AWG of the cable that low-voltage lighting uses, thin to thick.
inline constexpr std::array<int, 6> cable_gauges{18, 16, 14, 12, 10, 8};

/// Mains to low voltage. Its taps share the secondary windings' limits.
struct Transformer {
    std::string id;
    glm::dvec2 at{0};
    double rating = 0;            ///< volt-amperes
    std::vector<double> taps{12}; ///< volts, low to high
    std::optional<double> tap;    ///< the one in use where a run says none; absent: the lowest
    int secondaries = 1;          ///< circuits, each with its own limit
    double secondary_limit = 25;  ///< amps a circuit (UL 1838, NEC article 411)

    bool operator==(const Transformer&) const = default;
};

/// Where the wires of several fixtures come together.
struct Hub {
    std::string id;
    glm::dvec2 at{0};

    bool operator==(const Hub&) const = default;
};

/// How a run's cable joins its fixtures.
/// `daisy_chain`: from the transformer past one fixture after the other. `centre_fed`: the same cable, fed at
/// its middle by a home run. `hub`: a home run to a hub, and each fixture on its own lead from there. `loop`:
/// a daisy chain whose far end comes back to the transformer.
enum class RunLayout { daisy_chain, centre_fed, hub, loop };
std::string name_of(RunLayout layout); ///< "daisy-chain", "centre-fed", "hub", "loop"

struct CableRun {
    std::string id;
    std::string transformer;   ///< empty: the only one
    std::optional<double> tap; ///< volts; absent: the transformer's
    int secondary = 1;         ///< of the transformer's circuits, from 1
    int gauge = 12;            ///< AWG
    RunLayout layout = RunLayout::daisy_chain;
    /// Where the cable lies in the plan. Empty with `follow` or none: straight from fixture to fixture. To a
    /// hub: the home run.
    std::vector<glm::dvec2> path;
    std::string follow;           ///< a wall, ground area or shrub along whose edge it lies; empty: none
    std::vector<glm::dvec2> home; ///< `centre_fed`: the home run; empty: in the trench of the cable itself
    std::string hub;
    std::vector<std::string> fixtures; ///< in the order that the cable reaches them
    double slack = 0.1;                ///< more cable than the course, a share of it (common practice)
    double lead = 2 * metres_per_foot; ///< wire of each fixture beyond its distance and height
    int lead_gauge = 18;               ///< AWG
    bool is_sleeved = false;           ///< in conduit where it crosses paving

    bool operator==(const CableRun&) const = default;
};

struct Network {
    std::vector<Transformer> transformers;
    std::vector<Hub> hubs;
    std::vector<CableRun> runs;

    bool operator==(const Network&) const = default;
};

const Transformer* find_transformer(const Network& network, const CableRun& run); ///< none: no such one
const Hub* find_hub(const Network& network, const std::string& id);

/// Volts that feed the run. `transformer` is the run's.
double tap_of(const Transformer& transformer, const CableRun& run);

/// A run's cable in the plan. Distances along it are of the course, without slack.
struct CableCourse {
    std::vector<glm::dvec2> cable; ///< the cable that passes the fixtures; empty for a hub
    std::vector<double> taps;      ///< one a fixture: how far along the cable its lead joins
    std::vector<glm::dvec2>
        home;        ///< from the transformer to where it joins the cable or the hub; may be empty
    double feed = 0; ///< how far along the cable the home run, or the transformer, joins it
    std::vector<glm::dvec2> joints; ///< one a fixture: where its lead begins
    std::vector<glm::dvec2> lights; ///< one a fixture: where it stands
};

/// Throws InputError where the run names what is not there.
CableCourse lay_cable(const Site& site, const CableRun& run);

/// A stretch of a line in the plan on paving.
struct GroundStretch {
    std::string area;  ///< id of the ground area; empty: the ground outside every area
    double length = 0; ///< metres, all that the line has on that area
};

/// Where a cable would need a sleeve: at least 15 cm of paving that nothing lies on, and not along its edge.
std::vector<GroundStretch> find_paving(const Site& site, const std::vector<glm::dvec2>& line);

double line_length(const std::vector<glm::dvec2>& line);
glm::dvec2 point_along(const std::vector<glm::dvec2>& line, double along);
double nearest_along(const std::vector<glm::dvec2>& line, const glm::dvec2& point);
std::vector<glm::dvec2> line_between(const std::vector<glm::dvec2>& line, double from, double to);

/// JSON text of a "network" block in the given unit, to be put into a site file.
std::string print_network(const Network& network, LengthUnit unit);

} // namespace duskcast
