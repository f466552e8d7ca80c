#pragma once
// A folder that results go to, all together or not at all.

#include <filesystem>
#include <functional>
#include <iosfwd>
#include <memory>
#include <mutex>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace duskcast {

/// The results of one run of a command. They are written to a draft folder inside DIR that belongs to this
/// run alone, and move to their places when all of them are whole.
///
/// Renames of many files cannot be one step, so `finish` works like a journal:
///   1. the draft folder is renamed to DIR/.duskcast-COMMAND.ready: from here on the new results count;
///   2. the list of the old results, DIR/.duskcast-COMMAND.files, is removed;
///   3. old results that the new run does not have are removed, new ones are renamed into place;
///   4. the new list is written, and the empty folder removed.
/// A run that is killed before 1 has changed nothing. One that is killed later leaves the .ready folder, and
/// the next run into DIR, of whatever command, first carries on where it stopped. Where a list stands and no
/// .ready folder does, the files of the list belong together. Steps 1 to 4 hold a lock on DIR, so two runs
/// that end together follow each other, and the later one's results stand, whole.
///
/// Nothing is removed but drafts whose runs are dead, and what a command's own list names and no other
/// command's. Where a file system has no locks, runs are not held apart and drafts of dead runs stay.
class OutputFolder {
public:
    /// `command` names the list, so that `light` and `view` may share a folder. Throws InputError when the
    /// folder cannot be made or written to.
    OutputFolder(const std::filesystem::path& folder, std::string command);
    OutputFolder(const OutputFolder&) = delete;
    OutputFolder& operator=(const OutputFolder&) = delete;
    ~OutputFolder(); ///< without `finish`: as if nothing had been

    /// Writes what is to be DIR/name. May be called from several threads. Throws InputError for a name that
    /// has been written already, if in other case, for one that leads out of the folder or holds control
    /// characters, and when it cannot be written.
    void write(const std::filesystem::path& name, std::string_view bytes);

    /// The same for what is too large to be held as a whole: `print` is called once, before this returns.
    void write_parts(const std::filesystem::path& name, const std::function<void(std::ostream&)>& print);

    /// Moves everything to its place. Throws InputError, with nothing changed, where something else than a
    /// file is in the way or a folder takes no new files.
    void finish();

    /// What has been written, as DIR/name, in the order of writing.
    std::vector<std::filesystem::path> files() const;

    /// Removes the drafts of all runs of this process that are not finished, for a process that has to end at
    /// once. Waits for a `finish` under way; none begins afterwards.
    static void abandon_all();

private:
    void take_name(const std::filesystem::path& name);
    void make_draft();
    void discard();

    std::filesystem::path folder_;
    std::string command_;
    std::filesystem::path draft_;
    std::vector<std::filesystem::path> made_folders_; ///< outermost first
    std::vector<std::filesystem::path> names_;
    std::set<std::string> lower_names_;            ///< the same where case does not count
    std::unique_ptr<class FolderLock> draft_lock_; ///< tells other runs that this one is alive
    bool is_done_ = false;
    mutable std::mutex writing_;
};

} // namespace duskcast
