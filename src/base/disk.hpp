#pragma once
// The one place that asks the operating system for more than files: locks, and that data reaches the disk.

#include <filesystem>
#include <string>

namespace duskcast {

/// Holds a folder for this process; the system lets go of it when the process ends, however it ends.
class FolderLock {
public:
    enum class Wait { no, yes };

    FolderLock(const std::filesystem::path& folder, Wait wait);
    FolderLock(const FolderLock&) = delete;
    FolderLock& operator=(const FolderLock&) = delete;
    ~FolderLock();

    /// Whether the folder is held, and still the one of that name: whoever held it before may have removed
    /// it.
    bool is_held() const { return is_held_; }
    /// Whether nobody can be held off: the system or the file system has no such locks.
    bool is_unknown() const { return is_unknown_; }

private:
    int file_ = -1;
    bool is_held_ = false;
    bool is_unknown_ = false;
};

/// Waits until a file, or the names in a folder, are on the disk, so that a loss of power cannot bring back
/// what was there before. Returns the system's reason where the disk has no room or fails; empty: done, or
/// the file system cannot tell.
std::string flush_to_disk(const std::filesystem::path& path);

} // namespace duskcast
