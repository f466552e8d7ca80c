#pragma once
// Reading, checking and writing the site file (NAME.site.json; src/site/site.schema.json describes it).

#include <cstdint>
#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/photometry/distribution.hpp"
#include "duskcast/photometry/lm63.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

/// A site as read, with what is needed to report on its file.
struct SiteFile {
    Site site;
    std::filesystem::path file;
    std::map<std::string, Place> places; ///< path in the file ("fixtures[2].tilt") to its place
    std::vector<Problem> warnings;       ///< what an experienced installer would say
    std::uint64_t hash = 0; ///< FNV-1a of the text, to match results with the site they came from

    /// The place of a path, or of its nearest ancestor that the file holds.
    Place place_of(const std::string& path) const;
    std::filesystem::path folder() const { return file.parent_path(); }

    /// Problems found later, which know only a path in the file, with their line and column.
    std::vector<Problem> locate(std::vector<Problem> problems) const;
};

/// Reads and checks; throws InputError with every problem found (in file order).
SiteFile read_site_file(const std::filesystem::path& file);

/// The same from text; `file` names it in messages and is the base of relative paths.
SiteFile read_site(std::string_view text, const std::filesystem::path& file);

/// What can be said of a site without geometry: references, sizes, placement, lamp figures, trade advice.
/// Errors and warnings with their path filled in (place only path). `unread` are the things of a file that
/// could not be read whole, such as "walls[2]": of these, and of what stands at them, no advice is given.
std::vector<Problem> check_site(const Site& site, const std::filesystem::path& folder,
                                std::set<std::string> unread = {});

/// Lamps that no fixture has, in any variant: for whoever tidies up a file; no answer depends on them.
std::vector<Problem> find_unused_lamps(const Site& site);

/// "fixtures[2].tilt (U3)": a path of a problem, with the id of the fixture that it leads into.
std::string name_path(const Site& site, const std::string& path);

/// JSON text in the site's units; read_site of it gives an equal Site.
std::string print_site(const Site& site);

/// Writes to a temporary beside `file`, then renames: the old file stays whole if anything fails.
/// Throws InputError when the place cannot be written.
void write_site_file(const Site& site, const std::filesystem::path& file);

/// The site with the files it names found from another folder than before.
Site moved_to(const Site& site, const std::filesystem::path& from, const std::filesystem::path& to);

/// A lamp's light, from its figures or its LM-63 file.
struct LampLight {
    Distribution distribution;
    Lm63Tilt tilt;               ///< what an LM-63 file says of it
    double lumens = 0;           ///< before any loss
    double watts = 0;            ///< the LM-63 file's where the lamp gives none; 0: unknown
    double opening_diameter = 0; ///< of the disk of the luminous opening's area, metres; 0: not said
    std::vector<Problem> warnings;
};

/// `folder` is the site file's. Throws InputError as make_distribution and read_lm63_file do.
LampLight make_lamp_light(const Lamp& lamp, const std::filesystem::path& folder);

} // namespace duskcast
