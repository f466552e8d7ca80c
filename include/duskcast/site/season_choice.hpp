#pragma once
// Which season a site's plants are taken in, and how many years on.

namespace duskcast {

/// `bare`: what is deciduous has lost its leaves.
enum class Season { in_leaf, bare };

inline constexpr double most_years_on = 100;

/// How a site's plants are to be taken.
struct SeasonChoice {
    Season season = Season::in_leaf;
    double years_on = 0; ///< from the day the site file speaks of, 0..most_years_on

    bool operator==(const SeasonChoice&) const = default;
};

} // namespace duskcast
