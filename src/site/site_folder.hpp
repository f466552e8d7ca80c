#pragma once
// Files that a site names, relative to its own folder.

#include <filesystem>
#include <string>

namespace duskcast {

std::filesystem::path path_in(const std::filesystem::path& folder, const std::string& name);

} // namespace duskcast
