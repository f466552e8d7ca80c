#include "disk.hpp"

#include <system_error>

#ifndef _WIN32
#include <cerrno>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#endif

namespace duskcast {

#ifdef _WIN32

FolderLock::FolderLock(const std::filesystem::path&, Wait) : is_unknown_(true) {}
FolderLock::~FolderLock() = default;

std::string flush_to_disk(const std::filesystem::path&) {
    return "";
}

#else

FolderLock::FolderLock(const std::filesystem::path& folder, Wait wait)
    : file_(open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
    if (file_ < 0) {
        is_unknown_ = errno != ENOENT; // such as a folder that may be written to and not be read
        return;
    }
    int result = 0;
    do
        result = flock(file_, wait == Wait::yes ? LOCK_EX : LOCK_EX | LOCK_NB);
    while (result != 0 && errno == EINTR);
    is_unknown_ = result != 0 && errno != EWOULDBLOCK;
    struct stat held {
    }, named{};
    is_held_ = result == 0 && fstat(file_, &held) == 0 && stat(folder.c_str(), &named) == 0 &&
               held.st_dev == named.st_dev && held.st_ino == named.st_ino;
}

FolderLock::~FolderLock() {
    if (file_ >= 0)
        close(file_);
}

std::string flush_to_disk(const std::filesystem::path& path) {
    const int file = open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return ""; // what may not be read cannot be flushed by its name
    int fault = 0;
    while (fsync(file) != 0 && (fault = errno) == EINTR)
        fault = 0;
    close(file);
    const bool is_disk_at_fault = fault == EIO || fault == ENOSPC || fault == EDQUOT;
    return is_disk_at_fault ? std::generic_category().message(fault) : "";
}

#endif

} // namespace duskcast
