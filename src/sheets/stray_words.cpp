#include "duskcast/sheets/stray_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/sort_stably.hpp"

namespace duskcast {

namespace {

constexpr std::size_t most_lenses = 4; ///< named for one eye
constexpr double least_candela = 1;    ///< fainter lenses are not listed

class StrayPrinter {
public:
    StrayPrinter(const Site& site, const StrayReport& report) : site_(site), report_(report) {}

    std::vector<std::string> print() {
        lines_.push_back(
            fmt::format("Stray light{}", report_.zone ? ", zone " + name_of(*report_.zone) : std::string()));
        if (!report_.watch_points.empty())
            print_watch_points();
        if (!report_.fixtures_in_view.empty())
            print_eyes();
        print_sky();
        if (report_.zone)
            lines_.push_back(fmt::format("  {} Check local rules.", stray_note));
        for (std::size_t i = 0; i < sources_.size(); ++i)
            lines_.push_back(fmt::format("  [{}] {}", i + 1, name_of(sources_[i])));
        return std::move(lines_);
    }

private:
    std::string light(double lux) const { return print_illuminance(lux, site_.light); }

    /// "0.46 fc [1]"; the sources follow once, below everything.
    std::string cite(const StrayLimit& limit, const std::string& shown) {
        auto known = std::find(sources_.begin(), sources_.end(), limit.source);
        if (known == sources_.end())
            known = sources_.insert(known, limit.source);
        return fmt::format("{} [{}]", shown, known - sources_.begin() + 1);
    }

    /// "Zone E2, upright: 5 lx [1] before curfew, 1 lx [2] after."
    template <class Print>
    void add_limits(const char* what, const std::optional<StrayLimit>& early,
                    const std::optional<StrayLimit>& late, Print print) {
        if (!report_.zone)
            return;
        std::string text;
        for (const auto& [limit, when] : {std::pair(&early, "before curfew"), std::pair(&late, "after")})
            if (*limit)
                text += fmt::format("{}{} {}", text.empty() ? "" : ", ",
                                    cite(**limit, print((*limit)->value)), when);
        lines_.push_back(fmt::format("  Zone {}, {}: {}.", name_of(*report_.zone), what,
                                     text.empty() ? "no figure" : text));
    }

    void print_watch_points() {
        lines_.push_back(
            fmt::format("{:<24}{:<15}{:>13}{:>9}   most from", "watch point", "", "upright", "facing"));
        bool has_worst = false;
        for (const WatchReport& watch : report_.watch_points) {
            const double total = watch.direct_lx + watch.bounced_lx;
            std::string line =
                fmt::format("{:<24}{:<15}{:>13}", watch.id,
                            watch.kind == WatchKind::window ? "window" : "property line", light(total));
            if (total > 0) {
                // Padding counts bytes, and the degree sign has two.
                line += fmt::format("{:>10}{}", print_angle(watch.facing), watch.is_worst ? "*" : " ");
                has_worst = has_worst || watch.is_worst;
            }
            if (!watch.most_from.empty())
                line += fmt::format("  {} ({})", watch.most_from, light(watch.most_lx));
            else if (total > 0)
                line += "  no lens directly";
            if (watch.glow_lx > 0)
                line += fmt::format("; lit windows and lanterns add {}", light(watch.glow_lx));
            lines_.push_back(line);
        }
        if (has_worst)
            lines_.emplace_back("  * the direction that gets the most light");
        add_limits("upright", report_.limits.vertical_lx, report_.limits.late_vertical_lx,
                   [&](double lux) { return light(lux); });
    }

    void print_eyes() {
        lines_.push_back(fmt::format("{:<24}{:<15}{:>13}{:>9}   off the line of sight", "eye", "lens",
                                     "towards it", "in sight"));
        for (std::size_t i = 0; i < report_.fixtures_in_view.size();) {
            const std::string eye = report_.fixtures_in_view[i].eye;
            std::vector<FixtureInView> seen;
            for (; i < report_.fixtures_in_view.size() && report_.fixtures_in_view[i].eye == eye; ++i)
                if (report_.fixtures_in_view[i].candela >= least_candela)
                    seen.push_back(report_.fixtures_in_view[i]);
            sort_stably(seen,
                        [](const FixtureInView& a, const FixtureInView& b) { return a.candela > b.candela; });
            if (seen.empty())
                lines_.push_back(fmt::format("{:<24}no lens sends it 1 cd or more", eye));
            for (std::size_t k = 0; k < std::min(seen.size(), most_lenses); ++k)
                lines_.push_back(fmt::format(
                    "{:<24}{:<15}{:>13}{:>9}   {}", eye, seen[k].fixture,
                    print_number(seen[k].candela) + " cd", print_share(seen[k].visible_share),
                    seen[k].off_sight ? print_angle(*seen[k].off_sight) : std::string("not given")));
            if (seen.size() > most_lenses)
                lines_.push_back(fmt::format("{:<24}and {} more, {} cd at most", eye,
                                             seen.size() - most_lenses,
                                             print_number(seen[most_lenses].candela)));
        }
        add_limits("of one fixture", report_.limits.candela, report_.limits.late_candela,
                   [](double candela) { return print_number(candela) + " cd"; });
    }

    void print_sky() {
        lines_.push_back(
            fmt::format("{} of the lumens leave above the horizontal; {} meet nothing on the way "
                        "to the sky.",
                        print_share(report_.upward_share), print_share(report_.sky_share)));
        if (report_.limits.upward_share)
            lines_.push_back(fmt::format(
                "  Zone {}, above the horizontal: {}.", name_of(*report_.zone),
                cite(*report_.limits.upward_share, print_share(report_.limits.upward_share->value))));
    }

    const Site& site_;
    const StrayReport& report_;
    std::vector<std::string> lines_;
    std::vector<LimitSource> sources_; ///< of the limits, in the order they are cited
};

} // namespace

const char* name_of(LimitSource source) {
    return source == LimitSource::quoted ? "CIE 150:2003 / EN 12193:2008, as quoted by a secondary source"
                                         : "CIE 150:2003, from memory, unconfirmed";
}

std::vector<std::string> print_stray(const Site& site, const StrayReport& report) {
    return StrayPrinter(site, report).print();
}

} // namespace duskcast
