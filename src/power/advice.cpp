#include "duskcast/power/advice.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <tuple>

#include "duskcast/base/sort_stably.hpp"

namespace duskcast {
namespace {

/// Larger is better: working runs, lamps within their operating range, what the worst run bears, transformers
/// within their ratings, and how little is drawn beyond the ratings.
auto score(const LoadReport& report) {
    std::size_t found = 0, relieved = 0;
    double bearable = 1, over = 0;
    for (const RunLoad& run : report.runs) {
        found += run.is_found ? 0 : 1;
        bearable = std::min(bearable, run.bearable_share);
    }
    for (const TransformerLoad& transformer : report.transformers) {
        relieved += is_transformer_good(transformer) ? 0 : 1;
        over += std::max(0.0, transformer.share() - customary_share);
    }
    const double step = 1e-6; // what solving leaves open is no difference
    return std::tuple(-static_cast<double>(found), count_good_lamps(report), std::round(bearable / step),
                      -static_cast<double>(relieved), -std::round(over / step));
}

class Adviser {
public:
    Adviser(const Site& site, const std::filesystem::path& folder, const LoadReport& now)
        : site_(site), folder_(folder), now_(now) {
        choice_.wire = now.choice.wire;
        for (CableRun& run : site_.network.value().runs) // a tap chosen for all becomes each run's own
            if (now.choice.tap)
                run.tap = now.choice.tap;
    }

    std::vector<Advice> find() {
        advise_tap();
        advise_runs(Remedy::centre_feed);
        advise_runs(Remedy::split_run);
        advise_runs(Remedy::larger_gauge);
        advise_second_transformer();
        return std::move(advice_);
    }

private:
    const std::vector<CableRun>& runs() const { return site_.network->runs; }
    LoadReport measure(const Network& network) const {
        Site changed = site_;
        changed.network = network;
        return measure_load(changed, folder_, choice_);
    }

    /// Solves the network of `advice` and keeps it, with the taps that suit the runs then.
    void add(Advice advice) {
        Network& network = advice.network;
        LoadReport& report = advice.report;
        report = measure(network);
        if (advice.remedy != Remedy::next_tap)
            for (std::size_t i = 0; i < network.runs.size(); ++i) {
                if (is_run_good(report, report.runs[i]))
                    continue;
                const double volts = find_best_tap(network, report, i);
                if (volts == report.runs[i].tap)
                    continue;
                network.runs[i].tap = volts;
                advice.taps.push_back({network.runs[i].id, volts});
                report = measure(network);
            }
        advice.helps = score(report) > score(now_);
        advice.is_enough = is_all_good(report);
        advice_.push_back(std::move(advice));
    }

    bool is_overloaded(const RunLoad& run) const {
        return std::any_of(now_.transformers.begin(), now_.transformers.end(), [&](const auto& transformer) {
            return transformer.id == run.transformer &&
                   transformer.secondary_amps[static_cast<std::size_t>(run.secondary - 1)] >
                       transformer.secondary_limit;
        });
    }

    /// The tap that puts most lamps of the run within their operating range, the lowest of several.
    double find_best_tap(Network network, const LoadReport& report, std::size_t index) const {
        const Transformer transformer = *find_transformer(network, network.runs[index]);
        double most = HUGE_VAL;
        for (const std::size_t i : report.runs[index].fixtures)
            most = std::min(most, max_volts_of(*find_lamp(site_, report.fixtures[i].lamp)));
        double best = report.runs[index].tap;
        auto best_score = score(report);
        for (const double volts : transformer.taps) {
            network.runs[index].tap = volts;
            if (volts > most || volts == report.runs[index].tap)
                continue;
            if (const auto tried = score(measure(network)); tried > best_score) {
                best_score = tried;
                best = volts;
            }
        }
        return best;
    }

    void advise_tap() {
        Advice advice{.remedy = Remedy::next_tap, .network = *site_.network};
        for (std::size_t i = 0; i < runs().size(); ++i) {
            if (is_run_good(now_, now_.runs[i]))
                continue;
            const double volts = find_best_tap(*site_.network, now_, i);
            if (volts == now_.runs[i].tap)
                continue;
            advice.network.runs[i].tap = volts;
            advice.changes.push_back({.run = runs()[i].id, .old_tap = now_.runs[i].tap, .new_tap = volts});
        }
        if (!advice.changes.empty())
            add(std::move(advice));
    }

    /// A daisy chain fed at its middle, its home run in the same trench.
    bool feed_at_centre(CableRun& run) const {
        if (run.layout != RunLayout::daisy_chain || run.fixtures.size() < 2)
            return false;
        run.path = explicit_path(run);
        run.follow.clear();
        run.layout = RunLayout::centre_fed;
        return true;
    }

    std::vector<glm::dvec2> explicit_path(const CableRun& run) const {
        return run.path.empty() ? lay_cable(site_, run).cable : run.path;
    }

    /// Two runs in one trench, the watts divided as evenly as the order of the lamps allows.
    std::vector<CableRun> split(const CableRun& run, const RunLoad& load) const {
        const bool is_chain = run.layout == RunLayout::daisy_chain || run.layout == RunLayout::hub;
        if (!is_chain || run.fixtures.size() < 2)
            return {run};
        std::size_t cut = 1;
        double sum = 0, best = HUGE_VAL;
        for (std::size_t i = 0; i + 1 < run.fixtures.size(); ++i) {
            sum += now_.fixtures[load.fixtures[i]].asked_watts;
            if (const double uneven = std::abs(sum - load.asked_watts / 2); uneven < best - 1e-9) {
                best = uneven;
                cut = i + 1;
            }
        }
        CableRun near = run, far = run;
        near.id = run.id + "-1";
        far.id = run.id + "-2";
        const auto middle = run.fixtures.begin() + static_cast<std::ptrdiff_t>(cut);
        near.fixtures.assign(run.fixtures.begin(), middle);
        far.fixtures.assign(middle, run.fixtures.end());
        if (run.layout == RunLayout::hub)
            return {near, far};
        const CableCourse course = lay_cable(site_, run);
        const double reach =
            *std::max_element(course.taps.begin(), course.taps.begin() + static_cast<std::ptrdiff_t>(cut));
        near.follow.clear();
        far.follow.clear();
        near.path = line_between(course.cable, 0, reach);
        far.path = course.cable;
        if (near.path.size() < 2)
            near.path.clear();
        return {near, far};
    }

    static int thicker(int gauge) {
        const auto here = std::find(cable_gauges.begin(), cable_gauges.end(), gauge);
        return here == cable_gauges.end() || here + 1 == cable_gauges.end() ? gauge : *(here + 1);
    }

    /// Metres.
    double measure_more_cable(const Network& network) const {
        double more = 0;
        for (const RunLoad& run : measure(network).runs)
            more += run.cable_length;
        for (const RunLoad& run : now_.runs)
            more -= run.cable_length;
        return more;
    }

    void advise_runs(Remedy remedy) {
        Advice advice{.remedy = remedy, .network = *site_.network};
        Network& network = advice.network;
        network.runs.clear();
        for (std::size_t i = 0; i < runs().size(); ++i) {
            CableRun run = runs()[i];
            const RunLoad& load = now_.runs[i];
            const bool is_bad = !is_run_good(now_, load);
            if (remedy == Remedy::centre_feed && is_bad && feed_at_centre(run)) {
                advice.changes.push_back({.run = run.id});
                network.runs.push_back(run);
            } else if (remedy == Remedy::split_run && (is_bad || is_overloaded(load))) {
                const std::vector<CableRun> parts = split(run, load);
                if (parts.size() > 1)
                    advice.changes.push_back({.run = run.id, .split_after = parts[0].fixtures.back()});
                network.runs.insert(network.runs.end(), parts.begin(), parts.end());
            } else if (remedy == Remedy::larger_gauge && is_bad && thicker(run.gauge) != run.gauge) {
                advice.relaid_cable += load.cable_length;
                run.gauge = find_gauge(i);
                advice.changes.push_back({.run = run.id, .old_gauge = load.gauge, .new_gauge = run.gauge});
                network.runs.push_back(run);
            } else {
                network.runs.push_back(run);
            }
        }
        if (advice.changes.empty())
            return;
        if (remedy != Remedy::larger_gauge)
            advice.more_cable = measure_more_cable(network);
        add(std::move(advice));
    }

    /// The next gauge with which the run works, or else the thickest.
    int find_gauge(std::size_t index) const {
        Network network = *site_.network;
        CableRun& run = network.runs[index];
        while (thicker(run.gauge) != run.gauge) {
            run.gauge = thicker(run.gauge);
            const LoadReport tried = measure(network);
            if (is_run_good(tried, tried.runs[index]))
                break;
        }
        return run.gauge;
    }

    /// At the middle of the worst run where lamps are starved; beside the first where it is overloaded.
    void advise_second_transformer() {
        std::size_t worst = runs().size();
        for (std::size_t i = 0; i < runs().size(); ++i) {
            const RunLoad& run = now_.runs[i];
            if (is_run_good(now_, run) || run.layout == RunLayout::hub || run.fixtures.size() < 2)
                continue;
            const auto need = [](const RunLoad& one) {
                return std::pair(one.bearable_share, one.is_found ? one.least_volts : 0.0);
            };
            if (worst == runs().size() || need(run) < need(now_.runs[worst]))
                worst = i;
        }
        if (worst < runs().size())
            feed_from_middle(worst);
        else
            relieve_transformer();
    }

    Transformer make_second(const Transformer& first, const glm::dvec2& at) const {
        Transformer second = first;
        second.at = at;
        for (int number = 2;
             std::any_of(site_.network->transformers.begin(), site_.network->transformers.end(),
                         [&](const Transformer& one) { return one.id == second.id; });
             ++number)
            second.id = fmt::format("{}-{}", first.id, number);
        return second;
    }

    static void name_transformers(Network& network, const std::string& first) {
        for (CableRun& run : network.runs)
            if (run.transformer.empty())
                run.transformer = first;
    }

    void feed_from_middle(std::size_t index) {
        Network network = *site_.network;
        const CableRun run = runs()[index];
        const Transformer first = *find_transformer(*site_.network, run);
        const CableCourse course = lay_cable(site_, run);
        const auto [low, high] = std::minmax_element(course.taps.begin(), course.taps.end());
        const double middle = (*low + *high) / 2;
        const Transformer second = make_second(first, point_along(course.cable, middle));
        name_transformers(network, first.id);
        network.transformers.push_back(second);
        CableRun back = run, ahead = run;
        for (CableRun* part : {&back, &ahead}) {
            part->transformer = second.id;
            part->secondary = 1;
            part->layout = RunLayout::daisy_chain;
            part->follow.clear();
            part->home.clear();
            part->fixtures.clear();
        }
        for (std::size_t i = 0; i < run.fixtures.size(); ++i) {
            if (course.taps[i] <= middle)
                back.fixtures.insert(back.fixtures.begin(), run.fixtures[i]);
            else
                ahead.fixtures.push_back(run.fixtures[i]);
        }
        back.id += "-1";
        ahead.id += "-2";
        back.path = line_between(course.cable, middle, *low);
        ahead.path = line_between(course.cable, middle, *high);
        network.runs.erase(network.runs.begin() + static_cast<std::ptrdiff_t>(index));
        for (const CableRun& part : {back, ahead})
            if (!part.fixtures.empty() && part.path.size() > 1)
                network.runs.push_back(part);
        add({.remedy = Remedy::second_transformer,
             .changes = {{.run = run.id}},
             .second = {.rating = first.rating},
             .network = std::move(network)});
    }

    /// The runs of an overloaded transformer shared out over two.
    void relieve_transformer() {
        for (const TransformerLoad& over : now_.transformers) {
            if (is_transformer_good(over))
                continue;
            Network network = *site_.network;
            name_transformers(network, over.id);
            const Transformer* first = nullptr;
            for (const Transformer& one : site_.network->transformers)
                if (one.id == over.id)
                    first = &one;
            const Transformer second = make_second(*first, first->at);
            network.transformers.push_back(second);
            std::vector<std::size_t> order;
            for (std::size_t i = 0; i < now_.runs.size(); ++i)
                if (now_.runs[i].transformer == over.id)
                    order.push_back(i);
            if (order.size() < 2)
                continue;
            sort_stably(order, [&](std::size_t a, std::size_t b) {
                return now_.runs[a].volt_amperes > now_.runs[b].volt_amperes;
            });
            double kept = 0, moved = 0;
            std::vector<RunChange> moved_runs;
            for (const std::size_t i : order) {
                if (kept <= moved) {
                    kept += now_.runs[i].volt_amperes;
                    continue;
                }
                moved += now_.runs[i].volt_amperes;
                network.runs[i].transformer = second.id;
                moved_runs.push_back({.run = network.runs[i].id});
            }
            add({.remedy = Remedy::second_transformer,
                 .changes = std::move(moved_runs),
                 .second = {.rating = first->rating,
                            .beside = over.id,
                            .single_rating = std::ceil(over.volt_amperes / customary_share)},
                 .network = std::move(network)});
            return;
        }
    }

    Site site_;
    const std::filesystem::path& folder_;
    const LoadReport& now_;
    LoadChoice choice_;
    std::vector<Advice> advice_;
};

} // namespace

std::vector<Advice> find_advice(const Site& site, const std::filesystem::path& folder,
                                const LoadReport& now) {
    return is_all_good(now) ? std::vector<Advice>{} : Adviser(site, folder, now).find();
}

} // namespace duskcast
