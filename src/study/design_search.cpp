#include "duskcast/study/design_search.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

#include "climb.hpp"
#include "design_maker.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/study/tolerance.hpp"
#include "range_text.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_pairs = 64, followed_pairs = 16; ///< of lamp and count
constexpr std::size_t most_front = 8;
constexpr std::size_t most_grid = 100'000; ///< designs of the coarse search, of all lamps and counts together
constexpr int most_climb_steps = 90;
constexpr double cannot_be_built = -1e9; ///< as a score: under all others

/// A design as the search knows it.
struct Candidate {
    std::size_t count = 0;
    std::string lamp;
    std::vector<double> values;
    double value = 0;     ///< preference
    double shortfall = 0; ///< with the targets' sharp shares
    double score = 0;     ///< what is climbed: soft shares
    double spill = 0, watts = 0, price = 0, lumens = 0;
};

double over(double value, const std::optional<double>& cap) {
    return cap && value > *cap ? value / std::max(*cap, 1e-9) - 1 : 0;
}

double shortfall_of(const Figures& figures, const Wish& wish, const std::vector<std::string>& targets,
                    bool is_soft) {
    double sum = 0;
    for (const TargetFigures& target : figures.targets)
        if (std::find(targets.begin(), targets.end(), target.id) != targets.end())
            sum += std::max(0.0, target.wanted_share - (is_soft ? target.soft_share : target.share));
    sum += over(figures.watts, wish.most_watts) + over(figures.price.value_or(0), wish.most_price);
    sum += over(value_of(figures, Quantity::spill, wish.focus).value_or(0), wish.most_spill);
    sum += over(value_of(figures, Quantity::hot_spot, wish.focus).value_or(0), wish.most_hot_spot);
    sum += over(value_of(figures, Quantity::uniformity, wish.focus).value_or(0), wish.most_uniformity);
    return sum + over(figures.candela_to_eyes, wish.most_candela);
}

/// Preference scaled so that a shortfall of 1 % outweighs what may be gained by it.
double scaled_preference(const Figures& figures, const Wish& wish) {
    for (const TargetFigures& target : figures.targets)
        if (wish.prefer == Quantity::coverage && target.id == wish.focus.target)
            return target.soft_share;
    const double value = preference(figures, wish);
    return value / (1 + std::abs(value));
}

/// The least that must land on the targets named, by direct light. Of targets on one thing, which may
/// overlap, the one that wants most.
double measure_wanted_lumens(const Figures& drawn, const std::vector<std::string>& targets) {
    std::map<std::string, double> by_thing;
    for (const TargetFigures& target : drawn.targets) {
        if (std::find(targets.begin(), targets.end(), target.id) == targets.end())
            continue;
        double& most = by_thing[target.on.substr(0, target.on.find('.'))];
        most = std::max(most, target.level_lx * target.wanted_share * target.area);
    }
    double sum = 0;
    for (const auto& [thing, lumens] : by_thing)
        sum += lumens;
    return sum;
}

class Search {
public:
    Search(const Site& site, const std::filesystem::path& folder, const Freedom& freedom, const Wish& wish,
           const WorkbenchOptions& options, const Progress& progress)
        : folder_(folder), freedom_(freedom), wish_(wish), progress_(progress), maker_(site, folder, freedom),
          quick_(folder,
                 {.is_direct_only = true, .is_quick = true, .is_soft = true, .levels_lx = options.levels_lx}),
          fresh_(folder, options) {
        // What is met as drawn must stay so; what is not met, and not asked for, is another fixture's matter.
        const Figures drawn = quick_.measure({&site, 1}).front();
        for (const TargetFigures& target : drawn.targets)
            if (target.id == wish.focus.target || target.is_reached)
                targets_.push_back(target.id);
        // Ambient light comes from no lamp: with it nothing is known to be out of reach.
        if (options.is_direct_only || site.ambient == 0)
            wanted_lumens_ = measure_wanted_lumens(drawn, targets_);
        if (!options.is_direct_only)
            most_bounced_ = 2; // outdoors it adds some per cent
    }

    DesignSearch run() {
        struct Pair {
            std::size_t count;
            std::string lamp;
            std::vector<Candidate> starts; ///< best first
        };
        check_size();
        std::vector<Pair> pairs;
        for (std::size_t count = maker_.least(); count <= maker_.most(); ++count)
            for (const std::string& lamp : maker_.lamps())
                pairs.push_back({count, lamp, {}});
        for (std::size_t i = 0; i < pairs.size(); ++i) {
            pairs[i].starts = try_grid(pairs[i].count, pairs[i].lamp);
            report(0.4 * static_cast<double>(i + 1) / static_cast<double>(pairs.size()));
        }
        check_caps();
        std::erase_if(pairs, [](const Pair& pair) { return pair.starts.empty(); });
        sort_stably(pairs, [](const Pair& a, const Pair& b) {
            return a.starts.front().score > b.starts.front().score;
        });
        if (pairs.size() > most_pairs)
            pairs.resize(followed_pairs);
        for (std::size_t i = 0; i < pairs.size(); ++i) {
            const std::size_t starts = std::min<std::size_t>(pairs[i].starts.size(), i < 4 ? 2 : 1);
            for (std::size_t s = 0; s < starts; ++s)
                climb(pairs[i].starts[s]);
            report(0.4 + 0.5 * static_cast<double>(i + 1) / static_cast<double>(pairs.size()));
        }
        climb_from_rules();
        return finish();
    }

private:
    void report(double share) const {
        if (progress_)
            progress_(share);
    }

    /// Refuses a coarse search that would run for days.
    void check_size() const {
        double designs = static_cast<double>((maker_.most() - maker_.least() + 1) * maker_.lamps().size());
        for (const FreeKnob& knob : freedom_.knobs)
            designs *= static_cast<double>(DesignMaker::grid_of(knob).size());
        if (designs > static_cast<double>(most_grid))
            refuse(fmt::format("these ranges, lamps and counts make {} designs to begin with, more than {}",
                               print_number(designs), print_number(static_cast<double>(most_grid))),
                   "free fewer settings, or name fewer lamps or counts");
    }

    /// As the figures have it; without a score.
    Candidate candidate_of(const Figures& figures, double shortfall) const {
        return {.value = preference(figures, wish_),
                .shortfall = shortfall,
                .spill = value_of(figures, Quantity::spill, wish_.focus).value_or(0),
                .watts = figures.watts,
                .price = figures.price.value_or(0),
                .lumens = figures.spill.emitted_lm};
    }
    Candidate candidate_of(const Design& design) const {
        return candidate_of(design.figures, design.shortfall);
    }

    Candidate judge(std::size_t count, const std::string& lamp, const std::vector<double>& values,
                    const Figures& figures, const Site& made) const {
        const double off_beds = maker_.measure_off_beds(made);
        Candidate candidate = candidate_of(figures, shortfall_of(figures, wish_, targets_, false) + off_beds);
        candidate.count = count;
        candidate.lamp = lamp;
        candidate.values = values;
        candidate.score = scaled_preference(figures, wish_) -
                          100 * (shortfall_of(figures, wish_, targets_, true) + off_beds);
        return candidate;
    }

    std::vector<Candidate> try_grid(std::size_t count, const std::string& lamp) {
        std::vector<std::vector<double>> grid{{}};
        for (const FreeKnob& knob : freedom_.knobs) {
            std::vector<std::vector<double>> finer;
            for (const std::vector<double>& one : grid)
                for (const double value : DesignMaker::grid_of(knob)) {
                    finer.push_back(one);
                    finer.back().push_back(value);
                }
            grid = std::move(finer);
        }
        std::vector<Site> sites;
        std::erase_if(grid, [&](const std::vector<double>& values) {
            Site made = maker_.make(count, lamp, values);
            if (!maker_.can_be_built(made))
                return true;
            sites.push_back(std::move(made));
            return false;
        });
        const std::vector<Figures> figures = quick_.measure(sites);
        std::vector<Candidate> candidates;
        for (std::size_t i = 0; i < grid.size(); ++i)
            candidates.push_back(judge(count, lamp, grid[i], figures[i], sites[i]));
        pool_.insert(pool_.end(), candidates.begin(), candidates.end());
        sort_stably(candidates, [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
        candidates.resize(std::min<std::size_t>(candidates.size(), 3));
        return candidates;
    }

    /// Refuses what no design can do, before the long part of the search. Coverage is no less than its level
    /// on its share of the area, and light there is no more than what the lamps give.
    void check_caps() const {
        const auto keeps = [](double value, const std::optional<double>& cap) {
            return !cap || value <= *cap;
        };
        const auto least = [&](double Candidate::*figure) {
            double value = pool_.front().*figure;
            for (const Candidate& one : pool_)
                value = std::min(value, one.*figure);
            return value;
        };
        if (const double watts = least(&Candidate::watts); !keeps(watts, wish_.most_watts))
            refuse_for(
                "--max-watts",
                fmt::format(
                    "the whole site takes {} W with the least that may be chosen, over the {} W allowed",
                    print_number(watts), print_number(*wish_.most_watts)),
                "allow more watts, fewer fixtures or smaller lamps");
        if (const double price = least(&Candidate::price); !keeps(price, wish_.most_price))
            refuse_for("--max-price",
                       fmt::format("the cheapest that may be chosen comes to {}, over the {} allowed",
                                   print_number(price), print_number(*wish_.most_price)),
                       "allow a higher price, fewer fixtures or cheaper lamps");
        double lumens = 0;
        for (const Candidate& one : pool_)
            if (keeps(one.watts, wish_.most_watts) && keeps(one.price, wish_.most_price))
                lumens = std::max(lumens, one.lumens);
        lumens *= most_bounced_;
        if (const double wanted = wanted_lumens_; wanted > lumens)
            refuse_for(
                "targets",
                fmt::format("the targets that must be met want at least {} lm on them and what may be chosen "
                            "gives {} lm there at most: they exclude each other",
                            print_number(wanted), print_number(lumens)),
                "lower a target's level or share, or allow more watts, fixtures or brighter lamps");
    }

    /// From the best design found so far, moved to where the trade's rules would have it.
    void climb_from_rules() {
        const std::vector<DesignMaker::Rule> rules = maker_.rules();
        if (rules.empty())
            return;
        Candidate start = *std::min_element(pool_.begin(), pool_.end(), is_better);
        for (const DesignMaker::Rule& rule : rules)
            rule.lead(start.count, start.lamp, start.values);
        score(start, start.values.data());
        climb(start);
    }

    double score(const Candidate& start, const double* values) {
        const std::vector<double> tried(values, values + freedom_.knobs.size());
        const Site made = maker_.make(start.count, start.lamp, tried);
        if (!maker_.can_be_built(made))
            return cannot_be_built;
        pool_.push_back(judge(start.count, start.lamp, tried, quick_.measure({&made, 1}).front(), made));
        return pool_.back().score;
    }

    void climb(const Candidate& start) {
        if (freedom_.knobs.empty())
            return;
        std::vector<ClimbRange> ranges;
        for (const FreeKnob& knob : freedom_.knobs)
            ranges.push_back({knob.low, knob.high, (knob.high - knob.low) / 12});
        // What is tried goes into the pool, the best included.
        climb_from(start.values, ranges, most_climb_steps,
                   [&](const double* tried) { return score(start, tried); });
    }

    static bool is_better(const Candidate& a, const Candidate& b) {
        constexpr double alike = 1e-9;
        if (std::abs(a.shortfall - b.shortfall) > alike)
            return a.shortfall < b.shortfall;
        return a.value > b.value;
    }

    /// Differences too small to matter make no design of their own.
    static bool is_beaten(const Candidate& one, const Candidate& other) {
        return other.value >= one.value - 0.01 * std::abs(one.value) && other.spill <= one.spill + 0.005 &&
               other.watts <= one.watts && other.price <= one.price;
    }

    /// Candidates that no other beats in every respect, thinned out evenly by the preferred figure.
    std::vector<Candidate> find_front() {
        const Candidate& best = *std::min_element(pool_.begin(), pool_.end(), is_better);
        std::vector<Candidate> good;
        for (const Candidate& one : pool_)
            if (one.shortfall <= best.shortfall + 1e-9)
                good.push_back(one);
        sort_stably(good, is_better);
        std::vector<Candidate> front;
        for (const Candidate& one : good)
            if (std::none_of(front.begin(), front.end(),
                             [&](const Candidate& other) { return is_beaten(one, other); }))
                front.push_back(one);
        return thin_out(std::move(front));
    }

    /// Evenly; the first and the last stay.
    template <class Each> static std::vector<Each> thin_out(std::vector<Each> front) {
        if (front.size() <= most_front)
            return front;
        std::vector<Each> thinned;
        for (std::size_t i = 0; i < most_front; ++i)
            thinned.push_back(front[i * (front.size() - 1) / (most_front - 1)]);
        return thinned;
    }

    /// The front, and of every rule the best that keeps it, lit with fresh rays.
    DesignSearch finish() {
        std::vector<Candidate> chosen = find_front();
        const std::vector<DesignMaker::Rule> rules = maker_.rules();
        const auto keeps = [](const DesignMaker::Rule& rule, const auto& design) {
            return rule.is_kept(design.count, design.lamp, design.values);
        };
        for (const DesignMaker::Rule& rule : rules) {
            const Candidate* best = nullptr;
            for (const Candidate& one : pool_)
                if (keeps(rule, one) && (!best || is_better(one, *best)))
                    best = &one;
            if (best)
                chosen.push_back(*best);
        }
        std::vector<Design> designs;
        for (const Candidate& one : chosen) {
            Design design{.count = one.count, .lamp = one.lamp, .values = one.values};
            design.site = maker_.make(one.count, one.lamp, one.values);
            if (freedom_.is_each_by_itself && designs.empty())
                refine_each(design.site);
            design.figures = fresh_.measure({&design.site, 1}).front();
            design.figures.candela_to_eyes = quick_.measure({&design.site, 1}).front().candela_to_eyes;
            design.shortfall =
                shortfall_of(design.figures, wish_, targets_, false) + maker_.measure_off_beds(design.site);
            design.off_beds = maker_.list_off_beds(design.site);
            designs.push_back(std::move(design));
            report(0.95);
        }
        // Light by way of other surfaces may have changed the order.
        sort_stably(designs, [&](const Design& a, const Design& b) {
            return is_better(candidate_of(a), candidate_of(b));
        });
        DesignSearch found{.best = designs.front()};
        found.tried = pool_.size();
        found.targets = targets_;
        found.is_met = found.best.shortfall <= 1e-9;
        for (const DesignMaker::Rule& rule : rules) {
            RuleFinding finding{.name = rule.name, .rule = rule.text, .is_kept = keeps(rule, found.best)};
            for (const Design& design : designs) // best first
                if (keeps(rule, design) && !finding.best_keeping)
                    finding.best_keeping = value_of(design.figures, wish_.prefer, wish_.focus);
            found.rules.push_back(finding);
        }
        for (const Design& design : designs)
            if (design.shortfall <= found.best.shortfall + 1e-9 &&
                std::none_of(found.front.begin(), found.front.end(), [&](const Design& other) {
                    return is_beaten(candidate_of(design), candidate_of(other));
                }))
                found.front.push_back(design);
        found.front = thin_out(std::move(found.front)); // those that keep a rule came on top
        if (wish_.tolerance_samples > 0)
            find_robust(found);
        return found;
    }

    /// What is best on paper may stand on a ridge: the design that keeps most when it is installed a little
    /// off.
    void find_robust(DesignSearch& found) {
        const auto keeps_more = [&](const Design& a, const Design& b) {
            return facts_of(wish_.prefer).is_more_better ? *a.kept > *b.kept : *a.kept < *b.kept;
        };
        for (std::size_t i = 0; i < found.front.size(); ++i) {
            Design& design = found.front[i];
            const ToleranceReport report =
                measure_tolerance(design.site, folder_, wish_.focus, {}, wish_.tolerance_samples, 1, true);
            for (const FigureTolerance& figure : report.figures)
                if (figure.quantity == wish_.prefer && figure.target == wish_.focus.target)
                    design.kept = facts_of(wish_.prefer).is_more_better ? figure.low : figure.high;
            if (design.kept && (!found.most_robust || keeps_more(design, found.front[*found.most_robust])))
                found.most_robust = i;
        }
        found.best.kept = found.front.front().kept;
    }

    /// Tilt and turn of each fixture in turn, which costs no ray.
    void refine_each(Site& site) {
        const auto score_of = [&](const Site& made) {
            const Figures figures = quick_.measure({&made, 1}).front();
            return scaled_preference(figures, wish_) - 100 * shortfall_of(figures, wish_, targets_, true);
        };
        double best = score_of(site);
        for (double step = radians_from_degrees(4); step > radians_from_degrees(0.4); step /= 2)
            for (const std::size_t index : maker_.free_in(site))
                for (const Knob knob : {Knob::tilt, Knob::turn})
                    for (const double way : {step, -step}) {
                        Site tried = site;
                        Fixture& fixture = tried.fixtures[index];
                        double& value = knob == Knob::tilt ? fixture.tilt : fixture.turn;
                        value = knob == Knob::tilt ? std::clamp(value + way, 0.0, pi) : value + way;
                        if (fixture.azimuth && knob == Knob::turn)
                            continue;
                        if (!maker_.can_be_built(tried))
                            continue;
                        if (const double score = score_of(tried); score > best) {
                            best = score;
                            site = tried;
                        }
                    }
    }

    const std::filesystem::path& folder_;
    const Freedom& freedom_;
    const Wish& wish_;
    const Progress& progress_;
    DesignMaker maker_;
    Workbench quick_, fresh_;
    std::vector<std::string> targets_; ///< that count
    double wanted_lumens_ = 0;         ///< on them, at the least
    double most_bounced_ = 1;          ///< light on a target with what bounces, to that without, at the most
    std::vector<Candidate> pool_;
};

} // namespace

FreeKnob read_free_knob(const std::string& text, const Site& site) {
    const char* form = "write it as KEY=FROM..TO, such as tilt=0..30";
    const RangeText parts = split_range(text, form);
    if (parts.has_ends() && parts.knob == Knob::lamp)
        refuse("lamps make no range", "name them with --lamps");
    if (!parts.has_ends() || !parts.step.empty())
        refuse(fmt::format("\"{}\" is no range{}", text, parts.has_ends() ? " to search: it has a step" : ""),
               form);
    FreeKnob free{.knob = parts.knob};
    if (free.knob == Knob::along || free.knob == Knob::azimuth)
        refuse(fmt::format("{} cannot be searched over", name_of(free.knob)),
               "free are tilt, turn, setback, spacing, beam, bearing, lens_height and dimming");
    const Setting low = read_setting(free.knob, parts.from, site.units);
    const Setting high = read_setting(free.knob, parts.to, site.units);
    free.low = low.value;
    free.high = high.value;
    if (!(free.high > free.low))
        refuse(fmt::format("the range of {} is {}: from {} to {}", name_of(free.knob),
                           free.high < free.low ? "reversed" : "empty", print_value(site, low),
                           print_value(site, high)),
               "give the smaller end first");
    return free;
}

void read_count(const std::string& text, Freedom& freedom) {
    const std::size_t dots = text.find("..");
    const auto number = [&](const std::string& word) {
        std::size_t value = 0;
        if (word.empty() || word.size() > 3 || word.find_first_not_of("0123456789") != std::string::npos ||
            (value = std::stoul(word)) == 0 || value > 60)
            refuse(fmt::format("\"{}\" is no number of fixtures", word), "write 3, or 1..3; at most 60");
        return value;
    };
    freedom.least = number(text.substr(0, dots));
    freedom.most = dots == std::string::npos ? freedom.least : number(text.substr(dots + 2));
}

double preference(const Figures& figures, const Wish& wish) {
    const double value = value_of(figures, wish.prefer, wish.focus).value_or(0);
    return facts_of(wish.prefer).is_more_better ? value : -value;
}

DesignSearch search_designs(const Site& site, const std::filesystem::path& folder, const Freedom& freedom,
                            const Wish& wish, const WorkbenchOptions& options, const Progress& progress) {
    check_rules(freedom.rules);
    if (wish.most_hot_spot.value_or(1) < 1 || wish.most_uniformity.value_or(1) < 1)
        refuse("a ratio to the mean or of the mean is asked to be under 1",
               "1 is light without any difference");
    if (wish.most_spill.value_or(0) < 0)
        refuse("a spill under 0 % is asked for", "give a share of 0 to 100 %");
    const std::size_t most = std::max(freedom.most, freedom.least);
    if (freedom.knobs.empty() && freedom.lamps.size() < 2 && most <= freedom.fixtures.size())
        refuse("nothing is free to change", "free a setting with --vary tilt=0..30, or name several --lamps");
    return Search(site, folder, freedom, wish, options, progress).run();
}

} // namespace duskcast
