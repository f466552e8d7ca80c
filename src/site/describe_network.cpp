// The keys of transformers, hubs and runs of cable.

#include "described.hpp"
#include "object_rules.hpp"

namespace duskcast {
namespace {

constexpr double least_tap = 1;
constexpr double most_tap = 30;  ///< low-voltage lighting: at most 30 V (NEC article 411)
constexpr double most_lead = 30; ///< metres; a longer one is a misplaced path

} // namespace

const Fields* transformer_fields() {
    static const Fields fields = describe<Transformer>(
        "transformer", "Mains to low voltage.",
        {id_row(&Transformer::id),
         {"at", point(&Transformer::at), needed, "Where it hangs or stands."},
         {"va", number(&Transformer::rating), needed_in(between(1, 10000), "VA"), "Rating in volt-amperes."},
         {"taps",
          numbers(&Transformer::taps),
          {.range = between(least_tap, most_tap), .unit = "V", .least_items = 1},
          "Volts of its taps, low to high."},
         {"tap", number(&Transformer::tap), within(between(least_tap, most_tap), "V"),
          "The tap in use where a run says none; left out: the lowest."},
         {"secondaries", count(&Transformer::secondaries), within(between(1, 12)),
          "Secondary circuits, each with its own limit."},
         {"secondary_limit", number(&Transformer::secondary_limit), within(between(0.1, 1000), "A"),
          "Amps that a secondary circuit may carry."}});
    return &fields;
}

const Fields* hub_fields() {
    static const Fields fields =
        describe<Hub>("hub", "Where the leads of several fixtures come together.",
                      {id_row(&Hub::id), {"at", point(&Hub::at), needed, "Where it is."}});
    return &fields;
}

const Fields* cable_run_fields() {
    static const Fields fields = [] {
        const std::vector<int> gauges(cable_gauges.begin(), cable_gauges.end());
        Fields made = describe<CableRun>(
            "cable_run", "A cable and the fixtures on it.",
            {id_row(&CableRun::id),
             {"transformer",
              reference(&CableRun::transformer),
              {},
              "Id of the transformer that feeds it; not needed where there is one only."},
             {"tap", number(&CableRun::tap), within(between(least_tap, most_tap), "V"),
              "Volts that feed it; left out: the transformer's tap."},
             {"secondary", count(&CableRun::secondary), within(between(1, 12)),
              "Which of the transformer's secondary circuits, from 1."},
             {"gauge",
              count(&CableRun::gauge),
              {.is_required = true, .choices = gauges},
              "American wire gauge of each conductor."},
             {"layout",
              word(&CableRun::layout, run_layout_names),
              {},
              "\"daisy-chain\" from fixture to fixture; \"centre-fed\" the same, fed at its middle; \"hub\" "
              "each "
              "fixture on its own lead from a hub; \"loop\" back to the transformer."},
             {"path",
              path(&CableRun::path),
              {},
              "Where the cable lies, from the transformer on; left out: straight from fixture to fixture. "
              "With "
              "\"hub\": the way to the hub."},
             {"follow",
              reference(&CableRun::follow),
              {},
              "Id of a wall, ground area or shrub whose edge the cable follows; not together with \"path\"."},
             {"home",
              path(&CableRun::home),
              {},
              "Home run of a centre-fed cable, from the transformer; left out: in the cable's own trench."},
             {"hub", reference(&CableRun::hub), {}, "Id of the hub."},
             {"fixtures",
              references(&CableRun::fixtures),
              {.is_required = true, .least_items = 1},
              "Ids of its fixtures in the order that the cable reaches them."},
             {"slack", number(&CableRun::slack), within(between(0, 2)),
              "More cable than the way it goes, as a share of it."},
             {"lead", length(&CableRun::lead), within(distance(most_lead)),
              "Wire of each fixture beyond its distance from the cable and its height."},
             {"lead_gauge",
              count(&CableRun::lead_gauge),
              {.choices = gauges},
              "American wire gauge of each conductor of the fixtures' leads."},
             {"sleeved",
              truth(&CableRun::is_sleeved),
              {},
              "Lies in a sleeve, which is conduit, wherever it crosses paving."}});
        made.rules = hook(check_run_keys);
        made.schema_rules = R"({"allOf": [
            {"if": {"properties": {"layout": {"const": "hub"}}, "required": ["layout"]},
             "then": {"required": ["hub"], "not": {"required": ["follow"]}},
             "else": {"not": {"required": ["hub"]}}},
            {"if": {"properties": {"layout": {"const": "centre-fed"}}, "required": ["layout"]},
             "else": {"not": {"required": ["home"]}}},
            {"not": {"required": ["path", "follow"]}}]})";
        return made;
    }();
    return &fields;
}

const Fields* network_fields() {
    static const Fields fields = describe<Network>(
        "network",
        "How the fixtures are fed: transformers and runs of cable. Every fixture is then on one run.",
        {{"transformers",
          objects(&Network::transformers, transformer_fields),
          {.is_required = true, .least_items = 1},
          "Transformers."},
         {"hubs",
          objects(&Network::hubs, hub_fields),
          {},
          "Places where the leads of several fixtures come together."},
         {"runs",
          objects(&Network::runs, cable_run_fields),
          {.is_required = true, .least_items = 1},
          "Runs of cable."}});
    return &fields;
}

} // namespace duskcast
