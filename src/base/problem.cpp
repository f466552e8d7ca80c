#include "duskcast/base/problem.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <utility>

#include "duskcast/base/text.hpp"

namespace duskcast {

std::string print_problem(const Problem& problem) {
    const Place& place = problem.place;
    std::string text = quotable(place.file, std::string::npos); // a long path is needed whole
    if (place.line > 0) {
        text += fmt::format("{}{}", text.empty() ? "" : ":", place.line);
        if (place.column > 0)
            text += fmt::format(":{}", place.column);
    }
    if (!text.empty())
        text += ": ";
    if (!place.path.empty())
        text += quotable(place.path) + (place.name.empty() ? "" : " (" + quotable(place.name) + ")") + ": ";
    text += problem.severity == Severity::error ? "error: " : "warning: ";
    text += quotable(problem.what);
    if (!problem.remedy.empty())
        text += fmt::format("; {}", quotable(problem.remedy));
    return text;
}

namespace {

std::vector<Problem> at_least_one(std::vector<Problem> problems) {
    if (problems.empty())
        problems.push_back({Severity::error, {}, "the input is at fault, the cause is not known", ""});
    return problems;
}

std::string print_problems(const std::vector<Problem>& problems) {
    std::string text;
    for (const Problem& problem : at_least_one(problems))
        text += fmt::format("{}{}", text.empty() ? "" : "\n", print_problem(problem));
    return text;
}

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

/// Optimal string alignment: insert, delete, change or swap two neighbours, each at a cost of 1,
/// whatever the case. Swaps count once because they are the commonest slip of the keyboard.
std::size_t edit_distance(const std::string& a, const std::string& b) {
    const std::size_t width = b.size() + 1;
    std::vector<std::size_t> before(width), previous(width), current(width);
    for (std::size_t j = 0; j < width; ++j)
        previous[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        current[0] = i;
        for (std::size_t j = 1; j < width; ++j) {
            const bool same = lower(a[i - 1]) == lower(b[j - 1]);
            current[j] = std::min({previous[j] + 1, current[j - 1] + 1, previous[j - 1] + (same ? 0u : 1u)});
            const bool swapped =
                i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
            if (swapped)
                current[j] = std::min(current[j], before[j - 2] + 1);
        }
        std::swap(before, previous);
        std::swap(previous, current);
    }
    return previous[b.size()];
}

} // namespace

InputError::InputError(Problem problem) : InputError(std::vector<Problem>{std::move(problem)}) {}

InputError::InputError(std::vector<Problem> problems)
    : std::runtime_error(print_problems(problems)), problems_(at_least_one(std::move(problems))) {}

void refuse(std::string_view what, std::string_view remedy) {
    throw InputError(Problem{.what = std::string(what), .remedy = std::string(remedy)});
}

std::string find_nearest_word(const std::string& word, const std::vector<std::string>& known) {
    // A word of which every letter must change has nothing in common with the other.
    constexpr std::size_t longest = 64;
    if (word.empty() || word.size() > longest)
        return "";
    std::size_t least = std::min(std::max<std::size_t>(2, word.size() / 3), word.size() - 1) + 1;
    std::string nearest;
    for (const std::string& candidate : known) {
        if (candidate.size() > 2 * longest)
            continue;
        if (const std::size_t distance = edit_distance(word, candidate); distance < least) {
            least = distance;
            nearest = candidate;
        }
    }
    return nearest;
}

} // namespace duskcast
