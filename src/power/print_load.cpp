#include "duskcast/power/print_load.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace duskcast {
namespace {

std::string print_window(const FixtureLoad& fixture, bool is_found) {
    const std::string window =
        fmt::format("{}-{}", print_number(fixture.window[0]), print_number(fixture.window[1]));
    return is_found ? fmt::format("{:<5} {}", name_of(fixture.state), window)
                    : fmt::format("-     {}", window);
}

std::size_t widest(std::size_t least, const std::vector<std::string>& words) {
    for (const std::string& word : words)
        least = std::max(least, word.size());
    return least;
}

std::string count_of(std::size_t count, const char* one, const char* many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string trimmed(std::string line) {
    line.erase(line.find_last_not_of(' ') + 1);
    return line;
}

/// Lamps in one state on a run, the one furthest off named.
std::string describe_state(const LoadReport& report, const RunLoad& run, WindowState state) {
    std::size_t count = 0;
    const FixtureLoad* worst = nullptr;
    const auto away = [&](const FixtureLoad& fixture) {
        return state == WindowState::low ? fixture.window[0] - fixture.volts
                                         : fixture.volts - fixture.window[1];
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
    const bool is_low = state == WindowState::low;
    return fmt::format("Run {}: {} of {} {} its window, {} at worst with {:.2f} V, where its window {} {} V.",
                       run.id, count, count_of(run.fixtures.size(), "lamp", "lamps"),
                       count == 1 ? (is_low ? "is below" : "is above") : (is_low ? "are below" : "are above"),
                       worst->id, worst->volts, is_low ? "begins at" : "ends at",
                       print_number(worst->window[is_low ? 0 : 1]));
}

std::string describe_no_point(const RunLoad& run) {
    return fmt::format("Run {} has no operating point: its lamps ask for {} W at the {} V tap and the cable "
                       "can bring them {} of that, {} W. They will not start, or flicker and drop out.",
                       run.id, print_number(run.asked_watts), print_number(run.tap),
                       print_share(run.bearable_share), print_number(run.asked_watts * run.bearable_share));
}

constexpr double reserve = 0.3; ///< volts above a window's beginning that splices and cold nights may take

/// Drop where every lamp is in its window.
std::string describe_drop(const LoadReport& report, const RunLoad& run) {
    const FixtureLoad* nearest = &report.fixtures[run.lowest]; // to the beginning of its window
    for (const std::size_t i : run.fixtures)
        if (const FixtureLoad& one = report.fixtures[i];
            one.volts - one.window[0] < nearest->volts - nearest->window[0])
            nearest = &one;
    if (const double spare = nearest->volts - nearest->window[0]; spare < reserve)
        return fmt::format("Run {}: all its lamps are within their windows, {} by {:.2f} V only; the drop is "
                           "{:.2f} V at most, {} of the {} V tap.",
                           run.id, nearest->id, spare, run.drop(), print_share(run.drop() / run.tap),
                           print_number(run.tap));
    const FixtureLoad& lowest = report.fixtures[run.lowest];
    return fmt::format(
        "Run {}: voltage drop is no concern. It is {:.2f} V at most, {} of the {} V tap, at {}, "
        "which gets {:.2f} V and works from {} V.",
        run.id, run.drop(), print_share(run.drop() / run.tap), print_number(run.tap), lowest.id, lowest.volts,
        print_number(lowest.window[0]));
}

std::string describe_transformer(const TransformerLoad& transformer) {
    const double share = transformer.share();
    const std::string given = fmt::format("Transformer {} gives {}{} VA, {} of its {} VA", transformer.id,
                                          transformer.is_whole ? "" : "or would give about ",
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

} // namespace

std::string print_cable_length(double metres, LengthUnit unit) {
    const double rounding = 1e-6;
    if (unit == LengthUnit::foot)
        return fmt::format("{:.0f} ft", std::ceil(metres / metres_per_foot - rounding));
    return fmt::format("{:.1f} m", std::ceil(metres * 10 - rounding) / 10);
}

std::vector<std::string> print_load_table(const LoadReport& report, LengthUnit unit) {
    std::vector<std::string> ids, run_ids, transformer_ids, lines;
    for (const FixtureLoad& fixture : report.fixtures)
        ids.push_back(fixture.id);
    for (const RunLoad& run : report.runs)
        run_ids.push_back(run.id);
    for (const TransformerLoad& transformer : report.transformers)
        transformer_ids.push_back(transformer.id);
    const std::size_t id = widest(11, ids) + 2, run_id = widest(6, run_ids) + 2,
                      transformer_id = widest(11, transformer_ids) + 2;
    const auto figure = [](bool is_known, double value, int decimals) {
        return is_known ? fmt::format("{:.{}f}", value, decimals) : std::string("-");
    };

    lines.push_back(fmt::format("{:<{}}{:<{}}{:>9}{:>8}{:>8}{:>8}   {}", "fixture", id, "run", run_id,
                                "cable", "volts", "amps", "watts", "window"));
    for (const FixtureLoad& fixture : report.fixtures) {
        const RunLoad& run = report.runs[fixture.run];
        lines.push_back(trimmed(
            fmt::format("{:<{}}{:<{}}{:>9}{:>8}{:>8}{:>8}   {}", fixture.id, id, run.id, run_id,
                        print_cable_length(fixture.distance, unit), figure(run.is_found, fixture.volts, 2),
                        figure(run.is_found, fixture.amps, 3), figure(run.is_found, fixture.watts, 2),
                        print_window(fixture, run.is_found))));
    }
    lines.emplace_back();
    lines.push_back(fmt::format("{:<{}}{:<12}{:>8}{:>7}{:>9}{:>9}{:>7}{:>8}{:>8}{:>8}{:>8}{:>12}", "run",
                                run_id, "layout", "gauge", "tap", "cable", "leads", "lamps", "watts", "amps",
                                "drop", "lost", "trade drop"));
    for (const RunLoad& run : report.runs)
        lines.push_back(trimmed(fmt::format(
            "{:<{}}{:<12}{:>8}{:>7}{:>9}{:>9}{:>7}{:>8}{:>8}{:>8}{:>8}{:>12}", run.id, run_id,
            name_of(run.layout), fmt::format("{} AWG", run.gauge), fmt::format("{} V", print_number(run.tap)),
            print_cable_length(run.cable_length, unit), print_cable_length(run.lead_length, unit),
            run.fixtures.size(), figure(true, run.is_found ? run.watts : run.asked_watts, 1),
            figure(run.is_found, run.amps, 2),
            run.is_found ? fmt::format("{:.2f} V", run.drop()) : std::string("-"),
            run.is_found ? fmt::format("{:.1f} W", run.lost) : std::string("-"),
            run.trade_drop > 0 ? fmt::format("{:.2f} V", run.trade_drop) : std::string("-"))));
    lines.emplace_back();
    lines.push_back(fmt::format("{:<{}}{:>9}{:>9}{:>8}   {}", "transformer", transformer_id, "rating", "load",
                                "share", "secondary amps"));
    for (const TransformerLoad& transformer : report.transformers) {
        std::string amps;
        for (const double one : transformer.secondary_amps)
            amps += fmt::format("{}{:.2f} of {}", amps.empty() ? "" : ", ", one,
                                print_number(transformer.secondary_limit));
        lines.push_back(fmt::format("{:<{}}{:>9}{:>9}{:>8}   {}", transformer.id, transformer_id,
                                    fmt::format("{} VA", print_number(transformer.rating)),
                                    fmt::format("{} VA", print_number(transformer.volt_amperes)),
                                    print_share(transformer.share()), amps));
    }
    lines.emplace_back(
        "Trade drop is watts x feet / the trade's constant, for comparison: it leaves the return "
        "wire out and is not used.");
    return lines;
}

std::string print_load_figures(const LoadReport& report) {
    double least = HUGE_VAL, most = 0;
    for (const RunLoad& run : report.runs)
        if (run.is_found) {
            least = std::min(least, run.least_volts);
            most = std::max(most, run.most_volts);
        }
    const std::string count = fmt::format("{} of {} within their windows", count_good_lamps(report),
                                          count_of(report.fixtures.size(), "lamp", "lamps"));
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
        for (const WindowState state : {WindowState::low, WindowState::high})
            if (const std::string line = describe_state(report, run, state); !line.empty())
                lines.push_back(line);
        if (is_run_good(report, run))
            lines.push_back(describe_drop(report, run));
    }
    const double noticeable = 0.02;
    if (named > 0 && std::abs(asked / named - 1) > noticeable)
        lines.push_back(fmt::format("Measured, the lamps take {} W where their boxes say {} W ({}).",
                                    print_number(asked), print_number(named), print_share(asked / named)));
    for (const TransformerLoad& transformer : report.transformers) {
        lines.push_back(describe_transformer(transformer));
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

std::vector<std::string> print_advice(const std::vector<Advice>& advice) {
    std::vector<std::string> lines;
    for (const Advice& one : advice) {
        std::string line =
            fmt::format("{}. {}. Then {}", lines.size() + 1, one.what, print_load_figures(one.report));
        for (const TransformerLoad& transformer : one.report.transformers)
            line += fmt::format("; {} at {}", transformer.id, print_share(transformer.share()));
        line += one.is_enough ? ": that is enough." : one.helps ? ": better, but not enough." : ": no help.";
        lines.push_back(line);
    }
    return lines;
}

std::vector<std::string> load_cautions(LengthUnit unit) {
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

} // namespace duskcast
