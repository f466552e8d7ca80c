#pragma once
// What a practitioner pays and charges: a CSV file of the user's own (RFC 4180, UTF-8, with or without a byte
// order mark). Its first line names the columns, in any order; columns of other names are the user's own:
//
//   kind,id,description,unit,price,labour_hours,taxed
//
//   kind         id                                  unit     price
//   currency     code, such as USD                   empty    empty
//   fixture      the catalogue's model, or the       each     of one
//                fixture's kind where it has none
//   lamp         the lamp's id                       each     of one
//   cable        gauge, such as 12 AWG               a length of one roll of that length; several may be
//   listed connector    any                                 each     of one mount        spike, surface, tree
//   or wall        each     of one hub          any                                 each     of one
//   transformer  rating, such as 300 VA              each     of one
//   labour       empty                               hour     of an hour
//   tax          empty                               percent  of what is charged for taxed lines
//   markup       materials or labour                 percent  of the cost, added to it
//   margin       materials or labour                 percent  of the price, what is left of it after the cost
//   waste        cable                               percent  of the cable's length, bought beyond it
//   energy       empty                               kWh      of a kilowatt-hour
//
// labour_hours: to fit one; to lay a whole roll of cable. taxed: yes or no. Both are for what is bought
// (fixture to transformer); labour has taxed only. A price or hours left empty are not known, which is not 0.

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/cost/money.hpp"

namespace duskcast {

enum class ItemKind { fixture, lamp, cable, connector, mount, hub, transformer };
std::string name_of(ItemKind kind); ///< its word in the list

/// Something that is bought.
struct PriceItem {
    ItemKind kind = ItemKind::fixture;
    std::string id; ///< as print_cable_id and print_transformer_id have it for those two
    std::string description;
    double roll_length = 0;                   ///< of cable, metres
    std::optional<Cents> price;               ///< of one; of one roll
    std::optional<HourTenThousandths> labour; ///< to fit one; to lay one roll
    bool is_taxed = false;

    bool operator==(const PriceItem&) const = default;
};

std::string print_cable_id(int gauge);                 ///< AWG: "12 AWG"
std::string print_transformer_id(double volt_amperes); ///< "300 VA"

/// What is put on the cost. A markup is a share of the cost: price = cost (1 + share). A margin is a share of
/// the price: price = cost / (1 - share). 40 % markup on 100 charge 140; 40 % margin charges 166.67.
struct Surcharge {
    enum class Kind { none, markup, margin };
    Kind kind = Kind::none;
    Millionths share = 0;

    bool operator==(const Surcharge&) const = default;
};

/// The price of something that costs `cost`, rounded to the cent.
Cents apply_surcharge(Cents cost, const Surcharge& surcharge);

struct PriceList {
    std::string currency;             ///< empty: not said
    std::vector<PriceItem> items;     ///< in file order
    std::optional<Cents> labour_rate; ///< an hour
    bool is_labour_taxed = false;
    std::optional<Millionths> tax;
    Surcharge materials, labour;
    Millionths cable_waste = 0;
    std::optional<std::int64_t> energy_price; ///< of a kWh, millionths of the currency

    bool operator==(const PriceList&) const = default;
};

/// The list with this put on materials and on labour where it puts nothing on them itself.
PriceList with_usual_surcharge(PriceList prices, const Surcharge& usual);

/// Throws InputError with every problem found, each with line, column and the column's name.
PriceList read_price_list_file(const std::filesystem::path& file);

/// The same from text; `file` names it in messages.
PriceList read_price_list(std::string_view text, const std::filesystem::path& file);

} // namespace duskcast
