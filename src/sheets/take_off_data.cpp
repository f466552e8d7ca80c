// The take-off as CSV and JSON.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <initializer_list>
#include <nlohmann/json.hpp>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/json_object.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/sheets/take_off_words.hpp"

namespace duskcast {

namespace {

using Json = nlohmann::ordered_json;

std::string write_money(const std::optional<Cents>& cents) {
    return cents ? print_plain_cents(*cents) : std::string();
}

std::string write_hours(const std::optional<HourTenThousandths>& hours) {
    return hours ? print_figure(*hours, 4) : std::string();
}

void add_row(std::string& text, std::initializer_list<std::string> fields) {
    const char* separator = "";
    for (const std::string& field : fields) {
        text += separator + print_csv_field(field);
        separator = ",";
    }
    text += "\r\n";
}

std::string print_taxed(const std::optional<bool>& is_taxed) {
    return !is_taxed ? "" : *is_taxed ? "yes" : "no";
}

/// What is said of the cable beside a line: what of it is laid, and what is left.
std::string print_cable_note(const TakeOff& take_off, const TakeOffLine& line, LengthUnit unit) {
    for (const CableTakeOff& cable : take_off.cable)
        if (line.kind == ItemKind::cable && line.id == print_cable_id(cable.gauge) && cable.bought > 0) {
            const double laid = round_cable_length(cable.length, unit),
                         wanted = round_cable_length(cable.wanted, unit);
            return fmt::format("{} laid, {} waste, {} left over", print_cable_length(laid, unit),
                               print_cable_length(wanted - laid, unit),
                               print_cable_length(cable.bought - wanted, unit));
        }
    return {};
}

std::string print_unit(const TakeOffLine& line, LengthUnit unit) {
    if (line.kind != ItemKind::cable)
        return "each";
    return line.roll_length > 0 ? print_length(line.roll_length, unit) : std::string();
}

std::string print_missing(const MissingPrice& missing) {
    const MissingPriceWords words = describe_missing(missing);
    return fmt::format("{} ({})", words.what, words.hint);
}

/// Money in the currency. Hundredths survive the way through a double up to some 10^13.
Json json_of_money(const std::optional<Cents>& cents) {
    return cents ? Json(static_cast<double>(*cents) / cents_per_unit) : Json(nullptr);
}

Json json_of_hours(const std::optional<HourTenThousandths>& hours) {
    return hours ? Json(static_cast<double>(*hours) / ten_thousandths_per_hour) : Json(nullptr);
}

Json json_of_share(Millionths share) {
    return static_cast<double>(share) / millionths_per_one;
}

/// To the tenth of a millimetre.
Json json_of_length(double metres) {
    return std::round(metres * 1e4) / 1e4;
}

Json json_of(const Surcharge& surcharge) {
    switch (surcharge.kind) {
    case Surcharge::Kind::none:
        break;
    case Surcharge::Kind::markup:
        return json_object({{"markup_on_cost", json_of_share(surcharge.share)}});
    case Surcharge::Kind::margin:
        return json_object({{"margin_of_price", json_of_share(surcharge.share)}});
    }
    return nullptr;
}

Json json_of(const TakeOffLine& line) {
    return json_object({{"kind", name_of(line.kind)},
                        {"id", line.id},
                        {"description", line.description},
                        {"count", line.count > 0 ? Json(line.count) : Json(nullptr)},
                        {"roll_m", line.roll_length > 0 ? json_of_length(line.roll_length) : Json(nullptr)},
                        {"unit_cost", json_of_money(line.unit_cost)},
                        {"cost", json_of_money(line.cost)},
                        {"price", json_of_money(line.price)},
                        {"labour_hours", json_of_hours(line.hours)},
                        {"taxed", line.is_taxed ? Json(*line.is_taxed) : Json(nullptr)}});
}

} // namespace

std::string print_take_off_csv(const TakeOff& take_off, LengthUnit unit) {
    std::string text;
    add_row(text, {"kind", "id", "description", "count", "unit", "unit_cost", "cost", "price", "labour_hours",
                   "taxed", "note"});
    for (const TakeOffLine& line : take_off.lines)
        add_row(text, {name_of(line.kind), line.id, line.description,
                       line.count > 0 ? std::to_string(line.count) : "", print_unit(line, unit),
                       write_money(line.unit_cost), write_money(line.cost), write_money(line.price),
                       write_hours(line.hours), print_taxed(line.is_taxed),
                       print_cable_note(take_off, line, unit)});
    const LabourTakeOff& labour = take_off.labour;
    add_row(text,
            {"labour", "", "", write_hours(labour.hours), "hour", write_money(labour.rate),
             write_money(labour.cost), write_money(labour.price), "", labour.is_taxed ? "yes" : "no", ""});
    if (take_off.tax_share)
        add_row(text,
                {"tax", "", "", print_figure(*take_off.tax_share, 4), "percent", "", "",
                 print_plain_cents(take_off.tax), "", "", "of " + print_plain_cents(take_off.taxed_price)});
    for (const MissingPrice& missing : take_off.missing)
        add_row(text, {"missing", "", print_missing(missing), "", "", "", "", "", "", "", ""});
    add_row(text, {"total", "", "", "", take_off.currency, "", "", write_money(take_off.total()), "", "",
                   take_off.is_complete()
                       ? ""
                       : "not complete: what is known comes to " + print_plain_cents(take_off.sum)});
    const bool is_ascii =
        std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
    return is_ascii ? text : "\xEF\xBB\xBF" + text;
}

std::string print_take_off_json(const TakeOff& take_off) {
    Json lines = Json::array(), cables = Json::array(), missing = Json::array();
    for (const TakeOffLine& line : take_off.lines)
        lines.push_back(json_of(line));
    for (const CableTakeOff& cable : take_off.cable)
        cables.push_back(json_object(
            {{"gauge_awg", cable.gauge},
             {"length_m", json_of_length(cable.length)},
             {"waste", json_of_share(take_off.cable_waste)},
             {"wanted_m", json_of_length(cable.wanted)},
             {"bought_m", cable.bought > 0 ? json_of_length(cable.bought) : Json(nullptr)},
             {"left_over_m", cable.bought > 0 ? json_of_length(cable.left_over()) : Json(nullptr)}}));
    for (const MissingPrice& one : take_off.missing) {
        const MissingPriceWords words = describe_missing(one);
        missing.push_back(json_object({{"what", words.what}, {"hint", words.hint}}));
    }
    const LabourTakeOff& labour = take_off.labour;
    const Json made = json_object(
        {{"currency", take_off.currency.empty() ? Json(nullptr) : Json(take_off.currency)},
         {"lines", lines},
         {"cable", cables},
         {"materials", json_object({{"known_cost", json_of_money(take_off.materials_cost)},
                                    {"known_price", json_of_money(take_off.materials_price)},
                                    {"surcharge", json_of(take_off.materials_surcharge)}})},
         {"labour", json_object({{"known_hours", json_of_hours(labour.hours)},
                                 {"rate", json_of_money(labour.rate)},
                                 {"cost", json_of_money(labour.cost)},
                                 {"price", json_of_money(labour.price)},
                                 {"taxed", labour.is_taxed},
                                 {"surcharge", json_of(take_off.labour_surcharge)}})},
         {"tax",
          json_object({{"share", take_off.tax_share ? json_of_share(*take_off.tax_share) : Json(nullptr)},
                       {"of_known_price", json_of_money(take_off.taxed_price)},
                       {"known_tax", take_off.tax_share ? json_of_money(take_off.tax) : Json(nullptr)}})},
         {"missing", missing},
         {"complete", take_off.is_complete()},
         {"known_sum", json_of_money(take_off.sum)},
         {"total", json_of_money(take_off.total())}});
    // Ids from the quantities need not be UTF-8.
    return made.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace duskcast
