#include "arrow.hpp"

#include <filesystem>
#include <regex>
#include <sstream>

namespace duskcast::tests {
namespace {

/// The room that an #include reaches, however the path is written ("duskcast/site/site.hpp",
/// "../site/rows.hpp"); empty for headers of others, and for a room's own by plain name. A path below
/// duskcast/ always reaches a room, known or not.
std::string room_of(const std::filesystem::path& path) {
    bool ours = false;
    for (const auto& folder : path.parent_path()) {
        std::string name = folder.generic_string();
        if (ours || arrow.contains(name))
            return name;
        ours = name == "duskcast";
    }
    return ours ? "duskcast" : "";
}

} // namespace

std::set<std::string> find_usable_rooms(const std::string& room) {
    std::set<std::string> usable{room};
    for (const std::string& next : arrow.at(room))
        usable.merge(find_usable_rooms(next));
    return usable;
}

std::vector<std::string> find_violations(const std::string& room, std::string_view text) {
    static const std::regex include(R"re(\s*#\s*include\s*["<]([^">]+)[">].*)re");
    const std::set<std::string> usable = find_usable_rooms(room);
    std::vector<std::string> violations;
    std::istringstream lines{std::string(text)};
    std::smatch match;
    int number = 0;
    for (std::string line; std::getline(lines, line);) {
        ++number;
        if (!std::regex_match(line, match, include))
            continue;
        const std::string reached = room_of(match[1].str());
        if (!reached.empty() && !usable.contains(reached))
            violations.push_back("line " + std::to_string(number) + ": " + room + " includes " +
                                 match[1].str());
    }
    return violations;
}

} // namespace duskcast::tests
