#include "duskcast/base/files.hpp"

#include <cerrno>
#include <fmt/format.h>
#include <fstream>
#include <system_error>

#include "duskcast/base/problem.hpp"

namespace duskcast {

void write_text_file(const std::filesystem::path& file, const std::string& text) {
    std::filesystem::path draft = file;
    draft += ".part";
    std::error_code error;
    errno = 0;
    std::ofstream stream(draft, std::ios::binary | std::ios::trunc);
    const bool is_ours = stream.is_open();
    stream.write(text.data(), static_cast<std::streamsize>(text.size()));
    stream.close();
    if (stream)
        std::filesystem::rename(draft, file, error);
    else
        error = std::error_code(errno != 0 ? errno : EIO, std::generic_category());
    if (!error)
        return;
    const std::string reason = error.message();
    if (is_ours)
        std::filesystem::remove(draft, error);
    throw InputError(Problem{.place = {.file = file.string()},
                             .what = fmt::format("cannot be written ({})", reason),
                             .remedy = "choose a folder that can be written to and has room"});
}

} // namespace duskcast
