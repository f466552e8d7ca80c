#pragma once
// --as-wired, for the commands that light a site.

#include <CLI/CLI.hpp>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

void add_as_wired_option(CLI::App& command, bool& is_wired);

/// Changes the fixtures of a site, in its order, to what the volts of its network make of their lamps.
/// Returns what has to be said of it, with places in the site. Throws InputError as measure_load does.
std::vector<Problem> wire_up(const Site& site, const std::filesystem::path& folder,
                             std::vector<LitFixture>& fixtures);

/// The same; what has to be said of it joins the file's warnings.
void apply_wiring(SiteFile& site_file, std::vector<LitFixture>& fixtures);

/// The same for a variant of the file's site; what has to be said of it has no place in the file.
void apply_wiring(const Site& variant, SiteFile& site_file, std::vector<LitFixture>& fixtures);

} // namespace duskcast
