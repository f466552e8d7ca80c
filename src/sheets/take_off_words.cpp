// The take-off as a table for people.

#include <algorithm>
#include <fmt/format.h>

#include "duskcast/base/table.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/sheets/take_off_words.hpp"

namespace duskcast {

namespace {

constexpr std::size_t most_description = 32, most_id = 24;
constexpr auto unknown = "?";

/// On one line, at most `most` characters, "…" for what is cut off.
std::string shorten(const std::string& text, std::size_t most) {
    std::string shown = text;
    for (char& c : shown)
        if (c == '\n' || c == '\r' || c == '\t')
            c = ' ';
    if (count_characters(shown) <= most)
        return shown;
    while (count_characters(shown) >= most)
        shown.pop_back(); // the last bytes of a character go with its first
    return shown + "…";
}

std::string print_money(const std::optional<Cents>& cents) {
    return cents ? print_cents(*cents) : unknown;
}

std::string print_hours(const std::optional<HourTenThousandths>& hours) {
    return hours ? print_cents(scale_rounded(*hours, 1, 100)) : unknown;
}

class TakeOffPrinter {
public:
    TakeOffPrinter(const TakeOff& take_off, LengthUnit unit) : take_off_(take_off), unit_(unit) {}

    std::vector<std::string> print() {
        add_table();
        add_total();
        for (const CableTakeOff& cable : take_off_.cable)
            add_cable(cable);
        lines_.push_back(print_surcharge("materials", take_off_.materials_surcharge));
        lines_.push_back(print_surcharge("labour", take_off_.labour_surcharge));
        return std::move(lines_);
    }

private:
    std::string describe(const TakeOffLine& line) const {
        if (line.kind != ItemKind::cable || !(line.roll_length > 0))
            return shorten(line.description, most_description);
        const std::string roll = "roll of " + print_length(line.roll_length, unit_);
        return shorten(line.description.empty() ? roll : roll + ", " + line.description, most_description);
    }

    void add_table() {
        constexpr std::size_t least_description = 24;
        std::size_t ids = 0, descriptions = least_description;
        for (const TakeOffLine& line : take_off_.lines) {
            ids = std::max(ids, count_characters(shorten(line.id, most_id)));
            descriptions = std::max(descriptions, count_characters(describe(line)));
        }
        const std::string& currency = take_off_.currency;
        const Table table({{"Take-off", TableAlign::left, 13},
                           {"", TableAlign::left, ids + 2},
                           {currency.empty() ? "" : "in " + currency, TableAlign::left, descriptions},
                           {"count", TableAlign::right, 7},
                           {"each", TableAlign::right, 11},
                           {"cost", TableAlign::right, 12},
                           {"price", TableAlign::right, 12},
                           {"hours", TableAlign::right, 9}});
        lines_.push_back(table.print_head());
        for (const TakeOffLine& line : take_off_.lines)
            lines_.push_back(table.print_row({name_of(line.kind), shorten(line.id, most_id), describe(line),
                                              line.count > 0 ? std::to_string(line.count) : unknown,
                                              print_money(line.unit_cost), print_money(line.cost),
                                              print_money(line.price), print_hours(line.hours)}));
        const LabourTakeOff& labour = take_off_.labour;
        lines_.push_back(
            table.print_row({"labour", "", "", "", print_money(labour.rate), print_money(labour.cost),
                             print_money(labour.price), print_hours(labour.hours)}));
        if (take_off_.tax_share)
            lines_.push_back(table.print_row({"tax", "",
                                              fmt::format("{} of {}", print_percent(*take_off_.tax_share),
                                                          print_cents(take_off_.taxed_price)),
                                              "", "", "", print_cents(take_off_.tax)}));
    }

    void add_total() {
        const std::string sum =
            print_cents(take_off_.sum) + (take_off_.currency.empty() ? "" : " " + take_off_.currency);
        if (take_off_.is_complete()) {
            lines_.push_back("Total: " + sum);
            return;
        }
        lines_.push_back(fmt::format("The total is not complete: what is known comes to {}, without", sum));
        for (const MissingPrice& missing : take_off_.missing) {
            const MissingPriceWords words = describe_missing(missing);
            lines_.push_back(fmt::format("  {} ({})", words.what, words.hint));
        }
    }

    void add_cable(const CableTakeOff& cable) {
        const double wanted = round_cable_length(cable.wanted, unit_);
        std::string line =
            fmt::format("{}: {} laid, {} with a waste of {}", print_cable_id(cable.gauge),
                        print_cable_length(cable.length, unit_), print_cable_length(wanted, unit_),
                        print_percent(take_off_.cable_waste));
        if (cable.bought > 0)
            line += fmt::format("; {} bought, {} left over", print_cable_length(cable.bought, unit_),
                                print_cable_length(cable.bought - wanted, unit_));
        lines_.push_back(line + ".");
    }

    const TakeOff& take_off_;
    LengthUnit unit_;
    std::vector<std::string> lines_;
};

} // namespace

std::string print_surcharge(const char* what, const Surcharge& surcharge) {
    const std::string share = print_percent(surcharge.share);
    switch (surcharge.kind) {
    case Surcharge::Kind::none:
        break;
    case Surcharge::Kind::markup:
        return fmt::format("Price of {}: the cost and a markup of {} of the cost.", what, share);
    case Surcharge::Kind::margin:
        return fmt::format("Price of {}: the cost and a margin of {} of the price.", what, share);
    }
    return fmt::format("Price of {}: the cost; the list gives no markup and no margin.", what);
}

std::string print_earnings(const TakeOff& take_off) {
    const Cents cost = take_off.cost_before_tax(), price = take_off.price_before_tax();
    const std::string unit = take_off.currency.empty() ? "" : " " + take_off.currency;
    std::string text =
        fmt::format("costs {}{}, charged {}{} before tax", print_cents(cost), unit, print_cents(price), unit);
    if (price > cost)
        text += fmt::format(": {}{} over cost, {:.1f} % of the price", print_cents(price - cost), unit,
                            100.0 * static_cast<double>(price - cost) / static_cast<double>(price));
    return text + (take_off.is_complete() ? "." : "; not complete, see what is missing.");
}

MissingPriceWords describe_missing(const MissingPrice& missing) {
    const std::string item = missing.id.empty() // any of the kind
                                 ? name_of(missing.kind)
                                 : fmt::format("{} \"{}\"", name_of(missing.kind), missing.id);
    switch (missing.gap) {
    case PriceGap::item:
        return {item, missing.nearest.empty()
                          ? "not in the list"
                          : fmt::format("not in the list; did you mean \"{}\"?", missing.nearest)};
    case PriceGap::price:
        return {"price of " + item, "its field is empty"};
    case PriceGap::labour_hours:
        return {"labour hours of " + item, "its field is empty"};
    case PriceGap::labour_rate:
        return {"price of an hour of labour", "the list has no line of kind labour with a price"};
    case PriceGap::tax:
        return {"tax", "lines are taxed, and the list has no line of kind tax"};
    }
    return {};
}

std::vector<std::string> print_take_off(const TakeOff& take_off, LengthUnit unit) {
    return TakeOffPrinter(take_off, unit).print();
}

std::string print_yearly_energy(const YearlyEnergy& energy, const std::string& currency) {
    const std::string unit = currency.empty() ? "" : " " + currency;
    std::string text = fmt::format("{} W for {} h on {} nights: {} kWh a year, ",
                                   print_number(energy.use.watts), print_number(energy.use.hours_a_night),
                                   print_number(energy.use.nights), print_number(energy.kilowatt_hours));
    if (energy.cost)
        text += fmt::format("{}{} at {}{} a kWh", print_cents(*energy.cost), unit,
                            print_figure(*energy.price, 6, 2), unit);
    else
        text += "its cost is not known: the price of a kWh is missing";
    return text;
}

} // namespace duskcast
