// The "network" block of a site file.

#include "read_network.hpp"

#include "network_messages.hpp"
#include "read_equipment.hpp"

namespace duskcast {
namespace {

using Reader = ObjectReader;

void read_transformer(Reader& reader, Transformer& transformer) {
    read_id(reader, transformer.id);
    require_all(reader, {"at", "va"});
    reader.point("at", transformer.at);
    reader.number("va", transformer.rating);
    reader.numbers("taps", transformer.taps);
    reader.maybe(&Reader::number, "tap", transformer.tap);
    reader.integer("secondaries", transformer.secondaries);
    reader.number("secondary_limit", transformer.secondary_limit);
}

/// What belongs to one layout only.
void check_layout_keys(Reader& reader, RunLayout layout) {
    if (layout == RunLayout::hub)
        reader.require("hub");
    else if (reader.has("hub"))
        reader.report("hub", messages::of_another_layout("hub", name_of(RunLayout::hub)));
    if (layout != RunLayout::centre_fed && reader.has("home"))
        reader.report("home", messages::of_another_layout("home", name_of(RunLayout::centre_fed)));
    if (layout == RunLayout::hub && reader.has("follow"))
        reader.report("follow", messages::hub_follows_nothing());
    if (reader.has("path") && reader.has("follow"))
        reader.report("follow", messages::excludes_key("follow", "path"));
}

void read_run(Reader& reader, CableRun& run) {
    read_id(reader, run.id);
    require_all(reader, {"gauge", "fixtures"});
    reader.text("transformer", run.transformer);
    reader.maybe(&Reader::number, "tap", run.tap);
    reader.integer("secondary", run.secondary);
    reader.integer("gauge", run.gauge);
    if (reader.word("layout", run_layout_names, run.layout) || !reader.has("layout"))
        check_layout_keys(reader, run.layout);
    reader.points("path", run.path);
    reader.text("follow", run.follow);
    reader.points("home", run.home);
    reader.text("hub", run.hub);
    reader.texts("fixtures", run.fixtures);
    reader.number("slack", run.slack);
    reader.length("lead", run.lead);
    reader.integer("lead_gauge", run.lead_gauge);
}

} // namespace

void read_network(Reader& reader, Network& network) {
    require_all(reader, {"transformers", "runs"});
    reader.each("transformers",
                [&](Reader& one) { read_transformer(one, network.transformers.emplace_back()); });
    reader.each("hubs", [&](Reader& one) {
        Hub& hub = network.hubs.emplace_back();
        read_id(one, hub.id);
        one.require("at");
        one.point("at", hub.at);
    });
    reader.each("runs", [&](Reader& one) { read_run(one, network.runs.emplace_back()); });
}

} // namespace duskcast
