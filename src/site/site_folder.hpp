#pragma once
// Files that a site names, relative to its own folder.

#include <filesystem>
#include <string>

namespace duskcast {

/// Names in a file are UTF-8 on every system.
std::filesystem::path path_in(const std::filesystem::path& folder, const std::string& name);
std::string text_of(const std::filesystem::path& path); ///< UTF-8, with / between folders

/// Throws InputError when it cannot be read or is larger than any site.
std::string read_text_file(const std::filesystem::path& file);

} // namespace duskcast
