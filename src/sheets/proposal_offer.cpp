// The designs to choose from, and what they cost.

#include <algorithm>
#include <fmt/format.h>
#include <map>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/power/rewire.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/sheets/proposal.hpp"

namespace duskcast {

namespace {

constexpr std::size_t most_options = 4;

std::string model_name(const Site& site, const Fixture& fixture) {
    if (const FixtureModel* model = find_model(site.catalogue, fixture.model))
        return model->name.empty() ? model->id : model->name;
    return name_of(fixture.kind);
}

const Fixture* find_same(const Site& site, const std::string& id) {
    for (const Fixture& fixture : site.fixtures)
        if (fixture.id == id)
            return &fixture;
    return nullptr;
}

/// "2 more: M3, F6", "without P3", "another lamp or aim: U5".
std::vector<std::string> list_changes(const Site& proposed, const Site& site) {
    std::vector<std::string> more, fewer, other;
    for (const Fixture& fixture : site.fixtures) {
        const Fixture* same = find_same(proposed, fixture.id);
        if (same == nullptr)
            more.push_back(fixture.id);
        else if (!(*same == fixture))
            other.push_back(fixture.id);
    }
    for (const Fixture& fixture : proposed.fixtures)
        if (find_same(site, fixture.id) == nullptr)
            fewer.push_back(fixture.id);
    std::vector<std::string> changes;
    if (!more.empty())
        changes.push_back(titled(print_lights(site, more)) + " more");
    if (!fewer.empty())
        changes.push_back("Without " + print_lights(proposed, fewer));
    if (!other.empty())
        changes.push_back(titled(print_lights(site, other)) + " with another lamp, aim or place");
    return changes;
}

ProposalOption make_option(const Site& site, const std::filesystem::path& folder, const std::string& name,
                           const ProposalChoice& choice, const Business& business) {
    ProposalOption option{.name = name, .fixture_count = site.fixtures.size()};
    std::map<std::string, std::size_t> counts;
    for (const Fixture& fixture : site.fixtures) {
        ++counts[model_name(site, fixture)];
        if (const Lamp* lamp = find_lamp(site, fixture.lamp))
            option.watts += fixture.dimming * lamp->watts;
    }
    for (const auto& [model, count] : counts)
        option.fixtures.push_back(fmt::format("{} \u00d7 {}", count, model));
    TakeOffQuantities quantities = find_quantities(site);
    double drawn = option.watts;
    if (site.network) {
        const LoadReport load = measure_load(site, folder, {});
        quantities = find_quantities(site, load);
        drawn = measure_drawn_watts(load);
        option.has_cable = true;
    }
    quantities.hours = choice.labour_hours;
    if (choice.prices)
        option.take_off = make_take_off(quantities, find_prices(choice, business));
    option.energy = find_yearly_energy({drawn, business.hours_a_night, business.nights},
                                       choice.prices ? choice.prices->energy_price : std::nullopt);
    return option;
}

/// Less comes first: by the price where both are known, else by the number of fixtures.
bool is_less(const ProposalOption& one, const ProposalOption& other) {
    const auto total = [](const ProposalOption& option) {
        return option.take_off ? option.take_off->total() : std::nullopt;
    };
    if (total(one) && total(other) && one.has_cable == other.has_cable && *total(one) != *total(other))
        return *total(one) < *total(other);
    return one.fixture_count != other.fixture_count ? one.fixture_count < other.fixture_count
                                                    : one.watts < other.watts;
}

} // namespace

PriceList find_prices(const ProposalChoice& choice, const Business& business) {
    const auto put_on = [](Surcharge::Kind kind, double share) {
        return Surcharge{kind, static_cast<Millionths>(share * millionths_per_one + 0.5)};
    };
    const Surcharge usual = business.markup   ? put_on(Surcharge::Kind::markup, *business.markup)
                            : business.margin ? put_on(Surcharge::Kind::margin, *business.margin)
                                              : Surcharge{};
    return with_usual_surcharge(choice.prices.value(), usual);
}

std::vector<ProposalOption> make_options(const SiteFile& site_file, const ProposalChoice& choice,
                                         const Business& business, std::vector<Site>& sites) {
    const Site& proposed = site_file.site;
    struct Entry {
        ProposalOption option;
        Site site;
    };
    std::vector<Entry> entries;
    entries.push_back({make_option(proposed, site_file.folder(), "As proposed", choice, business), proposed});
    entries.back().option.is_proposed = true;
    for (const Variant& variant : proposed.variants) {
        if (variant.plants || entries.size() == most_options) // another season is no other design
            continue;
        Site site = make_variant(proposed, variant, site_file.folder());
        if (proposed.network)
            site.network = rewire(proposed, site);
        const std::string name =
            variant.name.empty() ? titled(spoken_name(variant.id)) : titled(variant.name);
        ProposalOption option = make_option(site, site_file.folder(), name, choice, business);
        option.changes = list_changes(proposed, site);
        entries.push_back({std::move(option), std::move(site)});
    }
    sort_stably(entries,
                [](const Entry& one, const Entry& other) { return is_less(one.option, other.option); });
    std::vector<ProposalOption> options;
    sites.clear();
    for (Entry& entry : entries) {
        options.push_back(std::move(entry.option));
        sites.push_back(std::move(entry.site));
    }
    return options;
}

} // namespace duskcast
