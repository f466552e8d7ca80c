#pragma once
// A site's plants in another season, and older.

#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/site/site.hpp"
#include "duskcast/site/variant.hpp"

namespace duskcast {

/// "in-leaf" or "bare"; throws InputError, its place left empty, with the nearest when unknown.
Season read_season(const std::string& word);
std::string name_of(Season season);

/// A sentence for people; empty in leaf and today.
std::string print_season(const SeasonChoice& choice);

/// The site with its trees grown by their rates and, in `bare`, its deciduous trees and shrubs without
/// leaves. With leaves on and no years it is the site itself. Throws InputError, its place left empty, for
/// years outside 0..most_years_on.
///
/// Bare twigs are leaves' facets of bark, opaque and lying every way, with the twig area index's share of the
/// crown's plan area, at most as many as there were leaves (what is known is their area, not their form: a
/// thin twig and a small facet of the same area leave the same gaps). Trunk and boughs stay as they are.
/// Height, width and trunk grow; the lowest leaves stay where they are, as branches do not move up a trunk.
/// Hedges and beds are taken to be kept in shape. What stands in the ground by a trunk stays where it was
/// put, unless the trunk has grown over it (season_warnings).
Site in_season(const Site& site, Season season, double years_on);

/// What in_season could not know, or would be overlooked: trees that stay as they are for want of a rate,
/// fixtures that a trunk outgrows. Their place has only the path.
std::vector<Problem> season_warnings(const Site& site, Season season, double years_on);

} // namespace duskcast
