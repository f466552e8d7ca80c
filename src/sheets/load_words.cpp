#include "duskcast/sheets/load_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <limits>

#include "duskcast/base/table.hpp"
#include "duskcast/base/text.hpp"

namespace duskcast {
namespace {

std::string print_operating_range(const FixtureLoad& fixture, bool is_found) {
    const auto [low, high] = fixture.operating_volts;
    return fmt::format("{:<5} {}-{}", is_found ? name_of(fixture.state) : "-", print_number(low),
                       print_number(high));
}

/// The first column of a table: as wide as its widest id.
template <class Rows> TableColumn id_column(const std::string& head, std::size_t least, const Rows& rows) {
    constexpr std::size_t gap = 2;
    for (const auto& row : rows)
        least = std::max(least, count_characters(row.id));
    return {head, TableAlign::left, least + gap};
}

std::string print_known(bool is_known, double value, int decimals, const char* unit = "") {
    return is_known ? fmt::format("{:.{}f}{}", value, decimals, unit) : "-";
}

constexpr auto last_gap = "   "; ///< before a last column of words

std::vector<std::string> print_fixture_table(const LoadReport& report, LengthUnit unit) {
    const Table table({id_column("fixture", 11, report.fixtures),
                       id_column("run", 6, report.runs),
                       {"cable", TableAlign::right, 9},
                       {"volts", TableAlign::right, 8},
                       {"amps", TableAlign::right, 8},
                       {"watts", TableAlign::right, 8},
                       {last_gap + std::string("operating range"), TableAlign::left}});
    std::vector<std::string> lines{table.print_head()};
    for (const FixtureLoad& fixture : report.fixtures) {
        const RunLoad& run = report.runs[fixture.run];
        lines.push_back(table.print_row({fixture.id, run.id, print_cable_length(fixture.distance, unit),
                                         print_known(run.is_found, fixture.volts, 2),
                                         print_known(run.is_found, fixture.amps, 3),
                                         print_known(run.is_found, fixture.watts, 2),
                                         last_gap + print_operating_range(fixture, run.is_found)}));
    }
    return lines;
}

std::vector<std::string> print_run_table(const LoadReport& report, LengthUnit unit) {
    const Table table({id_column("run", 6, report.runs),
                       {"layout", TableAlign::left, 12},
                       {"gauge", TableAlign::right, 8},
                       {"tap", TableAlign::right, 7},
                       {"cable", TableAlign::right, 9},
                       {"leads", TableAlign::right, 9},
                       {"lamps", TableAlign::right, 7},
                       {"watts", TableAlign::right, 8},
                       {"amps", TableAlign::right, 8},
                       {"drop", TableAlign::right, 8},
                       {"lost", TableAlign::right, 8},
                       {"trade drop", TableAlign::right, 12}});
    std::vector<std::string> lines{table.print_head()};
    for (const RunLoad& run : report.runs)
        lines.push_back(table.print_row(
            {run.id, name_of(run.layout), fmt::format("{} AWG", run.gauge),
             fmt::format("{} V", print_number(run.tap)), print_cable_length(run.cable_length, unit),
             print_cable_length(run.lead_length, unit), std::to_string(run.fixtures.size()),
             print_known(true, run.is_found ? run.watts : run.asked_watts, 1),
             print_known(run.is_found, run.amps, 2), print_known(run.is_found, run.drop(), 2, " V"),
             print_known(run.is_found, run.lost, 1, " W"),
             print_known(run.trade_drop > 0, run.trade_drop, 2, " V")}));
    return lines;
}

std::vector<std::string> print_transformer_table(const LoadReport& report) {
    const Table table({id_column("transformer", 11, report.transformers),
                       {"rating", TableAlign::right, 9},
                       {"load", TableAlign::right, 9},
                       {"share", TableAlign::right, 8},
                       {last_gap + std::string("secondary amps"), TableAlign::left}});
    std::vector<std::string> lines{table.print_head()};
    for (const TransformerLoad& transformer : report.transformers) {
        std::string amps;
        for (const double one : transformer.secondary_amps)
            amps += fmt::format("{}{:.2f} of {}", amps.empty() ? last_gap : ", ", one,
                                print_number(transformer.secondary_limit));
        lines.push_back(
            table.print_row({transformer.id, fmt::format("{} VA", print_number(transformer.rating)),
                             fmt::format("{} VA", print_number(transformer.volt_amperes)),
                             print_share(transformer.share()), amps}));
    }
    return lines;
}

std::string count_of(std::size_t count, const char* one, const char* many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

/// Lamps in one state on a run, the one furthest off named.
std::string describe_state(const LoadReport& report, const RunLoad& run, VoltageState state) {
    std::size_t count = 0;
    const FixtureLoad* worst = nullptr;
    const auto away = [&](const FixtureLoad& fixture) {
        return state == VoltageState::low ? fixture.operating_volts[0] - fixture.volts
                                          : fixture.volts - fixture.operating_volts[1];
    };
    for (const std::size_t i : run.fixtures) {
        const FixtureLoad& fixture = report.fixtures[i];
        if (fixture.state != state)
            continue;
        ++count;
        if (worst == nullptr || away(fixture) > away(*worst))
            worst = &fixture;
    }
    if (worst == nullptr)
        return "";
    const bool is_low = state == VoltageState::low;
    return fmt::format(
        "Run {}: {} of {} {} {} operating range; the worst, {}, gets {:.2f} V and its range {} {} V.", run.id,
        count, count_of(run.fixtures.size(), "lamp", "lamps"),
        count == 1 ? (is_low ? "is below" : "is above") : (is_low ? "are below" : "are above"),
        count == 1 ? "its" : "their", worst->id, worst->volts, is_low ? "begins at" : "ends at",
        print_number(worst->operating_volts[is_low ? 0 : 1]));
}

std::string describe_no_point(const RunLoad& run) {
    return fmt::format("Run {} has no operating point: its lamps ask for {} W at the {} V tap and the cable "
                       "can bring them {} of that, {} W. They will not start, or will flicker and drop out.",
                       run.id, print_number(run.asked_watts), print_number(run.tap),
                       print_share(run.bearable_share), print_number(run.asked_watts * run.bearable_share));
}

constexpr double reserve = 0.3; ///< volts above the least that splices and cold nights may take

/// "9 V (assumed: the lamp gives no range)", "10 V (the lamp's own figure)".
std::string describe_least_volts(const FixtureLoad& fixture) {
    return fmt::format("{} V ({})", print_number(fixture.operating_volts[0]),
                       fixture.is_range_assumed ? "assumed: its lamp gives no range"
                                                : "its lamp's own figure");
}

/// The drop of a run whose lamps are all within their operating range.
std::string describe_drop(const LoadReport& report, const RunLoad& run) {
    const FixtureLoad* nearest = &report.fixtures[run.lowest]; // to the least it works from
    for (const std::size_t i : run.fixtures)
        if (const FixtureLoad& one = report.fixtures[i];
            one.volts - one.operating_volts[0] < nearest->volts - nearest->operating_volts[0])
            nearest = &one;
    const FixtureLoad& lowest = report.fixtures[run.lowest];
    const double spare = nearest->volts - nearest->operating_volts[0];
    const std::string drop = fmt::format("{:.2f} V at most, {} of the {} V tap", run.drop(),
                                         print_share(run.drop() / run.tap), print_number(run.tap));
    const bool is_much = run.drop() > customary_drop * run.tap;
    const bool is_low = lowest.volts < customary_volts;
    if (is_much || is_low) {
        std::string text = fmt::format(
            "Run {}: the drop is {}: {}. {} gets {:.2f} V and works from {}.", run.id, drop,
            is_much ? fmt::format("more than the customary {}", print_share(customary_drop)) +
                          (is_low ? fmt::format(", and less than {} V is left", print_number(customary_volts))
                                  : "")
                    : fmt::format("it leaves less than the customary {} V", print_number(customary_volts)),
            lowest.id, lowest.volts, describe_least_volts(lowest));
        return text + (lowest.is_range_assumed
                           ? " Check the lamp's data sheet: what is not made for it will be dim or flicker."
                           : " Lamps along the run may differ in brightness unless their drivers regulate.");
    }
    if (spare < reserve)
        return fmt::format("Run {}: all its lamps are within their operating range, {} by only {:.2f} V; the "
                           "drop is {}. It works from {}.",
                           run.id, nearest->id, spare, drop, describe_least_volts(*nearest));
    return fmt::format(
        "Run {}: voltage drop is no concern. It is {}, at {}, which gets {:.2f} V and works from "
        "{}.",
        run.id, drop, lowest.id, lowest.volts, describe_least_volts(lowest));
}

std::string describe_rating(const TransformerLoad& transformer) {
    const double share = transformer.share();
    const std::string given = fmt::format("Transformer {} {} {} VA, {} of its {} VA", transformer.id,
                                          transformer.is_whole ? "gives" : "would have to give about",
                                          print_number(transformer.volt_amperes), print_share(share),
                                          print_number(transformer.rating));
    if (share > 1)
        return given + ": it is overloaded.";
    if (share > customary_share)
        return fmt::format("{}: more than the customary {} ({} VA).", given, print_share(customary_share),
                           print_number(customary_share * transformer.rating));
    return fmt::format("{}; customary is {} at most ({} VA).", given, print_share(customary_share),
                       print_number(customary_share * transformer.rating));
}

/// "run A" or "runs A, B".
std::string name_runs(const std::vector<std::string>& runs) {
    return fmt::format("run{} {}", runs.size() > 1 ? "s" : "", fmt::join(runs, ", "));
}

std::string describe_second_transformer(const Advice& advice) {
    const SecondTransformer& second = advice.second;
    if (second.beside.empty())
        return fmt::format("Set a second transformer of {} VA at the middle of run {}",
                           print_number(second.rating), advice.changes.front().run);
    std::vector<std::string> moved;
    for (const RunChange& change : advice.changes)
        moved.push_back(change.run);
    return fmt::format(
        "Set a second transformer of {} VA beside {} and move {} to it, or put in one of {} VA "
        "or more",
        print_number(second.rating), second.beside, name_runs(moved), print_number(second.single_rating));
}

/// What is done, without the taps that go with it.
std::string describe_remedy(const Advice& advice, LengthUnit unit) {
    const std::string cable =
        fmt::format("{} {} cable", print_cable_length(std::abs(advice.more_cable), unit),
                    advice.more_cable < 0 ? "less" : "more");
    std::vector<std::string> runs;
    for (const RunChange& change : advice.changes)
        runs.push_back(
            advice.remedy == Remedy::next_tap    ? fmt::format("run {} from the {} V tap to the {} V tap",
                                                               change.run, change.old_tap, change.new_tap)
            : advice.remedy == Remedy::split_run ? fmt::format("{} after {}", change.run, change.split_after)
            : advice.remedy == Remedy::larger_gauge
                ? fmt::format("{} in {} AWG instead of {}", change.run, change.new_gauge, change.old_gauge)
                : change.run);
    switch (advice.remedy) {
    case Remedy::next_tap:
        return fmt::format("Move {}", fmt::join(runs, ", "));
    case Remedy::centre_feed:
        return fmt::format("Feed {} at the middle: {}", name_runs(runs), cable);
    case Remedy::split_run:
        return fmt::format("Split {}, each part with its own home run: {}", name_runs(runs), cable);
    case Remedy::larger_gauge:
        return fmt::format("Lay {}: {}", name_runs(runs), print_cable_length(advice.relaid_cable, unit));
    case Remedy::second_transformer:
        return describe_second_transformer(advice);
    }
    return "";
}

/// Such as "Run back: a cable to the hub, and from there a lead of 6 ft to 9 ft to each of its 4 lamps."
std::string describe_hub(const RunLoad& run, LengthUnit unit) {
    double shortest = std::numeric_limits<double>::infinity(), longest = 0;
    for (const CableLoad& cable : run.cables)
        if (cable.part == CablePart::lead) {
            shortest = std::min(shortest, cable.length);
            longest = std::max(longest, cable.length);
        }
    const std::string from = print_cable_length(shortest, unit), to = print_cable_length(longest, unit);
    return fmt::format("Run {}: a cable to the hub, and from there a lead of {} to {}.", run.id,
                       from == to ? to : fmt::format("{} to {}", from, to),
                       run.fixtures.size() == 1 ? "its lamp"
                                                : fmt::format("each of its {} lamps", run.fixtures.size()));
}

} // namespace

std::string name_of(VoltageState state) {
    return state == VoltageState::low ? "low" : state == VoltageState::good ? "good" : "high";
}

std::string print_wire_choice(const WireChoice& choice) {
    if (choice.table == WireTable::nec)
        return "stranded copper at 75 C (NEC chapter 9 table 8)";
    return fmt::format("stranded copper in soil at {} C (AWG, IEC 60028)", print_number(choice.soil_celsius));
}

std::string print_remedy(const Advice& advice, LengthUnit unit) {
    std::vector<std::string> taps;
    for (const TapChoice& choice : advice.taps)
        taps.push_back(fmt::format("{} on the {} V tap", choice.run, print_number(choice.volts)));
    const std::string what = describe_remedy(advice, unit);
    return taps.empty() ? what : fmt::format("{}; with {}", what, fmt::join(taps, ", "));
}

double round_cable_length(double metres, LengthUnit unit) {
    const double step = unit == LengthUnit::foot ? metres_per_foot : 0.1;
    const double rounding = 1e-6;
    return std::max(0.0, std::ceil(metres / step - rounding)) * step;
}

std::string print_cable_length(double metres, LengthUnit unit) {
    const double shown = round_cable_length(metres, unit);
    return unit == LengthUnit::foot ? fmt::format("{:.0f} ft", shown / metres_per_foot)
                                    : fmt::format("{:.1f} m", shown);
}

std::vector<std::string> print_load_table(const LoadReport& report, LengthUnit unit) {
    std::vector<std::string> lines;
    for (const std::vector<std::string>& table :
         {print_fixture_table(report, unit), print_run_table(report, unit),
          print_transformer_table(report)}) {
        if (!lines.empty())
            lines.emplace_back();
        lines.insert(lines.end(), table.begin(), table.end());
    }
    lines.emplace_back(
        "Trade drop is watts x feet / the trade's constant, for comparison: it leaves the return "
        "wire out and is not used.");
    return lines;
}

std::string print_load_figures(const LoadReport& report) {
    const std::size_t good = count_good_lamps(report), all = report.fixtures.size();
    double least = HUGE_VAL, most = 0;
    for (const RunLoad& run : report.runs)
        if (run.is_found) {
            least = std::min(least, run.least_volts);
            most = std::max(most, run.most_volts);
        }
    const std::string count = fmt::format("{} of {} {} operating range", good, count_of(all, "lamp", "lamps"),
                                          all == 1 ? "is within its" : "are within their");
    return most > 0 ? fmt::format("{}, {:.2f} to {:.2f} V", count, least, most) : count;
}

std::vector<std::string> print_load_verdict(const LoadReport& report, LengthUnit unit) {
    std::vector<std::string> lines;
    lines.push_back(is_all_good(report)
                        ? fmt::format("This works: {}.", print_load_figures(report))
                        : fmt::format("This does not work yet: {}.", print_load_figures(report)));
    double named = 0, asked = 0;
    for (const FixtureLoad& fixture : report.fixtures) {
        named += fixture.named_watts;
        asked += fixture.asked_watts;
    }
    for (const RunLoad& run : report.runs) {
        if (!run.is_found) {
            lines.push_back(describe_no_point(run));
            continue;
        }
        for (const VoltageState state : {VoltageState::low, VoltageState::high})
            if (const std::string line = describe_state(report, run, state); !line.empty())
                lines.push_back(line);
        if (is_run_good(report, run))
            lines.push_back(describe_drop(report, run));
        if (run.layout == RunLayout::hub)
            lines.push_back(describe_hub(run, unit));
    }
    const double noticeable = 0.02;
    if (named > 0 && std::abs(asked / named - 1) > noticeable)
        lines.push_back(fmt::format("Measured, the lamps take {} W where their boxes say {} W ({}).",
                                    print_number(asked), print_number(named), print_share(asked / named)));
    for (const TransformerLoad& transformer : report.transformers) {
        lines.push_back(describe_rating(transformer));
        for (std::size_t i = 0; i < transformer.secondary_amps.size(); ++i)
            if (transformer.secondary_amps[i] > transformer.secondary_limit)
                lines.push_back(fmt::format("Secondary {} of {} carries {:.1f} A, over its limit of {} A.",
                                            i + 1, transformer.id, transformer.secondary_amps[i],
                                            print_number(transformer.secondary_limit)));
    }
    std::string cables;
    for (const int gauge : cable_gauges) {
        double length = 0;
        for (const RunLoad& run : report.runs)
            length +=
                (run.gauge == gauge ? run.cable_length : 0) + (run.lead_gauge == gauge ? run.lead_length : 0);
        if (length > 0)
            cables += fmt::format("{}{} of {} AWG", cables.empty() ? "" : ", ",
                                  print_cable_length(length, unit), gauge);
    }
    lines.push_back(fmt::format("Cable with slack and leads: {}.", cables));
    return lines;
}

std::string print_trench(const TrenchPlan& plan, LengthUnit unit) {
    std::string text = fmt::format("Trench: {}", print_cable_length(plan.length, unit));
    std::vector<std::string> sleeves;
    for (const GroundStretch& sleeve : plan.sleeves)
        sleeves.push_back(fmt::format("{} under {}", print_cable_length(sleeve.length, unit),
                                      sleeve.area.empty() ? "paving" : sleeve.area));
    return sleeves.empty() ? text + "." : fmt::format("{}; in a sleeve {}.", text, fmt::join(sleeves, ", "));
}

std::vector<std::string> print_advice(const std::vector<Advice>& advice, LengthUnit unit) {
    std::vector<std::string> lines;
    for (const Advice& one : advice) {
        std::string line = fmt::format("{}. {}. Then {}", lines.size() + 1, print_remedy(one, unit),
                                       print_load_figures(one.report));
        for (const TransformerLoad& transformer : one.report.transformers)
            line += fmt::format("; {} at {}", transformer.id, print_share(transformer.share()));
        line += one.is_enough ? ": that is enough." : one.helps ? ": better, but not enough." : ": no help.";
        lines.push_back(line);
    }
    return lines;
}

std::vector<std::string> print_load_cautions(LengthUnit unit) {
    const bool is_foot = unit == LengthUnit::foot;
    const auto both = [&](const char* feet, const char* metres) {
        return is_foot ? fmt::format("{} ({})", feet, metres) : fmt::format("{} ({})", metres, feet);
    };
    return {
        std::string("The line-voltage side is work for a licensed electrician: a GFCI-protected receptacle "
                    "with an in-use cover for the transformer."),
        fmt::format("Keep lights and cable {} from pools, spas and fountains, unless they are made for it.",
                    both("10 ft", "3 m")),
        fmt::format("Cover over buried low-voltage cable is commonly {} or more, {} under a drive.",
                    both("6 in", "150 mm"), both("18 in", "450 mm")),
        std::string(
            "Have buried lines marked before digging (811 in the USA, two business days ahead), and dig "
            "by hand near the marks."),
        "These are estimates for a plan; lamps, splices and soil differ. Local code decides."};
}

std::vector<Problem> make_crossing_warnings(const std::vector<Crossing>& crossings, const LoadReport& report,
                                            LengthUnit unit) {
    std::vector<Problem> warnings;
    for (const Crossing& crossing : crossings)
        warnings.push_back(
            {Severity::warning,
             {.path = fmt::format("network.runs[{}]", crossing.run)},
             fmt::format("the cable of \"{}\" passes through \"{}\" for {}", report.runs[crossing.run].id,
                         crossing.obstacle, print_length(crossing.length, unit)),
             "route it around"});
    return warnings;
}

std::vector<Problem> make_low_voltage_warnings(const LoadReport& report) {
    std::vector<Problem> warnings;
    for (std::size_t i = 0; i < report.runs.size(); ++i) {
        const RunLoad& run = report.runs[i];
        std::vector<std::string> low;
        for (const std::size_t index : run.fixtures)
            if (const FixtureLoad& one = report.fixtures[index];
                run.is_found && (one.state == VoltageState::low || one.volts < customary_volts))
                low.push_back(one.id);
        if (run.is_found && low.empty())
            continue;
        warnings.push_back(
            {Severity::warning,
             {.path = fmt::format("network.runs[{}]", i)},
             run.is_found
                 ? fmt::format("low voltage, down to {:.2f} V, at {}", run.least_volts, fmt::join(low, ", "))
                 : "the run has no operating point: its lamps ask for more than the cable can bring",
             fmt::format("{} V or more is common practice; duskcast load says what helps",
                         print_number(customary_volts))});
    }
    return warnings;
}

std::vector<Problem> make_wired_light_warnings(const LoadReport& report) {
    std::vector<Problem> warnings;
    for (std::size_t i = 0; i < report.runs.size(); ++i) {
        const RunLoad& run = report.runs[i];
        std::string what;
        if (!run.is_found) {
            what = "the run has no operating point; its lamps stay dark";
        } else if (!is_run_good(report, run)) {
            std::vector<std::string> outside;
            for (const std::size_t index : run.fixtures)
                if (report.fixtures[index].state != VoltageState::good)
                    outside.push_back(report.fixtures[index].id);
            what = fmt::format("outside their operating range, so that their light is a guess: {}",
                               fmt::join(outside, ", "));
        }
        if (!what.empty())
            warnings.push_back({Severity::warning,
                                {.path = fmt::format("network.runs[{}]", i)},
                                std::move(what),
                                "see duskcast load"});
    }
    return warnings;
}

} // namespace duskcast
