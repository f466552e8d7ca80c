// Files read whole and written whole.

#include <doctest/doctest.h>

#include "duskcast/base/files.hpp"
#include "folder.hpp"
#include "message_of.hpp"

#if defined(__unix__) || defined(__APPLE__)
#include <csignal>
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <thread>
#include <unistd.h>
#endif

using namespace duskcast;
using namespace duskcast::test;
namespace fs = std::filesystem;

namespace {

const std::string remedy = "; choose a folder that can be written to and has room";

std::string refusal(const fs::path& file, const std::string& reason) {
    return text_of(file) + ": error: cannot be written (" + reason + ")" + remedy;
}

} // namespace

TEST_CASE("a file is read whole, whatever bytes it holds, up to the size allowed") {
    const Folder folder;
    std::string bytes;
    for (int i = 0; i < 200'000; ++i)
        bytes += static_cast<char>(i * 7919);
    folder.write("file", bytes);
    CHECK(read_whole_file(folder / "file", bytes.size()).bytes == bytes);
    CHECK(read_whole_file(folder / "file", bytes.size()).fault == FileFault::none);
    const WholeFile larger = read_whole_file(folder / "file", bytes.size() - 1);
    CHECK(larger.fault == FileFault::too_large);
    CHECK(larger.bytes.empty());
    folder.write("empty", "");
    CHECK(read_whole_file(folder / "empty", 0).fault == FileFault::none);
}

TEST_CASE("what is missing and what is a folder cannot be read") {
    const Folder folder;
    const WholeFile missing = read_whole_file(folder / "none", 10);
    CHECK(missing.fault == FileFault::unreadable);
    CHECK(missing.reason == "No such file or directory"); // the words of POSIX strerror
    CHECK(read_whole_file(folder.path(), 10).reason == "Is a directory");
}

TEST_CASE("a file is replaced whole, and nothing is left beside it") {
    const Folder folder;
    const fs::path file = folder / "summary.json";
    write_text_file(file, "first\r\n");
    CHECK(read_bytes(file) == "first\r\n");
    write_text_file(file, "");
    CHECK(read_bytes(file).empty());
    CHECK(folder.count() == 1);
}

TEST_CASE("a file in the current folder needs no folder in its name") {
    const Folder folder;
    const fs::path before = fs::current_path();
    fs::current_path(folder.path());
    write_text_file("here.txt", "here");
    fs::current_path(before);
    CHECK(read_bytes(folder / "here.txt") == "here");
}

TEST_CASE(
    "a place that cannot be written to is refused with the system's reason, and nothing is left behind") {
    const Folder folder;
    folder.write("file", "");
    const fs::path within = folder / "file" / "summary.json";
    CHECK(message_of([&] { write_text_file(within, "text"); }) == refusal(within, "Not a directory"));
    CHECK(folder.count() == 1);
    const fs::path directory = folder / "summary.json";
    fs::create_directory(directory);
    CHECK(message_of([&] { write_text_file(directory, "text"); }) == refusal(directory, "Is a directory"));
    CHECK(folder.count() == 2);
}

TEST_CASE("folders on the way to a file are made") {
    const Folder folder;
    write_text_file(folder / "out" / "tonight" / "sheet.html", "text");
    CHECK(read_bytes(folder / "out" / "tonight" / "sheet.html") == "text");
    CHECK(message_of([&] { write_text_file(folder / "out" / "tonight", "text"); }) ==
          refusal(folder / "out" / "tonight", "Is a directory"));
}

TEST_CASE("a free name is free and tells nobody's files apart by accident") {
    const Folder folder;
    const fs::path name = find_free_name(folder.path(), ".tmp");
    CHECK(name.parent_path() == folder.path());
    CHECK(name.filename().string().starts_with(".duskcast-"));
    CHECK(name.extension() == ".tmp");
    CHECK(!fs::exists(name));
}

#if defined(__unix__) || defined(__APPLE__)

#ifndef __EMSCRIPTEN__ // knows no limits
TEST_CASE("a disk that fills up half way leaves the old file whole") {
    const Folder folder;
    const fs::path file = folder / "summary.json";
    write_text_file(file, "old");
    // A limit on file size stands in for a full disk: the write fails in the middle (POSIX, EFBIG).
    rlimit limit{};
    getrlimit(RLIMIT_FSIZE, &limit);
    const rlimit small{4096, limit.rlim_max};
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &small);
    const std::string message = message_of([&] { write_text_file(file, std::string(1 << 20, 'x')); });
    setrlimit(RLIMIT_FSIZE, &limit);
    std::signal(SIGXFSZ, handler);
    CHECK(message == refusal(file, "File too large"));
    CHECK(read_bytes(file) == "old");
    CHECK(folder.count() == 1);
}

#endif

TEST_CASE("a link stays a link: what it leads to is replaced, with the rights it had") {
    const Folder folder;
    const fs::path file = folder / "real", link = folder / "link", chain = folder / "chain";
    write_text_file(file, "old");
    fs::permissions(file, fs::perms(0600));
    fs::create_symlink("real", link); // relative to the link's own folder
    fs::create_symlink(link, chain);
    write_text_file(chain, "new");
    CHECK(fs::is_symlink(chain));
    CHECK(fs::is_symlink(link));
    CHECK(read_bytes(file) == "new");
    CHECK(fs::status(file).permissions() == fs::perms(0600));
    CHECK(folder.count() == 3);
}

TEST_CASE("a link that leads nowhere yet brings its file into being") {
    const Folder folder;
    fs::create_symlink("later", folder / "link");
    write_text_file(folder / "link", "text");
    CHECK(fs::is_symlink(folder / "link"));
    CHECK(read_bytes(folder / "later") == "text");
    fs::create_symlink("loop", folder / "loop");
    CHECK(message_of([&] { write_text_file(folder / "loop", "text"); }) != "no error");
    CHECK(fs::is_symlink(folder / "loop"));
}

TEST_CASE("devices stay devices") {
    const fs::path null = "/dev/null", full = "/dev/full";
    write_text_file(null, "text");
    CHECK(fs::is_character_file(null));
    if (!fs::exists(full))
        return; // Linux only
    const Folder folder;
    fs::create_symlink(full, folder / "link");
    CHECK(message_of([&] { write_text_file(folder / "link", "text"); }) ==
          refusal(folder / "link", "No space left on device"));
    CHECK(fs::is_character_file(full));
    CHECK(fs::is_symlink(folder / "link"));
    CHECK(read_whole_file("/dev/zero", 10).reason == "it is not a file"); // it has no end
}

#ifndef __EMSCRIPTEN__ // knows no pipes, threads and users
TEST_CASE("a pipe is written to and stays a pipe, and is refused as input instead of waited for") {
    const Folder folder;
    const fs::path pipe = folder / "pipe";
    REQUIRE(mkfifo(pipe.c_str(), 0600) == 0);
    CHECK(read_whole_file(pipe, 10).reason == "it is not a file");
    std::string received;
    std::thread reader([&] { received = read_bytes(pipe); });
    write_text_file(pipe, "text");
    reader.join();
    CHECK(received == "text");
    CHECK(fs::is_fifo(pipe));
    CHECK(folder.count() == 1);
}

TEST_CASE("a file that may not be read says why") {
    const Folder folder;
    folder.write("secret", "text");
    fs::permissions(folder / "secret", fs::perms::none);
    // Root may read anything, so it gives up its rights for the moment.
    const bool is_root = geteuid() == 0;
    fs::permissions(folder.path(), fs::perms::all);
    REQUIRE((!is_root || seteuid(65534) == 0));
    const WholeFile whole = read_whole_file(folder / "secret", 10);
    REQUIRE((!is_root || seteuid(0) == 0));
    CHECK(whole.fault == FileFault::unreadable);
    CHECK(whole.reason == "Permission denied");
}

#endif

#endif
