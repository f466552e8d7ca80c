// A folder of results: all or nothing, whatever ends the run, and nobody else's files.

#include <algorithm>
#include <doctest/doctest.h>
#include <map>
#include <ostream>
#include <string_view>

#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "folder.hpp"
#include "message_of.hpp"

#if defined(__unix__) || defined(__APPLE__)
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
#endif

using namespace duskcast;
using namespace duskcast::test;
namespace fs = std::filesystem;

namespace {

using Contents = std::map<std::string, std::string>;

/// Every file below a folder but those whose names begin with ".duskcast".
Contents contents_of(const fs::path& folder) {
    Contents contents;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        const fs::path name = entry.path().lexically_relative(folder);
        if (entry.is_regular_file() && !name.begin()->string().starts_with(".duskcast"))
            contents[name.generic_string()] = read_bytes(entry.path());
    }
    return contents;
}

/// Drafts and half-moved results.
std::size_t count_leftovers(const fs::path& folder) {
    return static_cast<std::size_t>(
        std::count_if(fs::directory_iterator(folder), fs::directory_iterator(), [](const auto& entry) {
            const std::string name = entry.path().filename().string();
            return name.starts_with(".duskcast") && !name.ends_with(".files");
        }));
}

void write_results(const fs::path& out, const std::string& command, const Contents& results) {
    OutputFolder folder(out, command);
    for (const auto& [name, bytes] : results)
        folder.write(name, bytes);
    folder.finish();
}

const Contents old_results = {{"summary.json", "old"},
                              {"maps/front.csv", "old"},
                              {"maps/side.csv", "old"},
                              {"plates/front.svg", "old"}};
const Contents new_results = {
    {"summary.json", "new"}, {"maps/front.csv", "new"}, {"maps/back.csv", "new"}, {"plates/back.png", "new"}};

} // namespace

TEST_CASE("output folder: a result written in parts is as good as one written at once") {
    const Folder folder;
    OutputFolder results(folder.path(), "light");
    results.write("a/whole.txt", "onetwo");
    results.write_parts("a/parts.txt", [](std::ostream& out) {
        for (const char* part : {"one", "two"})
            out << part;
    });
    CHECK(message_of([&] {
              results.write_parts("A/parts.TXT", [](std::ostream&) {});
          }).find("two results of this run would have this name") != std::string::npos);
    CHECK(message_of([&] {
              results.write_parts("b.txt", [](std::ostream& out) { out.setstate(std::ios::failbit); });
          }).find("b.txt") != std::string::npos);
    CHECK(contents_of(folder.path()).empty());
    const Contents wanted{{"a/whole.txt", "onetwo"}, {"a/parts.txt", "onetwo"}};
    OutputFolder again(folder.path(), "light");
    again.write("a/whole.txt", "onetwo");
    again.write_parts("a/parts.txt", [](std::ostream& out) { out << "onetwo"; });
    again.finish();
    CHECK(contents_of(folder.path()) == wanted);
}

TEST_CASE("results stand in place when finished, and not before") {
    const Folder folder;
    const fs::path out = folder / "a/b"; // neither is there yet
    {
        OutputFolder results(out, "light");
        results.write("summary.json", "{}");
        results.write("maps/front.csv", "1,2");
        CHECK(contents_of(out).empty());
        results.finish();
        CHECK(results.files() == std::vector<fs::path>{out / "summary.json", out / "maps/front.csv"});
    }
    CHECK(contents_of(out) == Contents{{"summary.json", "{}"}, {"maps/front.csv", "1,2"}});
    CHECK(count_leftovers(out) == 0);
}

TEST_CASE("a run that fails leaves no trace, the folders it made included") {
    const Folder folder;
    {
        OutputFolder results(folder / "a/b", "light");
        results.write("summary.json", "{}");
    }
    CHECK(folder.count() == 0);
    folder.write("mine.txt", "mine");
    write_results(folder.path(), "light", old_results);
    { OutputFolder(folder.path(), "light").write("summary.json", "half"); }
    Contents wanted = old_results;
    wanted["mine.txt"] = "mine";
    CHECK(contents_of(folder.path()) == wanted);
    CHECK(count_leftovers(folder.path()) == 0);
}

TEST_CASE("what an earlier run of the command wrote and this one does not goes, and all else stays") {
    const Folder folder;
    write_results(folder.path(), "light", old_results);
    write_results(folder.path(), "view", {{"views/street.night.png", "view"}});
    fs::create_directory(folder / ".draft");
    folder.write(".draft/mine.txt", "mine");
    folder.write("maps/mine.csv", "mine");
    write_results(folder.path(), "light", new_results);
    Contents wanted = new_results;
    wanted["views/street.night.png"] = "view";
    wanted[".draft/mine.txt"] = "mine";
    wanted["maps/mine.csv"] = "mine";
    CHECK(contents_of(folder.path()) == wanted);
    write_results(folder.path(), "light", {{"summary.json", "last"}});
    CHECK(!fs::exists(folder / "plates")); // emptied, so gone
    CHECK(fs::exists(folder / "maps/mine.csv"));
}

TEST_CASE("two runs into one folder: the later one's results stand, whole") {
    const Folder folder;
    OutputFolder first(folder.path(), "light"), second(folder.path(), "light");
    for (const auto& [name, bytes] : old_results)
        first.write(name, bytes);
    for (const auto& [name, bytes] : new_results)
        second.write(name, bytes);
    SUBCASE("in the order they began") {
        first.finish();
        CHECK(contents_of(folder.path()) == old_results);
        second.finish();
        CHECK(contents_of(folder.path()) == new_results);
    }
    SUBCASE("the other way round") {
        second.finish();
        first.finish();
        CHECK(contents_of(folder.path()) == old_results);
    }
    CHECK(count_leftovers(folder.path()) == 0);
}

TEST_CASE("a run that fails takes nothing from one that is still at work or has finished") {
    const Folder folder;
    const fs::path out = folder / "out";
    OutputFolder good(out, "light");
    good.write("summary.json", "good");
    { OutputFolder(out, "light").write("summary.json", "bad"); }
    CHECK(fs::exists(out));
    good.finish();
    { OutputFolder(out, "light").write("summary.json", "bad"); }
    CHECK(contents_of(out) == Contents{{"summary.json", "good"}});
}

TEST_CASE("one name twice is refused before anything is replaced") {
    const Folder folder;
    write_results(folder.path(), "view", {{"views/street.png", "old"}});
    OutputFolder results(folder.path(), "view");
    results.write("views/street.png", "new");
    CHECK(message_of([&] { results.write("views/street.png", "again"); }) ==
          text_of(folder / "views/street.png") + ": error: two results of this run would have this name; "
                                                 "ask for each once, and give different ids");
    CHECK(contents_of(folder.path()) == Contents{{"views/street.png", "old"}});
}

TEST_CASE("names that are one where case does not count are refused") {
    const Folder folder;
    OutputFolder results(folder.path(), "light");
    results.write("maps/Front.csv", "1");
    CHECK(message_of([&] { results.write("maps/front.csv", "2"); }).find("two results of this run") !=
          std::string::npos);
    results.write("plates/front.csv", "3"); // in another folder
}

TEST_CASE("names that lead out of the folder, or would break the list in two, are refused") {
    const Folder folder;
    folder.write("mine.txt", "mine");
    OutputFolder results(folder / "out", "lamp");
    for (const std::string& name : {std::string("../mine.txt"), text_of(folder / "mine.txt"),
                                    std::string("a/../../mine.txt"), std::string("a\nb.png"), std::string()})
        CHECK(message_of([&] { results.write(name, "new"); }).find("no file in this folder can have") !=
              std::string::npos);
    results.finish();
    CHECK(read_bytes(folder / "mine.txt") == "mine");
    CHECK(contents_of(folder / "out").empty());
}

TEST_CASE("a list with a zero byte in a name is passed over, and the run ends") {
    const Folder folder;
    write_results(folder.path(), "light", {{"a.json", "old"}});
    folder.write(".duskcast-light.files", std::string("a.json\nplates/\0/x\n", 18));
    write_results(folder.path(), "light", {{"b.json", "new"}});
    CHECK(contents_of(folder.path()) == Contents{{"b.json", "new"}});
}

TEST_CASE("what another command has replaced is that command's and stays") {
    const Folder folder;
    write_results(folder.path(), "light", {{"plates/front.png", "light"}, {"plates/side.png", "light"}});
    write_results(folder.path(), "compare", {{"plates/front.png", "compare"}});
    write_results(folder.path(), "light", {{"summary.json", "light"}});
    CHECK(contents_of(folder.path()) == Contents{{"plates/front.png", "compare"}, {"summary.json", "light"}});
}

TEST_CASE("the list is the same whatever order threads write in") {
    const Folder folder;
    write_results(folder.path(), "light", {{"a", ""}, {"b/c", ""}});
    const std::string list = read_bytes(folder / ".duskcast-light.files");
    CHECK(list == "a\nb/c\n");
    OutputFolder results(folder.path(), "light");
    results.write("b/c", "");
    results.write("a", "");
    results.finish();
    CHECK(read_bytes(folder / ".duskcast-light.files") == list);
}

TEST_CASE("what is in the way is refused before anything is replaced") {
    const Folder folder;
    write_results(folder.path(), "light", {{"a.json", "old"}});
    SUBCASE("a folder where a file should be") {
        fs::create_directory(folder / "z.json");
    }
    SUBCASE("a file where a folder should be") {
        folder.write("maps", "mine");
    }
    OutputFolder results(folder.path(), "light");
    results.write("a.json", "new");
    results.write("maps/m.csv", "new");
    results.write("z.json", "new");
    const std::string message = message_of([&] { results.finish(); });
    CHECK(
        message.find("something else is in its place; move that away or choose another folder with --out") !=
        std::string::npos);
    CHECK(read_bytes(folder / "a.json") == "old");
}

TEST_CASE("a place that is no folder is refused and stays as it is") {
    const Folder folder;
    folder.write("file", "mine");
    CHECK(message_of([&] { OutputFolder(folder / "file", "light"); }).starts_with(text_of(folder / "file")));
    CHECK(read_bytes(folder / "file") == "mine");
    CHECK(message_of([&] { OutputFolder("", "light"); }) ==
          "--out: error: cannot be written to (it is empty); choose another folder with --out");
#if defined(__unix__) || defined(__APPLE__)
    fs::create_symlink("nowhere", folder / "dangling");
    CHECK(message_of([&] { OutputFolder(folder / "dangling", "light"); }) != "no error");
    CHECK(fs::is_symlink(folder / "dangling"));
    CHECK(folder.count() == 2);
#endif
}

TEST_CASE("a list that leads out of the folder removes nothing there") {
    const Folder folder;
    folder.write("mine.txt", "mine");
    const fs::path out = folder / "out";
    write_results(out, "light", {{"a.json", "old"}});
    folder.write("out/.duskcast-light.files",
                 "../mine.txt\n" + text_of(folder / "mine.txt") + "\na/../../mine.txt\na.json\n");
    write_results(out, "light", {{"b.json", "new"}});
    CHECK(read_bytes(folder / "mine.txt") == "mine");
    CHECK(contents_of(out) == Contents{{"b.json", "new"}});
}

#if defined(__unix__) || defined(__APPLE__)

#if defined(__GLIBC__) && !defined(DUSKCAST_SANITIZED)

// The C library's calls that change names on the disk, as this program links them: std::filesystem comes here
// first. So a run can be killed before any of them, wherever in the code it stands.

namespace {

int changes_left = -1; ///< before the process kills itself; below 0: it lives

/// Drafts of single files (".tmp") are nobody's yet: what becomes of them is not looked at here.
bool is_draft_file(const char* name) {
    return std::string_view(name).ends_with(".tmp");
}

void count_change() {
    if (changes_left == 0)
        kill(getpid(), SIGKILL); // as kill -9 does it
    if (changes_left > 0)
        --changes_left;
}

} // namespace

extern "C" {
int rename(const char* from, const char* to) noexcept {
    if (!is_draft_file(from))
        count_change();
    return static_cast<int>(syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0));
}
int unlinkat(int folder, const char* name, int flags) noexcept {
    if (!is_draft_file(name))
        count_change();
    return static_cast<int>(syscall(SYS_unlinkat, folder, name, flags));
}
int unlink(const char* name) noexcept {
    return unlinkat(AT_FDCWD, name, 0);
}
int rmdir(const char* name) noexcept {
    return unlinkat(AT_FDCWD, name, AT_REMOVEDIR);
}
int remove(const char* name) noexcept {
    const int result = unlink(name);
    return result != 0 && (errno == EISDIR || errno == EPERM) ? rmdir(name) : result;
}
int mkdir(const char* name, mode_t mode) noexcept {
    count_change();
    return static_cast<int>(syscall(SYS_mkdirat, AT_FDCWD, name, mode));
}
}

namespace {

/// Runs `call` in a process of its own that is killed before it changes names on the disk for the `step`th
/// time, counted from 0. Whether it was killed.
template <class Call> bool run_and_kill(int step, Call call) {
    const pid_t child = fork();
    if (child == 0) {
        changes_left = step;
        call();
        _exit(0);
    }
    int status = 0;
    waitpid(child, &status, 0);
    return WIFSIGNALED(status);
}

/// The step from which on the new results count: the first kill that leaves a .ready folder, or no kill.
int find_publishing() {
    for (int step = 0;; ++step) {
        const Folder folder;
        write_results(folder.path(), "light", old_results);
        const bool was_killed =
            run_and_kill(step, [&] { write_results(folder.path(), "light", new_results); });
        if (!was_killed || fs::exists(folder / ".duskcast-light.ready"))
            return step;
    }
}

} // namespace

TEST_CASE(
    "killed at any step: old results, or new ones, or a mixture that nothing vouches for and that the next "
    "run completes") {
    const int publishing = find_publishing();
    REQUIRE(publishing > 3); // the draft, its folders
    int step = 0;
    bool was_killed = true;
    for (; was_killed; ++step) {
        REQUIRE(step < 100);
        CAPTURE(step);
        const Folder folder;
        folder.write("mine.txt", "mine");
        write_results(folder.path(), "light", old_results);
        was_killed = run_and_kill(step, [&] { write_results(folder.path(), "light", new_results); });
        Contents found = contents_of(folder.path());
        CHECK(found.extract("mine.txt").mapped() == "mine");
        const bool is_vouched_for = fs::exists(folder / ".duskcast-light.files");
        const bool is_moving = fs::exists(folder / ".duskcast-light.ready");
        if (is_vouched_for && !is_moving)
            CHECK((found == old_results || found == new_results));
        if (!was_killed)
            CHECK(found == new_results);

        // The next run, of another command and one that fails at that, completes it.
        { OutputFolder(folder.path(), "view").write("a.png", "half"); }
        found = contents_of(folder.path());
        found.erase("mine.txt");
        CHECK(found == (step < publishing ? old_results : new_results));
        CHECK(count_leftovers(folder.path()) == 0);
        CHECK(fs::exists(folder / ".duskcast-light.files"));
    }
    CHECK(step > publishing + 8); // one a file at least
}

TEST_CASE("killed again while the next run completes it") {
    const int publishing = find_publishing();
    for (int second = 0; second < 20; ++second) {
        CAPTURE(second);
        const Folder folder;
        write_results(folder.path(), "light", old_results);
        REQUIRE(run_and_kill(publishing + 2, [&] { write_results(folder.path(), "light", new_results); }));
        run_and_kill(second, [&] { OutputFolder(folder.path(), "view"); });
        { OutputFolder(folder.path(), "view"); }
        CHECK(contents_of(folder.path()) == new_results);
        CHECK(count_leftovers(folder.path()) == 0);
    }
}

#endif

TEST_CASE("a folder inside that takes no files is refused before anything is replaced") {
    const Folder folder;
    write_results(folder.path(), "light", old_results);
    fs::permissions(folder.path(), fs::perms::all);
    constexpr auto all_but_writing = static_cast<fs::perms>(0555);
    fs::permissions(folder / "maps", all_but_writing);
    const pid_t child = fork();
    if (child == 0) {
        constexpr uid_t somebody = 65534; // rights are nothing to root
        if (geteuid() == 0 && seteuid(somebody) != 0)
            _exit(2);
        const std::string message = message_of([&] { write_results(folder.path(), "light", new_results); });
        _exit(message.starts_with(text_of(folder / "maps") + ": error: cannot be written to (") ? 0 : 1);
    }
    int status = 0;
    waitpid(child, &status, 0);
    fs::permissions(folder / "maps", fs::perms::owner_all);
    CHECK(status == 0);
    CHECK(contents_of(folder.path()) == old_results);
    CHECK(count_leftovers(folder.path()) == 0);
}

TEST_CASE("a folder that may be written to and not be read takes results all the same") {
    const Folder folder;
    constexpr auto all_but_reading = static_cast<fs::perms>(0333);
    fs::permissions(folder.path(), all_but_reading);
    const pid_t child = fork();
    if (child == 0) {
        constexpr uid_t somebody = 65534; // rights are nothing to root
        if (geteuid() == 0 && seteuid(somebody) != 0)
            _exit(2);
        _exit(message_of([&] { write_results(folder.path(), "light", new_results); }) == "no error" ? 0 : 1);
    }
    int status = 0;
    waitpid(child, &status, 0);
    fs::permissions(folder.path(), fs::perms::owner_all);
    CHECK(status == 0);
    CHECK(contents_of(folder.path()) == new_results);
}

TEST_CASE("runs that fail take a folder away that others are about to use: these make it again") {
    const Folder folder;
    const fs::path out = folder / "out";
    std::vector<pid_t> children;
    for (int run = 0; run < 4; ++run) {
        const pid_t child = fork();
        if (child == 0) {
            for (int i = 0; i < 200; ++i)
                if (message_of([&] { OutputFolder(out, "light").write("a.json", "half"); }) != "no error")
                    _exit(1);
            _exit(0);
        }
        children.push_back(child);
    }
    for (const pid_t child : children) {
        int status = 0;
        waitpid(child, &status, 0);
        CHECK(status == 0);
    }
    // The one that made the folder may have ended while another used it: then it stays, empty.
    if (fs::exists(out))
        CHECK(fs::is_empty(out));
}

TEST_CASE("drafts of dead runs go, those of live ones stay") {
    const Folder folder;
    const pid_t child = fork();
    if (child == 0) {
        OutputFolder results(folder.path(), "light");
        results.write("a.json", "half");
        kill(getpid(), SIGKILL);
    }
    int status = 0;
    waitpid(child, &status, 0);
    CHECK(count_leftovers(folder.path()) == 1);
    fs::create_directory(folder / ".duskcast-mine.draft"); // not as we name them
    OutputFolder alive(folder.path(), "light");
    alive.write("a.json", "new");
    { OutputFolder(folder.path(), "view"); }
    CHECK(count_leftovers(folder.path()) == 2);
    alive.finish();
    CHECK(contents_of(folder.path()) == Contents{{"a.json", "new"}});
    CHECK(fs::exists(folder / ".duskcast-mine.draft"));
}

TEST_CASE("eight processes into one folder at once: one set stands, whole") {
    const Folder folder;
    std::vector<pid_t> children;
    for (int run = 0; run < 8; ++run) {
        const pid_t child = fork();
        if (child == 0) {
            for (int turn = 0; turn < 5; ++turn) {
                Contents results;
                for (int i = 0; i < 6; ++i)
                    results["maps/" + std::to_string((run + i) % 9) + ".csv"] = std::to_string(run);
                write_results(folder.path(), "light", results);
            }
            _exit(0);
        }
        children.push_back(child);
    }
    for (const pid_t child : children) {
        int status = 0;
        waitpid(child, &status, 0);
        CHECK((WIFEXITED(status) && WEXITSTATUS(status) == 0));
    }
    const Contents found = contents_of(folder.path());
    CHECK(found.size() == 6);
    for (const auto& [name, bytes] : found)
        CHECK(bytes == found.begin()->second);
    CHECK(count_leftovers(folder.path()) == 0);
}

TEST_CASE("links in the folder stay links, and pipes in it are refused") {
    const Folder folder;
    const fs::path out = folder / "out", elsewhere = folder / "elsewhere";
    fs::create_directories(out);
    fs::create_directories(elsewhere);
    fs::create_directory_symlink(elsewhere, out / "plates");
    fs::create_symlink(elsewhere / "mine.json", out / "summary.json");
    folder.write("elsewhere/mine.json", "old");
    write_results(out, "light", {{"summary.json", "new"}, {"plates/front.png", "new"}});
    CHECK(fs::is_symlink(out / "plates"));
    CHECK(fs::is_symlink(out / "summary.json"));
    CHECK(read_bytes(elsewhere / "mine.json") == "new");
    CHECK(read_bytes(elsewhere / "front.png") == "new");

    REQUIRE(mkfifo((out / "a.json").c_str(), 0600) == 0);
    CHECK(message_of([&] {
              write_results(out, "light", {{"a.json", "x"}});
          }) == text_of(out / "a.json") +
                    ": error: cannot be written: something else is in its place; move that away or "
                    "choose another folder with --out");
    CHECK(fs::is_fifo(out / "a.json"));
}

TEST_CASE("a folder that may not be written to is refused and stays as it is") {
    const Folder folder;
    write_results(folder.path(), "light", old_results);
    fs::permissions(folder.path(), fs::perms(0555));
    // Root may write anywhere, so it gives up its rights for the moment.
    const bool is_root = geteuid() == 0;
    REQUIRE((!is_root || seteuid(65534) == 0));
    const std::string message = message_of([&] { OutputFolder(folder.path(), "light"); });
    REQUIRE((!is_root || seteuid(0) == 0));
    fs::permissions(folder.path(), fs::perms(0755));
    CHECK(message ==
          text_of(folder.path()) +
              ": error: cannot be written to (Permission denied); choose another folder with --out");
    CHECK(contents_of(folder.path()) == old_results);
}

TEST_CASE("a disk that fills up leaves the old results") {
    const Folder folder;
    write_results(folder.path(), "light", old_results);
    rlimit limit{};
    getrlimit(RLIMIT_FSIZE, &limit);
    const rlimit small{4096, limit.rlim_max}; // stands in for a full disk (POSIX, EFBIG)
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &small);
    const std::string message = message_of([&] {
        write_results(folder.path(), "light", {{"a.json", "new"}, {"b.json", std::string(1 << 20, 'x')}});
    });
    setrlimit(RLIMIT_FSIZE, &limit);
    std::signal(SIGXFSZ, handler);
    CHECK(message.find("(File too large)") != std::string::npos);
    CHECK(contents_of(folder.path()) == old_results);
    CHECK(count_leftovers(folder.path()) == 0);
}

TEST_CASE("several threads write at once") {
    const Folder folder;
    OutputFolder results(folder.path(), "light");
    std::vector<std::thread> threads;
    for (int t = 0; t < 4; ++t)
        threads.emplace_back([&, t] {
            for (int i = 0; i < 20; ++i)
                results.write("maps/" + std::to_string(20 * t + i) + ".csv", std::to_string(t));
        });
    for (std::thread& thread : threads)
        thread.join();
    results.finish();
    CHECK(contents_of(folder.path()).size() == 80);
}

#endif
