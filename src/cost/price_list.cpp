#include "duskcast/cost/price_list.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <utility>

#include "duskcast/base/files.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/base/units.hpp"
#include "price_table.hpp"

namespace duskcast {

namespace {

using Column = PriceColumn;

constexpr std::uintmax_t greatest_file = 16u << 20;
constexpr int price_decimals = 2, hour_decimals = 4, energy_decimals = 6;
constexpr int greatest_gauge = 40;
constexpr std::size_t most_rolls = 8; ///< of one gauge: choosing among more could take long
constexpr double shortest_roll = metres_per_foot, longest_roll = 10'000 * metres_per_foot;

/// The largest figures of a list, each in its own smallest unit: more is a slip, and sums must fit.
constexpr std::int64_t greatest_price = 1'000'000 * cents_per_unit;
constexpr std::int64_t greatest_rate = 10'000 * cents_per_unit;
constexpr std::int64_t greatest_hours = 100 * ten_thousandths_per_hour;
constexpr std::int64_t greatest_markup = 10 * millionths_per_one;
constexpr std::int64_t greatest_margin = millionths_per_one * 95 / 100;
constexpr std::int64_t greatest_share = millionths_per_one;
constexpr std::int64_t greatest_rating = 1'000'000; ///< tenths of a volt-ampere
constexpr std::int64_t greatest_energy_price = 1'000 * millionths_per_one;

constexpr std::array item_kinds{ItemKind::fixture, ItemKind::lamp, ItemKind::cable,      ItemKind::connector,
                                ItemKind::mount,   ItemKind::hub,  ItemKind::transformer};

class PriceListReader : PriceFieldReader {
public:
    explicit PriceListReader(const std::string& file) : PriceFieldReader(file) {}

    PriceList read(std::string_view text) {
        for (const PriceRow& row : read_price_table(text, file_, problems_))
            read_row(row);
        // Lines with too few or too many fields were found first.
        sort_stably(problems_,
                    [](const Problem& a, const Problem& b) { return a.place.line < b.place.line; });
        if (!problems_.empty())
            throw InputError(std::move(problems_));
        return std::move(list_);
    }

private:
    void read_row(const PriceRow& row) {
        const std::string kind = lower_case(row.text(Column::kind));
        for (const ItemKind one : item_kinds)
            if (kind == name_of(one))
                return read_item(row, one);
        if (kind == "currency")
            return read_currency(row);
        if (kind == "labour")
            return read_labour(row);
        if (kind == "tax")
            return read_tax(row);
        if (kind == "markup")
            return read_surcharge(row, Surcharge::Kind::markup);
        if (kind == "margin")
            return read_surcharge(row, Surcharge::Kind::margin);
        if (kind == "waste")
            return read_waste(row);
        if (kind == "energy")
            return read_energy(row);
        std::vector<std::string> known;
        for (const ItemKind one : item_kinds)
            known.push_back(name_of(one));
        for (const char* one : {"labour", "tax", "markup", "margin", "waste", "energy", "currency"})
            known.emplace_back(one);
        refuse_word(row, Column::kind, "kind", known);
    }

    /// Whether `what` has not been given before.
    bool take(const PriceRow& row, const std::string& what) {
        const auto [known, is_new] = lines_.try_emplace(what, row.line);
        if (!is_new)
            error(row, Column::kind, price_messages::item_twice(what, known->second));
        return is_new;
    }

    void read_item(const PriceRow& row, ItemKind kind) {
        PriceItem item;
        item.kind = kind;
        item.description = row.text(Column::description);
        const std::size_t problems = problems_.size();
        read_id(row, item);
        if (kind == ItemKind::cable)
            read_roll(row, item);
        else
            check_unit(row, "each");
        item.price = read_figure_of(row, Column::price, price_decimals, greatest_price);
        item.labour = read_figure_of(row, Column::labour_hours, hour_decimals, greatest_hours);
        item.is_taxed = read_taxed(row);
        if (problems_.size() != problems)
            return;
        std::string what = fmt::format("{} \"{}\"", name_of(kind), item.id);
        if (kind == ItemKind::cable)
            what += " of " + print_length(item.roll_length, LengthUnit::foot);
        if (!take(row, what))
            return;
        if (kind == ItemKind::cable && ++roll_counts_[item.id] == most_rolls + 1)
            return error(row, Column::unit, price_messages::too_many_rolls(item.id, most_rolls));
        list_.items.push_back(std::move(item));
    }

    void read_id(const PriceRow& row, PriceItem& item) {
        item.id = row.text(Column::id);
        if (item.id.empty())
            return error(row, Column::id, price_messages::empty_id(name_of(item.kind)));
        if (item.kind == ItemKind::cable) {
            const Figure gauge = read_figure(without_unit(item.id, "awg"), 0, greatest_gauge);
            if (gauge.fault != FigureFault::none)
                return error(row, Column::id, price_messages::not_a_gauge(item.id));
            item.id = print_cable_id(static_cast<int>(gauge.value));
        } else if (item.kind == ItemKind::transformer) {
            const Figure rating = read_figure(without_unit(item.id, "va"), 1, greatest_rating);
            if (rating.fault != FigureFault::none || rating.value == 0)
                return error(row, Column::id, price_messages::not_a_rating(item.id));
            item.id = print_transformer_id(static_cast<double>(rating.value) / 10);
        } else if (item.kind == ItemKind::mount) {
            item.id = read_word(row, Column::id, "mount", {"spike", "surface", "tree", "wall"});
        }
    }

    void read_roll(const PriceRow& row, PriceItem& item) {
        const std::string& unit = row.text(Column::unit);
        try {
            item.roll_length = read_length(unit);
        } catch (const InputError&) {
            return error(row, Column::unit,
                         price_messages::wrong_unit(unit, "cable", "the length of a roll, such as 250 ft"));
        }
        if (!(item.roll_length > shortest_roll * (1 - 1e-9) && item.roll_length < longest_roll * (1 + 1e-9)))
            error(row, Column::unit, price_messages::roll_out_of_range(unit));
    }

    void read_currency(const PriceRow& row) {
        check_empty(row, {Column::unit, Column::price, Column::labour_hours, Column::taxed});
        const std::string& code = row.text(Column::id);
        if (code.size() != 3 || code.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ") != std::string::npos)
            return error(row, Column::id, price_messages::not_a_currency(code));
        if (take(row, "currency"))
            list_.currency = code;
    }

    void read_labour(const PriceRow& row) {
        check_empty(row, {Column::id, Column::labour_hours});
        check_unit(row, "hour");
        const std::optional<Cents> rate = read_figure_of(row, Column::price, price_decimals, greatest_rate);
        const bool is_taxed = read_taxed(row);
        if (!take(row, "labour"))
            return;
        list_.labour_rate = rate;
        list_.is_labour_taxed = is_taxed;
    }

    void read_tax(const PriceRow& row) {
        check_empty(row, {Column::id, Column::labour_hours, Column::taxed});
        check_unit(row, "percent");
        const Millionths share = read_percent(row, greatest_share);
        if (take(row, "tax"))
            list_.tax = share;
    }

    void read_surcharge(const PriceRow& row, Surcharge::Kind kind) {
        check_empty(row, {Column::labour_hours, Column::taxed});
        check_unit(row, "percent");
        const bool is_markup = kind == Surcharge::Kind::markup;
        const Millionths share = read_percent(row, is_markup ? greatest_markup : greatest_margin);
        const std::string of = read_word(row, Column::id, "id", {"materials", "labour"});
        if (of.empty() || !take(row, fmt::format("{} for {}", is_markup ? "markup" : "margin", of)))
            return;
        const auto other = lines_.find(fmt::format("{} for {}", is_markup ? "margin" : "markup", of));
        if (other != lines_.end())
            return error(row, Column::kind, price_messages::markup_and_margin(of, other->second));
        (of == "materials" ? list_.materials : list_.labour) = {kind, share};
    }

    void read_waste(const PriceRow& row) {
        check_empty(row, {Column::labour_hours, Column::taxed});
        check_unit(row, "percent");
        const Millionths share = read_percent(row, greatest_share);
        if (!read_word(row, Column::id, "id", {"cable"}).empty() && take(row, "waste"))
            list_.cable_waste = share;
    }

    void read_energy(const PriceRow& row) {
        check_empty(row, {Column::id, Column::labour_hours, Column::taxed});
        check_unit(row, "kWh");
        const auto price = read_figure_of(row, Column::price, energy_decimals, greatest_energy_price);
        if (take(row, "energy"))
            list_.energy_price = price;
    }

    PriceList list_;
    std::map<std::string, int> lines_;               ///< of what has been given
    std::map<std::string, std::size_t> roll_counts_; ///< by gauge
};

[[noreturn]] void refuse_file(const std::string& file, PriceMessage message) {
    throw InputError(Problem{
        .place = {.file = file}, .what = std::move(message.what), .remedy = std::move(message.remedy)});
}

} // namespace

std::string name_of(ItemKind kind) {
    switch (kind) {
    case ItemKind::fixture:
        return "fixture";
    case ItemKind::lamp:
        return "lamp";
    case ItemKind::cable:
        return "cable";
    case ItemKind::connector:
        return "connector";
    case ItemKind::mount:
        return "mount";
    case ItemKind::hub:
        return "hub";
    case ItemKind::transformer:
        return "transformer";
    }
    return {};
}

std::string print_cable_id(int gauge) {
    return fmt::format("{} AWG", gauge);
}

std::string print_transformer_id(double volt_amperes) {
    return print_figure(std::llround(volt_amperes * 10), 1) + " VA";
}

PriceList with_usual_surcharge(PriceList prices, const Surcharge& usual) {
    for (Surcharge* part : {&prices.materials, &prices.labour})
        if (part->kind == Surcharge::Kind::none)
            *part = usual;
    return prices;
}

Cents apply_surcharge(Cents cost, const Surcharge& surcharge) {
    switch (surcharge.kind) {
    case Surcharge::Kind::none:
        break;
    case Surcharge::Kind::markup:
        return scale_rounded(cost, millionths_per_one + surcharge.share, millionths_per_one);
    case Surcharge::Kind::margin:
        return scale_rounded(cost, millionths_per_one, millionths_per_one - surcharge.share);
    }
    return cost;
}

PriceList read_price_list(std::string_view text, const std::filesystem::path& file) {
    const std::string name = text_of(file);
    return PriceListReader(name).read(text);
}

PriceList read_price_list_file(const std::filesystem::path& file) {
    const WholeFile whole = read_whole_file(file, greatest_file);
    if (whole.fault == FileFault::unreadable)
        refuse_file(text_of(file), price_messages::cannot_read());
    if (whole.fault == FileFault::too_large)
        refuse_file(text_of(file), price_messages::too_large_a_file());
    return read_price_list(whole.bytes, file);
}

} // namespace duskcast
