#pragma once
// Outputs that appear together or not at all.

#include <filesystem>
#include <vector>

namespace duskcast {

/// Files are written to a draft folder inside DIR and moved into place when all of them are whole. What is
/// not finished leaves nothing behind.
class OutputFolder {
public:
    /// `parts`: folders inside of it that files will be put in. Throws InputError where it cannot be written
    /// to.
    OutputFolder(const std::filesystem::path& folder, const std::vector<std::filesystem::path>& parts);
    OutputFolder(const OutputFolder&) = delete;
    OutputFolder& operator=(const OutputFolder&) = delete;
    ~OutputFolder() { discard(); }

    /// Where to write the file that will be `name` inside DIR.
    std::filesystem::path draft(const std::filesystem::path& name);

    /// Moves everything into place. Throws InputError, having moved nothing, where a folder is in a file's
    /// place.
    void finish();

private:
    void discard();

    std::filesystem::path folder_;
    std::filesystem::path draft_;
    std::vector<std::filesystem::path> names_;
    bool made_folder_ = false;
};

} // namespace duskcast
