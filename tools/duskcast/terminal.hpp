#pragma once
// The one place that asks the operating system about the terminal.

namespace duskcast {

/// Whether standard error goes to a terminal.
bool is_error_stream_a_terminal();

} // namespace duskcast
