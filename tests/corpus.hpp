#pragma once
// Files at fault with the messages they must give. After === the name of a case, then the file's text; after
// --- every message, in the order given.

#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "folder.hpp"

namespace duskcast::test {

struct Case {
    std::string name, text, messages;
};

inline std::vector<Case> read_corpus(const std::filesystem::path& file) {
    const std::string all = read_bytes(file);
    std::vector<Case> cases;
    const std::string start = "\n=== ", middle = "\n---";
    for (std::size_t at = all.find(start); at != std::string::npos;) {
        const std::size_t next = all.find(start, at + 1);
        const std::string one = all.substr(at + start.size(), next - at - start.size());
        const std::size_t line = one.find('\n'), split = one.find(middle, line);
        REQUIRE(split != std::string::npos);
        cases.push_back(
            {one.substr(0, line), one.substr(line + 1, split - line - 1), one.substr(split + middle.size())});
        std::string& messages = cases.back().messages;
        while (messages.ends_with('\n'))
            messages.pop_back();
        messages.erase(0, messages.find_first_not_of('\n'));
        at = next;
    }
    return cases;
}

/// One message a line, without those of `prefixes` that it begins with.
inline std::string print_all(const std::vector<Problem>& problems, const std::vector<std::string>& prefixes) {
    std::string text;
    for (const Problem& problem : problems) {
        std::string line = print_problem(problem);
        for (const std::string& prefix : prefixes)
            if (line.starts_with(prefix))
                line.erase(0, prefix.size());
        text += (text.empty() ? "" : "\n") + line;
    }
    return text;
}

} // namespace duskcast::test
