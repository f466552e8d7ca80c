#pragma once
// Whole files: read into memory, and written so that nobody ever sees half of one.

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

namespace duskcast {

/// A file named in another one, relative to `folder`: names in files are UTF-8 on every system. Throws
/// std::system_error where the system has no such names.
std::filesystem::path path_in(const std::filesystem::path& folder, std::string_view name);

/// UTF-8, with / between folders: what is printed, and written to files. Never path::string(), which has no
/// letters but those of one country on some systems.
std::string text_of(const std::filesystem::path& path);

enum class FileFault { none, unreadable, too_large };

/// A file's bytes, or why there are none.
struct WholeFile {
    std::string bytes;
    FileFault fault = FileFault::none;
    std::string reason; ///< why it is unreadable: the system's words, or "it is not a file"
};

/// Reads a regular file of at most `most_bytes`. Folders, pipes and devices are unreadable: some of them
/// never end, and others wait for ever.
WholeFile read_whole_file(const std::filesystem::path& file, std::uintmax_t most_bytes);

/// Writes the bytes to a new file beside, then puts that in the place of the old one with a single rename, so
/// that the old file or the new one stands there, whole, whatever happens. A link stays a link: the file it
/// leads to is replaced, with the rights it had. What is no regular file (a device, a pipe) is written to
/// directly. Returns the system's reason where it fails, and then nothing has changed; empty: done.
std::string replace_file(const std::filesystem::path& file, std::string_view bytes);

/// The same, in a folder that is made where there is none; throws InputError with the reason.
void write_text_file(const std::filesystem::path& file, std::string_view text);

/// Where a file to be written really lies: of a link the end of the chain, which need not exist yet.
std::filesystem::path follow_links(const std::filesystem::path& file);

/// A name in `folder` that nothing has yet: ".duskcast-1f3c0a77" and the ending.
std::filesystem::path find_free_name(const std::filesystem::path& folder, std::string_view ending);

} // namespace duskcast
