#pragma once
// A night's readings in words, the property as it was built, and how that differs from the design.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/power/load.hpp"
#include "duskcast/sheets/html.hpp"
#include "duskcast/study/readings.hpp"

namespace duskcast {

/// What a night's readings come to.
struct NightCheck {
    const Site& site;
    const MeterModel& model;
    Readings readings;
    std::vector<FixtureFit> fits;
    std::optional<LoadReport> load; ///< none: no network
    MeterTolerances tolerances;     ///< that the fits were made with
};

/// What is said of one fixture.
struct NightVerdict {
    std::string fixture;
    std::vector<std::string> findings; ///< none: as designed, as far as the readings tell
    std::vector<std::string> untold;   ///< what the readings do not tell
    bool is_off = false;
    bool is_doubtful = false; ///< its readings do not agree; the finding says which looks wrong
};

/// Whether the readings tell of it: they narrow it, or what was designed lies outside of where they leave it.
bool is_told_of(const Estimate& estimate, double designed);

/// How far off it is, whichever way.
Estimate without_sign(const Estimate& estimate);

std::vector<NightVerdict> judge_night(const NightCheck& check);

/// Lines for people: what to mend first, then what is as designed, then what cannot be told.
std::vector<std::string> print_night(const NightCheck& check);

/// A site of the same fixtures with the tilts, directions and outputs that the readings tell of; what they do
/// not tell, or contradict each other about, stays as designed.
Site make_as_built(Site site, const std::vector<FixtureFit>& fits);

/// One HTML page, fixture by fixture: designed, found, readings beside what was expected.
std::string print_night_page(const NightCheck& check, const std::string& origin);

} // namespace duskcast
