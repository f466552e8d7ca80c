#include "duskcast/base/output_folder.hpp"

#include <algorithm>
#include <cerrno>
#include <fmt/format.h>
#include <fstream>
#include <set>
#include <system_error>
#include <utility>

#include "disk.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"

namespace duskcast {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view prefix = ".duskcast-", list_ending = ".files", ready_ending = ".ready",
                           draft_ending = ".draft";
constexpr std::uintmax_t most_list_bytes = 16u << 20;

/// The runs of this process that have drafts.
std::mutex finishing; // held by whoever changes the disk for good
std::vector<OutputFolder*> unfinished;
bool is_abandoned = false;

[[noreturn]] void refuse_taken(const fs::path& file, std::string what) {
    throw InputError(Problem{.place = {.file = text_of(file)},
                             .what = std::move(what),
                             .remedy = "move that away or choose another folder with --out"});
}

[[noreturn]] void refuse_writing(const fs::path& folder, const std::string& reason) {
    throw InputError(Problem{.place = {.file = text_of(folder)},
                             .what = fmt::format("cannot be written to ({})", reason),
                             .remedy = "choose another folder with --out"});
}

fs::path list_of(const fs::path& folder, const std::string& command) {
    return folder / fmt::format("{}{}{}", prefix, command, list_ending);
}

/// The names in a list, one a line. Names that lead out of the folder are none that we wrote, nor are those
/// with a zero byte, which the system would take for shorter ones.
std::vector<fs::path> read_list(const fs::path& list) {
    std::vector<fs::path> names;
    for (const std::string& line : split(read_whole_file(list, most_list_bytes).bytes, '\n')) {
        const fs::path name = path_in({}, line).lexically_normal();
        if (!line.empty() && line.find('\0') == std::string::npos && name.is_relative() &&
            *name.begin() != "..")
            names.push_back(name);
    }
    return names;
}

/// In alphabetical order: threads write in any.
std::string print_list(std::vector<fs::path> names) {
    std::sort(names.begin(), names.end());
    std::string text;
    for (const fs::path& name : names)
        text += text_of(name) + '\n';
    return text;
}

/// Whether a file may take this place: nothing is there, or a file or link to one.
bool is_free_for_file(const fs::path& place) {
    std::error_code error;
    const fs::file_status status = fs::status(place, error);
    return !fs::exists(status) || fs::is_regular_file(status);
}

/// A rename; across file systems (a folder in DIR may be a link) a copy that is renamed. A link at `to`
/// stays.
void move_file(const fs::path& from, const fs::path& to) {
    const fs::path target = follow_links(to);
    std::error_code error;
    fs::rename(from, target, error);
    if (!error)
        return;
    const fs::path copy = find_free_name(target.parent_path(), ".tmp");
    if (fs::copy_file(from, copy, error))
        fs::rename(copy, target, error);
    if (error) {
        std::error_code ignored;
        fs::remove(copy, ignored);
        refuse_writing(to, error.message());
    }
    fs::remove(from, error);
}

/// Removes an old result, and folders that it leaves empty.
void remove_result(const fs::path& folder, const fs::path& name) {
    std::error_code error;
    if (!fs::is_regular_file(fs::symlink_status(folder / name, error)) || !fs::remove(folder / name, error))
        return;
    for (fs::path inside = name.parent_path(); !inside.empty(); inside = inside.parent_path())
        if (!fs::remove(folder / inside, error)) // only what is empty
            return;
}

/// What the lists of other commands name: a result that another command has replaced is that command's.
std::set<fs::path> read_other_lists(const fs::path& folder, const fs::path& list) {
    std::set<fs::path> names;
    std::error_code error;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, error)) {
        const std::string name = text_of(entry.path().filename());
        if (name.starts_with(prefix) && name.ends_with(list_ending) && entry.path() != list)
            for (const fs::path& other : read_list(entry.path()))
                names.insert(other);
    }
    return names;
}

/// Throws InputError unless files can be made in the folder, or in the one it is to be made in. Nothing but
/// making one tells: there are rights, attributes and file systems that are only read.
void check_writable(fs::path folder) {
    std::error_code error;
    while (!fs::exists(folder, error) && folder.has_parent_path())
        folder = folder.parent_path();
    const fs::path probe = find_free_name(folder, ".tmp");
    if (const std::string reason = replace_file(probe, ""); !reason.empty())
        refuse_writing(folder, reason);
    fs::remove(probe, error);
}

/// Whether there are only folders in it, if anything.
bool holds_no_file(const fs::path& folder) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder))
        if (!fs::is_directory(entry.symlink_status()))
            return false;
    return true;
}

/// As find_free_name makes them.
bool is_draft_name(const std::string& name) {
    return name.size() == prefix.size() + 8 + draft_ending.size() && name.ends_with(draft_ending) &&
           name.find_first_not_of("0123456789abcdef", prefix.size()) == prefix.size() + 8;
}

/// Steps 2 to 4 of `finish`, wherever an earlier attempt may have stopped. Inside the .ready folder stands
/// the list of the new results, and whatever of them has not moved yet.
void carry_out(const fs::path& folder, const std::string& command, const fs::path& ready) {
    const fs::path list = list_of(folder, command);
    const fs::path new_list = ready / list.filename(), old_list = ready / "old.files";
    const std::vector<fs::path> names = read_list(new_list);
    std::error_code error;
    if (fs::exists(list, error))
        fs::rename(list, old_list, error); // no list, no promise
    std::set<fs::path> kept = read_other_lists(folder, list);
    kept.insert(names.begin(), names.end());
    for (const fs::path& name : read_list(old_list))
        if (!kept.contains(name))
            remove_result(folder, name);
    for (const fs::path& name : names)
        if (fs::exists(ready / name, error)) {
            fs::create_directories((folder / name).parent_path(), error);
            move_file(ready / name, folder / name);
        }
    fs::remove(old_list, error);
    std::set<fs::path> changed{folder};
    for (const fs::path& name : names)
        changed.insert(follow_links(folder / name).parent_path());
    for (const fs::path& place : changed)
        flush_to_disk(place); // the list vouches for what is on the disk
    move_file(new_list, list);
    fs::remove_all(ready, error);
}

/// What earlier runs left behind: drafts of those that are dead, and results that were ready but not moved.
void tidy(const fs::path& folder) {
    std::error_code error;
    std::vector<fs::path> drafts, readies;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, error)) {
        const std::string name = text_of(entry.path().filename());
        if (!name.starts_with(prefix) || !fs::is_directory(entry.symlink_status(error)))
            continue;
        if (is_draft_name(name))
            drafts.push_back(entry.path());
        else if (name.ends_with(ready_ending))
            readies.push_back(entry.path());
    }
    for (const fs::path& ready : readies) {
        std::string command = text_of(ready.filename()).substr(prefix.size());
        command.resize(command.size() - ready_ending.size());
        if (fs::exists(ready / list_of("", command), error))
            carry_out(folder, command, ready);
        else if (holds_no_file(ready)) // everything had moved
            fs::remove_all(ready, error);
    }
    for (const fs::path& draft : drafts)
        if (const FolderLock lock(draft, FolderLock::Wait::no); lock.is_held())
            fs::remove_all(draft, error);
}

} // namespace

OutputFolder::OutputFolder(const fs::path& folder, std::string command)
    : folder_(folder), command_(std::move(command)) {
    if (folder_.empty())
        refuse_writing("--out", "it is empty");
    try {
        // Another run that fails may remove the folder it made between two steps of ours.
        constexpr int most_tries = 100;
        for (int i = 0; i < most_tries && draft_.empty(); ++i)
            make_draft();
        if (draft_.empty())
            refuse_writing(folder_, "it is removed again and again");
    } catch (const InputError&) {
        const std::lock_guard lock(finishing);
        discard();
        throw;
    }
}

/// Leaves the draft empty when the folder was removed meanwhile.
void OutputFolder::make_draft() {
    std::error_code error;
    const fs::path whole = fs::absolute(folder_);
    std::vector<fs::path> missing;
    for (fs::path path = whole; !fs::exists(fs::symlink_status(path, error)) && path != path.parent_path();
         path = path.parent_path())
        missing.insert(missing.begin(), path);
    error.clear();
    fs::create_directories(whole, error);
    if (!error && !fs::is_directory(whole, error))
        error = std::make_error_code(std::errc::not_a_directory);
    if (error && error != std::errc::no_such_file_or_directory)
        refuse_writing(folder_, error.message());
    for (const fs::path& made : missing)
        if (std::find(made_folders_.begin(), made_folders_.end(), made) == made_folders_.end())
            made_folders_.push_back(made);
    // The folder first, then the drafts of this process: signals must not wait for another process.
    const FolderLock alone(folder_, FolderLock::Wait::yes);
    if (!alone.is_held() && !alone.is_unknown())
        return;
    const std::lock_guard lock(finishing);
    tidy(folder_);
    const fs::path draft = find_free_name(folder_, draft_ending);
    if (!fs::create_directory(draft, error)) {
        if (error == std::errc::no_such_file_or_directory)
            return;
        refuse_writing(folder_, error.message());
    }
    draft_ = draft;
    draft_lock_ = std::make_unique<FolderLock>(draft_, FolderLock::Wait::no);
    unfinished.push_back(this);
}

OutputFolder::~OutputFolder() {
    const std::lock_guard lock(finishing);
    discard();
}

/// Notes what is to be written, and makes the folder that it lies in.
void OutputFolder::take_name(const fs::path& name) {
    const std::string text = text_of(name);
    const bool has_control =
        std::any_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; });
    if (has_control || !name.has_filename() || name.has_root_path() ||
        std::find(name.begin(), name.end(), fs::path("..")) != name.end())
        throw InputError(Problem{.place = {.file = text_of(folder_)},
                                 .what = "a result would have a name that no file in this folder can have",
                                 .remedy = "give ids, and files of lamps, plain names"});
    {
        const std::lock_guard lock(writing_);
        if (!lower_names_.insert(lower_case(text)).second)
            throw InputError(Problem{.place = {.file = text_of(folder_ / name)},
                                     .what = "two results of this run would have this name",
                                     .remedy = "ask for each once, and give different ids"});
        names_.push_back(name);
    }
    std::error_code ignored; // writing the file says why
    fs::create_directories((draft_ / name).parent_path(), ignored);
}

void OutputFolder::write(const fs::path& name, std::string_view bytes) {
    write_parts(name, [&](std::ostream& stream) {
        stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    });
}

void OutputFolder::write_parts(const fs::path& name, const std::function<void(std::ostream&)>& print) {
    take_name(name);
    errno = 0;
    std::ofstream stream(draft_ / name, std::ios::binary);
    print(stream);
    stream.close();
    std::string reason = stream ? "" : std::generic_category().message(errno != 0 ? errno : EIO);
    if (reason.empty())
        reason = flush_to_disk(draft_ / name);
    if (!reason.empty())
        refuse_writing(folder_ / name, reason);
}

void OutputFolder::finish() {
    const FolderLock alone(folder_, FolderLock::Wait::yes);
    const std::lock_guard lock(finishing);
    if (is_abandoned)
        return;
    std::set<fs::path> places; ///< folders in which something will change
    for (const fs::path& name : names_) {
        fs::path inside;
        for (const fs::path& part : name.parent_path()) {
            inside /= part;
            std::error_code error;
            if (fs::exists(fs::symlink_status(folder_ / inside, error)) &&
                !fs::is_directory(folder_ / inside, error))
                refuse_taken(folder_ / inside, "cannot be a folder: something else is in its place");
        }
        if (!is_free_for_file(folder_ / name))
            refuse_taken(folder_ / name, "cannot be written: something else is in its place");
        places.insert(follow_links(folder_ / name).parent_path());
    }
    for (const fs::path& name : read_list(list_of(folder_, command_)))
        places.insert((folder_ / name).parent_path());
    for (const fs::path& place : places)
        check_writable(place);
    const fs::path list = list_of(folder_, command_);
    write_text_file(draft_ / list.filename(), print_list(names_));
    tidy(folder_); // what a run that was killed meanwhile left ready
    const fs::path ready = folder_ / fmt::format("{}{}{}", prefix, command_, ready_ending);
    std::error_code error;
    fs::rename(draft_, ready, error);
    if (error)
        refuse_writing(folder_, error.message());
    flush_to_disk(folder_);
    is_done_ = true;
    made_folders_.clear();
    carry_out(folder_, command_, ready);
}

std::vector<fs::path> OutputFolder::files() const {
    const std::lock_guard lock(writing_);
    std::vector<fs::path> files;
    for (const fs::path& name : names_)
        files.push_back(folder_ / name);
    return files;
}

void OutputFolder::abandon_all() {
    const std::lock_guard lock(finishing);
    is_abandoned = true;
    while (!unfinished.empty())
        unfinished.back()->discard();
}

void OutputFolder::discard() {
    std::erase(unfinished, this);
    std::error_code error;
    if (!is_done_ && !draft_.empty())
        fs::remove_all(draft_, error);
    draft_lock_.reset();
    for (; !made_folders_.empty(); made_folders_.pop_back())
        if (!fs::remove(made_folders_.back(), error)) // only what is empty: others may use it by now
            break;
    made_folders_.clear();
}

} // namespace duskcast
