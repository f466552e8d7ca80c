#pragma once
// The one place that asks the operating system to lock a folder.

#include <filesystem>

namespace duskcast {

/// Holds a folder for this process; the system lets go of it when the process ends, however it ends. Where a
/// system or file system has no such locks, every lock succeeds.
class FolderLock {
public:
    enum class Wait { no, yes };

    FolderLock(const std::filesystem::path& folder, Wait wait);
    FolderLock(const FolderLock&) = delete;
    FolderLock& operator=(const FolderLock&) = delete;
    ~FolderLock();

    bool is_held() const { return is_held_; }

private:
    int file_ = -1;
    bool is_held_ = true;
};

} // namespace duskcast
