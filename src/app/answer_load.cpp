// Volts, runs, remedies and the price.

#include <cmath>
#include <fmt/format.h>
#include <utility>

#include "answers.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/cost/energy.hpp"
#include "duskcast/cost/take_off.hpp"
#include "duskcast/power/route.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/sheets/take_off_words.hpp"
#include "duskcast/study/figures.hpp"

namespace duskcast {
namespace {

/// Whether the lamps of a fixture's run have volts at all.
bool has_volts(const LoadReport& report, const FixtureLoad& fixture) {
    return report.runs[fixture.run].is_found;
}

Json print_fixtures(const LoadReport& report) {
    Json list = Json::array();
    for (const FixtureLoad& fixture : report.fixtures) {
        const bool is_fed = has_volts(report, fixture);
        const auto fed = [&](double value) { return is_fed ? number(value) : Json(nullptr); };
        list.push_back(json_object(
            {{"id", fixture.id},
             {"run", report.runs[fixture.run].id},
             {"volts", fed(fixture.volts)},
             {"amps", fed(fixture.amps)},
             {"watts", fed(fixture.watts)},
             {"state", is_fed ? name_of(fixture.state) : "none"},
             {"operating_volts", Json::array({fixture.operating_volts[0], fixture.operating_volts[1]})},
             {"at", point(fixture.light)},
             {"words", is_fed ? fmt::format("{:.2f} V", fixture.volts) : std::string()}}));
    }
    return list;
}

const char* name_of(CablePart part) {
    return part == CablePart::home ? "home" : part == CablePart::cable ? "cable" : "lead";
}

Json print_runs(const LoadReport& report) {
    Json list = Json::array();
    for (const RunLoad& run : report.runs) {
        Json cables = Json::array();
        for (const CableLoad& cable : run.cables)
            cables.push_back(
                json_object({{"part", name_of(cable.part)},
                             {"fixture", cable.fixture},
                             {"course", points(cable.course)},
                             {"gauge", cable.gauge},
                             {"length", cable.length},
                             {"end_volts", run.is_found ? number(cable.end_volts) : Json(nullptr)}}));
        list.push_back(json_object({{"id", run.id},
                                    {"transformer", run.transformer},
                                    {"tap", run.tap},
                                    {"gauge", run.gauge},
                                    {"is_found", run.is_found},
                                    {"is_good", is_run_good(report, run)},
                                    {"watts", run.is_found ? run.watts : run.asked_watts},
                                    {"amps", run.is_found ? number(run.amps) : Json(nullptr)},
                                    {"least_volts", run.is_found ? number(run.least_volts) : Json(nullptr)},
                                    {"most_volts", run.is_found ? number(run.most_volts) : Json(nullptr)},
                                    {"length", run.cable_length},
                                    {"cables", std::move(cables)}}));
    }
    return list;
}

Json print_transformers(const LoadReport& report) {
    Json list = Json::array();
    for (const TransformerLoad& transformer : report.transformers)
        list.push_back(json_object({{"id", transformer.id},
                                    {"at", point(transformer.at)},
                                    {"rating", transformer.rating},
                                    {"volt_amperes", transformer.volt_amperes},
                                    {"is_good", is_transformer_good(transformer)}}));
    return list;
}

std::string with_currency(const std::string& sum, const std::string& currency) {
    return currency.empty() ? sum : sum + " " + currency;
}

/// What the site costs by the list, or by the prices of its catalogue where there is no list; and whether
/// that is all of it.
std::pair<std::string, bool> print_price(const Site& site, const std::filesystem::path& folder,
                                         const std::optional<PriceList>& prices) {
    if (!prices) {
        const std::optional<double> price = measure_price(site);
        if (!price || site.fixtures.empty())
            return {"", false};
        return {with_currency(print_cents(std::llround(100 * *price)), site.catalogue.currency), true};
    }
    const TakeOff take_off = make_take_off(
        site.network ? find_quantities(site, measure_load(site, folder, {})) : find_quantities(site),
        *prices);
    return {with_currency(print_cents(take_off.sum), prices->currency), take_off.is_complete()};
}

/// Watts and price of the site as it is drawn or as one of its variants has it.
Json print_bill(const Session& session, const std::string& id, const Site& site,
                const std::optional<PriceList>& prices) {
    double watts = 0;
    for (const LitFixture& fixture : make_fixtures(site, session.folder()))
        watts += fixture.watts;
    const auto [price, is_whole] = print_price(site, session.folder(), prices);
    return json_object({{"id", id},
                        {"watts", watts},
                        {"watt_words", print_number(std::round(10 * watts) / 10) + " W"},
                        {"price_words", price},
                        {"is_price_whole", is_whole}});
}

void add_bill(const Session& session, const Site& site, const std::optional<LoadReport>& report,
              const Json& question, Json& answer) {
    const std::optional<PriceList> prices = read_prices(session, question);
    if (!prices)
        return;
    TakeOffQuantities quantities = report ? find_quantities(site, *report) : find_quantities(site);
    quantities.hours = value_of(question, "labour_hours", 0.0);
    const TakeOff take_off = make_take_off(quantities, *prices);
    answer["take_off"] = print_take_off(take_off, site.units);
    answer["take_off_csv"] = print_take_off_csv(take_off, site.units);
    if (const std::optional<Cents> total = take_off.total())
        answer["total_words"] = with_currency(print_cents(*total), prices->currency);
    if (!report)
        return;
    const EnergyUse use{measure_drawn_watts(*report), value_of(question, "hours_a_night", 5.0),
                        value_of(question, "nights", 365.0)};
    answer["energy"] = print_yearly_energy(find_yearly_energy(use, prices->energy_price), prices->currency);
}

} // namespace

std::optional<PriceList> read_prices(const Session& session, const Json& question) {
    const std::string file = value_of<std::string>(question, "prices", "");
    if (file.empty())
        return std::nullopt;
    const auto text = question.find("prices_text");
    if (text != question.end() && text->is_string())
        return read_price_list(text->get_ref<const std::string&>(), path_in({}, file));
    return read_price_list_file(path_in(session.folder(), file));
}

Json answer_bills(const Session& session, const Json& question) {
    const Site& written = session.file().site;
    const std::optional<PriceList> prices = read_prices(session, question);
    Json bills = Json::array({print_bill(session, "", written, prices)});
    for (const Variant& variant : written.variants)
        bills.push_back(
            print_bill(session, variant.id, make_variant(written, variant, session.folder()), prices));
    return json_object({{"bills", std::move(bills)}});
}

Json answer_load(const Session& session, const Json& question) {
    Site site = session.site();
    Json answer = json_object({{"problems", Json::array()},
                               {"figures", nullptr},
                               {"table", Json::array()},
                               {"verdict", Json::array()},
                               {"advice", Json::array()},
                               {"cautions", print_load_cautions(site.units)},
                               {"take_off", Json::array()},
                               {"take_off_csv", ""},
                               {"total_words", ""},
                               {"energy", ""},
                               {"network", ""}});
    std::vector<Problem> problems;
    std::optional<LoadReport> report;
    // Without a network there is a price all the same, and without prices there are volts.
    const auto attempt = [&](const auto& part) {
        try {
            part();
        } catch (const InputError& error) {
            const std::vector<Problem> found = session.file().locate(error.problems());
            problems.insert(problems.end(), found.begin(), found.end());
        }
    };
    attempt([&] {
        if (value_of(question, "route", false)) {
            site.network = propose_network(site, session.folder(), {});
            answer["network"] = print_network(*site.network, site.units);
        }
        report = measure_load(site, session.folder(), {});
        for (const Problem& crossing : session.file().locate(
                 make_crossing_warnings(find_crossings(site, *report), *report, site.units)))
            problems.push_back(crossing);
        answer["figures"] = json_object({{"fixtures", print_fixtures(*report)},
                                         {"runs", print_runs(*report)},
                                         {"transformers", print_transformers(*report)}});
        answer["table"] = print_load_table(*report, site.units);
        answer["verdict"] = print_load_verdict(*report, site.units);
        const std::vector<Advice> advice = find_advice(site, session.folder(), *report);
        const std::vector<std::string> lines = print_advice(advice, site.units);
        for (std::size_t i = 0; i < advice.size(); ++i)
            answer["advice"].push_back(json_object({{"words", lines[i]},
                                                    {"network", print_network(advice[i].network, site.units)},
                                                    {"is_enough", advice[i].is_enough}}));
    });
    attempt([&] { add_bill(session, site, report, question, answer); });
    answer["problems"] = list_problems(problems, session.folder());
    return answer;
}

} // namespace duskcast
