#include "duskcast/power/load.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <map>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/site_file.hpp"
#include "run_circuit.hpp"

namespace duskcast {
namespace {

double exponent_of(Draw draw) {
    switch (draw) {
    case Draw::power:
        return 0;
    case Draw::current:
        return 1;
    case Draw::resistance:
        return 2;
    case Draw::halogen:
        return halogen_watts_exponent;
    }
    return 0;
}

/// What a lamp takes by its box, or its file where the box says nothing.
double find_watts(const Lamp& lamp, const std::filesystem::path& folder) {
    const double watts = lamp.watts > 0 ? lamp.watts : make_lamp_light(lamp, folder).watts;
    if (!(watts > 0) && !lamp.measured_watts)
        throw InputError(Problem{.what = fmt::format("the watts of lamp \"{}\" are not known, so the load "
                                                     "cannot be added up",
                                                     lamp.id),
                                 .remedy = "give \"watts\", or \"measured_watts\""});
    return watts;
}

class Measurer {
public:
    Measurer(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice)
        : site_(site), folder_(folder) {
        report_.choice = choice;
    }

    LoadReport measure() {
        if (!site_.network)
            throw InputError(Problem{.place = {.path = "network"},
                                     .what = "the site does not say how its fixtures are fed",
                                     .remedy = "add \"network\", or let --route propose one"});
        check_taps();
        for (const Fixture& fixture : site_.fixtures)
            add_fixture(fixture);
        for (const Transformer& transformer : site_.network->transformers)
            report_.transformers.push_back({.id = transformer.id,
                                            .at = transformer.at,
                                            .rating = transformer.rating,
                                            .secondary_limit = transformer.secondary_limit,
                                            .secondary_amps = std::vector<double>(
                                                static_cast<std::size_t>(transformer.secondaries), 0)});
        for (const CableRun& run : site_.network->runs)
            add_run(run);
        return std::move(report_);
    }

private:
    double tap_of_run(const CableRun& run) const {
        return report_.choice.tap.value_or(tap_of(*find_transformer(*site_.network, run), run));
    }

    /// A tap chosen for all runs must be one that all have and all lamps bear.
    void check_taps() const {
        if (!report_.choice.tap)
            return;
        const double volts = *report_.choice.tap;
        const auto refuse = [](std::string what, std::string remedy) {
            throw InputError(
                Problem{.place = {.path = "--tap"}, .what = std::move(what), .remedy = std::move(remedy)});
        };
        for (const CableRun& run : site_.network->runs) {
            const Transformer& transformer = *find_transformer(*site_.network, run);
            if (std::find(transformer.taps.begin(), transformer.taps.end(), volts) == transformer.taps.end())
                refuse(fmt::format("transformer \"{}\" has no tap of {} V", transformer.id, volts),
                       fmt::format("it has {} V", fmt::join(transformer.taps, ", ")));
        }
        for (const Fixture& fixture : site_.fixtures)
            if (const Lamp* lamp = find_lamp(site_, fixture.lamp); lamp && volts > max_volts_of(*lamp))
                refuse(fmt::format("a tap of {} V is over the {} V that lamp \"{}\" of fixture \"{}\" bears",
                                   volts, max_volts_of(*lamp), lamp->id, fixture.id),
                       "use a lower tap");
    }

    void add_fixture(const Fixture& fixture) {
        const Lamp* lamp = find_lamp(site_, fixture.lamp);
        if (lamp == nullptr)
            throw InputError(
                Problem{.what = fmt::format("fixture \"{}\" has no lamp \"{}\"", fixture.id, fixture.lamp),
                        .remedy = "name one of the site's lamps"});
        if (!watts_.contains(lamp->id))
            watts_[lamp->id] = find_watts(*lamp, folder_);
        const double named = watts_[lamp->id];
        index_[fixture.id] = report_.fixtures.size();
        lamps_.push_back(lamp);
        report_.fixtures.push_back({.id = fixture.id,
                                    .lamp = lamp->id,
                                    .named_watts = named * fixture.dimming,
                                    .asked_watts = lamp->measured_watts.value_or(named) * fixture.dimming,
                                    .operating_volts = operating_volts_of(*lamp),
                                    .is_range_assumed = !lamp->operating_volts});
    }

    void add_run(const CableRun& run) {
        RunLoad load{.id = run.id,
                     .transformer = find_transformer(*site_.network, run)->id,
                     .tap = tap_of_run(run),
                     .secondary = run.secondary,
                     .gauge = run.gauge,
                     .layout = run.layout,
                     .lead_gauge = run.lead_gauge};
        std::vector<double> heights;
        for (const std::string& id : run.fixtures) {
            load.fixtures.push_back(index_.at(id));
            heights.push_back(site_.fixtures[load.fixtures.back()].lens_height);
        }
        const CableCourse course = lay_cable(site_, run);
        RunCircuit made = make_run_circuit(run, course, site_.ground, load.tap, report_.choice.wire, heights);
        for (std::size_t i = 0; i < load.fixtures.size(); ++i) {
            FixtureLoad& fixture = report_.fixtures[load.fixtures[i]];
            const Lamp& lamp = *lamps_[load.fixtures[i]];
            fixture.run = report_.runs.size();
            fixture.joint = made.lamps[i];
            fixture.light = course.lights[i];
            made.circuit.loads.push_back({.node = made.lamps[i],
                                          .watts = fixture.asked_watts,
                                          .power_factor = power_factor_of(lamp),
                                          .rated_volts = lamp.rated_volts,
                                          .exponent = exponent_of(lamp.draw)});
            load.asked_watts += fixture.asked_watts;
            load.asked_volt_amperes += fixture.asked_watts / power_factor_of(lamp);
        }
        fill_distances(made, load);
        const OperatingPoint point = solve_circuit(made.circuit, report_.choice.is_share_asked);
        load.is_found = point.is_found;
        load.residual = point.residual;
        load.bearable_share = point.bearable_share;
        load.cables = std::move(made.cables);
        for (const CableLoad& cable : load.cables)
            (cable.part == CablePart::lead ? load.lead_length : load.cable_length) += cable.length;
        if (const double constant = trade_cable_constant(run.gauge); constant > 0)
            load.trade_drop =
                load.asked_watts *
                (cable_length_of(site_.ground, course.home) + cable_length_of(site_.ground, course.cable)) /
                metres_per_foot / constant;
        if (point.is_found)
            fill_run(made.circuit, point, load);
        add_to_transformer(load);
        report_.runs.push_back(std::move(load));
    }

    /// How much cable lies between the transformer and each lamp.
    void fill_distances(const RunCircuit& made, const RunLoad& load) {
        std::vector<double> distance(made.circuit.nodes, HUGE_VAL);
        distance[0] = 0;
        for (bool is_changed = true; is_changed;) { // a loop has two ways; the shorter counts
            is_changed = false;
            for (std::size_t i = 0; i < made.cables.size(); ++i) {
                const auto [from, to, ohms] = made.circuit.cables[i];
                for (const auto& [near, far] : {std::pair(from, to), std::pair(to, from)})
                    if (distance[near] + made.cables[i].length < distance[far] - 1e-9) {
                        distance[far] = distance[near] + made.cables[i].length;
                        is_changed = true;
                    }
            }
        }
        for (std::size_t i = 0; i < load.fixtures.size(); ++i)
            report_.fixtures[load.fixtures[i]].distance = distance[made.lamps[i]];
    }

    void fill_run(const Circuit& circuit, const OperatingPoint& point, RunLoad& load) {
        load.least_volts = HUGE_VAL;
        for (std::size_t i = 0; i < load.fixtures.size(); ++i) {
            FixtureLoad& fixture = report_.fixtures[load.fixtures[i]];
            fixture.volts = std::abs(point.volts[circuit.loads[i].node]);
            fixture.amps = std::abs(point.load_amps[i]);
            fixture.watts = point.load_apparent[i].real();
            fixture.volt_amperes = std::abs(point.load_apparent[i]);
            const double rounding = 1e-9;
            fixture.state = fixture.volts < fixture.operating_volts[0] - rounding   ? VoltageState::low
                            : fixture.volts > fixture.operating_volts[1] + rounding ? VoltageState::high
                                                                                    : VoltageState::good;
            load.watts += fixture.watts;
            load.most_volts = std::max(load.most_volts, fixture.volts);
            if (fixture.volts < load.least_volts) {
                load.least_volts = fixture.volts;
                load.lowest = load.fixtures[i];
            }
        }
        for (std::size_t i = 0; i < load.cables.size(); ++i) {
            CableLoad& cable = load.cables[i];
            const double from = std::abs(point.volts[circuit.cables[i].from]);
            cable.end_volts = std::abs(point.volts[circuit.cables[i].to]);
            cable.drop = std::abs(from - cable.end_volts);
            cable.amps = std::abs(point.cable_amps[i]);
            cable.lost = cable.amps * cable.amps * circuit.cables[i].ohms;
            load.lost += cable.lost;
        }
        load.amps = std::abs(point.source_amps);
        load.volt_amperes = load.tap * load.amps;
    }

    void add_to_transformer(const RunLoad& load) {
        for (TransformerLoad& transformer : report_.transformers) {
            if (transformer.id != load.transformer)
                continue;
            const double volt_amperes = load.is_found ? load.volt_amperes : load.asked_volt_amperes;
            transformer.volt_amperes += volt_amperes;
            transformer.is_whole = transformer.is_whole && load.is_found;
            transformer.secondary_amps[static_cast<std::size_t>(load.secondary - 1)] +=
                volt_amperes / load.tap;
        }
    }

    const Site& site_;
    const std::filesystem::path& folder_;
    LoadReport report_;
    std::map<std::string, double> watts_;      ///< by lamp
    std::map<std::string, std::size_t> index_; ///< by fixture
    std::vector<const Lamp*> lamps_;           ///< one a fixture
};

} // namespace

LoadReport measure_load(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice) {
    return Measurer(site, folder, choice).measure();
}

bool is_run_good(const LoadReport& report, const RunLoad& run) {
    return run.is_found && std::all_of(run.fixtures.begin(), run.fixtures.end(), [&](std::size_t i) {
               return report.fixtures[i].state == VoltageState::good;
           });
}

bool is_transformer_good(const TransformerLoad& transformer) {
    return transformer.is_whole && transformer.share() <= customary_share &&
           std::all_of(transformer.secondary_amps.begin(), transformer.secondary_amps.end(),
                       [&](double amps) { return amps <= transformer.secondary_limit; });
}

bool is_all_good(const LoadReport& report) {
    return std::all_of(report.runs.begin(), report.runs.end(),
                       [&](const RunLoad& run) { return is_run_good(report, run); }) &&
           std::all_of(report.transformers.begin(), report.transformers.end(), is_transformer_good);
}

std::size_t count_good_lamps(const LoadReport& report) {
    std::size_t count = 0;
    for (const FixtureLoad& fixture : report.fixtures)
        count += report.runs[fixture.run].is_found && fixture.state == VoltageState::good ? 1 : 0;
    return count;
}

} // namespace duskcast
