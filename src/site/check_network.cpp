// Transformers, hubs and runs of cable.

#include <algorithm>
#include <map>

#include "checker.hpp"
#include "names.hpp"
#include "network_messages.hpp"

namespace duskcast {
namespace {

constexpr double long_lead = 7.62; ///< 25 ft, the longest that fixtures are commonly sold with (no source)
constexpr double together = 1e-3;
constexpr double near_enough = 0.5; ///< metres; a lead may be that much longer than the shortest

std::vector<std::string> print_all(const std::vector<double>& figures) {
    std::vector<std::string> texts;
    for (const double figure : figures)
        texts.push_back(print_number(figure));
    return texts;
}

bool is_tap(const Transformer& transformer, double volts) {
    return std::find(transformer.taps.begin(), transformer.taps.end(), volts) != transformer.taps.end();
}

} // namespace

void Checker::check_transformer(const Transformer& transformer, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    check_id(network_ids, transformer.id, path);
    check_fields(*transformer_fields(), &transformer, path);
    if (transformer.taps.empty())
        error(at("taps"), messages::no_taps());
    if (std::adjacent_find(transformer.taps.begin(), transformer.taps.end(), std::greater_equal<>()) !=
        transformer.taps.end())
        error(at("taps"), messages::taps_not_rising());
    if (transformer.tap && !transformer.taps.empty() && !is_tap(transformer, *transformer.tap))
        error(at("tap"), messages::unknown_tap(print_number(*transformer.tap), transformer.id,
                                               print_all(transformer.taps)));
}

void Checker::check_gauge(const std::string& path, int gauge) {
    if (std::find(cable_gauges.begin(), cable_gauges.end(), gauge) == cable_gauges.end())
        error(path, messages::unknown_gauge(gauge, {cable_gauges.begin(), cable_gauges.end()}));
}

void Checker::check_tap(const CableRun& run, const std::string& path) {
    const Network& network = *site.network;
    const Transformer* transformer = find_transformer(network, run);
    if (transformer == nullptr) {
        const std::vector<std::string> known = ids_of(network.transformers);
        const std::string place = join_path(path, "transformer");
        if (!run.transformer.empty())
            error(place, messages::dangling("transformer", run.transformer, known));
        else if (!known.empty())
            error(place, messages::which_transformer(known));
        return;
    }
    if (run.tap && !transformer->taps.empty() && !is_tap(*transformer, *run.tap))
        return error(join_path(path, "tap"), messages::unknown_tap(print_number(*run.tap), transformer->id,
                                                                   print_all(transformer->taps)));
    if (transformer->secondaries > 0 && (run.secondary < 1 || run.secondary > transformer->secondaries))
        error(join_path(path, "secondary"),
              messages::unknown_secondary(run.secondary, transformer->id, transformer->secondaries));
    for (const std::string& id : run.fixtures)
        for (const Fixture& fixture : site.fixtures) {
            const Lamp* lamp = fixture.id == id ? find_lamp(site, fixture.lamp) : nullptr;
            if (lamp == nullptr || tap_of(*transformer, run) <= max_volts_of(*lamp))
                continue;
            return error(run.tap ? join_path(path, "tap") : path,
                         messages::tap_over_rating(print_number(tap_of(*transformer, run)), id, lamp->id,
                                                   print_number(max_volts_of(*lamp))));
        }
}

void Checker::check_course(const CableRun& run, const std::string& path) {
    const auto check_open = [&](const char* key, const std::vector<glm::dvec2>& line) {
        if (line.empty())
            return;
        const Transformer* transformer = find_transformer(*site.network, run);
        const bool closes = line.size() > 2 && glm::distance(line.front(), line.back()) < together;
        const bool returns =
            closes || (transformer != nullptr && glm::distance(transformer->at, line.back()) < together);
        if (returns && run.layout != RunLayout::loop)
            return error(join_path(join_path(path, key), line.size() - 1),
                         messages::loop_not_allowed(name_of(run.layout)));
        if (line.size() < 2)
            error(join_path(path, key), messages::too_few_points(2));
        for (std::size_t i = 0; i < line.size(); ++i) // cables may cross and come back in one trench
            if (check_point(join_path(join_path(path, key), i), line[i]) && i > 0 &&
                glm::distance(line[i - 1], line[i]) < together)
                error(join_path(join_path(path, key), i), messages::points_coincide());
    };
    check_open("path", run.path);
    check_open("home", run.home);
    if (run.layout == RunLayout::hub) {
        if (find_hub(*site.network, run.hub) == nullptr)
            error(join_path(path, "hub"), messages::dangling("hub", run.hub, ids_of(site.network->hubs)));
    }
    if (run.follow.empty())
        return;
    std::vector<std::string> edges = ids_of(site.walls);
    for (const std::vector<std::string>& more : {ids_of(site.ground.areas), ids_of(site.shrubs)})
        edges.insert(edges.end(), more.begin(), more.end());
    if (std::find(edges.begin(), edges.end(), run.follow) == edges.end())
        error(join_path(path, "follow"), messages::dangling("wall, ground area or shrub", run.follow, edges));
}

void Checker::check_run(const CableRun& run, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    check_id(runs, run.id, path);
    check_tap(run, path);
    check_gauge(at("gauge"), run.gauge);
    check_gauge(at("lead_gauge"), run.lead_gauge);
    check_fields(*cable_run_fields(), &run, path);
    check_course(run, path);
    if (run.fixtures.empty())
        error(at("fixtures"), messages::feeds_nothing());
}

/// Each fixture on one run.
void Checker::check_feeds() {
    const std::vector<CableRun>& list = site.network->runs;
    const std::vector<std::string> known = ids_of(site.fixtures);
    std::map<std::string, std::size_t> fed; ///< fixture -> its run
    bool is_whole = true;
    for (std::size_t i = 0; i < list.size(); ++i) {
        const std::string path = join_path("network.runs", i);
        is_whole = is_whole && !list[i].fixtures.empty();
        for (std::size_t j = 0; j < list[i].fixtures.size(); ++j) {
            const std::string& id = list[i].fixtures[j];
            const std::string place = join_path(join_path(path, "fixtures"), j);
            if (std::find(known.begin(), known.end(), id) == known.end()) {
                error(place, messages::dangling("fixture", id, known));
                is_whole = false; // its right name is on no run either
            } else if (const auto [entry, is_new] = fed.emplace(id, i); !is_new) {
                error(place, entry->second == i ? messages::twice_on_run(id)
                                                : messages::on_two_runs(id, list[entry->second].id));
            }
        }
    }
    for (std::size_t i = 0; i < site.fixtures.size() && is_whole; ++i)
        if (!fed.contains(site.fixtures[i].id))
            error(join_path("fixtures", i), messages::on_no_run(site.fixtures[i].id));
}

/// What needs the cable laid.
void Checker::check_laid_run(const CableRun& run, const std::string& path) {
    const CableCourse course = lay_cable(site, run);
    if (line_length(course.cable) + line_length(course.home) < together)
        return error(path, messages::no_length());
    if (!run.path.empty() && run.layout != RunLayout::hub)
        for (std::size_t i = 1; i < course.taps.size(); ++i) {
            const double nearest = nearest_along(course.cable, course.lights[i]);
            const double missed = glm::distance(course.joints[i], course.lights[i]) -
                                  glm::distance(point_along(course.cable, nearest), course.lights[i]);
            if (missed > near_enough)
                return error(join_path(join_path(path, "fixtures"), i),
                             messages::against_the_path(run.fixtures[i], run.fixtures[i - 1], shown(nearest),
                                                        shown(course.taps[i - 1])));
        }
    if (run.layout == RunLayout::hub)
        return;
    for (std::size_t i = 0; i < course.taps.size(); ++i)
        if (const double away = glm::distance(course.joints[i], course.lights[i]); away > long_lead)
            warn(join_path(join_path(path, "fixtures"), i),
                 messages::far_from_cable(run.fixtures[i], shown(away)));
}

void Checker::check_network() {
    if (!site.network)
        return;
    const Network& network = *site.network;
    if (network.transformers.empty())
        error("network.transformers", messages::no_transformer());
    if (network.runs.empty())
        error("network.runs", messages::no_runs());
    for (std::size_t i = 0; i < network.transformers.size(); ++i)
        check_transformer(network.transformers[i], join_path("network.transformers", i));
    for (std::size_t i = 0; i < network.hubs.size(); ++i) {
        const std::string path = join_path("network.hubs", i);
        check_id(network_ids, network.hubs[i].id, path);
        check_fields(*hub_fields(), &network.hubs[i], path);
    }
    for (std::size_t i = 0; i < network.runs.size(); ++i)
        check_run(network.runs[i], join_path("network.runs", i));
    if (!network.runs.empty())
        check_feeds();
    for (std::size_t i = 0; i < network.runs.size() && !has_errors(); ++i)
        check_laid_run(network.runs[i], join_path("network.runs", i));
}

} // namespace duskcast
