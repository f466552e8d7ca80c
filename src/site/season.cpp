#include "duskcast/site/season.hpp"

#include <algorithm>

#include "duskcast/site/layout.hpp"
#include "json_text.hpp"
#include "messages.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

void check_years(double years_on) {
    if (!(years_on >= 0 && years_on <= most_years_on)) {
        const Message message =
            messages::out_of_range(print_number(years_on), "0", print_number(most_years_on) + " years");
        throw InputError(Problem{.what = message.what, .remedy = message.remedy});
    }
}

/// `depth`: the plant's volume over its plan area.
template <class Plant> void drop_leaves(Plant& plant, double depth) {
    Foliage& foliage = plant.foliage;
    if (!foliage.is_deciduous || foliage.leaf == LeafKind::twigs)
        return;
    const double twigs = std::min(leaf_area_density(plant), depth > 0 ? foliage.twig_area_index / depth : 0);
    foliage.leaf = LeafKind::twigs;
    foliage.leaf_angle_index = 0;
    if (!plant.plant.empty() && !foliage.leaf_area_density)
        return; // what is bare by its words has the same twigs
    if (plant.plant.empty())
        foliage.density = LeafDensity::medium; // a word and a figure exclude each other in a file
    foliage.leaf_area_density = twigs;
}

double grow(double now, double rate, double years_on, const std::optional<double>& mature) {
    const double then = now + rate * years_on;
    return mature ? std::max(now, std::min(then, *mature)) : then;
}

Tree grow(const Tree& tree, double years_on) {
    Tree grown = tree;
    if (!tree.growth || years_on == 0)
        return grown;
    const Growth& growth = *tree.growth;
    grown.height = grow(tree.height, growth.height, years_on, growth.mature_height);
    grown.width = grow(tree.width, growth.width, years_on, growth.mature_width);
    if (growth.trunk_diameter)
        grown.trunk_diameter = trunk_diameter(tree) + *growth.trunk_diameter * years_on;
    else if (tree.height > 0)
        grown.trunk_diameter = tree.trunk_diameter * grown.height / tree.height;
    return grown;
}

bool stands(const Fixture& fixture) {
    return fixture.mount == Mount::spike || fixture.mount == Mount::surface;
}

/// What is left of the setback of a fixture that stands still while its tree's trunk grows; none when the
/// trunk is about to reach it.
std::optional<double> setback_left(const Tree& tree, const Fixture& fixture, double years_on) {
    const double left =
        setback_of(fixture) - (trunk_diameter(grow(tree, years_on)) - trunk_diameter(tree)) / 2;
    return left < std::min(hung_setback, setback_of(fixture)) ? std::nullopt : std::optional(left);
}

} // namespace

Season read_season(const std::string& word) {
    std::vector<std::string> known;
    for (const auto& [season, name] : season_names) {
        if (name == word)
            return season;
        known.emplace_back(name);
    }
    const Message message = messages::dangling("season", word, known);
    throw InputError(Problem{.what = message.what, .remedy = message.remedy});
}

std::string name_of(Season season) {
    return name_of(season_names, season);
}

std::string print_season(const SeasonChoice& choice) {
    if (choice == SeasonChoice{})
        return {};
    const std::string years = choice.years_on == 0
                                  ? ""
                                  : fmt::format(", grown by {} {}", print_number(choice.years_on),
                                                choice.years_on == 1 ? "year" : "years");
    return fmt::format("Plants {}{}.",
                       choice.season == Season::bare ? "as in winter, the deciduous ones bare" : "in leaf",
                       years);
}

Site in_season(const Site& site, Season season, double years_on) {
    check_years(years_on);
    Site made = site;
    for (Fixture& fixture : made.fixtures) {
        const Tree* tree = fixture.tree.empty() ? nullptr : find_tree(site, fixture.tree);
        if (tree && tree->growth && years_on > 0 && stands(fixture))
            fixture.setback =
                setback_left(*tree, fixture, years_on).value_or(std::min(hung_setback, setback_of(fixture)));
    }
    for (Tree& tree : made.trees) {
        tree = grow(tree, years_on);
        if (season == Season::bare && tree.width > 0)
            drop_leaves(tree, crown_volume(tree) / (pi * tree.width * tree.width / 4));
    }
    if (season == Season::bare)
        for (Shrub& shrub : made.shrubs)
            drop_leaves(shrub, shrub.height);
    return made;
}

std::vector<Problem> season_warnings(const Site& site, Season, double years_on) {
    std::vector<Problem> warnings;
    if (years_on == 0)
        return warnings;
    const auto warn = [&](const std::string& path, const Message& message) {
        warnings.push_back({Severity::warning, {"", 0, 0, path}, message.what, message.remedy});
    };
    for (std::size_t i = 0; i < site.trees.size(); ++i)
        if (!site.trees[i].growth)
            warn(join_path("trees", i), messages::growth_unknown(site.trees[i].id));
    for (std::size_t i = 0; i < site.fixtures.size(); ++i) {
        const Fixture& fixture = site.fixtures[i];
        const Tree* tree = fixture.tree.empty() ? nullptr : find_tree(site, fixture.tree);
        if (tree && tree->growth && stands(fixture) && !setback_left(*tree, fixture, years_on))
            warn(join_path("fixtures", i), messages::trunk_outgrows(tree->id));
    }
    return warnings;
}

} // namespace duskcast
