#include "duskcast/site/network.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/problem.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/site.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

constexpr double apart = 1e-6; ///< metres; nearer points are one

using Line = std::vector<glm::dvec2>;

void add_point(Line& line, const glm::dvec2& point) {
    if (line.empty() || glm::distance(line.back(), point) > apart)
        line.push_back(point);
}

void add_line(Line& line, const Line& more) {
    for (const glm::dvec2& point : more)
        add_point(line, point);
}

[[noreturn]] void refuse_run(const std::string& what) {
    throw InputError(Problem{.what = what, .remedy = "check the run"});
}

struct Edge {
    Line line;
    bool is_ring = false;
};

/// The edge that a run follows.
Edge find_edge(const Site& site, const std::string& id) {
    Edge edge;
    if (const Wall* wall = find_wall(site, id))
        edge = {wall->path, wall->closed};
    for (const GroundArea& area : site.ground.areas)
        if (area.id == id)
            edge = {area.outline, true};
    for (const Shrub& shrub : site.shrubs)
        if (shrub.id == id)
            edge = shrub.outline.empty() ? Edge{shrub.path, false} : Edge{shrub.outline, true};
    if (edge.line.size() < 2)
        refuse_run("there is no wall, ground area or shrub \"" + id + "\" to follow");
    if (edge.is_ring)
        edge.line.push_back(edge.line.front());
    return edge;
}

/// From one place on the edge to another, round a ring by the shorter way.
Line walk_edge(const Edge& edge, double from, double to) {
    const double whole = line_length(edge.line), direct = std::abs(to - from);
    if (!edge.is_ring || direct <= whole / 2)
        return line_between(edge.line, from, to);
    const bool is_up = from > to; // over the ring's seam
    Line line = line_between(edge.line, from, is_up ? whole : 0);
    add_line(line, line_between(edge.line, is_up ? 0 : whole, to));
    return line;
}

glm::dvec2 place_of(const Site& site, const std::string& id) {
    for (const Fixture& fixture : site.fixtures)
        if (fixture.id == id)
            return glm::dvec2(place_fixture(site, fixture).position);
    refuse_run("there is no fixture \"" + id + "\"");
}

/// The cable past all fixtures, from `start` if there is one.
void lay_past_fixtures(const Site& site, const CableRun& run, const std::optional<glm::dvec2>& start,
                       CableCourse& course) {
    Line& cable = course.cable;
    if (start)
        cable.push_back(*start);
    if (!run.path.empty()) {
        add_line(cable, run.path);
        // A cable may come back along its own trench: each lead joins at or after the one before.
        const double whole = line_length(cable);
        double at = 0;
        for (const glm::dvec2& light : course.lights) {
            at += nearest_along(line_between(cable, at, whole), light);
            course.taps.push_back(at);
        }
        return;
    }
    if (run.follow.empty()) {
        for (const glm::dvec2& light : course.lights) {
            add_point(cable, light);
            course.taps.push_back(line_length(cable));
        }
        return;
    }
    const Edge edge = find_edge(site, run.follow);
    double at = start ? nearest_along(edge.line, *start) : nearest_along(edge.line, course.lights.front());
    add_point(cable, point_along(edge.line, at));
    for (const glm::dvec2& light : course.lights) {
        const double next = nearest_along(edge.line, light);
        add_line(cable, walk_edge(edge, at, next));
        course.taps.push_back(line_length(cable));
        at = next;
    }
}

/// Feeds a cable laid from the transformer, or the cable of its own path, at its middle.
void feed_at_centre(const CableRun& run, const glm::dvec2& source, bool is_from_source, CableCourse& course) {
    const Line whole = course.cable;
    const auto [first, last] = std::minmax_element(course.taps.begin(), course.taps.end());
    double from = *first, to = *last;
    double feed = (from + to) / 2;
    if (!run.home.empty())
        feed = nearest_along(whole, run.home.back());
    if (!run.home.empty() || !is_from_source) {
        add_point(course.home, source);
        add_line(course.home, run.home);
        add_point(course.home, point_along(whole, feed));
    } else {
        course.home = line_between(whole, 0, feed);
    }
    from = std::min(from, feed);
    to = std::max(to, feed);
    course.cable = line_between(whole, from, to);
    course.feed = feed - from;
    for (double& tap : course.taps)
        tap -= from;
}

} // namespace

std::string name_of(RunLayout layout) {
    return name_of(run_layout_names, layout);
}

const Transformer* find_transformer(const Network& network, const CableRun& run) {
    if (run.transformer.empty())
        return network.transformers.size() == 1 ? &network.transformers.front() : nullptr;
    for (const Transformer& transformer : network.transformers)
        if (transformer.id == run.transformer)
            return &transformer;
    return nullptr;
}

const Hub* find_hub(const Network& network, const std::string& id) {
    for (const Hub& hub : network.hubs)
        if (hub.id == id)
            return &hub;
    return nullptr;
}

double tap_of(const Transformer& transformer, const CableRun& run) {
    const double lowest = transformer.taps.empty() ? 12 : transformer.taps.front();
    return run.tap.value_or(transformer.tap.value_or(lowest));
}

double line_length(const std::vector<glm::dvec2>& line) {
    double length = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i)
        length += glm::distance(line[i], line[i + 1]);
    return length;
}

glm::dvec2 point_along(const std::vector<glm::dvec2>& line, double along) {
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const double length = glm::distance(line[i], line[i + 1]);
        if (along <= length && length > 0)
            return glm::mix(line[i], line[i + 1], std::max(0.0, along) / length);
        along -= length;
    }
    return line.empty() ? glm::dvec2(0) : line.back();
}

double nearest_along(const std::vector<glm::dvec2>& line, const glm::dvec2& point) {
    double best = 0, least = HUGE_VAL, passed = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const glm::dvec2 way = line[i + 1] - line[i];
        const double length = glm::length(way);
        const double share =
            length > 0 ? std::clamp(glm::dot(point - line[i], way) / (length * length), 0.0, 1.0) : 0;
        const double distance = glm::distance(point, line[i] + share * way);
        if (distance < least - apart) {
            least = distance;
            best = passed + share * length;
        }
        passed += length;
    }
    return best;
}

std::vector<glm::dvec2> line_between(const std::vector<glm::dvec2>& line, double from, double to) {
    const double low = std::min(from, to), high = std::max(from, to);
    Line part{point_along(line, low)};
    double passed = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        passed += glm::distance(line[i], line[i + 1]);
        if (passed > low && passed < high)
            add_point(part, line[i + 1]);
    }
    add_point(part, point_along(line, high));
    if (from > to)
        std::reverse(part.begin(), part.end());
    return part;
}

CableCourse lay_cable(const Site& site, const CableRun& run) {
    const Network& network = site.network.value();
    const Transformer* transformer = find_transformer(network, run);
    if (transformer == nullptr || run.fixtures.empty())
        refuse_run("run \"" + run.id + "\" leads nowhere");
    CableCourse course;
    for (const std::string& id : run.fixtures)
        course.lights.push_back(place_of(site, id));
    if (run.layout == RunLayout::hub) {
        const Hub* hub = find_hub(network, run.hub);
        if (hub == nullptr)
            refuse_run("there is no hub \"" + run.hub + "\"");
        add_point(course.home, transformer->at);
        add_line(course.home, run.path);
        add_point(course.home, hub->at);
        course.taps.assign(run.fixtures.size(), 0);
        course.joints.assign(run.fixtures.size(), hub->at);
        return course;
    }
    // A centre-fed cable of its own course begins at its first fixture.
    const bool is_own = run.layout == RunLayout::centre_fed &&
                        (!run.home.empty() || (run.path.empty() && run.follow.empty()));
    lay_past_fixtures(site, run, is_own ? std::nullopt : std::optional(transformer->at), course);
    if (run.layout == RunLayout::loop)
        add_point(course.cable, transformer->at);
    if (run.layout == RunLayout::centre_fed)
        feed_at_centre(run, transformer->at, !is_own, course);
    for (const double tap : course.taps)
        course.joints.push_back(point_along(course.cable, tap));
    return course;
}

} // namespace duskcast
