#include "run_circuit.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

constexpr double together = 1e-3; ///< metres; joints nearer than that are one

class Builder {
public:
    Builder(const CableRun& run, const Ground& ground, const WireChoice& wire, RunCircuit& made)
        : run_(run), ground_(ground), wire_(wire), made_(made) {}

    std::size_t add_node() { return made_.circuit.nodes++; }

    void add_cable(std::size_t from, std::size_t to, CablePart part, int gauge,
                   std::vector<glm::dvec2> course, double length) {
        made_.circuit.cables.push_back({from, to, 2 * length * wire_resistance(gauge, wire_)}); // and back
        made_.cables.push_back({.part = part,
                                .from = from,
                                .to = to,
                                .fixture = "",
                                .gauge = gauge,
                                .course = std::move(course),
                                .length = length});
    }

    /// With its slack.
    double length_of(const std::vector<glm::dvec2>& course) const {
        return cable_length_of(ground_, course) * (1 + run_.slack);
    }

    /// A stretch of the run's own cable; the node at its end.
    std::size_t lead_to(std::size_t from, CablePart part, std::vector<glm::dvec2> course) {
        const double length = length_of(course);
        if (length < together)
            return from;
        const std::size_t node = add_node();
        add_cable(from, node, part, run_.gauge, std::move(course), length);
        return node;
    }

    void add_lamp(std::size_t joint, const std::string& fixture, const glm::dvec2& start,
                  const glm::dvec2& light, double height) {
        const double length = length_of({start, light}) + std::max(0.0, height) + run_.lead;
        std::size_t node = joint;
        if (length >= together) {
            node = add_node();
            add_cable(joint, node, CablePart::lead, run_.lead_gauge, {start, light}, length);
            made_.cables.back().fixture = fixture;
        }
        made_.lamps.push_back(node);
    }

private:
    const CableRun& run_;
    const Ground& ground_;
    const WireChoice& wire_;
    RunCircuit& made_;
};

/// Nodes of the places along the cable, each with the stretch that leads to it from the one before.
struct Joint {
    double along = 0;
    std::size_t node = 0;
};

std::size_t node_at(const std::vector<Joint>& joints, double along) {
    const auto nearest = std::min_element(joints.begin(), joints.end(), [&](const Joint& a, const Joint& b) {
        return std::abs(a.along - along) < std::abs(b.along - along);
    });
    return nearest->node;
}

/// From the feed outwards both ways.
std::vector<Joint> lay_joints(Builder& builder, const CableRun& run, const CableCourse& course,
                              std::size_t feed_node) {
    const double whole = line_length(course.cable);
    std::vector<double> places = course.taps;
    places.push_back(course.feed);
    if (run.layout != RunLayout::centre_fed)
        places.push_back(whole); // what lies beyond the last fixture is bought too
    std::sort(places.begin(), places.end());
    places.erase(std::unique(places.begin(), places.end(),
                             [](double a, double b) { return std::abs(a - b) < together; }),
                 places.end());
    std::vector<Joint> joints{{course.feed, feed_node}};
    const auto walk = [&](auto begin, auto end) {
        Joint here = joints.front();
        for (auto place = begin; place != end; ++place) {
            const bool is_back = run.layout == RunLayout::loop && *place >= whole - together;
            std::vector<glm::dvec2> stretch = line_between(course.cable, here.along, *place);
            if (is_back) {
                const double length = builder.length_of(stretch);
                if (length >= together)
                    builder.add_cable(here.node, 0, CablePart::cable, run.gauge, std::move(stretch), length);
                here = {*place, 0};
            } else {
                here = {*place, builder.lead_to(here.node, CablePart::cable, std::move(stretch))};
            }
            joints.push_back(here);
        }
    };
    const auto beyond = std::upper_bound(places.begin(), places.end(), course.feed + together);
    walk(beyond, places.end());
    const auto before = std::lower_bound(places.begin(), places.end(), course.feed - together);
    walk(std::make_reverse_iterator(before), places.rend());
    return joints;
}

} // namespace

double cable_length_of(const Ground& ground, const std::vector<glm::dvec2>& line) {
    const GroundWay way = measure_way(ground, line);
    return way.length + way.climb;
}

RunCircuit make_run_circuit(const CableRun& run, const CableCourse& course, const Ground& ground,
                            double volts, const WireChoice& wire, const std::vector<double>& lens_heights) {
    RunCircuit made;
    made.circuit.volts = volts;
    Builder builder(run, ground, wire, made);
    const std::size_t feed = builder.lead_to(0, CablePart::home, course.home);
    std::vector<Joint> joints{{0, feed}};
    if (!course.cable.empty())
        joints = lay_joints(builder, run, course, feed);
    for (std::size_t i = 0; i < run.fixtures.size(); ++i)
        builder.add_lamp(node_at(joints, course.taps[i]), run.fixtures[i], course.joints[i], course.lights[i],
                         lens_heights[i]);
    return made;
}

} // namespace duskcast
