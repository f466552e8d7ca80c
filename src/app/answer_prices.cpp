// Prices as they are typed: the lines that the design needs, the rest of the list, and the sums.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <utility>

#include "answers.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/cost/price_edit.hpp"
#include "duskcast/cost/take_off.hpp"
#include "duskcast/sheets/price_words.hpp"

namespace duskcast {
namespace {

constexpr const char* begun_list = "prices.csv"; ///< what a list is called that begins here

/// A list to begin with: the prices that the site and its catalogue give for what stands in it.
std::string begin_price_list(const Site& site) {
    const std::string& currency = site.catalogue.currency;
    std::string text = make_empty_price_list();
    const auto add = [&](const PriceEdit& edit) { text = edit_price_list(text, edit, begun_list); };
    if (currency.size() == 3)
        add({.kind = "currency", .value = currency});
    const auto add_known = [&](ItemKind kind, const std::string& id, const std::optional<double>& price) {
        if (price)
            add({.kind = name_of(kind),
                 .id = id,
                 .unit = "each",
                 .description = call_item(site, kind, id),
                 .value = print_plain_cents(std::llround(100 * *price))});
    };
    for (const Fixture& fixture : site.fixtures)
        if (const FixtureModel* model = find_model(site.catalogue, fixture.model))
            add_known(ItemKind::fixture, model->id, model->price);
    for (const Fixture& fixture : site.fixtures)
        if (const Lamp* lamp = find_lamp(site, fixture.lamp))
            add_known(ItemKind::lamp, lamp->id, lamp->price);
    return text;
}

/// The list as the page holds it: what was typed last may not have come to the files yet.
std::string read_list_text(const Session& session, const Json& question) {
    const auto text = question.find("text");
    return text == question.end() || text->is_null() ? begin_price_list(session.site())
                                                     : text->get<std::string>();
}

TakeOffQuantities find_needed(const Session& session) {
    const Site& site = session.site();
    if (site.network)
        try {
            return find_quantities(site, measure_load(site, session.folder(), {}));
        } catch (const InputError&) {
            // The load says what is wrong with the network; fixtures and lamps are needed all the same.
        }
    return find_quantities(site);
}

/// Lines of the list as the page shows them.
class PriceLines {
public:
    PriceLines(const Site& site, const PriceList& prices, const TakeOff& take_off)
        : site_(site), prices_(prices), take_off_(take_off) {}

    Json list_needed() {
        Json lines = Json::array();
        for (const TakeOffLine& line : take_off_.lines)
            if (line.kind != ItemKind::cable)
                lines.push_back(print(line, find(line.kind, line.id)));
            else if (!is_listed(line.id))
                lines.push_back(print(line, nullptr));
            else
                add_rolls(line.id, lines);
        return lines;
    }

    /// What is in the list and not needed.
    Json list_others() const {
        Json lines = Json::array();
        for (const PriceItem& item : prices_.items)
            if (std::find(shown_.begin(), shown_.end(), &item) == shown_.end())
                lines.push_back(print_line({.kind = item.kind, .id = item.id}, &item));
        return lines;
    }

    Json list_general() const {
        Json lines = Json::array();
        lines.push_back(general("labour", "", "hour", "An hour of work",
                                prices_.labour_rate ? print_plain_cents(*prices_.labour_rate) : "",
                                !prices_.labour_rate && take_off_.labour.hours > 0));
        lines.back()["taxed"] = prices_.is_labour_taxed;
        const bool lacks_tax =
            std::any_of(take_off_.missing.begin(), take_off_.missing.end(),
                        [](const MissingPrice& missing) { return missing.gap == PriceGap::tax; });
        lines.push_back(general("tax", "", "percent", "Sales tax, % of what is taxed",
                                prices_.tax ? print_figure(*prices_.tax, 4) : "", lacks_tax));
        lines.push_back(surcharge("materials", "the materials", prices_.materials));
        lines.push_back(surcharge("labour", "the labour", prices_.labour));
        lines.push_back(general("waste", "cable", "percent", "Cable bought beyond what is laid, %",
                                prices_.cable_waste > 0 ? print_figure(prices_.cable_waste, 4) : "", false));
        lines.push_back(general("energy", "", "kWh", "A kilowatt-hour",
                                prices_.energy_price ? print_figure(*prices_.energy_price, 6, 2) : "",
                                false));
        lines.push_back(general("currency", "", "", "Currency, such as USD", prices_.currency, false));
        return lines;
    }

private:
    const PriceItem* find(ItemKind kind, const std::string& id) const {
        for (const PriceItem& item : prices_.items)
            if (item.kind == kind && item.id == id)
                return &item;
        return nullptr;
    }
    bool is_listed(const std::string& gauge) const { return find(ItemKind::cable, gauge) != nullptr; }

    /// Every roll of a gauge, once.
    void add_rolls(const std::string& gauge, Json& lines) {
        for (const PriceItem& item : prices_.items) {
            if (item.kind != ItemKind::cable || item.id != gauge ||
                std::find(shown_.begin(), shown_.end(), &item) != shown_.end())
                continue;
            TakeOffLine line{.kind = item.kind, .id = item.id, .roll_length = item.roll_length};
            for (const TakeOffLine& bought : take_off_.lines)
                if (bought.kind == item.kind && bought.id == item.id &&
                    bought.roll_length == item.roll_length)
                    line = bought;
            lines.push_back(print(line, &item));
        }
    }

    Json print(const TakeOffLine& line, const PriceItem* item) {
        if (item)
            shown_.push_back(item);
        Json printed = print_line(line, item);
        printed["need"] = print_need(take_off_, line, site_.units);
        // A roll that is not bought lacks nothing, and one without a price might have been.
        const bool is_wanted = line.kind != ItemKind::cable || line.count > 0 || !item;
        printed["lacks_price"] = is_wanted && !(item && item->price);
        printed["lacks_hours"] = is_wanted && !(item && item->labour);
        printed["cost"] = line.cost ? print_cents(*line.cost) : "";
        return printed;
    }

    Json print_line(const TakeOffLine& line, const PriceItem* item) const {
        // Any connector or hub would do: a list that begins here calls it that.
        const std::string id = line.id.empty() ? name_of(line.kind) : line.id;
        std::string words = call_item(site_, line.kind, id);
        if (item && !item->description.empty() && item->kind != ItemKind::cable &&
            item->kind != ItemKind::transformer)
            words = item->description;
        std::string unit = "each";
        if (line.kind == ItemKind::cable) {
            unit = item ? print_roll(item->roll_length) : site_.units == LengthUnit::foot ? "1 ft" : "1 m";
            words += unit == "1 ft"  ? ", by the foot"
                     : unit == "1 m" ? ", by the metre"
                                     : ", roll of " + unit;
        }
        return json_object({{"kind", name_of(line.kind)},
                            {"id", id},
                            {"unit", unit},
                            {"words", words},
                            {"need", ""},
                            {"price", item && item->price ? print_plain_cents(*item->price) : ""},
                            {"hours", item && item->labour ? print_figure(*item->labour, 4) : ""},
                            {"taxed", item ? item->is_taxed : is_taxed_at_first(prices_, name_of(line.kind))},
                            {"lacks_price", false},
                            {"lacks_hours", false},
                            {"cost", ""}});
    }

    /// In feet where it is a whole number of them: the list is written to by this.
    std::string print_roll(double length) const {
        const double feet = length / metres_per_foot;
        if (std::abs(feet - std::round(feet)) < 1e-6)
            return fmt::format("{:.0f} ft", feet);
        return fmt::format("{} m", length);
    }

    Json general(const char* kind, const char* id, const char* unit, const std::string& words,
                 const std::string& value, bool is_lacking) const {
        return json_object({{"kind", kind},
                            {"id", id},
                            {"unit", unit},
                            {"words", words},
                            {"need", ""},
                            {"price", value},
                            {"hours", nullptr},
                            {"taxed", nullptr},
                            {"lacks_price", is_lacking},
                            {"lacks_hours", false},
                            {"cost", ""}});
    }

    Json surcharge(const char* id, const std::string& what, const Surcharge& put_on) const {
        const bool is_margin = put_on.kind == Surcharge::Kind::margin;
        return general(is_margin ? "margin" : "markup", id, "percent",
                       is_margin ? "Margin in the price of " + what + ", %"
                                 : "Markup on the cost of " + what + ", %",
                       put_on.kind == Surcharge::Kind::none ? "" : print_figure(put_on.share, 4), false);
    }

    const Site& site_;
    const PriceList& prices_;
    const TakeOff& take_off_;
    std::vector<const PriceItem*> shown_;
};

PriceField read_price_field(const std::string& word) {
    return word == "hours"   ? PriceField::labour_hours
           : word == "taxed" ? PriceField::taxed
                             : PriceField::price;
}

} // namespace

Json answer_prices(const Session& session, const Json& question) {
    const std::string file = value_of<std::string>(question, "file", begun_list);
    Json answer = json_object({{"problems", Json::array()},
                               {"needed", Json::array()},
                               {"others", Json::array()},
                               {"general", Json::array()},
                               {"sums", Json::array()},
                               {"gaps", ""}});
    try {
        const PriceList prices = read_price_list(read_list_text(session, question), path_in({}, file));
        const TakeOff take_off = make_take_off(find_needed(session), prices);
        PriceLines lines(session.site(), prices, take_off);
        answer["needed"] = lines.list_needed();
        answer["others"] = lines.list_others();
        answer["general"] = lines.list_general();
        for (const SumWords& sum : print_sums(take_off))
            answer["sums"].push_back(json_object({{"what", sum.what}, {"sum", sum.sum}}));
        answer["gaps"] = print_gaps(take_off);
    } catch (const InputError& error) {
        answer["problems"] = list_problems(error.problems(), session.folder());
    }
    return answer;
}

Json answer_price_typed(const Session& session, const Json& question) {
    const std::string file = value_of<std::string>(question, "file", begun_list);
    Json answer = json_object({{"file", file}, {"text", ""}, {"complaint", ""}});
    std::string text = read_list_text(session, question);
    try {
        for (const Json& typed : question.at("typed"))
            text = edit_price_list(text,
                                   {.kind = typed.at("kind").get<std::string>(),
                                    .id = typed.at("id").get<std::string>(),
                                    .unit = typed.at("unit").get<std::string>(),
                                    .description = value_of<std::string>(typed, "words", ""),
                                    .field = read_price_field(typed.at("field").get<std::string>()),
                                    .value = typed.at("value").get<std::string>()},
                                   file);
        answer["text"] = text;
    } catch (const InputError& error) {
        const Problem& first = error.problems().front();
        std::string words = first.what;
        if (!first.remedy.empty())
            words += ": " + first.remedy;
        answer["complaint"] = words + ".";
    }
    return answer;
}

} // namespace duskcast
