#pragma once
// The one place of the command line that asks the operating system about terminals, signals and the program
// itself.

#include <filesystem>
#include <string>
#include <vector>

namespace duskcast {

/// Memory that is freed stays with the program for what comes next: every picture and every part of one needs
/// as much again, and pages fresh from the system cost a fiftieth of a view's time. Where the C library's own
/// way is not known to be changeable, it is left as it is.
void keep_freed_memory();

/// What `main` was given, in UTF-8 on every system.
std::vector<std::string> list_arguments(int argc, char** argv);

/// Whether standard error goes to a terminal.
bool is_error_stream_a_terminal();

/// From now on an interrupt, a hang-up or a request to end calls `clean_up` and ends the process with 128
/// plus the signal's number, as shells count it. To be called before any other thread begins.
void end_on_signals(void (*clean_up)());

/// The program's own file; empty where the system does not say.
std::filesystem::path find_program();

/// A program of the Chromium family that is installed, or what the environment's DUSKCAST_BROWSER names;
/// empty: none.
std::string find_browser();

/// Has the browser print a local page to a PDF, with no network and nothing of the user's own profile.
/// False where it ended badly or left no file.
bool run_browser_to_pdf(const std::string& browser, const std::filesystem::path& page,
                        const std::filesystem::path& pdf);

/// Takes the places of standard streams that are closed: the next file opened would take one, and whatever is
/// printed would land in it.
void reserve_streams();

} // namespace duskcast
