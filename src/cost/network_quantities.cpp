#include "duskcast/cost/network_quantities.hpp"

namespace duskcast {

TakeOffQuantities find_network_quantities(const Site& site, const LoadReport& report) {
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

double measure_drawn_watts(const LoadReport& report) {
    double watts = 0;
    for (const RunLoad& run : report.runs)
        watts += run.is_found ? run.watts + run.lost : run.asked_watts;
    return watts;
}

} // namespace duskcast
