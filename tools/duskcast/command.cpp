#include "command.hpp"

#include <chrono>
#include <cstdio>
#include <fmt/format.h>

#include "terminal.hpp"

namespace duskcast {

namespace {

double seconds_now() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

} // namespace

void print_problems(const std::vector<Problem>& problems) {
    for (const Problem& problem : problems)
        fmt::print(stderr, "{}\n", print_problem(problem));
}

std::vector<double> read_levels(const std::vector<std::string>& texts, LightUnit unit) {
    std::vector<double> levels;
    for (const std::string& text : texts) {
        const double level = read_illuminance(text, unit);
        if (!(level > 0))
            throw InputError(Problem{.place = {.path = "--levels"},
                                     .what = fmt::format("\"{}\" is not a level of light", text),
                                     .remedy = "give levels above 0, for example --levels 0.5,1,2"});
        levels.push_back(level);
    }
    return levels;
}

ProgressLine::ProgressLine() : is_terminal_(is_error_stream_a_terminal()), start_(seconds_now()) {}

ProgressLine::~ProgressLine() {
    clear();
}

void ProgressLine::clear() {
    if (is_dirty_)
        fmt::print(stderr, "\r\033[K");
    is_dirty_ = false;
    std::fflush(stderr);
}

void ProgressLine::show(const std::string& phase, double share) {
    const std::lock_guard lock(showing_); // tracing reports from every thread
    const double now = seconds_now();
    if (!is_terminal_ || now - last_ < 0.1)
        return;
    last_ = now;
    is_dirty_ = true;
    const double elapsed = now - start_;
    const std::string rest =
        share > 0.02 ? fmt::format(", about {:.0f} s to go", elapsed * (1 - share) / share) : "";
    fmt::print(stderr, "\r\033[K{} {:.0f} %, {:.0f} s{}", phase, 100 * share, elapsed, rest);
    std::fflush(stderr);
}

} // namespace duskcast
