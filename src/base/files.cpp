#include "duskcast/base/files.hpp"

#include <array>
#include <cerrno>
#include <cstdio>
#include <fmt/format.h>
#include <memory>
#include <random>
#include <system_error>

#include "disk.hpp"
#include "duskcast/base/problem.hpp"

#ifdef _WIN32
#include <share.h>
#endif

namespace duskcast {
namespace {

namespace fs = std::filesystem;

std::string last_reason() {
    return std::generic_category().message(errno != 0 ? errno : EIO);
}

struct FileCloser {
    void operator()(std::FILE* file) const { std::fclose(file); }
};

/// The C library's: a stream of C++ brings locales into the module that is sent with every page.
using OpenFile = std::unique_ptr<std::FILE, FileCloser>;

#ifdef _WIN32
OpenFile open_file(const fs::path& file, const wchar_t* mode) {
    return OpenFile(_wfsopen(file.c_str(), mode, _SH_DENYNO));
}
OpenFile open_to_read(const fs::path& file) {
    return open_file(file, L"rb");
}
OpenFile open_to_write(const fs::path& file) {
    return open_file(file, L"wb");
}
#else
OpenFile open_to_read(const fs::path& file) {
    return OpenFile(std::fopen(file.c_str(), "rb"));
}
OpenFile open_to_write(const fs::path& file) {
    return OpenFile(std::fopen(file.c_str(), "wb"));
}
#endif

/// Empty: done.
std::string write_bytes(const fs::path& file, std::string_view bytes) {
    errno = 0;
    OpenFile stream = open_to_write(file);
    const bool is_written =
        stream != nullptr && std::fwrite(bytes.data(), 1, bytes.size(), stream.get()) == bytes.size();
    if (stream != nullptr && std::fclose(stream.release()) == 0 && is_written)
        return "";
    return last_reason();
}

} // namespace

fs::path path_in(const fs::path& folder, std::string_view name) {
    return folder / fs::path(std::u8string(name.begin(), name.end()));
}

std::string text_of(const fs::path& path) {
    const std::u8string text = path.generic_u8string();
    return {text.begin(), text.end()};
}

WholeFile read_whole_file(const fs::path& file, std::uintmax_t most_bytes) {
    std::error_code error;
    const fs::file_status status = fs::status(file, error);
    if (error)
        return {{}, FileFault::unreadable, error.message()};
    if (!fs::exists(status))
        return {
            {}, FileFault::unreadable, std::make_error_code(std::errc::no_such_file_or_directory).message()};
    if (fs::is_directory(status))
        return {{}, FileFault::unreadable, std::make_error_code(std::errc::is_a_directory).message()};
    if (!fs::is_regular_file(status))
        return {{}, FileFault::unreadable, "it is not a file"};
    errno = 0;
    const OpenFile stream = open_to_read(file);
    if (stream == nullptr)
        return {{}, FileFault::unreadable, last_reason()};
    // Read until it ends: some file systems give files a size of 0, and a file may grow meanwhile.
    WholeFile whole;
    for (std::array<char, 65536> part; !std::feof(stream.get()) && !std::ferror(stream.get());) {
        whole.bytes.append(part.data(), std::fread(part.data(), 1, part.size(), stream.get()));
        if (whole.bytes.size() > most_bytes)
            return {{}, FileFault::too_large, {}};
    }
    if (std::ferror(stream.get()))
        return {{}, FileFault::unreadable, last_reason()};
    return whole;
}

fs::path follow_links(const fs::path& file) {
    constexpr int most_links = 40; // as Linux has it
    fs::path target = file;
    std::error_code error;
    for (int i = 0; i < most_links && fs::is_symlink(fs::symlink_status(target, error)); ++i) {
        const fs::path next = fs::read_symlink(target, error);
        if (error)
            break;
        target = next.is_absolute() ? next : target.parent_path() / next;
    }
    return target;
}

fs::path find_free_name(const fs::path& folder, std::string_view ending) {
    std::random_device random;
    std::error_code ignored;
    for (;;) {
        const fs::path name = folder / fmt::format(".duskcast-{:08x}{}", random(), ending);
        if (!fs::exists(fs::symlink_status(name, ignored)))
            return name;
    }
}

std::string replace_file(const fs::path& file, std::string_view bytes) {
    std::error_code error;
    const fs::file_status old = fs::status(file, error);
    if (fs::is_directory(old))
        return std::make_error_code(std::errc::is_a_directory).message();
    if (fs::exists(old) && !fs::is_regular_file(old))
        return write_bytes(file, bytes);
    const fs::path target = follow_links(file);
    if (fs::is_symlink(fs::symlink_status(target, error)))
        return std::make_error_code(std::errc::too_many_symbolic_link_levels).message();
    const fs::path draft = find_free_name(target.parent_path(), ".tmp");
    std::string reason = write_bytes(draft, bytes);
    if (reason.empty())
        reason = flush_to_disk(draft); // before the rename, or its name could outlive its bytes
    if (reason.empty()) {
        if (fs::is_regular_file(old))
            fs::permissions(draft, old.permissions(), error); // kept where the system lets us
        error.clear();
        fs::rename(draft, target, error);
        if (!error) {
            flush_to_disk(target.parent_path().empty() ? fs::path(".") : target.parent_path());
            return "";
        }
        reason = error.message();
    }
    fs::remove(draft, error);
    return reason;
}

void write_text_file(const fs::path& file, std::string_view text) {
    std::error_code ignored; // what cannot be made shows when the file is written
    if (file.has_parent_path())
        fs::create_directories(file.parent_path(), ignored);
    if (const std::string reason = replace_file(file, text); !reason.empty())
        throw InputError(Problem{.place = {.file = text_of(file)},
                                 .what = fmt::format("cannot be written ({})", reason),
                                 .remedy = "choose a folder that can be written to and has room"});
}

} // namespace duskcast
