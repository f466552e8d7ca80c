#include "system.hpp"

#ifdef _WIN32
#include <io.h>
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
