#pragma once
// The catalogue file (NAME.catalogue.json; src/site/catalogue.schema.json describes it): the lamps and
// fixtures a practitioner buys, which sites refer to.

#include <filesystem>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/site/equipment.hpp"

namespace duskcast {

struct CatalogueFile {
    Catalogue catalogue; ///< lamps' files are relative to `file`
    LengthUnit units = LengthUnit::foot;
    std::filesystem::path file;
    std::vector<Problem> warnings;
};

/// Reads and checks; throws InputError with every problem found.
CatalogueFile read_catalogue_file(const std::filesystem::path& file);

/// The same from text; `file` names it in messages and is the base of relative paths.
CatalogueFile read_catalogue(std::string_view text, const std::filesystem::path& file);

} // namespace duskcast
