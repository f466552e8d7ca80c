// Light, what gives it, and what it comes to.

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "answers.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/sheets/fixture_words.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/stray_words.hpp"
#include "duskcast/sheets/summary.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"
#include "duskcast/study/figures.hpp"

namespace duskcast {
namespace {

Json print_reaches(const std::vector<Reach>& reaches, LengthUnit unit) {
    Json list = Json::array();
    for (const Reach& reach : reaches)
        list.push_back(json_object({{"level_lx", reach.level_lx},
                                    {"height", number(reach.height)},
                                    {"top", reach.wall_height},
                                    {"is_to_top", reach.is_to_top},
                                    {"words", print_carry(reach, unit)}}));
    return list;
}

/// Where in the site file the fixture is; empty: the variant adds it.
std::string find_pointer(const Site& written, const std::string& id) {
    for (std::size_t i = 0; i < written.fixtures.size(); ++i)
        if (written.fixtures[i].id == id)
            return fmt::format("/fixtures/{}", i);
    return {};
}

/// What is said of the fixture in the warnings of the file.
Json list_advice(const SiteFile& file, const std::string& pointer) {
    Json advice = Json::array();
    for (const Problem& problem : file.warnings) {
        const std::string at = pointer_of(problem.place.path);
        if (!pointer.empty() && (at == pointer || at.starts_with(pointer + "/")))
            advice.push_back(problem.remedy.empty() ? problem.what : problem.what + "; " + problem.remedy);
    }
    return advice;
}

Json print_fixture(const Session& session, std::size_t index) {
    const Site& site = session.site();
    const Fixture& fixture = site.fixtures[index];
    const LitFixture& lit = session.lighting().fixtures[index];
    const Lamp* lamp = find_lamp(site, fixture.lamp);
    const PlacedFixture placed = place_fixture(site, fixture);
    const std::optional<double> setback = fixture.at ? std::nullopt : std::optional(setback_of(fixture));
    const FixtureText text = describe_fixture(site, fixture, setback, fixture.lens_height);
    const std::string pointer = find_pointer(session.file().site, fixture.id);
    Json answer = json_object(
        {{"id", fixture.id},
         {"pointer", pointer},
         {"kind", name_of(fixture.kind)},
         {"mount", name_of(fixture.mount)},
         {"model", fixture.model},
         {"lamp", fixture.lamp},
         {"lamp_name", lamp && !lamp->name.empty() ? lamp->name : fixture.lamp},
         {"wall", fixture.wall},
         {"tree", fixture.tree},
         {"along", fixture.wall.empty() ? Json(nullptr) : Json(fixture.along)},
         {"bearing", fixture.tree.empty() ? Json(nullptr) : Json(fixture.bearing)},
         {"setback", number(setback)},
         {"position", point(placed.position)},
         {"direction", point(beam_axis(placed.aim))},
         {"tilt", placed.aim.tilt},
         {"azimuth", placed.aim.azimuth},
         {"lens_height", fixture.lens_height},
         {"dimming", fixture.dimming},
         {"lens_diameter", lit.lens.diameter},
         {"lumens", lit.lumens},
         {"watts", lit.watts},
         {"beam_angle", lamp && lamp->file.empty() ? Json(lamp->figures.beam_angle) : Json(nullptr)},
         {"cct", lamp ? lamp->cct : 0},
         {"colour", point(lit.colour)},
         {"line", nullptr},
         {"reach", Json::array()},
         {"words", text.placed},
         {"lamp_words", text.lamp},
         {"advice", list_advice(session.file(), pointer)}});
    const Stage& stage = session.stage();
    const std::optional<AimLine> line = has_line(fixture) ? find_aim_line(stage, lit) : std::nullopt;
    if (!line)
        return answer;
    const Surface& surface = stage.surfaces[static_cast<std::size_t>(line->surface)];
    const std::vector<float>& layer = session.layer(index);
    const LuxAt lux = [&](std::uint32_t sensor) { return static_cast<double>(layer[sensor]); };
    const std::vector<double> levels_lx = join_levels({}, site);
    const std::vector<Reach> reaches = measure_line_reach(site, surface, lux, line->along, levels_lx);
    answer["line"] = json_object({{"surface", line->surface}, {"along", line->along}});
    answer["reach"] = print_reaches(reaches, site.units);
    const double level = find_main_level(site, levels_lx, surface.id);
    for (const Reach& reach : reaches)
        if (reach.level_lx == level && fixture.dimming > 0)
            answer["words"] = text.placed + ", " + print_carry(reach, site.units);
    answer["level_lx"] = level;
    return answer;
}

constexpr double dark_lx = 1e-6; // less light has no colour that could be shown

/// Linear sRGB of luminance 1 of the light on each sensor, three a sensor: direct light in the colours of its
/// lamps, light that bounces and what glows in the mean of all lamps. Empty where the lamps are of one
/// colour.
std::vector<float> find_tints(const Session& session) {
    const Lighting& lighting = session.lighting();
    const std::vector<LitFixture>& fixtures = lighting.fixtures;
    const bool is_even = std::all_of(fixtures.begin(), fixtures.end(), [&](const LitFixture& fixture) {
        return fixture.colour == fixtures.front().colour;
    });
    if (is_even)
        return {};
    glm::dvec3 mean(0);
    double lumens = 0;
    for (const LitFixture& fixture : fixtures) {
        mean += fixture.scale * fixture.lumens * fixture.colour;
        lumens += fixture.scale * fixture.lumens;
    }
    mean = lumens > 0 ? mean / lumens : glm::dvec3(1);
    const std::size_t count = lighting.direct_lx.size();
    std::vector<float> tints(3 * count, 0);
    for (std::size_t f = 0; f < fixtures.size(); ++f) {
        const std::vector<float>& layer = session.layer(f);
        const glm::vec3 apart(fixtures[f].colour - mean);
        for (std::size_t i = 0; i < count; ++i)
            if (layer[i] > 0)
                for (std::size_t channel = 0; channel < 3; ++channel)
                    tints[3 * i + channel] += layer[i] * apart[static_cast<glm::length_t>(channel)];
    }
    for (std::size_t i = 0; i < count; ++i) {
        const double lux = lighting.direct_lx[i] + (session.is_settled() ? lighting.bounced_lx[i] : 0);
        for (std::size_t channel = 0; channel < 3; ++channel)
            tints[3 * i + channel] =
                static_cast<float>((lux > dark_lx ? static_cast<double>(tints[3 * i + channel]) / lux : 0) +
                                   mean[static_cast<glm::length_t>(channel)]);
    }
    return tints;
}

} // namespace

Json answer_light(const Session& session, AnswerMaker& maker) {
    const Lighting& lighting = session.lighting();
    std::vector<float> direct(lighting.direct_lx.begin(), lighting.direct_lx.end());
    std::vector<float> total;
    if (session.is_settled())
        for (std::size_t i = 0; i < direct.size(); ++i)
            total.push_back(static_cast<float>(lighting.direct_lx[i] + lighting.bounced_lx[i]));
    return json_object({{"direct", maker.add(std::move(direct))},
                        {"total", maker.add(std::move(total))},
                        {"tint", maker.add(find_tints(session))}});
}

Json answer_fixtures(const Session& session) {
    Json list = Json::array();
    for (std::size_t i = 0; i < session.site().fixtures.size(); ++i)
        list.push_back(print_fixture(session, i));
    return list;
}

Json answer_report(Session& session, const Progress& progress) {
    const Report& report = session.measure(progress);
    const Site& site = session.site();
    const Lighting& lighting = session.lighting();
    const Figures figures = figures_of(site, report, lighting);
    Json sentences = Json::array();
    for (const Sentence& sentence : print_answers(site, report))
        sentences.push_back(json_object({{"text", sentence.text},
                                         {"fixture", sentence.fixture},
                                         {"surface", sentence.surface},
                                         {"target", sentence.target},
                                         {"tree", sentence.tree}}));
    Json targets = Json::array();
    for (const TargetReport& target : report.targets)
        targets.push_back(json_object({{"id", target.id},
                                       {"on", target.on},
                                       {"level_lx", target.level_lx},
                                       {"wanted_share", target.wanted_share},
                                       {"share", target.share},
                                       {"mean_lx", target.stats.mean_lx},
                                       {"is_reached", target.is_reached}}));
    Json reaches = Json::array();
    for (const FixtureReach& reach : report.reaches)
        reaches.push_back(json_object({{"fixture", reach.fixture},
                                       {"surface", reach.surface},
                                       {"along", reach.along},
                                       {"levels", print_reaches(reach.levels, site.units)},
                                       {"together", print_reaches(reach.together, site.units)}}));
    Json trees = Json::array();
    for (const TreeReport& tree : report.trees)
        trees.push_back(json_object({{"tree", tree.tree},
                                     {"from", name_of(tree.from)},
                                     {"lit_to", print_reaches(tree.lit_to, site.units)}}));
    return json_object({{"sentences", std::move(sentences)},
                        {"table", print_surface_table(site, session.stage(), report)},
                        {"light_loss", print_light_loss(lighting.fixtures)},
                        {"stray", report.stray ? Json(print_stray(site, *report.stray)) : Json::array()},
                        {"season", print_season(report.season)},
                        {"targets", std::move(targets)},
                        {"reaches", std::move(reaches)},
                        {"trees", std::move(trees)},
                        {"spill", json_object({{"emitted_lm", report.spill.emitted_lm},
                                               {"target_lm", report.spill.target_lm},
                                               {"other_lm", report.spill.other_lm},
                                               {"ground_lm", report.spill.ground_lm},
                                               {"sky_lm", report.spill.sky_lm}})},
                        {"watts", figures.watts},
                        {"price", number(figures.price)},
                        {"summary", print_summary(session.file(), session.stage(), lighting, report)}});
}

Json answer_probe(const Session& session, const Json& question) {
    const auto read = [&](const char* key) {
        const auto values = question.at(key).get<std::array<double, 3>>();
        return glm::dvec3(values[0], values[1], values[2]);
    };
    const Site& site = session.site();
    glm::vec3 normal, position;
    if (const auto ground = value_of<std::vector<double>>(question, "ground", {}); ground.size() == 2) {
        constexpr double above = 0.001; // metres
        const glm::dvec2 at(ground[0], ground[1]);
        const GroundPlane plane = ground_plane_at(site.ground, at);
        normal = plane.normal();
        position = glm::dvec3(at, plane.height_at(at)) + above * plane.normal();
    } else {
        const glm::dvec3 out = read("normal");
        if (!(glm::length(out) > 0 && std::isfinite(glm::length(out))))
            refuse("a face is asked about that looks nowhere", "give a normal with a length");
        normal = glm::normalize(out);
        position = read("position");
    }
    constexpr float farthest = 1e4f; // metres
    if (!(glm::length(position) < farthest))
        refuse("a place is asked about that is too far away", "give one of the property, in metres");
    Sensors spot;
    spot.add(position, normal, 1);
    const Lighting& lighting = session.lighting();
    std::vector<Json> by_fixture;
    double direct_lx = 0;
    for (const LitFixture& fixture : lighting.fixtures) {
        const Sight sight = trace_sight(session.stage(), spot, 1, fixture.lens, Shadows::fine);
        std::vector<float> lux(1);
        evaluate_layer(sight, spot, fixture.aim, fixture.table, fixture.scale, lux);
        direct_lx += static_cast<double>(lux[0]);
        if (lux[0] > 0)
            by_fixture.push_back(json_object(
                {{"fixture", fixture.id}, {"lx", lux[0]}, {"words", print_illuminance(lux[0], site.light)}}));
    }
    for (const double lux : glow_on_sensors(session.stage(), spot))
        direct_lx += lux;
    sort_stably(by_fixture,
                [](const Json& a, const Json& b) { return a["lx"].get<double>() > b["lx"].get<double>(); });
    Json answer = json_object({{"direct_lx", direct_lx},
                               {"bounced_lx", nullptr},
                               {"by_fixture", std::move(by_fixture)},
                               {"words", print_illuminance(direct_lx, site.light)}});
    if (session.is_settled()) {
        // The facet that the spot lies on, from just above it.
        constexpr float above = 0.02f;
        const Hit hit = session.stage().kernel->find_hit(position + above * normal, -normal, 0, 2 * above);
        if (hit) {
            const glm::dvec3 bounced = lighting.bounced_at(hit, position, normal);
            const double bounced_lx = luminance_of(bounced);
            answer["bounced_lx"] = bounced_lx;
            answer["words"] = print_illuminance(direct_lx + bounced_lx, site.light);
        }
    }
    return answer;
}

} // namespace duskcast
