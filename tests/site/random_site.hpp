#pragma once
// Random sites that pass every check, with figures that no short decimal hits.

#include <filesystem>

#include "duskcast/site/site.hpp"

namespace duskcast::test {

/// The folder that the files of random sites are in.
inline const std::filesystem::path random_site_folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";

/// The same seed gives the same site. Over some hundred seeds every key of a site file comes up.
Site make_random_site(unsigned seed);

} // namespace duskcast::test
