#pragma once
// A folder that results go to all together or not at all.

#include <filesystem>
#include <vector>

namespace duskcast {

/// Files are written to a draft folder inside DIR and moved into place when all of them are whole.
class OutputFolder {
public:
    /// Throws InputError when the folder cannot be written to.
    explicit OutputFolder(const std::filesystem::path& folder);
    OutputFolder(const OutputFolder&) = delete;
    OutputFolder& operator=(const OutputFolder&) = delete;
    ~OutputFolder();

    /// Where to write a file that is to be DIR/name.
    std::filesystem::path draft(const std::filesystem::path& name);
    /// Moves everything into place.
    void finish();

    const std::vector<std::filesystem::path>& names() const { return names_; }

private:
    void discard();

    std::filesystem::path folder_;
    std::filesystem::path draft_;
    std::vector<std::filesystem::path> names_;
    bool made_folder_ = false;
};

} // namespace duskcast
