#include "duskcast/cost/take_off.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "duskcast/cost/cable_rolls.hpp"

namespace duskcast {

namespace {

class TakeOffMaker {
public:
    TakeOffMaker(const TakeOffQuantities& quantities, const PriceList& prices)
        : quantities_(quantities), prices_(prices) {}

    TakeOff make() {
        made_.currency = prices_.currency;
        made_.materials_surcharge = prices_.materials;
        made_.labour_surcharge = prices_.labour;
        made_.cable_waste = prices_.cable_waste;
        add_items(ItemKind::fixture, quantities_.fixtures);
        add_items(ItemKind::lamp, quantities_.lamps);
        add_items(ItemKind::mount, quantities_.mounts);
        for (const auto& [gauge, length] : quantities_.cable)
            if (count_length_ticks(length) > 0)
                add_cable(gauge, length);
        add_items(ItemKind::connector, quantities_.connectors);
        add_items(ItemKind::hub, quantities_.hubs);
        for (const auto& [rating, count] : quantities_.transformers)
            add_item(ItemKind::transformer, print_transformer_id(rating), count);
        add_labour();
        add_sums();
        return std::move(made_);
    }

private:
    void miss(MissingPrice missing) { made_.missing.push_back(std::move(missing)); }

    void miss_item(ItemKind kind, const std::string& id) {
        const bool is_measured = kind == ItemKind::cable || kind == ItemKind::transformer;
        std::vector<std::string> ids;
        for (const PriceItem& item : prices_.items)
            if (item.kind == kind && !is_measured) // 14 AWG is not 12 AWG misspelt
                ids.push_back(item.id);
        miss({PriceGap::item, kind, id, find_nearest_word(id, ids)});
    }

    void add_items(ItemKind kind, const std::map<std::string, int>& counts) {
        for (const auto& [id, count] : counts)
            add_item(kind, id, count);
    }

    void add_item(ItemKind kind, const std::string& id, int count) {
        if (count <= 0)
            return;
        const auto found =
            std::find_if(prices_.items.begin(), prices_.items.end(), [&](const PriceItem& item) {
                return item.kind == kind && (id.empty() || item.id == id);
            });
        if (found == prices_.items.end()) {
            made_.lines.push_back({.kind = kind, .id = id, .count = count});
            miss_item(kind, id);
        } else {
            if (!found->price)
                miss({PriceGap::price, kind, found->id});
            add_line(*found, count, 1, 1);
        }
    }

    /// Hours are counted for `part` out of `whole`.
    void add_line(const PriceItem& item, int count, std::int64_t part, std::int64_t whole) {
        TakeOffLine line{.kind = item.kind,
                         .id = item.id,
                         .description = item.description,
                         .count = count,
                         .roll_length = item.roll_length,
                         .unit_cost = item.price,
                         .is_taxed = item.is_taxed};
        if (item.price) {
            line.cost = *item.price * count;
            line.price = apply_surcharge(*line.cost, prices_.materials);
        }
        if (item.labour)
            line.hours = scale_rounded(*item.labour * count, part, whole);
        else
            miss({PriceGap::labour_hours, item.kind, item.id});
        made_.lines.push_back(std::move(line));
    }

    void add_cable(int gauge, double length) {
        const std::string id = print_cable_id(gauge);
        CableTakeOff cable{
            gauge, length,
            length * static_cast<double>(millionths_per_one + prices_.cable_waste) / millionths_per_one, 0};
        std::vector<const PriceItem*> items;
        std::vector<CableRoll> rolls;
        bool is_listed = false;
        for (const PriceItem& item : prices_.items) {
            if (item.kind != ItemKind::cable || item.id != id)
                continue;
            is_listed = true;
            if (!item.price)
                continue;
            items.push_back(&item);
            rolls.push_back({item.roll_length, *item.price});
        }
        if (items.empty()) {
            made_.lines.push_back({.kind = ItemKind::cable, .id = id});
            if (is_listed)
                miss({PriceGap::price, ItemKind::cable, id});
            else
                miss_item(ItemKind::cable, id);
        } else {
            const std::vector<int> counts = find_cheapest_rolls(cable.wanted, rolls);
            for (std::size_t i = 0; i < counts.size(); ++i)
                cable.bought += counts[i] * rolls[i].length;
            for (std::size_t i = 0; i < counts.size(); ++i)
                if (counts[i] > 0)
                    add_line(*items[i], counts[i], count_length_ticks(length),
                             count_length_ticks(cable.bought));
        }
        made_.cable.push_back(cable);
    }

    void add_labour() {
        LabourTakeOff& labour = made_.labour;
        labour.hours = std::llround(quantities_.hours * ten_thousandths_per_hour);
        for (const TakeOffLine& line : made_.lines)
            labour.hours += line.hours.value_or(0);
        labour.rate = prices_.labour_rate;
        labour.is_taxed = prices_.is_labour_taxed;
        if (labour.rate) {
            labour.cost = scale_rounded(labour.hours, *labour.rate, ten_thousandths_per_hour);
            labour.price = apply_surcharge(*labour.cost, prices_.labour);
        } else if (labour.hours > 0) {
            miss({.gap = PriceGap::labour_rate});
        } else {
            labour.cost = labour.price = 0;
        }
    }

    void add_sums() {
        bool is_anything_taxed = made_.labour.is_taxed && made_.labour.hours > 0;
        for (const TakeOffLine& line : made_.lines) {
            made_.materials_cost += line.cost.value_or(0);
            made_.materials_price += line.price.value_or(0);
            if (line.is_taxed.value_or(false))
                made_.taxed_price += line.price.value_or(0);
            is_anything_taxed = is_anything_taxed || line.is_taxed.value_or(false);
        }
        const Cents labour_price = made_.labour.price.value_or(0);
        if (made_.labour.is_taxed)
            made_.taxed_price += labour_price;
        made_.tax_share = prices_.tax;
        if (prices_.tax)
            made_.tax = scale_rounded(made_.taxed_price, *prices_.tax, millionths_per_one);
        else if (is_anything_taxed)
            miss({.gap = PriceGap::tax});
        made_.sum = made_.materials_price + labour_price + made_.tax;
    }

    const TakeOffQuantities& quantities_;
    const PriceList& prices_;
    TakeOff made_;
};

} // namespace

TakeOffQuantities find_quantities(const Site& site) {
    TakeOffQuantities quantities;
    for (const Fixture& fixture : site.fixtures) {
        ++quantities.fixtures[fixture.model.empty() ? name_of(fixture.kind) : fixture.model];
        ++quantities.lamps[fixture.lamp];
        if (fixture.kind != FixtureKind::in_ground) // stands in its own well
            ++quantities.mounts[name_of(fixture.mount)];
    }
    return quantities;
}

TakeOffQuantities find_quantities(const Site& site, const LoadReport& report) {
    TakeOffQuantities quantities = find_quantities(site);
    for (const RunLoad& run : report.runs) {
        if (run.cable_length > 0)
            quantities.cable[run.gauge] += run.cable_length;
        if (run.lead_length > 0)
            quantities.cable[run.lead_gauge] += run.lead_length;
        if (run.layout != RunLayout::hub)
            quantities.connectors[""] += static_cast<int>(run.fixtures.size());
    }
    for (const TransformerLoad& transformer : report.transformers)
        ++quantities.transformers[transformer.rating];
    if (site.network && !site.network->hubs.empty())
        quantities.hubs[""] = static_cast<int>(site.network->hubs.size());
    return quantities;
}

TakeOff make_take_off(const TakeOffQuantities& quantities, const PriceList& prices) {
    return TakeOffMaker(quantities, prices).make();
}

} // namespace duskcast
