#include "system.hpp"

#ifdef _WIN32
#include <io.h>
#include <windows.h>
#else
#include <csignal>
#include <fcntl.h>
#include <thread>
#include <unistd.h>
#endif

namespace duskcast {

#ifdef _WIN32

bool is_error_stream_a_terminal() {
    return _isatty(2) != 0;
}

void end_on_signals(void (*)()) {}

void reserve_streams() {}

std::filesystem::path find_program_folder() {
    std::wstring name(32768, L'\0'); // the longest there is
    name.resize(GetModuleFileNameW(nullptr, name.data(), static_cast<DWORD>(name.size())));
    return std::filesystem::path(name).parent_path();
}

#else

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

std::filesystem::path find_program_folder() {
    std::error_code ignored;
    return std::filesystem::read_symlink("/proc/self/exe", ignored).parent_path();
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

} // namespace duskcast
