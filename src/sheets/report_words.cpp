#include "duskcast/sheets/report_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <map>
#include <utility>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/table.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

constexpr double seen_alike = 0.5 * metres_per_foot; ///< heights that nobody tells apart at night
constexpr double dark_foot = 4 * metres_per_foot;    ///< more than a lamp set back leaves dark as a rule

class AnswerPrinter {
public:
    AnswerPrinter(const Site& site, const Report& report) : site_(site), report_(report) {}

    std::vector<Sentence> print() {
        for (const FixtureReach& reach : report_.reaches)
            if (is_for_surface(reach))
                print_reach(reach);
        for (const FixturePurpose& purpose : report_.purposes)
            print_purpose(purpose);
        for (const TargetReport& target : report_.targets)
            print_target(target);
        for (const SeenFeature& seen : report_.seen)
            if (seen.is_tree && is_first_of(seen))
                sentences_.push_back(
                    {.text = fmt::format("{}, {}.", seen.feature,
                                         print_seen(report_.seen, seen.feature, true, site_.units)),
                     .surface = seen.on,
                     .tree = seen.feature});
        print_spill();
        print_glows();
        return std::move(sentences_);
    }

private:
    std::string length(double metres) const { return print_length(metres, site_.units); }
    std::string height(double metres) const { return print_height(metres, site_.units); }
    std::string light(double lux) const { return print_illuminance(lux, site_.light); }

    static const Reach* find_level(const std::vector<Reach>& reaches, double level_lx) {
        const auto found = std::find_if(reaches.begin(), reaches.end(), [&](const Reach& reach) {
            return std::abs(reach.level_lx - level_lx) < 1e-9 * level_lx;
        });
        return found == reaches.end() ? nullptr : &*found;
    }

    /// Whether it is the first of its feature, which the other views follow.
    bool is_first_of(const SeenFeature& seen) const {
        const auto first =
            std::find_if(report_.seen.begin(), report_.seen.end(), [&](const SeenFeature& other) {
                return other.is_tree == seen.is_tree && other.feature == seen.feature;
            });
        return &*first == &seen;
    }

    const FixturePurpose* find_purpose(const std::string& fixture) const {
        for (const FixturePurpose& purpose : report_.purposes)
            if (purpose.fixture == fixture)
                return &purpose;
        return nullptr;
    }

    /// Whether the fixture is for the surface that its line runs up: a shrub wash before a wall is not.
    bool is_for_surface(const FixtureReach& reach) const {
        const FixturePurpose* purpose = find_purpose(reach.fixture);
        return !purpose || purpose->on.empty() || reach.surface == purpose->on ||
               reach.surface.starts_with(purpose->on + ".");
    }

    /// "the peak" where the line runs up to it, otherwise "the wall there".
    std::string edge_name(const FixtureReach& reach) const {
        if (const Wall* wall = find_wall(site_, reach.surface))
            for (const Gable& gable : wall->gables)
                if (gable.id == reach.gable)
                    return std::abs(gable.from + gable.width / 2 - reach.along) < 0.3
                               ? fmt::format("the peak of {}", gable.id)
                               : fmt::format("the slope of {} there", gable.id);
        return "the wall there";
    }

    std::string lamp_name(const std::string& id) const {
        const Lamp* lamp = find_lamp(site_, id);
        return lamp && !lamp->name.empty() ? lamp->name : id;
    }

    /// " (spot 4 W, 36°)"; nothing where the lamp is not known.
    std::string lamp_of(const std::string& fixture) const {
        for (const Fixture& known : site_.fixtures)
            if (known.id == fixture && find_lamp(site_, known.lamp))
                return fmt::format(" ({})", lamp_name(known.lamp));
        return "";
    }

    /// Also where what is missing is less than anybody sees.
    static bool is_to_top(const Reach& reach) {
        return reach.is_to_top || (reach.height && *reach.height > reach.wall_height - seen_alike);
    }

    /// "about 14 ft", "about 13 ft (the sill of gable-window)", "all the way up".
    std::string carry(const Reach& reach) const {
        if (is_to_top(reach))
            return "all the way up";
        std::string text = "about " + height(*reach.height);
        if (!reach.sill_of.empty())
            text += fmt::format(" (the sill of {})", reach.sill_of);
        return text;
    }

    /// The stretch above its reach in which a level is met again; null: there is none worth a word.
    static const Stretch* find_again(const Reach& reach) {
        for (const Stretch& stretch : reach.stretches)
            if (reach.height && stretch.from >= *reach.height && stretch.to - stretch.from > seen_alike)
                return &stretch;
        return nullptr;
    }

    /// What is said of it beyond how high it goes: where it is met again, and what is dark at the foot.
    std::string describe_stretches(const Reach& reach, bool is_by_others) const {
        std::string text;
        if (const Stretch* again = find_again(reach))
            text +=
                fmt::format("{} again from about {} to {}",
                            is_by_others ? " and, with the other lamps lit," : " and", height(again->from),
                            again->to >= reach.wall_height ? "the top" : "about " + height(again->to));
        for (const Stretch& stretch : reach.stretches)
            if (stretch.from <= *reach.height && stretch.to >= *reach.height && stretch.from > dark_foot)
                text += fmt::format(", beginning at about {}", height(stretch.from));
        return text;
    }

    /// What the fixture does alone; the others are named where they carry the level noticeably higher.
    void print_reach(const FixtureReach& line) {
        const double level =
            line.level_lx > 0 ? line.level_lx : find_main_level(site_, report_.levels_lx, line.surface);
        const Reach* own = find_level(line.levels, level);
        if (own == nullptr)
            return;
        std::string text = fmt::format("{}{} on {}: {} ", line.fixture, lamp_of(line.fixture), line.surface,
                                       light(own->level_lx));
        const Reach* together = find_level(line.together, level);
        const bool is_topped = own->height && is_to_top(*own);
        const Reach* shown = together && together->height && !is_topped ? together : own;
        const bool is_higher = shown == together && (!own->height || is_to_top(*together) ||
                                                     *together->height > *own->height + seen_alike);
        if (!shown->height)
            text += "is reached nowhere on its line";
        else if (!is_higher)
            text += "reaches " + carry(*shown);
        else
            text += fmt::format("{} alone, {}{} with the other lamps lit",
                                own->height ? "reaches " + carry(*own) : "is reached nowhere on its line",
                                own->height ? "" : "but reaches ", carry(*together));
        if (shown->height)
            text += describe_stretches(*shown, shown == together && !is_higher && !find_again(*own)) + "; " +
                    describe_goal(line, *shown);
        text += "." + print_better(line, *shown);
        sentences_.push_back({.text = std::move(text), .fixture = line.fixture, .surface = line.surface});
    }

    /// How high it should go, and what is missing: "the peak of gable is 24 ft: short by about 8.5 ft".
    std::string describe_goal(const FixtureReach& line, const Reach& reach) const {
        const double goal = line.goal > 0 ? line.goal : reach.wall_height;
        std::string text = goal < reach.wall_height - seen_alike
                               ? fmt::format("its target, {}, ends at {}", line.target, length(goal))
                               : fmt::format("{} is {}", edge_name(line), length(reach.wall_height));
        if (is_enough(line, reach))
            return text;
        if (const Stretch* again = find_again(reach); again && again->to > goal - seen_alike)
            return text;
        return text + ": short by about " + height(goal - *reach.height);
    }

    static bool is_enough(const FixtureReach& line, const Reach& reach) {
        const double goal = line.goal > 0 ? line.goal : reach.wall_height;
        return is_to_top(reach) || (reach.height && *reach.height > goal - seen_alike);
    }

    /// What to do next where the line falls short.
    std::string print_better(const FixtureReach& line, const Reach& reach) const {
        if (is_enough(line, reach) || line.lamps_tried == 0)
            return "";
        if (!line.better)
            return " No other lamp at hand that fits does more.";
        const std::string name = lamp_name(line.better->lamp);
        if (is_to_top(line.better->reach))
            return fmt::format(" With the {} it would reach the top.", name);
        return fmt::format(" The {} would add about {}.", name,
                           height(*line.better->reach.height - reach.height.value_or(0)));
    }

    /// Of fixtures that are for no wall: where their light falls. A mean over the open ground would tell how
    /// far the plan reaches.
    void print_purpose(const FixturePurpose& purpose) {
        const auto line =
            std::find_if(report_.reaches.begin(), report_.reaches.end(), [&](const FixtureReach& reach) {
                return reach.fixture == purpose.fixture && is_for_surface(reach);
            });
        if (line != report_.reaches.end() || purpose.on.empty())
            return;
        const std::string what = purpose.target.empty() ? purpose.on : "target " + purpose.target;
        const bool is_open = what == "ground";
        sentences_.push_back(
            {.text = fmt::format("{}{} lights {}: {} of its lumens land there{}.", purpose.fixture,
                                 lamp_of(purpose.fixture), is_open ? "the open ground" : what,
                                 print_share(purpose.share),
                                 is_open ? "" : fmt::format(", {} on average", light(purpose.mean_lx))),
             .fixture = purpose.fixture,
             .surface = purpose.on});
    }

    /// A target that is a tree as a whole takes the tree's place among what is seen.
    bool is_whole_tree(const std::string& target) const {
        return std::any_of(site_.targets.begin(), site_.targets.end(), [&](const Target& one) {
            return one.id == target && !one.between && find_tree(site_, one.on);
        });
    }

    void print_target(const TargetReport& target) {
        std::string text =
            fmt::format("Target {}: {} of it gets {} or more, {} wanted: {}. Mean {}.", target.id,
                        print_target_share(target), light(target.level_lx), print_share(target.wanted_share),
                        target.is_reached ? "reached" : "missed", light(target.stats.mean_lx));
        if (target.better)
            text += fmt::format(" With the {} in {} it would be {}{}.", lamp_name(target.better->lamp),
                                target.better->fixture, print_share(target.better->share),
                                target.better->is_reached ? ": reached" : "");
        // Of a tree's part the tree's own sentence tells.
        if (!find_tree(site_, target.on) || is_whole_tree(target.id))
            if (const std::string seen = print_seen(report_.seen, target.id, false, site_.units);
                !seen.empty())
                text += fmt::format(" S{}.", seen.substr(1));
        sentences_.push_back({.text = std::move(text), .surface = target.on, .target = target.id});
    }

    void print_spill() {
        const Spill& spill = report_.spill;
        if (spill.emitted_lm <= 0)
            return;
        const auto share = [&](double lumens) { return print_share(lumens / spill.emitted_lm); };
        std::string sentence =
            fmt::format("Of {} lm that leave the fixtures, {} land on targets, {} on other "
                        "things, {} on the ground and {} go to the sky",
                        print_number(spill.emitted_lm), share(spill.target_lm), share(spill.other_lm),
                        share(spill.ground_lm), share(spill.sky_lm));
        if (spill.sky_bounced_lm > 0)
            sentence += fmt::format("; lit surfaces send another {} up to it", share(spill.sky_bounced_lm));
        sentences_.push_back({.text = sentence + "."});
    }

    /// What gives light of its own, apart from the fixtures.
    void print_glows() {
        constexpr std::size_t most_named = 4;
        std::vector<GlowReport> glows = report_.glows;
        sort_stably(glows, [](const GlowReport& a, const GlowReport& b) { return a.lumens > b.lumens; });
        GlowReport sum;
        std::vector<std::string> names;
        for (const GlowReport& glow : glows) {
            sum.lumens += glow.lumens;
            sum.target_lm += glow.target_lm;
            sum.other_lm += glow.other_lm;
            sum.ground_lm += glow.ground_lm;
            sum.sky_lm += glow.sky_lm;
            if (names.size() < most_named)
                names.push_back(fmt::format("{} ({} lm)", glow.id, print_number(glow.lumens)));
        }
        if (!(sum.lumens > 0))
            return;
        if (glows.size() > most_named)
            names.push_back(fmt::format("{} more", glows.size() - most_named));
        const auto share = [&](double lumens) { return print_share(lumens / sum.lumens); };
        sentences_.push_back(
            {.text = fmt::format(
                 "Light from windows, lanterns and water, beside the fixtures: {}. Of these {} lm, "
                 "{} land on targets, {} on other things, {} on the ground and {} go to the sky.",
                 fmt::join(names, ", "), print_number(sum.lumens), share(sum.target_lm), share(sum.other_lm),
                 share(sum.ground_lm), share(sum.sky_lm))});
    }

    const Site& site_;
    const Report& report_;
    std::vector<Sentence> sentences_;
};

} // namespace

std::string print_target_share(const TargetReport& target) {
    const std::string share = print_share(target.share);
    return !target.is_reached && share == print_share(target.wanted_share) ? "just under " + share : share;
}

std::vector<Sentence> print_answers(const Site& site, const Report& report) {
    return AnswerPrinter(site, report).print();
}

namespace {

/// Empty where nothing is taken off.
std::string name_loss(const LightLoss& loss) {
    std::vector<std::string> parts;
    for (const auto& [name, factor] :
         {std::pair("lamp tolerance", loss.tolerance), std::pair("depreciation", loss.depreciation),
          std::pair("dirt", loss.dirt), std::pair("its own", loss.own)})
        if (factor != 1)
            parts.push_back(fmt::format("{} {}", name, print_number(factor)));
    if (parts.size() < 2)
        return parts.empty() ? "" : parts.front();
    return fmt::format("{} ({})", print_number(loss.total()), fmt::join(parts, ", "));
}

/// Fixtures that lose alike in one go, in the order of the first of each.
class LossGroups {
public:
    void add(const std::string& whose, const std::string& loss) {
        if (loss.empty())
            return;
        const auto known =
            std::find_if(groups_.begin(), groups_.end(), [&](const auto& one) { return one.first == loss; });
        if (known == groups_.end())
            groups_.emplace_back(loss, whose);
        else
            known->second.append(", ").append(whose);
    }

    std::string print() const {
        if (groups_.empty())
            return "No light loss is taken off: new lamps behind clean lenses.";
        std::vector<std::string> said;
        for (const auto& [words, ids] : groups_)
            said.push_back(fmt::format("{}: {}", ids, words));
        return fmt::format("Light-loss factors: {}.", fmt::join(said, "; "));
    }

private:
    std::vector<std::pair<std::string, std::string>> groups_; ///< the factors in words, and whose they are
};

} // namespace

std::string print_light_loss(const std::vector<LitFixture>& fixtures) {
    LossGroups groups;
    for (const LitFixture& fixture : fixtures)
        groups.add(fixture.id, name_loss(fixture.loss));
    return groups.print();
}

std::string print_estimate_note(const std::vector<LitFixture>& fixtures) {
    double least = 1, most = 0;
    for (const LitFixture& fixture : fixtures) {
        least = std::min(least, fixture.loss.total());
        most = std::max(most, fixture.loss.total());
    }
    if (least == 1)
        return "Estimate for new lamps behind clean lenses; dirt, voltage and aiming shift it. Check after "
               "dark.";
    const std::string low = print_number(std::round(100 * least)),
                      high = print_number(std::round(100 * most));
    return fmt::format(
        "Estimate for lamps in use, with {} % of the light of new ones; voltage and aiming shift it. "
        "Check after dark.",
        low == high ? low : fmt::format("{} to {}", low, high));
}

std::string print_light_losses(const std::vector<NamedSite>& variants) {
    LossGroups groups;
    std::map<std::string, std::vector<std::string>> known; // what each fixture has lost so far
    for (const NamedSite& variant : variants)
        for (const Fixture& fixture : variant.site->fixtures) {
            std::vector<std::string>& losses = known[fixture.id];
            const std::string loss = name_loss(light_loss_of(*variant.site, fixture));
            if (std::find(losses.begin(), losses.end(), loss) != losses.end())
                continue;
            if (losses.empty())
                groups.add(fixture.id, loss);
            else
                groups.add(fmt::format("{} ({})", fixture.id, variant.name),
                           loss.empty() ? "nothing taken off" : loss);
            losses.push_back(loss);
        }
    return groups.print();
}

std::string print_light_losses(const Site& site) {
    return print_light_losses(std::vector<NamedSite>{{"", &site}});
}

std::vector<std::string> print_surface_table(const Site& site, const Stage& stage, const Report& report) {
    const auto light = [&](double lux) {
        const std::string text = print_illuminance(lux, site.light);
        return text.substr(0, text.rfind(' '));
    };
    std::vector<TableColumn> columns{{"surface", TableAlign::left, 24},
                                     {"min", TableAlign::right, 9},
                                     {"mean", TableAlign::right, 9},
                                     {"max", TableAlign::right, 9},
                                     {"bounced", TableAlign::right, 9}};
    for (const double level : report.levels_lx)
        columns.push_back({">=" + light(level), TableAlign::right, 10});
    const Table table(columns);
    std::vector<std::string> lines{
        fmt::format("{}   light in {}, shares of the area at or above each level", site.name,
                    name_of(site.light)),
        fmt::format("{}   reach at {}", table.print_head(), light(report.levels_lx.front()))};
    for (const SurfaceReport& row : report.surfaces) {
        const Surface& surface = stage.surfaces[row.surface];
        const bool is_dark = row.stats.max_lx < 0.1 * report.levels_lx.front();
        if (is_dark && surface.kind != SurfaceKind::wall && surface.kind != SurfaceKind::tree)
            continue;
        std::vector<std::string> cells{surface.id, light(row.stats.min_lx), light(row.stats.mean_lx),
                                       light(row.stats.max_lx), light(row.bounced_lx)};
        for (const LevelShare& share : row.stats.coverage)
            cells.push_back(print_share(share.share));
        if (!row.best_reach.empty() && row.best_reach.front().height)
            cells.push_back("   " + print_length(*row.best_reach.front().height, site.units));
        lines.push_back(table.print_row(cells));
    }
    return lines;
}

std::vector<std::string> print_agreement_table(const Site& site, const Stage& stage,
                                               const std::vector<Agreement>& agreements, int paths) {
    const Table table({{"surface", TableAlign::left, 24},
                       {"mean", TableAlign::right, 14},
                       {"by paths", TableAlign::right, 14},
                       {"+-", TableAlign::right, 12},
                       {"agreeing", TableAlign::right, 10},
                       {"off", TableAlign::right, 8},
                       {"rms off", TableAlign::right, 9}});
    std::vector<std::string> lines{"",
                                   fmt::format("Compared with {} traced paths per sensor; agreeing: within "
                                               "5 %, three standard errors or 0.001 lx;",
                                               paths),
                                   "off and rms off: mean and root mean square of the differences, each in "
                                   "standard errors; 0 and 1 if only the paths' noise is left",
                                   table.print_head()};
    for (const Agreement& row : agreements)
        lines.push_back(table.print_row(
            {stage.surfaces[row.surface].id, print_illuminance(row.total_lx, site.light),
             print_illuminance(row.reference_lx, site.light),
             print_illuminance(row.standard_error_lx, site.light), print_share(row.agreeing),
             fmt::format("{:+.1f}", row.mean_difference_se), fmt::format("{:.1f}", row.rms_difference_se)}));
    return lines;
}

} // namespace duskcast
