// The "network" block of a site file.

#include "print_network.hpp"

#include "names.hpp"

namespace duskcast {
namespace {

class NetworkPrinter : private TextMaker {
public:
    explicit NetworkPrinter(LengthUnit unit) : TextMaker(unit, LightUnit::lux) {}

    Text network(const Network& network) const {
        Object object;
        object.add("transformers",
                   list_of(network.transformers, [&](const Transformer& one) { return transformer(one); }));
        if (!network.hubs.empty())
            object.add("hubs", list_of(network.hubs, [&](const Hub& one) { return hub(one); }));
        object.add("runs", list_of(network.runs, [&](const CableRun& one) { return run(one); }));
        return object.text;
    }

private:
    Text transformer(const Transformer& transformer) const {
        const Transformer usual;
        Object object;
        object.add("id", word(transformer.id));
        object.add("at", point(transformer.at));
        object.add("va", number(transformer.rating));
        if (transformer.taps != usual.taps)
            object.add("taps", list_of(transformer.taps, [](double volts) { return number(volts); }));
        if (transformer.tap)
            object.add("tap", number(*transformer.tap));
        add_number(object, "secondaries", transformer.secondaries, usual.secondaries);
        add_number(object, "secondary_limit", transformer.secondary_limit, usual.secondary_limit);
        return object.text;
    }

    Text hub(const Hub& hub) const {
        Object object;
        object.add("id", word(hub.id));
        object.add("at", point(hub.at));
        return object.text;
    }

    Text run(const CableRun& run) const {
        const CableRun usual;
        Object object;
        object.add("id", word(run.id));
        add_word(object, "transformer", run.transformer, "");
        if (run.tap)
            object.add("tap", number(*run.tap));
        add_number(object, "secondary", run.secondary, usual.secondary);
        object.add("gauge", number(run.gauge));
        add_word(object, "layout", name_of(run.layout), name_of(usual.layout));
        if (!run.path.empty())
            object.add("path", points(run.path));
        add_word(object, "follow", run.follow, "");
        if (!run.home.empty())
            object.add("home", points(run.home));
        add_word(object, "hub", run.hub, "");
        object.add("fixtures", words(run.fixtures));
        add_number(object, "slack", run.slack, usual.slack);
        add_length(object, "lead", run.lead, usual.lead);
        add_number(object, "lead_gauge", run.lead_gauge, usual.lead_gauge);
        return object.text;
    }
};

} // namespace

Text make_network_text(const Network& network, LengthUnit unit) {
    return NetworkPrinter(unit).network(network);
}

std::string print_network(const Network& network, LengthUnit unit) {
    return "{\n  \"network\": " + print_text(make_network_text(network, unit), 2, line_width) + "\n}\n";
}

} // namespace duskcast
