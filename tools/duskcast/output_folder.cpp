#include "output_folder.hpp"

#include <fmt/format.h>

#include "duskcast/base/problem.hpp"

namespace duskcast {

namespace fs = std::filesystem;

OutputFolder::OutputFolder(const fs::path& folder) : folder_(folder), draft_(folder / ".draft") {
    std::error_code error;
    fs::remove_all(draft_, error);
    made_folder_ = !fs::exists(folder_, error);
    fs::create_directories(draft_, error);
    if (error) {
        const std::string reason = error.message();
        discard();
        throw InputError(Problem{.place = {.file = folder_.string()},
                                 .what = fmt::format("cannot be written to ({})", reason),
                                 .remedy = "choose another folder with --out"});
    }
}

OutputFolder::~OutputFolder() {
    discard();
}

fs::path OutputFolder::draft(const fs::path& name) {
    names_.push_back(name);
    std::error_code ignored; // writing the file says why
    fs::create_directories((draft_ / name).parent_path(), ignored);
    return draft_ / name;
}

void OutputFolder::finish() {
    std::error_code error;
    for (const fs::path& name : names_) {
        fs::create_directories((folder_ / name).parent_path(), error);
        if (error || fs::is_directory(folder_ / name, error))
            throw InputError(Problem{.place = {.file = (folder_ / name).string()},
                                     .what = "cannot be written: something else is in its place",
                                     .remedy = "move that away or choose another folder with --out"});
    }
    for (const fs::path& name : names_)
        fs::rename(draft_ / name, folder_ / name);
    made_folder_ = false;
}

void OutputFolder::discard() {
    std::error_code error;
    fs::remove_all(made_folder_ ? folder_ : draft_, error);
}

} // namespace duskcast
