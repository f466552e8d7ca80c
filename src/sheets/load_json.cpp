#include <cmath>
#include <nlohmann/json.hpp>

#include "duskcast/base/json_object.hpp"

#include "duskcast/sheets/load_words.hpp"

namespace duskcast {
namespace {

using Json = nlohmann::ordered_json;

const char* name_of(CablePart part) {
    return part == CablePart::home ? "home" : part == CablePart::cable ? "cable" : "lead";
}

const char* name_of(Remedy remedy) {
    switch (remedy) {
    case Remedy::next_tap:
        return "next tap";
    case Remedy::centre_feed:
        return "centre feed";
    case Remedy::split_run:
        return "split run";
    case Remedy::larger_gauge:
        return "larger gauge";
    case Remedy::second_transformer:
        return "second transformer";
    }
    return "";
}

/// Null where the run has no operating point.
Json known(bool is_found, double value) {
    return is_found ? Json(value) : Json(nullptr);
}

Json make_points(const std::vector<glm::dvec2>& points) {
    Json list = Json::array();
    for (const glm::dvec2& point : points)
        list.push_back({point.x, point.y});
    return list;
}

Json make_fixtures(const LoadReport& report) {
    Json list = Json::array();
    for (const FixtureLoad& fixture : report.fixtures) {
        const RunLoad& run = report.runs[fixture.run];
        list.push_back(json_object({{"id", fixture.id},
                                    {"run", run.id},
                                    {"lamp", fixture.lamp},
                                    {"named_watts", fixture.named_watts},
                                    {"asked_watts", fixture.asked_watts},
                                    {"cable_m", fixture.distance},
                                    {"volts", known(run.is_found, fixture.volts)},
                                    {"amps", known(run.is_found, fixture.amps)},
                                    {"watts", known(run.is_found, fixture.watts)},
                                    {"volt_amperes", known(run.is_found, fixture.volt_amperes)},
                                    {"window_v", fixture.operating_volts},
                                    {"state", run.is_found ? Json(name_of(fixture.state)) : Json(nullptr)}}));
    }
    return list;
}

Json make_cables(const RunLoad& run) {
    Json list = Json::array();
    for (const CableLoad& cable : run.cables) {
        Json row = json_object({{"part", name_of(cable.part)},
                                {"gauge_awg", cable.gauge},
                                {"length_m", cable.length},
                                {"amps", known(run.is_found, cable.amps)},
                                {"drop_v", known(run.is_found, cable.drop)},
                                {"lost_w", known(run.is_found, cable.lost)},
                                {"end_v", known(run.is_found, cable.end_volts)},
                                {"course_m", make_points(cable.course)}});
        if (!cable.fixture.empty())
            row["fixture"] = cable.fixture;
        list.push_back(std::move(row));
    }
    return list;
}

Json make_runs(const LoadReport& report, bool with_cables) {
    Json list = Json::array();
    for (const RunLoad& run : report.runs) {
        Json row = json_object({{"id", run.id},
                                {"transformer", run.transformer},
                                {"secondary", run.secondary},
                                {"tap_v", run.tap},
                                {"gauge_awg", run.gauge},
                                {"layout", name_of(run.layout)},
                                {"fixtures", run.fixtures.size()},
                                {"operating_point", run.is_found},
                                {"residual_a", known(run.is_found, run.residual)},
                                {"bearable_share", run.bearable_share},
                                {"asked_watts", run.asked_watts},
                                {"asked_volt_amperes", run.asked_volt_amperes},
                                {"cable_m", run.cable_length},
                                {"leads_m", run.lead_length},
                                {"lead_gauge_awg", run.lead_gauge},
                                {"watts", known(run.is_found, run.watts)},
                                {"volt_amperes", known(run.is_found, run.volt_amperes)},
                                {"amps", known(run.is_found, run.amps)},
                                {"least_v", known(run.is_found, run.least_volts)},
                                {"drop_v", known(run.is_found, run.drop())},
                                {"lost_w", known(run.is_found, run.lost)},
                                {"trade_drop_v", run.trade_drop}});
        if (with_cables)
            row["cables"] = make_cables(run);
        list.push_back(std::move(row));
    }
    return list;
}

Json make_transformers(const LoadReport& report) {
    Json list = Json::array();
    for (const TransformerLoad& transformer : report.transformers)
        list.push_back(json_object({{"id", transformer.id},
                                    {"rating_va", transformer.rating},
                                    {"volt_amperes", transformer.volt_amperes},
                                    {"share", transformer.share()},
                                    {"customary_share", customary_share},
                                    {"secondary_amps", transformer.secondary_amps},
                                    {"secondary_limit_a", transformer.secondary_limit}}));
    return list;
}

Json make_trench(const TrenchPlan& plan) {
    Json sleeves = Json::array();
    for (const GroundStretch& sleeve : plan.sleeves)
        sleeves.push_back(json_object({{"under", sleeve.area}, {"length_m", sleeve.length}}));
    return json_object({{"length_m", plan.length}, {"sleeves", sleeves}});
}

} // namespace

std::string print_load_json(const Site& site, const LoadReport& report, const std::vector<Advice>& advice) {
    const bool is_iec = report.choice.wire.table == WireTable::iec;
    Json wire =
        json_object({{"table", is_iec ? "iec" : "nec"}, {"in_words", print_wire_choice(report.choice.wire)}});
    if (is_iec)
        wire["soil_celsius"] = report.choice.wire.soil_celsius;
    Json tried = Json::array();
    for (const Advice& one : advice)
        tried.push_back(json_object({{"remedy", name_of(one.remedy)},
                                     {"what", print_remedy(one, site.units)},
                                     {"helps", one.helps},
                                     {"enough", one.is_enough},
                                     {"lamps_in_window", count_good_lamps(one.report)},
                                     {"runs", make_runs(one.report, false)},
                                     {"transformers", make_transformers(one.report)}}));
    const Json json = json_object({{"site", site.name},
                                   {"units", name_of(site.units)},
                                   {"wire", wire},
                                   {"works", is_all_good(report)},
                                   {"lamps", report.fixtures.size()},
                                   {"lamps_in_window", count_good_lamps(report)},
                                   {"fixtures", make_fixtures(report)},
                                   {"runs", make_runs(report, true)},
                                   {"transformers", make_transformers(report)},
                                   {"trench", make_trench(measure_trench(site))},
                                   {"verdict", print_load_verdict(report, site.units)},
                                   {"advice", tried},
                                   {"cautions", print_load_cautions(site.units)}});
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace duskcast
