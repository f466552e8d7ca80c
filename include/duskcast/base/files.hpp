#pragma once
// Whole files, read and written.

#include <filesystem>
#include <string>

namespace duskcast {

/// Writes to a temporary beside, then renames. Throws InputError with the system's reason.
void write_text_file(const std::filesystem::path& file, const std::string& text);

} // namespace duskcast
