#include "duskcast/sheets/price_words.hpp"

#include <fmt/format.h>

#include "duskcast/base/text.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

/// "path-hat" as people say it: "Path hat".
std::string say_id(std::string id) {
    for (char& letter : id)
        if (letter == '-' || letter == '_')
            letter = ' ';
    return titled(std::move(id));
}

std::string call_mount(const std::string& id) {
    if (id == "spike")
        return "Stake";
    if (id == "surface")
        return "Base for paving";
    return id == "tree" ? "Mount for trees" : "Mount for walls and soffits";
}

} // namespace

std::string call_item(const Site& site, ItemKind kind, const std::string& id) {
    switch (kind) {
    case ItemKind::fixture: {
        const FixtureModel* model = find_model(site.catalogue, id);
        return model && !model->name.empty() ? model->name : say_id(id);
    }
    case ItemKind::lamp: {
        const Lamp* lamp = find_lamp(site, id);
        return lamp && !lamp->name.empty() ? titled(lamp->name) : say_id(id);
    }
    case ItemKind::cable:
        return id + " cable";
    case ItemKind::connector:
        return id.empty() ? "Connector" : say_id(id);
    case ItemKind::mount:
        return call_mount(id);
    case ItemKind::hub:
        return id.empty() ? "Hub" : say_id(id);
    case ItemKind::transformer:
        return id + " transformer";
    }
    return {};
}

std::string print_need(const TakeOff& take_off, const TakeOffLine& line, LengthUnit unit) {
    if (line.kind != ItemKind::cable)
        return line.count > 0 ? fmt::format("{} needed", line.count) : "not needed here";
    double wanted = 0;
    for (const CableTakeOff& cable : take_off.cable)
        if (print_cable_id(cable.gauge) == line.id)
            wanted = cable.wanted;
    if (!(wanted > 0))
        return "not needed here";
    if (line.roll_length < 1.5) // by the foot or the metre, or not known
        return print_length(wanted, unit) + " needed";
    if (line.count == 0)
        return "none of these rolls needed";
    return fmt::format("{} of these rolls for {}", line.count, print_length(wanted, unit));
}

std::vector<SumWords> print_sums(const TakeOff& take_off) {
    std::vector<SumWords> sums{{"Materials", print_cents(take_off.materials_price)}};
    const LabourTakeOff& labour = take_off.labour;
    sums.push_back({fmt::format("Labour, {} hours", print_figure(labour.hours, 4)),
                    labour.price ? print_cents(*labour.price) : "?"});
    if (take_off.tax_share)
        sums.push_back({fmt::format("Tax, {} of {}", print_percent(*take_off.tax_share),
                                    print_cents(take_off.taxed_price)),
                        print_cents(take_off.tax)});
    sums.push_back({take_off.is_complete() ? "Total" : "Known so far",
                    print_cents(take_off.sum) + (take_off.currency.empty() ? "" : " " + take_off.currency)});
    return sums;
}

std::string print_gaps(const TakeOff& take_off) {
    return take_off.is_complete() ? ""
                                  : "What is still missing is marked. The sum is of what is known so far.";
}

} // namespace duskcast
