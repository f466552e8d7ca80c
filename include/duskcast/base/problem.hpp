#pragma once
// What went wrong in something a user gave us, where, and what would be right.

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace duskcast {

/// A spot in an input file. Line and column count from 1; 0 means unknown.
struct Place {
    std::string file;
    int line = 0;
    int column = 0;
    std::string path;      ///< path inside the file, such as "fixtures[2].tilt"; may be empty
    std::string name = {}; ///< of the thing that the path leads into, such as "U3"; may be empty

    bool operator==(const Place&) const = default;
};

enum class Severity { warning, error };

/// One finding about an input: the place, what is wrong, and what would be right.
struct Problem {
    Severity severity = Severity::error;
    Place place;
    std::string what;
    std::string remedy; ///< may be empty when `what` says it all

    bool operator==(const Problem&) const = default;
};

/// "house.site.json:12:8: fixtures[2].tilt (U3): error: <what>; <remedy>". Unknown parts are left out.
std::string print_problem(const Problem& problem);

/// The one exception for faults of the input. Carries every error found, never none, and with
/// them the warnings found on the way.
class InputError : public std::runtime_error {
public:
    explicit InputError(Problem problem);
    explicit InputError(std::vector<Problem> problems);
    const std::vector<Problem>& problems() const noexcept { return problems_; }

private:
    std::vector<Problem> problems_;
};

/// Throws InputError. The place is for the caller to add, such as an option of the command line.
[[noreturn]] void refuse(std::string_view what, std::string_view remedy);

/// The entry of `known` nearest to `word` by edit distance, or "" when none is near
/// (more than a third of the word's letters, at least 2, would have to change).
std::string find_nearest_word(const std::string& word, const std::vector<std::string>& known);

} // namespace duskcast
