#pragma once
// Which room may include which: the table of the rooms, and a checker of #include lines against it.

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace duskcast::tests {

/// Each room and the rooms that its row names.
using Arrow = std::map<std::string, std::set<std::string>>;

/// The rooms of duskcast. A new room, or a new entry in a row, is a decision about the design.
inline const Arrow arrow = {
    {"base", {}},         {"photometry", {"base"}}, {"site", {"photometry"}},
    {"power", {"site"}},  {"cost", {"power"}},      {"stage", {"site"}},
    {"light", {"stage"}}, {"measure", {"light"}},   {"view", {"measure"}},
    {"study", {"view"}},  {"draw", {"base"}},       {"sheets", {"study", "photo", "cost", "draw"}},
    {"photo", {"view"}},  {"app", {"sheets"}},
};

/// The rooms that `room` may include: itself, its row, and what those may include.
std::set<std::string> find_usable_rooms(const std::string& room);

/// One line of text for each #include in `text`, the source of a file of `room`, that goes against the
/// arrow: "line 3: base includes duskcast/site/site.hpp".
std::vector<std::string> find_violations(const std::string& room, std::string_view text);

} // namespace duskcast::tests
