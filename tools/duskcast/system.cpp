#include "system.hpp"

#include <algorithm>
#include <cstdlib>

#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"

#ifdef _WIN32
#include <io.h>
#include <process.h>
#include <windows.h>

#include <shellapi.h>
#else
#include <csignal>
#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
extern char** environ;
#endif

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace duskcast {

namespace {

bool is_program(const std::filesystem::path& file) {
    std::error_code ignored;
    return std::filesystem::is_regular_file(file, ignored);
}

#ifdef _WIN32

std::string utf8_of(const wchar_t* text) {
    const int length = WideCharToMultiByte(CP_UTF8, 0, text, -1, nullptr, 0, nullptr, nullptr);
    std::string bytes(static_cast<std::size_t>(std::max(length, 1)), '\0');
    WideCharToMultiByte(CP_UTF8, 0, text, -1, bytes.data(), length, nullptr, nullptr);
    bytes.pop_back(); // the zero at the end
    return bytes;
}

std::string read_environment(const char* name) {
    const wchar_t* value = _wgetenv(path_in({}, name).c_str());
    return value == nullptr ? "" : utf8_of(value);
}

#else

std::string read_environment(const char* name) {
    const char* value = std::getenv(name);
    return value == nullptr ? "" : value;
}

#endif

/// What a browser is asked to do; the profile is a folder of its own that is thrown away.
std::vector<std::string> make_pdf_arguments(const std::string& browser, const std::filesystem::path& page,
                                            const std::filesystem::path& pdf,
                                            const std::filesystem::path& profile) {
    std::string address = "file://";
    const std::string path = text_of(page);
    if (!path.starts_with("/"))
        address += '/';
    for (const char c : path) // what a URL's path may not hold as it is (RFC 3986)
        if (is_letter(c) || is_digit(c) || std::string_view("/:-._~").find(c) != std::string_view::npos) {
            address += c;
        } else {
            constexpr auto digits = "0123456789ABCDEF";
            const auto byte = static_cast<unsigned char>(c);
            address += {'%', digits[byte >> 4], digits[byte & 15]};
        }
    std::vector<std::string> arguments = {browser,
                                          "--headless",
                                          "--disable-gpu",
                                          "--no-first-run",
                                          "--no-pdf-header-footer",
                                          "--host-resolver-rules=MAP * ~NOTFOUND",
                                          "--user-data-dir=" + text_of(profile),
                                          "--print-to-pdf=" + text_of(pdf),
                                          address};
#ifndef _WIN32
    if (geteuid() == 0) // Chromium has no sandbox for root
        arguments.insert(arguments.begin() + 2, "--no-sandbox");
#endif
    return arguments;
}

} // namespace

std::string find_browser() {
    if (const std::string named = read_environment("DUSKCAST_BROWSER"); !named.empty())
        return is_program(path_in({}, named)) ? named : "";
#ifdef _WIN32
    for (const char* root : {"ProgramFiles", "ProgramFiles(x86)", "LOCALAPPDATA"})
        for (const char* inside : {"Google/Chrome/Application/chrome.exe", "Chromium/Application/chrome.exe",
                                   "Microsoft/Edge/Application/msedge.exe"}) {
            const std::string folder = read_environment(root);
            if (!folder.empty() && is_program(path_in(folder, inside)))
                return text_of(path_in(folder, inside));
        }
#else
    const std::string folders = read_environment("PATH");
    for (const char* name :
         {"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge"})
        for (std::size_t from = 0; from <= folders.size();) {
            const std::size_t to = std::min(folders.find(':', from), folders.size());
            const std::filesystem::path file = std::filesystem::path(folders.substr(from, to - from)) / name;
            if (to > from && is_program(file))
                return file.string();
            from = to + 1;
        }
    for (const char* file : {"/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
                             "/Applications/Chromium.app/Contents/MacOS/Chromium"})
        if (is_program(file))
            return file;
#endif
    return "";
}

bool run_browser_to_pdf(const std::string& browser, const std::filesystem::path& page,
                        const std::filesystem::path& pdf) {
    std::error_code ignored;
    const std::filesystem::path profile = find_free_name(std::filesystem::temp_directory_path(), ".browser");
    std::vector<std::string> arguments = make_pdf_arguments(browser, page, pdf, profile);
    std::filesystem::remove(pdf, ignored);
#ifdef _WIN32
    // They are joined into one line as they are, and the browser parts that line again at spaces outside of
    // quotes. None holds a quote or ends with a backslash.
    std::vector<std::wstring> quoted;
    for (const std::string& argument : arguments)
        quoted.push_back(L'"' + path_in({}, argument).wstring() + L'"');
    std::vector<const wchar_t*> pointers;
    for (const std::wstring& argument : quoted)
        pointers.push_back(argument.c_str());
    pointers.push_back(nullptr);
    const bool is_done = _wspawnv(_P_WAIT, path_in({}, browser).c_str(), pointers.data()) == 0;
#else
    std::vector<char*> pointers;
    for (std::string& argument : arguments)
        pointers.push_back(argument.data());
    pointers.push_back(nullptr);
    pid_t child = 0;
    int status = 0;
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    for (const int stream : {STDOUT_FILENO, STDERR_FILENO})
        posix_spawn_file_actions_addopen(&quiet, stream, "/dev/null", O_WRONLY, 0);
    const bool is_done =
        posix_spawn(&child, browser.c_str(), &quiet, nullptr, pointers.data(), environ) == 0 &&
        waitpid(child, &status, 0) == child && WIFEXITED(status) && WEXITSTATUS(status) == 0;
    posix_spawn_file_actions_destroy(&quiet);
#endif
    std::filesystem::remove_all(profile, ignored);
    return is_done && is_program(pdf);
}

#ifdef _WIN32

std::vector<std::string> list_arguments(int, char**) {
    int count = 0;
    wchar_t** const words = CommandLineToArgvW(GetCommandLineW(), &count);
    std::vector<std::string> arguments;
    for (int i = 0; i < count; ++i)
        arguments.push_back(utf8_of(words[i]));
    LocalFree(words);
    return arguments;
}

bool is_error_stream_a_terminal() {
    return _isatty(2) != 0;
}

void end_on_signals(void (*)()) {}

void reserve_streams() {}

std::filesystem::path find_program() {
    std::wstring name(32768, L'\0'); // the longest there is
    name.resize(GetModuleFileNameW(nullptr, name.data(), static_cast<DWORD>(name.size())));
    return name;
}

#else

std::vector<std::string> list_arguments(int argc, char** argv) {
    return {argv, argv + argc};
}

bool is_error_stream_a_terminal() {
    return isatty(2) != 0;
}

void end_on_signals(void (*clean_up)()) {
    // Little may be done inside a signal handler, so a thread of its own waits for them.
    sigset_t awaited;
    sigemptyset(&awaited);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
        struct sigaction now {};
        sigaction(signal, nullptr, &now);
        if (now.sa_handler != SIG_IGN) // as under nohup
            sigaddset(&awaited, signal);
    }
    pthread_sigmask(SIG_BLOCK, &awaited, nullptr);
    std::thread([awaited, clean_up] {
        int signal = 0;
        sigwait(&awaited, &signal);
        clean_up();
        _exit(128 + signal);
    }).detach();
}

std::filesystem::path find_program() {
    std::error_code ignored;
    return std::filesystem::read_symlink("/proc/self/exe", ignored);
}

void reserve_streams() {
    // Opened for reading, so that what is printed is known to be lost.
    int opened = 0;
    do
        opened = open("/dev/null", O_RDONLY);
    while (opened >= 0 && opened <= STDERR_FILENO);
    if (opened >= 0)
        close(opened);
}

#endif

void keep_freed_memory() {
#ifdef __GLIBC__
    constexpr int most_by_itself = 32 << 20; // what the library maps apart is at least so large: its limit
    mallopt(M_MMAP_THRESHOLD, most_by_itself);
    mallopt(M_TRIM_THRESHOLD, 1 << 30);
#endif
}

} // namespace duskcast
