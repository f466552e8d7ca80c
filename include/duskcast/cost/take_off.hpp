#pragma once
// The take-off: what a job needs, what of it is bought, the hours, and what is charged.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/cost/price_list.hpp"
#include "duskcast/power/load.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

/// What a job needs, by the ids of the price list.
struct TakeOffQuantities {
    std::map<std::string, int> fixtures;   ///< by model; by kind where a fixture has no model
    std::map<std::string, int> lamps;      ///< by lamp id
    std::map<int, double> cable;           ///< metres by gauge (AWG), slack and leads included
    std::map<std::string, int> connectors; ///< by id; "" is the first connector of the list
    std::map<std::string, int> mounts;     ///< by the site file's word: "spike" is a stake
    std::map<std::string, int> hubs;       ///< by id; "" is the first hub of the list
    std::map<double, int> transformers;    ///< by rating, volt-amperes
    double hours = 0;                      ///< beyond those of the items: a walk round, aiming at night

    bool operator==(const TakeOffQuantities&) const = default;
};

/// Fixtures, lamps and mounts; the rest is left empty. An in-ground fixture needs no mount.
TakeOffQuantities find_quantities(const Site& site);

/// These, and what the network takes: cable by gauge, leads and slack included; transformers by rating; hubs;
/// and a connector for each lead that is joined to a cable (leads that meet at a hub need none).
TakeOffQuantities find_quantities(const Site& site, const LoadReport& report);

/// One item that is bought. What is not known is absent.
struct TakeOffLine {
    ItemKind kind = ItemKind::fixture;
    std::string id;
    std::string description;
    int count = 0;
    double roll_length = 0; ///< of cable, metres; 0 where no roll is listed
    std::optional<Cents> unit_cost;
    std::optional<Cents> cost;  ///< of all
    std::optional<Cents> price; ///< charged for all
    std::optional<HourTenThousandths> hours;
    std::optional<bool> is_taxed;
};

/// The cable of one gauge, metres.
struct CableTakeOff {
    int gauge = 0;
    double length = 0; ///< laid
    double wanted = 0; ///< with the waste
    double bought = 0; ///< 0 where no roll is priced

    double left_over() const { return bought - wanted; } ///< after the waste
};

struct LabourTakeOff {
    HourTenThousandths hours = 0; ///< those known
    std::optional<Cents> rate;
    std::optional<Cents> cost;
    std::optional<Cents> price;
    bool is_taxed = false;
};

/// What a price list can lack of something that is needed.
enum class PriceGap { item, price, labour_hours, labour_rate, tax };

struct MissingPrice {
    PriceGap gap = PriceGap::item;
    ItemKind kind = ItemKind::fixture; ///< of `item`, `price` and `labour_hours`
    std::string id;                    ///< of these; empty: any of the kind would do
    std::string nearest;               ///< of `item`: the id in the list that may be meant; may be empty

    bool operator==(const MissingPrice&) const = default;
};

/// Every sum is of what is known. When anything is missing the total is not the total.
struct TakeOff {
    std::string currency;
    std::vector<TakeOffLine> lines;
    std::vector<CableTakeOff> cable;
    LabourTakeOff labour;
    Surcharge materials_surcharge, labour_surcharge;
    Millionths cable_waste = 0;
    Cents materials_cost = 0, materials_price = 0;
    Cents taxed_price = 0; ///< of the lines that are taxed
    std::optional<Millionths> tax_share;
    Cents tax = 0;
    Cents sum = 0; ///< materials, labour and tax as charged
    std::vector<MissingPrice> missing;

    bool is_complete() const { return missing.empty(); }
    /// What materials and labour cost and what is charged for them, tax aside.
    Cents cost_before_tax() const { return materials_cost + labour.cost.value_or(0); }
    Cents price_before_tax() const { return materials_price + labour.price.value_or(0); }
    std::optional<Cents> total() const { return is_complete() ? std::optional(sum) : std::nullopt; }
};

/// Counts, lengths and hours must be 0 or more and finite. Rounded to the cent as money.hpp says: the cost of
/// the labour, each line's price from its cost, and the tax on the sum of the taxed lines. Hours of cable are
/// those of the rolls bought, for the share of them that is laid.
TakeOff make_take_off(const TakeOffQuantities& quantities, const PriceList& prices);

} // namespace duskcast
