#include "duskcast/sheets/report_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <utility>

#include "duskcast/base/table.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

class AnswerPrinter {
public:
    AnswerPrinter(const Site& site, const Report& report) : site_(site), report_(report) {}

    std::vector<Sentence> print() {
        for (const FixtureReach& reach : report_.reaches)
            print_reach(reach);
        for (const TargetReport& target : report_.targets)
            print_target(target);
        for (const TreeReport& tree : report_.trees)
            print_tree(tree);
        print_spill();
        return std::move(sentences_);
    }

private:
    std::string length(double metres) const { return print_length(metres, site_.units); }
    std::string light(double lux) const { return print_illuminance(lux, site_.light); }

    const Reach* find_main(const std::vector<Reach>& reaches, const std::string& surface) const {
        const double level_lx = find_main_level(site_, report_.levels_lx, surface);
        const auto found = std::find_if(reaches.begin(), reaches.end(), [&](const Reach& reach) {
            return std::abs(reach.level_lx - level_lx) < 1e-9 * level_lx;
        });
        return found == reaches.end() ? nullptr : &*found;
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

    /// " (spot 4 W, 36°)"; nothing where the lamp is not known.
    std::string lamp_of(const std::string& fixture) const {
        for (const Fixture& known : site_.fixtures)
            if (known.id == fixture)
                if (const Lamp* lamp = find_lamp(site_, known.lamp))
                    return fmt::format(" ({})", lamp->name.empty() ? lamp->id : lamp->name);
        return "";
    }

    /// Also where what is missing rounds to nothing.
    bool is_to_top(const Reach& reach) const {
        return reach.is_to_top || length(*reach.height) == length(reach.wall_height);
    }

    std::string carry(const Reach& reach) const {
        return is_to_top(reach) ? "all the way up" : length(*reach.height);
    }

    /// What the fixture does alone; the others are named where they carry the level noticeably higher.
    void print_reach(const FixtureReach& reach) {
        const Reach* own = find_main(reach.levels, reach.surface);
        if (own == nullptr)
            return;
        std::string text = fmt::format("{}{} on {}: {} ", reach.fixture, lamp_of(reach.fixture),
                                       reach.surface, light(own->level_lx));
        const Reach* shown = own;
        text += own->height ? "reaches " + carry(*own) : "is reached nowhere on its line";
        const Reach* together = find_main(reach.together, reach.surface);
        if (together && together->height && !(own->height && is_to_top(*own)) &&
            (!own->height || carry(*together) != carry(*own))) {
            text += fmt::format(" alone, {}{} with the other lamps lit", own->height ? "" : "but reaches ",
                                carry(*together));
            shown = together;
        }
        if (shown->height)
            text += fmt::format("; {} is {}", edge_name(reach), length(shown->wall_height));
        if (shown->height && !is_to_top(*shown))
            text += ": short by " + length(shown->wall_height - *shown->height);
        sentences_.push_back({.text = text + ".", .fixture = reach.fixture, .surface = reach.surface});
    }

    void print_target(const TargetReport& target) {
        std::string text =
            fmt::format("Target {}: {} of it gets {} or more, {} wanted: {}. Mean {}.", target.id,
                        print_share(target.share), light(target.level_lx), print_share(target.wanted_share),
                        target.is_reached ? "reached" : "missed", light(target.stats.mean_lx));
        sentences_.push_back({.text = std::move(text), .surface = target.on, .target = target.id});
    }

    void print_tree(const TreeReport& tree) {
        const Reach* main = find_main(tree.lit_to, tree.tree);
        if (main == nullptr)
            return;
        const Tree* known = find_tree(site_, tree.tree);
        std::string seen =
            known && known->foliage.leaf == LeafKind::twigs ? "over all its twigs" : "over all its leaves";
        if (tree.from.kind == Viewpoint::Kind::view)
            seen = "seen from " + tree.from.view;
        else if (!tree.from.is_whole())
            seen = "seen " + name_of(tree.from);
        std::string text = fmt::format("{}, {}: ", tree.tree, seen);
        if (!main->height)
            text += fmt::format("no part of the crown reads as lit at {}.", light(main->level_lx));
        else if (main->is_to_top)
            text += fmt::format("reads as lit at {} to its top, {}.", light(main->level_lx),
                                length(main->wall_height));
        else
            text += fmt::format("reads as lit at {} up to {} of {}.", light(main->level_lx),
                                length(*main->height), length(main->wall_height));
        sentences_.push_back({.text = std::move(text), .surface = tree.tree, .tree = tree.tree});
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

    const Site& site_;
    const Report& report_;
    std::vector<Sentence> sentences_;
};

} // namespace

std::vector<Sentence> print_answers(const Site& site, const Report& report) {
    return AnswerPrinter(site, report).print();
}

std::string print_light_loss(const std::vector<LitFixture>& fixtures) {
    std::vector<std::pair<std::string, std::string>> groups; // the factors in words, and whose they are
    for (const LitFixture& fixture : fixtures) {
        const LightLoss& loss = fixture.loss;
        std::vector<std::string> parts;
        for (const auto& [name, factor] :
             {std::pair("lamp tolerance", loss.tolerance), std::pair("depreciation", loss.depreciation),
              std::pair("dirt", loss.dirt), std::pair("its own", loss.own)})
            if (factor != 1)
                parts.push_back(fmt::format("{} {}", name, print_number(factor)));
        if (parts.empty())
            continue;
        std::string words = print_number(loss.total());
        if (parts.size() > 1)
            words += fmt::format(" ({})", fmt::join(parts, ", "));
        else
            words = parts.front();
        const auto known = std::find_if(groups.begin(), groups.end(),
                                        [&](const auto& group) { return group.first == words; });
        if (known == groups.end())
            groups.emplace_back(words, fixture.id);
        else
            known->second.append(", ").append(fixture.id);
    }
    if (groups.empty())
        return "No light loss is taken off: new lamps behind clean lenses.";
    std::vector<std::string> said;
    for (const auto& [words, ids] : groups)
        said.push_back(fmt::format("{}: {}", ids, words));
    return fmt::format("Light-loss factors: {}.", fmt::join(said, "; "));
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
                       {"agreeing", TableAlign::right, 10}});
    std::vector<std::string> lines{"",
                                   fmt::format("Compared with {} traced paths per sensor; agreeing: within "
                                               "5 %, three standard errors or 0.001 lx",
                                               paths),
                                   table.print_head()};
    for (const Agreement& row : agreements)
        lines.push_back(table.print_row(
            {stage.surfaces[row.surface].id, print_illuminance(row.total_lx, site.light),
             print_illuminance(row.reference_lx, site.light),
             print_illuminance(row.standard_error_lx, site.light), print_share(row.agreeing)}));
    return lines;
}

} // namespace duskcast
